//! What holds for every input: the algebra of angles, means, weights and percent.

use proptest::collection::vec;
use proptest::prelude::*;

use thereback::stats::autocorrelation::{
    autocorrelation, effective_size, effective_size_finite, process_autocorrelation,
};
use thereback::stats::circular::{resultant, weighted_resultant};
use thereback::stats::distribution::{t_cdf, t_quantile};
use thereback::stats::interval::{Estimate, log_of_percent, percent_of_log};
use thereback::stats::long_run::{
    automatic_lag, low_frequency_variance, newey_west_variance, weighted_sum_variance,
};
use thereback::stats::meanofmeans::{Reading, mean_of_means, solve, weights};
use thereback::stats::quantile::{median, median_absolute_deviation, quantile};
use thereback::stats::regression::{fit_line, fit_through_origin};
use thereback::stats::samples::{Sample, one_sample, paired, pooled, welch};
use thereback::stats::summary::{mean, root_mean_square, standard_deviation, weighted_mean};
use thereback::units::{Bearing, Turn};

fn bearings(degrees: &[f64]) -> Vec<Bearing> {
    degrees.iter().filter_map(|d| Bearing::new(*d)).collect()
}

/// A polynomial with the given coefficients.
fn polynomial(coefficients: &[f64], t: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * t + c)
}

fn alternating(speed: f64, times: &[f64], current: &[f64]) -> Vec<Reading> {
    let readings = times.iter().enumerate().map(|(i, time)| {
        let along = polynomial(current, *time);
        Reading {
            time: *time,
            value: if i % 2 == 0 {
                speed + along
            } else {
                speed - along
            },
            forward: i % 2 == 0,
        }
    });
    readings.collect()
}

