//! What units said of a candidate.

use crate::clusters::{ClusterError, Clusters};

/// What is asked of a candidate before its loss matters.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Demands {
    /// Least share of units that it has to serve; `None` where that is not asked.
    pub served: Option<f64>,
    /// Most that each further ratio may be over all units together.
    pub limits: Vec<f64>,
}

impl Demands {
    /// Demands that may fail.
    pub(crate) fn number(&self) -> usize {
        usize::from(self.served.is_some()) + self.limits.len()
    }
}

/// What units said of one candidate.
///
/// # Shape
/// All parts have the same units in the same order as those of any other candidate they are compared with.
#[derive(Debug, Clone, PartialEq)]
pub struct Tally {
    /// What is to be made small, as a ratio over units.
    pub loss: Clusters,
    /// Whether each unit was served; `None` for a unit of which that cannot be said. Units without an answer are
    /// left out of the share.
    pub served: Vec<Option<bool>>,
    /// The ratios with a limit, in the order of [`Demands::limits`].
    pub limited: Vec<Clusters>,
}

impl Tally {
    /// This tally, and then what later units said.
    ///
    /// # Errors
    /// The clusters have another unit.
    pub fn joined(mut self, later: Tally) -> Result<Self, ClusterError> {
        self.loss = self.loss.joined(later.loss)?;
        self.served.extend(later.served);
        let limited = self.limited.into_iter().zip(later.limited);
        self.limited = limited.map(|(own, more)| own.joined(more)).collect::<Result<_, _>>()?;
        Ok(self)
    }

    /// Units served and units with an answer.
    pub fn served_of(&self) -> (u64, u64) {
        let known = self.served.iter().flatten();
        known.fold((0, 0), |(served, all), &is| (served + u64::from(is), all + 1))
    }

    /// The loss; `None` without any denominator.
    pub fn loss_value(&self) -> Option<f64> {
        value(&self.loss)
    }
}

/// A ratio of totals; `None` without any denominator.
pub(crate) fn value(clusters: &Clusters) -> Option<f64> {
    let (y, x) = clusters.totals();
    (x > 0.0).then(|| y / x)
}
