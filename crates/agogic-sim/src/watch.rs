//! What an ideal observer makes of the presses of a typist.

use std::borrow::Cow;

use agogic_floor::{OddsCounts, Stage, TypistObserver};
use agogic_keys::Span;
use agogic_policy::EncounterScan;
use agogic_study::Study;
use agogic_typist::{Session, SessionAddress, Typist};

use crate::runner::{ArmRunner, Buffers, Performed};

/// Deadlines after the press for which a floor is drawn, beside the one without a deadline.
pub const DEADLINES: [Span; 2] = [Span(60_000), Span(120_000)];

/// The odds of one typist's presses, one table per deadline and the last without.
pub type TypistOdds = [OddsCounts; DEADLINES.len() + 1];

/// Every deadline, and the lack of one.
pub fn deadlines() -> impl Iterator<Item = Option<Span>> {
    DEADLINES.map(Some).into_iter().chain([None])
}

/// An observer who knows the typist.
fn observer(study: &Study, runner: &ArmRunner<'_>, typist: &Typist) -> TypistObserver {
    let ArmRunner { arm, performer, .. } = runner;
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
fn watch(observer: &TypistObserver, runner: &ArmRunner<'_>, session: &Session, scan: &mut EncounterScan) -> TypistOdds {
    let mut odds = TypistOdds::default();
    runner.encounters(scan, &session.presses, |press, encounter| {
        let is_hold = session.truths[press].hold;
        for (counts, deadline) in odds.iter_mut().zip(deadlines()) {
            counts.add(observer.log_odds(encounter, deadline), is_hold);
        }
    });
    odds
}

/// The judged session of a typist of a study, and what the observer makes of it if it watches this one.
pub fn perform_watched(
    study: &Study,
    runner: &ArmRunner<'_>,
    buffers: &mut Buffers,
    number: u64,
) -> (Performed, Option<TypistOdds>) {
    let typist = Typist::draw(&runner.arm.population, study.seed, number);
    let address = SessionAddress { seed: study.seed, replicate: 0 };
    let mut session = runner.unclocked(&typist, address, runner.arm.keys);
    // The observer sees the times of the fingers, before any clock makes them coarse.
    let odds = (number < study.floor.typists)
        .then(|| watch(&observer(study, runner, &typist), runner, &session, &mut buffers.scan));
    runner.arm.clock.show(&mut session, number, address);
    (Performed { typist, session }, odds)
}
