//! Sample quantiles, the median, and the median absolute deviation.
//!
//! Quantiles are type 7 of Hyndman & Fan (1996), *The American Statistician* 50,
//! 361-365: `h = (n - 1)p`, linear between the values on either side of it.

use super::finite;

/// The quantile at `p` in `[0, 1]`; `None` outside, for no values, or any that is not finite.
///
/// # Example
/// ```
/// use thereback::stats::quantile::quantile;
/// assert_eq!(quantile(&[4.0, 1.0, 3.0, 2.0], 0.25), Some(1.75));
/// ```
pub fn quantile(values: &[f64], p: f64) -> Option<f64> {
    quantiles(values, [p]).map(|[q]| q)
}

/// Several quantiles of one sample, sorted once.
pub fn quantiles<const N: usize>(values: &[f64], at: [f64; N]) -> Option<[f64; N]> {
    if values.iter().any(|v| !v.is_finite()) {
        return None;
    }
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let mut found = [0.0; N];
    for (slot, p) in found.iter_mut().zip(at) {
        *slot = of_sorted(&sorted, p)?;
    }
    Some(found)
}

/// The quantile of values already in rising order.
fn of_sorted(sorted: &[f64], p: f64) -> Option<f64> {
    if !(0.0..=1.0).contains(&p) {
        return None;
    }
    let last = sorted.len().checked_sub(1)?;
    let h = last as f64 * p;
    let below = (h.floor() as usize).min(last);
    let low = *sorted.get(below)?;
    let high = *sorted.get((below + 1).min(last))?;
    let share = h - below as f64;
    // A weighted sum, since the difference of two values may overflow.
    finite(low * (1.0 - share) + high * share)
}

/// The median; the mean of the middle two for an even count.
pub fn median(values: &[f64]) -> Option<f64> {
    quantile(values, 0.5)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn undefined_results_are_none() {
        assert_eq!(median(&[]), None);
        assert_eq!(median(&[1.0, f64::NAN]), None);
        assert_eq!(quantile(&[1.0], 1.1), None);
        assert_eq!(quantile(&[1.0], f64::NAN), None);
    }
}
