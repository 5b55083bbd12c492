//! Correlation matrices.

use std::convert::Infallible;

use thiserror::Error;

/// Why numbers are not a correlation matrix.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CorrelationMatrixError {
    /// Lists that should be of one length are not.
    #[error("read {found} {what} for {wanted} variables: there must be one for each")]
    Length {
        /// What the list holds.
        what: &'static str,
        /// Its length.
        found: usize,
        /// Number of variables.
        wanted: usize,
    },
    /// A correlation is out of range, or differs from its mirror image.
    #[error("read the correlation {value} of variables {row} and {column}: it must be {wanted}")]
    Correlation {
        /// First variable.
        row: usize,
        /// Second variable.
        column: usize,
        /// The number given.
        value: f64,
        /// What it must be.
        wanted: &'static str,
    },
    /// The correlations contradict each other.
    #[error(
        "read the correlations of variable {index} with those before it: they contradict each other, \
         since the variance left to it would be {left}; the matrix must be positive definite"
    )]
    NotPositiveDefinite {
        /// The first variable that cannot be placed.
        index: usize,
        /// Its variance given the variables before it.
        left: f64,
    },
}

/// Variance below which a variable counts as a combination of those before it.
const SINGULAR: f64 = 1e-12;

/// A correlation matrix, checked to be positive definite.
///
/// # Shape
/// Square, symmetric, with ones on the diagonal. Its triangular root is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Correlation {
    size: usize,
    /// Lower triangular L with LLᵀ the matrix, row by row.
    root: Vec<f64>,
}

impl Correlation {
    /// Checks a matrix given row by row.
    ///
    /// # Errors
    /// Not square; a diagonal other than 1; an entry outside −1 to 1 or unlike
    /// its mirror image; or correlations that no variables can have together.
    ///
    /// # Source
    /// Golub & Van Loan (2013), Matrix Computations, section 4.2: a symmetric
    /// matrix is positive definite if and only if it has a Cholesky root.
    pub fn new(rows: &[Vec<f64>]) -> Result<Self, CorrelationMatrixError> {
        let size = rows.len();
        for (row, entries) in rows.iter().enumerate() {
            if entries.len() != size {
                return Err(CorrelationMatrixError::Length {
                    what: "correlations",
                    found: entries.len(),
                    wanted: size,
                });
            }
            for (column, &value) in entries.iter().enumerate() {
                let wanted = if row == column && value != 1.0 {
                    "1 on the diagonal"
                } else if !(-1.0..=1.0).contains(&value) {
                    "between −1 and 1"
                } else if value != rows[column][row] {
                    "the same in both triangles"
                } else {
                    continue;
                };
                return Err(CorrelationMatrixError::Correlation { row, column, value, wanted });
            }
        }
        let refuse = |index, left| Err(CorrelationMatrixError::NotPositiveDefinite { index, left });
        Ok(Correlation { size, root: triangular_root(size, |i, j| rows[i][j], refuse)? })
    }

    /// The correlations of lists about 0, which may be combinations of each other.
    ///
    /// # Definition
    /// Σₖ aₖbₖ / √(Σₖ aₖ² Σₖ bₖ²).
    ///
    /// # Shape
    /// Lists of one length, none of them all 0.
    pub(crate) fn about_zero(lists: &[&[f64]]) -> Self {
        let product = |a: &[f64], b: &[f64]| -> f64 { a.iter().zip(b).map(|(a, b)| a * b).sum() };
        let lengths: Vec<f64> = lists.iter().map(|list| libm::sqrt(product(list, list))).collect();
        let of = |i: usize, j: usize| if i == j { 1.0 } else { product(lists[i], lists[j]) / lengths[i] / lengths[j] };
        let size = lists.len();
        // What is a combination of those before it has no number of its own.
        let Ok(root) = triangular_root(size, of, |_, _| Ok::<f64, Infallible>(0.0));
        Correlation { size, root }
    }

    /// The matrix of `size` variables that are not correlated.
    pub fn identity(size: usize) -> Self {
        let root = (0..size * size).map(|at| f64::from(u8::from(at / size == at % size))).collect();
        Correlation { size, root }
    }

    /// Number of variables.
    pub fn size(&self) -> usize {
        self.size
    }

    /// Determinant, 1 without correlation and near 0 when almost contradictory.
    pub fn determinant(&self) -> f64 {
        (0..self.size).map(|i| self.root[i * self.size + i]).map(|d| d * d).product()
    }

    /// Gives independent numbers the correlations of the matrix.
    ///
    /// # Definition
    /// L times the numbers, with L the triangular root: each result depends on its own number and those
    /// before it only.
    ///
    /// # Shape
    /// One number for each variable; further ones are left out.
    ///
    /// # Panics
    /// With fewer numbers than variables.
    pub fn apply(&self, independent: &[f64]) -> Vec<f64> {
        (0..self.size).map(|i| (0..=i).map(|j| self.root[i * self.size + j] * independent[j]).sum()).collect()
    }
}

/// Lower triangular L with LLᵀ the matrix of these entries, row by row. Where hardly any variance is left to a variable,
/// `singular` gives its place on the diagonal, or refuses.
fn triangular_root<E>(
    size: usize,
    entry: impl Fn(usize, usize) -> f64,
    singular: impl Fn(usize, f64) -> Result<f64, E>,
) -> Result<Vec<f64>, E> {
    let mut root = vec![0.0; size * size];
    for i in 0..size {
        for j in 0..=i {
            let shared: f64 = (0..j).map(|k| root[i * size + k] * root[j * size + k]).sum();
            let left = entry(i, j) - shared;
            let own = root[j * size + j];
            root[i * size + j] = if i != j {
                if own > 0.0 { left / own } else { 0.0 }
            } else if left > SINGULAR {
                libm::sqrt(left)
            } else {
                singular(i, left)?
            };
        }
    }
    Ok(root)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn matrix(a: f64, b: f64, c: f64) -> Vec<Vec<f64>> {
        vec![vec![1.0, a, b], vec![a, 1.0, c], vec![b, c, 1.0]]
    }

    #[test]
    fn contradictory_correlations_are_refused() {
        let fine = Correlation::new(&matrix(0.5, 0.2, -0.3)).unwrap();
        // Determinant 1 + 2abc − a² − b² − c².
        assert!((fine.determinant() - (1.0 - 0.06 - 0.25 - 0.04 - 0.09)).abs() < 1e-15);
        let error = Correlation::new(&matrix(0.9, 0.9, -0.9)).unwrap_err();
        assert!(matches!(error, CorrelationMatrixError::NotPositiveDefinite { index: 2, left } if left < 0.0));
        assert!(Correlation::new(&matrix(1.0, 0.0, 0.0)).is_err());
    }

    #[test]
    fn what_is_no_correlation_matrix_is_refused() {
        let mut lopsided = matrix(0.5, 0.2, 0.1);
        lopsided[0][1] = 0.4;
        assert!(matches!(
            Correlation::new(&lopsided),
            Err(CorrelationMatrixError::Correlation { row: 0, column: 1, .. })
        ));
        assert!(Correlation::new(&matrix(1.5, 0.0, 0.0)).is_err());
        assert!(Correlation::new(&matrix(f64::NAN, 0.0, 0.0)).is_err());
        assert!(Correlation::new(&[vec![2.0]]).is_err());
        assert!(Correlation::new(&[vec![1.0, 0.0]]).is_err());
        let identity = Correlation::identity(2);
        assert_eq!(Correlation::new(&[vec![1.0, 0.0], vec![0.0, 1.0]]), Ok(identity));
    }
}
