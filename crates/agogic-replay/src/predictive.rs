//! Predictive checks: a log held against what simulated groups of as many people do.

use std::collections::BTreeMap;

use agogic_log::SessionLog;
use agogic_policy::Setting;
use agogic_stats::{quantile, quantile_of_sorted};
use serde::Serialize;

use crate::estimand::{ESTIMANDS, Estimand};
use crate::replay::{ReplayPlan, courses};

/// What is checked of how people type.
const TRAITS: [(&str, &str); 3] =
    [("median interval", "ms"), ("median dwell", "ms"), ("overlap with the next press", "share of presses")];

/// One number of a log beside the same number of simulated groups.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PredictedRow {
    /// The trait, or the label of the policy.
    pub name: String,
    /// What is estimated of a policy; `None` for a trait.
    pub estimand: Option<Estimand>,
    /// Its unit.
    pub unit: &'static str,
    /// The number of the log; `None` where it has no press that this is about.
    pub observed: Option<f64>,
    /// The limits between which the share `level` of the groups lies; `None` where one of them has no such press.
    pub limits: Option<[f64; 2]>,
    /// Share of the groups below the number of the log.
    pub share_below: Option<f64>,
    /// Why something is missing.
    pub reason: Option<String>,
}

impl PredictedRow {
    /// Whether the number of the log lies within the limits; `None` where that is not known.
    pub fn is_inside(&self) -> Option<bool> {
        let (observed, [lo, hi]) = (self.observed?, self.limits?);
        Some((lo..=hi).contains(&observed))
    }
}

/// A log beside simulated groups.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PredictiveCheck {
    /// Participants of the log, and people of each group.
    pub people: usize,
    /// Groups.
    pub groups: u64,
    /// Share of the groups between the limits.
    pub level: f64,
    /// Traits first, then policy by policy.
    pub rows: Vec<PredictedRow>,
}

impl PredictiveCheck {
    /// How many numbers lie outside, and how many would by chance alone.
    pub fn sentence(&self) -> String {
        let known: Vec<bool> = self.rows.iter().filter_map(PredictedRow::is_inside).collect();
        let outside = known.iter().filter(|inside| !**inside).count();
        format!(
            "{outside} of {} observed values lie outside of the {} % intervals of {} simulated groups of {}; were the model \
             right, some {:.1} would.",
            known.len(),
            (1e4 * self.level).round() / 100.0,
            self.groups,
            if self.people == 1 { "1 person".to_owned() } else { format!("{} people", self.people) },
            known.len() as f64 * (1.0 - self.level)
        )
    }
}

