//! What holds for every input: the algebra of angles, means, weights and percent.

use proptest::collection::vec;
use proptest::prelude::*;

use thereback::stats::circular::resultant;

use thereback::stats::quantile::quantile;
use thereback::stats::regression::fit_line;

use thereback::units::{Bearing, Turn};

fn bearings(degrees: &[f64]) -> Vec<Bearing> {
    degrees.iter().filter_map(|d| Bearing::new(*d)).collect()
}

proptest! {
    #[test]
    fn bearings_wrap(degrees in -1e6..1e6_f64, turns in -1000..1000_i32) {
        let plain = Bearing::new(degrees).map(Bearing::degrees);
        prop_assert!(plain.is_some_and(|d| (0.0..360.0).contains(&d)));
        let wound = Bearing::new(degrees + 360.0 * f64::from(turns));
        let apart = Bearing::new(degrees).zip(wound).map(|(a, b)| a.apart(b));
        prop_assert!(apart.is_some_and(|a| a < 1e-9), "{apart:?}");
    }

    #[test]
    fn any_float_is_a_bearing_or_nothing(bits: u64) {
        let degrees = f64::from_bits(bits);
        let bearing = Bearing::new(degrees);
        prop_assert_eq!(bearing.is_some(), degrees.is_finite());
        prop_assert!(bearing.is_none_or(|b| (0.0..360.0).contains(&b.degrees())));
        let turn = Turn::new(degrees).map(Turn::degrees);
        prop_assert!(turn.is_none_or(|t| t > -180.0 && t <= 180.0));
    }

    #[test]
    fn turning_there_arrives(a in 0.0..360.0_f64, b in 0.0..360.0_f64) {
        let arrived = Bearing::new(a).zip(Bearing::new(b)).map(|(a, b)| {
            (a.turned(a.turn_to(b)).apart(b), a.apart(b) - b.apart(a), a.reciprocal().apart(a))
        });
        let (left, skew, across) = arrived.unwrap_or((1.0, 1.0, 0.0));
        prop_assert!(left < 1e-9 && skew.abs() < 1e-9 && (across - 180.0).abs() < 1e-9);
    }

    #[test]
    fn circular_mean_turns_with_its_directions(
        degrees in vec(0.0..360.0_f64, 1..30),
        turn in -720.0..720.0_f64,
    ) {
        let before = resultant(&bearings(&degrees));
        let turned: Vec<f64> = degrees.iter().map(|d| d + turn).collect();
        let after = resultant(&bearings(&turned));
        let lengths = before.zip(after).map(|(b, a)| (a.length - b.length).abs());
        prop_assert!(lengths.is_some_and(|l| l < 1e-12));
        // Near R = 0 the direction is ill conditioned by 1/R.
        if before.is_some_and(|b| b.length > 1e-3) {
            let expected = before.and_then(|b| b.mean).and_then(|m| Bearing::new(m.degrees() + turn));
            let apart = expected.zip(after.and_then(|a| a.mean)).map(|(a, b)| a.apart(b));
            prop_assert!(apart.is_some_and(|a| a < 1e-8), "{apart:?}");
        }
    }

    #[test]
    fn quantiles_lie_between_the_ends(values in vec(-1e3..1e3_f64, 1..50), p in 0.0..=1.0_f64) {
        let (low, high) = (quantile(&values, 0.0), quantile(&values, 1.0));
        let found = quantile(&values, p);
        prop_assert!(low <= found && found <= high);
    }

    #[test]
    fn a_line_is_found_under_any_offset(
        slope in -10.0..10.0_f64,
        intercept in -10.0..10.0_f64,
        x in vec(-100.0..100.0_f64, 3..40),
    ) {
        let y: Vec<f64> = x.iter().map(|x| intercept + slope * x).collect();
        let spread = x.iter().fold(f64::NEG_INFINITY, |m, v| m.max(*v))
            - x.iter().fold(f64::INFINITY, |m, v| m.min(*v));
        prop_assume!(spread > 1.0);
        let line = fit_line(&x, &y);
        prop_assert!(line.is_some_and(|l| (l.slope - slope).abs() < 1e-9));
        prop_assert!(line.is_some_and(|l| (l.intercept - intercept).abs() < 1e-7));
    }

}
