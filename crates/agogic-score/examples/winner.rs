//! Writes `WINNER.md`: is the figure of the setting that a study advises honest, though it was chosen on it?
//!
//! `cargo run --release -p agogic-score --example winner`

#[path = "../../../tests/shared/typing_task.rs"]
mod typing_task;

use std::fmt::Write;
use std::path::Path;

use agogic_keys::{Purpose, Span, stream};
use agogic_policy::{Guards, Setting};
use agogic_score::{CostTable, Emulator, SessionJudge, Transcript};
use agogic_stats::{
    Clusters, Estimate, Interval, Level, StudentT, Trials, clopper_pearson, least_ratio, moved_by, ratio,
    winners_optimism,
};
use agogic_typist::{Clock, Population, SessionAddress};
use rand::RngExt;
use typing_task::{SEED, TypingTask};

const POOL: u64 = 12_000;
const KEYS: usize = 800;
const STUDIES: u64 = 4000;
const TYPISTS: [usize; 3] = [40, 100, 300];

/// Figures of a setting: wrong keys over words, false holds over taps, missed holds over holds, delay over taps.
const FIGURES: [(&str, &str, f64); 4] = [
    ("wrong keys", "per 1000 words", 1000.0),
    ("false holds", "per 1000 taps", 1000.0),
    ("missed holds", "per 100 holds", 100.0),
    ("tap delay", "ms", 1e-3),
];

fn settings() -> Vec<Setting> {
    let ms = |value: f64| Some(Span::from_ms(value));
    let none = Guards::default();
    let lull = Guards { lull: ms(150.0), ..none };
    let floor = |value: f64| Guards { dwell_floor: ms(value), ..none };
    let other = Guards { other_hand: true, ..none };
    let rule = |name: &str, values: &[(&str, f64)], guards: Guards| {
        Setting::rule(name, values).expect("a rule of the registry").with_guards(guards)
    };
    let mut all = vec![
        rule("dwell-cutoff", &[("cutoff_ms", 200.0)], none),
        rule("dwell-cutoff", &[("cutoff_ms", 250.0)], none),
        rule("first-contact", &[], lull),
        rule("enclosed", &[], none),
        rule("enclosed", &[], lull),
        rule("enclosed", &[], other),
        rule("enclosed", &[], floor(100.0)),
        rule("overlap-share", &[("share", 0.6)], Guards { other_hand: true, ..lull }),
    ];
    for share in [0.7, 0.8, 0.9] {
        all.push(rule("overlap-share", &[("share", share)], none));
        all.push(rule("overlap-share", &[("share", share)], floor(80.0)));
    }
    for span in [60.0, 80.0, 100.0] {
        all.push(rule("overlap-span", &[("span_ms", span)], none));
        all.push(rule("overlap-span", &[("span_ms", span)], lull));
    }
    all
}

/// Figure by setting by typist.
type Pool = Vec<Vec<Vec<(f64, f64)>>>;

fn pool(settings: &[Setting]) -> Pool {
    let task = TypingTask::new();
    let emulator = Emulator::new(task.performer.assignment());
    let (population, clock, costs) = (Population::volunteers(), Clock::default(), CostTable::default());
    let mut judge = SessionJudge::new();
    let mut pool: Pool = vec![vec![Vec::new(); settings.len()]; FIGURES.len()];
    for number in 0..POOL {
        let mut session = task.perform(&population, number, KEYS);
        clock.show(&mut session, number, SessionAddress { seed: SEED, replicate: 0 });
        let transcript = Transcript::new(&emulator, &session.presses, &session.truths, session.words);
        judge.judge(
            &transcript,
            |code| task.hand(code),
            settings,
            &costs,
            |at, score, _| {
                let c = &score.counts;
                let taps = c.taps as f64;
                pool[0][at].push((c.wrong_keys() as f64, c.words as f64));
                pool[1][at].push((c.false_holds as f64, taps));
                pool[2][at].push((c.missed_holds as f64, c.holds as f64));
                pool[3][at].push((c.tap_delay_us as f64, taps));
            },
        );
    }
    pool
}

fn clusters(rows: &[(f64, f64)], drawn: impl Iterator<Item = usize>) -> Clusters {
    Clusters::ratio("typist", drawn.map(|at| rows[at])).expect("counts")
}

/// A ratio with a t interval on its logarithm, which suits rates whose spread goes with their size.
fn on_log_scale(clusters: &Clusters) -> Estimate {
    let plain = ratio(clusters, Level::P95);
    let (Some(value), Some(error)) = (plain.value, plain.mcse) else { return plain };
    let t = StudentT::new(plain.n as f64 - 1.0).expect("two typists or more").critical(Level::P95);
    let factor = (t * error / value).exp();
    plain.with_interval(Interval { lo: value / factor, hi: value * factor })
}

/// Over studies: error and its square, and misses below and above, of plain and moved figures.
#[derive(Clone, Copy, Default)]
struct Tally {
    error: f64,
    square: f64,
    below: u64,
    above: u64,
}