/// Plain numbers mostly, and every other float: NaN, infinities, subnormals, the largest.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -10.0..10.0_f64,
        1 => Just(0.0),
        1 => any::<u64>().prop_map(f64::from_bits),
        1 => prop::sample::select(vec![f64::NAN, f64::INFINITY, f64::MAX, f64::MIN_POSITIVE, 1e-320]),
    ]
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
    fn weights_sum_to_one_and_mirror(n in 1..=64_usize) {
        let found = weights(n).unwrap_or_default();
        prop_assert!((found.iter().sum::<f64>() - 1.0).abs() < 1e-14);
        prop_assert!(found.iter().eq(found.iter().rev()));
    }

    #[test]
    fn mean_of_means_cancels_polynomial_currents(
        speed in 0.5..20.0_f64,
        current in vec(-1.0..1.0_f64, 1..10),
    ) {
        // n runs cancel a current of order n - 2: as many runs as coefficients and one more.
        let n = current.len() + 1;
        let times: Vec<f64> = (0..n).map(|i| i as f64 / n as f64).collect();
        let runs: Vec<f64> = alternating(speed, &times, &current).iter().map(|r| r.value).collect();
        let found = mean_of_means(&runs);
        prop_assert!(found.is_some_and(|v| (v - speed).abs() < 1e-12 * 20.0), "{found:?}");
    }

    #[test]
    fn unequal_gaps_cancel_polynomial_currents(
        speed in 0.5..20.0_f64,
        current in vec(-1.0..1.0_f64, 1..=5),
        gaps in vec(0.2..2.0_f64, 10),
        start in -1e6..1e6_f64,
        spare in 0..4_usize,
    ) {
        let n = current.len() + 1 + spare;
        let since: Vec<f64> = gaps.iter().take(n).scan(0.0, |t, gap| { *t += gap; Some(*t) }).collect();
        let mut readings = alternating(speed, &since, &current);
        // The current knows only the time since the start; so may the solution.
        for reading in &mut readings {
            reading.time += start;
        }
        let found = solve(&readings);
        let scale: f64 = readings.iter().map(|r| r.value.abs()).fold(1.0, f64::max);
        prop_assert!(found.as_ref().is_some_and(|s| (s.value - speed).abs() < 1e-8 * scale), "{found:?}");
        let total: f64 = found.iter().flat_map(|s| &s.weights).sum();
        prop_assert!((total - 1.0).abs() < 1e-12);
        // Alternate directions: the value is never noisier than one reading.
        prop_assert!(found.is_some_and(|s| s.noise <= 1.0));
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
    fn effective_size_never_exceeds_the_count(n in 1..5000_usize, r1 in -0.999..0.999_f64) {
        for size in [effective_size(n, r1), effective_size_finite(n, r1)] {
            prop_assert!(size.is_some_and(|s| s > 0.0 && s <= n as f64));
        }
        prop_assert!(effective_size_finite(n, r1) >= effective_size(n, r1));
    }

    #[test]
    fn percent_goes_there_and_back(log in -3.0..3.0_f64) {
        let back = percent_of_log(log).and_then(log_of_percent);
        prop_assert!(back.is_some_and(|b| (b - log).abs() < 1e-13));
        // A gain and the loss that undoes it.
        let both = percent_of_log(log).zip(percent_of_log(-log));
        let product = both.map(|(a, b)| (1.0 + a / 100.0) * (1.0 + b / 100.0));
        prop_assert!(product.is_some_and(|p| (p - 1.0).abs() < 1e-12));
    }

    #[test]
    fn t_quantile_inverts_its_distribution(p in 1e-6..0.999_999_f64, df in 0.5..1e5_f64) {
        let back = t_quantile(p, df).and_then(|t| t_cdf(t, df));
        prop_assert!(back.is_some_and(|b| (b - p).abs() < 1e-12), "{back:?}");
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

    /// Whatever the numbers: no panic, and nothing that is not finite comes out as known.
    #[test]
    fn nothing_panics_and_nothing_infinite_is_known(
        numbers in vec(any_number(), 0..12),
        lag in 0..14_usize,
        level in prop_oneof![any_number(), 0.0..1.0_f64],
    ) {
        let values = numbers.as_slice();
        let mut other = numbers.clone();
        other.reverse();
        let estimate = |e: Option<Estimate>| e.map(|e| e.value + e.se + (e.high - e.low) * 0.0);
        let sample = Sample::of(values);
        let reversed = Sample::of(&other);
        let both = sample.zip(reversed);
        let directions = bearings(values);
        let readings: Vec<Reading> = values.iter().zip(&other)
            .map(|(time, value)| Reading { time: *time, value: *value, forward: *value > 0.0 })
            .collect();
        let known = [
            mean(values), standard_deviation(values), root_mean_square(values),
            weighted_mean(values, &other), median(values), median_absolute_deviation(values),
            quantile(values, level), autocorrelation(values, lag), process_autocorrelation(values),
            newey_west_variance(values, lag), automatic_lag(values).map(|l| l as f64),
            weighted_sum_variance(values, &other, lag).map(|v| v.variance + v.df),
            low_frequency_variance(values, &other, lag).map(|v| v.variance + v.df),
            fit_line(values, &other).map(|l| l.slope + l.intercept),
            fit_through_origin(values, &other).map(|l| l.slope),
            resultant(&directions).map(|r| r.length),
            weighted_resultant(&directions, &other).map(|r| r.length),
            estimate(sample.and_then(|s| one_sample(&s, level))).map(|_| 0.0),
            estimate(paired(values, &other, level)).map(|_| 0.0),
            estimate(both.and_then(|(a, b)| pooled(&a, &b, level))).map(|_| 0.0),
            estimate(both.and_then(|(a, b)| welch(&a, &b, level))).map(|_| 0.0),
            mean_of_means(values), solve(&readings).map(|s| s.value + s.noise),
            t_quantile(level, values.first().copied().unwrap_or(1.0)),
        ];
        for (which, value) in known.into_iter().enumerate() {
            prop_assert!(value.is_none_or(f64::is_finite), "{which}: {value:?}");
        }
    }
}
