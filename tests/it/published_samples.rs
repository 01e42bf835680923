//! Intervals for means and differences: one sample, paired, pooled, Welch, and
//! the log ratio.
#![expect(
    clippy::unreadable_literal,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::interval::{Estimate, percent_of_log};
use thereback::stats::samples::{Sample, one_sample, paired, pooled, pooled_scatter, welch};
use thereback::stats::summary::{mean, standard_deviation};

use crate::published_check::{
    CERTIFIED, EIGHT_FIGURES, FIVE_FIGURES, FOUR_FIGURES, ROUNDING, SEVEN_FIGURES, SIX_FIGURES,
    THREE_FIGURES, check,
};
use crate::published_data::SLEEP;

#[track_caller]
fn check_interval(estimate: Option<Estimate>, low: f64, high: f64, tolerance: f64) {
    check(estimate.map(|e| e.low), low, tolerance);
    check(estimate.map(|e| e.high), high, tolerance);
}

#[track_caller]
fn check_test(estimate: Option<Estimate>, t: f64, df: f64, p: f64, tolerance: f64) {
    check(estimate.and_then(|e| e.t_against(0.0)), t, tolerance);
    check(estimate.map(|e| e.df), df, tolerance);
    check(estimate.and_then(|e| e.p_against(0.0)), p, FOUR_FIGURES);
}

/// NIST/SEMATECH e-Handbook 1.3.5.2, heat flow meter ZARR13.
#[test]
fn handbook_interval() {
    let sample = Sample {
        n: 195,
        mean: 9.261460,
        sd: Some(0.022789),
    };
    check_interval(one_sample(&sample, 0.95), 9.258242, 9.264679, SEVEN_FIGURES);
}

/// Three values only: Miller & Miller (1994), *Statistics for Analytical Chemistry*, pp.
/// 54-55, as computed in Boost.Math `students_t_single_sample.cpp`.
#[test]
fn three_values() {
    let values = [38.9, 37.4, 37.1];
    let sample = Sample::of(&values);
    check(mean(&values), 37.8, ROUNDING);
    check(standard_deviation(&values), 0.964365, SIX_FIGURES);
    for (level, low, high) in [
        (0.90, 36.17422, 39.42578),
        (0.95, 35.40438, 40.19562),
        (0.99, 32.27408, 43.32592),
    ] {
        let estimate = sample.and_then(|s| one_sample(&s, level));
        check_interval(estimate, low, high, SEVEN_FIGURES);
    }
    let estimate = sample.and_then(|s| one_sample(&s, 0.95));
    check(
        estimate.and_then(|e| e.t_against(38.9)),
        -1.97566,
        SIX_FIGURES,
    );
    check(
        estimate.and_then(|e| e.p_against(38.9)),
        0.1869,
        FOUR_FIGURES,
    );
}

/// Four pairs: Miller & Miller (1994), pp. 58-59, as computed in Boost.Math
/// `students_t_example3.cpp`; the interval recomputed only.
#[test]
fn four_pairs() {
    let estimate = paired(&[71.0, 61.0, 50.0, 60.0], &[76.0, 68.0, 48.0, 57.0], 0.95);
    check(estimate.map(|e| e.value), -1.75, ROUNDING);
    check(estimate.map(|e| 2.0 * e.se), 4.99166, SIX_FIGURES);
    check_test(estimate, -0.70117, 3.0, 0.533692, FIVE_FIGURES);
    check_interval(estimate, -9.69284, 6.19284, SIX_FIGURES);
}

/// Six values against 25.00: the same source.
#[test]
fn six_values() {
    let sample = Sample::of(&[25.06, 25.18, 24.87, 25.51, 25.34, 25.41]);
    let estimate = sample.and_then(|s| one_sample(&s, 0.95));
    check(estimate.map(|e| e.value), 25.2283, SIX_FIGURES);
    check(sample.and_then(|s| s.sd), 0.238279, SIX_FIGURES);
    check(
        estimate.and_then(|e| e.t_against(25.0)),
        2.34725,
        SIX_FIGURES,
    );
    let tail = estimate
        .and_then(|e| e.p_against(25.0))
        .map(|p| 1.0 - p / 2.0);
    check(tail, 0.967108, SIX_FIGURES);
}

/// Student (1908), paired: R 4 `t.test` output in `datasets-Ex.Rout.save`; the digits beyond
/// it recomputed.
#[test]
fn sleep_paired() {
    let [first, second] = SLEEP;
    let estimate = paired(&first, &second, 0.95);
    check(estimate.map(|e| e.value), -1.58, ROUNDING);
    check(estimate.map(|e| e.se), 0.388_958_723_888_4, CERTIFIED);
    check(
        estimate.and_then(|e| e.t_against(0.0)),
        -4.062_127_683_382,
        CERTIFIED,
    );
    check_test(estimate, -4.0621, 9.0, 0.002833, FIVE_FIGURES);
    check_interval(estimate, -2.459_885_8, -0.700_114_2, EIGHT_FIGURES * 2.0);
}

