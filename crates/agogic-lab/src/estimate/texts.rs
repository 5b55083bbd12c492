//! Several texts: each by itself, and intervals that hold for texts like them.

use std::borrow::Cow;

use agogic_sim::TypistSummary;
use agogic_stats::{Clusters, Estimate, Level, paired_difference, ratio};
use agogic_study::{EstimandInfo, FEWEST_TEXTS, Inference, Study};

use super::{groups, methods};

/// The typists of an arm by the text each was judged on.
pub(super) struct Texts {
    /// A name of the group and the positions of its typists, in the order of the study's texts; texts that nobody typed
    /// are left out. Empty for a study of one text.
    each: Vec<(String, Vec<usize>)>,
    /// Texts of the study.
    named: usize,
}

impl Texts {
    pub fn of(study: &Study, people: &[TypistSummary]) -> Self {
        let named = study.texts.len();
        if named == 1 {
            return Self { each: Vec::new(), named };
        }
        let mut each: Vec<_> = study.texts.iter().map(|name| (format!("text {name}"), Vec::new())).collect();
        for (at, person) in people.iter().enumerate() {
            each[study.text_of(person.typist)].1.push(at);
        }
        each.retain(|(_, members): &(_, Vec<usize>)| !members.is_empty());
        Self { each, named }
    }

    /// The pooled value of each text, with an interval over its typists, in the unit of the estimand.
    pub fn each(
        &self,
        own: &Clusters,
        inference: &Inference,
        seed: u64,
        info: &'static EstimandInfo,
    ) -> Vec<(Cow<'static, str>, Estimate)> {
        let of = |(name, members): &(String, Vec<usize>)| {
            let estimate = methods::rate(&groups::only(own, members), inference, seed, info);
            (Cow::Owned(name.clone()), info.scaled(estimate))
        };
        self.each.iter().map(of).collect()
    }

    /// The ratio, or its difference from that of `other`, with an interval that counts typists and texts; `None` for a
    /// study of one text.
    ///
    /// # Definition
    /// Each typist types one text, so typists lie within texts. Clusters of both kinds then come to clusters of texts
    /// alone: two-way variance is that of typists plus that of texts less that of their crossing, and the crossing is the
    /// typists. The linearised ratio over texts, each with the sums of its typists, has t limits with a degree of freedom
    /// less than there are texts.
    ///
    /// # Undefined
    /// Below five texts: the study of `agogic-stats` (its `TEXTS.md`) finds intervals that hold their level where texts differ as
    /// draws of a normal law, and are 1.6 to 6.5 times as wide as with many texts.
    ///
    /// # Source
    /// Cameron, Gelbach & Miller 2011, Robust inference with multiway clustering, Journal of Business & Economic
    /// Statistics 29:238–249, equation 2.13 (from memory).
    pub fn over(&self, own: &Clusters, other: Option<&Clusters>, level: Level) -> Option<Estimate> {
        if self.named == 1 {
            return None;
        }
        let method = if other.is_some() { "paired difference over texts, t" } else { "linearised over texts, t" };
        let texts = self.each.len();
        if texts < FEWEST_TEXTS {
            let reason = format!("{texts} texts are too few to tell how texts differ; see each by itself");
            return Some(Estimate::unknown(&reason, method, level, "text", texts as u64));
        }
        let found = match other {
            None => ratio(&self.summed(own), level),
            Some(other) => {
                paired_difference(&self.summed(own), &self.summed(other), level).expect("both have the same texts")
            }
        };
        // From how many texts on such limits hold is known by a study of its own.
        Some(Estimate { method: method.to_owned(), cautions: Vec::new(), ..found })
    }

