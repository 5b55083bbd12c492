//! Prints the moments of a simulated population beside each other: a look at the model while changing it.
//!
//! `--population NAME` takes another population. `--fit` sets the fitted traits of `trained` or `slow` so that
//! their published moments come out, and prints the values for `trained.rs` or `slow.rs`.
use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
use agogic_typist::{Observed, Performer, Population, SessionAddress, TRAITS, Trait, TraitSpread, Typist, observe};

/// A moment of the simulated people.
#[derive(Clone, Copy, Debug)]
enum Moment {
    Speed,
    SpeedSd,
    Interval,
    IntervalSd,
    /// Without intervals more than 2 SD from the person's mean, as Feit et al. 2016 treat them.
    TrimmedInterval,
    TrimmedIntervalSd,
    Dwell,
    DwellSd,
    Rollover,
    Corrections,
}

/// Which number of a trait is set to bring about which value of which moment.
#[derive(Clone, Copy)]
struct Aim {
    of: Trait,
    spread: bool,
    moment: Moment,
    value: f64,
    /// Change of the log of the number for a change of the log of the moment.
    gain: f64,
}

const fn aim(of: Trait, spread: bool, moment: Moment, value: f64, gain: f64) -> Aim {
    Aim { of, spread, moment, value, gain }
}

/// Published moments of touch typists; where each comes from is in the register.
const TRAINED: &[Aim] = &[
    aim(Trait::Interval, false, Moment::Speed, 57.8, -1.5),
    aim(Trait::Interval, true, Moment::TrimmedIntervalSd, 44.31, 1.0),
    aim(Trait::Dwell, false, Moment::Dwell, 114.0, 1.0),
    aim(Trait::Slips, false, Moment::Corrections, 0.058, 1.0),
];

/// Published moments of the slowest tenth of an online test; where each comes from is in the register.
const SLOW: &[Aim] = &[
    aim(Trait::Interval, false, Moment::Interval, 481.03, 1.2),
    aim(Trait::Interval, true, Moment::IntervalSd, 123.36, 1.0),
    aim(Trait::Dwell, false, Moment::Dwell, 128.99, 1.0),
    aim(Trait::Slips, false, Moment::Corrections, 0.0905, 1.0),
];

/// Published moments left to come out as they may.
const TRAINED_NOT_FITTED: &[(Moment, f64)] =
    &[(Moment::SpeedSd, 15.0), (Moment::TrimmedInterval, 176.39), (Moment::Rollover, 0.29)];
const SLOW_NOT_FITTED: &[(Moment, f64)] =
    &[(Moment::Speed, 20.91), (Moment::SpeedSd, 4.05), (Moment::DwellSd, 23.88), (Moment::Rollover, 0.076)];

/// Rounds of the fit: each moment moves by its gain, so that few suffice.
const ROUNDS: usize = 25;

type People = Vec<(Typist, Observed)>;

