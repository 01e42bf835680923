//! Means and spread of a set of values.

use super::finite;

/// The arithmetic mean; `None` for no values or any that is not finite.
///
/// A second pass adds the mean of the deviations, which takes back the rounding
/// of the first (Chan et al. 1983, *The American Statistician* 37,
/// 242-247, after Neely 1966).
pub fn mean(values: &[f64]) -> Option<f64> {
    let n = values.len() as f64;
    let first = finite(values.iter().sum::<f64>() / n)?;
    let correction = values.iter().map(|v| v - first).sum::<f64>() / n;
    finite(first + correction)
}

/// The sum of the weights, where there is one for each of `count` values, none
/// is negative, and the sum is above zero.
pub(super) fn total_weight(count: usize, weights: &[f64]) -> Option<f64> {
    let valid = weights.len() == count && weights.iter().all(|w| w.is_finite() && *w >= 0.0);
    let total: f64 = weights.iter().sum();
    (valid && total > 0.0 && total.is_finite()).then_some(total)
}
