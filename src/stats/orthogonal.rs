//! Least squares for one coefficient, by making the columns orthogonal.

/// What one coefficient of a linear model is made of.
pub(super) struct Coefficient {
    /// The coefficient is the sum of the observations times these.
    pub(super) weights: Vec<f64>,
    /// Unit columns, at right angles, that span the whole model.
    basis: Vec<Vec<f64>>,
}

/// A column that loses all but this share of its length when made orthogonal to the
/// others depends on them: rounding leaves some 1e-16, the models here keep above 1e-3.
const LEAST_INDEPENDENCE: f64 = 1e-8;

/// The weights of the last column's coefficient; `None` where a column depends on those before it.
///
/// With `v` the part of the last column at right angles to the others, the least-squares
/// coefficient is `v·y / v·v` (Frisch & Waugh 1933, *Econometrica* 1, 387-401).
pub(super) fn last_coefficient(columns: &[Vec<f64>]) -> Option<Coefficient> {
    let mut basis: Vec<Vec<f64>> = Vec::with_capacity(columns.len());
    let mut weights = Vec::new();
    for column in columns {
        let mut left = column.clone();
        // Twice is enough (Kahan & Parlett; Parlett 1980, The Symmetric Eigenvalue Problem, 6.9).
        for _ in 0..2 {
            for unit in &basis {
                subtract_along(&mut left, unit);
            }
        }
        let length = dot(&left, &left).sqrt();
        let independence = length / dot(column, column).sqrt();
        if independence.is_nan() || independence < LEAST_INDEPENDENCE {
            return None;
        }
        // `v·v` is `v·column` too; taken so, the weights times the column sum to one.
        let own = dot(&left, column);
        weights = left.iter().map(|v| v / own).collect();
        basis.push(left.iter().map(|v| v / length).collect());
    }
    Some(Coefficient { weights, basis })
}

impl Coefficient {
    /// The sum of squares that the whole model leaves of the observations.
    pub(super) fn residual_squares(&self, observations: &[f64]) -> f64 {
        let mut left = observations.to_vec();
        for unit in &self.basis {
            subtract_along(&mut left, unit);
        }
        dot(&left, &left)
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Takes out of `of` its part along `unit`.
fn subtract_along(of: &mut [f64], unit: &[f64]) {
    let along = dot(of, unit);
    for (value, u) in of.iter_mut().zip(unit) {
        *value -= along * u;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_repeated_column_is_refused() {
        let column = vec![1.0, 2.0, 4.0];
        assert!(last_coefficient(&[column.clone(), column]).is_none());
        assert!(last_coefficient(&[vec![0.0; 3]]).is_none());
    }
}
