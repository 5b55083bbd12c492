//! Scores by stages, and the draw that they are measured by: `cargo bench -p agogic-score`.

#[path = "../../../tests/shared/measure.rs"]
mod measure;
mod support;
#[path = "../../../tests/shared/typing_task.rs"]
mod typing_task;

use std::hint::black_box;

use agogic_keys::{Purpose, stream};
use agogic_policy::{Encounters, Setting};
use agogic_score::{
    CostTable, Decided, Emulator, Kinds, Produced, Scorer, ScorerStream, SessionJudge, TextError, Transcript, harm,
    tally,
};
use agogic_typist::Session;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use measure::CpuTime;
use rand_distr::{Distribution, LogNormal};
use support::eight;
use typing_task::{SEED, TypingTask, presses};

/// Sessions of the first volunteers, and presses of each: of middling length for one stage alone, short ones as in the
/// largest published study, and long ones, whose texts take longer to compare.
const SESSIONS: (u64, usize) = (8, 2000);
const SHAPES: [(u64, usize); 2] = [(16, 800), (2, 15_000)];
const DRAWS: u64 = 10_000;

struct Fixture {
    task: TypingTask,
    emulator: Emulator,
    sessions: Vec<Session>,
    costs: CostTable,
}

impl Fixture {
    fn new((typists, keys): (u64, usize)) -> Self {
        let task = TypingTask::new();
        let emulator = Emulator::new(task.performer.assignment());
        let sessions = task.sessions(typists, keys);
        Self { task, emulator, sessions, costs: CostTable::default() }
    }

    fn transcript<'a>(&'a self, session: &'a Session) -> Transcript<'a> {
        Transcript::new(&self.emulator, &session.presses, &session.truths, session.words)
    }

    /// What a setting decides in a session.
    fn decided(&self, session: &Session, setting: &Setting) -> Vec<Decided> {
        let mut encounters = Encounters::new();
        encounters.fill(&session.presses, 0, |code| self.task.is_dual(code), |code| self.task.hand(code));
        let decided = |(press, encounter)| Decided { press, decision: setting.decide(&encounter) };
        encounters.presses().zip(encounters.iter()).map(decided).collect()
    }

    /// Each session with what a setting decides in it, and how many decisions there are.
    fn all_decided(&self, setting: &Setting) -> (Vec<(&Session, Vec<Decided>)>, u64) {
        let all: Vec<_> = self.sessions.iter().map(|session| (session, self.decided(session, setting))).collect();
        let decisions = all.iter().map(|(_, decided)| decided.len() as u64).sum();
        (all, decisions)
    }

