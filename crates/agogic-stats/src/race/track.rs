//! The race as a whole: who runs, who went home when, and what the units said.

use std::ops::Range;

use super::{Demands, Dropped, RaceRules, Shortlist, Tally, look, shortlist};
use crate::clusters::ClusterError;

/// A candidate in a race.
#[derive(Debug, Clone, PartialEq)]
pub struct Runner {
    /// What the units said of it, up to where it went home.
    pub tally: Tally,
    /// The look at which it went home, from 0, and why; `WorseThan` holds the place in the race.
    pub dropped: Option<(usize, Dropped)>,
}

/// A race: candidates enter, units are added, candidates go home.
///
/// Newcomers may enter between looks, but they start with the units that the others have seen: all are judged on
/// the same ones.
///
/// ```
/// use agogic_stats::race::{Demands, Race, RaceRules, Tally};
/// use agogic_stats::{Clusters, Level};
///
/// let rules = RaceRules { level: Level::P95, candidates: 3, looks: 2, shortlist: 2, fresh: 100 };
/// let mut race = Race::new(rules, Demands::default());
/// // Losses of three candidates for each unit, with a little noise.
/// let see = |at: usize, units: std::ops::Range<u64>| Tally {
///     loss: Clusters::ratio("unit", units.map(|u| (at as f64 + (u * (7 + at as u64) % 10) as f64 / 10.0, 1.0))).unwrap(),
///     served: Vec::new(),
///     limited: Vec::new(),
/// };
/// race.enter((0..3).map(|at| see(at, 0..0)));
/// for units in [50, 100] {
///     race.run_to(units, |running, more| running.iter().map(|&at| see(at, more.clone())).collect())?;
/// }
/// assert_eq!(race.running(), [0]);
/// # Ok::<(), agogic_stats::ClusterError>(())
/// ```
#[derive(Debug, Clone)]
pub struct Race {
    rules: RaceRules,
    demands: Demands,
    runners: Vec<Runner>,
    units: u64,
    looks: usize,
}

impl Race {
    /// An empty race.
    pub fn new(rules: RaceRules, demands: Demands) -> Self {
        Self { rules, demands, runners: Vec::new(), units: 0, looks: 0 }
    }

    /// Lets candidates in, with what the first [`units`](Self::units) units said of them.
    ///
    /// # Panics
    /// If more enter than the rules allow: the errors were shared out for that many.
    pub fn enter(&mut self, newcomers: impl IntoIterator<Item = Tally>) {
        self.runners.extend(newcomers.into_iter().map(|tally| Runner { tally, dropped: None }));
        assert!(self.runners.len() <= self.rules.candidates, "more candidates than the rules were made for");
    }

    /// Shows further units to those who still run, up to `units` in all, and takes a look.
    ///
    /// `see` is given the places of the running candidates and the units to show them.
    ///
    /// # Errors
    /// What was seen does not join what was seen before.
    ///
    /// # Panics
    /// If more looks are taken than the rules allow.
    pub fn run_to(
        &mut self,
        units: u64,
        see: impl FnOnce(&[usize], Range<u64>) -> Vec<Tally>,
    ) -> Result<(), ClusterError> {
        assert!(self.looks < self.rules.looks, "more looks than the rules were made for");
        let running = self.running();
        let later = see(&running, self.units.min(units)..units);
        for (&at, more) in running.iter().zip(later) {
            let own = self.runners[at].tally.clone();
            self.runners[at].tally = own.joined(more)?;
        }
        self.units = units;
        let tallies: Vec<&Tally> = running.iter().map(|&at| &self.runners[at].tally).collect();
        let verdicts = look(&self.rules, &self.demands, &tallies);
        for (&at, verdict) in running.iter().zip(verdicts) {
            let dropped = verdict.map(|why| match why {
                Dropped::WorseThan(place) => Dropped::WorseThan(running[place]),
                Dropped::Outside => Dropped::Outside,
            });
            self.runners[at].dropped = dropped.map(|why| (self.looks, why));
        }
        self.looks += 1;
        Ok(())
    }

    /// Places of those who still run.
    pub fn running(&self) -> Vec<usize> {
        (0..self.runners.len()).filter(|&at| self.runners[at].dropped.is_none()).collect()
    }

    /// Everybody who entered.
    pub fn runners(&self) -> &[Runner] {
        &self.runners
    }

    /// Units shown so far.
    pub fn units(&self) -> u64 {
        self.units
    }

    /// Those who still run, least loss first; those without a loss are left out.
    pub fn leaders(&self) -> Vec<usize> {
        let mut order: Vec<(f64, usize)> =
            self.running().into_iter().filter_map(|at| Some((self.runners[at].tally.loss_value()?, at))).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        order.into_iter().map(|(_, at)| at).collect()
    }

    /// Who goes on to the fresh units; places are those of the race.
    pub fn shortlist(&self) -> Shortlist {
        let running = self.running();
        let tallies: Vec<&Tally> = running.iter().map(|&at| &self.runners[at].tally).collect();
        let mut list = shortlist(&self.rules, &self.demands, &tallies);
        list.chosen = list.chosen.into_iter().map(|place| running[place]).collect();
        list
    }
}
