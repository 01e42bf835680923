//! The variance of a weighted sum of a series whose values hang together.
//!
//! A mean, or a least-squares slope taken as a weighted sum of increments, is
//! `Σ wᵢxᵢ`. For a stationary series its variance is `Σ c_k γ_k` over all lags,
//! where `γ_k` is the autocovariance and `c_k = Σ wᵢwᵢ₊ₖ` the weights' own.
//!
//! Two estimates are here, for two kinds of series:
//!
//! * [`weighted_sum_variance`] sums tapered autocovariances up to a lag. Good where the
//!   lag covers the memory and the series is many times longer than that.
//! * [`low_frequency_variance`] takes the spectrum near frequency zero from the
//!   slowest few cosines. It needs no lag, and holds where a fast noise lies over a slow
//!   wander, which hides the wander's memory from any rule that reads it off lag one.
//!
//! Tried on 2000 simulated series of 300 values each, weighted as for a slope; a nominal
//! 95 % interval held in so many of a hundred (`tests/it/published_coverage.rs`):
//!
//! | lag-one correlation | noise over it | fixed lag | automatic lag | 4 cosines |
//! |---|---|---|---|---|
//! | 0 | none | 95 | 95 | 95 |
//! | 0.9 | none | 66 | 90 | 94 |
//! | 0.967 | none | 41 | 85 | 90 |
//! | 0.967 | differenced white, sd 0.5 | 42 | 47 | 89 |
//!
//! Where the series is shorter than some ten times its memory, every estimate falls
//! below the true variance, and nothing in one series can tell.

use std::f64::consts::PI;

use super::autocorrelation::{autocovariances, process_autocorrelation};
use super::finite;
use super::summary::mean;

/// A variance of a weighted sum, and how well it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SumVariance {
    /// The variance, at least 0, in the square of the unit of the sum.
    pub variance: f64,
    /// Degrees of freedom for Student's t, at least 1.
    pub df: f64,
}

/// Newey & West's variance of the mean: `(g₀ + 2 Σ (1 - k/(lag+1)) g_k) / n`, never negative.
///
/// Autocovariances with divisor `n` and no small-sample correction (Newey & West
/// 1987, *Econometrica* 55, 703-708). `None` unless `lag` is below the count.
pub fn newey_west_variance(values: &[f64], lag: usize) -> Option<f64> {
    let covariances = autocovariances(values, lag)?;
    let sum: f64 = covariances
        .iter()
        .enumerate()
        .map(|(k, g)| both_ways(k) * bartlett(k, lag) * g)
        .sum();
    finite((sum / values.len() as f64).max(0.0))
}

/// The variance of `Σ wᵢxᵢ` for a stationary series, from Bartlett-tapered
/// autocovariances up to `lag`, corrected for the mean having been removed.
///
/// # Derivation
/// With `g_k` the autocovariance about the sample mean, divisor `n`, and `V` the variance of
/// that mean, expanding `(xᵢ - x̄)(xᵢ₊ₖ - x̄)` and taking every row sum of the
/// covariance matrix as the average one (exact at `k = 0`, else up to the
/// ends of the series) gives `E[g_k] = (1 - k/n)(γ_k - V)`. So
/// `g_k / (1 - k/n) + V` estimates `γ_k`. `V` itself is the case `wᵢ = 1/n`: with
/// `b_k` the taper, `V = S + K V`, where `S` is Newey & West's variance and
/// `K = Σ b_k (n - k)/n²` over all lags, so `V = S/(1 - K)`. With `lag = 0` and equal
/// weights this is `s²/n` exactly, `s` with divisor `n - 1`.
///
/// Degrees of freedom: `1.5 n/(lag + 1) - 1`, half of those of a Bartlett spectral
/// estimate, since at frequency zero its variance doubles (Priestley 1981, table 6.1
/// and 6.2.4, from memory), less one for the mean.
///
/// `None` where the lengths differ, anything is not finite, `lag` is above
/// half the count, or the sum comes out negative (possible where neighbours
/// are strongly opposed; then use [`low_frequency_variance`]).
pub fn weighted_sum_variance(values: &[f64], weights: &[f64], lag: usize) -> Option<SumVariance> {
    let count = values.len();
    if weights.len() != count || lag > count / 2 {
        return None;
    }
    let n = count as f64;
    let covariances = autocovariances(values, lag)?;
    let mut removed = 0.0;
    let mut share = 0.0;
    let mut tapered_weights = 0.0;
    let mut variance_of_mean = 0.0;
    for (k, g) in covariances.iter().enumerate() {
        let taper = both_ways(k) * bartlett(k, lag);
        let left = 1.0 - k as f64 / n;
        let c: f64 = weights
            .iter()
            .zip(weights.iter().skip(k))
            .map(|(a, b)| a * b)
            .sum();
        removed += taper * c * g / left;
        tapered_weights += taper * c;
        variance_of_mean += taper * g / n;
        share += taper * left / n;
    }
    let variance = removed + variance_of_mean / (1.0 - share) * tapered_weights;
    if variance < 0.0 {
        return None;
    }
    Some(SumVariance {
        variance: finite(variance)?,
        df: (1.5 * n / (lag as f64 + 1.0) - 1.0).max(1.0),
    })
}

