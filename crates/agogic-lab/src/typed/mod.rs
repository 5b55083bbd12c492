//! What a person is shown of their own typing, and of simulated people's: manner, sliders, moments.
//!
//! A page has no engine. It gets of every press how far each value of each rule may be raised before a hold becomes a tap
//! ([`Passed`]), and so the errors of every setting of [`Sliders`] at once.

mod manner;
mod moments;
mod shown;
mod sliders;

pub use manner::{Beside, MEASURES, Manner, beside};
pub use moments::{Around, Moment, MomentDecision, moments};
pub use shown::{ShownPeople, manners_of_people, shown_people};
pub use sliders::{Passed, Slider, SliderPlace, SliderValue, Sliders};

use std::sync::Arc;

use agogic_keys::Code;
use agogic_log::{Intent, SessionLog};
use agogic_policy::{EncounterScan, EvidenceTables, Setting};
use agogic_sim::ArmRunner;
use agogic_study::Arm;
use serde::Serialize;

use crate::PersonalOutcome;

/// What is shown of a person's own typing beside the advice.
#[derive(Clone, Debug, Serialize)]
pub struct Typed {
    /// How the person types beside others.
    pub beside: Vec<Beside>,
    /// Settings on the presses of known meaning: the setting before, then that of every row of the advice.
    pub counts: Vec<SettingCounts>,
    /// The worst moments under the setting before.
    pub moments: Vec<Moment>,
    /// What can be moved.
    pub sliders: Sliders,
    /// The presses of known meaning.
    pub passed: Passed,
}

/// A setting on the presses of known meaning.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SettingCounts {
    /// The rule; of the setting before `before`.
    pub rule: String,
    /// The setting.
    pub setting: String,
    /// Letters, and those taken for holds.
    pub letters: [u64; 2],
    /// Holds, and those missed.
    pub holds: [u64; 2],
    /// Where it stands among the sliders.
    pub place: Option<SliderPlace>,
}

/// The moments that are shown.
const MOMENTS: usize = 6;

/// What a person is shown of their own typing, `others` being how people type.
pub fn typed(
    arm: &Arm,
    tables: &Arc<EvidenceTables>,
    outcome: &PersonalOutcome,
    others: &[Manner],
    sessions: &[&SessionLog],
) -> Typed {
    let advice = &outcome.advice;
    let names = std::iter::once("before").chain(advice.rules.iter().map(|row| row.choice.rule));
    let settings: Vec<&Setting> = std::iter::once(&advice.setting_before).chain(&advice.settings).collect();
    let sliders = Sliders::new(Some(tables), &settings);
    let mut passed = Passed::new(&sliders);
    let mut counts: Vec<SettingCounts> = names
        .zip(&settings)
        .map(|(rule, setting)| SettingCounts {
            rule: rule.to_owned(),
            setting: setting.label(),
            letters: [0, 0],
            holds: [0, 0],
            place: sliders.place(setting),
        })
        .collect();
    // Own tables are called by their rule: the label does not tell them from those of many.
    for (own, row) in counts.iter_mut().skip(1).zip(&advice.rules) {
        own.setting.clone_from(&row.choice.setting);
        if row.choice.setting != settings[0].label() && row.choice.rule == agogic_personal::OWN_TABLES {
            own.place = None;
        }
    }
    let runner = ArmRunner::new(arm);
    let mut scan = EncounterScan::new();
    let known: Vec<Vec<Option<bool>>> = sessions.iter().map(|session| meant(session, arm)).collect();
    for (session, meant) in sessions.iter().zip(&known) {
        for range in session.ranges() {
            let meant = &meant[range.clone()];
            runner.encounters(&mut scan, &session.presses[range], |at, encounter| {
                let Some(hold) = meant[at] else { return };
                passed.add(&sliders, encounter, hold);
                for (setting, own) in settings.iter().zip(&mut counts) {
                    let wrong = setting.decide(encounter).is_hold() != hold;
                    let all = if hold { &mut own.holds } else { &mut own.letters };
                    all[0] += 1;
                    all[1] += u64::from(wrong);
                }
            });
        }
    }
    let runs = sessions.iter().zip(&known).flat_map(|(session, meant)| {
        session.ranges().map(move |range| (&session.presses[range.clone()], &meant[range]))
    });
    Typed {
        beside: beside(&Manner::of(runs), others),
        counts,
        moments: moments(arm, sessions, &settings[..settings.len().min(8)], MOMENTS),
        sliders,
        passed,
    }
}

/// Whether a hold was meant by each press of a session; `None` where that is not known.
///
/// A press of a key with one role needs no stated intent: it is a hold if the key is a modifier.
pub(crate) fn meant(session: &SessionLog, arm: &Arm) -> Vec<Option<bool>> {
    let each = session.presses.iter().zip(&session.intents);
    let dual = |code: Code| arm.assignment.modifier(code).is_some();
    each.map(|(press, intent)| match intent {
        Some(intent) => Some(matches!(intent, Intent::Hold(_))),
        None if dual(press.code) => None,
        None => Some(press.code.dedicated_modifier().is_some()),
    })
    .collect()
}
