//! Many differences at once: the studentized range, several groups against one.
#![expect(
    clippy::unreadable_literal,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::many_to_one::{many_to_one_cdf, many_to_one_critical};
use thereback::stats::power::Sides;
use thereback::stats::samples::{Sample, pooled_scatter};
use thereback::stats::simultaneous::{Group, Scatter, against_first, all_pairs, sidak_critical};
use thereback::stats::studentized_range::{studentized_range_cdf, studentized_range_quantile};

use crate::published_check::{TEN_FIGURES, check, check_within};

/// Tables printed to two decimals.
const TWO_DECIMALS: f64 = 0.0051;
/// Values printed to three decimals.
const THREE_DECIMALS: f64 = 0.00051;
/// `SciPy`'s `dunnett` integrates by random points.
const RANDOM_POINTS: f64 = 2e-3;

/// Computed with `SciPy` 1.17 `studentized_range.ppf` and `.sf`.
#[test]
fn studentized_range() {
    for (groups, df, want) in [
        (2, 10.0, 3.151064183329372),
        (3, 2.0, 8.330782645637044),
        (3, 10.0, 3.876776750013158),
        (4, 20.0, 3.9582935609453846),
        (5, 12.0, 4.50770991983738),
        (10, 60.0, 4.646323963266348),
        (3, f64::INFINITY, 3.314493155398122),
        (6, 4.5, 6.32184989675306),
        (20, 8.0, 6.869380591298424),
    ] {
        check(
            studentized_range_quantile(0.95, groups, df),
            want,
            TEN_FIGURES,
        );
    }
    for (q, groups, df, want) in [
        (3.5, 3, 10.0, 0.07710331083841038),
        (6.0, 4, 5.0, 0.029493693070638316),
        (2.0, 8, 30.0, 0.8436392939419536),
        (9.5, 5, 7.0, 0.001734861988325731),
    ] {
        check_within(
            studentized_range_cdf(q, groups, df).map(|p| 1.0 - p),
            want,
            1e-11,
        );
    }
}

/// The printed table of upper 5 and 1 % points (Harter 1960, *Annals of Mathematical Statistics* 31,
/// 1122-1147, and many textbooks), from memory.
#[test]
fn printed_range_table() {
    for (level, groups, df, want) in [
        (0.95, 3, 5.0, 4.60),
        (0.95, 3, 10.0, 3.88),
        (0.95, 4, 12.0, 4.20),
        (0.95, 5, 20.0, 4.23),
        (0.95, 10, 60.0, 4.65),
        (0.95, 3, f64::INFINITY, 3.31),
        (0.99, 3, 10.0, 5.27),
        (0.99, 4, 20.0, 5.02),
    ] {
        check_within(
            studentized_range_quantile(level, groups, df),
            want,
            TWO_DECIMALS,
        );
    }
}

/// Equal groups against one: the tables of Dunnett (1955; two-sided 1964, *Biometrics* 20, 482-491), from memory.
#[test]
fn printed_many_to_one_tables() {
    let half = 0.5_f64.sqrt();
    for (df, two_sided, one_sided) in [
        (10.0, [2.23, 2.57, 2.76, 2.89], [1.81, 2.15, 2.34, 2.47]),
        (20.0, [2.09, 2.38, 2.54, 2.65], [1.72, 2.03, 2.19, 2.30]),
        (
            f64::INFINITY,
            [1.96, 2.21, 2.35, 2.44],
            [1.64, 1.92, 2.06, 2.16],
        ),
    ] {
        for (sides, row) in [(Sides::Two, two_sided), (Sides::One, one_sided)] {
            for (count, want) in (1..).zip(row) {
                let found = many_to_one_critical(0.95, &vec![half; count], df, sides);
                check_within(found, want, TWO_DECIMALS);
            }
        }
    }
}

