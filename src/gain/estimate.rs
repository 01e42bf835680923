//! Figures known by their logarithm, with intervals, and how independent ones add up.

use super::result::Ranged;
use crate::compare::Percent;
use crate::compare::{Contrast, Posterior};
use crate::stats::interval::{Interval, percent_of_log};

/// Configuration and setting, by their numbers.
pub(super) type Cell = (usize, usize);

/// The logarithm of a figure with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct LogEstimate {
    pub(super) value: f64,
    pub(super) low: f64,
    pub(super) high: f64,
    /// Whether it rests on too little for a verdict.
    pub(super) few: bool,
}

impl LogEstimate {
    pub(super) fn of(posterior: &Posterior, contrast: &Contrast) -> Option<Self> {
        let found = posterior.contrast(contrast)?;
        Some(Self {
            value: found.value,
            low: found.low,
            high: found.high,
            few: found.few,
        })
    }

    /// The weighted sum of the levels of cells; `None` of none.
    pub(super) fn of_cells(posterior: &Posterior, parts: &[(f64, Cell)]) -> Option<Self> {
        if parts.is_empty() {
            return None;
        }
        let level = |(weight, (j, k)): &(f64, Cell)| Some((*weight, posterior.level(*j, *k)?));
        let parts: Vec<(f64, Contrast)> = parts.iter().map(level).collect::<Option<_>>()?;
        Self::of(posterior, &Contrast::sum(&parts))
    }

    /// The weighted sum of independent ones. Its interval reaches as far as the root of the sum of
    /// squares of theirs, on either side by itself (Zou & Donner 2008, *Statistics in Medicine* 27,
    /// 1693-1702; from memory).
    pub(super) fn sum(parts: &[(f64, Self)]) -> Self {
        let value: f64 = parts.iter().map(|(w, e)| w * e.value).sum();
        let reach = |side: f64| {
            let square = |(w, e): &(f64, Self)| {
                let down = side * w < 0.0;
                (w * if down {
                    e.value - e.low
                } else {
                    e.high - e.value
                })
                .powi(2)
            };
            parts.iter().map(square).sum::<f64>().sqrt()
        };
        Self {
            value,
            low: value - reach(-1.0),
            high: value + reach(1.0),
            few: parts.iter().any(|(_, e)| e.few),
        }
    }

    /// The same moved by a number that is known.
    pub(super) fn moved(self, by: f64) -> Self {
        Self {
            value: self.value + by,
            low: self.low + by,
            high: self.high + by,
            ..self
        }
    }

    pub(super) fn ranged(self) -> Ranged {
        Ranged {
            value: Some(self.value),
            low: Some(self.low),
            high: Some(self.high),
        }
    }

    /// The figure itself.
    pub(super) fn raised(self) -> Ranged {
        self.ranged().map(f64::exp)
    }

    pub(super) fn percent(self) -> Percent {
        Percent {
            value: percent_of_log(self.value),
            low: percent_of_log(self.low),
            high: percent_of_log(self.high),
        }
    }

    pub(super) fn interval(self) -> Interval {
        Interval {
            low: self.low,
            high: self.high,
        }
    }
}

/// A number times the exponential of a sum of independent logarithms.
pub(super) fn product(factor: f64, parts: &[(f64, LogEstimate)]) -> Ranged {
    LogEstimate::sum(parts).raised().map(|v| factor * v)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Admiralty law: a 2 % gain of speed at equal power is 5.8 % less power at equal speed
    /// (1.02^-3 = 0.9423; the cube law itself, Stokoe, *Reed's Naval Architecture*). Each side of
    /// the interval takes the side of its parts that it comes from.
    #[test]
    fn the_cube_law_turns_speed_into_power() {
        let log = |value: f64, low: f64, high: f64| LogEstimate {
            value,
            low: value - low,
            high: value + high,
            few: false,
        };
        let power = log(0.0, 0.03, 0.06);
        let speed = log(1.02_f64.ln(), 0.01, 0.02);
        let found = LogEstimate::sum(&[(1.0, power), (-3.0, speed)]);
        assert!((found.value.exp() - 0.9423).abs() < 1e-4);
        assert!((found.value - found.low - 0.03_f64.hypot(0.06)).abs() < 1e-12);
        assert!((found.high - found.value - 0.06_f64.hypot(0.03)).abs() < 1e-12);
    }
}
