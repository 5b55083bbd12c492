//! Trained on, judged on: what rules that learn do to people, texts and shortcuts they did not learn from.
//!
//! A rule that learns is trained on one model of people and judged on the same one, which flatters it. Here it is judged
//! in other worlds too, beside its own: other populations, both ends of what is assumed, and, for rules that know keys,
//! other texts and other shortcuts. Rules that learn nothing are judged in the same worlds: what a learned rule has to
//! beat is the worst of the best of them.

mod of_run;
mod worlds;

pub(crate) use of_run::{WithEnds, transfers};
pub(crate) use worlds::{World, judge, people};

use agogic_stats::{Clusters, Estimate, Level};
use agogic_study::{EstimandInfo, Study};
use serde::{Deserialize, Serialize};

use crate::estimate::{ResultRow, Statistic, rate};

/// What a policy comes to in one world.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct JudgedOn {
    /// The world in a few words: a population, an end of what is assumed, a text, a list of shortcuts.
    pub world: String,
    /// The figure, with an interval for itself; of the worst of several worlds see [`TransferRow::worst`].
    pub estimate: Estimate,
}

/// One policy in every world.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TransferRow {
    /// Label of the policy.
    pub policy: String,
    /// On whom it was trained; `None` for a rule that learns nothing.
    pub trained_on: Option<String>,
    /// Its figure in each world, that of the study first.
    pub on: Vec<JudgedOn>,
    /// The largest figure, and the world it is of.
    ///
    /// # Definition
    /// Its limits are the largest lower and the largest upper one of intervals for all worlds that hold together
    /// (Bonferroni), so they surround the largest true figure with the stated confidence, whichever world that is of. The
    /// value itself is the largest of several estimates and tends to lie above the truth.
    pub worst: Option<JudgedOn>,
}

impl TransferRow {
    /// A policy from its typists in each world. `None` figures are of worlds in which it was not judged.
    pub(crate) fn of(
        study: &Study,
        info: &'static EstimandInfo,
        policy: &str,
        trained_on: Option<String>,
        worlds: &[(&str, &Clusters)],
    ) -> Self {
        let joint = joint_level(study.inference.level, worlds.len());
        let at = |level: Level, typists: &Clusters| {
            let inference = agogic_study::Inference { level, ..study.inference.clone() };
            info.scaled(rate(typists, &inference, study.seed, info))
        };
        let figure = |(world, typists): &(&str, &Clusters)| JudgedOn {
            world: (*world).to_owned(),
            estimate: at(study.inference.level, typists),
        };
        let on: Vec<JudgedOn> = worlds.iter().map(figure).collect();
        let together: Vec<Estimate> = worlds.iter().map(|(_, typists)| at(joint, typists)).collect();
        let worst = worst_of(&on, &together, study.inference.level, "figures");
        Self { policy: policy.to_owned(), trained_on, on, worst }
    }

    /// Its figure in the world of the study.
    pub fn own(&self) -> Option<&JudgedOn> {
        self.on.first()
    }

    /// The largest figure as a number.
    pub fn worst_value(&self) -> Option<f64> {
        self.worst.as_ref()?.estimate.value
    }
}

/// The level of one of so many intervals that hold together.
pub(crate) fn joint_level(level: Level, worlds: usize) -> Level {
    Level::new(1.0 - level.alpha() / worlds.max(1) as f64).expect("closer to one than a level")
}

/// The largest of what several worlds say, `what` they are in a word, with limits from intervals that hold together.
pub(crate) fn worst_of(on: &[JudgedOn], together: &[Estimate], level: Level, what: &str) -> Option<JudgedOn> {
    let known = on.iter().filter_map(|own| Some((own, own.estimate.value?)));
    let (largest, _) = known.max_by(|a, b| a.1.total_cmp(&b.1))?;
    let limit = |of: fn(&Estimate) -> Option<f64>| {
        let all: Vec<Option<f64>> = together.iter().filter(|own| own.value.is_some()).map(of).collect();
        // One limit that is not known could be the largest.
        all.into_iter().collect::<Option<Vec<f64>>>()?.into_iter().max_by(f64::total_cmp)
    };
    let own = &largest.estimate;
    let method = format!(
        "largest of {} {what}; limits the largest of as many intervals that hold together (Bonferroni), each: {}",
        on.len(),
        own.method
    );
    let estimate = Estimate {
        mcse: None,
        lo: limit(|own| own.lo),
        hi: limit(|own| own.hi),
        level: level.confidence(),
        method,
        ..own.clone()
    };
    Some(JudgedOn { world: largest.world.clone(), estimate })
}

/// The policies of an arm in every world.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Transfer {
    /// Label of the arm.
    pub arm: String,
    /// The estimand.
    pub estimand: String,
    /// Its unit.
    pub unit: String,
    /// Rules that learn, in the order of the study, then those that learn nothing.
    pub rows: Vec<TransferRow>,
}

