//! Linear models of a few columns: plain, weighted and generalised least squares.
//!
//! For small problems, up to some hundreds of observations and tens of columns. The columns are made orthogonal
//! twice over (Gram–Schmidt with reorthogonalisation, as stable as Householder's QR: Giraud, Langou & Rozložník
//! 2005, *Computers & Mathematics with Applications* 50, 1069-1075), never squared into normal equations. Weights and
//! covariances are taken out first by scaling (Aitken 1935, *Proceedings of the Royal Society of Edinburgh* 55, 42-48).

use super::finite;
use super::interval::Estimate;

/// A fitted linear model.
#[derive(Debug, Clone, PartialEq)]
pub struct LinearFit {
    /// One coefficient per column, in order.
    pub coefficients: Vec<f64>,
    /// `(XᵀWX)⁻¹`, by rows: times a variance, the covariance of the coefficients.
    pub unscaled_covariance: Vec<Vec<f64>>,
    /// The (weighted) sum of squares left.
    pub residual_squares: f64,
    /// Observations less columns.
    pub df: usize,
    /// Observation less fitted value, each in the unit of the observations.
    pub residuals: Vec<f64>,
    /// How much each (scaled) observation draws its own fitted value, `[0, 1]`; their sum is the number of columns
    /// (Hoaglin & Welsch 1978, *The American Statistician* 32, 17-22).
    pub leverages: Vec<f64>,
    /// Logarithm of the determinant of `XᵀWX`.
    pub log_determinant: f64,
}

impl LinearFit {
    /// The variance of an observation of unit weight, divisor `df`; `None` where none is left over.
    pub fn residual_variance(&self) -> Option<f64> {
        (self.df > 0).then(|| self.residual_squares / self.df as f64)
    }

    /// A sum of coefficients with the given factors, its error from the scatter found and Student's t.
    ///
    /// `None` where the factors are not one per coefficient or no observation is left over.
    pub fn contrast(&self, factors: &[f64], level: f64) -> Option<Estimate> {
        self.contrast_of(factors, self.residual_variance()?, self.df as f64, level)
    }

    /// The same with a variance known from elsewhere, of `df` degrees of freedom (infinite: known exactly).
    pub fn contrast_of(
        &self,
        factors: &[f64],
        variance: f64,
        df: f64,
        level: f64,
    ) -> Option<Estimate> {
        if factors.len() != self.coefficients.len() {
            return None;
        }
        let value = dot(factors, &self.coefficients);
        let of_rows: Vec<f64> = self
            .unscaled_covariance
            .iter()
            .map(|row| dot(row, factors))
            .collect();
        let spread = dot(&of_rows, factors).max(0.0);
        Estimate::new(value, (spread * variance).sqrt(), df, level)
    }
}

/// A column that loses all but this share of its length when made orthogonal to the others depends on them.
/// Rounding leaves some 1e-16; the worst NIST reference set (Longley) keeps 1e-7.
const LEAST_INDEPENDENCE: f64 = 1e-12;

/// Fits `y = Σ coefficient · column` with equal weights.
///
/// `None` where a length differs, anything is not finite, there are more columns than observations, or a column
/// depends on those before it.
///
/// # Example: a line
/// ```
/// use thereback::stats::least_squares::ordinary;
/// let fit = ordinary(&[vec![1.0; 3], vec![0.0, 1.0, 2.0]], &[1.0, 3.0, 5.0]).unwrap();
/// assert!((fit.coefficients[1] - 2.0).abs() < 1e-14);
/// ```
pub fn ordinary(columns: &[Vec<f64>], y: &[f64]) -> Option<LinearFit> {
    let fit = solve(columns, y)?;
    let residuals = fit.left.clone();
    fit.finish(residuals)
}

/// The triangle `R` of `X = QR`, by columns, and what it gives.
struct Solved {
    coefficients: Vec<f64>,
    /// `R⁻¹` by rows.
    inverse: Vec<Vec<f64>>,
    left: Vec<f64>,
    leverages: Vec<f64>,
    log_determinant: f64,
}

