//! Invented data for the gallery and the tests: no number here was measured.

use agogic_figures::*;

/// A number from 0 to 1 that looks random: the fractional part of a fast sine.
pub fn noise(n: usize) -> f64 {
    (((n as f64 + 1.0) * 12.9898).sin() * 43_758.545_3).rem_euclid(1.0)
}

fn note() -> IntervalNote {
    IntervalNote::new("linearised ratio, t", 0.95, "typist")
}

fn around(value: f64, reach: f64) -> Reading {
    Reading::with_interval(value, (value - reach).max(0.0), value + 1.2 * reach)
}

pub fn trade_off() -> TradeOff {
    let policies = [
        ("dwell-cutoff 150 ms", "dwell-cutoff", 118.0, 0.8, 148.0),
        ("dwell-cutoff 200 ms", "dwell-cutoff", 31.0, 2.9, 192.0),
        ("dwell-cutoff 250 ms", "dwell-cutoff", 9.2, 7.4, 228.0),
        ("first-contact", "first-contact", 214.0, 0.0, 71.0),
        ("first-contact + lull 150 ms", "first-contact", 22.0, 1.9, 64.0),
        ("enclosed", "enclosed", 12.5, 38.0, 118.0),
        ("enclosed + lull 150 ms", "enclosed", 2.1, 39.5, 104.0),
        ("overlap-share 80 %", "overlap", 24.0, 21.0, 126.0),
        ("overlap-share 100 %", "overlap", 12.4, 37.6, 119.0),
        ("overlap-span 60 ms", "overlap", 58.0, 6.1, 109.0),
        ("overlap-span 90 ms", "overlap", 21.0, 14.0, 131.0),
        ("evidence", "learned", 4.1, 2.6, 97.0),
        ("sequential-evidence", "learned", 3.4, 3.1, 83.0),
        ("personal dwell-cutoff", "learned", 6.8, 3.3, 201.0),
    ];
    let policy = |(name, family, x, y, delay): (&str, &str, f64, f64, f64)| TradeOffPolicy {
        name: name.into(),
        family: family.into(),
        look: ["dwell-cutoff", "first-contact", "enclosed", "overlap", "learned"]
            .iter()
            .position(|f| *f == family)
            .unwrap(),
        false_holds_per_1000_taps: around(x, 0.6 + 0.07 * x),
        missed_holds_per_100_holds: around(y, 0.2 + 0.06 * y),
        mean_delay_ms: Some(delay),
    };
    let floor = |label: &str, scale: f64| Floor {
        label: label.into(),
        points: (0..=60).map(|i| 0.05 * 1.16f64.powi(i)).map(|x| (x, scale / (0.4 + x).powf(0.75))).collect(),
    };
    let mut policies: Vec<TradeOffPolicy> = policies.into_iter().map(policy).collect();
    policies.push(TradeOffPolicy {
        name: "retap".into(),
        family: "dwell-cutoff".into(),
        look: 0,
        false_holds_per_1000_taps: Reading::unknown("no repeated key in this text"),
        missed_holds_per_100_holds: around(3.0, 0.5),
        mean_delay_ms: None,
    });
    TradeOff {
        title: "What each policy trades".into(),
        context: "Invented data: 400 typists of the population volunteers, 60 000 taps and 9 000 holds".into(),
        policies,
        floors: vec![floor("within 100 ms", 4.2), floor("within 200 ms", 2.2), floor("without a deadline", 1.1)],
        observer: Observer { sees: "times and hands".into(), typists: 100 },
        interval: note(),
        stretch: Stretch::Auto,
    }
}

pub fn forest() -> Forest {
    let row = |i: usize, (name, value): (&str, f64)| {
        let reach = 1.2 + 4.0 * noise(i);
        ForestRow::new(name, Reading::with_interval(value, value - reach, value + reach))
            .in_group(["volunteers", "trained", "slow"][i / 4])
            .with_simultaneous(value - 1.5 * reach, value + 1.5 * reach)
    };
    let rows = [
        ("enclosed", -18.2),
        ("overlap-share 80 %", -7.1),
        ("evidence", -26.4),
        ("first-contact + lull 150 ms", -9.0),
        ("enclosed", -12.0),
        ("overlap-share 80 %", -2.4),
        ("evidence", -19.9),
        ("first-contact + lull 150 ms", -4.2),
        ("enclosed", -4.3),
        ("overlap-share 80 %", 1.8),
        ("evidence", -9.7),
    ];
    let mut rows: Vec<ForestRow> = rows.into_iter().enumerate().map(|(i, r)| row(i, r)).collect();
    rows.push(ForestRow::new("personal dwell-cutoff", Reading::unknown("not fitted")).in_group("slow"));
    rows.push(ForestRow::new("overlap-span 60 ms", Reading::with_interval(12.0, 2.0, 44.0)).in_group("slow"));
    Forest {
        title: "False holds compared with dwell-cutoff 200 ms".into(),
        quantity: "difference in false holds".into(),
        unit: "per 1000 taps".into(),
        context: "Invented data: 400 typists of each population".into(),
        rows,
        signed: true,
        reference: Some(0.0),
        limits: Some((-35.0, 25.0)),
        interval: IntervalNote::new("paired, linearised, t", 0.95, "typist"),
        simultaneous: Some(IntervalNote::new("max-t bootstrap, 12 rows", 0.95, "typist")),
    }
}

