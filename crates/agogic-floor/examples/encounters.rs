//! Writes encounters of one typist with what an observer sees of them and the odds it gives, as CSV for the
//! classifier in `adversary/`: `cargo run --release -p agogic-floor --example encounters -- TYPIST DEADLINE_MS`
//! (a deadline of 0 or below means none).
//!
//! Columns: `part` (0 to learn from, 1 fresh), `hold`, `log_odds`, then times in ms; −1 stands for what did
//! not happen or is not seen.

use std::io::Write;

use agogic_floor::{Sight, Stage, TypistObserver};
use agogic_keys::{Assignment, Board, Hand, Modifier, Rates, Span, TextPlan, Unsupported, Workload};
use agogic_policy::{Encounter, EncounterScan};
use agogic_typist::{Performer, Population, SessionAddress, Typist};

const TEXT: &str = include_str!("../../../data-synthetic/texts/tide-station.txt");
const SEED: u64 = 815;

/// Sessions to learn from, and fresh ones.
const SESSIONS: [u64; 2] = [40, 16];

fn main() -> std::io::Result<()> {
    let arg = |at: usize| std::env::args().nth(at).and_then(|arg| arg.parse::<f64>().ok());
    let (Some(number), Some(deadline_ms)) = (arg(1), arg(2)) else {
        eprintln!("usage: encounters TYPIST DEADLINE_MS, two numbers");
        std::process::exit(2);
    };
    let deadline = (deadline_ms > 0.0).then(|| Span::from_ms(deadline_ms));
    let board = Board::row_staggered();
    let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
    let assignment = Assignment::resting(&board, order);
    let plan = TextPlan::new(TEXT, &board, &assignment, Unsupported::Refuse).expect("the built-in text can be typed");
    let rates = Rates { shortcuts: 8.0, bare_holds: 2.0, repeats: 2.0 };
    let workload =
        Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).expect("the example workload fits");
    let performer = Performer::new(&board, &assignment);
    let typist = Typist::draw(&Population::volunteers(), SEED, number as u64);
    // As much as the classifier learns from, so that what is compared is the densities.
    let stage = Stage { performer: &performer, plan: &plan, workload: &workload, seed: SEED, rehearsal: 560_000 };
    let observer = TypistObserver::new(&stage, &typist, Sight::Timing);
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    writeln!(
        out,
        "part,hold,log_odds,lull,since,carried,carried_down,carried_up,carried_side,own_up,contacts,\
         down1,up1,side1,down2,up2,side2"
    )?;
    let until = deadline.map_or(f64::INFINITY, |span| span.ms());
    let mut first = 0;
    for (part, sessions) in SESSIONS.into_iter().enumerate() {
        for replicate in first..first + sessions {
            let session = performer.perform(
                &typist,
                &plan,
                &workload,
                SessionAddress { seed: SEED, replicate },
                plan.steps().len(),
            );
            let mut lines = Vec::new();
            EncounterScan::new().each(
                &session.presses,
                |code| assignment.modifier(code).is_some(),
                |code| performer.movement().hand(code),
                |i, e| {
                    let hold = u8::from(session.truths[i].hold);
                    let odds = observer.log_odds(e, deadline);
                    lines.push(format!("{part},{hold},{odds:.4},{}", features(e, until)));
                },
            );
            for line in lines {
                writeln!(out, "{line}")?;
            }
        }
        first += sessions;
    }
    Ok(())
}

fn features(encounter: &Encounter<'_>, until: f64) -> String {
    let ms = |us: i64| {
        let ms = us as f64 / 1e3;
        if ms <= until { ms } else { -1.0 }
    };
    let side = |hand: Hand| {
        if hand.opposite_to(encounter.hand) { 2 } else { i32::from(hand == encounter.hand) }
    };
    let span = |span: Option<Span>| span.map_or(-1.0, Span::ms);
    let carried = encounter.carried().last();
    let contacts: Vec<_> = encounter.contacts().filter(|c| ms(c.down) >= 0.0).collect();
    let mut row = vec![
        span(encounter.lull),
        span(encounter.since_same_key),
        encounter.carried().count() as f64,
        carried.map_or(-1.0, |c| -(c.down as f64) / 1e3),
        carried.map_or(-1.0, |c| ms(c.up)),
        carried.map_or(-1.0, |c| f64::from(side(c.hand))),
        ms(encounter.release()),
        contacts.len() as f64,
    ];
    for at in 0..2 {
        let contact = contacts.get(at);
        row.push(contact.map_or(-1.0, |c| ms(c.down)));
        row.push(contact.map_or(-1.0, |c| ms(c.up)));
        row.push(contact.map_or(-1.0, |c| f64::from(side(c.hand))));
    }
    row.iter().map(f64::to_string).collect::<Vec<_>>().join(",")
}
