//! Encounters and rules: `cargo bench -p agogic-policy`.

#[path = "../../../tests/shared/measure.rs"]
mod measure;
#[path = "../../../tests/shared/typing_task.rs"]
mod typing_task;

use std::hint::black_box;
use std::sync::Arc;

use agogic_keys::{Press, Span};
use agogic_policy::{
    CriticalValues, Encounter, EncounterScan, Encounters, EvidenceCounts, EvidenceTables, GridCurve, Guards, KeySample,
    RULES, Setting,
};
use agogic_typist::Session;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use measure::CpuTime;
use typing_task::{TypingTask, presses};

/// Sessions of the first volunteers, and presses of each.
const SESSIONS: (u64, usize) = (8, 2000);
const GRID: u16 = 1000;

/// Sessions, their encounters, and tables trained on them.
struct Fixture {
    task: TypingTask,
    sessions: Vec<Session>,
    encounters: Vec<Encounters>,
    tables: Arc<EvidenceTables>,
}

impl Fixture {
    fn new() -> Self {
        let task = TypingTask::new();
        let sessions = task.sessions(SESSIONS.0, SESSIONS.1);
        let fill = |session: &Session| {
            let mut encounters = Encounters::new();
            encounters.fill(&session.presses, 0, |code| task.is_dual(code), |code| task.hand(code));
            encounters
        };
        let encounters: Vec<Encounters> = sessions.iter().map(fill).collect();
        let tables = Arc::new(train(&sessions, &encounters));
        Self { task, sessions, encounters, tables }
    }

    /// Presses of dual-role keys.
    fn dual(&self) -> Throughput {
        Throughput::Elements(self.encounters.iter().map(|encounters| encounters.len() as u64).sum())
    }

    /// A rule with its defaults.
    fn setting(&self, rule: &str) -> Setting {
        Setting::trained(rule, &[], &self.tables).expect("defaults are accepted")
    }

    fn each_press(&self, mut visit: impl FnMut(&[Press])) {
        self.sessions.iter().for_each(|session| visit(&session.presses));
    }

    /// Times the decisions of a setting on all sessions.
    fn decide(&self, c: &mut Criterion<CpuTime>, group: &str, name: &str, setting: &Setting) {
        let mut group = c.benchmark_group(group);
        group.throughput(self.dual());
        let mut decisions = Vec::new();
        group.bench_function(name, |b| {
            b.iter(|| {
                for encounters in &self.encounters {
                    setting.decide_all(encounters, &mut decisions);
                    black_box(&decisions);
                }
            });
        });
        group.finish();
    }
}

fn train(sessions: &[Session], encounters: &[Encounters]) -> EvidenceTables {
    let (mut counts, mut keys) = (EvidenceCounts::new(), KeySample::new());
    for (session, encounters) in sessions.iter().zip(encounters) {
        for (press, encounter) in encounters.presses().zip(encounters.iter()) {
            counts.add(&encounter, session.truths[press].hold);
            keys.add(&encounter, session.truths[press].hold);
        }
    }
    let tables = counts.tables().expect("there are taps and holds");
    let keyed = keys.tables(1.0, &tables, true).expect("there are taps and holds");
    tables.with_keys(keyed)
}

/// The scan of a session; throughput in presses of any key. `fill` keeps what `each` shows.
fn scan(c: &mut Criterion<CpuTime>) {
    let fixture = Fixture::new();
    let task = &fixture.task;
    let mut group = c.benchmark_group("scan");
    group.throughput(Throughput::Elements(presses(&fixture.sessions)));
    let mut scan = EncounterScan::new();
    group.bench_function("each", |b| {
        b.iter(|| {
            let mut contacts = 0;
            fixture.each_press(|presses| {
                let count = |_, encounter: &Encounter<'_>| contacts += encounter.contacts().count();
                scan.each(presses, |code| task.is_dual(code), |code| task.hand(code), count);
            });
            contacts
        });
    });
    let mut encounters = Encounters::new();
    group.bench_function("fill", |b| {
        b.iter(|| {
            fixture.each_press(|presses| {
                encounters.fill(presses, 0, |code| task.is_dual(code), |code| task.hand(code));
                black_box(&encounters);
            });
        });
    });
    group.finish();
}