pub fn literature(rows: usize) -> Literature {
    const NAMES: [&str; 9] = [
        "interval, mean",
        "dwell, median of the fastest tenth",
        "rollover share",
        "other hand minus same hand",
        "word start ÷ mid-word",
        "speed × rollover, r",
        "repeat interval",
        "backspace share",
        "lag-1 autocorrelation of intervals",
    ];
    let row = |i: usize| {
        let published = 20.0 + 230.0 * noise(i);
        let allowed = 0.04 * published + 3.0;
        let share = (noise(i + 1000) - 0.5) * if i % 17 == 5 { 9.0 } else { 2.2 };
        let simulated = published + share * allowed;
        let descriptive = i % 11 == 3;
        LiteratureRow {
            name: NAMES[i % NAMES.len()].into(),
            role: if i.is_multiple_of(3) { LiteratureRole::Calibration } else { LiteratureRole::HeldOut },
            published,
            simulated,
            mcse: Some(0.02 * allowed + 0.2 * allowed * noise(i + 77)),
            allowed: (!descriptive || i.is_multiple_of(2)).then_some(allowed),
            verdict: match (descriptive, share.abs() <= 1.0) {
                (true, _) => LiteratureVerdict::Descriptive("no spread in print".into()),
                (_, true) => LiteratureVerdict::Agrees,
                (_, false) => LiteratureVerdict::Misses,
            },
        }
    };
    let mut sources = Vec::new();
    let mut next = 0;
    while next < rows {
        let count = (3 + (noise(next) * 14.0) as usize).min(rows - next);
        let name = format!("Author {} & Colleague {}", (b'A' + sources.len() as u8 % 26) as char, 1979 + next % 44);
        sources.push(LiteratureSource { name, rows: (next..next + count).map(row).collect() });
        next += count;
    }
    Literature {
        title: "The model against published values".into(),
        context: "Invented data: population volunteers, 2000 typists".into(),
        rule: "A row allows 3 standard errors of print and simulation together, or its stated margin".into(),
        sources,
    }
}

pub fn typists() -> Typists {
    let policy = |(n, (name, scale, none)): (usize, (&str, f64, f64))| TypistRates {
        name: name.into(),
        look: n,
        rates: (0..400)
            .map(|i| {
                let u = noise(i * 7 + n * 911);
                if u < none { 0.0 } else { (scale * ((u - none) / (1.001 - u)).powf(0.7)).min(1000.0) }
            })
            .collect(),
        without_opportunity: n * 3 % 4,
    };
    let policies = [
        ("first-contact", 120.0, 0.0),
        ("enclosed", 11.0, 0.08),
        ("evidence", 3.0, 0.31),
        ("personal dwell-cutoff", 6.0, 0.2),
    ];
    Typists {
        title: "How typists differ".into(),
        quantity: "false holds".into(),
        unit: "per 1000 taps".into(),
        context: "Invented data: population volunteers".into(),
        policies: policies.into_iter().enumerate().map(policy).collect(),
    }
}

pub fn who() -> Who {
    let panel = |(n, (name, base, slope)): (usize, (&str, f64, f64))| {
        let rate = |wpm: f64| base * (slope * (wpm - 50.0) / 50.0).exp();
        WhoPanel {
            name: name.into(),
            look: n,
            bins: (0..6)
                .map(|i| {
                    let at = 22.0 + 15.0 * i as f64;
                    WhoBin { at, typists: 60, rate: around(rate(at), 0.4 + 0.15 * rate(at)) }
                })
                .collect(),
            typists: (0..120)
                .map(|i| {
                    let wpm = 15.0 + 90.0 * noise(i + n * 31);
                    (wpm, rate(wpm) * (0.3 + 1.4 * noise(i + 5000)))
                })
                .collect(),
        }
    };
    let panels = [
        ("first-contact", 90.0, 1.2),
        ("enclosed", 12.0, 0.9),
        ("overlap-share 80 %", 24.0, 0.8),
        ("dwell-cutoff 200 ms", 30.0, -1.1),
        ("evidence", 5.0, 0.2),
        ("first-contact + lull 150 ms", 20.0, 0.5),
    ];
    Who {
        title: "Whom each policy fails".into(),
        quantity: "false holds".into(),
        unit: "per 1000 taps".into(),
        trait_name: "typing speed".into(),
        trait_unit: "words per minute".into(),
        context: "Invented data: 400 typists of the population volunteers".into(),
        panels: panels.into_iter().enumerate().map(panel).collect(),
        interval: note(),
    }
}

