//! Whether a change is too small to matter: two one-sided tests.
//!
//! "No change was found" says little where the interval is wide. Equivalence turns the question
//! round: the change is shown to lie within a margin where both "it is lower than the
//! margin" and "it is higher" are refuted, each at `1 - level` (Schuirmann 1987, *Journal of
//! Pharmacokinetics and Biopharmaceutics* 15, 657-680; Wellek 2003, *Testing Statistical Hypotheses of
//! Equivalence*). It is the same as an interval of confidence `2 level - 1` within the margin.

use serde::Serialize;

use super::distribution::{t_quantile, t_upper_tail};
use super::finite;
use super::interval::{Estimate, Interval, percent_of_log};

/// The two one-sided tests against one margin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Equivalence {
    /// p of the hypothesis that the true value is at or below the lower margin.
    pub p_low: f64,
    /// p of the hypothesis that the true value is at or above the upper margin.
    pub p_high: f64,
}

impl Equivalence {
    /// The p value of the pair: the larger.
    pub fn p(self) -> f64 {
        self.p_low.max(self.p_high)
    }
}

/// Tests whether the true value lies between the margins, `low < high`, in the unit of the estimate.
///
/// `None` where the standard error is zero or the margins are not finite and in order.
pub fn equivalence(estimate: &Estimate, margins: Interval) -> Option<Equivalence> {
    let ordered = margins.low < margins.high;
    if !ordered {
        return None;
    }
    Some(Equivalence {
        p_low: t_upper_tail(estimate.t_against(margins.low)?, estimate.df)?,
        p_high: t_upper_tail(-estimate.t_against(margins.high)?, estimate.df)?,
    })
}

/// The smallest margin, the same on both sides of zero, that the data support with confidence `level`
/// in `[0.5, 1)`: `|value| + t·se` with t one-sided.
///
/// "No change larger than this." The two tests against it give exactly `p = 1 - level`.
pub fn smallest_margin(estimate: &Estimate, level: f64) -> Option<f64> {
    let bounds = one_sided_bounds(estimate, level)?;
    finite((-bounds.low).max(bounds.high))
}

/// The interval within which the two one-sided tests place the value: each bound holds with
/// confidence `level`, both together with `2 level - 1`.
pub fn one_sided_bounds(estimate: &Estimate, level: f64) -> Option<Interval> {
    if !(0.5..1.0).contains(&level) {
        return None;
    }
    let half = t_quantile(level, estimate.df)? * estimate.se;
    Some(Interval {
        low: finite(estimate.value - half)?,
        high: finite(estimate.value + half)?,
    })
}

/// For a difference of logarithms: the smallest percent `x` such that the change lies between `-x` and
/// `+x` percent with confidence `level`.
///
/// The margins are equal in percent, so a little unequal as logarithms. At least 0; may pass 100 upwards only.
///
/// # Example
/// ```
/// use thereback::stats::{equivalence::smallest_percent, interval::Estimate};
/// let change = Estimate::new(0.002, 0.004, 9.0, 0.95).unwrap();
/// let margin = smallest_percent(&change, 0.95).unwrap();
/// assert!((margin - 0.9374).abs() < 1e-3, "{margin}");
/// ```
pub fn smallest_percent(log_difference: &Estimate, level: f64) -> Option<f64> {
    let bounds = one_sided_bounds(log_difference, level)?;
    let low = percent_of_log(bounds.low)?;
    let high = percent_of_log(bounds.high)?;
    Some((-low).max(high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_smallest_margin_just_passes() {
        for value in [-0.03, 0.0, 0.02] {
            let estimate = Estimate::new(value, 0.01, 6.0, 0.95);
            let margin = estimate.and_then(|e| smallest_margin(&e, 0.95));
            let p = estimate.zip(margin).and_then(|(e, m)| {
                equivalence(&e, Interval { low: -m, high: m }).map(Equivalence::p)
            });
            assert!(
                p.is_some_and(|p| (p - 0.05).abs() < 1e-12),
                "{value}: {p:?}"
            );
        }
    }

    #[test]
    fn undefined_results_are_none() {
        let exact = Estimate::new(1.0, 0.0, 3.0, 0.95);
        let margins = Interval {
            low: -1.0,
            high: 2.0,
        };
        assert_eq!(exact.and_then(|e| equivalence(&e, margins)), None);
        let sound = Estimate::new(1.0, 0.1, 3.0, 0.95);
        let wrong = Interval {
            low: 1.0,
            high: -1.0,
        };
        assert_eq!(sound.and_then(|e| equivalence(&e, wrong)), None);
        assert_eq!(sound.and_then(|e| smallest_margin(&e, 1.0)), None);
        assert_eq!(sound.and_then(|e| smallest_percent(&e, 0.4)), None);
        assert_eq!(exact.and_then(|e| smallest_margin(&e, 0.95)), Some(1.0));
    }
}
