//! Where the time of a run goes: `cargo run --release -p agogic-score --example pace`.
//!
//! Each stage is timed by itself on one thread, in CPU time where the system tells it, over the same sessions: the
//! typist model, the clock, what the session was meant to be, and all policies together; then one policy more, and as
//! many log-normal variates as there were presses. The least of several rounds counts.

use std::hint::black_box;
use std::time::Instant as Clock;

use agogic_keys::{Assignment, Board, Modifier, Purpose, Rates, TextPlan, Unsupported, Workload, stream};
use agogic_policy::Setting;
use agogic_score::{CostTable, Emulator, Panel, Transcript};
use agogic_typist::{Performer, Population, Session, Typist};
use rand_distr::{Distribution, LogNormal};

const TEXT: &str = include_str!("../../../data-synthetic/texts/tide-station.txt");
/// Presses of each typist, and typists: long sessions, and short ones as in the largest published study.
const SHAPES: [(usize, u64); 2] = [(15_000, 60), (800, 1_100)];
const ROUNDS: usize = 5;
/// The system counts CPU time in ticks of milliseconds, so what is short is done often.
const OFTEN: u64 = 20;
const SEED: u64 = 1;

/// CPU time of this thread in nanoseconds; the wall clock where the system does not tell.
fn cpu_ns(start: Clock) -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let ns = told.and_then(|text| text.split(' ').next()?.parse::<f64>().ok());
    ns.unwrap_or_else(|| start.elapsed().as_nanos() as f64)
}

fn main() {
    for (keys, typists) in SHAPES {
        shape(keys, typists);
    }
}

fn shape(keys: usize, typists: u64) {
    let start = Clock::now();
    let least = |mut job: Box<dyn FnMut() + '_>| {
        let times = (0..ROUNDS).map(|_| {
            let before = cpu_ns(start);
            job();
            cpu_ns(start) - before
        });
        times.fold(f64::INFINITY, f64::min)
    };
    let board = Board::row_staggered();
    let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
    let assignment = Assignment::resting(&board, order);
    let plan = TextPlan::new(TEXT, &board, &assignment, Unsupported::Refuse).expect("our own text can be typed");
    let rates = Rates { shortcuts: 8.0, bare_holds: 0.0, repeats: 0.0 };
    let workload = Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).expect("our own rates");
    let performer = Performer::new(&board, &assignment);
    let emulator = Emulator::new(&assignment);
    let population = Population::volunteers();
    let clock = agogic_typist::Clock::default();
    let costs = CostTable::default();
    let hand = |code| performer.movement().hand(code);
    let perform = |number: u64| {
        let typist = Typist::draw(&population, SEED, number);
        performer.perform(&typist, &plan, &workload, SEED, 0, keys)
    };
    let rule = |name: &str, value: Option<(&str, f64)>| {
        Setting::rule(name, value.as_slice()).expect("a rule of the registry and a value in its range")
    };
    let eight = [
        rule("dwell-cutoff", Some(("cutoff_ms", 200.0))),
        rule("dwell-cutoff", Some(("cutoff_ms", 250.0))),
        rule("first-contact", None),
        rule("enclosed", None),
        rule("overlap-share", Some(("share", 0.8))),
        rule("overlap-share", Some(("share", 0.6))),
        rule("overlap-span", Some(("span_ms", 80.0))),
        rule("overlap-span", Some(("span_ms", 40.0))),
    ];

    let mut sessions: Vec<Session> = (0..typists).map(perform).collect();
    let presses: f64 = sessions.iter().map(|session| session.presses.len() as f64).sum();
    let model = least(Box::new(|| (0..typists).for_each(|number| _ = black_box(perform(number)))));
    let shown = least(Box::new(|| {
        for (number, session) in (0..OFTEN).flat_map(|_| sessions.iter().enumerate()) {
            black_box(clock.observe(session, SEED, number as u64, 0));
        }
    }));
    let shown = shown / OFTEN as f64;
    for (number, session) in sessions.iter_mut().enumerate() {
        clock.show(session, SEED, number as u64, 0);
    }
    let transcript = |session: &Session| {
        black_box(Transcript::new(&emulator, &session.presses, &session.truths, session.words)).first()
    };
    let meant = least(Box::new(|| {
        (0..OFTEN).for_each(|_| sessions.iter().for_each(|session| _ = black_box(transcript(session))));
    }));
    let meant = meant / OFTEN as f64;
    let mut panel = Panel::new();
    let mut dual = 0;
    let mut judge = |settings: &[Setting]| {
        dual = 0;
        let time = least(Box::new(|| {
            dual = 0;
            for session in &sessions {
                let transcript = Transcript::new(&emulator, &session.presses, &session.truths, session.words);
                panel.judge(&transcript, hand, settings, &costs, |at, score, _| {
                    dual += if at == 0 { score.counts.taps + score.counts.holds } else { 0 };
                    black_box(score);
                });
            }
        }));
        time - meant
    };
    let all = judge(&eight);
    println!("{presses:.0} presses of {typists} typists of {keys}; least of {ROUNDS} rounds, one thread, CPU time");
    let line = |what: &str, ns: f64| println!("{what:<44}{:8.1} ns per press", ns / presses);
    line("typist model", model);
    line("clock (with a copy of the session)", shown);
    line("what was meant", meant);
    line("8 policies and their scores", all);
    line("the whole", model + shown + meant + all);
    let singles: Vec<(String, f64)> =
        eight.iter().map(|setting| (setting.label(), judge(std::slice::from_ref(setting)))).collect();
    let lone = dual as f64;
    for (label, time) in singles {
        println!("  {label:<42}{:8.1} ns per press {:8.1} ns per dual-role press", time / presses, time / lone);
    }
    println!("{:<44}{:8.1} ns per dual-role press", "one policy more, mean of the eight", all / 8.0 / lone);
    let draws = least(Box::new(|| {
        let mut rng = stream(SEED, Purpose::Timing, 0, 0);
        let law = LogNormal::new(5.0, 0.4).expect("finite");
        black_box((0..OFTEN * presses as u64).map(|_| law.sample(&mut rng)).sum::<f64>());
    }));
    let draws = draws / OFTEN as f64;
    line("one log-normal variate of rand_distr", draws);
    println!("{:<44}{:8.2}", "the whole over one variate per press", (model + shown + meant + all) / draws);
    println!();
}
