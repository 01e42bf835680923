//! Whatever the numbers: no panic, and nothing that is not finite comes out as known.
#![expect(
    clippy::redundant_closure_for_method_calls,
    reason = "a list of calls reads best where all are written alike"
)]

use proptest::collection::vec;
use proptest::prelude::*;

use thereback::stats::circle::{TimedPoint, drift_of_turns};
use thereback::stats::circular::weighted_resultant;

use thereback::stats::harmonic::harmonic;
use thereback::stats::interval::{Estimate, percent_of_log};
use thereback::stats::least_squares::ordinary;

use thereback::stats::monotone::monotone_curve;
use thereback::stats::quantile::median;
use thereback::stats::regression::fit_line;

use thereback::stats::series::mean_by_cosines;

use thereback::units::Bearing;

/// Plain numbers mostly, and every other float: NaN, infinities, subnormals, the largest.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        5 => -10.0..10.0_f64,
        1 => Just(0.0),
        1 => any::<u64>().prop_map(f64::from_bits),
        1 => prop::sample::select(vec![f64::NAN, f64::INFINITY, f64::MAX, f64::MIN_POSITIVE, 1e-320]),
    ]
}

#[track_caller]
fn all_finite(known: &[Option<f64>]) {
    for (which, value) in known.iter().enumerate() {
        assert!(value.is_none_or(f64::is_finite), "{which}: {value:?}");
    }
}

proptest! {
    #[test]
    fn no_number_panics_or_comes_out_infinite(
        values in vec(any_number(), 0..10),
        others in vec(any_number(), 0..10),
        level in prop_oneof![any_number(), 0.0..1.0_f64],
        df in prop_oneof![any_number(), 0.5..100.0_f64],
    ) {
        let n = values.len().min(others.len());
        let (x, y) = (&values[..n], &others[..n]);
        let columns = [vec![1.0; n], x.to_vec()];
        let bearings: Vec<Bearing> = x.iter().map(|d| Bearing::new(*d).or_else(|| Bearing::new(0.0)).unwrap()).collect();
        let timed: Vec<TimedPoint> = x.iter().zip(y).enumerate()
            .map(|(i, (e, n))| TimedPoint { time: i as f64, east: *e, north: *n }).collect();
        let curve = monotone_curve(x, y);
        let harmonics = harmonic(&bearings, y);
        let width = |e: Estimate| e.value + (e.high - e.low) * 0.0;
        all_finite(&[
            ordinary(&columns, y).map(|f| f.coefficients.iter().sum()),
            mean_by_cosines(&values, level).map(width),
            values.first().and_then(|v| Estimate::new(*v, level, df, level)).map(width),
            weighted_resultant(&bearings, y).map(|r| r.length),
            drift_of_turns(&timed).map(|d| d.east + d.spread),
            harmonics.as_ref().map(|h| h.amplitude),
            harmonics.as_ref().and_then(|h| h.phase_se()),
            curve.as_ref().and_then(|c| c.at(level)),
            median(&values),
            fit_line(x, y).map(|l| l.slope + l.intercept),
            percent_of_log(level),
        ]);
    }
}
