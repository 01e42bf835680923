//! The normal density of several values at once.

use std::f64::consts::TAU;

use nalgebra::{DMatrix, DVector};

use super::finite;

/// Values of a normal distribution with mean zero, seen through the root of its covariance.
pub(crate) struct Whitened {
    /// The lower triangle `L`, with `L Lᵀ` the covariance.
    pub(crate) root: DMatrix<f64>,
    /// `L⁻¹` times the values.
    pub(crate) white: DVector<f64>,
    /// Logarithm of the density, but for the `τ^(n/2)`.
    pub(crate) log_density: f64,
}

impl Whitened {
    /// `None` unless the covariance is positive definite and the density is finite.
    pub(crate) fn new(covariance: DMatrix<f64>, values: &DVector<f64>) -> Option<Self> {
        let root = covariance.cholesky()?.unpack();
        let white = root.solve_lower_triangular(values)?;
        let log_det: f64 = root.diagonal().map(f64::ln).sum();
        let log_density = finite(-0.5 * white.norm_squared() - log_det)?;
        Some(Self {
            root,
            white,
            log_density,
        })
    }
}

/// Logarithm of the density at `offs` of a normal distribution with mean zero and this covariance;
/// `None` unless that is square, positive definite, and as large as there are values.
pub fn log_density(covariance: DMatrix<f64>, offs: Vec<f64>) -> Option<f64> {
    let count = offs.len();
    let whole = covariance.shape() == (count, count);
    let offs = DVector::from_vec(offs);
    let own = whole.then(|| Whitened::new(covariance, &offs)).flatten()?;
    Some(own.log_density - count as f64 / 2.0 * TAU.ln())
}

/// The matrix of a value of every two of a list, each given with its place: row by the second of
/// them, column by the first.
pub(crate) fn square<T>(
    all: &[T],
    entry: impl Fn((usize, &T), (usize, &T)) -> f64,
) -> DMatrix<f64> {
    let each = || all.iter().enumerate();
    let entries = each().flat_map(|a| each().map(move |b| (a, b)));
    DMatrix::from_iterator(all.len(), all.len(), entries.map(|(a, b)| entry(a, b)))
}
