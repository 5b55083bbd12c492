//! Prints the floor beside every rule: `cargo run --release -p agogic-floor --example floor [TYPISTS [OBSERVERS]]`.
//!
//! The volunteers type the built-in text with the workload of `experiments/main-study.toml`, on the clock of
//! the model. `OBSERVERS` typists, whom nobody is judged on, stand for the population.

use std::sync::Arc;
use std::time::Instant as Clock;

use agogic_floor::{
    FloorCurve, OddsCounts, PairedErrors, PopulationObserver, Sight, Stage, TypistObserver, loss_above_floor,
};
use agogic_keys::Span;
use agogic_policy::{EncounterScan, ErrorCosts, EvidenceCounts, Guards, Setting};
use agogic_stats::Level;
use agogic_typist::{Population, SessionAddress, Typist};

#[path = "../../../tests/shared/typing_task.rs"]
mod typing_task;

use typing_task::TypingTask;

const SEED: u64 = 20_260_401;

/// Deadlines in ms; the last is none.
const DEADLINES: [Option<f64>; 10] = [
    Some(0.0),
    Some(25.0),
    Some(50.0),
    Some(75.0),
    Some(100.0),
    Some(150.0),
    Some(200.0),
    Some(300.0),
    Some(500.0),
    None,
];

/// Numbers of typists whom no study judges begin here.
const UNJUDGED: u64 = 1 << 40;

fn main() {
    let count = |at: usize, default: u64| std::env::args().nth(at).map_or(Ok(default), |arg| arg.parse());
    let (Ok(judged), Ok(observers)) = (count(1, 60), count(2, 24)) else {
        eprintln!("usage: floor [TYPISTS [OBSERVERS]], two whole numbers");
        std::process::exit(2);
    };
    let TypingTask { performer, plan, workload } = TypingTask::new();
    let population = Population::volunteers();
    let stage = Stage { performer: &performer, plan: &plan, workload: &workload, seed: SEED, rehearsal: 30_000 };
    let keys = plan.steps().len();
    let dual = |code| performer.assignment().modifier(code).is_some();
    let hand = |code| performer.movement().hand(code);
    let perform = |number: u64| {
        let typist = Typist::draw(&population, SEED, number);
        let session = performer.perform(&typist, &plan, &workload, SessionAddress { seed: SEED, replicate: 0 }, keys);
        (typist, session)
    };

    let mut counts = EvidenceCounts::new();
    for number in UNJUDGED..UNJUDGED + 200 {
        let (_, session) = perform(number);
        let truths = &session.truths;
        EncounterScan::new().each(&session.presses, dual, hand, |i, e| counts.add(e, truths[i].hold));
    }
    let tables = Arc::new(counts.tables().expect("the training typists tap and hold"));
    let settings = settings(&tables);

    let start = Clock::now();
    let crowd: Vec<TypistObserver> = (UNJUDGED..UNJUDGED + observers)
        .map(|number| TypistObserver::new(&stage, &Typist::draw(&population, SEED, number), Sight::Timing))
        .collect();
    let build = start.elapsed().as_secs_f64() / observers.max(1) as f64;
    let crowd = PopulationObserver::new(crowd);

    // Odds by typist: given the typist at each deadline, told the key too, and not knowing who types.
    let mut at_deadline = vec![Vec::new(); DEADLINES.len()];
    let (mut of_key, mut of_crowd) = (OddsCounts::new(), OddsCounts::new());
    let mut of_key_given = Vec::new();
    let mut errors = vec![Vec::new(); settings.len()];
    let (mut seconds, mut crowd_seconds, mut presses) = (0.0, 0.0, 0_u64);
    for number in 0..judged {
        let (typist, session) = perform(number);
        let observer = TypistObserver::new(&stage, &typist, Sight::Timing);
        let truths = &session.truths;
        for (deadline, by_typist) in DEADLINES.iter().zip(&mut at_deadline) {
            let mut odds = OddsCounts::new();
            let start = Clock::now();
            EncounterScan::new().each(&session.presses, dual, hand, |i, e| {
                odds.add(observer.log_odds(e, deadline.map(Span::from_ms)), truths[i].hold);
            });
            if deadline.is_none() {
                seconds += start.elapsed().as_secs_f64();
                presses += odds.taps() + odds.holds();
            }
            by_typist.push(odds);
        }
        let keyed = TypistObserver::new(&stage, &typist, Sight::OwnKey);
        let mut odds = OddsCounts::new();
        let mut wrong = vec![[0_u64; 2]; settings.len()];
        EncounterScan::new().each(&session.presses, dual, hand, |i, e| {
            odds.add(keyed.log_odds(e, None), truths[i].hold);
            for (setting, wrong) in settings.iter().zip(&mut wrong) {
                let hold = setting.decide(e).is_hold();
                if hold != truths[i].hold {
                    wrong[usize::from(truths[i].hold)] += 1;
                }
            }
        });
        of_key.merge(&odds);
        of_key_given.push(odds);
        for (errors, wrong) in errors.iter_mut().zip(wrong) {
            errors.push(wrong);
        }
        let start = Clock::now();
        EncounterScan::new().each(&session.presses, dual, hand, |i, e| {
            of_crowd.add(crowd.log_odds(e, None), truths[i].hold);
        });
        crowd_seconds += start.elapsed().as_secs_f64();
    }

    println!("{judged} typists, {presses} dual-role presses");
    println!(
        "an observer is made in {:.1} ms; it judges a press in {:.0} ns",
        1e3 * build,
        1e9 * seconds / presses as f64
    );
    println!("the one for the population, of {observers}, in {:.0} ns\n", 1e9 * crowd_seconds / presses as f64);
    println!("missed holds per 1000 holds at these false holds per 1000 taps, and fewest errors per 1000 presses");
    let at = [0.1, 0.3, 1.0, 3.0, 10.0, 30.0];
    println!("{:<28}{}{:>9}", "floor", at.map(|f| format!("{f:>9}")).concat(), "fewest");
    let row = |name: &str, odds: &OddsCounts| {
        let Some(curve) = FloorCurve::new(None, odds) else { return };
        let cells = at.map(|f| format!("{:>9.2}", 1e3 * curve.missed_at(f / 1e3).unwrap_or(f64::NAN))).concat();
        let best = curve.fewest_errors();
        println!("{name:<28}{cells}{:>9.2}", curve.errors_per_1000(best.false_rate, best.missed_rate));
    };
    let pool = |parts: &[OddsCounts]| {
        parts.iter().fold(OddsCounts::new(), |mut sum, part| {
            sum.merge(part);
            sum
        })
    };
    for (deadline, parts) in DEADLINES.iter().zip(&at_deadline) {
        let name = deadline.map_or("whole encounter".to_owned(), |ms| format!("{ms} ms after the press"));
        row(&name, &pool(parts));
    }
    row("whole, typist unknown", &of_crowd);
    row("whole, own key known", &of_key);
    println!("\nloss above the floor per 1000 presses on {judged} typists, a false and a missed hold costing one each");
    println!("{:<52}{:>8}{:>8}{:>26}{:>26}", "rule", "false", "missed", "timing", "own key");
    let last = at_deadline.len() - 1;
    let costs = ErrorCosts::new(1.0, 1.0).expect("both cost something");
    for (setting, errors) in settings.iter().zip(&errors) {
        let loss = |odds: &[OddsCounts]| {
            let paired: Vec<PairedErrors<'_>> = errors
                .iter()
                .zip(odds)
                .map(|(wrong, odds)| PairedErrors { false_holds: wrong[0], missed_holds: wrong[1], odds })
                .collect();
            let loss = loss_above_floor(&paired, costs, Level::P95);
            let show = |x: Option<f64>| x.map_or("unknown".to_owned(), |x| format!("{x:.2}"));
            format!("{} ({} to {})", show(loss.value), show(loss.lo), show(loss.hi))
        };
        let sum = |k: usize| errors.iter().map(|wrong| wrong[k]).sum::<u64>() as f64;
        let all = pool(&at_deadline[last]);
        println!(
            "{:<52}{:>8.2}{:>8.2}{:>26}{:>26}",
            setting.label(),
            1e3 * sum(0) / all.taps() as f64,
            1e3 * sum(1) / all.holds() as f64,
            loss(&at_deadline[last]),
            loss(&of_key_given),
        );
    }
}

