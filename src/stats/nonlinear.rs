//! Small nonlinear least squares.
//!
//! Levenberg (1944) and Marquardt (1963), *Journal of the Society for Industrial and Applied Mathematics* 11,
//! 431-441: each step solves the linearised problem with its diagonal raised, more after a failure and less after
//! a success. The diagonal is the longest that each column has been (Moré 1978, *Lecture Notes in Mathematics* 630,
//! 105-116), so that a parameter that has lost its effect does not run away. Derivatives by central differences.

use super::finite;
use super::least_squares::{LinearFit, ordinary};
use super::triangles::dot;

/// A fitted nonlinear model.
#[derive(Debug, Clone, PartialEq)]
pub struct NonlinearFit {
    /// The parameters, in the order of the start.
    pub parameters: Vec<f64>,
    /// The model linearised at the solution: its coefficients are zero, its covariance that of the parameters
    /// (large-sample), its residuals and degrees of freedom those of the fit.
    pub linear: LinearFit,
    /// Steps tried.
    pub steps: usize,
}

impl NonlinearFit {
    /// The large-sample standard error of each parameter; `None` where no observation is left over.
    pub fn standard_errors(&self) -> Option<Vec<f64>> {
        let covariance = self.linear.covariance()?;
        let diagonal = covariance.iter().enumerate();
        diagonal
            .map(|(i, row)| row.get(i).map(|v| v.sqrt()))
            .collect()
    }
}

/// Failing this many steps, the start was too far or the model does not fit; the NIST reference sets take under 60.
const MOST_STEPS: usize = 500;

/// The first damping; the larger ones, with shorter first steps, where the search from the one before ends nowhere (as
/// for NIST's `BoxBOD` from its far start).
const FIRST_DAMPINGS: [f64; 3] = [1e-3, 1.0, 1e3];

/// The change of damping after a success and after a failure, and its end: Marquardt's factor of ten.
const EASING: f64 = 0.1;
const STIFFENING: f64 = 10.0;
const MOST_DAMPING: f64 = 1e16;

/// The step of the derivative, relative: the cube root of the rounding, where central differences are best.
const DERIVATIVE_STEP: f64 = 6e-6;

/// A step shorter than this, relative to the parameters, ends the search.
const SHORTEST_STEP: f64 = 1e-10;

/// A fit that leaves this share of the observations' squares is exact to rounding.
const EXACT: f64 = 1e-30;

/// Finds parameters near `start` that make the squares of `residuals(parameters)` (model less observed, or observed
/// less model, weighted as wished) least.
///
/// Derivatives step each parameter by 6e-6 of itself (of `1e-3` where it is smaller, so scale parameters towards 1).
/// `None` where the residuals at the start are unknown, not finite or fewer than the parameters, where the
/// parameters depend on each other at the solution, or where 500 steps do not suffice.
pub fn least_squares(
    start: &[f64],
    residuals: impl Fn(&[f64]) -> Option<Vec<f64>>,
) -> Option<NonlinearFit> {
    least_squares_to(0.0, start, residuals)
}

/// As [`least_squares`], and done as soon as a step lowers the sum of squares by less than `share` of it: where the
/// squares are those of errors that are known, 1e-6 leaves the solution within a thousandth of its standard error or so.
pub fn least_squares_to(
    share: f64,
    start: &[f64],
    residuals: impl Fn(&[f64]) -> Option<Vec<f64>>,
) -> Option<NonlinearFit> {
    FIRST_DAMPINGS
        .iter()
        .find_map(|damping| search(start, &residuals, *damping, share))
}

fn search(
    start: &[f64],
    residuals: &impl Fn(&[f64]) -> Option<Vec<f64>>,
    first_damping: f64,
    share: f64,
) -> Option<NonlinearFit> {
    let mut parameters = start.to_vec();
    let mut left = residuals(&parameters).filter(|r| r.iter().all(|v| v.is_finite()))?;
    let count = left.len();
    if start.is_empty() || count < start.len() {
        return None;
    }
    let first = finite(dot(&left, &left))?;
    let mut squares = first;
    let mut damping = first_damping;
    let mut columns = derivatives(&parameters, residuals, count)?;
    let mut scales = vec![0.0; start.len()];
    for steps in 1..=MOST_STEPS {
        for (scale, column) in scales.iter_mut().zip(&columns) {
            *scale = dot(column, column).max(*scale);
        }
        let step = damped_step(&columns, &left, &scales, damping)?;
        let tried: Vec<f64> = parameters.iter().zip(&step).map(|(p, s)| p + s).collect();
        let found = residuals(&tried).filter(|r| r.len() == count);
        let after = found.as_ref().map_or(f64::INFINITY, |r| dot(r, r));
        let shortest = step
            .iter()
            .zip(&parameters)
            .all(|(s, p)| s.abs() <= SHORTEST_STEP * (p.abs() + SHORTEST_STEP));
        let better = after < squares;
        let hardly = better && squares - after < share * squares;
        if let Some(found) = found.filter(|_| better) {
            parameters = tried;
            left = found;
            squares = after;
            damping *= EASING;
            columns = derivatives(&parameters, residuals, count)?;
        } else {
            damping *= STIFFENING;
        }
        if shortest || hardly || damping > MOST_DAMPING || squares <= EXACT * first {
            let observed: Vec<f64> = left.iter().map(|r| -r).collect();
            let linear = ordinary(&columns, &observed)?;
            return Some(NonlinearFit {
                parameters,
                linear,
                steps,
            });
        }
    }
    None
}

