//! The typist model by stages: `cargo bench -p agogic-typist`.

#[path = "../../../tests/shared/measure.rs"]
mod measure;
#[path = "../../../tests/shared/typing_task.rs"]
mod typing_task;

use agogic_typist::{CLOCKS, Clock, Population, Session, SessionAddress, Typist};
use criterion::{BatchSize, BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use measure::CpuTime;
use typing_task::{SEED, TypingTask, presses};

const TYPISTS: u64 = 8;
/// Presses of a session: short as in the largest published study, and long.
const KEYS: [usize; 2] = [800, 15_000];

fn populations() -> impl Iterator<Item = Population> {
    Population::NAMES.iter().map(|name| Population::by_name(name).expect("it is listed"))
}

/// People, from the population's numbers; throughput in people.
fn draw(c: &mut Criterion<CpuTime>) {
    let mut group = c.benchmark_group("draw");
    for population in populations() {
        group.throughput(Throughput::Elements(TYPISTS));
        group.bench_function(population.name(), |b| {
            b.iter(|| (0..TYPISTS).map(|number| Typist::draw(&population, SEED, number)).collect::<Vec<_>>());
        });
    }
    group.finish();
}

/// Sessions of people already drawn; throughput in presses.
fn perform(c: &mut Criterion<CpuTime>) {
    let task = TypingTask::new();
    let mut group = c.benchmark_group("perform");
    for population in populations() {
        let typists: Vec<Typist> = (0..TYPISTS).map(|number| Typist::draw(&population, SEED, number)).collect();
        for keys in KEYS {
            let all = || typists.iter().map(|typist| task.typed_by(typist, keys)).collect::<Vec<Session>>();
            group.throughput(Throughput::Elements(presses(&all())));
            // Their memory is given back outside of the measured time.
            group.bench_function(BenchmarkId::new(population.name(), keys), |b| b.iter_with_large_drop(all));
        }
    }
    group.finish();
}

/// What clocks make of sessions; throughput in presses.
fn clock(c: &mut Criterion<CpuTime>) {
    let task = TypingTask::new();
    let population = Population::volunteers();
    let sessions: Vec<Session> = (0..TYPISTS).map(|number| task.perform(&population, number, KEYS[0])).collect();
    let mut group = c.benchmark_group("clock");
    // The exact clock changes nothing.
    for preset in CLOCKS.iter().filter(|preset| preset.clock != Clock::EXACT) {
        group.throughput(Throughput::Elements(presses(&sessions)));
        group.bench_function(preset.name, |b| {
            let show = |sessions: &mut Vec<Session>| {
                for (number, session) in sessions.iter_mut().enumerate() {
                    preset.clock.show(session, number as u64, SessionAddress { seed: SEED, replicate: 0 });
                }
            };
            b.iter_batched_ref(|| sessions.clone(), show, BatchSize::LargeInput);
        });
    }
    group.finish();
}

criterion_group! { name = benches; config = measure::short(); targets = draw, perform, clock }
criterion_main!(benches);
