//! Means of directions and their spread.

use thereback::stats::circular::{Resultant, resultant, weighted_resultant};
use thereback::units::Bearing;

use crate::published_check::{ROUNDING, SEVEN_FIGURES, SIX_FIGURES, check};

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

/// Batschelet (1981), *Circular Statistics in Biology*, 6.2, p. 99, as computed by R's `circular`.
#[test]
fn across_north() {
    let control = of(&repeated(&[(-10.0, 3), (0.0, 3), (10.0, 3), (20.0, 1)]));
    check(mean(control), 1.988_969, SEVEN_FIGURES);
    let experimental = of(&repeated(&[(-20.0, 1), (-10.0, 7), (0.0, 2)]));
    check(mean(experimental), 360.0 - 9.000_615, SEVEN_FIGURES);
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
