//! A numerator and a denominator for each cluster.

use thiserror::Error;

use crate::sum::compensated_sum;

/// Why numbers cannot be the data of a ratio over clusters.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ClusterError {
    /// A denominator is negative or not finite.
    #[error("read the denominator {value} of cluster {index}: it must be zero or more, and finite")]
    Denominator {
        /// Position of the cluster.
        index: usize,
        /// The number given.
        value: f64,
    },
    /// A numerator is not finite.
    #[error("read the numerator {value} of cluster {index}: it must be finite")]
    Numerator {
        /// Position of the cluster.
        index: usize,
        /// The number given.
        value: f64,
    },
    /// A numerator lies outside zero to its denominator.
    #[error(
        "read {numerator} of {denominator} in cluster {index}: \
         the numerator of a proportion must lie between 0 and its denominator"
    )]
    NotAProportion {
        /// Position of the cluster.
        index: usize,
        /// The numerator given.
        numerator: f64,
        /// The denominator given.
        denominator: f64,
    },
    /// Something was counted where nothing could be.
    #[error("read the numerator {value} of cluster {index}: it must be 0 where the denominator is 0")]
    NothingToCountIn {
        /// Position of the cluster.
        index: usize,
        /// The number given.
        value: f64,
    },
    /// Two sets of clusters that should be the same have different sizes.
    #[error("pair {first} clusters with {second}: both must hold the same clusters in the same order")]
    Unpaired {
        /// Clusters in the first set.
        first: usize,
        /// Clusters in the second set.
        second: usize,
    },
    /// Two sets of clusters have different units.
    #[error("pair clusters of unit {first:?} with unit {second:?}: both must be the same")]
    Units {
        /// Unit of the first set.
        first: String,
        /// Unit of the second set.
        second: String,
    },
}

/// Numerators and denominators by cluster, checked, in a fixed order.
///
/// # Shape
/// One pair per cluster. A cluster with denominator 0 keeps its place, so that
/// two sets stay paired, but carries no information and is not counted as used.
#[derive(Debug, Clone, PartialEq)]
pub struct Clusters {
    unit: String,
    numerators: Vec<f64>,
    denominators: Vec<f64>,
    proportion: bool,
}

impl Clusters {
    /// Events among opportunities: each numerator is part of its denominator.
    ///
    /// `unit` says what a cluster is, such as "typist".
    ///
    /// # Errors
    /// A number that is not finite or negative, or a numerator above its
    /// denominator.
    pub fn proportion(unit: &str, pairs: impl IntoIterator<Item = (f64, f64)>) -> Result<Self, ClusterError> {
        Self::checked(unit, pairs, true)
    }

    /// Like [`Clusters::proportion`], from whole counts.
    ///
    /// # Errors
    /// A numerator above its denominator.
    pub fn counts(unit: &str, pairs: impl IntoIterator<Item = (u64, u64)>) -> Result<Self, ClusterError> {
        Self::proportion(unit, pairs.into_iter().map(|(y, x)| (y as f64, x as f64)))
    }

    /// Any total per any other, such as milliseconds per event; may be negative.
    ///
    /// # Errors
    /// A number that is not finite, a negative denominator, or a numerator other
    /// than 0 on a denominator of 0.
    pub fn ratio(unit: &str, pairs: impl IntoIterator<Item = (f64, f64)>) -> Result<Self, ClusterError> {
        Self::checked(unit, pairs, false)
    }

    fn checked(
        unit: &str,
        pairs: impl IntoIterator<Item = (f64, f64)>,
        proportion: bool,
    ) -> Result<Self, ClusterError> {
        let (numerators, denominators): (Vec<f64>, Vec<f64>) = pairs.into_iter().unzip();
        for (index, (&y, &x)) in numerators.iter().zip(&denominators).enumerate() {
            if !(x >= 0.0 && x.is_finite()) {
                return Err(ClusterError::Denominator { index, value: x });
            }
            if !y.is_finite() {
                return Err(ClusterError::Numerator { index, value: y });
            }
            if proportion && !(0.0..=x).contains(&y) {
                let (numerator, denominator) = (y, x);
                return Err(ClusterError::NotAProportion { index, numerator, denominator });
            }
            if x == 0.0 && y != 0.0 {
                return Err(ClusterError::NothingToCountIn { index, value: y });
            }
        }
        Ok(Clusters { unit: unit.to_owned(), numerators, denominators, proportion })
    }

    /// What a cluster is.
    pub fn unit(&self) -> &str {
        &self.unit
    }

    /// Number of clusters, with or without information.
    pub fn len(&self) -> usize {
        self.numerators.len()
    }

    /// Whether there is no cluster at all.
    pub fn is_empty(&self) -> bool {
        self.numerators.is_empty()
    }

    /// Number of clusters with a denominator above 0.
    pub fn used(&self) -> usize {
        self.denominators.iter().filter(|x| **x > 0.0).count()
    }

