//! Settings on the presses of a log whose meaning is known.

use agogic_log::{Intent, SessionLog};
use agogic_policy::{EncounterScan, Role, Setting};
use agogic_sim::ArmRunner;
use agogic_study::Arm;
use serde::Serialize;

/// Wrong decisions of a setting on the presses of a log whose meaning is known.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct OnLog {
    /// Presses of dual-role keys known to be taps.
    pub taps: u64,
    /// Of these, decided as holds.
    pub false_holds: u64,
    /// Presses known to be holds.
    pub holds: u64,
    /// Of these, decided as taps.
    pub missed_holds: u64,
}

impl OnLog {
    /// Presses whose meaning is known.
    pub fn known(&self) -> u64 {
        self.taps + self.holds
    }

    /// Wrong decisions.
    pub fn wrong(&self) -> u64 {
        self.false_holds + self.missed_holds
    }
}

/// Plays a log to every setting; presses without a stated meaning are not counted.
pub(super) fn on_log(arm: &Arm, sessions: &[&SessionLog], settings: &[&Setting]) -> Vec<OnLog> {
    let runner = ArmRunner::new(arm);
    let mut found = vec![OnLog::default(); settings.len()];
    let mut scan = EncounterScan::new();
    for session in sessions {
        let starts = std::iter::once(0).chain(session.breaks.iter().copied());
        let ends = session.breaks.iter().copied().chain([session.presses.len()]);
        for (start, end) in starts.zip(ends) {
            runner.encounters(&mut scan, &session.presses[start..end], |press, encounter| {
                let hold = match session.intents[start + press] {
                    None => return,
                    Some(Intent::Tap) => false,
                    Some(Intent::Hold(_)) => true,
                };
                for (setting, found) in settings.iter().zip(&mut found) {
                    let decided = setting.decide(encounter).role == Role::Hold;
                    let (all, wrong) = match hold {
                        true => (&mut found.holds, &mut found.missed_holds),
                        false => (&mut found.taps, &mut found.false_holds),
                    };
                    *all += 1;
                    *wrong += u64::from(decided != hold);
                }
            });
        }
    }
    found
}