/// The variance of `Σ wᵢxᵢ` for a series whose spectrum is flat below the `cosines`-th
/// half cycle: `Σ wᵢ²` times the mean square of the slowest cosine coefficients.
///
/// `B` coefficients `Λ_j = √(2/n) Σ xᵢ cos(πj(i - ½)/n)`, `j = 1..B`, none of which
/// feels the mean; Student's t with `B` degrees of freedom. For weights that vary
/// slowly, as those of a slope over increments do. Source: Müller (2004) and Lazarus,
/// Lewis, Stock & Watson (2018), *Journal of Business & Economic Statistics* 36,
/// 541-559 (the equal-weighted cosine estimator; from memory).
///
/// Fewer cosines reach deeper towards frequency zero and pay for it with a wider t.
/// `None` where the lengths differ, anything is not finite, or `cosines` is 0 or not
/// below the count.
pub fn low_frequency_variance(
    values: &[f64],
    weights: &[f64],
    cosines: usize,
) -> Option<SumVariance> {
    let count = values.len();
    if weights.len() != count || cosines == 0 || cosines >= count {
        return None;
    }
    let centre = mean(values)?;
    let n = count as f64;
    let squares: f64 = (1..=cosines)
        .map(|j| {
            let pace = PI * j as f64 / n;
            let along = values.iter().enumerate();
            let sum: f64 = along
                .map(|(i, x)| (x - centre) * (pace * (i as f64 + 0.5)).cos())
                .sum();
            sum * sum * 2.0 / n
        })
        .sum();
    let weight: f64 = weights.iter().map(|w| w * w).sum();
    Some(SumVariance {
        variance: finite(weight * squares / cosines as f64)?,
        df: cosines as f64,
    })
}

/// Cosines that served best in our own simulated series of 60 to 600 values: with 3 the
/// interval is a tenth wider, with 8 it held up to 15 in a hundred less often under slow wander.
pub const USUAL_COSINES: usize = 4;

/// A lag fitted to the memory of the series itself, at most half the count.
///
/// `1.1447 (α n)^⅓` for the Bartlett taper with `α = 4ρ²/((1 - ρ)²(1 + ρ)²)` of a
/// first-order autoregressive series (Andrews 1991, *Econometrica* 59, 817-858,
/// equations 6.2 and 6.4); `ρ` as in [`process_autocorrelation`]. Longer than [`fixed_lag`] where
/// the memory is, and blind to memory under a fast noise: see the table above.
pub fn automatic_lag(values: &[f64]) -> Option<usize> {
    let rho = process_autocorrelation(values)?;
    let n = values.len();
    let alpha = 4.0 * rho * rho / ((1.0 - rho) * (1.0 + rho)).powi(2);
    Some(((1.1447 * (alpha * n as f64).cbrt()) as usize).min(n / 2))
}

