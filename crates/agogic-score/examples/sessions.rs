//! What the length of sessions does to rates, and to shares of typists within a limit. Prints `SESSIONS.md`:
//!
//! ```text
//! cargo run --release -p agogic-score --example sessions > crates/agogic-score/SESSIONS.md
//! ```
//!
//! `sessions TYPISTS STUDIES` changes the size.

#[path = "../../../tests/shared/typing_task.rs"]
mod typing_task;

use agogic_keys::{Board, Purpose, TextPlan, Unsupported, stream};
use agogic_policy::Setting;
use agogic_score::{CostTable, Counts, Emulator, SessionJudge, Transcript};
use agogic_stats::{Clusters, Level, RateDistribution, paired_difference, quantile, ratio, share_at_most};
use agogic_typist::{Clock, Population, SessionAddress, Typist};
use rand::RngExt;
use rand_distr::{Binomial, Distribution};
use typing_task::{SEED, TypingTask};

const TEXTS: [&str; 6] = [
    include_str!("../../../data-synthetic/texts/tide-station.txt"),
    include_str!("../../../data-synthetic/texts/seed-library.txt"),
    include_str!("../../../data-synthetic/texts/night-ferry.txt"),
    include_str!("../../../data-synthetic/texts/bread-class.txt"),
    include_str!("../../../data-synthetic/texts/parish-minutes.txt"),
    include_str!("../../../data-synthetic/texts/lost-parcel.txt"),
];

/// Presses of a session; the last stands for the long run.
const KEYS: [usize; 3] = [500, 2000, 15_000];

/// Typists of a study whose intervals are tried.
const STUDIES_OF: [usize; 4] = [40, 100, 300, 1000];

