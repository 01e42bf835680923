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
