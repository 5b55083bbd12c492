//! The greatest of several correlated t statistics.

use std::f64::consts::PI;

use thiserror::Error;

use crate::normal::{normal_density, normal_lower};
use crate::special::search::increasing_root;
use crate::special::{gamma_quantile, gamma_upper_quantile};

/// Why the distribution of a greatest t cannot be given.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum MultivariateTError {
    /// There are no statistics.
    #[error("take the greatest of 0 statistics: at least 1 is needed")]
    None,
    /// The degrees of freedom are not positive.
    #[error("read the degrees of freedom {0}: they must be positive, or infinite for normal statistics")]
    DegreesOfFreedom(f64),
    /// A loading is out of range.
    #[error("read the loading {0}: it must be 0 or more and below 1; a correlation is the product of two of them")]
    Loading(f64),
    /// The error allowed is not a probability.
    #[error("read the error {0}: it must lie strictly between 0 and 1")]
    Alpha(f64),
}

/// Whether large values count on both sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sides {
    /// The greatest value.
    One,
    /// The greatest absolute value.
    Two,
}

/// Widest loading, above which the quadrature would need more nodes.
const LOADING_BELOW: f64 = 0.999;

/// Probability that the greatest of k correlated t statistics exceeds `limit`.
///
/// # Definition
/// Statistic i is (√(1 − λᵢ²) Zᵢ + λᵢ Z₀)/S with independent standard normal Z
/// and S² = χ²(ν)/ν, so that statistics i and j have the correlation λᵢλⱼ. The
/// integrals over Z₀ and ln S are summed on even steps, which for these smooth
/// integrands is exact to about 12 digits.
///
/// # Shape
/// One loading λ for each statistic. For comparisons of several groups with one
/// control, λᵢ = √(nᵢ/(nᵢ + n₀)).
///
/// # Errors
/// No statistic, a loading outside 0 to 1, or degrees of freedom that are not
/// positive.
///
/// # Source
/// Dunnett (1955), Journal of the American Statistical Association 50:1096;
/// Dunnett & Sobel (1955), Biometrika 42:258.
pub fn max_t_upper(loadings: &[f64], df: f64, limit: f64, sides: Sides) -> Result<f64, MultivariateTError> {
    check(loadings, df)?;
    Ok((1.0 - Quadrature::new(loadings, df).below(loadings, limit, sides)).clamp(0.0, 1.0))
}

/// The limit that the greatest of k equicorrelated t statistics exceeds with
/// probability `alpha`.
///
/// # Definition
/// As [`max_t_upper`] with λ = √ρ for each.
///
/// # Errors
/// As [`max_t_upper`]; also unless 0 < alpha < 1.
///
/// # Source
/// As [`max_t_upper`].
pub fn max_t_critical(
    statistics: usize,
    correlation: f64,
    df: f64,
    alpha: f64,
    sides: Sides,
) -> Result<f64, MultivariateTError> {
    let loadings = vec![libm::sqrt(correlation); statistics];
    check(&loadings, df)?;
    if !(alpha > 0.0 && alpha < 1.0) {
        return Err(MultivariateTError::Alpha(alpha));
    }
    let quadrature = Quadrature::new(&loadings, df);
    let wanted = 1.0 - alpha;
    Ok(increasing_root(2.0, |limit| (quadrature.below(&loadings, limit, sides) - wanted, f64::NAN)))
}

fn check(loadings: &[f64], df: f64) -> Result<(), MultivariateTError> {
    if loadings.is_empty() {
        return Err(MultivariateTError::None);
    }
    if df.is_nan() || df <= 0.0 {
        return Err(MultivariateTError::DegreesOfFreedom(df));
    }
    match loadings.iter().find(|l| !(**l >= 0.0 && **l < LOADING_BELOW)) {
        Some(&loading) => Err(MultivariateTError::Loading(loading)),
        None => Ok(()),
    }
}

/// Nodes and weights over Z₀ and S.
struct Quadrature {
    common: Vec<(f64, f64)>,
    scales: Vec<(f64, f64)>,
}

impl Quadrature {
    fn new(loadings: &[f64], df: f64) -> Self {
        let widest = loadings.iter().copied().fold(0.0, f64::max);
        // The inner function changes over √(1 − λ²)/λ, the density over 1.
        let step = 0.25 * libm::fmin(1.0, 2.0 * libm::sqrt(1.0 - widest * widest));
        let count = libm::ceil(8.75 / step) as i32;
        let common = (-count..=count).map(|i| {
            let z = f64::from(i) * step;
            (z, step * normal_density(z))
        });
        Quadrature { common: common.collect(), scales: scales(df) }
    }