pub fn curve() -> Curve {
    let series = |(name, centre, spread): (&str, f64, f64)| CurveSeries {
        name: name.into(),
        look: ["volunteers", "trained", "slow"].iter().position(|n| *n == name).unwrap(),
        points: (0..=80)
            .map(|i| 100.0 + 4.0 * f64::from(i))
            .map(|at| {
                let rate = 1000.0 / (1.0 + ((at - centre) / spread).exp());
                let reading = if name == "slow" && at < 124.0 {
                    Reading::unknown("not run")
                } else {
                    around(rate, 0.5 + 0.08 * rate)
                };
                CurvePoint { at, reading }
            })
            .collect(),
    };
    let setting = |(at, name): (f64, &str)| Setting { at, name: name.into() };
    Curve {
        title: "False holds at every cutoff".into(),
        threshold: "cutoff".into(),
        threshold_unit: "ms".into(),
        quantity: "false holds".into(),
        unit: "per 1000 taps".into(),
        context: "Invented data: 400 typists of each population".into(),
        series: [("volunteers", 140.0, 22.0), ("trained", 118.0, 18.0), ("slow", 165.0, 31.0)].map(series).into(),
        settings: [(200.0, "common practice"), (175.0, "advised"), (250.0, "common practice"), (420.0, "end")]
            .map(setting)
            .into(),
        interval: note(),
    }
}

pub fn shapes() -> Shapes {
    let sample = |name: &str, n: usize, median: f64, spread: f64, shift: f64| Sample {
        name: name.into(),
        values: (0..n)
            .map(|i| {
                let (u, v) = (noise(i).max(1e-9), noise(i + 70_000));
                let z = (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos();
                median * (spread * z).exp() - shift
            })
            .collect(),
    };
    let panel = |name: &str, samples: Vec<Sample>| ShapePanel {
        name: name.into(),
        unit: "ms".into(),
        of: "keystrokes".into(),
        samples,
    };
    Shapes {
        title: "A log beside the model".into(),
        context: "Invented data".into(),
        panels: vec![
            panel("dwell", vec![sample("your log", 700, 96.0, 0.3, 0.0), sample("model", 5000, 104.0, 0.26, 0.0)]),
            panel("interval", vec![sample("your log", 700, 180.0, 0.6, 0.0), sample("model", 5000, 190.0, 0.5, 0.0)]),
            panel("overlap", vec![sample("your log", 200, 60.0, 0.5, 45.0), sample("model", 900, 55.0, 0.5, 45.0)]),
        ],
    }
}

pub fn timing() -> Timing {
    let press = |name: &str, down_ms: f64, up_ms: f64| TimingPress { name: name.into(), down_ms, up_ms };
    let says = |name: &str, hold: bool, at_ms: f64| TimingVerdict { name: name.into(), hold, at_ms };
    Timing {
        title: "A roll from F to J".into(),
        context: "Invented times".into(),
        key: "F".into(),
        role: "Shift".into(),
        up_ms: 131.0,
        meant_hold: Some(false),
        others: vec![press("E", -148.0, 22.0), press("J", 84.0, 171.0), press("Backspace", 120.0, 210.0)],
        verdicts: vec![
            says("first-contact", true, 84.0),
            says("first-contact, lull 150", false, 0.0),
            says("dwell-cutoff 200", false, 131.0),
            says("overlap-share 0.6, lull 150, other hand", false, 131.0),
            says("enclosed", true, 210.0),
        ],
    }
}

pub fn terms() -> Terms {
    Terms {
        title: "What adds up for F".into(),
        context: "Invented terms".into(),
        meant_hold: Some(true),
        terms: [
            ("how often keys are held", -2.5),
            ("own key F", 1.5),
            ("T came down after 120 ms and is still down", 3.25),
        ]
        .map(|(words, nats)| (words.to_owned(), nats))
        .into(),
        threshold: 1.0,
    }
}

/// Thirty settings with long names in one heap near zero, twice the same point, and one at the border.
pub fn heap() -> TradeOff {
    let names =
        ["sequential-evidence hold 3.5, tap 4, end 2", "key-evidence, own tables, lull 125, floor 140, other hand"];
    let policy = |i: usize| TradeOffPolicy {
        name: format!("{} ({i})", names[i % 2]),
        family: names[i % 2].split(' ').next().unwrap().into(),
        look: 5 + i % 2,
        false_holds_per_1000_taps: around(if i == 29 { 0.0 } else { 2.0 + 3.0 * noise(i / 2) }, 0.4),
        missed_holds_per_100_holds: around(if i == 28 { 90.0 } else { 1.0 + 2.0 * noise(i / 2 + 500) }, 0.3),
        mean_delay_ms: Some(60.0 + 5.0 * i as f64),
    };
    TradeOff { title: "A heap of settings".into(), policies: (0..30).map(policy).collect(), ..trade_off() }
}

/// Every figure by a name for files.
pub fn gallery(width: Width) -> Vec<(&'static str, Result<Figure, FigureError>)> {
    vec![
        ("trade-off", trade_off().draw(width)),
        ("forest", forest().draw(width)),
        ("literature", literature(60).draw(width)),
        ("literature-large", literature(150).draw(width)),
        ("typists", typists().draw(width)),
        ("who", who().draw(width)),
        ("curve", curve().draw(width)),
        ("shapes", shapes().draw(width)),
        ("timing", timing().draw(width)),
        ("terms", terms().draw(width)),
        ("trade-off-heap", heap().draw(width)),
    ]
}