/// A rate of which typists have shares within limits: its name, its counts, and limits.
type Rate = (&'static str, fn(&Counts) -> (u64, u64), [f64; 3]);

const RATES: [Rate; 2] = [
    ("false holds per tap", |c| (c.false_holds, c.taps), [0.005, 0.01, 0.02]),
    ("missed holds per hold", |c| (c.missed_holds, c.holds), [0.02, 0.05, 0.1]),
];

/// Numerator and denominator of a typist, from the counts and the presses meant as holds.
type Parts<'a> = &'a dyn Fn(&(Counts, u64)) -> (f64, f64);

/// Counts of all typists: by length of session, setting and typist.
type Pool = Vec<Vec<Vec<(Counts, u64)>>>;

fn settings() -> Vec<Setting> {
    let rule =
        |name: &str, value: &[(&str, f64)]| Setting::rule(name, value).expect("a rule with a value in its range");
    vec![
        rule("dwell-cutoff", &[("cutoff_ms", 200.0)]),
        rule("dwell-cutoff", &[("cutoff_ms", 250.0)]),
        rule("enclosed", &[]),
        rule("overlap-share", &[("share", 0.8)]),
    ]
}

fn main() {
    let mut sizes = std::env::args().skip(1).map(|arg| arg.parse::<u64>().expect("a number"));
    let (typists, studies) = (sizes.next().unwrap_or(2000), sizes.next().unwrap_or(1000));
    let settings = settings();
    let labels: Vec<String> = settings.iter().map(Setting::label).collect();
    let pool = pool(&settings, typists);
    println!("# What the length of a session does\n");
    println!("Made by `cargo run --release -p agogic-score --example sessions`; do not edit by hand.\n");
    println!(
        "{typists} volunteers type sessions of {} presses of one of six texts each, seed {SEED}, 8 shortcuts per 1000 keys. \
         The shorter sessions are the beginnings of the longer.\n",
        KEYS.map(|keys| keys.to_string()).join(", ")
    );
    rates_by_length(&pool, &labels);
    shares_by_length(&pool, &labels);
    println!("## Do the intervals hold the truth?\n");
    println!(
        "True rates are those of the sessions of {} presses; each of {studies} studies draws typists from these and the \
         events of sessions of {} presses by chance. In percent: intervals of the share within the limit, and of the rate \
         that 50, 90 and 95 % of typists do not exceed, that hold the truth (Monte Carlo error at most {:.1}); a side \
         without a limit holds everything. Misses below and above are of the shares.\n",
        KEYS[2],
        KEYS[0],
        50.0 / (studies as f64).sqrt()
    );
    println!(
        "Where a limit is below one event in a session (all but the greatest limits here), the share rests on a smooth shape \
         of the distribution, and estimates say so.\n"
    );
    println!("| typists | rate | setting | limit | holds | truth below | truth above | bias | median | 90 % | 95 % |");
    println!("|--:|---|---|--:|--:|--:|--:|--:|--:|--:|--:|");
    for (which, rate) in RATES.iter().enumerate() {
        for (at, label) in labels.iter().enumerate() {
            for of in STUDIES_OF {
                coverage(&pool, which, rate, at, label, of, studies);
            }
        }
    }
}

/// Lets every typist type and judges the settings.
fn pool(settings: &[Setting], typists: u64) -> Pool {
    let (task, board) = (TypingTask::new(), Board::row_staggered());
    let assignment = task.performer.assignment();
    let planned = TEXTS.map(|text| TextPlan::new(text, &board, assignment, Unsupported::Refuse).expect("our own text"));
    let plan = TextPlan::several(planned).expect("six texts").cut_anywhere();
    let emulator = Emulator::new(assignment);
    let (mut judge, costs, people) = (SessionJudge::new(), CostTable::default(), Population::volunteers());
    let mut pool: Pool = vec![vec![Vec::new(); settings.len()]; KEYS.len()];
    for number in 0..typists {
        let typist = Typist::draw(&people, SEED, number);
        for (length, keys) in KEYS.into_iter().enumerate() {
            let mut session = task.performer.perform(
                &typist,
                &plan,
                &task.workload,
                SessionAddress { seed: SEED, replicate: 0 },
                keys,
            );
            Clock::default().show(&mut session, number, SessionAddress { seed: SEED, replicate: 0 });
            let holds = session.truths.iter().filter(|truth| truth.hold).count() as u64;
            let transcript = Transcript::new(&emulator, &session.presses, &session.truths, session.words);
            judge.judge(
                &transcript,
                |code| task.hand(code),
                settings,
                &costs,
                |at, score, _| {
                    pool[length][at].push((score.counts, holds));
                },
            );
        }
    }
    pool
}

fn rates_by_length(pool: &Pool, labels: &[String]) {
    println!("## Rates over all typists\n");
    println!(
        "Standard errors over typists, which the lengths share; the last column is the difference of the shortest from the \
         longest sessions, on the same typists, with its 95 % interval.\n"
    );
    println!("| what | {} | shortest − longest |", KEYS.map(|keys| format!("{keys} presses")).join(" | "));
    println!("|---|--:|--:|--:|--:|");
    let line = |what: &str, at: usize, of: Parts<'_>, scale: f64| {
        let all: Vec<Clusters> =
            pool.iter().map(|own| Clusters::ratio("typist", own[at].iter().map(of)).expect("counts")).collect();
        let cells: Vec<String> = all
            .iter()
            .map(|own| {
                let found = ratio(own, Level::P95);
                format!("{:.2} ({:.2})", scale * found.value.unwrap(), scale * found.mcse.unwrap())
            })
            .collect();
        let apart = paired_difference(&all[0], &all[KEYS.len() - 1], Level::P95).expect("the same typists");
        let [value, lo, hi] = [apart.value, apart.lo, apart.hi].map(|number| scale * number.unwrap());
        println!("| {what} | {} | {value:.2} ({lo:.2} to {hi:.2}) |", cells.join(" | "));
    };
    line("presses meant as holds, per 1000 presses", 0, &|(c, holds)| (*holds as f64, c.keys as f64), 1000.0);
    for (at, label) in labels.iter().enumerate() {
        let what = format!("`{label}`: wrong keys per 1000 words");
        line(&what, at, &|(c, _)| (c.wrong_keys() as f64, c.words as f64), 1000.0);
        let what = format!("`{label}`: false holds per 1000 taps");
        line(&what, at, &|(c, _)| (c.false_holds as f64, c.taps as f64), 1000.0);
        let what = format!("`{label}`: missed holds per 100 holds");
        line(&what, at, &|(c, _)| (c.missed_holds as f64, c.holds as f64), 100.0);
    }
    println!();
}

