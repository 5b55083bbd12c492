//! The moments in which the setting in use, and most others, went wrong.

use agogic_keys::Code;
use agogic_log::SessionLog;
use agogic_policy::{EncounterScan, Setting};
use agogic_sim::ArmRunner;
use agogic_study::Arm;
use serde::Serialize;

use super::meant;

/// Keys are shown that were down within this time of the press or its release.
const NEAR_US: i64 = 350_000;

/// A key near a moment; times from its press.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Around {
    /// The key.
    pub key: Code,
    /// When it went down, in ms.
    pub down_ms: f64,
    /// When it came up, in ms.
    pub up_ms: f64,
    /// Whether it is the key in question.
    pub own: bool,
}

/// What a setting made of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MomentDecision {
    /// A hold.
    pub hold: bool,
    /// How long after the press it was decided, in ms.
    pub after_ms: f64,
}

/// A press of known meaning that the first setting decided wrongly.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Moment {
    /// The key.
    pub key: Code,
    /// The finger in words.
    pub finger: Option<String>,
    /// Whether a hold was meant.
    pub meant_hold: bool,
    /// How long the key was down.
    pub dwell_ms: f64,
    /// The keys around, the own one among them, in the order of their presses.
    pub keys: Vec<Around>,
    /// What each setting made of it, in the order in which they were given.
    pub decided: Vec<MomentDecision>,
    /// How many were wrong.
    pub wrong: usize,
}

/// The worst moments of a log under the first of some settings: those that most settings get wrong; of these the longest
/// letters and the shortest holds, as many of both kinds as there are while there is room.
pub fn moments(arm: &Arm, sessions: &[&SessionLog], settings: &[&Setting], most: usize) -> Vec<Moment> {
    let runner = ArmRunner::new(arm);
    let mut scan = EncounterScan::new();
    let mut found: [Vec<Moment>; 2] = [Vec::new(), Vec::new()];
    for session in sessions {
        let meant = meant(session, arm);
        for range in session.ranges() {
            let presses = &session.presses[range.clone()];
            let meant = &meant[range];
            runner.encounters(&mut scan, presses, |at, encounter| {
                let Some(hold) = meant[at] else { return };
                if settings.first().is_none_or(|first| first.decide(encounter).is_hold() == hold) {
                    return;
                }
                let decided: Vec<MomentDecision> = settings
                    .iter()
                    .map(|setting| {
                        let decision = setting.decide(encounter);
                        MomentDecision { hold: decision.is_hold(), after_ms: decision.after.ms() }
                    })
                    .collect();
                let from = |time: agogic_keys::Instant| time.signed_since(encounter.press);
                let end = encounter.dwell.0 as i64 + NEAR_US;
                let near = presses.iter().enumerate().filter(|(_, o)| from(o.up) >= -NEAR_US && from(o.down) <= end);
                let keys = near.map(|(other, press)| Around {
                    key: press.code,
                    down_ms: from(press.down) as f64 / 1e3,
                    up_ms: from(press.up) as f64 / 1e3,
                    own: other == at,
                });
                found[usize::from(hold)].push(Moment {
                    key: encounter.code,
                    finger: arm.board.place(encounter.code).map(agogic_keys::KeyPlace::finger_in_words),
                    meant_hold: hold,
                    dwell_ms: encounter.dwell.ms(),
                    keys: keys.collect(),
                    wrong: decided.iter().filter(|own| own.hold != hold).count(),
                    decided,
                });
            });
        }
    }
    let [mut letters, mut holds] = found;
    let worse = |a: &Moment, b: &Moment| b.wrong.cmp(&a.wrong);
    letters.sort_by(|a, b| worse(a, b).then(b.dwell_ms.total_cmp(&a.dwell_ms)));
    holds.sort_by(|a, b| worse(a, b).then(a.dwell_ms.total_cmp(&b.dwell_ms)));
    let room = most / 2;
    let letters_taken = letters.len().min(most - holds.len().min(room));
    letters.truncate(letters_taken);
    holds.truncate(most - letters_taken);
    letters.append(&mut holds);
    letters
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Instant, Press};
    use agogic_log::Intent;
    use agogic_study::Study;

    #[test]
    fn the_worst_come_first_and_the_rejected_not_at_all() {
        let spec = "name = \"m\"\nseed = 1\n[text]\nwords = \"high tide\"\n[typists]\nnumber = 2\n[[policy]]\n\
                    rule = \"enclosed\"\n";
        let study = Study::read(spec, std::path::Path::new(".")).unwrap();
        let press = |name: &str, down: u64, up: u64| Press {
            code: name.parse().unwrap(),
            down: Instant(1000 * down),
            up: Instant(1000 * up),
        };
        let presses = vec![
            press("KeyF", 0, 210),
            press("KeyE", 1000, 1080),
            press("KeyF", 1060, 1300),
            press("KeyJ", 3000, 3150),
            press("KeyD", 5000, 5900),
        ];
        let intents = vec![Some(Intent::Tap), None, Some(Intent::Tap), Some(Intent::Hold(None)), None];
        let session =
            SessionLog { participant: "a".into(), session: "1".into(), part: 0, presses, intents, breaks: vec![] };
        let settings = ["dwell-cutoff 200", "dwell-cutoff 220", "dwell-cutoff 250"]
            .map(|text| Setting::written(text, None).unwrap());
        let settings: Vec<&Setting> = settings.iter().collect();
        let found = moments(&study.arms[0], &[&session], &settings, 6);
        let told: Vec<_> = found.iter().map(|own| (own.key.name(), own.meant_hold, own.wrong, own.dwell_ms)).collect();
        assert_eq!(told, [("KeyF", false, 2, 240.0), ("KeyF", false, 1, 210.0), ("KeyJ", true, 3, 150.0)]);
        assert_eq!(found[0].keys.len(), 2);
        assert_eq!((found[0].keys[0].down_ms, found[0].keys[1].own), (-60.0, true));
        assert_eq!(moments(&study.arms[0], &[&session], &settings, 2).len(), 2);
        assert!(moments(&study.arms[0], &[&session], &[], 2).is_empty());
    }
}
