//! How often a two-sided t test finds a change that is there.
//!
//! A test claims a change where t lies beyond its critical value; where the true change is `d`
//! standard deviations, t is noncentral with shift `d` over the standard error in the same unit.
//! Source: Cohen (1988), *Statistical Power Trial for the Behavioral Sciences*, 2; the
//! NIST/SEMATECH e-Handbook 7.2.2.2 gives the approximation by plain t.

use super::distribution::t_quantile;
use super::noncentral_t::noncentral_t_upper_tail;
use super::roots::zero_above;

/// Counts and effects are found to this, relative.
const TOLERANCE: f64 = 1e-11;

/// The chance that a two-sided t test with `df` degrees of freedom finds a true change of `shift` standard errors.
///
/// For any design, where the plan's standard error and pooled degrees of freedom are known: `df` from 0.5
/// to infinity. At `shift = 0` it is `alpha`. In `[0, 1]`.
///
/// # Example: 20 values in each of two groups, one standard deviation apart
/// ```
/// use thereback::stats::power::power_of;
/// let shift = 1.0 / (2.0_f64 / 20.0).sqrt();
/// let power = power_of(shift, 38.0, 0.05).unwrap();
/// assert!((power - 0.868953).abs() < 1e-6);
/// ```
pub fn power_of(shift: f64, df: f64, alpha: f64) -> Option<f64> {
    if !(alpha > 0.0 && alpha < 1.0) {
        return None;
    }
    let critical = t_quantile(1.0 - alpha / 2.0, df)?;
    let above = noncentral_t_upper_tail(critical, df, shift)?;
    let below = noncentral_t_upper_tail(critical, df, -shift)?;
    Some((above + below).min(1.0))
}

/// The true change, in standard errors, that a t test with `df` degrees of freedom finds with chance
/// `power`, which must lie above `alpha` and below 1.
pub fn shift_for(df: f64, alpha: f64, power: f64) -> Option<f64> {
    if !(power > alpha && power < 1.0) {
        return None;
    }
    let lacking = |shift: f64| power_of(shift, df, alpha).map(|p| p - power);
    zero_above(lacking, 0.0, 4.0, TOLERANCE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_change_is_found_as_often_as_allowed() {
        for df in [1.0, 3.0] {
            let power = power_of(0.0, df, 0.05);
            assert!(power.is_some_and(|p| (p - 0.05).abs() < 1e-12), "{power:?}");
        }
        assert_eq!(power_of(1.0, 5.0, 1.0), None);
    }
}
