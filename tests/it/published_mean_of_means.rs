//! The mean of means, and that speeds are averaged, not times.
//!
//! Source of the four-run formula: Tupper, *Introduction to Naval Architecture* (4th
//! edition), chapter 9, pp. 243-245: `8V = V1 + 3 V2 + 3 V3 + V4`.

use thereback::stats::meanofmeans::{Reading, mean_of_means, solve, weights};
use thereback::stats::summary::mean;

use crate::published_check::{CERTIFIED, ROUNDING, check, check_within};

fn binomial(n: u64, k: u64) -> f64 {
    (1..=k).fold(1.0, |product, i| product * (n + 1 - i) as f64 / i as f64)
}

/// Runs at the given times, in turn there and back, through the water at `speed` on a
/// current along the line.
fn runs(speed: f64, times: &[f64], current: impl Fn(f64) -> f64) -> Vec<Reading> {
    let reading = |(i, time): (usize, &f64)| {
        let forward = i % 2 == 0;
        let along = if forward {
            current(*time)
        } else {
            -current(*time)
        };
        Reading {
            time: *time,
            value: speed + along,
            forward,
        }
    };
    times.iter().enumerate().map(reading).collect()
}

fn values(readings: &[Reading]) -> Vec<f64> {
    readings.iter().map(|r| r.value).collect()
}

#[test]
fn four_runs() {
    assert_eq!(weights(4), Some(vec![0.125, 0.375, 0.375, 0.125]));
    // Current 0.4 - 0.1k + 0.02k² on runs of 5 kn: worked example, recomputed only.
    let runs = runs(5.0, &[0.0, 1.0, 2.0, 3.0], |k| 0.4 - 0.1 * k + 0.02 * k * k);
    for (got, want) in values(&runs).into_iter().zip([5.40, 4.68, 5.28, 4.72]) {
        check(got, want, ROUNDING);
    }
    check(mean(&values(&runs)), 5.02, ROUNDING);
    check(mean_of_means(&values(&runs)), 5.0, ROUNDING);
    check(solve(&runs).map(|s| s.value), 5.0, ROUNDING);
}

/// "If the tide varied linearly with time three runs would be enough" (Tupper, p. 244).
#[test]
fn three_runs() {
    assert_eq!(weights(3), Some(vec![0.25, 0.5, 0.25]));
    let runs = runs(5.0, &[0.0, 1.0, 2.0], |k| 0.7 - 0.3 * k);
    check(mean_of_means(&values(&runs)), 5.0, ROUNDING);
}

#[test]
fn two_runs_are_the_plain_mean() {
    assert_eq!(weights(2), Some(vec![0.5, 0.5]));
    assert_eq!(weights(1), Some(vec![1.0]));
    check(mean_of_means(&[6.0, 4.0]), 5.0, ROUNDING);
}

/// For n runs the weights are the binomials over 2^(n - 1).
#[test]
fn binomial_weights() {
    for n in 1..=64 {
        let found = weights(n).unwrap_or_default();
        assert_eq!(found.len(), n);
        let n = n as u64;
        for (k, weight) in (0..).zip(found) {
            check(
                weight,
                binomial(n - 1, k) / 2_f64.powf((n - 1) as f64),
                CERTIFIED,
            );
        }
    }
}

/// "Solve the equations" where the gaps are unequal (Tupper, p. 245): equal gaps give the
/// formula back, unequal ones still cancel the current.
#[test]
fn unequal_gaps() {
    for n in 2..=6 {
        let times: Vec<f64> = (0..n).map(|i| 0.4 * f64::from(i)).collect();
        let found = solve(&runs(5.0, &times, |_| 0.0)).map(|s| s.weights);
        let expected = weights(times.len()).unwrap_or_default();
        assert_eq!(found.as_ref().map(Vec::len), Some(expected.len()));
        for (got, want) in found.into_iter().flatten().zip(expected) {
            check(got, want, CERTIFIED);
        }
    }
    let uneven = runs(5.0, &[9.0, 9.4, 10.9, 11.2], |t| {
        0.2 + 0.3 * t - 0.02 * t * t
    });
    check(solve(&uneven).map(|s| s.value), 5.0, CERTIFIED);
}

/// The half-day tide (M2, 12.4206 h, from memory) over six hours and eight runs: what the capped
/// order leaves is far below what a trial can see.
#[test]
fn a_half_day_tide() {
    let times: Vec<f64> = (0..8).map(|i| 6.0 * f64::from(i) / 7.0).collect();
    let tide = |t: f64| 1.0 * (std::f64::consts::TAU * (t - 1.3) / 12.4206).cos();
    let solution = solve(&runs(5.0, &times, tide));
    // The bound given for the largest order, 0.4 % of the amplitude.
    check_within(solution.as_ref().map(|s| s.value), 5.0, 0.004);
    assert!(solution.is_some_and(|s| s.noise < 0.5));
}

/// One nautical mile up at 6 kn and down at 4 kn on 1 kn of current: elementary.
#[test]
fn speeds_not_times() {
    check(mean(&[6.0, 4.0]), 5.0, ROUNDING);
    check(2.0 / (1.0 / 6.0 + 1.0 / 4.0), 4.8, ROUNDING);
}