/// Every rule of the registry, without guards and with all of them; throughput in dual-role presses.
fn rules(c: &mut Criterion<CpuTime>) {
    let fixture = Fixture::new();
    let none = Guards::default;
    let all = Guards {
        retap: Some(Span(50_000)),
        lull: Some(Span(60_000)),
        dwell_floor: Some(Span(80_000)),
        other_hand: true,
        bare_hold: Some(Span(500_000)),
    };
    for entry in RULES {
        fixture.decide(c, "decide", entry.name, &fixture.setting(entry.name));
    }
    for entry in RULES {
        fixture.decide(c, "decide with all guards", entry.name, &fixture.setting(entry.name).with_guards(all));
    }
    // What a guard costs by itself, around the rule that looks at least.
    let alone = [
        ("retap", Guards { retap: all.retap, ..none() }),
        ("lull", Guards { lull: all.lull, ..none() }),
        ("dwell_floor", Guards { dwell_floor: all.dwell_floor, ..none() }),
        ("other_hand", Guards { other_hand: true, ..none() }),
        ("bare_hold", Guards { bare_hold: all.bare_hold, ..none() }),
    ];
    for (name, guards) in alone {
        fixture.decide(c, "first-contact with one guard", name, &fixture.setting("first-contact").with_guards(guards));
    }
}

/// A whole curve in one pass; throughput in dual-role presses, each at all values of the grid.
fn curves(c: &mut Criterion<CpuTime>) {
    let fixture = Fixture::new();
    let intents = |at: usize, press: usize| fixture.sessions[at].truths[press].hold;
    let mut group = c.benchmark_group("curve");
    group.throughput(fixture.dual());
    for entry in RULES {
        let setting = fixture.setting(entry.name);
        // Memory has no curve.
        for param in entry.params.iter().filter(|param| param.unit != "byte") {
            let (from, to) = (param.min, param.max.min(800.0));
            let value = |i| from + (to - from) * f64::from(i) / f64::from(GRID - 1);
            let mut curve =
                GridCurve::new(&setting, param.name, &(0..GRID).map(value).collect::<Vec<_>>()).expect("it rises");
            group.bench_function(format!("{} {}/{GRID}", entry.name, param.name), |b| {
                b.iter(|| {
                    for (at, encounters) in fixture.encounters.iter().enumerate() {
                        for (press, encounter) in encounters.presses().zip(encounters.iter()) {
                            curve.add(&setting, &encounter, intents(at, press));
                        }
                    }
                });
            });
            let mut critical = CriticalValues::new();
            group.bench_function(format!("{} {}/every value", entry.name, param.name), |b| {
                b.iter(|| {
                    critical.clear();
                    for (at, encounters) in fixture.encounters.iter().enumerate() {
                        for (press, encounter) in encounters.presses().zip(encounters.iter()) {
                            if let Some(value) = setting.critical_value(param.name, &encounter) {
                                critical.add(value, intents(at, press));
                            }
                        }
                    }
                    critical.curve()
                });
            });
        }
    }
    group.finish();
}

/// Training of the rules that learn; throughput in dual-role presses.
fn training(c: &mut Criterion<CpuTime>) {
    let fixture = Fixture::new();
    let mut group = c.benchmark_group("train");
    group.throughput(fixture.dual());
    group.bench_function("tables", |b| b.iter(|| train(&fixture.sessions, &fixture.encounters)));
    group.finish();
}

criterion_group! { name = benches; config = measure::short(); targets = scan, rules, curves, training }
criterion_main!(benches);
