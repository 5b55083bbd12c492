//! Where the time of a run goes: `cargo run --release -p agogic-score --example pace`.
//!
//! Each stage is timed by itself on one thread, in CPU time, over the same sessions: the typist model, the clock, what
//! the session was meant to be, and all policies together; then one policy more, and as many log-normal variates as
//! there were presses. The least of several rounds counts. `cargo bench` looks closer, at one stage at a time.

#[path = "../benches/support/mod.rs"]
mod support;
#[path = "../../../tests/shared/typing_task.rs"]
mod typing_task;

use std::hint::black_box;

use agogic_keys::{Purpose, stream};
use agogic_policy::{Encounters, Setting};
use agogic_score::{CostTable, Emulator, SessionJudge, Transcript};
use agogic_typist::{Clock, Population, Session, SessionAddress};
use cpu_time::ThreadTime;
use rand_distr::{Distribution, LogNormal};
use typing_task::{SEED, TypingTask};

/// Presses of each typist, and typists: long sessions, and short ones as in the largest published study.
const SHAPES: [(usize, u64); 2] = [(15_000, 60), (800, 1_100)];
const ROUNDS: usize = 5;
/// Random numbers that the model draws for an ordinary press: four normal ones (tempo, interval, hesitation, dwell) and
/// five uniform ones (whether it hesitates, whether the finger rests, whether it lifts first, interruption, slip).
const VARIATES: f64 = 9.0;

fn main() {
    let task = TypingTask::new();
    for (keys, typists) in SHAPES {
        shape(&task, keys, typists);
    }
}

/// CPU time of the fastest round in nanoseconds.
fn least(mut job: impl FnMut()) -> f64 {
    let times = (0..ROUNDS).map(|_| {
        let start = ThreadTime::now();
        job();
        start.elapsed().as_nanos() as f64
    });
    times.fold(f64::INFINITY, f64::min)
}

fn shape(task: &TypingTask, keys: usize, typists: u64) {
    let emulator = Emulator::new(task.performer.assignment());
    let population = Population::volunteers();
    let clock = Clock::default();
    let costs = CostTable::default();
    let perform = |number: u64| task.perform(&population, number, keys);
    let eight = support::eight();

    let mut sessions: Vec<Session> = (0..typists).map(perform).collect();
    let presses = typing_task::presses(&sessions) as f64;
    let model = least(|| (0..typists).for_each(|number| _ = black_box(perform(number))));
    let clocked = least(|| {
        for (number, session) in sessions.iter().enumerate() {
            black_box(clock.observe(session, number as u64, SessionAddress { seed: SEED, replicate: 0 }));
        }
    });
    for (number, session) in sessions.iter_mut().enumerate() {
        clock.show(session, number as u64, SessionAddress { seed: SEED, replicate: 0 });
    }
    let transcript = |session: &Session| {
        black_box(Transcript::new(&emulator, &session.presses, &session.truths, session.words)).first()
    };
    let meant = least(|| sessions.iter().for_each(|session| _ = black_box(transcript(session))));
    let mut judge = SessionJudge::new();
    let mut dual = 0;
    let mut judge = |settings: &[Setting]| {
        let time = least(|| {
            dual = 0;
            for session in &sessions {
                let transcript = Transcript::new(&emulator, &session.presses, &session.truths, session.words);
                judge.judge(
                    &transcript,
                    |code| task.hand(code),
                    settings,
                    &costs,
                    |at, score, _| {
                        dual += if at == 0 { score.counts.taps + score.counts.holds } else { 0 };
                        black_box(score);
                    },
                );
            }
        });
        time - meant
    };
    let all = judge(&eight);
    println!("{presses:.0} presses of {typists} typists of {keys}; least of {ROUNDS} rounds, one thread, CPU time");
    let line = |what: &str, ns: f64| println!("{what:<44}{:8.1} ns per press", ns / presses);
    line("typist model", model);
    line("clock (with a copy of the session)", clocked);
    line("what was meant", meant);
    line("8 policies and their scores", all);
    line("the whole", model + clocked + meant + all);
    let singles: Vec<(String, f64)> =
        eight.iter().map(|setting| (setting.label(), judge(std::slice::from_ref(setting)))).collect();
    let lone = dual as f64;
    for (label, time) in singles {
        println!("  {label:<42}{:8.1} ns per press {:8.1} ns per dual-role press", time / presses, time / lone);
    }
    println!("{:<44}{:8.1} ns per dual-role press", "one policy more, mean of the eight", all / 8.0 / lone);
    let (mut encounters, mut decisions) = (Encounters::new(), Vec::new());
    let dual = |code| emulator.held_role(code).is_some();
    let mut decide = |settings: &[Setting]| {
        least(|| {
            for session in &sessions {
                encounters.fill(&session.presses, 0, dual, |code| task.hand(code));
                for setting in settings {
                    setting.decide_all(&encounters, &mut decisions);
                    black_box(&decisions);
                }
            }
        })
    };
    let scan = decide(&[]);
    let decided = decide(&eight) - scan;
    println!("{:<44}{:8.1} ns per dual-role press", "  its decisions alone", decided / 8.0 / lone);
    let draws = least(|| {
        let mut rng = stream(SEED, Purpose::Timing, 0, 0);
        let law = LogNormal::new(5.0, 0.4).expect("finite");
        black_box((0..presses as u64).map(|_| law.sample(&mut rng)).sum::<f64>());
    });
    line("one log-normal variate of rand_distr", draws);
    let whole = (model + clocked + meant + all) / draws;
    println!("{:<44}{whole:8.2}", "the whole over one variate per press");
    println!("{:<44}{:8.2}", format!("the whole over {VARIATES} variates, as the model draws"), whole / VARIATES);
    println!();
}