impl Transfer {
    /// Adds rows of policies that are not there yet.
    pub(crate) fn add(&mut self, other: Self) {
        for row in other.rows {
            if !self.rows.iter().any(|known| known.policy == row.policy) {
                self.rows.push(row);
            }
        }
    }

    /// The rules that learn.
    pub fn learned(&self) -> impl Iterator<Item = &TransferRow> {
        self.rows.iter().filter(|row| row.trained_on.is_some())
    }

    /// Of the rules that learn nothing the one whose worst figure is smallest.
    pub fn best_simple(&self) -> Option<&TransferRow> {
        let simple = self.rows.iter().filter(|row| row.trained_on.is_none());
        let known = simple.filter_map(|row| Some((row, row.worst_value()?)));
        known.min_by(|a, b| a.1.total_cmp(&b.1).then_with(|| a.0.policy.cmp(&b.0.policy))).map(|(row, _)| row)
    }

    /// The same as lines of `results.json`: each figure elsewhere, and the worst, with the world as the group.
    pub(crate) fn result_rows(&self, info: &'static EstimandInfo) -> Vec<ResultRow> {
        let line = |row: &TransferRow, statistic, own: &JudgedOn| ResultRow {
            group: own.world.clone().into(),
            ..ResultRow::of(&self.arm, &row.policy, info, statistic, own.estimate.clone())
        };
        let of = |row: &TransferRow| -> Vec<ResultRow> {
            // What it comes to in the world of the study is a pooled rate among the others.
            let elsewhere = row.on.iter().skip(1).map(|own| line(row, Statistic::PooledElsewhere, own));
            elsewhere.chain(row.worst.iter().map(|own| line(row, Statistic::WorstElsewhere, own))).collect()
        };
        self.rows.iter().flat_map(of).collect()
    }

    /// What it says of rules that learn, in a sentence; `None` where none does.
    pub fn sentence(&self) -> Option<String> {
        let figure = self.estimand.replace('_', " ");
        let said = |row: &TransferRow| {
            let (own, worst) = (row.own()?, row.worst.as_ref()?);
            Some(format!(
                "`{}`, trained on {}, has {} and at worst {} ({})",
                row.policy,
                row.trained_on.as_deref().unwrap_or_default(),
                own.estimate.text_in_sentence(1),
                worst.estimate.text_in_sentence(1),
                worst.world
            ))
        };
        let all: Vec<String> = self.learned().filter_map(said).collect();
        if all.is_empty() {
            return None;
        }
        let beside = self.best_simple().and_then(|row| {
            let worst = row.worst.as_ref()?;
            let text = worst.estimate.text_in_sentence(1);
            Some(format!(
                "; of the rules that learn nothing `{}` has the least at worst, {text} ({})",
                row.policy, worst.world
            ))
        });
        let worlds = self.learned().map(|row| row.on.len()).max().unwrap_or_default();
        Some(format!(
            "For `{}`, judged in {worlds} worlds, in {figure} {}: {}{}.",
            self.arm,
            self.unit,
            all.join("; "),
            beside.unwrap_or_default()
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on(world: &str, value: f64, half: f64) -> JudgedOn {
        let estimate = Estimate::new(value, "m", Level::P95, "typist", 9);
        JudgedOn {
            world: world.into(),
            estimate: estimate.with_interval(agogic_stats::Interval { lo: value - half, hi: value + half }),
        }
    }

    #[test]
    fn the_worst_has_the_largest_limits_of_all_worlds() {
        let all = [on("home", 10.0, 1.0), on("a", 20.0, 1.0), on("b", 19.0, 5.0)];
        let together: Vec<Estimate> =
            [on("home", 10.0, 2.0), on("a", 20.0, 2.0), on("b", 19.0, 9.0)].map(|own| own.estimate).into();
        let worst = worst_of(&all, &together, Level::P95, "figures").unwrap();
        assert_eq!((worst.world.as_str(), worst.estimate.value), ("a", Some(20.0)));
        // The second is less sure, and may be the worse: the upper limit is its own.
        assert_eq!((worst.estimate.lo, worst.estimate.hi), (Some(18.0), Some(28.0)));
    }

    #[test]
    fn where_a_limit_is_unknown_so_is_that_of_the_worst() {
        let mut all = vec![on("home", 10.0, 1.0), on("a", 20.0, 1.0)];
        all[0].estimate.hi = None;
        let together: Vec<Estimate> = all.iter().map(|own| own.estimate.clone()).collect();
        let worst = worst_of(&all, &together, Level::P95, "figures").unwrap();
        assert_eq!((worst.estimate.lo, worst.estimate.hi), (Some(19.0), None));
        let none = JudgedOn { world: "c".into(), estimate: Estimate::unknown("no word", "m", Level::P95, "typist", 0) };
        assert_eq!(
            worst_of(std::slice::from_ref(&none), std::slice::from_ref(&none.estimate), Level::P95, "figures"),
            None
        );
    }
}
