//! The ratio of two estimates, with the set of ratios the data allow.
//!
//! `r` is allowed where `numerator - r·denominator` lies within t standard errors of zero: a quadratic in `r` (Fieller 1954,
//! *Journal of the Royal Statistical Society* B 16, 175-185). Where the denominator does not differ from zero at the level asked,
//! the set has no ends, and says so.

use serde::Serialize;

use super::distribution::t_critical;
use super::finite;
use super::interval::Interval;
use super::samples::{Sample, pooled_scatter};

/// Two estimates and how they vary together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// The numerator.
    pub numerator: f64,
    /// The denominator.
    pub denominator: f64,
    /// The variance of the numerator, at least 0.
    pub numerator_variance: f64,
    /// The variance of the denominator, at least 0.
    pub denominator_variance: f64,
    /// Their covariance.
    pub covariance: f64,
    /// Degrees of freedom of these, above 0.
    pub df: f64,
}

/// The ratios that the data allow.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub enum RatioSet {
    /// From `low` to `high`: the usual case.
    Bounded(Interval),
    /// Everything but what lies strictly between `low` and `high`: the denominator may be zero.
    Outside(Interval),
    /// Every ratio: neither differs clearly from zero.
    Everything,
}

impl RatioSet {
    /// The interval, where there is one.
    pub fn bounded(self) -> Option<Interval> {
        match self {
            Self::Bounded(interval) => Some(interval),
            Self::Outside(_) | Self::Everything => None,
        }
    }
}

/// Fieller's set with confidence `level`; `None` where anything is not finite or a variance is negative.
pub fn ratio_set(pair: &Pair, level: f64) -> Option<RatioSet> {
    let t_squared = t_critical(level, pair.df)?.powi(2);
    if !(pair.numerator_variance >= 0.0 && pair.denominator_variance >= 0.0) {
        return None;
    }
    // `a r² - 2 b r + c <= 0` are the ratios allowed.
    let a = finite(pair.denominator * pair.denominator - t_squared * pair.denominator_variance)?;
    let b = finite(pair.numerator * pair.denominator - t_squared * pair.covariance)?;
    let c = finite(pair.numerator * pair.numerator - t_squared * pair.numerator_variance)?;
    let discriminant = b * b - a * c;
    if a > 0.0 {
        // Rounding may take it below zero where both variances are zero.
        let root = discriminant.max(0.0).sqrt();
        let low = finite((b - root) / a)?;
        let high = finite((b + root) / a)?;
        return Some(RatioSet::Bounded(Interval { low, high }));
    }
    if discriminant <= 0.0 || a == 0.0 {
        return Some(RatioSet::Everything);
    }
    let root = discriminant.sqrt();
    Some(RatioSet::Outside(Interval {
        low: finite((b + root) / a)?,
        high: finite((b - root) / a)?,
    }))
}

/// The ratio of means of values that belong together; `None` as in [`super::samples::paired`] and for a zero denominator.
pub fn paired_ratio(numerator: &[f64], denominator: &[f64]) -> Option<Pair> {
    let count = numerator.len();
    if count != denominator.len() || count < 2 {
        return None;
    }
    let (a, b) = (Sample::of(numerator)?, Sample::of(denominator)?);
    let n = count as f64;
    let products: f64 = numerator
        .iter()
        .zip(denominator)
        .map(|(x, y)| (x - a.mean) * (y - b.mean))
        .sum();
    Some(Pair {
        numerator: a.mean,
        denominator: b.mean,
        numerator_variance: a.sd?.powi(2) / n,
        denominator_variance: b.sd?.powi(2) / n,
        covariance: finite(products / (n - 1.0) / n)?,
        df: n - 1.0,
    })
}

/// The ratio of means of two groups with equal true scatter.
pub fn pooled_ratio(numerator: &Sample, denominator: &Sample) -> Option<Pair> {
    let scatter = pooled_scatter(&[*numerator, *denominator])?;
    let variance = scatter.sd * scatter.sd;
    Some(Pair {
        numerator: numerator.mean,
        denominator: denominator.mean,
        numerator_variance: variance / numerator.n as f64,
        denominator_variance: variance / denominator.n as f64,
        covariance: 0.0,
        df: scatter.df,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAIR: Pair = Pair {
        numerator: 2.0,
        denominator: 1.0,
        numerator_variance: 0.01,
        denominator_variance: 0.01,
        covariance: 0.0,
        df: 8.0,
    };

    #[test]
    fn a_doubtful_denominator_has_no_interval() {
        let clear = ratio_set(&PAIR, 0.95).and_then(RatioSet::bounded);
        assert!(clear.is_some_and(|i| i.contains(2.0) && i.low > 1.5 && i.high < 3.0));
        let doubtful = Pair {
            denominator: 0.1,
            ..PAIR
        };
        let set = ratio_set(&doubtful, 0.95);
        assert!(
            matches!(set, Some(RatioSet::Outside(i)) if i.low < 0.0 && i.high > 0.0 && i.high < 20.0),
            "{set:?}"
        );
        let neither = Pair {
            numerator: 0.1,
            ..doubtful
        };
        assert_eq!(ratio_set(&neither, 0.95), Some(RatioSet::Everything));
    }

    #[test]
    fn undefined_results_are_none() {
        assert_eq!(paired_ratio(&[1.0], &[1.0]), None);
        assert_eq!(paired_ratio(&[1.0, 2.0], &[1.0]), None);
        let wrong = Pair {
            numerator_variance: -1.0,
            ..PAIR
        };
        assert_eq!(ratio_set(&wrong, 0.95), None);
        assert_eq!(ratio_set(&PAIR, 1.0), None);
    }
}
