//! Prints `data-synthetic/logs/laid-out-otherwise.tsv`: two synthetic typists, one press a row, tab-separated,
//! times in seconds, keys by what they write, and defects planted where this file says.
//!
//! `cargo run -p agogic-log --example planted_defects > data-synthetic/logs/laid-out-otherwise.tsv`

use std::fmt::Write;

use agogic_keys::{Assignment, Board, Code, Modifier, Press, TextPlan, Unsupported, Workload};
use agogic_log::DefectKind;
use agogic_typist::{Performer, Population, SessionAddress, Typist};

const SEED: u64 = 2028;

/// Presses of each of the two people.
const KEYS: usize = 900;

/// What is planted, and how often a reader has to find it. Shift without its side is no plant: it is how such
/// logs name the key, and is counted where the text is made.
pub const PLANTED: [(DefectKind, u64); 15] = [
    (DefectKind::FieldCount, 2),
    (DefectKind::CutOff, 1),
    (DefectKind::MissingField, 1),
    (DefectKind::BadTime, 2),
    (DefectKind::NegativeTime, 1),
    (DefectKind::AbsurdTime, 2),
    (DefectKind::UnknownCode, 3),
    (DefectKind::OutOfOrder, 2),
    (DefectKind::ClockBack, 1),
    (DefectKind::ClockForward, 1),
    (DefectKind::DuplicateEdge, 1),
    (DefectKind::MissingRelease, 2),
    (DefectKind::ZeroDwell, 1),
    (DefectKind::OverlongDwell, 1),
    (DefectKind::ReleaseBeforePress, 2),
];

fn presses(population: &Population, number: u64) -> Vec<Press> {
    let (board, assignment) = (Board::row_staggered(), Assignment::none());
    let text = include_str!("../../../data-synthetic/texts/seed-library.txt");
    let plan = TextPlan::new(text, &board, &assignment, Unsupported::Skip).expect("the text can be typed");
    let typist = Typist::draw(population, SEED, number);
    Performer::new(&board, &assignment)
        .perform(&typist, &plan, &Workload::none(), SessionAddress { seed: SEED, replicate: 0 }, KEYS)
        .presses
}

/// The key by what it writes, as many logs name it.
fn letter(code: Code, shift: bool) -> String {
    match code.name() {
        "Backspace" => "BKSP".to_owned(),
        "Enter" => "RET".to_owned(),
        name => match (code.dedicated_modifier(), code.character(shift)) {
            (Some(Modifier::Shift), _) => "Shift".to_owned(),
            (_, Some(character)) => character.to_string(),
            _ => name.to_owned(),
        },
    }
}

/// The log, and how many of its rows name Shift without its side.
pub fn log() -> (String, u64) {
    let mut text = "who\tblock\tletter\tdown_s\tup_s\tremark\n".to_owned();
    let mut shifts = 0;
    let people = [("vol", Population::volunteers()), ("slow", Population::slow())];
    for (number, (who, population)) in people.iter().enumerate() {
        let presses = presses(population, number as u64);
        let mut held: Vec<Press> = Vec::new();
        let mut rows: Vec<String> = Vec::new();
        for (i, press) in presses.iter().enumerate() {
            held.retain(|shift| shift.up > press.down);
            let name = letter(press.code, !held.is_empty());
            if name == "Shift" {
                held.push(*press);
                shifts += 1;
            }
            // In their last third the clock of `vol` was set back by 20 s, and that of `slow` leapt two hours.
            let late = i >= 2 * KEYS / 3;
            let moved = |us: u64| match (*who, late) {
                ("vol", true) => us - 20_000_000,
                ("slow", true) => us + 7_200_000_000,
                _ => us,
            };
            let s = |us: u64| moved(us) as f64 / 1e6;
            rows.push(format!("{who}\tlibrary\t{name}\t{:.4}\t{:.4}\t", s(press.down.0), s(press.up.0)));
        }
        plant(&mut rows, who);
        for row in rows {
            let _ = writeln!(text, "{row}");
        }
    }
    text.push_str("slow\tlibrary\te\t99");
    (text, shifts)
}

/// The fields of a row.
fn fields(row: &str) -> Vec<String> {
    row.split('\t').map(str::to_owned).collect()
}

/// Plants defects into the first half of a person's rows, each far from the next.
fn plant(rows: &mut Vec<String>, who: &str) {
    let change = |rows: &mut Vec<String>, at: usize, field: usize, to: &str| {
        let mut parts = fields(&rows[at]);
        parts[field] = to.to_owned();
        rows[at] = parts.join("\t");
    };
    let other = |rows: &[String], at: usize, plus: f64| {
        let down: f64 = fields(&rows[at])[3].parse().expect("times are numbers");
        format!("{:.4}", down + plus)
    };
    change(rows, 20, 3, "n/a");
    change(rows, 40, 2, "HYPER9");
    let early = other(rows, 60, -0.5);
    change(rows, 60, 4, &early);
    change(rows, 80, 4, "");
    change(rows, 100, 3, "1e18");
    rows[120] = format!("{who}\tlibrary\tt");
    // A step back of more than a second would be a clock that was set back.
    let down = |rows: &[String], at: usize| fields(&rows[at])[3].parse::<f64>().expect("times are numbers");
    let near = (140..).find(|at| down(rows, at + 1) - down(rows, *at) < 0.5).expect("people type faster than that");
    rows.swap(near, near + 1);
    if who == "vol" {
        change(rows, 160, 3, "-3.5");
        change(rows, 180, 2, "");
        let same = other(rows, 200, 0.0);
        change(rows, 200, 4, &same);
        let late = other(rows, 220, 75.0);
        change(rows, 220, 4, &late);
        let twice = rows[240].clone();
        rows.insert(241, twice);
        change(rows, 260, 2, "Dead");
    }
}

fn main() {
    print!("{}", log().0);
}
