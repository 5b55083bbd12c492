//! A whole log under a list of policies.

use std::collections::BTreeMap;

use agogic_keys::{Assignment, Board};
use agogic_log::SessionLog;
use agogic_policy::Setting;
use agogic_stats::{Estimate, Level};
use serde::Serialize;

use crate::by_key::{PartRow, by_part};
use crate::course::{Course, Meant};
use crate::differ::Differ;
use crate::estimand::{ESTIMANDS, Estimand};
use crate::interval::Ground;
use crate::judged::Judged;

/// How a log is replayed.
#[derive(Clone, Copy, Debug)]
pub struct ReplayPlan<'a> {
    /// The keyboard.
    pub board: &'a Board,
    /// The dual-role keys.
    pub assignment: &'a Assignment,
    /// Level of the intervals.
    pub level: Level,
    /// Resamples of each interval about one participant.
    pub resamples: usize,
    /// Seed of the resampling.
    pub seed: u64,
}

/// One number about one policy, or about its difference from the first one.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReplayRow {
    /// Label of the policy.
    pub policy: String,
    /// What is estimated.
    pub estimand: Estimand,
    /// Its unit.
    pub unit: &'static str,
    /// Label of the policy that is subtracted; `None` for the policy's own number.
    pub minus: Option<String>,
    /// The number.
    pub estimate: Estimate,
}

/// What policies make of a log.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Replay {
    /// Participants with a press of a dual-role key.
    pub participants: u64,
    /// Their presses of any key.
    pub keys: u64,
    /// Their presses of dual-role keys.
    pub presses: u64,
    /// Of those, presses stated to be meant as taps.
    pub taps: u64,
    /// Presses stated to be meant as holds.
    pub holds: u64,
    /// Labels of the policies.
    pub policies: Vec<String>,
    /// What can be judged, and what cannot.
    pub judged: Vec<Judged>,
    /// Every number, policy by policy; differences from the first policy after a policy's own numbers.
    pub rows: Vec<ReplayRow>,
    /// Every pair of policies.
    pub differ: Vec<Differ>,
    /// Presses and errors of each key, policy by policy.
    pub by_key: Vec<PartRow>,
    /// The same of each finger.
    pub by_finger: Vec<PartRow>,
}

impl Replay {
    /// A policy's own number.
    pub fn row(&self, policy: &str, estimand: Estimand) -> Option<&ReplayRow> {
        self.rows.iter().find(|row| row.policy == policy && row.estimand == estimand && row.minus.is_none())
    }

    /// A policy's difference from the first one.
    pub fn difference(&self, policy: &str, estimand: Estimand) -> Option<&ReplayRow> {
        self.rows.iter().find(|row| row.policy == policy && row.estimand == estimand && row.minus.is_some())
    }
}

/// Plays a log to a list of labelled settings.
///
/// # Definition
/// Every number is a mean over presses of dual-role keys, and every policy sees the same presses. With one
/// participant the presses that a number is about make a series in time, sessions one after the other, and its
/// interval comes from [`block_mean`](agogic_stats::block_mean). With several, the participant is the unit:
/// shares have the interval of [`korn_graubard`](agogic_stats::korn_graubard), which holds its level better than
/// a bootstrap of few participants (measured in the `COVERAGE.md` of `agogic-stats`), delays that of
/// [`ratio`](agogic_stats::ratio()) and differences that of
/// [`paired_difference`](agogic_stats::paired_difference).
///
/// # Undefined
/// A number about presses that the log does not have is unknown, with the reason.
pub fn replay(sessions: &[SessionLog], settings: &[(String, Setting)], plan: &ReplayPlan<'_>) -> Replay {
    let courses = courses(sessions, settings, plan);
    let labels: Vec<String> = settings.iter().map(|(label, _)| label.clone()).collect();
    let ground = Ground { level: plan.level, resamples: plan.resamples, seed: plan.seed };
    let mut rows = Vec::new();
    let mut firsts: BTreeMap<usize, Vec<Vec<f64>>> = BTreeMap::new();
    for (at, label) in labels.iter().enumerate() {
        let mut differences = Vec::new();
        for (number, estimand) in ESTIMANDS.into_iter().enumerate() {
            let series: Vec<Vec<f64>> = courses.iter().map(|course| estimand.series(course, at)).collect();
            let address = (at * ESTIMANDS.len() + number) as u64;
            let (share, scale) = (estimand.is_share(), estimand.scale());
            let or_reason = |estimate: Estimate| match estimate.value {
                None => estimate.because(estimand.nothing()),
                Some(_) => estimate,
            };
            let row = |minus, estimate| ReplayRow {
                policy: label.clone(),
                estimand,
                unit: estimand.unit(),
                minus,
                estimate: or_reason(estimate),
            };
            rows.push(row(None, ground.mean(&series, share, scale, address)));
            match firsts.get(&number) {
                None => {
                    firsts.insert(number, series);
                }
                Some(first) => {
                    let estimate = ground.difference(&series, first, share, scale, 1 << 31 | address);
                    differences.push(row(Some(labels[0].clone()), estimate));
                }
            }
        }
        rows.extend(differences);
    }
    let pairs = (0..labels.len()).flat_map(|first| (first + 1..labels.len()).map(move |second| (first, second)));
    let differ = pairs.map(|(first, second)| Differ::of(&courses, first, second, &labels, ground)).collect();
    let count = |meant| courses.iter().map(|course| course.count(meant)).sum();
    let (by_key, by_finger) = by_part(&courses, &labels, plan.board);
    Replay {
        participants: courses.iter().filter(|course| course.presses() > 0).count() as u64,
        keys: courses.iter().map(|course| course.keys).sum(),
        presses: courses.iter().map(|course| course.presses() as u64).sum(),
        taps: count(Meant::Tap),
        holds: count(Meant::Hold),
        policies: labels,
        judged: Judged::all(&courses),
        rows,
        differ,
        by_key,
        by_finger,
    }
}

/// One course for each participant with a press of a dual-role key; an empty one where nobody has any.
pub fn courses(sessions: &[SessionLog], settings: &[(String, Setting)], plan: &ReplayPlan<'_>) -> Vec<Course> {
    let mut people: Vec<(&str, Vec<&SessionLog>)> = Vec::new();
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    for session in sessions {
        let place = *places.entry(&session.participant).or_insert(people.len());
        if place == people.len() {
            people.push((&session.participant, Vec::new()));
        }
        people[place].1.push(session);
    }
    let settings = settings.iter().map(|(_, setting)| setting);
    let mut courses: Vec<Course> = people
        .iter()
        .map(|(name, sessions)| Course::of(name, sessions, plan.board, plan.assignment, settings.clone()))
        .collect();
    if courses.iter().any(|course| course.presses() > 0) {
        courses.retain(|course| course.presses() > 0);
    } else {
        courses.truncate(1);
    }
    if courses.is_empty() {
        courses.push(Course::of("", &[], plan.board, plan.assignment, settings));
    }
    courses
}
