//! Changes shown to be too small to matter.
#![expect(
    clippy::unreadable_literal,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::equivalence::{Equivalence, equivalence, one_sided_bounds, smallest_margin};
use thereback::stats::interval::{Estimate, Interval};
use thereback::stats::samples::{Sample, paired, welch};

use crate::published_check::{CERTIFIED, check};

/// Fifteen pairs of two measures: R's `equivalence` package, as in statsmodels' `test_tost.py`.
#[test]
fn fifteen_pairs() {
    #[expect(clippy::approx_constant, reason = "the example's own figure, not π")]
    let first = [
        2.84, 2.51, 2.41, 2.95, 3.14, 3.79, 4.14, 3.85, 3.02, 3.45, 5.37, 3.81, 4.19, 3.16, 3.84,
    ];
    let second = [
        2.60, 2.82, 2.18, 3.46, 4.01, 3.04, 3.47, 4.06, 2.91, 3.59, 4.51, 3.16, 3.86, 3.31, 3.02,
    ];
    let margins = Interval {
        low: -0.6,
        high: 0.6,
    };
    let change = paired(&first, &second, 0.95);
    check(change.map(|e| e.value), 0.1646666666666667, CERTIFIED);
    check(change.map(|e| e.se), 0.1357514067862445, CERTIFIED);
    let p = change
        .and_then(|e| equivalence(&e, margins))
        .map(Equivalence::p);
    check(p, 0.003166881489265175, CERTIFIED);
    let bounds = change.and_then(|e| one_sided_bounds(&e, 0.95));
    check(bounds.map(|b| b.low), -0.0744336620516462, CERTIFIED);
    check(bounds.map(|b| b.high), 0.4037669953849797, CERTIFIED);
    // "No change larger than 0.404", although no change was found: p 0.245.
    let margin = change.and_then(|e| smallest_margin(&e, 0.95));
    check(margin, 0.4037669953849797, CERTIFIED);
    check(
        change.and_then(|e| e.p_against(0.0)),
        0.245199929713149,
        CERTIFIED,
    );

    let unpaired = Sample::of(&first)
        .zip(Sample::of(&second))
        .and_then(|(a, b)| welch(&a, &b, 0.95));
    check(unpaired.map(|e| e.df), 26.7484787582315, CERTIFIED);
    let p = unpaired
        .and_then(|e| equivalence(&e, margins))
        .map(Equivalence::p);
    check(p, 0.04853083976236974, CERTIFIED);
}

/// A ratio by logarithms within 0.8 to 1.25: Wellek (2003), p. 212, as in statsmodels' `test_tost.py`.
#[test]
fn ratio_within_a_quarter() {
    let change = Estimate::new(0.06060076667771316, 0.04805826005366752, 11.0, 0.95);
    let margin = 1.25_f64.ln();
    let margins = Interval {
        low: -margin,
        high: margin,
    };
    let p = change
        .and_then(|e| equivalence(&e, margins))
        .map(Equivalence::p);
    check(p, 0.003059338540563293, CERTIFIED);
}
