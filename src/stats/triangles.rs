//! Triangular matrices, for small least squares.

use super::finite;

/// The inverse, by rows, of an upper triangle given by columns.
pub(crate) fn invert_triangle(triangle: &[Vec<f64>]) -> Vec<Vec<f64>> {
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

/// The lower triangle `L` with `L Lᵀ` the matrix, by full rows; `None` unless square and positive definite.
pub(crate) fn cholesky(matrix: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let count = matrix.len();
    let mut root: Vec<Vec<f64>> = Vec::with_capacity(count);
    for (i, row) in matrix.iter().enumerate() {
        if row.len() != count {
            return None;
        }
        let mut built: Vec<f64> = Vec::with_capacity(count);
        for (above, value) in root.iter().zip(row) {
            let place = built.len();
            built.push((value - dot(&built, above)) / above.get(place)?);
        }
        let left = finite(row.get(i)? - dot(&built, &built)).filter(|l| *l > 0.0)?;
        built.push(left.sqrt());
        built.resize(count, 0.0);
        root.push(built);
    }
    Some(root)
}

/// `L⁻¹ v`.
pub(crate) fn forward(root: &[Vec<f64>], v: &[f64]) -> Option<Vec<f64>> {
    if root.len() != v.len() {
        return None;
    }
    let mut solved: Vec<f64> = Vec::with_capacity(v.len());
    for (row, value) in root.iter().zip(v) {
        let diagonal = row.get(solved.len())?;
        solved.push((value - dot(row, &solved)) / diagonal);
    }
    Some(solved)
}

/// Over the shorter of the two.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_root_squares_to_its_matrix() {
        let matrix = vec![
            vec![4.0, 2.0, -2.0],
            vec![2.0, 10.0, 5.0],
            vec![-2.0, 5.0, 9.0],
        ];
        let root = cholesky(&matrix).unwrap_or_default();
        for (row, a) in matrix.iter().zip(&root) {
            for (want, b) in row.iter().zip(&root) {
                assert!((dot(a, b) - want).abs() < 1e-14);
            }
        }
        // `L x = v` solved and multiplied back.
        let solved = forward(&root, &[1.0, 2.0, 3.0]).unwrap_or_default();
        let back: Vec<f64> = root.iter().map(|row| dot(row, &solved)).collect();
        assert!(
            back.iter()
                .zip([1.0, 2.0, 3.0])
                .all(|(a, b)| (a - b).abs() < 1e-14)
        );
    }

    #[test]
    fn a_matrix_without_root_is_none() {
        assert_eq!(cholesky(&[vec![1.0, 2.0], vec![2.0, 1.0]]), None);
        assert_eq!(cholesky(&[vec![1.0, 2.0]]), None);
        assert_eq!(cholesky(&[vec![f64::NAN]]), None);
        assert_eq!(forward(&[vec![1.0]], &[1.0, 2.0]), None);
    }
}
