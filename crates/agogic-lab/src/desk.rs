//! The keyboard of an arm, where its typists type and are judged.

use std::borrow::Cow;

use agogic_keys::Code;
use agogic_policy::Setting;
use agogic_score::{CostTable, Emulator, Kinds, Panel, Transcript, TypistScore};
use agogic_typist::{Performer, Session, Typist};

use crate::study::Arm;

/// What every typist of an arm needs, made once.
pub(crate) struct Desk<'a> {
    pub arm: &'a Arm,
    pub performer: Performer,
    emulator: Emulator,
}

impl<'a> Desk<'a> {
    pub fn new(arm: &'a Arm) -> Self {
        let performer = Performer::new(&arm.board, &arm.assignment);
        Self { arm, performer, emulator: Emulator::new(&arm.assignment) }
    }

    /// The session in which a typist is judged; see [`Arm::session`].
    pub fn session(&self, typist: &Typist, seed: u64) -> Session {
        self.arm.session(&self.performer, typist, seed, 0, self.arm.keys)
    }

    /// The settings of the arm's policies for a typist: those that are fitted to each person are fitted here.
    pub fn settings(&self, typist: &Typist, seed: u64) -> Vec<Cow<'a, Setting>> {
        self.arm.deciders.iter().map(|decider| decider.setting(self.arm, &self.performer, typist, seed)).collect()
    }

    /// What a session was meant to be: made once for all that are judged on it.
    pub fn transcript<'s>(&'s self, session: &'s Session) -> Transcript<'s> {
        Transcript::new(&self.emulator, &session.presses, &session.truths, session.words)
    }

    /// Judges settings on a session; see [`Panel::judge`].
    pub fn judge<S: AsRef<Setting>>(
        &self,
        panel: &mut Panel,
        transcript: &Transcript<'_>,
        settings: &[S],
        costs: &CostTable,
        visit: impl FnMut(usize, TypistScore, &Kinds),
    ) {
        let hand = |code: Code| self.performer.movement().hand(code);
        panel.judge(transcript, hand, settings, costs, visit);
    }
}
