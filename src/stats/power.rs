//! How often a t test finds a change that is there, and how many values that takes.
//!
//! A test claims a change where t lies beyond its critical value; where the true change is `d`
//! standard deviations, t is noncentral with shift `d` over the standard error in the same unit.
//! Source: Cohen (1988), *Statistical Power Analysis for the Behavioral Sciences*, 2; the
//! NIST/SEMATECH e-Handbook 7.2.2.2 gives the approximation by plain t.

use super::distribution::t_quantile;
use super::finite;
use super::noncentral_t::noncentral_t_upper_tail;
use super::roots::zero_above;

/// Which directions of change count as a find.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sides {
    /// One direction only, chosen beforehand.
    One,
    /// Faster or slower.
    Two,
}

/// Which t test: how the standard error and its degrees of freedom come from the count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Design {
    /// The mean of `n` values, or of `n` differences of pairs: error `1/√n`, df `n - 1`.
    Paired,
    /// Two groups of `n` values each with pooled scatter: error `√(2/n)`, df `2(n - 1)`.
    TwoSample,
}

/// A t test planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    /// Pairs or two groups.
    pub design: Design,
    /// One direction or two.
    pub sides: Sides,
    /// The rate of false finds allowed, between 0 and 1; by two sides half of it on each.
    pub alpha: f64,
}

/// Counts above this are no plan; the search ends here.
const LARGEST_COUNT: f64 = 1e7;

/// Counts and effects are found to this, relative.
const TOLERANCE: f64 = 1e-11;

impl Plan {
    /// The standard error of the estimate over the standard deviation of one value (or one difference).
    fn error(self, n: f64) -> f64 {
        match self.design {
            Design::Paired => (1.0 / n).sqrt(),
            Design::TwoSample => (2.0 / n).sqrt(),
        }
    }

    fn df(self, n: f64) -> f64 {
        match self.design {
            Design::Paired => n - 1.0,
            Design::TwoSample => 2.0 * (n - 1.0),
        }
    }

    /// The chance of finding a true change of `effect` standard deviations with `n` values (or
    /// pairs, or values in each group); `n` above 1, need not be whole.
    ///
    /// Both tails are counted where both sides are tested. The standard deviation meant is that of the
    /// differences for pairs, of the values for groups.
    pub fn power(self, n: f64, effect: f64) -> Option<f64> {
        power_of(effect / self.error(n), self.df(n), self.sides, self.alpha)
    }

    /// The count, not rounded, that finds `effect` with chance `power`; round up.
    ///
    /// At least what one degree of freedom needs. `None` for a zero effect, for `power` not between
    /// `alpha` and 1, and where more than ten million would be needed. One-sided effects must be positive.
    pub fn count(self, effect: f64, power: f64) -> Option<f64> {
        if !(power > self.alpha && power < 1.0) || effect == 0.0 {
            return None;
        }
        let least = match self.design {
            Design::Paired => 2.0,
            Design::TwoSample => 1.5,
        };
        let short = |n: f64| {
            (n <= 2.0 * LARGEST_COUNT)
                .then(|| self.power(n, effect))?
                .map(|p| p - power)
        };
        if short(least)? >= 0.0 {
            return Some(least);
        }
        zero_above(short, least, 2.0 * least, TOLERANCE)
    }

    /// The count rounded up to what can be run: the least whole `n`, at least 2.
    pub fn whole_count(self, effect: f64, power: f64) -> Option<usize> {
        // The search's own error must not round a whole answer up.
        let count = self.count(effect, power)?;
        Some(((count * (1.0 - 10.0 * TOLERANCE)).ceil() as usize).max(2))
    }

    /// The smallest effect, in standard deviations, that `n` values find with chance `power`.
    pub fn smallest_effect(self, n: f64, power: f64) -> Option<f64> {
        let shift = shift_for(self.df(n), self.sides, self.alpha, power)?;
        finite(shift * self.error(n))
    }
}

