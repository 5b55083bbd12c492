//! The runner of an arm: draws a typist, lets it type, and judges settings on what it typed. Every analysis runs
//! through these three steps.

use agogic_keys::{Code, Press};
use agogic_policy::{Encounter, EncounterScan, Setting};
use agogic_score::{CostTable, Emulator, Kinds, SessionJudge, Transcript, TypistScore};
use agogic_study::Arm;
use agogic_typist::{Performer, Population, Session, SessionAddress, Typist};

/// Address of a session: who types, and which of that typist's sessions it is.
#[derive(Clone, Copy, Debug)]
pub struct Trial<'a> {
    /// The people from whom the typist is drawn.
    pub population: &'a Population,
    /// Number of the typist.
    pub typist: u64,
    /// Which session of that typist; judged sessions of a study have replicate 0.
    pub address: SessionAddress,
    /// Presses.
    pub keys: usize,
}

/// A typist with a session, as the policies see it: through the clock of the arm.
#[derive(Clone, Debug)]
pub struct Performed {
    /// Who typed.
    pub typist: Typist,
    /// What was typed.
    pub session: Session,
}

/// Buffers of a thread, used again from session to session.
#[derive(Default)]
pub struct Buffers {
    judge: SessionJudge,
    /// For a look at the encounters of a session.
    pub scan: EncounterScan,
}

/// What every typist of an arm needs, made once.
#[derive(Debug)]
pub struct ArmRunner<'a> {
    /// The arm.
    pub arm: &'a Arm,
    /// Lets typists type on the keyboard of the arm.
    pub performer: Performer,
    emulator: Emulator,
}

impl<'a> ArmRunner<'a> {
    /// The runner of an arm.
    pub fn new(arm: &'a Arm) -> Self {
        let performer = Performer::new(&arm.board, &arm.assignment);
        Self { arm, performer, emulator: Emulator::new(&arm.assignment) }
    }

    /// The judged session of a typist of the arm.
    pub fn judged(&self, seed: u64, typist: u64) -> Trial<'a> {
        let address = SessionAddress { seed, replicate: 0 };
        Trial { population: &self.arm.population, typist, address, keys: self.arm.keys }
    }

    /// Draws a typist and lets it type.
    pub fn perform(&self, trial: Trial<'_>) -> Performed {
        let typist = Typist::draw(trial.population, trial.address.seed, trial.typist);
        let session = self.session(&typist, trial.address, trial.keys);
        Performed { typist, session }
    }

    /// Lets a typist type `keys` keys, as seen through the clock of the arm.
    pub fn session(&self, typist: &Typist, address: SessionAddress, keys: usize) -> Session {
        let mut session = self.unclocked(typist, address, keys);
        self.arm.clock.show(&mut session, typist.number, address);
        session
    }

    /// The same as the fingers made it.
    pub(crate) fn unclocked(&self, typist: &Typist, address: SessionAddress, keys: usize) -> Session {
        self.performer.perform(typist, &self.arm.plan, &self.arm.workload, address, keys)
    }

    /// What a session was meant to be: made once for all that are judged on it.
    pub fn transcript<'s>(&'s self, session: &'s Session) -> Transcript<'s> {
        Transcript::new(&self.emulator, &session.presses, &session.truths, session.words)
    }

    /// Judges settings on a session; calls `visit` once for each, in order, with its place, its score and the kinds of
    /// its wrong outcomes.
    pub fn judge<S: AsRef<Setting>>(
        &self,
        buffers: &mut Buffers,
        transcript: &Transcript<'_>,
        settings: &[S],
        costs: &CostTable,
        visit: impl FnMut(usize, TypistScore, &Kinds),
    ) {
        let hand = |code: Code| self.performer.movement().hand(code);
        buffers.judge.judge(transcript, hand, settings, costs, visit);
    }

    /// Calls `visit` with the place and the encounter of every press of a dual-role key.
    pub fn encounters(&self, scan: &mut EncounterScan, presses: &[Press], visit: impl FnMut(usize, &Encounter<'_>)) {
        let dual = |code| self.arm.assignment.modifier(code).is_some();
        scan.each(presses, dual, |code| self.performer.movement().hand(code), visit);
    }
}