    fn judge(&self, judge: &mut SessionJudge, transcripts: &[Transcript<'_>], settings: &[Setting]) {
        for transcript in transcripts {
            let hand = |code| self.task.hand(code);
            judge.judge(transcript, hand, settings, &self.costs, |_, score, _| _ = black_box(score));
        }
    }
}

/// What a session is judged against and what the host makes of it; throughput in presses of any key.
fn session(c: &mut Criterion<CpuTime>) {
    let fixture = Fixture::new(SESSIONS);
    let Fixture { emulator, sessions, .. } = &fixture;
    let [.., setting, _] = eight();
    let (all, _) = fixture.all_decided(&setting);
    let mut group = c.benchmark_group("session");
    group.throughput(Throughput::Elements(presses(sessions)));
    group.bench_function("transcript", |b| {
        b.iter(|| sessions.iter().for_each(|session| _ = black_box(fixture.transcript(session))));
    });
    group.bench_function("what the host receives", |b| {
        b.iter(|| {
            let mut keys = 0;
            all.iter().for_each(|(session, decided)| emulator.each(&session.presses, decided, |_| keys += 1));
            keys
        });
    });
    let texts = || all.iter().map(|(session, decided)| Produced::of(emulator, &session.presses, decided));
    group.bench_function("produced text", |b| b.iter(|| texts().for_each(|produced| _ = black_box(produced))));
    let produced: Vec<Produced> = texts().collect();
    let meant: Vec<Produced> =
        sessions.iter().map(|session| Produced::meant(&session.presses, &session.truths)).collect();
    group.bench_function("text error, whole texts", |b| {
        let pairs = || meant.iter().zip(&produced);
        b.iter(|| pairs().for_each(|(meant, produced)| _ = black_box(TextError::of(&meant.text, produced))));
    });
    group.bench_function("counts, as they are to be read", |b| {
        b.iter(|| {
            for (session, decided) in &all {
                black_box(tally(emulator, &session.presses, &session.truths, decided, session.words));
            }
        });
    });
    let mut scorer = Scorer::new();
    group.bench_function("transcript and counts", |b| {
        b.iter(|| {
            for (session, decided) in &all {
                black_box(scorer.score(emulator, &session.presses, &session.truths, decided, session.words));
            }
        });
    });
    group.finish();
}

/// Counts, harm and text error in one pass over stored decisions; throughput in dual-role presses.
fn one_pass(c: &mut Criterion<CpuTime>) {
    let fixture = Fixture::new(SESSIONS);
    let transcripts: Vec<_> = fixture.sessions.iter().map(|session| fixture.transcript(session)).collect();
    let mut group = c.benchmark_group("score");
    let mut stream = ScorerStream::new();
    for setting in eight() {
        let (all, decisions) = fixture.all_decided(&setting);
        group.throughput(Throughput::Elements(decisions));
        group.bench_function(setting.label(), |b| {
            b.iter(|| {
                for (transcript, (_, decided)) in transcripts.iter().zip(&all) {
                    stream.begin(transcript);
                    decided.iter().for_each(|own| stream.decide(transcript, own.press, own.decision));
                    black_box(stream.finish(transcript, &fixture.costs));
                }
            });
        });
    }
    group.finish();
    let [first, ..] = eight();
    let (all, _) = fixture.all_decided(&first);
    let of = |(session, decided): &(&Session, Vec<Decided>)| {
        Kinds::of(&fixture.emulator, &session.presses, &session.truths, decided)
    };
    let kinds: Vec<Kinds> = all.iter().map(of).collect();
    let mut group = c.benchmark_group("harm");
    group.throughput(Throughput::Elements(kinds.len() as u64));
    group.bench_function("of a session", |b| {
        b.iter(|| kinds.iter().for_each(|kinds| _ = black_box(harm(&fixture.costs, kinds))));
    });
    group.finish();
}

/// Scan, decisions and scores of one and of eight settings; throughput in presses of any key.
fn judge_settings(c: &mut Criterion<CpuTime>) {
    let settings = eight();
    let mut judge = SessionJudge::new();
    let mut group = c.benchmark_group("judge");
    for shape in SHAPES {
        let fixture = Fixture::new(shape);
        let transcripts: Vec<_> = fixture.sessions.iter().map(|session| fixture.transcript(session)).collect();
        group.throughput(Throughput::Elements(presses(&fixture.sessions)));
        for some in [&settings[..1], &settings[..]] {
            group.bench_function(format!("settings: {}/{}", some.len(), shape.1), |b| {
                b.iter(|| fixture.judge(&mut judge, &transcripts, some));
            });
        }
    }
    group.finish();
}

/// The unit of the targets: a log-normal variate.
fn yardstick(c: &mut Criterion<CpuTime>) {
    let law = LogNormal::new(5.0, 0.4).expect("finite");
    let mut group = c.benchmark_group("yardstick");
    group.throughput(Throughput::Elements(DRAWS));
    group.bench_function("log-normal variate of rand_distr", |b| {
        let mut rng = stream(SEED, Purpose::Timing, 0, 0);
        b.iter(|| (0..DRAWS).map(|_| law.sample(&mut rng)).sum::<f64>());
    });
    group.finish();
}

criterion_group! { name = benches; config = measure::short(); targets = session, one_pass, judge_settings, yardstick }
criterion_main!(benches);
