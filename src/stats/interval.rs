//! Estimates with their uncertainty, and the way from a log difference to percent.

use serde::Serialize;

use super::distribution::{t_critical, t_two_sided};
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

/// Degrees of freedom of a standard uncertainty that was judged and not estimated, and is taken to be right within
/// a quarter: `1 / (2 · 0.25²)` (JCGM 100:2008, equation G.3 and its example).
pub const JUDGED_DF: f64 = 8.0;

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

    /// The same with a further doubt of standard deviation `doubt`, which has `doubt_df` degrees of freedom itself:
    /// infinite where it is known outright, [`JUDGED_DF`] where it was judged.
    ///
    /// The degrees of freedom of the sum of two variances `a` and `b` are
    /// `(a + b)² / (a² / df + b² / doubt_df)` (Welch–Satterthwaite: JCGM 100:2008, *Guide to the expression of
    /// uncertainty in measurement*, equation G.2b).
    pub fn with_doubt(self, doubt: f64, doubt_df: f64, level: f64) -> Option<Self> {
        let (own, other) = (self.se * self.se, doubt * doubt);
        let all = own + other;
        let df = all * all / (own * own / self.df + other * other / doubt_df);
        // No scatter and no doubt leave the degrees as they were; neither estimated leaves none to count.
        let df = match (all > 0.0, df.is_nan()) {
            (false, _) => self.df,
            (true, true) => f64::INFINITY,
            (true, false) => df,
        };
        Self::new(self.value, all.sqrt(), df, level)
    }

    /// The interval alone.
    pub fn interval(self) -> Interval {
        Interval {
            low: self.low,
            high: self.high,
        }
    }

    /// How many standard errors the value lies from `reference`; `None` where the
    /// standard error is zero.
    pub fn t_against(self, reference: f64) -> Option<f64> {
        finite((self.value - reference) / self.se)
    }

    /// Two-sided p value of the hypothesis that the true value is `reference`;
    /// `None` where the standard error is zero.
    pub fn p_against(self, reference: f64) -> Option<f64> {
        t_two_sided(self.t_against(reference)?, self.df)
    }

    /// A difference of logarithms as a percent change.
    ///
    /// The bounds are carried over one by one: the map only grows, so the
    /// interval keeps its confidence and is no longer symmetric.
    pub fn percent_of_log(self) -> Option<Percent> {
        Some(Percent {
            value: percent_of_log(self.value)?,
            low: percent_of_log(self.low)?,
            high: percent_of_log(self.high)?,
        })
    }
}

/// A change in percent with its confidence interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Percent {
    /// Percent; +2 is two hundredths more than before.
    pub value: f64,
    /// The lower bound, percent.
    pub low: f64,
    /// The upper bound, percent.
    pub high: f64,
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

/// The difference of natural logarithms that a percent change means; `None` at -100 and below.
pub fn log_of_percent(percent: f64) -> Option<f64> {
    finite((percent / 100.0).ln_1p())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn impossible_estimates_are_none() {
        assert_eq!(Estimate::new(f64::NAN, 1.0, 3.0, 0.95), None);
        assert_eq!(Estimate::new(1.0, -1.0, 3.0, 0.95), None);
        assert_eq!(Estimate::new(1.0, 1.0, 0.0, 0.95), None);
        assert_eq!(Estimate::new(1.0, 1.0, 3.0, 1.0), None);
        assert_eq!(percent_of_log(1e9), None);
        assert_eq!(percent_of_log(f64::NAN), None);
        assert_eq!(log_of_percent(-100.0), None);
    }

    #[test]
    fn a_known_doubt_adds_degrees_of_freedom() {
        let with = |se: f64, doubt: f64, doubt_df: f64| {
            Estimate::new(1.0, se, 4.0, 0.95).and_then(|e| e.with_doubt(doubt, doubt_df, 0.95))
        };
        let found = with(3.0, 4.0, f64::INFINITY);
        assert_eq!(found.map(|e| e.se), Some(5.0));
        let wanted = 4.0 * (25.0_f64 / 9.0).powi(2);
        assert!(found.is_some_and(|e| (e.df - wanted).abs() < 1e-9));
        assert_eq!(with(3.0, 0.0, 8.0), Estimate::new(1.0, 3.0, 4.0, 0.95));
        assert!(with(0.0, 2.0, f64::INFINITY).is_some_and(|e| e.df.is_infinite() && e.se > 1.9));
        assert_eq!(with(0.0, 0.0, 8.0).map(|e| e.df), Some(4.0));
        assert_eq!(with(0.0, 1.0, 8.0).map(|e| e.df), Some(8.0));
    }

    #[test]
    fn no_scatter_gives_no_p_value() {
        let exact = Estimate::new(1.0, 0.0, 3.0, 0.95);
        assert_eq!(exact.and_then(|e| e.p_against(0.0)), None);
        assert_eq!(exact.map(|e| e.interval().width()), Some(0.0));
        assert_eq!(exact.map(|e| e.interval().contains(1.0)), Some(true));
    }
}
