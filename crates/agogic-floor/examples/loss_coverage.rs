//! Coverage of the interval of the loss above the floor: `cargo run --release -p agogic-floor --example loss_coverage --
//! [POOL [STUDIES]] > crates/agogic-floor/COVERAGE.md`.
//!
//! One pool of volunteers is drawn and judged. Studies are drawn from it with replacement, so that the pool is their
//! population and its loss the truth.

use std::sync::Arc;

use agogic_floor::{OddsCounts, PairedErrors, Sight, Stage, TypistObserver, loss_above_floor};
use agogic_keys::{Purpose, Span, stream};
use agogic_policy::{EncounterScan, ErrorCosts, EvidenceCounts, Guards, Setting};
use agogic_stats::Level;
use agogic_typist::{Population, SessionAddress, Typist};
use rand::RngExt;

#[path = "../../../tests/shared/typing_task.rs"]
mod typing_task;

use typing_task::TypingTask;

const SEED: u64 = 817;
const KEYS: usize = 4000;
const REHEARSAL: usize = 20_000;

/// Typists of a study.
const SIZES: [usize; 3] = [40, 100, 300];

/// Costs of a false hold where a missed one costs one.
const COSTS: [f64; 3] = [0.2, 1.0, 5.0];

/// Numbers of typists whom nobody judges begin here.
const UNJUDGED: u64 = 1 << 40;

/// Odds of a typist's presses, and false and missed holds of each rule.
type Judged = (OddsCounts, Vec<[u64; 2]>);

fn main() {
    let count = |at: usize, default: u64| std::env::args().nth(at).map_or(Ok(default), |arg| arg.parse());
    let (Ok(pool), Ok(studies)) = (count(1, 1500), count(2, 4000)) else {
        eprintln!("usage: loss_coverage [POOL [STUDIES]], two whole numbers");
        std::process::exit(2);
    };
    let TypingTask { performer, plan, workload } = TypingTask::new();
    let stage = Stage { performer: &performer, plan: &plan, workload: &workload, seed: SEED, rehearsal: REHEARSAL };
    let dual = |code| performer.assignment().modifier(code).is_some();
    let hand = |code| performer.movement().hand(code);
    let perform = |number: u64| {
        let typist = Typist::draw(&Population::volunteers(), SEED, number);
        let session = performer.perform(&typist, &plan, &workload, SessionAddress { seed: SEED, replicate: 0 }, KEYS);
        (typist, session)
    };
    let mut counts = EvidenceCounts::new();
    for number in UNJUDGED..UNJUDGED + 100 {
        let (_, session) = perform(number);
        EncounterScan::new().each(&session.presses, dual, hand, |i, e| counts.add(e, session.truths[i].hold));
    }
    let settings = settings(&Arc::new(counts.tables().expect("the training typists tap and hold")));
    let judged: Vec<Judged> = (0..pool)
        .map(|number| {
            let (typist, session) = perform(number);
            let observer = TypistObserver::new(&stage, &typist, Sight::Timing);
            let (mut odds, mut wrong) = (OddsCounts::new(), vec![[0; 2]; settings.len()]);
            EncounterScan::new().each(&session.presses, dual, hand, |i, e| {
                let hold = session.truths[i].hold;
                odds.add(observer.log_odds(e, None), hold);
                for (setting, wrong) in settings.iter().zip(&mut wrong) {
                    wrong[usize::from(hold)] += u64::from(setting.decide(e).is_hold() != hold);
                }
            });
            (odds, wrong)
        })
        .collect();
    let paired = |at: usize, rule: usize| {
        let (odds, wrong) = &judged[at];
        PairedErrors { false_holds: wrong[rule][0], missed_holds: wrong[rule][1], odds }
    };
    println!("# Coverage of the interval of the loss above the floor\n");
    println!(
        "`cargo run --release -p agogic-floor --example loss_coverage -- {pool} {studies}`. A pool of {pool} volunteers, \
         {KEYS} presses each, is the population; {studies} studies of each size are drawn from it. Nominal 95 %; Monte \
         Carlo error of a coverage near it {:.1}. *Below* and *above* are shares of studies whose whole interval lies \
         below or above the truth.\n",
        100.0 * libm::sqrt(0.95 * 0.05 / studies as f64)
    );
    println!("| rule | cost of a false hold | loss | typists | covers, % | below, % | above, % |");
    println!("|---|---|---|---|---|---|---|");
    for (rule, setting) in settings.iter().enumerate() {
        for cost in COSTS {
            let costs = ErrorCosts::new(cost, 1.0).expect("both cost something");
            let all: Vec<_> = (0..judged.len()).map(|at| paired(at, rule)).collect();
            let truth = loss_above_floor(&all, costs, Level::P95).value.expect("there are presses");
            for size in SIZES {
                let (mut below, mut above) = (0_u64, 0_u64);
                for study in 0..studies {
                    let mut rng = stream(SEED, Purpose::Resampling, study, size as u64);
                    let drawn: Vec<_> =
                        (0..size).map(|_| paired(rng.random_range(0..pool as u32) as usize, rule)).collect();
                    let found = loss_above_floor(&drawn, costs, Level::P95);
                    below += u64::from(found.hi.is_some_and(|hi| hi < truth));
                    above += u64::from(found.lo.is_some_and(|lo| lo > truth));
                }
                let share = |n: u64| 100.0 * n as f64 / studies as f64;
                println!(
                    "| `{}` | {cost} | {truth:.1} | {size} | {:.1} | {:.1} | {:.1} |",
                    setting.label(),
                    100.0 - share(below + above),
                    share(below),
                    share(above)
                );
            }
        }
    }
}

fn settings(tables: &Arc<agogic_policy::EvidenceTables>) -> Vec<Setting> {
    let rule = |name: &str, values: &[(&str, f64)], lull_ms: Option<f64>| {
        let guards = Guards { lull: lull_ms.map(Span::from_ms), ..Guards::default() };
        Setting::trained(name, values, tables).expect("the values lie in their ranges").with_guards(guards)
    };
    vec![
        rule("dwell-cutoff", &[("cutoff_ms", 200.0)], None),
        rule("first-contact", &[], Some(150.0)),
        rule("enclosed", &[], None),
        rule("overlap-share", &[("share", 0.8)], None),
        rule("evidence", &[("threshold_nats", 2.0)], None),
    ]
}
