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

/// The sum of squared deviations from the mean, in two passes.
///
/// The subtracted term is zero in exact arithmetic and takes back the rounding
/// of the mean (Chan et al. 1983, equation 1.7).
pub fn sum_of_squares(values: &[f64]) -> Option<f64> {
    let centre = mean(values)?;
    let (mut squares, mut deviations) = (0.0, 0.0);
    for value in values {
        let d = value - centre;
        squares += d * d;
        deviations += d;
    }
    finite((squares - deviations * deviations / values.len() as f64).max(0.0))
}

/// The sample variance, divisor `n - 1`; `None` for fewer than two values.
///
/// # Example
/// ```
/// use thereback::stats::summary::variance;
/// assert_eq!(variance(&[1.0, 2.0, 3.0]), Some(1.0));
/// assert_eq!(variance(&[1.0]), None);
/// ```
pub fn variance(values: &[f64]) -> Option<f64> {
    if values.len() < 2 {
        return None;
    }
    finite(sum_of_squares(values)? / (values.len() - 1) as f64)
}

/// The sample standard deviation, divisor `n - 1`; `None` for fewer than two values.
pub fn standard_deviation(values: &[f64]) -> Option<f64> {
    variance(values).map(f64::sqrt)
}

/// The mean with weights; they need not sum to one.
///
/// `None` where the lengths differ, a weight is negative or not finite, or the
/// weights sum to zero. A value with weight zero still has to be finite.
pub fn weighted_mean(values: &[f64], weights: &[f64]) -> Option<f64> {
    let total = total_weight(values.len(), weights)?;
    let weighted = |centre: f64| {
        let sum: f64 = values
            .iter()
            .zip(weights)
            .map(|(v, w)| w * (v - centre))
            .sum();
        sum / total
    };
    let first = finite(weighted(0.0))?;
    finite(first + weighted(first))
}

/// The sum of the weights, where there is one for each of `count` values, none
/// is negative, and the sum is above zero.
pub(super) fn total_weight(count: usize, weights: &[f64]) -> Option<f64> {
    let valid = weights.len() == count && weights.iter().all(|w| w.is_finite() && *w >= 0.0);
    let total: f64 = weights.iter().sum();
    (valid && total > 0.0 && total.is_finite()).then_some(total)
}

/// The root of the mean of the squares; `None` for no values.
///
/// Scaled by the largest value, so that squares neither overflow nor vanish.
pub fn root_mean_square(values: &[f64]) -> Option<f64> {
    let largest = values
        .iter()
        .try_fold(0.0_f64, |m, v| finite(*v).map(|v| m.max(v.abs())))?;
    if values.is_empty() || largest == 0.0 {
        return values.first().map(|_| 0.0);
    }
    let squares: f64 = values.iter().map(|v| (v / largest).powi(2)).sum();
    finite(largest * (squares / values.len() as f64).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn undefined_results_are_none() {
        assert_eq!(mean(&[]), None);
        assert_eq!(mean(&[1.0, f64::NAN]), None);
        assert_eq!(mean(&[f64::MAX, f64::MAX]), None);
        assert_eq!(standard_deviation(&[3.0]), None);
        assert_eq!(root_mean_square(&[]), None);
        assert_eq!(root_mean_square(&[f64::NAN]), None);
        assert_eq!(weighted_mean(&[1.0, 2.0], &[1.0]), None);
        assert_eq!(weighted_mean(&[1.0, 2.0], &[0.0, 0.0]), None);
        assert_eq!(weighted_mean(&[1.0, 2.0], &[2.0, -1.0]), None);
        assert_eq!(weighted_mean(&[], &[]), None);
    }

    #[test]
    fn plain_cases() {
        assert_eq!(weighted_mean(&[1.0, 5.0], &[3.0, 1.0]), Some(2.0));
        assert_eq!(root_mean_square(&[3.0, 4.0]), Some(12.5_f64.sqrt()));
        assert_eq!(root_mean_square(&[0.0, 0.0]), Some(0.0));
        assert_eq!(root_mean_square(&[-1e200, 1e200]), Some(1e200));
        assert_eq!(variance(&[7.0; 9]), Some(0.0));
    }
}
