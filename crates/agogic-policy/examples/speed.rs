//! Measures a decision of every rule: `cargo run --release -p agogic-policy --example speed`.

use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant as Clock;

use agogic_keys::{Code, Hand, Instant, Span};
use agogic_policy::{Contact, Encounter, EvidenceCounts, GridCurve, Guards, RULES, Setting};

/// Small, plain numbers that spread well: a Weyl sequence.
struct Weyl(u64);

impl Weyl {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        ((self.0 >> 32) * n) >> 32
    }
}

fn main() {
    let code: Code = "KeyF".parse().expect("F is in the table");
    let mut weyl = Weyl(1);
    // Four encounters in ten have a contact, one in ten has two.
    let rows: Vec<(u64, u64, Vec<Contact>)> = (0..1024)
        .map(|i| {
            let dwell = 60_000 + weyl.below(200_000);
            let n = [0, 0, 0, 0, 0, 1, 1, 1, 1, 2][i % 10];
            let mut downs: Vec<i64> = (0..n).map(|_| weyl.below(dwell) as i64).collect();
            downs.sort_unstable();
            let hand = |odd: bool| if odd { Hand::Right } else { Hand::Left };
            let contacts = downs
                .into_iter()
                .map(|down| Contact {
                    code,
                    hand: hand(weyl.below(2) == 1),
                    down,
                    up: down + 50_000 + weyl.below(120_000) as i64,
                })
                .collect();
            (dwell, 30_000 + weyl.below(600_000), contacts)
        })
        .collect();
    let encounters: Vec<Encounter<'_>> = rows
        .iter()
        .map(|(dwell, lull, contacts)| {
            Encounter::new(code, Hand::Left, Instant(0), Span(*dwell)).with_lull(Span(*lull)).with_contacts(contacts)
        })
        .collect();
    let mut counts = EvidenceCounts::new();
    for (i, encounter) in encounters.iter().enumerate() {
        counts.add(encounter, i % 3 == 0);
    }
    let tables = Arc::new(counts.tables().expect("the sample has both kinds"));
    let all = Guards {
        retap: Some(Span(50_000)),
        lull: Some(Span(60_000)),
        dwell_floor: Some(Span(80_000)),
        other_hand: true,
        bare_hold: Some(Span(500_000)),
    };
    println!("{:<22} {:>12} {:>16}", "rule", "ns, no guard", "ns, all guards");
    for entry in RULES {
        let time = |guards: Guards| {
            let setting =
                Setting::trained(entry.name, &[], &tables).expect("defaults are accepted").with_guards(guards);
            // The fastest of several rounds: what the machine can do when nothing else disturbs it.
            let round = || {
                let start = Clock::now();
                for _ in 0..400 {
                    for encounter in &encounters {
                        black_box(setting.decide(black_box(encounter)));
                    }
                }
                start.elapsed().as_secs_f64() * 1e9 / (400.0 * encounters.len() as f64)
            };
            (0..9).map(|_| round()).fold(f64::INFINITY, f64::min)
        };
        println!("{:<22} {:>12.2} {:>16.2}", entry.name, time(Guards::default()), time(all));
    }
    println!("\n{:<22} {:>34}", "threshold", "ns per encounter for 1000 values");
    for entry in RULES {
        let setting = Setting::trained(entry.name, &[], &tables).expect("defaults are accepted");
        for param in entry.params {
            let (from, to) = (param.min, param.max.min(800.0));
            let grid: Vec<f64> = (0..1000).map(|i| from + (to - from) * f64::from(i) / 999.0).collect();
            let mut curve = GridCurve::new(&setting, param.name, &grid).expect("it rises");
            let mut round = || {
                let start = Clock::now();
                for (i, encounter) in encounters.iter().enumerate() {
                    curve.add(&setting, encounter, i % 3 == 0);
                }
                start.elapsed().as_secs_f64() * 1e9 / encounters.len() as f64
            };
            let fastest = (0..99).map(|_| round()).fold(f64::INFINITY, f64::min);
            println!("{:<22} {fastest:>34.1}", param.name);
        }
    }
}
