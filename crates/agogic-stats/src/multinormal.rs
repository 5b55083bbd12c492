//! Correlated normal vectors, and the moments of log-normal ones.

use std::convert::Infallible;

use rand::Rng;
use thiserror::Error;

use crate::normal::normal_quantile;
use crate::uniform::open_unit;

/// Why a multivariate normal distribution cannot be made.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MultiNormalError {
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
    /// A mean or SD is out of range.
    #[error("read the {what} {value} of variable {index}: it must be {wanted}")]
    Moment {
        /// What the number is.
        what: &'static str,
        /// Position of the variable.
        index: usize,
        /// The number given.
        value: f64,
        /// What it must be.
        wanted: &'static str,
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
    pub fn new(rows: &[Vec<f64>]) -> Result<Self, MultiNormalError> {
        let size = rows.len();
        for (row, entries) in rows.iter().enumerate() {
            if entries.len() != size {
                return Err(MultiNormalError::Length { what: "correlations", found: entries.len(), wanted: size });
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
                return Err(MultiNormalError::Correlation { row, column, value, wanted });
            }
        }
        let refuse = |index, left| Err(MultiNormalError::NotPositiveDefinite { index, left });
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

/// A vector of correlated normal variables.
#[derive(Debug, Clone, PartialEq)]
pub struct MultiNormal {
    means: Vec<f64>,
    sds: Vec<f64>,
    correlation: Correlation,
}

impl MultiNormal {
    /// Makes a distribution; an SD of 0 holds a variable at its mean.
    ///
    /// # Errors
    /// Lists of different lengths, a mean that is not finite, or an SD that is
    /// negative or not finite.
    pub fn new(means: Vec<f64>, sds: Vec<f64>, correlation: Correlation) -> Result<Self, MultiNormalError> {
        let wanted = correlation.size();
        for (what, found) in [("means", means.len()), ("SDs", sds.len())] {
            if found != wanted {
                return Err(MultiNormalError::Length { what, found, wanted });
            }
        }
        if let Some((index, &value)) = means.iter().enumerate().find(|(_, m)| !m.is_finite()) {
            return Err(MultiNormalError::Moment { what: "mean", index, value, wanted: "finite" });
        }
        if let Some((index, &value)) = sds.iter().enumerate().find(|(_, s)| !(**s >= 0.0 && s.is_finite())) {
            return Err(MultiNormalError::Moment { what: "SD", index, value, wanted: "zero or more, and finite" });
        }
        Ok(MultiNormal { means, sds, correlation })
    }

    /// Draws one vector.
    pub fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> Vec<f64> {
        let independent: Vec<f64> = self.means.iter().map(|_| normal_quantile(open_unit(rng))).collect();
        let scores = self.correlation.apply(&independent);
        scores.iter().zip(&self.means).zip(&self.sds).map(|((z, mean), sd)| mean + sd * z).collect()
    }
}

/// Median and SD of the logarithm of a log-normal with a given mean and SD.
///
/// # Definition
/// s² = ln(1 + (SD/mean)²), median = mean · e^(−s²/2).
///
/// # Undefined
/// `None` unless the mean is positive and the SD zero or more, both finite.
///
/// # Source
/// Johnson, Kotz & Balakrishnan (1994), Continuous Univariate Distributions 1,
/// equations 14.8a and 14.8b, solved.
pub fn lognormal_from_mean_sd(mean: f64, sd: f64) -> Option<(f64, f64)> {
    let valid = mean > 0.0 && mean.is_finite() && sd >= 0.0 && sd.is_finite();
    let square = libm::log1p((sd / mean) * (sd / mean));
    valid.then(|| (mean * libm::exp(-0.5 * square), libm::sqrt(square)))
}

/// Mean and SD of a log-normal with a given median and SD of the logarithm.
///
/// # Definition
/// mean = median · e^(s²/2), SD = mean √(e^(s²) − 1).
///
/// # Undefined
/// `None` unless the median is positive and s zero or more, both finite.
///
/// # Source
/// As [`lognormal_from_mean_sd`].
pub fn lognormal_to_mean_sd(median: f64, log_sd: f64) -> Option<(f64, f64)> {
    let valid = median > 0.0 && median.is_finite() && log_sd >= 0.0 && log_sd.is_finite();
    let square = log_sd * log_sd;
    let mean = median * libm::exp(0.5 * square);
    valid.then(|| (mean, mean * libm::sqrt(libm::expm1(square))))
}

/// Correlation of two log-normals whose logarithms have correlation `rho`.
///
/// # Definition
/// (e^(ρ s₁ s₂) − 1) / √((e^(s₁²) − 1)(e^(s₂²) − 1)).
///
/// # Undefined
/// `None` unless −1 ≤ ρ ≤ 1 and both SDs are positive and finite.
///
/// # Source
/// Kotz, Balakrishnan & Johnson (2000), Continuous Multivariate Distributions 1,
/// section 44.
pub fn lognormal_correlation(rho: f64, first_log_sd: f64, second_log_sd: f64) -> Option<f64> {
    let usable = |s: f64| s > 0.0 && s.is_finite();
    let valid = (-1.0..=1.0).contains(&rho) && usable(first_log_sd) && usable(second_log_sd);
    let growth = |s: f64| libm::expm1(s * s);
    valid.then(|| {
        libm::expm1(rho * first_log_sd * second_log_sd) / libm::sqrt(growth(first_log_sd) * growth(second_log_sd))
    })
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;

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
        assert!(matches!(error, MultiNormalError::NotPositiveDefinite { index: 2, left } if left < 0.0));
        assert!(Correlation::new(&matrix(1.0, 0.0, 0.0)).is_err());
    }

    #[test]
    fn what_is_no_correlation_matrix_is_refused() {
        let mut lopsided = matrix(0.5, 0.2, 0.1);
        lopsided[0][1] = 0.4;
        assert!(matches!(Correlation::new(&lopsided), Err(MultiNormalError::Correlation { row: 0, column: 1, .. })));
        assert!(Correlation::new(&matrix(1.5, 0.0, 0.0)).is_err());
        assert!(Correlation::new(&matrix(f64::NAN, 0.0, 0.0)).is_err());
        assert!(Correlation::new(&[vec![2.0]]).is_err());
        assert!(Correlation::new(&[vec![1.0, 0.0]]).is_err());
        let identity = Correlation::identity(2);
        assert_eq!(Correlation::new(&[vec![1.0, 0.0], vec![0.0, 1.0]]), Ok(identity.clone()));
        assert!(MultiNormal::new(vec![0.0], vec![1.0, 1.0], identity.clone()).is_err());
        assert!(MultiNormal::new(vec![0.0, 0.0], vec![1.0, -1.0], identity.clone()).is_err());
        assert!(MultiNormal::new(vec![0.0, f64::NAN], vec![1.0, 1.0], identity).is_err());
    }

    /// n = 40 000, α = 10⁻⁶ per assertion: z = 4.892.
    #[test]
    fn draws_have_the_moments() {
        let correlation = Correlation::new(&matrix(0.6, -0.3, 0.2)).unwrap();
        let normal = MultiNormal::new(vec![1.0, 2.0, 3.0], vec![1.0, 2.0, 0.0], correlation).unwrap();
        let mut rng = ChaCha12Rng::seed_from_u64(7);
        let n = 40_000.0;
        let (mut first, mut product) = (0.0, 0.0);
        for _ in 0..40_000 {
            let draw = normal.sample(&mut rng);
            assert_eq!(draw[2], 3.0);
            first += draw[0];
            product += (draw[0] - 1.0) * (draw[1] - 2.0) / 2.0;
        }
        let allowed = 4.892 / f64::sqrt(n);
        assert!((first / n - 1.0).abs() < allowed, "{}", first / n);
        // Var(XY) = 1 + ρ² for standard normals.
        assert!((product / n - 0.6).abs() < allowed * 1.36f64.sqrt(), "{}", product / n);
        assert!((product / n).abs() > allowed * 1.36f64.sqrt(), "the gate cannot tell .6 from 0");
    }

    #[test]
    fn log_normal_moments_there_and_back() {
        for (mean, sd) in [(238.7, 111.6), (1.0, 0.0), (51.6, 200.0)] {
            let (median, log_sd) = lognormal_from_mean_sd(mean, sd).unwrap();
            let (back, spread) = lognormal_to_mean_sd(median, log_sd).unwrap();
            assert!((back / mean - 1.0).abs() < 1e-14 && (spread - sd).abs() < 1e-12 * mean.max(sd));
        }
        assert_eq!(lognormal_from_mean_sd(0.0, 1.0), None);
        assert_eq!(lognormal_to_mean_sd(1.0, f64::NAN), None);
        assert!((lognormal_correlation(1.0, 0.7, 0.7).unwrap() - 1.0).abs() < 1e-15);
        assert_eq!(lognormal_correlation(0.0, 0.7, 0.2), Some(0.0));
        assert_eq!(lognormal_correlation(1.1, 0.7, 0.2), None);
    }
}
