//! One press of a dual-role key, the keys around it, and what each policy makes of it: the stuff of a picture.

use agogic_keys::{Code, Modifier, Press};
use agogic_policy::{Decision, EncounterScan, Setting, Term};
use agogic_sim::{ArmRunner, Performed, TrainedArm};
use agogic_study::{Arm, Study};

/// Which press is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pick {
    /// The n-th press of a dual-role key, from 1.
    Press(usize),
    /// The first on whose role the policies differ.
    FirstDisagreement,
}

/// A press of a dual-role key with all that bears on it.
#[derive(Clone, Debug, PartialEq)]
pub struct PressExample {
    /// Its number among the presses of dual-role keys, from 1.
    pub number: usize,
    /// The key.
    pub key: Code,
    /// Its held role.
    pub role: Modifier,
    /// Its dwell.
    pub up_ms: f64,
    /// Whether a hold was meant; `None` where that is not known.
    pub meant_hold: Option<bool>,
    /// Keys that were down with it, and the press before it where that is near: key, press and release in ms after
    /// the judged press.
    pub others: Vec<(Code, f64, f64)>,
    /// Label and decision of each policy.
    pub verdicts: Vec<(String, Decision)>,
    /// What adds up to the decision of each policy that decides by a sum, guards left out.
    pub sums: Vec<PressSum>,
}

/// The terms of one press under a policy that decides by a sum.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PressSum {
    /// Label of the policy.
    pub policy: String,
    /// What was seen, and what it adds.
    pub terms: Vec<Term>,
    /// From which sum on it says hold, in 1/256 nat.
    pub threshold: i32,
}

/// Why there is no such press. The texts continue "failed to find the press: …".
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PressExampleError {
    /// There are fewer presses.
    #[error("press {asked} of a dual-role key was asked for, but there are {there}")]
    NoSuchPress {
        /// What was asked for.
        asked: usize,
        /// How many there are.
        there: usize,
    },
    /// The policies say the same everywhere.
    #[error("the policies agree on all {0} presses of dual-role keys; name one with --press")]
    Agreement(usize),
    /// No dual-role key was pressed.
    #[error("no key with two meanings was pressed")]
    None,
}

/// The press before is shown if it is no farther back: farther ones bear on no guard.
const NEAR_US: i64 = 400_000;

/// Presses in a row, with what was meant by each where that is known: a session, or a run of a log.
pub type Stretch<'a> = (&'a [Press], Vec<Option<bool>>);