/// A lag from the count alone: `4 (n/100)^(2/9)`, rounded down.
///
/// Source: Newey & West (1994), *Review of Economic Studies* 61, 631-653 (their
/// preliminary lag). Too short for a series with long memory.
pub fn fixed_lag(n: usize) -> usize {
    (4.0 * (n as f64 / 100.0).powf(2.0 / 9.0)) as usize
}

/// Bartlett's taper: from one at lag zero in a straight line to zero at `lag + 1`.
fn bartlett(k: usize, lag: usize) -> f64 {
    1.0 - k as f64 / (lag as f64 + 1.0)
}

/// Every lag but zero counts forwards and backwards.
fn both_ways(k: usize) -> f64 {
    if k == 0 { 1.0 } else { 2.0 }
}

#[cfg(test)]
mod tests {
    use super::super::summary::variance;
    use super::*;

    const SERIES: [f64; 12] = [2.1, 2.4, 2.2, 2.9, 3.1, 2.8, 2.0, 1.7, 1.9, 2.2, 2.6, 2.5];

    fn near(a: Option<f64>, b: Option<f64>) -> bool {
        a.zip(b)
            .is_some_and(|(a, b)| (a - b).abs() <= 1e-12 * b.abs())
    }

    #[test]
    fn equal_weights_without_lag_are_the_plain_standard_error() {
        let n = SERIES.len() as f64;
        let weights = vec![1.0 / n; SERIES.len()];
        let got = weighted_sum_variance(&SERIES, &weights, 0).map(|v| v.variance);
        assert!(near(got, variance(&SERIES).map(|v| v / n)), "{got:?}");
    }

    #[test]
    fn equal_weights_are_newey_west_with_the_mean_put_back() {
        let n = SERIES.len() as f64;
        let weights = vec![1.0 / n; SERIES.len()];
        let lag = 3;
        let share: f64 = (0..=lag)
            .map(|k| both_ways(k) * bartlett(k, lag) * (n - k as f64) / (n * n))
            .sum();
        let got = weighted_sum_variance(&SERIES, &weights, lag).map(|v| v.variance);
        let plain = newey_west_variance(&SERIES, lag).map(|v| v / (1.0 - share));
        assert!(near(got, plain), "{got:?} {plain:?}");
    }

    #[test]
    fn a_sum_grows_with_the_square_of_its_weights() {
        let weights: Vec<f64> = (0..12).map(|i| f64::from(i * (11 - i))).collect();
        let doubled: Vec<f64> = weights.iter().map(|w| 2.0 * w).collect();
        for of in [
            |w: &[f64]| weighted_sum_variance(&SERIES, w, 2),
            |w: &[f64]| low_frequency_variance(&SERIES, w, 4),
        ] {
            let single = of(&weights).map(|v| 4.0 * v.variance);
            assert!(near(of(&doubled).map(|v| v.variance), single), "{single:?}");
        }
    }

    #[test]
    fn all_cosines_together_hold_the_whole_variance() {
        // The cosines are an orthonormal basis, so their squares sum to Σ (x - x̄)².
        let n = SERIES.len() as f64;
        let weights = vec![1.0 / n; SERIES.len()];
        let got = low_frequency_variance(&SERIES, &weights, 11).map(|v| v.variance);
        assert!(near(got, variance(&SERIES).map(|v| v / n)), "{got:?}");
    }

    #[test]
    fn impossible_arguments_are_none() {
        let weights = [1.0; 12];
        assert_eq!(weighted_sum_variance(&SERIES, &weights, 7), None);
        assert_eq!(weighted_sum_variance(&SERIES, &[1.0], 1), None);
        assert_eq!(weighted_sum_variance(&[], &[], 0), None);
        assert_eq!(low_frequency_variance(&SERIES, &weights, 0), None);
        assert_eq!(low_frequency_variance(&SERIES, &weights, 12), None);
        assert_eq!(newey_west_variance(&SERIES, 12), None);
        assert_eq!(automatic_lag(&[1.0, 1.0]), None);
        assert_eq!(fixed_lag(0), 0);
    }
}
