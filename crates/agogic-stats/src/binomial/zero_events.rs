//! What can be said when no event was seen.

use thiserror::Error;

use crate::level::Level;

/// Why a bound for zero events cannot be given.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ZeroEventError {
    /// The number of trials is not positive and finite.
    #[error("read the number of trials {0}: it must be positive and finite")]
    Trials(f64),
    /// A cluster size is negative or not finite.
    #[error("read the cluster size {0}: it must be zero or more, and finite")]
    Size(f64),
    /// The intracluster correlation is not between 0 and 1.
    #[error("read the intracluster correlation {0}: it must lie between 0 and 1")]
    Correlation(f64),
}

/// One-sided upper limit for a probability after no event in `n` trials.
///
/// # Definition
/// 1 − α^(1/n), with α the whole error of the level. About 3/n at 95 %, the
/// "rule of three". `n` may be an effective sample size and need not be whole.
///
/// # Errors
/// [`ZeroEventError::Trials`] unless `n` is positive and finite.
pub fn zero_event_upper(n: f64, level: Level) -> Result<f64, ZeroEventError> {
    if n > 0.0 && n.is_finite() {
        Ok(-libm::expm1(libm::log(level.alpha()) / n))
    } else {
        Err(ZeroEventError::Trials(n))
    }
}

/// One-sided upper limit for a rate after no event in any cluster.
///
/// # Definition
/// [`zero_event_upper`] at the effective sample size Σm / [1 + (m̃ − 1)ρ], with
/// m̃ = Σm²/Σm the size of the cluster that a random trial belongs to and ρ the
/// intracluster correlation. Data without events cannot show ρ, so it is
/// assumed: ρ = 1 is the worst case, where a cluster is all events or none, and
/// leaves (Σm)²/Σm² trials; ρ = 0 treats trials as independent.
///
/// At ρ = 1 the bound rests on nothing but the independence of clusters: if
/// cluster k has rate Pₖ, it shows no event with probability at most
/// E(1 − Pₖ), so all of K clusters do with probability at most (1 − E Pₖ)^K,
/// and (Σm)²/Σm² ≤ K.
///
/// # Errors
/// A size that is negative or not finite, sizes that sum to zero, or ρ outside
/// 0 to 1.
///
/// # Source
/// Kish (1965), Survey Sampling, section 8.2, for the design effect.
pub fn zero_event_upper_clustered(sizes: &[f64], correlation: f64, level: Level) -> Result<f64, ZeroEventError> {
    if let Some(&bad) = sizes.iter().find(|size| !(**size >= 0.0 && size.is_finite())) {
        return Err(ZeroEventError::Size(bad));
    }
    if !(0.0..=1.0).contains(&correlation) {
        return Err(ZeroEventError::Correlation(correlation));
    }
    let total: f64 = sizes.iter().sum();
    if total == 0.0 {
        return Err(ZeroEventError::Trials(total));
    }
    let typical = sizes.iter().map(|size| size * size).sum::<f64>() / total;
    // Sizes below one trial would make the design effect favour clustering.
    let design_effect = 1.0 + (typical.max(1.0) - 1.0) * correlation;
    zero_event_upper(total / design_effect, level)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worst_case_counts_clusters() {
        let sizes = [50.0; 12];
        let worst = zero_event_upper_clustered(&sizes, 1.0, Level::P95).unwrap();
        let naive = zero_event_upper_clustered(&sizes, 0.0, Level::P95).unwrap();
        assert!((worst - zero_event_upper(12.0, Level::P95).unwrap()).abs() < 1e-15);
        assert!((naive - zero_event_upper(600.0, Level::P95).unwrap()).abs() < 1e-15);
        assert!(worst > naive);
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(zero_event_upper(0.0, Level::P95).is_err());
        assert!(zero_event_upper(f64::NAN, Level::P95).is_err());
        assert!(zero_event_upper_clustered(&[], 1.0, Level::P95).is_err());
        assert!(zero_event_upper_clustered(&[0.0], 1.0, Level::P95).is_err());
        assert!(zero_event_upper_clustered(&[-1.0], 1.0, Level::P95).is_err());
        assert!(zero_event_upper_clustered(&[1.0], 1.1, Level::P95).is_err());
    }
}