    /// Number of clusters that have events: a numerator other than 0. Of a proportion the fewer of those with and
    /// those without.
    pub fn informative(&self) -> usize {
        let pairs = || self.numerators.iter().zip(&self.denominators);
        let with = pairs().filter(|(y, _)| **y != 0.0).count();
        if self.proportion { with.min(pairs().filter(|(y, x)| y != x).count()) } else { with }
    }

    /// Number of clusters in which the ratio differs from that of another set over the same clusters.
    pub(crate) fn differing(&self, other: &Clusters) -> usize {
        let own = self.numerators.iter().zip(&self.denominators);
        let others = other.numerators.iter().zip(&other.denominators);
        own.zip(others).filter(|((y, x), (v, u))| *y * *u != *v * *x).count()
    }

    /// Numerators in order.
    pub fn numerators(&self) -> &[f64] {
        &self.numerators
    }

    /// Denominators in order.
    pub fn denominators(&self) -> &[f64] {
        &self.denominators
    }

    /// Whether each numerator is part of its denominator.
    pub fn is_proportion(&self) -> bool {
        self.proportion
    }

    /// Total numerator and total denominator.
    pub fn totals(&self) -> (f64, f64) {
        let total = |values: &[f64]| compensated_sum(values.iter().copied());
        (total(&self.numerators), total(&self.denominators))
    }

    /// The ratio within a resample given by cluster positions.
    ///
    /// # Undefined
    /// `None` if the denominators of the resample sum to 0.
    pub fn ratio_of(&self, positions: &[usize]) -> Option<f64> {
        let (mut y, mut x) = (0.0, 0.0);
        for &position in positions {
            y += self.numerators[position];
            x += self.denominators[position];
        }
        (x > 0.0).then(|| y / x)
    }

    /// These clusters and then others of the same kind.
    ///
    /// # Errors
    /// The others have another unit.
    ///
    /// # Undefined
    /// Proportions joined with ratios that are none are no longer proportions.
    pub fn joined(mut self, later: Clusters) -> Result<Self, ClusterError> {
        if self.unit != later.unit {
            return Err(ClusterError::Units { first: self.unit, second: later.unit });
        }
        self.numerators.extend(later.numerators);
        self.denominators.extend(later.denominators);
        self.proportion &= later.proportion;
        Ok(self)
    }

    /// Checks that another set holds the same clusters.
    pub(crate) fn check_pairing(&self, other: &Clusters) -> Result<(), ClusterError> {
        if self.len() != other.len() {
            return Err(ClusterError::Unpaired { first: self.len(), second: other.len() });
        }
        if self.unit != other.unit {
            let (first, second) = (self.unit.clone(), other.unit.clone());
            return Err(ClusterError::Units { first, second });
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nonsense_is_refused() {
        let proportion = |y, x| Clusters::proportion("typist", [(y, x)]);
        for (y, x) in [(2.0, 1.0), (-1.0, 1.0), (f64::NAN, 1.0), (0.0, -1.0), (0.0, f64::NAN)] {
            assert!(proportion(y, x).is_err(), "{y} {x}");
        }
        assert!(Clusters::ratio("typist", [(2.0, 1.0)]).is_ok());
        assert!(Clusters::ratio("typist", [(2.0, 0.0)]).is_err());
        assert!(Clusters::ratio("typist", [(f64::INFINITY, 1.0)]).is_err());
    }

    #[test]
    fn joined_clusters_stand_one_after_the_other() {
        let first = Clusters::counts("typist", [(1, 4), (2, 5)]).unwrap();
        let both = first.clone().joined(Clusters::counts("typist", [(3, 6)]).unwrap()).unwrap();
        assert_eq!(both, Clusters::counts("typist", [(1, 4), (2, 5), (3, 6)]).unwrap());
        assert!(first.clone().joined(Clusters::counts("day", [(3, 6)]).unwrap()).is_err());
        let free = Clusters::ratio("typist", [(9.0, 1.0)]).unwrap();
        assert!(!first.joined(free).unwrap().is_proportion());
    }

    #[test]
    fn clusters_with_events_and_clusters_that_differ() {
        let some = Clusters::counts("typist", [(0, 4), (1, 5), (0, 0), (6, 6), (2, 9)]).unwrap();
        // With events three, with others than events three.
        assert_eq!(some.informative(), 3);
        let most = Clusters::counts("typist", [(4, 4), (5, 5), (5, 6)]).unwrap();
        assert_eq!(most.informative(), 1);
        let other = Clusters::counts("typist", [(0, 8), (2, 10), (0, 0), (5, 6), (2, 10)]).unwrap();
        assert_eq!(some.differing(&other), 2);
    }

    #[test]
    fn empty_clusters_keep_their_place() {
        let clusters = Clusters::counts("typist", [(0, 0), (1, 4), (0, 0)]).unwrap();
        assert_eq!((clusters.len(), clusters.used()), (3, 1));
        assert_eq!(clusters.totals(), (1.0, 4.0));
        assert_eq!(clusters.ratio_of(&[1, 1, 0]), Some(0.25));
        assert_eq!(clusters.ratio_of(&[0, 2]), None);
    }
}