fn people(population: &Population, number: u64) -> People {
    let board = Board::row_staggered();
    let assignment = Assignment::resting(&board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
    let text = include_str!("../../../data-synthetic/texts/tide-station.txt");
    let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
    let performer = Performer::new(&board, &assignment);
    let one = |n| {
        let typist = Typist::draw(population, 1, n);
        let session =
            performer.perform(&typist, &plan, &Workload::none(), SessionAddress { seed: 1, replicate: 0 }, 800);
        (typist, observe(&session, performer.movement()))
    };
    (0..number).map(one).collect()
}

fn mean_sd(values: &[f64]) -> (f64, f64) {
    let m = values.iter().sum::<f64>() / values.len() as f64;
    (m, (values.iter().map(|x| (x - m).powi(2)).sum::<f64>() / values.len() as f64).sqrt())
}

fn trimmed(seen: &Observed) -> Option<f64> {
    let (mean, sd) = (seen.interval_ms?, seen.interval_sd_ms?);
    let kept: Vec<f64> = seen.intervals.iter().copied().filter(|v| (v - mean).abs() <= 2.0 * sd).collect();
    Some(mean_sd(&kept).0)
}

fn moment(rows: &People, moment: Moment) -> f64 {
    let of = |f: &dyn Fn(&Observed) -> Option<f64>| mean_sd(&rows.iter().filter_map(|(_, o)| f(o)).collect::<Vec<_>>());
    match moment {
        Moment::Speed => of(&|o| o.words_per_minute).0,
        Moment::SpeedSd => of(&|o| o.words_per_minute).1,
        Moment::Interval => of(&|o| o.interval_ms).0,
        Moment::IntervalSd => of(&|o| o.interval_ms).1,
        Moment::TrimmedInterval => of(&trimmed).0,
        Moment::TrimmedIntervalSd => of(&trimmed).1,
        Moment::Dwell => of(&|o| o.dwell_ms).0,
        Moment::DwellSd => of(&|o| o.dwell_ms).1,
        Moment::Rollover => of(&|o| o.rolled_per_character).0,
        Moment::Corrections => of(&|o| o.corrections).0,
    }
}

fn fit(mut population: Population, aims: &[Aim]) -> Population {
    for _ in 0..ROUNDS {
        let rows = people(&population, 2000);
        for aim in aims {
            let step = (0.6 * aim.gain * (aim.value / moment(&rows, aim.moment)).ln()).clamp(-0.5, 0.5);
            let TraitSpread { median, spread } = population.spread_of(aim.of);
            let to = if aim.spread {
                TraitSpread { median, spread: spread * step.exp() }
            } else {
                TraitSpread { median: median * step.exp(), spread }
            };
            population = population.with_trait(aim.of, to).unwrap();
        }
    }
    println!("fitted; to be rounded and put in:");
    for aim in aims {
        let TraitSpread { median, spread } = population.spread_of(aim.of);
        let (what, value) = if aim.spread { ("spread", spread) } else { ("median", median) };
        println!("  {}.{what} = {value:.4}", TRAITS[aim.of as usize].name);
    }
    population
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let named = arguments.iter().position(|a| a == "--population").and_then(|at| arguments.get(at + 1));
    let name = named.map_or("volunteers", String::as_str);
    let mut population = Population::by_name(name).expect("a built-in population");
    let (aims, others): (&[Aim], &[(Moment, f64)]) = match name {
        "trained" => (TRAINED, TRAINED_NOT_FITTED),
        "slow" => (SLOW, SLOW_NOT_FITTED),
        _ => (&[], &[]),
    };
    if arguments.iter().any(|a| a == "--fit") {
        population = fit(population, aims);
    }
    let rows = people(&population, 3000);
    let line = |kind: &str, m: Moment, published: f64| {
        let name = format!("{m:?}");
        println!("{kind:10} {name:18} published {published:8.3} simulated {:8.3}", moment(&rows, m));
    };
    aims.iter().for_each(|aim| line("fitted", aim.moment, aim.value));
    others.iter().for_each(|&(m, value)| line("not fitted", m, value));
    print(rows);
}

fn print(mut rows: People) {
    let show = |name: &str, f: &dyn Fn(&agogic_typist::Observed) -> Option<f64>| {
        let v: Vec<f64> = rows.iter().filter_map(|(_, o)| f(o)).collect();
        let m = v.iter().sum::<f64>() / v.len() as f64;
        let sd = (v.iter().map(|x| (x - m).powi(2)).sum::<f64>() / v.len() as f64).sqrt();
        println!("{name:28} mean {m:9.3} sd {sd:9.3}");
    };
    show("interval", &|o| o.interval_ms);
    show("interval within sd", &|o| o.interval_sd_ms);
    show("log sd", &|o| o.interval_log_sd);
    show("lag1", &|o| o.interval_lag1);
    show("dwell", &|o| o.dwell_ms);
    show("dwell within sd", &|o| o.dwell_sd_ms);
    show("rollover", &|o| o.rollover);
    show("overlap", &|o| o.overlap_ms);
    show("kspc", &|o| o.keystrokes_per_character);
    show("corrections", &|o| o.corrections);
    show("uncorrected", &|o| o.uncorrected);
    show("wpm", &|o| o.words_per_minute);
    for (k, name) in ["other", "inward", "outward", "same finger", "repeat", "thumb"].iter().enumerate() {
        show(name, &|o| o.class_ms[k]);
    }
    show("left", &|o| o.left_ms);
    show("right", &|o| o.right_ms);
    for k in 0..8 {
        show(&format!("place {}", k + 1), &|o| o.place_ms[k]);
    }
    let pair = |f: &dyn Fn(&agogic_typist::Observed) -> f64, g: &dyn Fn(&agogic_typist::Observed) -> f64| {
        let a: Vec<f64> = rows.iter().map(|(_, o)| f(o)).collect();
        let b: Vec<f64> = rows.iter().map(|(_, o)| g(o)).collect();
        let (ma, mb) = (a.iter().sum::<f64>() / a.len() as f64, b.iter().sum::<f64>() / b.len() as f64);
        let c: f64 = a.iter().zip(&b).map(|(x, y)| (x - ma) * (y - mb)).sum();
        let (va, vb): (f64, f64) = (a.iter().map(|x| (x - ma).powi(2)).sum(), b.iter().map(|x| (x - mb).powi(2)).sum());
        c / (va * vb).sqrt()
    };
    let wpm = |o: &agogic_typist::Observed| o.words_per_minute.unwrap();
    println!("r wpm rollover {:.3}", pair(&wpm, &|o| o.rollover.unwrap()));
    println!("r wpm dwell {:.3}", pair(&wpm, &|o| o.dwell_ms.unwrap()));
    println!("r wpm interval {:.3}", pair(&wpm, &|o| o.interval_ms.unwrap()));
    println!("r dwell rollover {:.3}", pair(&|o| o.dwell_ms.unwrap(), &|o| o.rollover.unwrap()));
    rows.sort_by(|a, b| wpm(&a.1).total_cmp(&wpm(&b.1)));
    for (name, part) in [("slow", &rows[..300]), ("fast", &rows[2700..])] {
        let m = |f: &dyn Fn(&agogic_typist::Observed) -> Option<f64>| {
            part.iter().filter_map(|(_, o)| f(o)).sum::<f64>() / part.len() as f64
        };
        println!(
            "{name}: interval {:.1} rollover {:.3} dwell {:.1} wpm {:.1} other {:.1} inward {:.1} repeat {:.1}",
            m(&|o| o.interval_ms),
            m(&|o| o.rollover),
            m(&|o| o.dwell_ms),
            m(&|o| o.words_per_minute),
            m(&|o| o.class_ms[0]),
            m(&|o| o.class_ms[1]),
            m(&|o| o.class_ms[4])
        );
    }
    let mut person: Vec<f64> = rows.iter().map(|(_, o)| o.interval_ms.unwrap()).collect();
    person.sort_by(f64::total_cmp);
    println!(
        "person interval p10 {:.1} p50 {:.1} p90 {:.1} p99 {:.1}",
        person[300], person[1500], person[2700], person[2970]
    );
    let mut all: Vec<f64> = rows.iter().flat_map(|(_, o)| o.intervals.iter().copied()).collect();
    all.sort_by(f64::total_cmp);
    let q = |v: &[f64], p: f64| v[(p * v.len() as f64) as usize];
    println!("key interval {:?}", [0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.99].map(|p| q(&all, p).round()));
    let mut all: Vec<f64> = rows.iter().flat_map(|(_, o)| o.dwells.iter().copied()).collect();
    all.sort_by(f64::total_cmp);
    println!("dwell {:?}", [0.1, 0.5, 0.9, 0.99].map(|p| q(&all, p).round()));
}
