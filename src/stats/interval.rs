//! Estimates with their uncertainty, and the way from a log difference to percent.

use serde::Serialize;

use super::distribution::t_critical;
use super::finite;

/// A range from `low` to `high`, both included, in the unit of what it bounds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Interval {
    /// The lower bound.
    pub low: f64,
    /// The upper bound.
    pub high: f64,
}

impl Interval {
    /// Whether `value` lies within the bounds.
    pub fn contains(self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// From bound to bound.
    pub fn width(self) -> f64 {
        self.high - self.low
    }
}

/// A value with its standard error, degrees of freedom and confidence interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// The estimate.
    pub value: f64,
    /// Its standard error, in the unit of the value, at least 0.
    pub se: f64,
    /// Degrees of freedom of the standard error, above 0; need not be whole.
    pub df: f64,
    /// The lower bound of the interval.
    pub low: f64,
    /// The upper bound of the interval.
    pub high: f64,
}

impl Estimate {
    /// `value ± t·se`, t being Student's for `df` and the confidence `level` in (0, 1).
    ///
    /// `None` where anything is not finite (`df` may be infinite: the normal
    /// distribution), `se < 0` or `df <= 0`.
    pub fn new(value: f64, se: f64, df: f64, level: f64) -> Option<Self> {
        if !(value.is_finite() && se.is_finite() && se >= 0.0) {
            return None;
        }
        let half = t_critical(level, df)? * se;
        Some(Self {
            value,
            se,
            df,
            low: finite(value - half)?,
            high: finite(value + half)?,
        })
    }
}

/// The percent change that a difference of natural logarithms means: `100(eˣ - 1)`.
///
/// Above -100; `None` where it overflows.
///
/// # Example
/// ```
/// use thereback::stats::interval::percent_of_log;
/// let percent = percent_of_log((1.700_f64 / 1.525).ln()).unwrap();
/// assert!((percent - 11.4754).abs() < 1e-4);
/// ```
pub fn percent_of_log(log_difference: f64) -> Option<f64> {
    // `exp_m1` keeps its digits for small changes, which are the usual ones.
    finite(100.0 * log_difference.exp_m1())
}
