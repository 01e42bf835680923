//! Lines and power laws read both ways: `y` at an `x`, and the `x` that gives a `y`.

use super::distribution::t_critical;
use super::finite;
use super::interval::{Estimate, Interval};
use super::least_squares::{LinearFit, ordinary};
use super::ratio::{Pair, RatioSet, ratio_set};
use super::summary::mean;

/// A straight line fitted about the mean of its `x`, ready for reading either way.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibrationLine {
    centre: f64,
    fit: LinearFit,
}

/// Fits a line; `None` where the lengths differ, anything is not finite, or there are not two different `x`.
pub fn calibration_line(x: &[f64], y: &[f64]) -> Option<CalibrationLine> {
    let centre = mean(x)?;
    let about: Vec<f64> = x.iter().map(|x| x - centre).collect();
    Some(CalibrationLine {
        centre,
        fit: ordinary(&[vec![1.0; x.len()], about], y)?,
    })
}

impl CalibrationLine {
    /// The slope; `None` with fewer than three points, which leave no scatter.
    pub fn slope(&self, level: f64) -> Option<Estimate> {
        self.fit.coefficient(1, level)
    }

    /// The line itself at `x`.
    pub fn at(&self, x: f64, level: f64) -> Option<Estimate> {
        self.fit.contrast(&[1.0, x - self.centre], level)
    }

    /// Where the mean of `count` new observations at `x` would lie, each with the scatter of the line's own
    /// points.
    pub fn next_at(&self, x: f64, count: usize, level: f64) -> Option<Interval> {
        let line = self.at(x, level)?;
        let own = self.fit.residual_variance()? / count as f64;
        let half = t_critical(level, line.df)? * (line.se * line.se + own).sqrt();
        Some(Interval {
            low: finite(line.value - half)?,
            high: finite(line.value + half)?,
        })
    }

    /// The `x` at which the line reaches `y`: `(y - intercept)/slope`; `None` for a level line.
    pub fn inverse(&self, y: f64) -> Option<f64> {
        let [middle, slope] = *self.fit.coefficients.as_slice() else {
            return None;
        };
        finite(self.centre + (y - middle) / slope)
    }

    /// The set of `x` that `y` allows with confidence `level`: Fieller's, exact for normal errors.
    ///
    /// `y` is a value known exactly (`None`), or the mean of `Some(count)` new observations with the scatter of the line's own points,
    /// whose error then counts too (inverse prediction; Draper & Smith 1998, *Applied Regression Analysis*, 3.2, from memory).
    pub fn inverse_set(&self, y: f64, count: Option<usize>, level: f64) -> Option<RatioSet> {
        let [middle, slope] = *self.fit.coefficients.as_slice() else {
            return None;
        };
        let covariance = self.fit.covariance()?;
        // About the mean of x the two coefficients are independent.
        let cell = |i: usize| covariance.get(i)?.get(i).copied();
        let own = match count {
            None => 0.0,
            Some(count) => finite(self.fit.residual_variance()? / count as f64)?,
        };
        let pair = Pair {
            numerator: y - middle,
            denominator: slope,
            numerator_variance: cell(0)? + own,
            denominator_variance: cell(1)?,
            covariance: 0.0,
            df: self.fit.df as f64,
        };
        let moved = |i: Interval| Interval {
            low: self.centre + i.low,
            high: self.centre + i.high,
        };
        Some(match ratio_set(&pair, level)? {
            RatioSet::Bounded(i) => RatioSet::Bounded(moved(i)),
            RatioSet::Outside(i) => RatioSet::Outside(moved(i)),
            RatioSet::Everything => RatioSet::Everything,
        })
    }
}

/// `y = factor · x^exponent`, fitted as a line through the logarithms.
///
/// Errors are then relative ones: each `y` is within a share of itself. All values above 0.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerLaw {
    line: CalibrationLine,
}