impl Solved {
    fn finish(self, residuals: Vec<f64>) -> Option<LinearFit> {
        let residual_squares = finite(dot(&self.left, &self.left))?;
        let unscaled_covariance: Vec<Vec<f64>> = self
            .inverse
            .iter()
            .map(|a| self.inverse.iter().map(|b| dot(a, b)).collect())
            .collect();
        let all_finite = self.coefficients.iter().all(|c| c.is_finite())
            && unscaled_covariance.iter().flatten().all(|c| c.is_finite());
        all_finite.then(|| LinearFit {
            df: residuals.len() - self.coefficients.len(),
            coefficients: self.coefficients,
            unscaled_covariance,
            residual_squares,
            residuals,
            leverages: self.leverages,
            log_determinant: self.log_determinant,
        })
    }
}

fn solve(columns: &[Vec<f64>], y: &[f64]) -> Option<Solved> {
    let count = columns.len();
    let sound = |values: &[f64]| values.len() == y.len() && values.iter().all(|v| v.is_finite());
    if count == 0 || count > y.len() || !sound(y) || !columns.iter().all(|c| sound(c)) {
        return None;
    }
    let mut basis: Vec<Vec<f64>> = Vec::with_capacity(count);
    let mut triangle: Vec<Vec<f64>> = Vec::with_capacity(count);
    for column in columns {
        let mut left = column.clone();
        let mut along = orthogonalise(&mut left, &basis);
        let length = dot(&left, &left).sqrt();
        let independence = length / dot(column, column).sqrt();
        if independence.is_nan() || independence < LEAST_INDEPENDENCE {
            return None;
        }
        along.push(length);
        triangle.push(along);
        basis.push(left.iter().map(|v| v / length).collect());
    }
    let mut left = y.to_vec();
    let along = orthogonalise(&mut left, &basis);
    let inverse = invert_triangle(&triangle);
    let leverage = |place: usize| -> f64 {
        let of = basis.iter().filter_map(|unit| unit.get(place));
        of.map(|u| u * u).sum()
    };
    let lengths = triangle.iter().filter_map(|column| column.last());
    Some(Solved {
        coefficients: inverse.iter().map(|row| dot(row, &along)).collect(),
        inverse,
        left,
        leverages: (0..y.len()).map(leverage).collect(),
        log_determinant: 2.0 * lengths.map(|length| length.ln()).sum::<f64>(),
    })
}

/// Takes out of `of` its parts along the unit vectors, twice, and returns them.
fn orthogonalise(of: &mut [f64], basis: &[Vec<f64>]) -> Vec<f64> {
    let mut parts = vec![0.0; basis.len()];
    for _ in 0..2 {
        for (unit, part) in basis.iter().zip(&mut parts) {
            let along = dot(of, unit);
            *part += along;
            for (value, u) in of.iter_mut().zip(unit) {
                *value -= along * u;
            }
        }
    }
    parts
}

/// The inverse, by rows, of an upper triangle given by columns.
fn invert_triangle(triangle: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let count = triangle.len();
    let mut inverse: Vec<Vec<f64>> = vec![vec![0.0; count]; count];
    for (j, column) in triangle.iter().enumerate() {
        let Some((diagonal, above)) = column.split_last() else {
            continue;
        };
        // Column j of the inverse: `-(R⁻¹ above) r_j / r_jj`, and `1 / r_jj` on the diagonal.
        for (i, row) in inverse.iter_mut().enumerate() {
            let value = if i == j {
                1.0 / diagonal
            } else {
                -dot(row, above) / diagonal
            };
            if let Some(place) = row.get_mut(j).filter(|_| i <= j) {
                *place = value;
            }
        }
    }
    inverse
}

/// Over the shorter of the two.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line() -> (Vec<Vec<f64>>, Vec<f64>) {
        let x: Vec<f64> = (0..6).map(f64::from).collect();
        (vec![vec![1.0; 6], x], vec![1.0, 2.9, 5.2, 7.1, 8.8, 11.3])
    }

    fn near(a: &[f64], b: &[f64]) -> bool {
        a.len() == b.len() && a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-12)
    }

    /// Of a line: `1/n + (x - mean)² / Σ(x - mean)²`, and the determinant is `n Σ(x - mean)²`.
    #[test]
    fn leverages_and_determinant_of_a_line() {
        let (columns, y) = line();
        let fit = ordinary(&columns, &y);
        let wanted: Vec<f64> = (0..6)
            .map(|x| 1.0 / 6.0 + (f64::from(x) - 2.5).powi(2) / 17.5)
            .collect();
        assert!(fit.is_some_and(|f| {
            near(&f.leverages, &wanted) && (f.log_determinant - 105.0_f64.ln()).abs() < 1e-12
        }));
    }
}
