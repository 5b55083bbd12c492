//! Drawn typists, under every setting of a grid.

use std::ops::Range;

use agogic_personal::{Errors, Grid, Tally};
use agogic_policy::{EncounterScan, Setting};
use agogic_sim::numbers::PERSONAL_COMMON;
use agogic_sim::{ArmRunner, Trial};
use agogic_typist::{Population, SessionAddress};
use rayon::prelude::*;

use super::PersonalQuestion;

/// What every setting costs the people of the population together: the default follows from it.
#[derive(Clone, Debug)]
pub struct CommonPeople(pub(super) Errors);

impl CommonPeople {
    /// The setting without tables that costs them least together.
    pub fn default_setting(&self, question: &PersonalQuestion<'_>) -> Setting {
        let grid = question.grid();
        grid.setting(agogic_personal::default_setting(&grid, &self.0, question.false_hold))
    }
}

/// Lets people of the arm's population type under every setting.
pub fn common_people(question: &PersonalQuestion<'_>) -> CommonPeople {
    let (grid, runner) = (question.grid(), ArmRunner::new(question.arm));
    let people = PERSONAL_COMMON..PERSONAL_COMMON + question.common_people;
    let mut sum = Tally::new(&grid, usize::from(question.now.is_some()));
    tallies(question, &grid, &runner, &question.arm.population, people).iter().for_each(|own| sum.merge(own));
    CommonPeople(sum.errors(&grid))
}

/// One session of each typist, counted.
pub(super) fn tallies(
    question: &PersonalQuestion<'_>,
    grid: &Grid,
    runner: &ArmRunner<'_>,
    people: &Population,
    numbers: Range<u64>,
) -> Vec<Tally> {
    let beside = question.beside();
    let address = SessionAddress { seed: question.seed, replicate: 0 };
    numbers
        .into_par_iter()
        .map_init(EncounterScan::new, |scan, typist| {
            let trial = Trial { population: people, typist, address, keys: question.keys };
            let session = runner.perform(trial).session;
            let mut tally = Tally::new(grid, beside.len());
            runner.encounters(scan, &session.presses, |press, encounter| {
                tally.add(grid, &beside, encounter, session.truths[press].hold);
            });
            tally
        })
        .collect()
}