/// Unequal groups: integrated with `NumPy`'s Gauss–Legendre nodes, 400 by 400, and `SciPy` 1.17's densities.
#[test]
fn unequal_loads() {
    let roots = |squares: &[f64]| squares.iter().map(|s| s.sqrt()).collect::<Vec<_>>();
    for (loads, df, sides, critical, at_two) in [
        (
            roots(&[0.5; 3]),
            12.0,
            Sides::Two,
            2.682870062836633,
            0.8388154450469165,
        ),
        (
            roots(&[0.5; 4]),
            10.0,
            Sides::Two,
            2.8904801103360254,
            0.7944246947320166,
        ),
        (
            roots(&[0.5; 2]),
            20.0,
            Sides::One,
            2.027318387365925,
            0.9473500562193704,
        ),
        (
            roots(&[4.0 / 10.0, 5.0 / 11.0]),
            12.0,
            Sides::Two,
            2.513482903595898,
            0.877506868435003,
        ),
        (
            roots(&[0.8, 0.5, 0.2]),
            7.5,
            Sides::Two,
            2.927922641507315,
            0.8111532591886876,
        ),
        (
            vec![0.6, 0.9],
            5.0,
            Sides::One,
            2.4285275840160057,
            0.9157279450051194,
        ),
        (
            roots(&[0.95; 3]),
            6.0,
            Sides::Two,
            2.7032598120533753,
            0.8733867890978873,
        ),
    ] {
        check(
            many_to_one_critical(0.95, &loads, df, sides),
            critical,
            TEN_FIGURES,
        );
        check(many_to_one_cdf(2.0, &loads, df, sides), at_two, TEN_FIGURES);
    }
}

/// Blood counts of animals under two drugs and none, groups of 6, 4 and 5: Dunnett (1955), *Journal of the American
/// Statistical Association* 50, 1096-1121, as in `SciPy` 1.17 `dunnett` and `tukey_hsd`.
#[test]
fn blood_counts() {
    let samples: Vec<Sample> = [
        [7.40, 8.50, 7.20, 8.24, 9.84, 8.32].as_slice(),
        &[9.76, 8.80, 7.68, 9.36],
        &[12.80, 9.68, 12.16, 9.20, 10.55],
    ]
    .into_iter()
    .filter_map(Sample::of)
    .collect();
    let groups: Vec<Group> = samples
        .iter()
        .map(|s| Group {
            mean: s.mean,
            share: 1.0 / s.n as f64,
        })
        .collect();
    let pooled = pooled_scatter(&samples).unwrap();
    let scatter = Scatter {
        sd: pooled.sd,
        df: pooled.df,
    };
    let first = against_first(&groups, scatter, 0.95).unwrap();
    for (found, (p, t, low, high)) in first.iter().zip([
        (0.62003341, 0.85703213, -1.2574146, 2.5574146),
        (0.00581444, 3.69375231, 0.8386865, 4.4173135),
    ]) {
        check_within(found.p, p, RANDOM_POINTS);
        check_within(found.value / found.se, t, 1e-8);
        check_within(found.low, low, RANDOM_POINTS);
        check_within(found.high, high, RANDOM_POINTS);
    }
    let pairs = all_pairs(&groups, scatter, 0.95).unwrap();
    for (found, (value, p, low, high)) in pairs.iter().zip([
        (0.650, 0.676, -1.373, 2.673),
        (2.628, 0.008, 0.730, 4.526),
        (1.978, 0.066, -0.125, 4.081),
    ]) {
        check_within(found.value, value, THREE_DECIMALS);
        check_within(found.p, p, THREE_DECIMALS);
        check_within(found.low, low, THREE_DECIMALS);
        check_within(found.high, high, THREE_DECIMALS);
    }
}

/// Šidák's is never below Dunnett's or Tukey's for as many intervals.
#[test]
fn sidak_is_the_widest() {
    let half = 0.5_f64.sqrt();
    for df in [3.0, 8.0, 30.0] {
        let dunnett = many_to_one_critical(0.95, &[half; 3], df, Sides::Two);
        let tukey = studentized_range_quantile(0.95, 3, df).map(|q| q / 2_f64.sqrt());
        let sidak = sidak_critical(0.95, 3, df);
        assert!(sidak > dunnett && sidak > tukey, "{sidak:?}");
    }
}
