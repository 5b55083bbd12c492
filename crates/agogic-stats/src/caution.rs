//! What to mind when reading an estimate.

use serde::{Deserialize, Serialize};

/// Clusters from which on intervals over clusters held their level in the coverage study, whatever the quantity.
pub const FEWEST_CLUSTERS: u64 = 40;

/// Clusters with events from which on intervals of rates did.
pub const FEWEST_INFORMATIVE: u64 = 7;

/// Clusters in which two sides differ from which on intervals of differences did.
///
/// With fewer the typical sample lacks the rare cluster that carries much of the difference, and nothing in the sample
/// tells. How unequal the differing clusters look is no better guide: it is the samples that do hold the rare cluster
/// that look unequal, and their intervals are wide enough. At 40 typists single cells of the study still fall short with
/// more that differ, the worst at 78 %; the mean over cells holds.
pub const FEWEST_DIFFERING: u64 = 20;

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
    /// Fewer clusters than [`FEWEST_INFORMATIVE`] have events, however many there are.
    FewInformative {
        /// Clusters with events.
        n: u64,
    },
    /// Fewer clusters than [`FEWEST_DIFFERING`] differ between the two sides, however many there are.
    FewDiffering {
        /// Clusters in which the two sides differ.
        n: u64,
    },
    /// No event was seen, or nothing but events: the limit is a bound at worst-case clustering.
    NoEvents,
    /// All sessions type one text, so the interval says nothing about other texts.
    OneText,
}

impl Caution {
    /// The cautions of an interval over `n` clusters of which so many have events.
    pub(crate) fn of_clusters(n: u64, informative: u64) -> Vec<Caution> {
        let few = (n < FEWEST_CLUSTERS).then_some(Caution::FewClusters { n });
        let some = (1..FEWEST_INFORMATIVE).contains(&informative);
        few.into_iter().chain(some.then_some(Caution::FewInformative { n: informative })).collect()
    }

    /// The cautions of a difference over `n` clusters of which so many differ.
    ///
    /// Where all of them differ they are few only because the clusters are, which has a caution of its own.
    pub(crate) fn of_differences(n: u64, differing: u64) -> Vec<Caution> {
        let few = (n < FEWEST_CLUSTERS).then_some(Caution::FewClusters { n });
        let some = (1..FEWEST_DIFFERING).contains(&differing) && differing < n;
        few.into_iter().chain(some.then_some(Caution::FewDiffering { n: differing })).collect()
    }

    /// Its name in files.
    pub fn name(&self) -> &'static str {
        match self {
            Self::FewClusters { .. } => "few_clusters",
            Self::FewInformative { .. } => "few_informative",
            Self::FewDiffering { .. } => "few_differing",
            Self::NoEvents => "no_events",
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
            Self::FewInformative { n } => format!(
                "Only {n} {unit}{} such events: intervals of rates held their level from {FEWEST_INFORMATIVE} on.",
                if *n == 1 { " has" } else { "s have" }
            ),
            Self::FewDiffering { n } => format!(
                "Only {n} {unit}{}: intervals of differences held their level where {FEWEST_DIFFERING} or more do.",
                if *n == 1 { " differs" } else { "s differ" }
            ),
            Self::NoEvents => format!(
                "No {unit} differs from the rest: the limit is a bound at worst-case clustering, not an interval."
            ),
            Self::OneText => "All sessions type one text: the interval says nothing about other texts.".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_clusters_and_few_with_events() {
        assert_eq!(Caution::of_clusters(FEWEST_CLUSTERS, FEWEST_INFORMATIVE), []);
        assert_eq!(Caution::of_clusters(FEWEST_CLUSTERS - 1, 30), [Caution::FewClusters { n: 39 }]);
        let both = Caution::of_clusters(5, 1);
        assert_eq!(both, [Caution::FewClusters { n: 5 }, Caution::FewInformative { n: 1 }]);
        assert_eq!(both[0].sentence("typist"), "5 typists are few: intervals held their level from 40 typists on.");
        assert!(both[1].sentence("typist").starts_with("Only 1 typist has such events:"));
    }

    #[test]
    fn few_that_differ_are_told_apart_from_few_clusters() {
        assert_eq!(Caution::of_differences(FEWEST_CLUSTERS, FEWEST_DIFFERING), []);
        let few = Caution::of_differences(300, FEWEST_DIFFERING - 1);
        assert_eq!(few, [Caution::FewDiffering { n: 19 }]);
        let said = "Only 19 typists differ: intervals of differences held their level where 20 or more do.";
        assert_eq!(few[0].sentence("typist"), said);
        // None differs: that has a caution of its own.
        assert_eq!(Caution::of_differences(300, 0), []);
        assert_eq!(Caution::of_differences(12, 12), [Caution::FewClusters { n: 12 }]);
        assert_eq!(Caution::of_differences(12, 11), [Caution::FewClusters { n: 12 }, Caution::FewDiffering { n: 11 }]);
    }

    #[test]
    fn files_name_each() {
        let all = [
            Caution::FewClusters { n: 2 },
            Caution::FewInformative { n: 2 },
            Caution::FewDiffering { n: 2 },
            Caution::NoEvents,
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
