//! How often an interval holds: our own simulated series, no published source.
//!
//! A leg's speed is a weighted sum of increments; here its true value is zero, and
//! the interval should hold 95 times in 100.

use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64Mcg;

use thereback::stats::interval::Estimate;
use thereback::stats::long_run::{SumVariance, USUAL_COSINES, low_frequency_variance};

use crate::published_check::check_within;

const COUNT: usize = 300;
const SERIES: usize = 2000;

/// A slow wander, first-order autoregressive with unit variance, under a differenced white noise.
fn series(random: &mut Pcg64Mcg, correlation: f64, noise: f64) -> Vec<f64> {
    let innovation = (1.0 - correlation * correlation).sqrt();
    let mut wander: f64 = random.sample(StandardNormal);
    let mut error: f64 = random.sample(StandardNormal);
    let step = |_| {
        let before = error;
        error = random.sample(StandardNormal);
        let value = wander + noise * (error - before);
        wander = correlation * wander + innovation * random.sample::<f64, _>(StandardNormal);
        value
    };
    (0..COUNT).map(step).collect()
}

/// The weights that make a least-squares slope out of increments: a parabola, summing to one.
fn slope_weights() -> Vec<f64> {
    let n = COUNT as f64;
    let parabola = |i| (i as f64 + 0.5) * (n - i as f64 - 0.5);
    let total: f64 = (0..COUNT).map(parabola).sum();
    (0..COUNT).map(|i| parabola(i) / total).collect()
}

/// The share of series whose interval holds the true value.
fn coverage(
    correlation: f64,
    noise: f64,
    variance: impl Fn(&[f64], &[f64]) -> Option<SumVariance>,
) -> f64 {
    let mut random = Pcg64Mcg::seed_from_u64(1);
    let weights = slope_weights();
    let holds = (0..SERIES).filter(|_| {
        let values = series(&mut random, correlation, noise);
        let sum: f64 = values.iter().zip(&weights).map(|(v, w)| v * w).sum();
        let estimate = variance(&values, &weights)
            .and_then(|v| Estimate::new(sum, v.variance.sqrt(), v.df, 0.95));
        estimate.is_some_and(|e| (e.low..=e.high).contains(&0.0))
    });
    holds.count() as f64 / SERIES as f64
}

fn by_cosines(values: &[f64], weights: &[f64]) -> Option<SumVariance> {
    low_frequency_variance(values, weights, USUAL_COSINES)
}

/// The figures that the documentation of `long_run` gives, within two in a hundred.
#[test]
fn as_documented() {
    for (correlation, noise, cosines) in [
        (0.0, 0.0, 0.95),
        (0.9, 0.0, 0.94),
        (0.967, 0.0, 0.90),
        (0.967, 0.5, 0.89),
    ] {
        let found = coverage(correlation, noise, by_cosines);
        check_within(Some(found), cosines, 0.02);
    }
}