    /// P(all statistics at most `limit`, or all within ±`limit`).
    fn below(&self, loadings: &[f64], limit: f64, sides: Sides) -> f64 {
        if sides == Sides::Two && limit <= 0.0 {
            return 0.0;
        }
        let mut total = 0.0;
        for &(scale, scale_weight) in &self.scales {
            let bound = limit * scale;
            let mut inner = 0.0;
            for &(z, weight) in &self.common {
                let mut product = weight;
                for &loading in loadings {
                    let own = libm::sqrt(1.0 - loading * loading);
                    let above = normal_lower((bound - loading * z) / own);
                    product *= match sides {
                        Sides::One => above,
                        Sides::Two => above - normal_lower((-bound - loading * z) / own),
                    };
                }
                inner += product;
            }
            total += scale_weight * inner;
        }
        total
    }
}

/// Nodes of S with weights, by even steps in ln S.
fn scales(df: f64) -> Vec<(f64, f64)> {
    if df > 1e12 {
        return vec![(1.0, 1.0)];
    }
    let half = 0.5 * df;
    let lo = 0.5 * libm::log(gamma_quantile(half, 1e-17) / half);
    let hi = 0.5 * libm::log(gamma_upper_quantile(half, 1e-17) / half);
    // The density is analytic within π/4 of the real line, so steps of .14 leave
    // an error of exp(−5/.14).
    let count = libm::fmax(160.0, libm::ceil((hi - lo) / 0.14)) as i32;
    let step = (hi - lo) / f64::from(count);
    // Density of u = ln S: 2 (ν/2)^(ν/2) e^(νu − ν e^(2u)/2) / Γ(ν/2), written
    // about its peak at 0 so that large ν do not cancel. The logarithm of the
    // constant ν^(ν/2) e^(−ν/2)/Γ comes from Stirling's error.
    let peak = 0.5 * libm::log(df / PI) - crate::special::deviance::stirling_error(half);
    (0..=count)
        .map(|i| {
            let u = lo + f64::from(i) * step;
            let exponent = peak - half * (libm::expm1(2.0 * u) - 2.0 * u);
            (libm::exp(u), step * libm::exp(exponent))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::normal::normal_upper_quantile;
    use crate::tdist::StudentT;

    #[test]
    fn a_single_statistic_is_student_t() {
        for df in [1.0, 4.5, 30.0, 1000.0] {
            let t = StudentT::new(df).unwrap();
            for loading in [0.0, 0.7] {
                let upper = max_t_upper(&[loading], df, 2.2, Sides::One).unwrap();
                assert!((upper - t.upper(2.2)).abs() < 1e-12, "{df} {loading} {upper} {}", t.upper(2.2));
                let both = max_t_upper(&[loading], df, 2.2, Sides::Two).unwrap();
                assert!((both - t.two_sided(2.2)).abs() < 1e-12, "{df} {loading}");
            }
        }
    }

    /// Šidák (1967): 1 − (1 − α)^(1/k) for independent normal statistics.
    #[test]
    fn independent_normal_statistics() {
        for k in [1, 3, 10] {
            let found = max_t_critical(k, 0.0, f64::INFINITY, 0.05, Sides::Two).unwrap();
            let each = 1.0 - 0.95f64.powf(1.0 / k as f64);
            assert!((found - normal_upper_quantile(each / 2.0)).abs() < 1e-11, "{k} {found}");
        }
    }

    #[test]
    fn correlation_lowers_the_limit() {
        let at = |rho| max_t_critical(4, rho, 20.0, 0.05, Sides::Two).unwrap();
        assert!(at(0.0) > at(0.5) && at(0.5) > at(0.95));
        assert!(at(0.95) > StudentT::new(20.0).unwrap().upper_quantile(0.025));
    }

    #[test]
    fn nonsense_is_refused() {
        assert_eq!(max_t_upper(&[], 5.0, 1.0, Sides::One), Err(MultivariateTError::None));
        assert!(max_t_upper(&[0.5], 0.0, 1.0, Sides::One).is_err());
        assert!(max_t_upper(&[1.0], 5.0, 1.0, Sides::One).is_err());
        assert!(max_t_critical(2, f64::NAN, 5.0, 0.05, Sides::One).is_err());
        assert!(max_t_critical(2, -0.1, 5.0, 0.05, Sides::One).is_err());
        assert!(max_t_critical(2, 0.5, 5.0, 1.0, Sides::One).is_err());
        assert_eq!(max_t_upper(&[0.5], 5.0, -1.0, Sides::Two), Ok(1.0));
    }
}