impl Tally {
    fn add(&mut self, estimate: &Estimate, truth: f64) {
        let error = estimate.value.expect("presses of all kinds") - truth;
        self.error += error;
        self.square += error * error;
        let interval = estimate.interval().expect("typists who differ");
        self.below += u64::from(truth < interval.lo);
        self.above += u64::from(truth > interval.hi);
    }

    fn cells(&self, factor: f64) -> String {
        let n = STUDIES as f64;
        let bias = self.error / n;
        let error = ((self.square / n - bias * bias) / n).sqrt();
        let held = STUDIES - self.below - self.above;
        let exact = clopper_pearson(Trials::new(held, STUDIES).expect("a count"), Level::P95);
        format!(
            "{:+.2} ± {:.2} | {:.1} ({:.1}–{:.1}) | {:.1}, {:.1}",
            factor * bias,
            factor * error,
            100.0 * held as f64 / n,
            100.0 * exact.lo,
            100.0 * exact.hi,
            100.0 * self.below as f64 / n,
            100.0 * self.above as f64 / n
        )
    }
}

fn main() -> std::io::Result<()> {
    let settings = settings();
    let pool = pool(&settings);
    let everybody: Vec<Vec<f64>> = pool
        .iter()
        .map(|figure| {
            let truth = |rows: &Vec<(f64, f64)>| {
                let (y, x) = rows.iter().fold((0.0, 0.0), |(y, x), row| (y + row.0, x + row.1));
                y / x
            };
            figure.iter().map(truth).collect()
        })
        .collect();
    let mut out = format!(
        "# Figures of the best of several settings\n\nMade by `cargo run --release -p agogic-score --example winner`; do \
         not edit by hand.\n\n{STUDIES} studies of each size draw typists from {POOL} of `volunteers`, {KEYS} presses \
         each, with repetition; the truth is what all {POOL} show. Each study chooses among {} settings the one with the \
         fewest wrong keys and states its figures with 95 % t intervals of their logarithm. *Plain* takes them from the typists that \
         chose it. *Moved* adds what the settings chosen on nine tenths of the typists lose on the tenth that had no say, \
         and stretches the interval by as much on that side. *Fixed* is a setting nobody chose, that wins most often: what an interval of this kind does without any choice. \
         Bias with its standard error, coverage with its exact interval, and percent of studies whose interval lay \
         above and below the truth.\n",
        settings.len()
    );
    let mut winners = String::new();
    for n in TYPISTS {
        let mut tallies = [[Tally::default(); 3]; FIGURES.len()];
        let mut won = vec![0_u64; settings.len()];
        let fixed = (0..settings.len()).min_by(|a, b| everybody[0][*a].total_cmp(&everybody[0][*b])).expect("settings");
        for study in 0..STUDIES {
            let mut rng = stream(SEED, Purpose::Resampling, n as u64, study);
            let drawn: Vec<usize> =
                (0..n).map(|_| ((rng.random::<f64>() * POOL as f64) as usize).min(POOL as usize - 1)).collect();
            let figures: Vec<Vec<Clusters>> = pool
                .iter()
                .map(|figure| figure.iter().map(|rows| clusters(rows, drawn.iter().copied())).collect())
                .collect();
            let best = least_ratio(&figures[0]).expect("words");
            won[best] += 1;
            let sets: Vec<&[Clusters]> = figures.iter().map(Vec::as_slice).collect();
            let moves = winners_optimism(&figures[0], &sets, &mut rng).expect("the same typists");
            for (at, tally) in tallies.iter_mut().enumerate() {
                let plain = on_log_scale(&figures[at][best]);
                let most = if matches!(at, 1 | 2) { 1.0 } else { f64::INFINITY };
                tally[0].add(&plain, everybody[at][best]);
                tally[1].add(&moved_by(plain, moves[at], most), everybody[at][best]);
                tally[2].add(&on_log_scale(&figures[at][fixed]), everybody[at][fixed]);
            }
        }
        let _ =
            writeln!(out, "\n## {n} typists\n\n| figure | | bias | coverage | above, below |\n|---|---|--:|---|---|");
        for ((name, unit, factor), tally) in FIGURES.iter().zip(&tallies) {
            for (kind, tally) in ["plain", "moved", "fixed"].iter().zip(tally) {
                let _ = writeln!(out, "| {name}, {unit} | {kind} | {} |", tally.cells(*factor));
            }
        }
        let mut order: Vec<usize> = (0..settings.len()).collect();
        order.sort_by(|a, b| won[*b].cmp(&won[*a]).then(a.cmp(b)));
        let shares: Vec<String> = order
            .iter()
            .take(4)
            .map(|at| format!("`{}` {:.0} %", settings[*at].label(), 100.0 * won[*at] as f64 / STUDIES as f64))
            .collect();
        let _ = writeln!(winners, "- {n} typists: {}", shares.join(", "));
    }
    let _ = writeln!(out, "\n## Who won\n\n{winners}");
    std::fs::write(Path::new(env!("CARGO_MANIFEST_DIR")).join("WINNER.md"), out)
}
