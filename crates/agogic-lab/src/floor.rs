//! The floor of a study: what an ideal observer, who sees no more than its rules, would have made of the same presses.

use std::borrow::Cow;

use agogic_floor::{FloorCurve, OddsCounts, PairedErrors, Sight, Stage, TypistObserver, loss_above_floor};
use agogic_keys::Span;
use agogic_policy::{EncounterScan, ErrorCosts};
use agogic_stats::Estimate;
use agogic_typist::{Performer, Session, Typist};
use serde::{Deserialize, Serialize};

use crate::desk::Desk;
use crate::estimate::{ALL, ResultRow, Role, Statistic};
use crate::run::ArmResult;
use crate::scores::TypistRow;
use crate::study::{Arm, Study};

/// How the floor is taken.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FloorPlan {
    /// Typists, the first of each arm, on whose presses policies and observer are compared, at most those of the study; 0
    /// for no floor.
    pub typists: u64,
    /// Presses from which an observer learns how often its typist comes into each situation.
    pub rehearsal: usize,
    /// What the observer sees: as much as the rule of the study that sees most, if the spec is silent. Only rules that
    /// see no more stand above this floor.
    pub sight: Sight,
    /// What a false and a missed hold cost where a rule is held against the observer.
    pub costs: ErrorCosts,
}

impl Default for FloorPlan {
    /// 100 typists, rehearsals of 20 000 presses, the narrowest sight, errors that cost one each.
    ///
    /// Equal costs are our choice, for two reasons. Either error wrongs the outcome of its own key and of the keys pressed
    /// meanwhile, so about as many wrong keys, which studies are judged by. And the loss is then a number of errors,
    /// which holds nothing that is assumed.
    fn default() -> Self {
        let costs = ErrorCosts { false_hold: 1.0, missed_hold: 1.0 };
        Self { typists: 100, rehearsal: Self::rehearsal_for(Sight::Timing), sight: Sight::Timing, costs }
    }
}

impl FloorPlan {
    /// Presses of a rehearsal if the spec is silent.
    ///
    /// An observer that sees its key has a model of each, and a rehearsal of 20 000 presses holds too few of the rare
    /// ones: trees that learn from ten times as many lose a little less where a false hold is cheap. With 100 000 they do
    /// not; see the figures in `crates/agogic-floor/adversary/README.md`.
    pub fn rehearsal_for(sight: Sight) -> usize {
        match sight {
            Sight::Timing => 20_000,
            Sight::OwnKey | Sight::Keys => 100_000,
        }
    }

    /// The observer, in words.
    pub fn observer(&self) -> String {
        format!("an ideal observer who knows the model and the typist and sees only {}", self.sight.words())
    }

    /// What the loss above the floor is, for under a table that stands on so many `typists`.
    pub fn note(&self, typists: u64) -> String {
        let ErrorCosts { false_hold, missed_hold } = self.costs;
        format!(
            "Loss above floor: what the errors of a rule cost more than those of {}, on the same presses of the first \
             {typists} typists, where a false hold costs {false_hold} and a missed hold {missed_hold}. No rule that sees \
             no more is below zero but by chance; one that sees more, such as the letters around, can be.",
            self.observer()
        )
    }
}

/// Deadlines after the press for which a floor is drawn, beside the one without a deadline.
const DEADLINES: [Span; 2] = [Span(60_000), Span(120_000)];

/// The floor of one arm.
#[derive(Clone, Debug, PartialEq)]
pub struct Floor {
    /// The odds of the presses of each compared typist, in the order of their numbers.
    pub odds: Vec<OddsCounts>,
    /// Pooled floors, shortest deadline first; the last has none.
    pub curves: Vec<FloorCurve>,
}

/// The odds of one typist's presses, one table per deadline and the last without.
pub(crate) type TypistOdds = [OddsCounts; DEADLINES.len() + 1];

/// Every deadline, and the lack of one.
fn deadlines() -> impl Iterator<Item = Option<Span>> {
    DEADLINES.map(Some).into_iter().chain([None])
}

