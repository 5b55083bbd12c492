//! The ideal observer: `cargo bench -p agogic-floor`.

#[path = "../../../tests/shared/measure.rs"]
mod measure;
#[path = "../../../tests/shared/typing_task.rs"]
mod typing_task;

use agogic_floor::{PopulationObserver, Sight, Stage, TypistObserver};
use agogic_keys::Span;
use agogic_policy::Encounters;
use agogic_typist::{Population, Typist};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use measure::CpuTime;
use typing_task::{SEED, TypingTask};

const REHEARSAL: usize = 5000;
const TYPISTS: u64 = 10;

/// An observer of a typist, made from a rehearsal; throughput in presses rehearsed.
fn learn(c: &mut Criterion<CpuTime>) {
    let task = TypingTask::new();
    let mut group = c.benchmark_group("learn");
    group.sample_size(10);
    group.throughput(Throughput::Elements(REHEARSAL as u64));
    for (name, sight) in [("timing", Sight::Timing), ("own key", Sight::OwnKey)] {
        group.bench_function(name, |b| b.iter(|| observer(&task, 0, sight)));
    }
    group.finish();
}

fn observer(task: &TypingTask, number: u64, sight: Sight) -> TypistObserver {
    let TypingTask { performer, plan, workload } = task;
    let typist = Typist::draw(&Population::volunteers(), SEED, number);
    TypistObserver::new(&Stage { performer, plan, workload, seed: SEED, rehearsal: REHEARSAL }, &typist, sight)
}

/// Odds that a press is a hold; throughput in dual-role presses.
fn odds(c: &mut Criterion<CpuTime>) {
    let task = TypingTask::new();
    let sessions = task.sessions(1, 1000);
    let mut encounters = Encounters::new();
    encounters.fill(&sessions[0].presses, 0, |code| task.is_dual(code), |code| task.hand(code));
    let typist = observer(&task, 0, Sight::Timing);
    let all = (0..TYPISTS).map(|number| observer(&task, number, Sight::Timing)).collect();
    let population = PopulationObserver::new(all);
    let mut group = c.benchmark_group("odds");
    group.throughput(Throughput::Elements(encounters.len() as u64));
    for (name, deadline) in [("whole encounter", None), ("100 ms", Some(Span::from_ms(100.0)))] {
        group.bench_function(format!("typist, {name}"), |b| {
            b.iter(|| encounters.iter().map(|encounter| typist.log_odds(&encounter, deadline)).sum::<f64>());
        });
        group.bench_function(format!("one of {TYPISTS} typists, {name}"), |b| {
            b.iter(|| encounters.iter().map(|encounter| population.log_odds(&encounter, deadline)).sum::<f64>());
        });
    }
    group.finish();
}

criterion_group! { name = benches; config = measure::short(); targets = learn, odds }
criterion_main!(benches);
