//! The source of every rule and pair of guards against the policy, on what simulated people type.
//!
//!     cargo run -p agogic-export --example equality -- [--write] [TYPISTS]
//!
//! Prints `EQUALITY.md`; `--write` writes it. Each of the 3600 typists, or as many as are named, presses 1000 keys of a text with
//! shortcuts, seen through the clock of a keyboard; the machine is fed their key events, and each of its decisions is held to
//! that of the policy, role and time. Rules that learn are trained on other typists. It takes `gcc` and some minutes.

use std::fmt::Write;
use std::sync::Arc;

use agogic_export::{Case, Clock, Machine, conform, lines_of};
use agogic_keys::{Assignment, Board, Modifier, Press, Rates, Span, TextPlan, Unsupported, Workload};
use agogic_policy::{EncounterScan, EvidenceCounts, EvidenceTables, GUARDS, KeySample, RULES, Setting};
use agogic_typist::{Clock as ScanClock, Performer, Population, SessionAddress, Typist};
use rayon::prelude::*;

#[allow(dead_code)]
#[path = "../tests/all/common/mod.rs"]
mod common;

use common::{PAIRWISE, built, guards, keyboard};

const SEED: u64 = 22;
const KEYS: usize = 1000;
/// Typists from whom rules learn, and the number of the first of them.
const TEACHERS: u64 = 240;
const FIRST_TEACHER: u64 = 1 << 40;
const TEXT: &str = include_str!("../../../data-synthetic/texts/tide-station.txt");

/// What people type, and on what.
struct World {
    performer: Performer,
    plan: TextPlan,
    workload: Workload,
}

impl World {
    fn new() -> Self {
        let board = Board::row_staggered();
        let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
        let assignment = Assignment::resting(&board, order);
        let plan = TextPlan::new(TEXT, &board, &assignment, Unsupported::Refuse).expect("our own text can be typed");
        let rates = Rates { shortcuts: 40.0, bare_holds: 5.0, repeats: 5.0 };
        let workload =
            Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).expect("our own shortcuts");
        Self { performer: Performer::new(&board, &assignment), plan, workload }
    }

    /// What a typist presses, and which of it was meant as a hold.
    fn session(&self, number: u64) -> (Vec<Press>, Vec<bool>) {
        let populations = [Population::volunteers(), Population::trained(), Population::slow()];
        let typist = Typist::draw(&populations[number as usize % 3], SEED, number);
        let address = SessionAddress { seed: SEED, replicate: 0 };
        let mut session = self.performer.perform(&typist, &self.plan, &self.workload, address, KEYS);
        ScanClock::default().show(&mut session, number, address);
        (session.presses, session.truths.iter().map(|truth| truth.hold).collect())
    }

    fn learned(&self) -> Arc<EvidenceTables> {
        let machine = common::machine(&Setting::rule("enclosed", &[]).expect("a rule"), Clock::Microseconds, 8);
        let sessions: Vec<_> = (0..TEACHERS).into_par_iter().map(|at| self.session(FIRST_TEACHER + at)).collect();
        let (mut counts, mut keys) = (EvidenceCounts::new(), KeySample::new());
        for (presses, holds) in &sessions {
            let (dual, hand) = (|code| machine.is_dual(code), |code| machine.hand(code));
            EncounterScan::new().each(presses, dual, hand, |at, encounter| {
                counts.add(encounter, holds[at]);
                keys.add(encounter, holds[at]);
            });
        }
        let tables = counts.tables().expect("they held keys");
        let readings = (TEACHERS as usize * KEYS) as f64 / self.plan.steps().len() as f64;
        let keyed = keys.tables(readings, &tables, true).expect("they held keys");
        Arc::new(tables.with_keys(keyed))
    }
}

/// Presses on a clock of milliseconds, none shorter than one.
fn in_milliseconds(presses: &[Press]) -> Vec<Press> {
    let floor = |us: u64| us / 1000 * 1000;
    let at = |press: &Press| {
        let down = floor(press.down.0);
        Press {
            down: agogic_keys::Instant(down),
            up: agogic_keys::Instant(floor(press.up.0).max(down + 1000)),
            ..*press
        }
    };
    presses.iter().map(at).collect()
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let typists: u64 = arguments.iter().find_map(|argument| argument.parse().ok()).unwrap_or(3600);
    let world = World::new();
    let tables = world.learned();
    let sessions: Vec<Vec<Press>> = (0..typists).into_par_iter().map(|number| world.session(number).0).collect();
    let coarse: Vec<Vec<Press>> = sessions.par_iter().map(|presses| in_milliseconds(presses)).collect();
    eprintln!("{typists} typists typed");
    let mut page = head();
    let (mut all, mut differ) = (0, 0);
    for entry in RULES {
        for (row, on) in PAIRWISE.iter().enumerate() {
            let clock = [Clock::Milliseconds, Clock::Microseconds][row % 2];
            let setting = Setting::trained(entry.name, &[], &tables).expect("defaults are accepted");
            let setting = setting.with_guards(guards(*on));
            // Ten fingers, and as many released keys that wait.
            let machine = Machine::new(&setting, keyboard(), clock, 20).expect("whole milliseconds");
            let typed = if clock == Clock::Milliseconds { &coarse } else { &sessions };
            let case = |(number, presses): (usize, &Vec<Press>)| {
                let lines = lines_of(presses, clock.tick(), Span::from_ms(9000.0));
                Case::new(&machine, number.to_string(), lines)
            };
            let cases: Vec<Case> = typed.par_iter().enumerate().map(case).collect();
            let program = built(&machine, "gcc", &[]);
            let found = conform(&program.program, &[], &cases).expect("it runs");
            let names: Vec<&str> = GUARDS
                .iter()
                .map(|guard| guard.name)
                .zip([on[0], on[1], on[2], on[4], on[3]])
                .filter(|(_, on)| *on)
                .map(|(name, _)| name)
                .collect();
            let names = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
            let holds: usize = cases.iter().flat_map(|case| &case.told).filter(|told| told.hold).count();
            let line = format!(
                "| `{}` | {names} | {} | {} | {holds} | {} |",
                setting.entry().name,
                clock.name(),
                found.decisions,
                found.failed
            );
            eprintln!("{line}");
            let _ = writeln!(page, "{line}");
            all += found.decisions;
            differ += found.failed;
        }
    }
    let _ = writeln!(page, "\n{all} decisions in all; sessions in which any of them differs: {differ}.");
    println!("{page}");
    if arguments.iter().any(|argument| argument == "--write") {
        std::fs::write(concat!(env!("CARGO_MANIFEST_DIR"), "/EQUALITY.md"), page).expect("the folder of the crate");
    }
}

fn head() -> String {
    "\
# Exported source against the policy

Every rule with the values it has by default, and six sets of guards among which each pair of guards is on and off in each of its
four ways. Simulated people of three populations type a text with shortcuts, bare holds and repeats; the compiled source is fed
their key events in one stream, with all eight dual-role keys at once, and has to make each decision that the policy makes, role
and time. Rules that learn are trained on other typists.

Made by `cargo run -p agogic-export --example equality -- --write`. The tests of the crate hold the same settings to made-up
encounters, on which ties and mishaps are common.

| rule | guards | clock | decisions | of them holds | sessions that differ |
|---|---|---|---|---|---|
"
    .to_owned()
}
