//! Means of directions and their spread.

use thereback::stats::circular::{Resultant, rayleigh_p, resultant, weighted_resultant};
use thereback::units::Bearing;

use crate::published_check::{
    ANOTHER_METHOD, FIVE_FIGURES, FOUR_FIGURES, ROUNDING, SEVEN_FIGURES, SIX_FIGURES,
    THREE_FIGURES, check, check_within,
};

fn bearings(degrees: &[f64]) -> Vec<Bearing> {
    degrees.iter().filter_map(|d| Bearing::new(*d)).collect()
}

fn of(degrees: &[f64]) -> Option<Resultant> {
    resultant(&bearings(degrees))
}

fn mean(found: Option<Resultant>) -> Option<f64> {
    found?.mean.map(Bearing::degrees)
}

fn repeated(groups: &[(f64, usize)]) -> Vec<f64> {
    groups.iter().flat_map(|(d, n)| vec![*d; *n]).collect()
}

/// Jammalamadaka & `SenGupta` (2001), *Topics in Circular Statistics*, p. 23; more digits from
/// R's `CircStats`, as in astropy's tests.
#[test]
fn six_directions() {
    let found = of(&[51.0, 67.0, 40.0, 109.0, 31.0, 358.0]);
    check(mean(found), 48.63, FOUR_FIGURES);
    check(mean(found), 48.627_180_9, SEVEN_FIGURES);
    check(
        found.map(|r| r.circular_variance()),
        0.163_563_5,
        SEVEN_FIGURES,
    );
    check(found.map(|r| r.length), 0.836_436_5, SEVEN_FIGURES);
    // The two measures of spread differ; recomputed only.
    check(found.and_then(|r| r.circular_sd()), 34.24, FOUR_FIGURES);
    check(found.map(|r| r.angular_deviation()), 32.77, FOUR_FIGURES);
}

/// Batschelet (1981), *Circular Statistics in Biology*, 6.2, p. 99, as computed by R's `circular`.
#[test]
fn across_north() {
    let control = of(&repeated(&[(-10.0, 3), (0.0, 3), (10.0, 3), (20.0, 1)]));
    check(mean(control), 1.988_969, SEVEN_FIGURES);
    let experimental = of(&repeated(&[(-20.0, 1), (-10.0, 7), (0.0, 2)]));
    check(mean(experimental), 360.0 - 9.000_615, SEVEN_FIGURES);
}

/// pingouin 0.7 `circ_mean`, `circ_r` and `circ_rayleigh`; its p is by another approximation
/// (Zar's), 0.304844.
#[test]
fn five_angles() {
    #[expect(clippy::approx_constant, reason = "the example's own figure, not π")]
    let angles = [0.785_f64, 1.570, 3.141, 0.839, 5.934].map(f64::to_degrees);
    let found = of(&angles);
    check(mean(found), 1.013_f64.to_degrees(), FOUR_FIGURES);
    check(found.map(|r| r.length), 0.4972, FOUR_FIGURES);
    check(
        found.and_then(|r| r.circular_sd()),
        1.1821_f64.to_degrees(),
        FIVE_FIGURES,
    );
    check(
        found.map(|r| 5.0 * r.length * r.length),
        1.236,
        FOUR_FIGURES,
    );
    let p = found.and_then(|r| rayleigh_p(5, r.length));
    check(p, 0.304_844, ANOTHER_METHOD);
}

/// R `CircStats` `r.test`, as in astropy's tests: the series of Greenwood & Durand.
#[test]
fn rayleigh() {
    let found = of(&[190.18, 175.48, 155.95, 217.83, 156.36]);
    check(found.map(|r| r.length), 0.920_256_5, SEVEN_FIGURES);
    check(
        found.and_then(|r| rayleigh_p(5, r.length)),
        0.006_404_18,
        SIX_FIGURES,
    );
}

/// Grouped directions, as in astropy's tests against R.
#[test]
fn weights() {
    let directions = bearings(&[0.0, 3.6, 36.0, 72.0, 108.0, 169.2, 324.0]);
    let weights = [12.0, 1.0, 6.0, 1.0, 2.0, 1.0, 1.0];
    let grouped = weighted_resultant(&directions, &weights);
    check(grouped.map(|r| r.length), 0.766_282, SIX_FIGURES);
    let counts = [12, 1, 6, 1, 2, 1, 1];
    let groups: Vec<(f64, usize)> = directions.iter().map(|d| d.degrees()).zip(counts).collect();
    let written_out = of(&repeated(&groups));
    check(
        mean(grouped),
        mean(written_out).unwrap_or_default(),
        ROUNDING * 10.0,
    );
}

/// Three textbook sets from memory, recomputed: trees of Zar (1999), *Biostatistical
/// Analysis*, 26.1; roulette of Mardia (1972), *Statistics of Directional Data*; and Zar's
/// example 27.2.
#[test]
fn textbook_sets() {
    let trees = of(&[45.0, 55.0, 81.0, 96.0, 110.0, 117.0, 132.0, 154.0]);
    check(mean(trees), 98.987_75, SEVEN_FIGURES);
    check(trees.map(|r| r.length), 0.825_217_7, SEVEN_FIGURES);
    check(
        trees.map(|r| 8.0 * r.length * r.length),
        5.448,
        FOUR_FIGURES,
    );
    check_within(trees.map(|r| r.angular_deviation()), 34.0, 0.5);
    let roulette = of(&[43.0, 45.0, 52.0, 61.0, 75.0, 88.0, 88.0, 279.0, 357.0]);
    check(mean(roulette), 51.050_2, SIX_FIGURES);
    check(roulette.map(|r| r.length), 0.710_991_0, SEVEN_FIGURES);
    let third = of(&[
        66.0, 75.0, 86.0, 88.0, 88.0, 93.0, 97.0, 101.0, 118.0, 130.0,
    ]);
    check(mean(third), 94.048_2, SIX_FIGURES);
    check(third.map(|r| r.length), 0.9521, FOUR_FIGURES);
}

/// Rayleigh's p against numerical integration of the exact distribution of the
/// resultant, recomputed only.
#[test]
fn rayleigh_exact() {
    for (n, length, exact, tolerance) in [
        (8, 0.825_217_7, 0.001_655_116, 2.0 * THREE_FIGURES),
        (8, 0.6, 0.051_250_25, THREE_FIGURES),
        (9, 0.710_991, 0.006_771_114, 3.0 * THREE_FIGURES),
        (12, 0.5, 0.046_408_57, THREE_FIGURES),
        (20, 0.4, 0.038_704_18, FOUR_FIGURES),
    ] {
        check(rayleigh_p(n, length), exact, tolerance);
    }
}
