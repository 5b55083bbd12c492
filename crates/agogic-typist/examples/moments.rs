//! Prints the moments of a simulated population beside each other: a look at the model while changing it.
use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
use agogic_typist::{Performer, Population, Typist, observe};

fn main() {
    let board = Board::row_staggered();
    let assignment = Assignment::resting(&board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
    let text = include_str!("../../../data-synthetic/texts/tide-station.txt");
    let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
    let performer = Performer::new(&board, &assignment);
    let population = Population::volunteers();
    let mut rows = Vec::new();
    for n in 0..3000 {
        let typist = Typist::draw(&population, 1, n);
        let session = performer.perform(&typist, &plan, &Workload::none(), 1, 0, 800);
        rows.push((typist, observe(&session, performer.movement())));
    }
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
