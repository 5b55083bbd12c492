//! Whether what keys gain survives elsewhere: rules that know keys on texts, shortcuts and shares of holds they did not learn.

use std::sync::Arc;

use agogic_keys::{Rates, Shortcut, TextPlan, Unsupported, Workload};
use agogic_people::{Judged, JudgedPerson, Missed, missed_at};
use agogic_policy::{EncounterScan, EvidenceTables, Setting, Sight};
use agogic_sim::numbers::ELSEWHERE;
use agogic_sim::{ArmRunner, Decider, TrainedArm, Trial};
use agogic_study::{Arm, BUILT_IN_TEXTS, OTHER_TEXTS, Study, built_in_text};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// Typists judged in each world, and presses of each. Whether a third or a tenth is missed, so many tell.
const TYPISTS: u64 = 60;
const KEYS: usize = 2000;

/// False holds per 1000 taps at which misses are compared.
const AT: f64 = 5.0;

/// What a rule that knows keys does in one world, beside times alone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ElsewhereRow {
    /// The world: a text, a list of shortcuts, or a share of holds.
    pub world: String,
    /// Missed holds of `evidence` per 100 at 5 false holds per 1000 taps.
    pub times: Option<Missed>,
    /// The same of `key-evidence` within 1 KiB.
    pub keys: Option<Missed>,
    /// False holds per 1000 taps of `key-evidence` at the threshold that made 5 of them where it learned.
    pub false_holds_as_learned: Option<f64>,
    /// Whether the gain survives: the whole interval of keys lies below that of times.
    pub survives: bool,
}

/// A text and what interrupts it.
pub(crate) struct World {
    pub name: String,
    plan: TextPlan,
    workload: Workload,
}

impl World {
    /// An arm with this text and these interruptions.
    pub fn arm(&self, arm: &Arm) -> Arm {
        Arm { plan: Arc::new(self.plan.clone()), workload: self.workload.clone(), ..arm.clone() }
    }
}

/// The rules that know keys of an arm, held against other worlds; empty where the arm has none.
pub(crate) fn of_arm(study: &Study, arm: &TrainedArm<'_>) -> Vec<ElsewhereRow> {
    let knows = |setting: &&Setting| setting.entry().sight >= Sight::Keys;
    let deciders = arm.deciders.iter().map(Decider::base);
    let tables = deciders.chain(&arm.sweeps).find(knows).and_then(Setting::tables);
    tables.map_or_else(Vec::new, |tables| {
        elsewhere(study.seed, arm.arm(), tables, (&study.texts, study.rates, &study.shortcuts))
    })
}

/// The worlds in which the gain of keys does not survive, in words; `None` where it does in all.
pub(crate) fn lost_in(rows: &[ElsewhereRow]) -> Option<String> {
    let lost: Vec<&str> = rows.iter().filter(|row| !row.survives).map(|row| row.world.as_str()).collect();
    (!lost.is_empty()).then(|| lost.join(", "))
}

/// The rules trained for an arm where they learned, and then elsewhere: on other English texts, another language and program
/// text, with other shortcuts, with a quarter and four times the shortcuts.
///
/// # Undefined
/// Empty where the tables hold none of keys. A world that the keyboard cannot make is left out.
pub fn elsewhere(
    seed: u64,
    arm: &Arm,
    tables: &Arc<EvidenceTables>,
    learned: (&[String], Rates, &[Shortcut]),
) -> Vec<ElsewhereRow> {
    if tables.keyed.is_none() {
        return Vec::new();
    }
    let settings = ["evidence", "key-evidence"]
        .map(|rule| Setting::trained(rule, &[], tables).expect("the tables hold those of keys"));
    let home = World { name: "as learned".into(), plan: (*arm.plan).clone(), workload: arm.workload.clone() };
    let mut threshold = None;
    let row = |world: World| {
        let [times, keys] = judge(seed, arm, &world, &settings);
        let (of_times, of_keys) = (missed_at(&times, AT), missed_at(&keys, AT));
        // At home the threshold is found that is held against the other worlds.
        let limit = *threshold.get_or_insert(of_keys.map_or(0.0, |missed| missed.above_nats));
        let interval = |missed: &Option<Missed>| missed.as_ref().and_then(|missed| missed.interval);
        let survives = matches!((interval(&of_times), interval(&of_keys)), (Some((lo, _)), Some((_, hi))) if hi < lo);
        let false_holds_as_learned = keys.errors_above(limit).map(|(false_holds, _)| false_holds);
        ElsewhereRow { world: world.name, times: of_times, keys: of_keys, false_holds_as_learned, survives }
    };
    std::iter::once(home).chain(worlds(arm, learned)).map(row).collect()
}