/// The same numbers taken as unpaired lose their answer: R `oneway.test` output
/// (F is t squared); the interval recomputed only.
#[test]
fn sleep_unpaired() {
    let [first, second] = SLEEP.map(|values| Sample::of(&values));
    let both = first.zip(second);
    let unequal = both.and_then(|(a, b)| welch(&a, &b, 0.95));
    check(
        unequal.and_then(|e| e.t_against(0.0)).map(|t| t * t),
        3.4626,
        FIVE_FIGURES,
    );
    check(unequal.map(|e| e.df), 17.776, FIVE_FIGURES);
    check(
        unequal.and_then(|e| e.p_against(0.0)),
        0.07939,
        FOUR_FIGURES,
    );
    check_interval(unequal, -3.365_483_2, 0.205_483_2, SEVEN_FIGURES);
    let equal = both.and_then(|(a, b)| pooled(&a, &b, 0.95));
    check(equal.and_then(|e| e.p_against(0.0)), 0.07919, FOUR_FIGURES);
    check(equal.map(|e| e.df), 18.0, ROUNDING);
}

/// R `t.test` examples: one wild value hides the difference.
#[test]
fn welch_examples() {
    let low: Vec<f64> = (1..=10).map(f64::from).collect();
    let mut high: Vec<f64> = (7..=20).map(f64::from).collect();
    let compare = |high: &[f64]| {
        let samples = Sample::of(&low).zip(Sample::of(high));
        samples.and_then(|(a, b)| welch(&a, &b, 0.95))
    };
    let plain = compare(&high);
    check_test(plain, -5.4349, 21.982, 1.855e-05, FIVE_FIGURES);
    check_interval(plain, -11.052802, -4.947198, SEVEN_FIGURES);
    high.push(200.0);
    let spoiled = compare(&high);
    check_test(spoiled, -1.6329, 14.165, 0.1245, FIVE_FIGURES);
    check_interval(spoiled, -47.242900, 6.376233, SEVEN_FIGURES);
}

/// NIST/SEMATECH e-Handbook 1.3.5.3, AUTO83B, from its summaries.
#[test]
fn auto83b() {
    let first = Sample {
        n: 249,
        mean: 20.14458,
        sd: Some(6.41470),
    };
    let second = Sample {
        n: 79,
        mean: 30.48101,
        sd: Some(6.10771),
    };
    let scatter = pooled_scatter(&[first, second]);
    check(scatter.map(|s| s.sd), 6.34260, SIX_FIGURES);
    let equal = pooled(&first, &second, 0.95);
    check(
        equal.and_then(|e| e.t_against(0.0)),
        -12.62059,
        SEVEN_FIGURES,
    );
    check(equal.map(|e| e.df), 326.0, ROUNDING);
    let unequal = welch(&first, &second, 0.95);
    check(
        unequal.and_then(|e| e.t_against(0.0)),
        -12.94627,
        SEVEN_FIGURES,
    );
    check(unequal.map(|e| e.df), 136.87499, EIGHT_FIGURES);
}

/// The ratio of two treatments by logarithms: Wellek (2003), *Testing Statistical Hypotheses of
/// Equivalence*, p. 212; data in the SAS/STAT User's Guide, PROC TTEST; the log
/// results as in `statsmodels` `test_tost.py` (from R), the ratio's bounds recomputed.
#[test]
fn log_ratio() {
    let test = [
        103.4, 59.92, 68.17, 94.54, 69.48, 72.17, 74.37, 84.44, 96.74, 94.26, 48.52, 95.68,
    ];
    let reference = [
        90.11, 77.71, 77.71, 97.51, 58.21, 101.3, 79.84, 96.06, 89.30, 97.22, 61.62, 85.80,
    ];
    let [test, reference] = [test, reference].map(|values| values.map(f64::ln));
    let wide = paired(&test, &reference, 0.95);
    check(wide.map(|e| e.value), -0.060_600_766_677_713_16, CERTIFIED);
    check(wide.map(|e| e.se), 0.048_058_260_053_667_52, CERTIFIED);
    let narrow = paired(&test, &reference, 0.90);
    check_interval(
        narrow,
        -0.146_907_866_321_425_6,
        0.025_706_332_965_999_3,
        CERTIFIED,
    );
    let percent = wide.and_then(Estimate::percent_of_log);
    check(percent.map(|p| p.value), -5.880, FOUR_FIGURES);
    check(percent.map(|p| p.low), -15.327, FIVE_FIGURES);
    check(percent.map(|p| p.high), 4.621, FOUR_FIGURES);
    let ratio = narrow.and_then(Estimate::percent_of_log);
    check(ratio.map(|p| 1.0 + p.low / 100.0), 0.8633735, SEVEN_FIGURES);
    check(
        ratio.map(|p| 1.0 + p.high / 100.0),
        1.0260396,
        SEVEN_FIGURES,
    );
}

/// Two-direction means as the trade compares them: common practice, no source.
#[test]
fn percent_change_of_means() {
    for (before, after, percent) in [(1.525_f64, 1.700_f64, 11.5), (2.50, 2.95, 18.0)] {
        check(
            percent_of_log((after / before).ln()),
            percent,
            THREE_FIGURES,
        );
    }
    check(
        percent_of_log((2.95_f64 / 2.50).ln()),
        18.0,
        ROUNDING * 10.0,
    );
}
