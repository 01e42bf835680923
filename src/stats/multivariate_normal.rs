//! The normal density of several values at once.

use std::f64::consts::TAU;

use super::triangles::{cholesky, forward};

/// Logarithm of the density at `offs` of a normal distribution with mean zero and this covariance;
/// `None` unless the covariance is square, positive definite, and as large as there are values.
pub fn log_density(covariance: &[Vec<f64>], offs: &[f64]) -> Option<f64> {
    let root = cholesky(covariance)?;
    let white = forward(&root, offs)?;
    let squares: f64 = white.iter().map(|z| z * z).sum();
    let log_det: f64 = root
        .iter()
        .enumerate()
        .filter_map(|(i, row)| row.get(i))
        .map(|d| d.ln())
        .sum();
    Some(-squares / 2.0 - log_det - offs.len() as f64 / 2.0 * TAU.ln())
}