/// Holds a log against groups of as many people; `simulated` gives the session of the person of that number, and people are
/// asked for one after another, a group at a time.
///
/// # Definition
/// The same numbers are taken of each group as of the log. The limits are the quantiles (1 − level) ⁄ 2 and (1 + level) ⁄ 2 of
/// the groups. A log of other texts, or of people who never had such keys, differs for these reasons too.
///
/// # Undefined
/// A number that the log or one of the groups has no presses for has no limits, with the reason.
///
/// # Source
/// Box (1980), Sampling and Bayes' inference in scientific modelling and robustness, Journal of the Royal Statistical Society A
/// 143:383-430 (from memory).
pub fn predictive_check(
    sessions: &[SessionLog],
    settings: &[(String, Setting)],
    plan: &ReplayPlan<'_>,
    groups: u64,
    simulated: impl Fn(u64) -> SessionLog,
) -> PredictiveCheck {
    let mut people: Vec<&str> = sessions.iter().map(|session| session.participant.as_str()).collect();
    people.sort_unstable();
    people.dedup();
    let observed = numbers(sessions, settings, plan);
    let size = people.len() as u64;
    let drawn: Vec<Vec<Option<f64>>> = (0..groups)
        .map(|group| {
            let own: Vec<SessionLog> = (group * size..(group + 1) * size).map(&simulated).collect();
            numbers(&own, settings, plan)
        })
        .collect();
    let level = plan.level.confidence();
    let of_policies =
        settings.iter().flat_map(|(label, _)| ESTIMANDS.map(|own| (label.clone(), Some(own), own.unit())));
    let names = TRAITS.map(|(name, unit)| (name.to_owned(), None, unit)).into_iter().chain(of_policies);
    let row = |(at, (name, estimand, unit)): (usize, (String, Option<Estimand>, &'static str))| {
        let mut known: Vec<f64> = drawn.iter().filter_map(|own| own[at]).collect();
        known.sort_by(f64::total_cmp);
        let lacking = drawn.len() - known.len();
        let reason = match observed[at] {
            None => Some("the log has no press that this is about".to_owned()),
            Some(_) if lacking > 0 || known.is_empty() => {
                Some(format!("{lacking} of {groups} groups have no press that this is about"))
            }
            Some(_) => None,
        };
        let told = reason.is_none();
        let limit = |p: f64| quantile_of_sorted(&known, p);
        PredictedRow {
            name,
            estimand,
            unit,
            observed: observed[at],
            limits: told.then(|| [limit((1.0 - level) / 2.0), limit((1.0 + level) / 2.0)]),
            share_below: observed[at]
                .filter(|_| told)
                .map(|own| known.iter().filter(|value| **value < own).count() as f64 / known.len() as f64),
            reason,
        }
    };
    PredictiveCheck { people: people.len(), groups, level, rows: names.enumerate().map(row).collect() }
}

/// Every number of a group: traits, then policy by policy.
fn numbers(sessions: &[SessionLog], settings: &[(String, Setting)], plan: &ReplayPlan<'_>) -> Vec<Option<f64>> {
    let courses = courses(sessions, settings, plan);
    let mut found = traits(sessions).to_vec();
    for policy in 0..settings.len() {
        for estimand in ESTIMANDS {
            let all: Vec<f64> = courses.iter().flat_map(|course| estimand.series(course, policy)).collect();
            let mean = (!all.is_empty()).then(|| estimand.scale() * all.iter().sum::<f64>() / all.len() as f64);
            found.push(mean);
        }
    }
    found
}

/// Of each participant the medians of interval and dwell and the share of overlaps; of the group their means.
fn traits(sessions: &[SessionLog]) -> [Option<f64>; 3] {
    let mut people: BTreeMap<&str, [Vec<f64>; 3]> = BTreeMap::new();
    for session in sessions {
        let own = people.entry(&session.participant).or_default();
        for range in session.ranges() {
            let run = &session.presses[range];
            own[1].extend(run.iter().map(|press| (press.up.0 - press.down.0) as f64 / 1000.0));
            for two in run.windows(2) {
                own[0].push((two[1].down.0 - two[0].down.0) as f64 / 1000.0);
                own[2].push(f64::from(u8::from(two[1].down < two[0].up)));
            }
        }
    }
    [0, 1, 2].map(|at: usize| {
        let of = |own: &[Vec<f64>; 3]| match at {
            2 => (!own[2].is_empty()).then(|| own[2].iter().sum::<f64>() / own[2].len() as f64),
            _ => quantile(&own[at], 0.5).ok(),
        };
        let each: Vec<f64> = people.values().filter_map(of).collect();
        (!each.is_empty()).then(|| each.iter().sum::<f64>() / each.len() as f64)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Assignment, Board, Instant, Modifier, Press};
    use agogic_log::Intent;
    use agogic_stats::Level;

    /// 100 letters of F, each `dwell` ms long, one after another.
    fn person(number: u64, dwell: u64) -> SessionLog {
        let press = |at: u64| Press {
            code: "KeyF".parse().unwrap(),
            down: Instant(1_000_000 * at),
            up: Instant(1_000_000 * at + 1000 * dwell),
        };
        SessionLog {
            participant: format!("p{number}"),
            session: "1".into(),
            part: 0,
            presses: (0..100).map(press).collect(),
            intents: vec![Some(Intent::Tap); 100],
            breaks: vec![],
        }
    }

    #[test]
    fn a_log_like_the_groups_lies_inside_and_another_outside() {
        let board = Board::row_staggered();
        let mut assignment = Assignment::none();
        assignment.assign(&board, "KeyF".parse().unwrap(), Modifier::Control).unwrap();
        let plan = ReplayPlan { board: &board, assignment: &assignment, level: Level::P95, resamples: 10, seed: 1 };
        let settings = [("cutoff".to_owned(), Setting::rule("dwell-cutoff", &[("cutoff_ms", 200.0)]).unwrap())];
        // People of 101 to 180 ms; two a group, so that groups lie about 140.
        let simulated = |number: u64| person(number, 101 + number * 37 % 80);
        let check = |dwells: [u64; 2]| {
            let log = [person(0, dwells[0]), person(1, dwells[1])];
            predictive_check(&log, &settings, &plan, 40, simulated)
        };
        let like = check([120, 160]);
        let dwell = |found: &PredictiveCheck| found.rows[1].clone();
        assert_eq!((dwell(&like).observed, dwell(&like).is_inside()), (Some(140.0), Some(true)));
        let [lo, hi] = dwell(&like).limits.unwrap();
        assert!(lo > 101.0 && hi < 180.0 && lo < 140.0 && hi > 140.0);
        let slow = check([230, 250]);
        assert_eq!((dwell(&slow).is_inside(), dwell(&slow).share_below), (Some(false), Some(1.0)));
        // All letters of the slow last beyond the cutoff, and of no group any.
        let held = slow.rows.iter().find(|row| row.estimand == Some(Estimand::FalseHolds)).unwrap();
        assert_eq!((held.observed, held.limits, held.is_inside()), (Some(1000.0), Some([0.0, 0.0]), Some(false)));
        // Nobody held anything: unknown, not zero.
        let missed = slow.rows.iter().find(|row| row.estimand == Some(Estimand::MissedHolds)).unwrap();
        assert_eq!((missed.observed, missed.limits, missed.is_inside()), (None, None, None));
        assert!(missed.reason.as_deref().unwrap().contains("no press"));
        assert!(slow.sentence().contains("outside of the 95 % intervals of 40 simulated groups of 2 people"));
    }
}
