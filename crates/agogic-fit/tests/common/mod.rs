//! Synthetic people whose traits are known, as logs.

#![allow(dead_code, reason = "each user needs some of it")]

use agogic_fit::{Fit, FitPlan, fit};
use agogic_keys::{Assignment, Board, Modifier, Rates, TextPlan, Unsupported, Workload};
use agogic_log::{Intent, SessionLog};
use agogic_stats::Level;
use agogic_typist::{Clock, Performer, Population, Session, SessionAddress, TRAITS, Typist};

const TEXT: &str = include_str!("../../../../data-synthetic/texts/tide-station.txt");

/// A keyboard with a text, on which synthetic people type.
pub struct TypingTask {
    pub board: Board,
    pub assignment: Assignment,
    plan: TextPlan,
    workload: Workload,
    performer: Performer,
    pub population: Population,
}

impl TypingTask {
    /// Resting fingers with two roles, capitals and shortcuts.
    pub fn new(population: Population) -> Self {
        let board = Board::row_staggered();
        let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
        let assignment = Assignment::resting(&board, order);
        let plan = TextPlan::new(TEXT, &board, &assignment, Unsupported::Skip).unwrap();
        let rates = Rates { shortcuts: 8.0, ..Rates::default() };
        let workload = Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).unwrap();
        let performer = Performer::new(&board, &assignment);
        Self { board, assignment, plan, workload, performer, population }
    }

    /// The log of typist `number` over so many presses, through the clock of a keyboard.
    pub fn log(&self, seed: u64, number: u64, presses: usize) -> (Typist, SessionLog) {
        let typist = Typist::draw(&self.population, seed, number);
        let exact =
            self.performer.perform(&typist, &self.plan, &self.workload, SessionAddress { seed, replicate: 0 }, presses);
        let seen = Clock::default().observe(&exact, number, SessionAddress { seed, replicate: 0 });
        (typist, self.as_log(&seen))
    }

    fn as_log(&self, session: &Session) -> SessionLog {
        let target = |from: usize| {
            let at = session.truths[from..].iter().position(|later| !later.with.is_empty());
            at.map(|k| session.presses[from + k].code)
        };
        let intents = session.presses.iter().zip(&session.truths).enumerate().map(|(i, (press, truth))| {
            self.assignment.modifier(press.code)?;
            Some(match (truth.hold, truth.bare) {
                (false, _) => Intent::Tap,
                (true, true) => Intent::Hold(None),
                (true, false) => Intent::Hold(target(i)),
            })
        });
        SessionLog {
            participant: "p".to_owned(),
            session: "1".to_owned(),
            part: 0,
            intents: intents.collect(),
            presses: session.presses.clone(),
            breaks: Vec::new(),
        }
    }

    pub fn plan(&self) -> FitPlan<'_> {
        FitPlan {
            population: &self.population,
            board: &self.board,
            assignment: &self.assignment,
            level: Level::new(0.95).unwrap(),
            seed: 1,
            redraws: 0,
        }
    }

    pub fn fit(&self, log: &SessionLog) -> Fit {
        fit(&[log], &self.plan()).expect("a synthetic log can be fitted")
    }
}

/// The truth of a trait on its normal scale, less the estimate, in posterior SDs.
pub fn errors(typist: &Typist, fit: &Fit) -> [f64; TRAITS.len()] {
    std::array::from_fn(|i| {
        let info = &TRAITS[i];
        let found = fit.of(info.id);
        (info.scale.to_normal(found.value) - info.scale.to_normal(typist.get(info.id))) / found.sd
    })
}
