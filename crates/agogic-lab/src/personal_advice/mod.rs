//! Advice for one person in the world of an arm: its keyboard, its text and workload, its people.
//!
//! What is chosen and promised is the matter of [`agogic_personal`]; here are the typists that it asks for.

mod drawn;
mod practice;
mod price;

pub use drawn::{CommonPeople, common_people};
pub use practice::{PersonalPractice, PractisedSetting};
pub use price::Price;

use std::ops::Range;
use std::sync::Arc;

use agogic_fit::Fit;
use agogic_keys::Code;
use agogic_log::SessionLog;
use agogic_personal::{EVEN, Evidence, Grid, Known, PersonalAdvice, PersonalVerdict, Question, Tally, advise};
use agogic_policy::{EvidenceTables, Setting};
use agogic_score::CostTable;
use agogic_sim::ArmRunner;
use agogic_sim::numbers::{PERSONAL_CONFIRM, PERSONAL_SEARCH};
use agogic_stats::Level;
use agogic_study::Arm;
use agogic_typist::PopulationError;
use serde::Serialize;

/// What is asked.
#[derive(Debug)]
pub struct PersonalQuestion<'a> {
    /// The keyboard, its text, workload and clock, and the people who stand in for what a log leaves unknown.
    pub arm: &'a Arm,
    /// What rules that learn have learned from these people; without it they are left out.
    pub tables: Option<Arc<EvidenceTables>>,
    /// The setting in use, if it is known; else the best common setting is compared with.
    pub now: Option<Setting>,
    /// What a false hold counts, a missed hold being 1.
    pub false_hold: f64,
    /// What wrong outcomes cost, for harm.
    pub costs: &'a CostTable,
    /// A gain that nobody would change anything for, in wrong decisions per 1000 presses of dual-role keys.
    pub least_gain: f64,
    /// Level of the intervals.
    pub level: Level,
    /// Seed.
    pub seed: u64,
    /// Presses of each drawn typist, from the start of the text.
    pub keys: usize,
    /// People of the population whose best common setting is the default.
    pub common_people: u64,
    /// Draws of the person that choose; as many more say what is gained.
    pub draws: u64,
    /// Whether to ask what practice with a rule does to the advice.
    pub practice: bool,
}

/// Advice for one person with what it comes to on the text of an arm.
#[derive(Clone, Debug, Serialize)]
pub struct PersonalOutcome {
    /// The advice.
    #[serde(flatten)]
    pub advice: PersonalAdvice,
    /// What the drawn typists pay on the text of the study: under the setting before, the choice without tables, and the
    /// best with tables where drawn typists can tell of it.
    pub prices: Vec<Price>,
    /// What practice does to the advice, as the model has it; `None` where that is not asked.
    pub practice: Option<PersonalPractice>,
}

impl PersonalQuestion<'_> {
    /// The settings to choose from.
    pub fn grid(&self) -> Grid {
        Grid::new(self.tables.as_ref(), true)
    }

    fn beside(&self) -> Vec<Setting> {
        self.now.iter().cloned().collect()
    }
}

/// Chooses a setting for one person, and says what is gained.
///
/// `fits` are the person fitted as one of several populations, the arm's own first.
///
/// # Errors
/// The fit cannot be drawn from.
pub fn personal_advice(
    question: &PersonalQuestion<'_>,
    common: &CommonPeople,
    fits: &[Fit],
    sessions: &[&SessionLog],
) -> Result<PersonalOutcome, PopulationError> {
    let grid = question.grid();
    let arm = question.arm;
    let runner = ArmRunner::new(arm);
    let person = fits[0].as_population("the-person", "one person fitted to a log")?;
    let of = |numbers: Range<u64>| drawn::tallies(question, &grid, &runner, &person, numbers);
    let mut drawn: Vec<Tally> = of(PERSONAL_SEARCH..PERSONAL_SEARCH + question.draws);
    drawn.extend(of(PERSONAL_CONFIRM..PERSONAL_CONFIRM + question.draws));
    let dual = |code: Code| arm.assignment.modifier(code).is_some();
    let known = Known::of_sessions(sessions, dual, |code| runner.performer.movement().hand(code));
    let asked = Question {
        grid: &grid,
        tables: question.tables.as_ref(),
        now: question.now.as_ref(),
        false_hold: question.false_hold,
        even: EVEN,
        level: question.level,
        seed: question.seed,
    };
    let evidence = Evidence {
        presses: fits[0].evidence.presses,
        holds: known.presses()[1].max(fits[0].evidence.gestures),
        known: &known,
        drawn: &drawn,
        fits,
    };
    let population = (arm.population.name(), question.least_gain);
    let advice = advise(&asked, &common.0, &evidence, &arm.board, population);
    let mut settings = vec![&advice.setting_before, advice.settings.last().expect("one a row")];
    let best = advice.tables.as_ref().and_then(|tables| {
        let at = advice.rules.iter().position(|row| row.choice.setting == tables.choice.setting)?;
        // Drawn typists do not type this person's words, which own tables know.
        (tables.choice.rule != agogic_personal::OWN_TABLES).then(|| &advice.settings[at])
    });
    settings.extend(best);
    let prices = price::prices(question, &runner, &person, &settings);
    // What stays, or what is changed to.
    let lived_with = match advice.simple.verdict {
        PersonalVerdict::Change => advice.settings.last().expect("one a row"),
        _ => &advice.setting_before,
    };
    let rules: Vec<_> = advice.rules.iter().map(|row| row.choice.rule).zip(&advice.settings).collect();
    let practice = question.practice.then(|| practice::practice(question, &runner, &person, (lived_with, &rules)));
    Ok(PersonalOutcome { advice, prices, practice })
}