/// Finds a press of a dual-role key of `arm` in several stretches, counted through.
///
/// # Errors
/// There is no such press.
pub fn press_example(
    arm: &Arm,
    policies: &[(String, &Setting)],
    stretches: &[Stretch<'_>],
    pick: Pick,
) -> Result<PressExample, PressExampleError> {
    let runner = ArmRunner::new(arm);
    let mut scan = EncounterScan::new();
    let mut number = 0;
    let mut found: Option<PressExample> = None;
    for (presses, meant) in stretches {
        runner.encounters(&mut scan, presses, |at, encounter| {
            number += 1;
            let wanted = match pick {
                Pick::Press(asked) => asked == number,
                Pick::FirstDisagreement => true,
            };
            if found.is_some() || !wanted {
                return;
            }
            let verdicts: Vec<_> = policies.iter().map(|(name, s)| (name.clone(), s.decide(encounter))).collect();
            let differ = verdicts.windows(2).any(|pair| pair[0].1.role != pair[1].1.role);
            if pick == Pick::FirstDisagreement && !differ {
                return;
            }
            let sum = |(name, setting): &(String, &Setting)| {
                let (terms, threshold) = setting.terms(encounter)?;
                Some(PressSum { policy: name.clone(), terms, threshold })
            };
            let sums = policies.iter().filter_map(sum).collect();
            let ms = |us: i64| us as f64 / 1e3;
            let mut others: Vec<_> = encounter.carried().map(|c| (c.code, ms(c.down), ms(c.up))).collect();
            if let Some(before) = at.checked_sub(1).map(|at| presses[at]) {
                let down = before.down.signed_since(encounter.press);
                // A key that is still down is among the carried ones already.
                if before.up <= encounter.press && -down <= NEAR_US {
                    others.push((before.code, ms(down), ms(before.up.signed_since(encounter.press))));
                }
            }
            others.extend(encounter.contacts().map(|c| (c.code, ms(c.down), ms(c.up))));
            found = arm.assignment.modifier(encounter.code).map(|role| PressExample {
                number,
                key: encounter.code,
                role,
                up_ms: encounter.dwell.ms(),
                meant_hold: meant.get(at).copied().flatten(),
                others,
                verdicts,
                sums,
            });
        });
    }
    found.ok_or(match pick {
        _ if number == 0 => PressExampleError::None,
        Pick::Press(asked) => PressExampleError::NoSuchPress { asked, there: number },
        Pick::FirstDisagreement => PressExampleError::Agreement(number),
    })
}

/// Finds a press of a typist of a study, under the policies of the study; presses are seen through the clock of the
/// arm, as the policies see them.
///
/// # Errors
/// There is no such press.
pub fn simulated_press_example(
    study: &Study,
    arm: &TrainedArm<'_>,
    number: u64,
    pick: Pick,
) -> Result<PressExample, PressExampleError> {
    let Performed { typist, session } = arm.runner.perform(arm.runner.judged(study.seed, number));
    let settings = arm.settings(&typist, study.seed);
    let policies: Vec<_> = study.policies.iter().cloned().zip(settings.iter().map(|own| &**own)).collect();
    let meant = session.truths.iter().map(|truth| Some(truth.hold)).collect();
    press_example(arm.arm(), &policies, &[(&session.presses, meant)], pick)
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::Instant;

    const SPEC: &str = "name = \"m\"\nseed = 1\n[text]\nwords = \"high tide\"\n[typists]\nnumber = 2\n[[policy]]\n\
                        rule = \"first-contact\"\n[[policy]]\nrule = \"enclosed\"\n";

    fn press(name: &str, down: u64, up: u64) -> Press {
        Press { code: name.parse().unwrap(), down: Instant(down), up: Instant(up) }
    }

    #[test]
    fn a_roll_divides_the_policies_and_a_lone_tap_does_not() {
        let study = Study::read(SPEC, std::path::Path::new(".")).unwrap();
        let arm = &study.arms[0];
        let settings: Vec<Setting> = study.plans.iter().map(|plan| plan.rule.blank().unwrap()).collect();
        let policies: Vec<_> = study.policies.iter().cloned().zip(settings.iter()).collect();
        let (lone, roll) = (
            [press("KeyF", 0, 90_000)],
            [press("KeyE", 0, 40_000), press("KeyF", 100_000, 220_000), press("KeyI", 180_000, 290_000)],
        );
        let known = vec![None, Some(false), None];
        let stretches: [Stretch<'_>; 2] = [(&lone, vec![Some(false)]), (&roll, known)];
        let found = press_example(arm, &policies, &stretches, Pick::FirstDisagreement).unwrap();
        assert_eq!((found.number, found.key.name(), found.up_ms, found.meant_hold), (2, "KeyF", 120.0, Some(false)));
        let others: Vec<_> = found.others.iter().map(|(code, down, up)| (code.name(), *down, *up)).collect();
        assert_eq!(others, [("KeyE", -100.0, -60.0), ("KeyI", 80.0, 190.0)]);
        let holds: Vec<_> = found.verdicts.iter().map(|(_, d)| (d.is_hold(), d.after.ms())).collect();
        assert_eq!(holds, [(true, 80.0), (false, 120.0)]);
        assert_eq!(
            press_example(arm, &policies, &stretches[..1], Pick::FirstDisagreement),
            Err(PressExampleError::Agreement(1))
        );
        assert_eq!(
            press_example(arm, &policies, &stretches, Pick::Press(3)),
            Err(PressExampleError::NoSuchPress { asked: 3, there: 2 })
        );
        assert_eq!(press_example(arm, &policies, &[], Pick::Press(1)), Err(PressExampleError::None));
    }
}