/// The worlds beside that of an arm.
pub(crate) fn worlds(arm: &Arm, (texts, rates, shortcuts): (&[String], Rates, &[Shortcut])) -> Vec<World> {
    let plan = |text: &str| TextPlan::new(text, &arm.board, &arm.assignment, Unsupported::Skip).ok();
    let of_text = |name: &str, text: &str| {
        Some(World { name: name.to_owned(), plan: plan(text)?, workload: arm.workload.clone() })
    };
    let english = BUILT_IN_TEXTS.iter().filter(|name| !texts.iter().any(|known| known == *name));
    let english: Vec<&str> = english.filter_map(|name| built_in_text(name)).collect();
    let of_work = |name: &str, rates: Rates, shortcuts: &[Shortcut]| {
        let workload = Workload::new(&arm.board, &arm.assignment, rates, shortcuts).ok()?;
        Some(World { name: name.to_owned(), plan: (*arm.plan).clone(), workload })
    };
    let times = |factor: f64| Rates { shortcuts: (factor * rates.shortcuts).min(300.0), ..rates };
    let mut found = vec![of_text("German text", OTHER_TEXTS[0]), of_text("program text", OTHER_TEXTS[1])];
    if !english.is_empty() {
        found.push(of_text("other English texts", &english.join("\n\n")));
    }
    if rates.shortcuts > 0.0 {
        let example = Workload::example_shortcuts();
        let others = if shortcuts == example.as_slice() { Workload::other_shortcuts() } else { example };
        found.push(of_work("other shortcuts", rates, &others));
        found.push(of_work("a quarter of the shortcuts", times(0.25), shortcuts));
        found.push(of_work("four times the shortcuts", times(4.0), shortcuts));
    }
    found.into_iter().flatten().collect()
}

fn judge(seed: u64, arm: &Arm, world: &World, settings: &[Setting; 2]) -> [Judged; 2] {
    let arm = world.arm(arm);
    let runner = ArmRunner::new(&arm);
    let one = |number: u64| {
        let session = runner.perform(Trial { keys: KEYS, ..runner.judged(seed, number) }).session;
        let mut people = [JudgedPerson::default(), JudgedPerson::default()];
        runner.encounters(&mut EncounterScan::new(), &session.presses, |press, encounter| {
            for (setting, person) in settings.iter().zip(&mut people) {
                let param = setting.entry().params[0];
                let value = setting.critical_value(param.name, encounter).expect("a threshold of evidence");
                let steps = param.to_steps(value) as i32;
                if session.truths[press].hold { person.holds.push(steps) } else { person.taps.push(steps) }
            }
        });
        people
    };
    let each: Vec<[JudgedPerson; 2]> = (ELSEWHERE..ELSEWHERE + TYPISTS).into_par_iter().map(one).collect();
    let mut judged = [Judged::new(), Judged::new()];
    for people in each {
        judged.iter_mut().zip(people).for_each(|(judged, person)| judged.push(person));
    }
    judged
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(world: &str, times: f64, keys: f64) -> ElsewhereRow {
        let missed = |missed_holds: f64| Missed {
            false_holds: 5.0,
            missed_holds,
            above_nats: 0.0,
            interval: Some((missed_holds - 1.0, missed_holds + 1.0)),
        };
        let survives = keys + 1.0 < times - 1.0;
        ElsewhereRow {
            world: world.to_owned(),
            times: Some(missed(times)),
            keys: Some(missed(keys)),
            false_holds_as_learned: Some(5.0),
            survives,
        }
    }

    #[test]
    fn worlds_in_which_nothing_is_gained_are_named() {
        assert_eq!(lost_in(&[row("as learned", 20.0, 1.0), row("German text", 18.0, 4.0)]), None);
        let rows = [row("as learned", 20.0, 1.0), row("other shortcuts", 18.0, 17.5), row("program text", 9.0, 12.0)];
        assert_eq!(lost_in(&rows).as_deref(), Some("other shortcuts, program text"));
    }
}
