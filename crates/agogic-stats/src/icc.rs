//! Intracluster correlation, variance components and design effect.

use thiserror::Error;

use crate::clusters::Clusters;
use crate::ratio::ratio_standard_error;
use crate::sum::compensated_sum;

/// Why variance components cannot be estimated.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum IccError {
    /// The data are not counts of events.
    #[error("take variance components of a ratio: the clusters must be proportions")]
    NotProportions,
    /// There are too few clusters with data.
    #[error("split the variance of {0} clusters with data: at least 2 are needed")]
    Clusters(usize),
    /// No cluster has more than one observation.
    #[error("split the variance within clusters: one must have more than 1 observation")]
    Singletons,
}

/// Variance split into what lies between clusters and within them.
///
/// # Definition
/// One-way analysis of variance: MSC and MSW are the mean squares between and
/// within K clusters of sizes mₖ, N in all, and
/// m₀ = (N − Σmₖ²/N)/(K − 1). The variance within is MSW and between is
/// (MSC − MSW)/m₀.
///
/// # Source
/// Donner & Klar (2000), Design and Analysis of Cluster Randomization Trials,
/// section 6.2; Searle, Casella & McCulloch (1992), Variance Components,
/// section 3.6.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VarianceComponents {
    /// Mean square between clusters, MSC.
    pub mean_square_between: f64,
    /// Mean square within clusters, MSW.
    pub mean_square_within: f64,
    /// Typical cluster size, m₀.
    pub typical_size: f64,
    /// Number of clusters with data.
    pub clusters: u64,
    /// Number of observations.
    pub observations: f64,
}

impl VarianceComponents {
    /// Variance between clusters; below 0 if they are more alike than chance.
    pub fn between(&self) -> f64 {
        (self.mean_square_between - self.mean_square_within) / self.typical_size
    }

    /// Variance within clusters.
    pub fn within(&self) -> f64 {
        self.mean_square_within
    }

    /// Intracluster correlation, ρ = between/(between + within).
    ///
    /// # Undefined
    /// `None` without any variance. A negative value is kept: to cut it at 0
    /// would bias an average of many.
    pub fn icc(&self) -> Option<f64> {
        let total = self.between() + self.within();
        (total > 0.0).then(|| self.between() / total)
    }

    /// Design effect that ρ implies for clusters of size `size`,
    /// 1 + (size − 1)ρ.
    ///
    /// # Undefined
    /// As [`VarianceComponents::icc`].
    ///
    /// # Source
    /// Kish (1965), Survey Sampling, section 5.4.
    pub fn design_effect(&self, size: f64) -> Option<f64> {
        self.icc().map(|rho| 1.0 + (size - 1.0) * rho)
    }

    fn new(between: f64, within: f64, sizes: &[f64]) -> Result<Self, IccError> {
        let clusters = sizes.iter().filter(|m| **m > 0.0).count();
        if clusters < 2 {
            return Err(IccError::Clusters(clusters));
        }
        let (k, n) = (clusters as f64, compensated_sum(sizes.iter().copied()));
        if n <= k {
            return Err(IccError::Singletons);
        }
        let squares = compensated_sum(sizes.iter().map(|m| m * m));
        Ok(VarianceComponents {
            mean_square_between: between / (k - 1.0),
            mean_square_within: within / (n - k),
            typical_size: (n - squares / n) / (k - 1.0),
            clusters: clusters as u64,
            observations: n,
        })
    }
}

/// Variance components of events, each observation being 0 or 1.
///
/// # Errors
/// Clusters that are not proportions, fewer than two with data, or none with
/// more than one observation.
pub fn variance_components(clusters: &Clusters) -> Result<VarianceComponents, IccError> {
    if !clusters.is_proportion() {
        return Err(IccError::NotProportions);
    }
    let (events, observations) = clusters.totals();
    let overall = events / observations;
    let pairs = || clusters.numerators().iter().zip(clusters.denominators()).filter(|(_, m)| **m > 0.0);
    let between = compensated_sum(pairs().map(|(y, m)| m * (y / m - overall) * (y / m - overall)));
    let within = compensated_sum(pairs().map(|(y, m)| y * (1.0 - y / m)));
    VarianceComponents::new(between, within, clusters.denominators())
}

/// Design effect of a rate over clusters: its variance over that of as many
/// independent trials.
///
/// # Definition
/// The square of the linearised standard error of [`ratio`](crate::ratio()),
/// divided by R(1 − R)/N.
///
/// # Undefined
/// `None` unless the clusters are proportions and their ratio has an error.
///
/// # Source
/// Kish (1965), Survey Sampling, section 8.2.
pub fn design_effect(clusters: &Clusters) -> Option<f64> {
    let error = ratio_standard_error(clusters).filter(|_| clusters.is_proportion())?;
    let (events, n) = clusters.totals();
    let rate = events / n;
    Some(error * error / (rate * (1.0 - rate) / n))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn events_are_zeros_and_ones() {
        let clusters = Clusters::counts("typist", [(1, 3), (0, 0), (2, 2), (0, 4)]).unwrap();
        let parts = variance_components(&clusters).unwrap();
        // By hand: Σ mₖ(pₖ − 1/3)² = 4/3 over 2, and Σ yₖ(1 − pₖ) = 2/3 over 6.
        assert!((parts.mean_square_between - 2.0 / 3.0).abs() < 1e-15, "{parts:?}");
        assert!((parts.within() - 1.0 / 9.0).abs() < 1e-15, "{parts:?}");
        assert_eq!((parts.clusters, parts.observations), (3, 9.0));
    }

    #[test]
    fn the_ends_of_the_scale() {
        let split = |pairs: [(u64, u64); 2]| variance_components(&Clusters::counts("typist", pairs).unwrap()).unwrap();
        let identical = split([(4, 4), (0, 4)]);
        assert_eq!(identical.icc(), Some(1.0));
        assert_eq!(identical.design_effect(4.0), Some(4.0));
        // Equal means: ρ = −1/(m − 1), the least there is.
        let alike = split([(1, 2), (1, 2)]);
        assert!((alike.icc().unwrap() + 1.0).abs() < 1e-15);
        let constant = split([(3, 3), (3, 3)]);
        assert_eq!(constant.icc(), None);
    }

    #[test]
    fn what_cannot_be_split_is_refused() {
        let single = Clusters::counts("typist", [(1, 3), (0, 0)]).unwrap();
        assert_eq!(variance_components(&single), Err(IccError::Clusters(1)));
        let ones = Clusters::counts("typist", [(1, 1), (0, 1)]).unwrap();
        assert_eq!(variance_components(&ones), Err(IccError::Singletons));
        let free = Clusters::ratio("typist", [(5.0, 1.0), (0.0, 1.0)]).unwrap();
        assert_eq!(variance_components(&free), Err(IccError::NotProportions));
        assert_eq!(design_effect(&free), None);
    }
}
