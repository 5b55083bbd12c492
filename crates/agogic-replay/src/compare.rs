//! Whether a change helped: a log from before it and one from after it.

use agogic_keys::{Assignment, Board, Code, Purpose, stream};
use agogic_log::SessionLog;
use agogic_policy::Setting;
use agogic_stats::{Estimate, Level, block_mean, independent_difference};
use serde::Serialize;

use crate::course::{Course, Meant};
use crate::interval::PRESS;

/// How two logs of one person are compared.
#[derive(Clone, Copy, Debug)]
pub struct ComparePlan<'a> {
    /// The keyboard.
    pub board: &'a Board,
    /// The dual-role keys.
    pub assignment: &'a Assignment,
    /// The settings in use before and after.
    pub settings: [&'a Setting; 2],
    /// Level of the intervals.
    pub level: Level,
    /// Resamples of each interval.
    pub resamples: usize,
    /// Seed of the resampling.
    pub seed: u64,
}

/// One figure before and after.
#[derive(Clone, Debug, Serialize)]
pub struct Compared {
    /// What it is.
    pub figure: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// Whether less of it is better; `None` where it is told for orientation alone.
    pub less_is_better: Option<bool>,
    /// Before the change.
    pub before: Estimate,
    /// After it.
    pub after: Estimate,
    /// After less before.
    pub change: Estimate,
}

/// Whether a change helped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Helped {
    /// Fewer wrong decisions: the interval lies below zero.
    Yes,
    /// More: it lies above.
    No,
    /// It holds zero.
    NotSure,
    /// Nothing could be compared.
    Unknown,
}

/// Two logs compared.
#[derive(Clone, Debug, Serialize)]
pub struct Comparison {
    /// Labels of the settings before and after.
    pub settings: [String; 2],
    /// Presses of dual-role keys of known meaning before and after: taps and holds.
    pub known: [[u64; 2]; 2],
    /// Every figure; wrong decisions first.
    pub figures: Vec<Compared>,
    /// Whether it helped, by wrong decisions, or by corrections where no press has a known meaning.
    pub helped: Helped,
    /// The figure that says so.
    pub by: &'static str,
}

/// One log as series in time.
struct Side {
    taps: Vec<f64>,
    holds: Vec<f64>,
    all: Vec<f64>,
    corrections: Vec<f64>,
    intervals: Vec<f64>,
}

/// Longest gap that counts as an interval, in ms: the rule of Dhakal et al. 2018.
const LONGEST_MS: f64 = 5000.0;

impl Side {
    fn of(sessions: &[&SessionLog], setting: &Setting, plan: &ComparePlan<'_>) -> Self {
        let course = Course::of("", sessions, plan.board, plan.assignment, std::iter::once(setting));
        let wrong = |at: usize| f64::from(u8::from(course.holds[0][at] != (course.meant[at] == Meant::Hold)));
        let of = |meant: &dyn Fn(Meant) -> bool| {
            (0..course.presses()).filter(|at| meant(course.meant[*at])).map(wrong).collect::<Vec<f64>>()
        };
        let (mut corrections, mut intervals) = (Vec::new(), Vec::new());
        for run in sessions.iter().flat_map(|session| session.runs()) {
            for (at, press) in run.iter().enumerate() {
                let back = |at: usize| run[at].code == Code::BACKSPACE;
                // A run of Backspaces is one correction.
                corrections.push(f64::from(u8::from(back(at) && (at == 0 || !back(at - 1)))));
                if let Some(before) = at.checked_sub(1) {
                    let ms = press.down.since(run[before].down).ms();
                    intervals.extend((ms <= LONGEST_MS).then_some(ms));
                }
            }
        }
        Self {
            taps: of(&|meant| meant == Meant::Tap),
            holds: of(&|meant| meant == Meant::Hold),
            all: of(&|meant| meant != Meant::Unstated),
            corrections,
            intervals,
        }
    }
}

