//! A stage with its performer, text and workload, and typists who are judged on it.

use agogic_floor::{Stage, TypistObserver};
use agogic_keys::{Assignment, Board, Modifier, Rates, TextPlan, Unsupported, Workload};
use agogic_policy::{Encounter, EncounterScan};
use agogic_stats::timing::Family;
use agogic_typist::{Performer, Population, Session, SessionAddress, Typist};

const TEXTS: [&str; 2] = [
    include_str!("../../../../../data-synthetic/texts/tide-station.txt"),
    include_str!("../../../../../data-synthetic/texts/seed-library.txt"),
];

/// Everything a study fixes.
pub struct TypingTask {
    pub name: &'static str,
    pub performer: Performer,
    pub plan: TextPlan,
    pub workload: Workload,
    pub population: Population,
    pub seed: u64,
}

impl TypingTask {
    pub fn new(name: &'static str, text: usize, rates: Rates, population: Population, seed: u64) -> Self {
        let board = Board::row_staggered();
        let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
        let assignment = Assignment::resting(&board, order);
        let plan = TextPlan::new(TEXTS[text], &board, &assignment, Unsupported::Refuse).unwrap();
        let workload = Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).unwrap();
        Self { name, performer: Performer::new(&board, &assignment), plan, workload, population, seed }
    }

    pub fn stage(&self) -> Stage<'_> {
        let Self { performer, plan, workload, seed, .. } = self;
        Stage { performer, plan, workload, seed: *seed, rehearsal: 30_000 }
    }

    pub fn typist(&self, number: u64) -> Typist {
        Typist::draw(&self.population, self.seed, number)
    }

    pub fn session(&self, typist: &Typist, keys: usize) -> Session {
        self.performer.perform(
            typist,
            &self.plan,
            &self.workload,
            SessionAddress { seed: self.seed, replicate: 0 },
            keys,
        )
    }

    /// Visits each dual-role press of a session with whether it was meant as a hold.
    pub fn each(&self, session: &Session, mut visit: impl FnMut(&Encounter<'_>, bool)) {
        EncounterScan::new().each(
            &session.presses,
            |code| self.performer.assignment().modifier(code).is_some(),
            |code| self.performer.movement().hand(code),
            |i, encounter| visit(encounter, session.truths[i].hold),
        );
    }
}

/// The main study's workload, and one with bare holds and repeats, other dwells and another text.
pub fn tasks() -> [TypingTask; 3] {
    let plain = Rates { shortcuts: 8.0, ..Rates::default() };
    let busy = Rates { shortcuts: 15.0, bare_holds: 5.0, repeats: 5.0 };
    let volunteers = Population::volunteers;
    let quick = agogic_typist::TraitSpread { median: 60.0, spread: 0.3 };
    let quick = volunteers().with_trait(agogic_typist::Trait::Interval, quick).unwrap();
    [
        TypingTask::new("main", 0, plain, volunteers(), 41),
        TypingTask::new("busy", 1, busy, volunteers().with_dwell_family(Family::ExGaussian), 42),
        TypingTask::new("quick", 1, plain, quick.with_dwell_family(Family::LogLogistic), 43),
    ]
}

#[allow(dead_code)]
pub fn observer(task: &TypingTask, typist: &Typist) -> TypistObserver {
    TypistObserver::new(&task.stage(), typist, agogic_floor::Sight::Timing)
}
