//! What to mind when reading an estimate.

use serde::{Deserialize, Serialize};

/// Clusters from which on intervals over clusters held their level in the coverage study, whatever the quantity.
pub const FEWEST_CLUSTERS: u64 = 40;

/// Effective clusters from which on they did.
pub const FEWEST_EFFECTIVE: f64 = 3.0;

/// Why an interval may hold its level less well than it says.
///
/// # Source
/// The limits are those at which the study of the lab, `COVERAGE.md`, finds intervals to fall short.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[non_exhaustive]
pub enum Caution {
    /// Fewer clusters than [`FEWEST_CLUSTERS`].
    FewClusters {
        /// Clusters with information.
        n: u64,
    },
    /// The spread rests on fewer clusters than [`FEWEST_EFFECTIVE`], however many there are.
    FewEffective {
        /// Effective clusters, (Σd²)²/Σd⁴ of the parts of the estimate.
        effective: f64,
    },
    /// No event was seen, or nothing but events: the limit is a bound at worst-case clustering.
    NoEvents,
    /// A sequence that may be looked at any time rests on fewer clusters than it needs.
    FewForSequence {
        /// Clusters with information.
        n: u64,
        /// Clusters from which on the sequence held its level.
        least: u64,
    },
    /// All sessions type one text, so the interval says nothing about other texts.
    OneText,
}

impl Caution {
    /// The cautions of an interval over `n` clusters of which so many carry the spread.
    pub(crate) fn of_clusters(n: u64, effective: Option<f64>) -> Vec<Caution> {
        let few = (n < FEWEST_CLUSTERS).then_some(Caution::FewClusters { n });
        let carried = effective.filter(|effective| *effective < FEWEST_EFFECTIVE);
        few.into_iter().chain(carried.map(|effective| Caution::FewEffective { effective })).collect()
    }

    /// Its name in files.
    pub fn name(&self) -> &'static str {
        match self {
            Self::FewClusters { .. } => "few_clusters",
            Self::FewEffective { .. } => "few_effective",
            Self::NoEvents => "no_events",
            Self::FewForSequence { .. } => "few_for_sequence",
            Self::OneText => "one_text",
        }
    }

    /// A sentence for readers. `unit` names a cluster, such as "typist".
    pub fn sentence(&self, unit: &str) -> String {
        match self {
            Self::FewClusters { n: 1 } => format!("1 {unit} says nothing about the spread between {unit}s."),
            Self::FewClusters { n } => {
                format!("{n} {unit}s are few: intervals held their level from {FEWEST_CLUSTERS} {unit}s on.")
            }
            Self::FewEffective { effective } => format!(
                "The spread rests on about {effective:.1} {unit}s: intervals held their level from {FEWEST_EFFECTIVE} on."
            ),
            Self::NoEvents => format!(
                "No {unit} differs from the rest: the limit is a bound at worst-case clustering, not an interval."
            ),
            Self::FewForSequence { n, least } => {
                format!("{n} {unit}s are few for limits that hold at every look: they did from {least} on.")
            }
            Self::OneText => "All sessions type one text: the interval says nothing about other texts.".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_clusters_and_few_that_carry_the_spread() {
        assert_eq!(Caution::of_clusters(FEWEST_CLUSTERS, Some(FEWEST_EFFECTIVE)), []);
        assert_eq!(Caution::of_clusters(FEWEST_CLUSTERS - 1, None), [Caution::FewClusters { n: 39 }]);
        let both = Caution::of_clusters(5, Some(1.2));
        assert_eq!(both, [Caution::FewClusters { n: 5 }, Caution::FewEffective { effective: 1.2 }]);
        assert_eq!(both[0].sentence("typist"), "5 typists are few: intervals held their level from 40 typists on.");
        assert!(both[1].sentence("typist").contains("about 1.2 typists"));
    }

    #[test]
    fn files_name_each() {
        let all = [
            Caution::FewClusters { n: 2 },
            Caution::FewEffective { effective: 1.0 },
            Caution::NoEvents,
            Caution::FewForSequence { n: 20, least: 100 },
            Caution::OneText,
        ];
        for caution in all {
            let json = serde_json::to_value(caution).unwrap();
            assert_eq!(json["kind"], caution.name());
            assert_eq!(serde_json::from_value::<Caution>(json).unwrap(), caution);
            assert!(caution.sentence("typist").ends_with('.'));
        }
    }
}