/// The settings of the main study, and a few more.
fn settings(tables: &Arc<agogic_policy::EvidenceTables>) -> Vec<Setting> {
    let ms = |t: f64| Some(Span::from_ms(t));
    let rule = |name: &str, values: &[(&str, f64)], guards: Guards| {
        Setting::trained(name, values, tables).expect("the values lie in their ranges").with_guards(guards)
    };
    let none = Guards::default();
    let lull = Guards { lull: ms(150.0), ..none };
    let both = Guards { lull: ms(150.0), other_hand: true, ..none };
    vec![
        rule("dwell-cutoff", &[("cutoff_ms", 1.0)], none),
        rule("dwell-cutoff", &[("cutoff_ms", 200.0)], none),
        rule("dwell-cutoff", &[("cutoff_ms", 250.0)], none),
        rule("first-contact", &[], none),
        rule("first-contact", &[], lull),
        rule("enclosed", &[], none),
        rule("enclosed", &[], both),
        rule("overlap-share", &[("share", 0.8)], none),
        rule("overlap-share", &[("share", 0.8)], Guards { dwell_floor: ms(80.0), ..none }),
        rule("overlap-share", &[("share", 0.6)], both),
        rule("overlap-share", &[("share", 0.6)], Guards { dwell_floor: ms(100.0), ..both }),
        rule("overlap-span", &[("span_ms", 80.0)], lull),
        rule("evidence", &[("threshold_nats", 2.0)], none),
        rule("evidence", &[("threshold_nats", 0.0)], none),
        rule("sequential-evidence", &[("hold_nats", 3.0), ("tap_nats", 3.0)], none),
    ]
}
