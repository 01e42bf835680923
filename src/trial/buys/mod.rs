//! What the speed buys: settings of equal speed, power, energy, reach, propeller figures.
//!
//! Pure arithmetic over double runs, draws and notes. What cannot be said is `None`, and whoever calls
//! tells why.

use serde::Serialize;

use super::power_log::AlignRules;
use crate::stats::interval::{Estimate, Interval};

pub mod equal_speed;

pub mod draw;

pub mod why;

pub mod reach;

pub mod propeller;

/// What is assumed of readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BuysRules {
    /// Standard error of a spot reading, as a share of it, apart from the meter's gain, which cancels in a
    /// comparison: flicker and resolution of a clamp meter read by eye (common practice, no source).
    pub reading_share: f64,
    /// Finding the offset of a log's clock.
    pub align: AlignRules,
}

impl Default for BuysRules {
    fn default() -> Self {
        Self {
            reading_share: 0.01,
            align: AlignRules::default(),
        }
    }
}

/// A value with its 95 % interval; each part `None` where it cannot be had.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Default)]
pub struct Ranged {
    /// The value.
    pub value: Option<f64>,
    /// Lower end of the interval.
    pub low: Option<f64>,
    /// Upper end of the interval.
    pub high: Option<f64>,
}

impl Ranged {
    /// A value whose interval is not known.
    pub fn bare(value: f64) -> Self {
        Self {
            value: value.is_finite().then_some(value),
            ..Self::default()
        }
    }

    /// A value and its interval.
    pub fn of(value: f64, interval: Option<Interval>) -> Self {
        Self {
            low: interval.map(|i| i.low).filter(|v| v.is_finite()),
            high: interval.map(|i| i.high).filter(|v| v.is_finite()),
            ..Self::bare(value)
        }
    }

    /// An estimate as it is.
    pub fn plain(estimate: Estimate) -> Self {
        Self::of(estimate.value, Some(estimate.interval()))
    }

    /// An estimate of a logarithm, raised.
    pub fn raised(log: Estimate) -> Self {
        let interval = Interval {
            low: log.low.exp(),
            high: log.high.exp(),
        };
        Self::of(log.value.exp(), Some(interval))
    }

    /// The same with every part put through a function that only grows.
    #[must_use]
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        let through = |v: Option<f64>| v.map(&f).filter(|v| v.is_finite());
        Self {
            value: through(self.value),
            low: through(self.low),
            high: through(self.high),
        }
    }

    /// The interval, where both ends are known.
    pub fn interval(self) -> Option<Interval> {
        Some(Interval {
            low: self.low?,
            high: self.high?,
        })
    }
}

/// A logarithm known as a mean with or without an error: the error counts as none where it is not known.
pub(super) fn sum_of_logs(parts: &[(f64, Estimate)], level: f64) -> Option<Estimate> {
    let value = parts.iter().map(|(factor, e)| factor * e.value).sum();
    let variance: f64 = parts
        .iter()
        .map(|(factor, e)| (factor * e.se).powi(2))
        .sum();
    // The fewest degrees of freedom among those that matter: never narrower than Welch's.
    let df = parts
        .iter()
        .filter(|(_, e)| e.se > 0.0)
        .map(|(_, e)| e.df)
        .fold(f64::INFINITY, f64::min);
    Estimate::new(value, variance.sqrt(), df, level)
}
