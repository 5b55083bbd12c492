//! Simulated people for somebody who does not type, and for the person who does to be put beside.

use agogic_keys::Press;
use agogic_policy::{EncounterScan, Setting};
use agogic_sim::numbers::SHOWN;
use agogic_sim::{ArmRunner, Trial};
use agogic_study::Arm;
use agogic_typist::{Population, SessionAddress};
use rayon::prelude::*;
use serde::Serialize;

use super::manner::Manner;
use super::sliders::{Passed, SliderPlace, Sliders};

/// Presses of each, for their manner and for the presses that are shown.
const KEYS: usize = 2500;

/// Taps and holds of each person that are shown, the first of each: so that everybody counts alike.
const SHOWN_OF_EACH: [usize; 2] = [75, 25];

/// People of one population, as a page shows them.
#[derive(Clone, Debug, Serialize)]
pub struct ShownPeople {
    /// The population.
    pub population: String,
    /// What it is.
    pub about: String,
    /// How many people.
    pub people: u64,
    /// The one default for all of them.
    pub default: String,
    /// Where it stands among the sliders.
    pub place: Option<SliderPlace>,
    /// Their presses.
    pub passed: Passed,
}

/// Sessions of people of a population, on the keyboard and text of an arm.
fn each<T: Send>(
    arm: &Arm,
    population: &Population,
    seed: u64,
    people: u64,
    of: impl Fn(&ArmRunner<'_>, &agogic_typist::Session) -> T + Sync,
) -> Vec<T> {
    let runner = ArmRunner::new(arm);
    let address = SessionAddress { seed, replicate: 0 };
    (SHOWN..SHOWN + people)
        .into_par_iter()
        .map(|typist| of(&runner, &runner.perform(Trial { population, typist, address, keys: KEYS }).session))
        .collect()
}

/// How people of an arm type.
pub fn manners_of_people(arm: &Arm, seed: u64, people: u64) -> Vec<Manner> {
    each(arm, &arm.population, seed, people, |_, session| {
        let meant: Vec<Option<bool>> = session.truths.iter().map(|truth| Some(truth.hold)).collect();
        let run: (&[Press], &[Option<bool>]) = (&session.presses, &meant);
        Manner::of(std::iter::once(run))
    })
}

/// People of the population of an arm with their default, for sliders.
pub fn shown_people(arm: &Arm, seed: u64, people: u64, sliders: &Sliders, default: &Setting) -> ShownPeople {
    let taken = each(arm, &arm.population, seed, people, |runner, session| {
        let mut passed = Passed::new(sliders);
        let mut left = SHOWN_OF_EACH;
        runner.encounters(&mut EncounterScan::new(), &session.presses, |at, encounter| {
            let hold = session.truths[at].hold;
            let left = &mut left[usize::from(hold)];
            if *left > 0 {
                *left -= 1;
                passed.add(sliders, encounter, hold);
            }
        });
        passed
    });
    let mut passed = Passed::new(sliders);
    taken.into_iter().for_each(|own| passed.merge(own));
    ShownPeople {
        population: arm.population.name().to_owned(),
        about: arm.population.about().to_owned(),
        people,
        default: default.label(),
        place: sliders.place(default),
        passed,
    }
}