/// Fits a power law; `None` where a value is not above 0, and as in [`calibration_line`].
pub fn power_law(x: &[f64], y: &[f64]) -> Option<PowerLaw> {
    let logs = |values: &[f64]| -> Option<Vec<f64>> {
        let log = |v: &f64| (*v > 0.0).then(|| v.ln());
        values.iter().map(log).collect()
    };
    Some(PowerLaw {
        line: calibration_line(&logs(x)?, &logs(y)?)?,
    })
}

fn raised(interval: Interval) -> Option<Interval> {
    Some(Interval {
        low: finite(interval.low.exp())?,
        high: finite(interval.high.exp())?,
    })
}

impl PowerLaw {
    /// The exponent with its interval.
    pub fn exponent(&self, level: f64) -> Option<Estimate> {
        self.line.slope(level)
    }

    /// The factor: `y` at `x = 1`.
    pub fn factor(&self) -> Option<f64> {
        self.at(1.0)
    }

    /// `y` at `x > 0`: the median there.
    pub fn at(&self, x: f64) -> Option<f64> {
        let [middle, slope] = *self.line.fit.coefficients.as_slice() else {
            return None;
        };
        finite((middle + slope * (x.ln() - self.line.centre)).exp())
    }

    /// Bounds of the curve at `x > 0`.
    pub fn interval_at(&self, x: f64, level: f64) -> Option<Interval> {
        raised(self.line.at(x.ln(), level)?.interval())
    }

    /// Where the geometric mean of `count` new observations at `x > 0` would lie.
    pub fn next_at(&self, x: f64, count: usize, level: f64) -> Option<Interval> {
        raised(self.line.next_at(x.ln(), count, level)?)
    }

    /// The `x` that gives `y > 0`.
    pub fn inverse(&self, y: f64) -> Option<f64> {
        finite(self.line.inverse(y.ln())?.exp())
    }

    /// Bounds of that `x`, see [`CalibrationLine::inverse_set`]; `None` where the exponent does not differ clearly from zero, so that
    /// there are none.
    pub fn inverse_interval(&self, y: f64, count: Option<usize>, level: f64) -> Option<Interval> {
        raised(self.line.inverse_set(y.ln(), count, level)?.bounded()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bound_is_where_the_line_itself_says_so() {
        let x = [1.0, 2.0, 3.0, 5.0, 8.0];
        let line = calibration_line(&x, &[2.1, 3.8, 6.3, 9.7, 16.2]);
        let bounds = line
            .as_ref()
            .and_then(|l| l.inverse_set(7.0, None, 0.95))
            .and_then(RatioSet::bounded);
        let high = line
            .as_ref()
            .zip(bounds)
            .and_then(|(l, b)| l.at(b.high, 0.95));
        assert!(high.is_some_and(|e| (e.low - 7.0).abs() < 1e-9), "{high:?}");
        let inside = line.and_then(|l| l.inverse(7.0)).zip(bounds);
        assert!(inside.is_some_and(|(x, b)| b.contains(x)));
    }

    #[test]
    fn an_exact_power_law_is_found() {
        let x = [1.0, 2.0, 4.0, 7.0];
        let y: Vec<f64> = x.iter().map(|x: &f64| 0.3 * x.powf(2.7)).collect();
        let law = power_law(&x, &y);
        let near = law.is_some_and(|l| {
            l.exponent(0.95)
                .is_some_and(|e| (e.value - 2.7).abs() < 1e-12)
                && l.factor().is_some_and(|f| (f - 0.3).abs() < 1e-12)
                && l.inverse(0.3).is_some_and(|x| (x - 1.0).abs() < 1e-12)
        });
        assert!(near);
    }

    #[test]
    fn undefined_results_are_none() {
        assert!(calibration_line(&[1.0, 1.0], &[1.0, 2.0]).is_none());
        assert!(power_law(&[1.0, 0.0], &[1.0, 2.0]).is_none());
        let two = power_law(&[1.0, 2.0], &[1.0, 2.0]);
        assert!(two.as_ref().is_some_and(|l| l.exponent(0.95).is_none()));
        assert!(two.is_some_and(|l| l.at(-1.0).is_none() && l.next_at(1.0, 0, 0.95).is_none()));
    }
}