/// Compares a log from before a change of setting with one from after it.
///
/// # Definition
/// Each log is judged under the setting that was in use: wrong decisions on presses whose meaning it states, and beside that
/// how often it corrects and how fast it goes. Both are independent stretches of time, each with an interval from blocks in
/// time ([`block_mean`]); the difference has that of [`independent_difference`].
///
/// # What it cannot tell
/// A change from practice: who types the same again errs less often. Going back and forth between both settings can.
pub fn compare(before: &[&SessionLog], after: &[&SessionLog], plan: &ComparePlan<'_>) -> Comparison {
    let sides = [Side::of(before, plan.settings[0], plan), Side::of(after, plan.settings[1], plan)];
    let mut figures = Vec::new();
    type Series = fn(&Side) -> &Vec<f64>;
    let wanted: [(&'static str, &'static str, Option<bool>, f64, Series); 5] = [
        (WRONG, "per 1000 presses of dual-role keys", Some(true), 1000.0, |side| &side.all),
        ("false holds", "per 1000 taps", Some(true), 1000.0, |side| &side.taps),
        ("missed holds", "per 100 holds", Some(true), 100.0, |side| &side.holds),
        (CORRECTIONS, "per 1000 presses", Some(true), 1000.0, |side| &side.corrections),
        ("interval", "ms, press to press", None, 1.0, |side| &side.intervals),
    ];
    for (number, (figure, unit, less_is_better, scale, series)) in wanted.into_iter().enumerate() {
        let [before, after] = [0, 1].map(|side: usize| {
            let series: Vec<f64> = series(&sides[side]).iter().map(|value| scale * value).collect();
            let mut rng = stream(plan.seed, Purpose::Resampling, number as u64, side as u64);
            let estimate = block_mean(&series, plan.resamples, plan.level, PRESS, &mut rng);
            // Nothing wrong in n presses is at most 3 in n: the rule of three.
            match (estimate.value, estimate.lo) {
                (Some(0.0), None) if series.len() >= 20 => Estimate {
                    lo: Some(0.0),
                    hi: Some(3.0 * scale / series.len() as f64),
                    reason: Some("none seen: at most 3 in so many, presses taken for independent".to_owned()),
                    ..estimate
                },
                _ => estimate,
            }
        });
        let change = independent_difference(&after, &before);
        figures.push(Compared { figure, unit, less_is_better, before, after, change });
    }
    let by = if figures[0].change.value.is_some() { WRONG } else { CORRECTIONS };
    let own = figures.iter().find(|own| own.figure == by).expect("both are figures");
    let helped = match (own.change.lo, own.change.hi) {
        (_, Some(hi)) if hi < 0.0 => Helped::Yes,
        (Some(lo), _) if lo > 0.0 => Helped::No,
        (Some(_), Some(_)) => Helped::NotSure,
        _ => Helped::Unknown,
    };
    let known = [0, 1].map(|side: usize| [sides[side].taps.len() as u64, sides[side].holds.len() as u64]);
    Comparison { settings: plan.settings.map(Setting::label), known, figures, helped, by }
}

const WRONG: &str = "wrong decisions";
const CORRECTIONS: &str = "corrections";

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Instant, Modifier, Press};
    use agogic_log::Intent;

    /// F is typed again and again, held for `dwell_ms` each time, now and then as a hold.
    fn session(dwell_ms: u64, number: u64) -> SessionLog {
        let press = |at: u64| {
            let ms = if at.is_multiple_of(10) { 300 } else { dwell_ms + at % 7 };
            Press { code: "KeyF".parse().unwrap(), down: Instant(1000 * 500 * at), up: Instant(1000 * (500 * at + ms)) }
        };
        SessionLog {
            participant: "ada".into(),
            session: "1".into(),
            part: 0,
            presses: (0..number).map(press).collect(),
            intents: (0..number)
                .map(|at| Some(if at.is_multiple_of(10) { Intent::Hold(None) } else { Intent::Tap }))
                .collect(),
            breaks: vec![],
        }
    }

    #[test]
    fn fewer_wrong_decisions_are_told_from_none_and_from_more() {
        let board = Board::row_staggered();
        let mut assignment = Assignment::none();
        assignment.assign(&board, "KeyF".parse().unwrap(), Modifier::Control).unwrap();
        let cutoff = |ms: f64| Setting::rule("dwell-cutoff", &[("cutoff_ms", ms)]).unwrap();
        // Taps last 195 to 201 ms: a cutoff of 200 holds some of them, one of 250 none.
        let (early, late) = (cutoff(200.0), cutoff(250.0));
        let plan = |settings| ComparePlan {
            board: &board,
            assignment: &assignment,
            settings,
            level: Level::P95,
            resamples: 500,
            seed: 3,
        };
        let log = session(195, 600);
        let found = compare(&[&log], &[&log], &plan([&early, &late]));
        assert_eq!((found.helped, found.by, found.known), (Helped::Yes, "wrong decisions", [[540, 60]; 2]));
        let wrong = &found.figures[0];
        let held = log.presses.iter().enumerate().filter(|(at, press)| at % 10 != 0 && press.dwell().ms() >= 200.0);
        assert!((wrong.before.value.unwrap() - 1000.0 * held.count() as f64 / 600.0).abs() < 1e-9);
        assert_eq!((wrong.after.value, wrong.after.hi), (Some(0.0), Some(5.0)));
        let back = compare(&[&log], &[&log], &plan([&late, &early]));
        assert_eq!(back.helped, Helped::No);
        assert_eq!(compare(&[&log], &[&log], &plan([&early, &early])).helped, Helped::NotSure);
        // Without a stated meaning corrections speak, and here there are none.
        let mute = SessionLog { intents: vec![None; 600], ..log };
        let found = compare(&[&mute], &[&mute], &plan([&early, &late]));
        assert_eq!((found.helped, found.by), (Helped::NotSure, "corrections"));
        assert_eq!(found.figures[0].change.value, None);
    }
}
