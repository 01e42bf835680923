//! Whatever the numbers: no panic, and nothing that is not finite comes out as known.
#![expect(
    clippy::redundant_closure_for_method_calls,
    reason = "a list of calls reads best where all are written alike"
)]

use proptest::collection::vec;
use proptest::prelude::*;

use thereback::stats::between::{BetweenMethod, Finding, between_variance, i_squared};
use thereback::stats::circle::{TimedPoint, circle, drift_of_turns};
use thereback::stats::circular::weighted_resultant;
use thereback::stats::circular_interval::{mean_arc, student_arc};
use thereback::stats::equivalence::{equivalence, smallest_margin, smallest_percent};
use thereback::stats::harmonic::{harmonic, weighted_harmonic};
use thereback::stats::interval::{Estimate, Interval};
use thereback::stats::least_squares::{generalised, ordinary, weighted};
use thereback::stats::many_to_one::many_to_one_cdf;
use thereback::stats::monotone::monotone_curve;
use thereback::stats::noncentral_t::noncentral_t_cdf;
use thereback::stats::nonlinear::least_squares;
use thereback::stats::power::{Design, Plan, Sides, power_of};
use thereback::stats::random_effects::{ErrorMethod, pool};
use thereback::stats::series::{
    WeightedSeries, mean_by_blocks, mean_by_cosines, mean_by_effective_size, mean_by_lags,
    partly_pooled_low_frequency, pooled_low_frequency,
};
use thereback::stats::simultaneous::{Group, Scatter, against_first, all_pairs, sidak_p};
use thereback::stats::studentized_range::studentized_range_cdf;
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

fn width(e: Option<Estimate>) -> Option<f64> {
    e.map(|e| e.value + (e.high - e.low) * 0.0)
}

proptest! {
    #[test]
    fn samples_and_series(
        values in vec(any_number(), 0..10),
        level in prop_oneof![any_number(), 0.0..1.0_f64],
        count in 0..12_usize,
    ) {
        let mut other = values.clone();
        other.reverse();
        let findings: Vec<Finding> = values.iter().zip(&other)
            .map(|(value, variance)| Finding { value: *value, variance: *variance }).collect();
        let estimate = values.first().zip(other.first())
            .and_then(|(v, se)| Estimate::new(*v, se.abs(), count as f64, level));
        let margins = Interval { low: -level, high: level };
        let series = [WeightedSeries { values: &values, weights: &other }];
        let bearings: Vec<Bearing> = values.iter().filter_map(|d| Bearing::new(*d)).collect();
        let mean = weighted_resultant(&bearings, &other);
        let pooled = |between, error| pool(&findings, between, error, level);
        all_finite(&[
            between_variance(&findings, BetweenMethod::DerSimonianLaird),
            between_variance(&findings, BetweenMethod::PauleMandel),
            i_squared(&findings, level),
            pooled(BetweenMethod::PauleMandel, ErrorMethod::HartungKnapp).map(|p| p.estimate.high + p.tau),
            pooled(BetweenMethod::DerSimonianLaird, ErrorMethod::Normal).map(|p| p.estimate.low),
            estimate.and_then(|e| equivalence(&e, margins)).map(|e| e.p()),
            estimate.and_then(|e| smallest_margin(&e, level)),
            estimate.and_then(|e| smallest_percent(&e, level)),
            width(mean_by_blocks(&values, count, level)),
            width(mean_by_cosines(&values, level)),
            width(mean_by_effective_size(&values, level)),
            width(mean_by_lags(&values, level)),
            pooled_low_frequency(&series, count).and_then(|p| p.first().map(|v| v.variance)),
            partly_pooled_low_frequency(&series, count, level).and_then(|p| p.first().map(|v| v.variance)),
            mean.and_then(|r| mean_arc(&r, count, level)).map(|a| a.width()),
            mean.and_then(|r| student_arc(&r, count, level)).map(|a| a.width()),
        ]);
    }

    #[test]
    fn models(
        values in vec(any_number(), 0..10),
        others in vec(any_number(), 0..10),
        level in prop_oneof![any_number(), 0.0..1.0_f64],
    ) {
        let n = values.len().min(others.len());
        let (x, y) = (&values[..n], &others[..n]);
        let columns = [vec![1.0; n], x.to_vec()];
        let matrix: Vec<Vec<f64>> = x.iter().map(|a| y.iter().map(|b| a * b).collect()).collect();
        let bearings: Vec<Bearing> = x.iter().map(|d| Bearing::new(*d).or_else(|| Bearing::new(0.0)).unwrap()).collect();
        let points: Vec<(f64, f64)> = x.iter().copied().zip(y.iter().copied()).collect();
        let timed: Vec<TimedPoint> = x.iter().zip(y).enumerate()
            .map(|(i, (e, n))| TimedPoint { time: i as f64, east: *e, north: *n }).collect();
        let curve = monotone_curve(x, y);
        let fit = least_squares(&values, |p| Some(p.iter().zip(&others).map(|(p, o)| p * p - o).collect()));
        let harmonics = harmonic(&bearings, y);
        all_finite(&[
            ordinary(&columns, y).map(|f| f.coefficients.iter().sum()),
            weighted(&columns, y, x).map(|f| f.residual_squares),
            generalised(&columns, y, &matrix).map(|f| f.coefficients.iter().sum()),
            fit.map(|f| f.parameters.iter().sum()),
            circle(&points).map(|c| c.radius),
            drift_of_turns(&timed).map(|d| d.east + d.spread),
            harmonics.as_ref().map(|h| h.amplitude),
            harmonics.as_ref().and_then(|h| h.phase_se()),
            harmonics.and_then(|h| h.phase_arc(level)).map(|a| a.width()),
            weighted_harmonic(&bearings, y, x).map(|h| h.amplitude),
            curve.as_ref().and_then(|c| c.at(level)),
            curve.and_then(|c| c.inverse(level)),
        ]);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn distributions_and_plans(
        a in any_number(), b in any_number(), df in prop_oneof![any_number(), 0.5..100.0_f64],
        alpha in prop_oneof![any_number(), 0.0..1.0_f64], count in 0..6_usize,
    ) {
        let plan = Plan { design: Design::TwoSample, sides: Sides::Two, alpha };
        let groups: Vec<Group> = [a, b, df].iter().take(count).map(|v| Group { mean: *v, share: v.abs() }).collect();
        let scatter = Scatter { sd: b.abs(), df };
        all_finite(&[
            noncentral_t_cdf(a, df, b),
            power_of(b, df, Sides::Two, alpha),
            plan.power(a, b),
            plan.count(a, 0.8),
            plan.smallest_effect(df, 0.8),
            studentized_range_cdf(a, count, df),
            many_to_one_cdf(a, &[0.5, alpha], df, Sides::Two),
            all_pairs(&groups, scatter, alpha).and_then(|p| p.first().map(|d| d.high)),
            against_first(&groups, scatter, alpha).and_then(|p| p.first().map(|d| d.low)),
            sidak_p(a, count, df),
        ]);
    }
}