/// The step that solves the linearised problem with `√damping` of each column's longest length below it.
fn damped_step(
    columns: &[Vec<f64>],
    left: &[f64],
    scales: &[f64],
    damping: f64,
) -> Option<Vec<f64>> {
    let count = columns.len();
    let raised: Vec<Vec<f64>> = columns
        .iter()
        .zip(scales)
        .enumerate()
        .map(|(i, (column, scale))| {
            let length = (damping * scale).sqrt();
            let below = (0..count).map(|j| if i == j { length } else { 0.0 });
            column.iter().copied().chain(below).collect()
        })
        .collect();
    let target: Vec<f64> = left
        .iter()
        .map(|r| -r)
        .chain(std::iter::repeat_n(0.0, count))
        .collect();
    ordinary(&raised, &target).map(|f| f.coefficients)
}

/// One column per parameter: how the residuals change with it.
fn derivatives(
    parameters: &[f64],
    residuals: &impl Fn(&[f64]) -> Option<Vec<f64>>,
    count: usize,
) -> Option<Vec<Vec<f64>>> {
    let column = |place: usize| {
        let at = |by: f64| {
            let mut moved = parameters.to_vec();
            *moved.get_mut(place)? += by;
            let value = *moved.get(place)?;
            let found = residuals(&moved).filter(|r| r.len() == count)?;
            Some((value, found))
        };
        let step = DERIVATIVE_STEP * parameters.get(place)?.abs().max(LEAST_SCALE);
        let ((above, up), (below, down)) = (at(step)?, at(-step)?);
        let slopes: Vec<f64> = up
            .iter()
            .zip(&down)
            .map(|(u, d)| (u - d) / (above - below))
            .collect();
        slopes.iter().all(|s| s.is_finite()).then_some(slopes)
    };
    (0..parameters.len()).map(column).collect()
}

/// The least size a parameter is taken to have where its derivative is stepped.
const LEAST_SCALE: f64 = 1e-3;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_exact_model_is_found() {
        let fit = least_squares(&[1.0, 1.0], |p| {
            let [a, b] = p else { return None };
            Some(
                (0..8)
                    .map(|i| a * (b * f64::from(i)).exp() - 2.0 * (-0.3 * f64::from(i)).exp())
                    .collect(),
            )
        });
        let near = fit.is_some_and(|f| {
            let wanted = f.parameters.iter().zip([2.0, -0.3]);
            wanted.into_iter().all(|(p, w)| (p - w).abs() < 1e-9)
        });
        assert!(near);
    }

    #[test]
    fn a_rough_end_is_near_the_fine_one() {
        // Observed with an error of a hundredth, in its units.
        let residuals = |p: &[f64]| -> Option<Vec<f64>> {
            let [a, b] = p else { return None };
            let model = |i: u32| {
                let t = f64::from(i);
                100.0 * (a * (b * t).exp() - 2.0 * (-0.3 * t).exp()) + (2.0 * t).sin()
            };
            Some((0..8).map(model).collect())
        };
        let fine = least_squares(&[1.0, 1.0], residuals);
        let rough = least_squares_to(1e-6, &[1.0, 1.0], residuals);
        let near = fine.zip(rough).is_some_and(|(fine, rough)| {
            let errors = fine.standard_errors().unwrap_or_default();
            let pairs = fine.parameters.iter().zip(&rough.parameters).zip(&errors);
            rough.steps < fine.steps
                && pairs
                    .into_iter()
                    .all(|((f, r), se)| (f - r).abs() < 0.003 * se)
        });
        assert!(near);
    }

    #[test]
    fn undefined_fits_are_none() {
        assert!(least_squares(&[], |_| Some(vec![1.0])).is_none());
        assert!(least_squares(&[1.0], |_| None).is_none());
        assert!(least_squares(&[1.0], |_| Some(vec![f64::NAN])).is_none());
        // The residuals know nothing of the parameter.
        assert!(least_squares(&[1.0], |_| Some(vec![1.0, 2.0])).is_none());
        assert!(least_squares(&[1.0, 2.0], |p| Some(vec![p.iter().sum()])).is_none());
    }
}
