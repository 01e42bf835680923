//! How often the interval of a series' mean holds, by four ways and pooled: our own simulated series, no published source.

use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64Mcg;

use thereback::stats::interval::Estimate;
use thereback::stats::long_run::{SumVariance, USUAL_COSINES, low_frequency_variance};
use thereback::stats::series::{
    USUAL_POOLED_COSINES, USUAL_PRIOR_DF, WeightedSeries, mean_by_blocks, mean_by_cosines,
    mean_by_effective_size, mean_by_lags, partly_pooled_low_frequency, pooled_low_frequency,
};
use thereback::stats::summary::mean;

use crate::published_check::check_within;

/// Series simulated for a figure of the table.
const SERIES: usize = 2000;
/// Days of six legs simulated for a figure of the second table.
const DAYS: usize = 600;
const LEGS: usize = 6;

/// A first-order autoregressive wander of unit variance under white noise; its mean is zero.
fn series(random: &mut Pcg64Mcg, count: usize, correlation: f64, noise: f64) -> Vec<f64> {
    let innovation = (1.0 - correlation * correlation).sqrt();
    let mut wander: f64 = random.sample(StandardNormal);
    let step = |_| {
        let value = wander + noise * random.sample::<f64, _>(StandardNormal);
        wander = correlation * wander + innovation * random.sample::<f64, _>(StandardNormal);
        value
    };
    (0..count).map(step).collect()
}

/// How many of a hundred intervals held, and how many of a hundred series had one.
fn coverage(
    count: usize,
    correlation: f64,
    noise: f64,
    estimate: impl Fn(&[f64]) -> Option<Estimate>,
) -> (f64, f64) {
    let mut random = Pcg64Mcg::seed_from_u64(7);
    let (mut given, mut held) = (0, 0);
    for _ in 0..SERIES {
        if let Some(found) = estimate(&series(&mut random, count, correlation, noise)) {
            given += 1;
            held += usize::from(found.interval().contains(0.0));
        }
    }
    (
        100.0 * held as f64 / f64::from(given.max(1)),
        100.0 * f64::from(given) / SERIES as f64,
    )
}

/// Coverage of single legs of a day, and the mean half width over that of an interval that knows the
/// variance.
fn day_coverage(
    levels: [f64; LEGS],
    correlation: f64,
    variances: impl Fn(&[WeightedSeries<'_>]) -> Option<Vec<SumVariance>>,
) -> (f64, f64) {
    const COUNT: usize = 150;
    let mut random = Pcg64Mcg::seed_from_u64(11);
    let weights = [1.0 / COUNT as f64; COUNT];
    let (mut held, mut width) = (0.0, 0.0);
    let decay: f64 = (1..COUNT)
        .map(|k| (1.0 - k as f64 / COUNT as f64) * correlation.powi(i32::try_from(k).unwrap()))
        .sum();
    let ideal = 1.959_964 * ((1.0 + 2.0 * decay + 0.25) / COUNT as f64).sqrt();
    for _ in 0..DAYS {
        let legs: Vec<Vec<f64>> = levels
            .iter()
            .map(|level| {
                let plain = series(&mut random, COUNT, correlation, 0.5);
                plain.iter().map(|v| v * level).collect()
            })
            .collect();
        let weighted: Vec<WeightedSeries<'_>> = legs
            .iter()
            .map(|values| WeightedSeries {
                values,
                weights: &weights,
            })
            .collect();
        let found = variances(&weighted).unwrap();
        for ((leg, variance), level) in legs.iter().zip(found).zip(levels) {
            let value = mean(leg).unwrap();
            let estimate = Estimate::new(value, variance.variance.sqrt(), variance.df, 0.95);
            let interval = estimate.unwrap().interval();
            held += f64::from(interval.contains(0.0));
            width += interval.width() / 2.0 / (ideal * level);
        }
    }
    let all = (DAYS * LEGS) as f64;
    (100.0 * held / all, width / all)
}

/// The figures that the documentation of `series` gives, within two and a half in a hundred.
#[test]
fn as_documented() {
    const WITHIN: f64 = 2.5;
    for (count, correlation, noise, size, lags, blocks, cosines) in [
        (60, 0.8, 0.0, 87.0, 87.0, 90.0, 92.0),
        (150, 0.8, 0.0, 94.0, 90.0, 94.0, 95.0),
        (150, 0.8, 1.0, 82.0, 85.0, 94.0, 94.0),
        (150, 0.95, 1.0, 53.0, 59.0, 87.0, 88.0),
        (300, 0.8, 1.0, 81.0, 86.0, 94.0, 94.0),
        (300, 0.95, 1.0, 53.0, 62.0, 90.0, 92.0),
    ] {
        let all = |estimate: &dyn Fn(&[f64]) -> Option<Estimate>| {
            coverage(count, correlation, noise, estimate).0
        };
        check_within(all(&|v| mean_by_effective_size(v, 0.95)), size, WITHIN);
        check_within(all(&|v| mean_by_lags(v, 0.95)), lags, WITHIN);
        check_within(all(&|v| mean_by_blocks(v, 5, 0.95)), blocks, WITHIN);
        check_within(all(&|v| mean_by_cosines(v, 0.95)), cosines, WITHIN);
    }
}

/// A series much shorter than its memory is worth has no interval by its effective size.
#[test]
fn too_few_effective_values_are_refused() {
    let (_, given) = coverage(150, 0.95, 0.0, |v| mean_by_effective_size(v, 0.95));
    check_within(given, 28.0, 3.0);
    let (_, given) = coverage(300, 0.8, 0.0, |v| mean_by_effective_size(v, 0.95));
    check_within(given, 100.0, 0.5);
}

/// The second table of the documentation: coverage within two in a hundred, widths within 0.05.
#[test]
fn pooled_as_documented() {
    let even = [1.0; LEGS];
    let uneven = [0.6, 0.8, 1.0, 1.0, 1.25, 1.6];
    for (levels, correlation, own, all, partly) in [
        (even, 0.8, (93.7, 1.26), (93.4, 0.99), (95.7, 1.18)),
        (even, 0.95, (87.2, 0.94), (84.2, 0.74), (92.1, 0.99)),
        (uneven, 0.8, (93.7, 1.26), (92.8, 1.14), (95.4, 1.31)),
        (uneven, 0.95, (87.2, 0.94), (85.3, 0.85), (91.9, 1.10)),
    ] {
        for (found, (holds, width)) in [
            (
                day_coverage(levels, correlation, |s| {
                    s.iter()
                        .map(|s| low_frequency_variance(s.values, s.weights, USUAL_COSINES))
                        .collect()
                }),
                own,
            ),
            (
                day_coverage(levels, correlation, |s| {
                    pooled_low_frequency(s, USUAL_COSINES)
                }),
                all,
            ),
            (
                day_coverage(levels, correlation, |s| {
                    partly_pooled_low_frequency(s, USUAL_POOLED_COSINES, USUAL_PRIOR_DF)
                }),
                partly,
            ),
        ] {
            check_within(found.0, holds, 2.0);
            check_within(found.1, width, 0.05);
        }
    }
}