/// An observer who knows the typist.
fn observer(study: &Study, arm: &Arm, performer: &Performer, typist: &Typist) -> TypistObserver {
    let rehearsal = study.floor.rehearsal;
    // Who knows the typist knows the text too: a rehearsal of another one would be the wrong observer.
    let plan = match arm.plan.texts() {
        1 => Cow::Borrowed(&*arm.plan),
        _ => Cow::Owned(arm.plan.only(study.text_of(typist.number))),
    };
    let stage = Stage { performer, plan: &plan, workload: &arm.workload, seed: study.seed, rehearsal };
    TypistObserver::new(&stage, typist, study.floor.sight)
}

/// What the observer makes of the presses of a session as the fingers made them.
///
/// Policies see them through the clock of the arm, which can only make them worse, so the floor holds for them too.
fn watch(
    observer: &TypistObserver,
    arm: &Arm,
    performer: &Performer,
    session: &Session,
    scan: &mut EncounterScan,
) -> TypistOdds {
    let mut odds = TypistOdds::default();
    arm.encounters(scan, performer, &session.presses, |press, encounter| {
        let is_hold = session.truths[press].hold;
        for (counts, deadline) in odds.iter_mut().zip(deadlines()) {
            counts.add(observer.log_odds(encounter, deadline), is_hold);
        }
    });
    odds
}

/// The session in which a typist is judged, and what the observer makes of it if it watches this one.
pub(crate) fn watched(
    study: &Study,
    desk: &Desk<'_>,
    typist: &Typist,
    scan: &mut EncounterScan,
) -> (Session, Option<TypistOdds>) {
    let Desk { arm, performer, .. } = desk;
    let mut session = performer.perform(typist, &arm.plan, &arm.workload, study.seed, 0, arm.keys);
    // The observer sees the times of the fingers, before any clock makes them coarse.
    let odds = (typist.number < study.floor.typists)
        .then(|| watch(&observer(study, arm, performer, typist), arm, performer, &session, scan));
    arm.clock.show(&mut session, study.seed, typist.number, 0);
    (session, odds)
}

impl Floor {
    /// The floor from the odds of each compared typist.
    pub(crate) fn of(each: Vec<TypistOdds>) -> Self {
        let curve = |(at, deadline): (usize, Option<Span>)| {
            let mut pooled = OddsCounts::new();
            each.iter().for_each(|odds| pooled.merge(&odds[at]));
            FloorCurve::new(deadline, &pooled)
        };
        let curves = deadlines().enumerate().filter_map(curve).collect();
        let odds = each.into_iter().map(|[.., without]| without).collect();
        Self { odds, curves }
    }

    /// What a rule loses above the floor, from its false and missed holds with each compared typist.
    pub(crate) fn loss(&self, study: &Study, errors: impl IntoIterator<Item = [u64; 2]>) -> Estimate {
        let paired: Vec<PairedErrors<'_>> = errors
            .into_iter()
            .zip(&self.odds)
            .map(|([false_holds, missed_holds], odds)| PairedErrors { false_holds, missed_holds, odds })
            .collect();
        loss_above_floor(&paired, study.floor.costs, study.inference.level)
    }
}

/// What is lost, as an estimand: see [`loss_above_floor`].
pub(crate) const LOSS: (&str, &str) = ("role_loss", "per 1000 dual-role presses");

/// What each policy loses above the floor, on the presses of the compared typists.
pub(crate) fn floor_rows(study: &Study, arms: &[ArmResult]) -> Vec<ResultRow> {
    let mut rows = Vec::new();
    for arm in arms {
        let Some(floor) = &arm.floor else { continue };
        let watched: Vec<TypistRow> = arm.typists.iter().take(floor.odds.len()).collect();
        for (at, policy) in study.policies.iter().enumerate() {
            let errors = watched.iter().map(|row| {
                let counts = &row.scores[at].counts;
                [counts.false_holds, counts.missed_holds]
            });
            let (estimand, unit) = LOSS;
            rows.push(ResultRow {
                arm: arm.label.clone(),
                policy: policy.clone(),
                group: Cow::Borrowed(ALL),
                estimand,
                role: Role::Secondary,
                statistic: Statistic::AboveFloor,
                unit,
                minus: None,
                against: None,
                estimate: floor.loss(study, errors),
            });
        }
    }
    rows
}