/// The chance that a t test with `df` degrees of freedom finds a true change of `shift` standard errors.
///
/// For any design, where the plan's standard error and pooled degrees of freedom are known: `df` from 0.5
/// to infinity. At `shift = 0` it is `alpha`. In `[0, 1]`.
///
/// # Example: 20 values in each of two groups, one standard deviation apart
/// ```
/// use thereback::stats::power::{Sides, power_of};
/// let shift = 1.0 / (2.0_f64 / 20.0).sqrt();
/// let power = power_of(shift, 38.0, Sides::Two, 0.05).unwrap();
/// assert!((power - 0.868953).abs() < 1e-6);
/// ```
pub fn power_of(shift: f64, df: f64, sides: Sides, alpha: f64) -> Option<f64> {
    if !(alpha > 0.0 && alpha < 1.0) {
        return None;
    }
    match sides {
        Sides::One => {
            let critical = t_quantile(1.0 - alpha, df)?;
            noncentral_t_upper_tail(critical, df, shift)
        }
        Sides::Two => {
            let critical = t_quantile(1.0 - alpha / 2.0, df)?;
            let above = noncentral_t_upper_tail(critical, df, shift)?;
            let below = noncentral_t_upper_tail(critical, df, -shift)?;
            Some((above + below).min(1.0))
        }
    }
}

/// The true change, in standard errors, that a t test with `df` degrees of freedom finds with chance
/// `power`, which must lie above `alpha` and below 1.
pub fn shift_for(df: f64, sides: Sides, alpha: f64, power: f64) -> Option<f64> {
    if !(power > alpha && power < 1.0) {
        return None;
    }
    let lacking = |shift: f64| power_of(shift, df, sides, alpha).map(|p| p - power);
    zero_above(lacking, 0.0, 4.0, TOLERANCE)
}

/// The first estimate of a count by plain t, as the NIST/SEMATECH e-Handbook 7.2.2.2 works it by hand:
/// `((t_(1-α) + t_(1-β)) / effect)²`, each t with `df` degrees of freedom (infinite: normal).
///
/// For one sample; `tail` is `α` for one side and `α/2` for two, `miss` the chance `β` of missing the
/// effect. Falls short of [`Plan::count`] where counts are small.
pub fn handbook_count(effect: f64, tail: f64, miss: f64, df: f64) -> Option<f64> {
    let sum = t_quantile(1.0 - tail, df)? + t_quantile(1.0 - miss, df)?;
    finite((sum / effect).powi(2))
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAN: Plan = Plan {
        design: Design::Paired,
        sides: Sides::Two,
        alpha: 0.05,
    };

    #[test]
    fn no_change_is_found_as_often_as_allowed() {
        for (sides, df) in [(Sides::One, 3.0), (Sides::Two, 3.0), (Sides::Two, 1.0)] {
            let power = power_of(0.0, df, sides, 0.05);
            assert!(power.is_some_and(|p| (p - 0.05).abs() < 1e-12), "{power:?}");
        }
    }

    #[test]
    fn count_and_effect_undo_the_power() {
        for effect in [0.3, 1.0, 4.0] {
            let back = PLAN
                .count(effect, 0.8)
                .and_then(|n| PLAN.smallest_effect(n, 0.8));
            assert!(
                back.is_some_and(|e| (e - effect).abs() < 1e-7),
                "{effect} {back:?}"
            );
        }
    }

    #[test]
    fn impossible_plans_are_none() {
        assert_eq!(PLAN.power(1.0, 0.5), None);
        assert_eq!(PLAN.count(0.0, 0.8), None);
        assert_eq!(PLAN.count(f64::NAN, 0.8), None);
        assert_eq!(PLAN.count(1e-9, 0.8), None);
        assert_eq!(PLAN.smallest_effect(5.0, 0.01), None);
        assert_eq!(power_of(1.0, 5.0, Sides::Two, 1.0), None);
        assert_eq!(handbook_count(0.0, 0.05, 0.1, 8.0), None);
    }
}