    /// The sums of each text.
    fn summed(&self, all: &Clusters) -> Clusters {
        let sums = self.each.iter().map(|(_, members)| groups::only(all, members).totals());
        Clusters::ratio("text", sums).expect("sums of clusters that were accepted")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    fn study(texts: &str) -> Study {
        let spec = format!(
            "name = \"t\"\nseed = 5\n[text]\nseveral = [{texts}]\n[typists]\nnumber = 40\nkeys_each = 100\n[[policy]]\n\
             rule = \"enclosed\"\n"
        );
        Study::read(&spec, Path::new(".")).unwrap()
    }

    fn people(n: u64) -> Vec<TypistSummary> {
        let person = |typist| TypistSummary {
            typist,
            wpm: 1.0,
            interval_ms: 1.0,
            dwell_ms: 1.0,
            rollover: 0.0,
            release_ms: 1.0,
        };
        (0..n).map(person).collect()
    }

    const SIX: &str =
        "\"tide-station\", \"seed-library\", \"night-ferry\", \"bread-class\", \"parish-minutes\", \"lost-parcel\"";

    #[test]
    fn clusters_of_texts_are_the_two_way_clusters() {
        let study = study(SIX);
        let people = people(200);
        let texts = Texts::of(&study, &people);
        assert_eq!((texts.each.len(), study.text_caution()), (6, None));
        // Errors that hang on the text and on the typist.
        let count = |i: u64| (3 + 4 * study.text_of(i) as u64 + i % 5, 1000);
        let own = Clusters::counts("typist", (0..200).map(count)).unwrap();
        let found = texts.over(&own, None, Level::P95).unwrap();
        let (events, size) = own.totals();
        let rate = events / size;
        // Cameron, Gelbach & Miller's three parts, each with its factor for few clusters, written out.
        let squares = |sums: &[(f64, f64)]| {
            let n = sums.len() as f64;
            sums.iter().map(|(y, x)| ((y - rate * x) / size).powi(2)).sum::<f64>() * n / (n - 1.0)
        };
        let each: Vec<(f64, f64)> = own.numerators().iter().copied().zip(own.denominators().iter().copied()).collect();
        let sums: Vec<(f64, f64)> = texts
            .each
            .iter()
            .map(|(_, members)| members.iter().fold((0.0, 0.0), |(y, x), &i| (y + each[i].0, x + each[i].1)))
            .collect();
        let two_way = squares(&each) + squares(&sums) - squares(&each);
        assert!((found.mcse.unwrap() - two_way.sqrt()).abs() < 1e-12);
        assert_eq!((found.value.unwrap(), found.unit.as_str(), found.n), (rate, "text", 6));
        // Typists alone would be far too sure.
        assert!(found.mcse.unwrap() > 3.0 * ratio(&own, Level::P95).mcse.unwrap());
    }

    #[test]
    fn few_texts_give_no_interval_over_texts_but_a_reason() {
        let study = study("\"tide-station\", \"night-ferry\"");
        let texts = Texts::of(&study, &people(40));
        let own = Clusters::counts("typist", (0..40).map(|i| (i % 4, 100))).unwrap();
        let found = texts.over(&own, None, Level::P95).unwrap();
        assert!(found.value.is_none() && found.reason.unwrap().starts_with("2 texts are too few"));
        assert!(study.text_caution().unwrap().starts_with("few texts"));
        let inference = &study.inference;
        let each = texts.each(&own, inference, 5, EstimandInfo::by_name("false_holds").unwrap());
        let names: Vec<_> = each.iter().map(|(name, _)| name.as_ref()).collect();
        assert_eq!(names, ["text tide-station", "text night-ferry"]);
        assert_eq!(each.iter().map(|(_, estimate)| estimate.n).sum::<u64>(), 40);
    }

    #[test]
    fn one_text_is_not_split() {
        let study = study("\"tide-station\"");
        let texts = Texts::of(&study, &people(40));
        let own = Clusters::counts("typist", (0..40).map(|i| (i % 4, 100))).unwrap();
        assert!(texts.over(&own, None, Level::P95).is_none());
        assert!(texts.each(&own, &study.inference, 5, EstimandInfo::by_name("false_holds").unwrap()).is_empty());
        assert!(study.text_caution().unwrap().starts_with("one text"));
    }
}