fn shares_by_length(pool: &Pool, labels: &[String]) {
    println!("## Shares of typists within a limit\n");
    println!(
        "Seen: the share of typists whose rate in the session is at most the limit. True: the noise of the session taken \
         out by `RateDistribution`, with 95 % intervals.\n"
    );
    let heads = KEYS.map(|keys| format!("seen, {keys} | true, {keys}"));
    println!("| rate | setting | limit | {} |", heads.join(" | "));
    println!("|---|---|--:|--:|--:|--:|--:|--:|--:|");
    for (what, counts, limits) in RATES {
        for (at, label) in labels.iter().enumerate() {
            for limit in limits {
                let cells = pool.iter().map(|own| {
                    let own = Clusters::counts("typist", own[at].iter().map(|(c, _)| counts(c))).expect("counts");
                    let pairs = own.numerators().iter().zip(own.denominators());
                    let seen: Vec<f64> = pairs.filter(|(_, n)| **n > 0.0).map(|(x, n)| x / n).collect();
                    let seen = share_at_most(&seen, limit, Level::P95, "typist").expect("rates");
                    let found = RateDistribution::fit(&own).map(|rates| rates.share_at_most(limit, Level::P95));
                    let percent = |value: Option<f64>| value.map_or("–".into(), |v| format!("{:.1}", 100.0 * v));
                    let cell = found.map_or("–".into(), |e| {
                        format!("{} ({} to {})", percent(e.value), percent(e.lo), percent(e.hi))
                    });
                    format!("{} | {cell}", percent(seen.value))
                });
                let cells: Vec<String> = cells.collect();
                println!("| {what} | `{label}` | {limit} | {} |", cells.join(" | "));
            }
        }
    }
    println!();
}

/// How often intervals of studies of `of` typists hold what is true of the pool.
fn coverage(pool: &Pool, which: usize, rate: &Rate, at: usize, label: &str, of: usize, studies: u64) {
    let (what, counts, limits) = rate;
    let long: Vec<(u64, u64)> = pool[KEYS.len() - 1][at].iter().map(|(c, _)| counts(c)).collect();
    let short: Vec<u64> = pool[0][at].iter().map(|(c, _)| counts(c).1).collect();
    let rates: Vec<f64> = long.iter().map(|(x, n)| *x as f64 / (*n).max(1) as f64).collect();
    let truth = limits.map(|limit| rates.iter().filter(|rate| **rate <= limit).count() as f64 / rates.len() as f64);
    let places = [0.5, 0.9, 0.95];
    let quantiles = places.map(|p| quantile(&rates, p).expect("rates"));
    let (mut held, mut below, mut above, mut bias) = ([0_u64; 3], [0_u64; 3], [0_u64; 3], [0.0; 3]);
    let mut held_quantiles = [0_u64; 3];
    for study in 0..studies {
        let mut rng = stream(SEED, Purpose::Design, (which * 100 + at) as u64, (of as u64) << 32 | study);
        let draw = |_| {
            let i = rng.random_range(0..rates.len());
            (Binomial::new(short[i], rates[i]).expect("a rate").sample(&mut rng), short[i])
        };
        let own = Clusters::counts("typist", (0..of).map(draw)).expect("counts");
        let Ok(fitted) = RateDistribution::fit(&own) else { continue };
        for k in 0..3 {
            let found = fitted.share_at_most(limits[k], Level::P95);
            let (Some(value), Some(interval)) = (found.value, found.interval()) else { continue };
            held[k] += u64::from(interval.contains(truth[k]));
            below[k] += u64::from(truth[k] < interval.lo);
            above[k] += u64::from(truth[k] > interval.hi);
            bias[k] += (value - truth[k]) / studies as f64;
            let found = fitted.quantile(places[k], Level::P95);
            let over = found.lo.is_none_or(|lo| lo <= quantiles[k]);
            held_quantiles[k] += u64::from(over && found.hi.is_none_or(|hi| quantiles[k] <= hi));
        }
    }
    let percent = |count: u64| format!("{:.1}", 100.0 * count as f64 / studies as f64);
    for k in 0..3 {
        let quantiles = if k == 0 { held_quantiles.map(percent).join(" | ") } else { "| | ".into() };
        println!(
            "| {of} | {what} | `{label}` | {} | {} | {} | {} | {:+.1} | {quantiles} |",
            limits[k],
            percent(held[k]),
            percent(below[k]),
            percent(above[k]),
            100.0 * bias[k]
        );
    }
}
