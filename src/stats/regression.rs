//! Straight lines by least squares, with and without an intercept.
//!
//! Sums are taken about the means, so that a large offset in `x` or `y` costs no
//! digits. Source of the formulas: NIST/SEMATECH e-Handbook 4.1.4.1; Draper & Smith
//! (1998), *Applied Regression Trial*, chapter 1 (from memory); certified
//! values in the Statistical Reference Datasets.

use super::finite;
use super::summary::mean;

/// `y = intercept + slope·x`, fitted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Where the line meets `x = 0`, in the unit of `y`.
    pub intercept: f64,
    /// Units of `y` per unit of `x`.
    pub slope: f64,
    /// What the residuals say of the line; `None` where two points leave none.
    pub scatter: Option<LineScatter>,
    /// The share of the variance of `y` on the line, in `[0, 1]`; `None` where `y` is constant.
    pub r_squared: Option<f64>,
}

/// The residuals about a [`Line`], and the standard errors they give if independent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineScatter {
    /// The residuals' standard deviation, divisor `df`.
    pub residual_sd: f64,
    /// Points less two.
    pub df: f64,
    /// Standard error of the intercept.
    pub intercept_se: f64,
    /// Standard error of the slope.
    pub slope_se: f64,
    /// The regression's F with 1 and `df` degrees of freedom; `None` for an exact fit.
    pub f: Option<f64>,
}

impl Line {}

/// Fits a line with intercept; `None` where the lengths differ, anything is not
/// finite, or there are not two different `x`.
///
/// # Example
/// ```
/// use thereback::stats::regression::fit_line;
/// let line = fit_line(&[0.0, 1.0, 2.0], &[1.0, 3.0, 5.0]).unwrap();
/// assert_eq!((line.intercept, line.slope), (1.0, 2.0));
/// ```
pub fn fit_line(x: &[f64], y: &[f64]) -> Option<Line> {
    if x.len() != y.len() {
        return None;
    }
    let (mx, my) = (mean(x)?, mean(y)?);
    let (mut sxx, mut sxy, mut syy) = (0.0, 0.0, 0.0);
    for (x, y) in x.iter().zip(y) {
        let (dx, dy) = (x - mx, y - my);
        sxx += dx * dx;
        sxy += dx * dy;
        syy += dy * dy;
    }
    let slope = finite(sxy / sxx)?;
    // Summed from the residuals themselves: `syy - slope·sxy` cancels on a good fit.
    let residual: f64 = x
        .iter()
        .zip(y)
        .map(|(x, y)| ((y - my) - slope * (x - mx)).powi(2))
        .sum();
    let n = x.len() as f64;
    let scatter = (x.len() > 2).then(|| {
        let df = n - 2.0;
        let variance = residual / df;
        LineScatter {
            residual_sd: variance.sqrt(),
            df,
            intercept_se: (variance * (1.0 / n + mx * mx / sxx)).sqrt(),
            slope_se: (variance / sxx).sqrt(),
            f: finite(slope * sxy / variance),
        }
    });
    if scatter.is_some_and(|s| !(s.intercept_se.is_finite() && s.slope_se.is_finite())) {
        return None;
    }
    Some(Line {
        intercept: finite(my - slope * mx)?,
        slope,
        scatter,
        r_squared: finite(1.0 - residual / syy).map(|r| r.clamp(0.0, 1.0)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_large_offset_costs_no_digits() {
        let x: Vec<f64> = (0..50).map(|i| 1.7e9 + f64::from(i)).collect();
        let y: Vec<f64> = (0..50).map(|i| 2.5 * f64::from(i)).collect();
        let slope = fit_line(&x, &y).map(|l| l.slope);
        assert_eq!(slope, Some(2.5));
    }
}
