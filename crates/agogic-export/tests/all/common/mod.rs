//! Settings of every rule, tables for those that learn, and compilers.

pub mod emulator;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use agogic_export::{Clock, KeyTraits, Machine, sources};
use agogic_keys::{Assignment, Board, Modifier, Span};
use agogic_policy::{EvidenceTables, Guards, KeyedTables, RULES, RuleEntry, Setting};
use tempfile::TempDir;

/// The four modifiers under the resting fingers of both hands.
pub fn keyboard() -> Vec<KeyTraits> {
    let board = Board::row_staggered();
    let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
    KeyTraits::of(&board, &Assignment::resting(&board, order))
}

/// Numbers that look random and are always the same: SplitMix64 (Steele, Lea & Flood 2014).
pub struct Draws(pub u64);

impl Draws {
    pub fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % n
    }
}

/// Tables whose entries are drawn, so that each of them matters.
pub fn tables(seed: u64) -> Arc<EvidenceTables> {
    let mut draws = Draws(seed);
    let mut tables = EvidenceTables::blank();
    let mut fill = |entries: &mut [i16]| entries.iter_mut().for_each(|entry| *entry = draws.below(401) as i16 - 200);
    tables.lull.iter_mut().for_each(|row| fill(row));
    tables.summary.iter_mut().for_each(|row| fill(row));
    tables.course.iter_mut().for_each(|row| fill(row));
    let rows = ["KeyF", "KeyJ", "KeyA"].map(|name| name.parse().unwrap());
    let keyed = KeyedTables::stated(&rows, -0.3, |_, _| draws.below(401) as f64 / 200.0 - 1.0);
    Arc::new(tables.with_keys(keyed))
}

/// Rows of a covering array: every pair of the five guards in each of its four states, on and off.
pub const PAIRWISE: [[bool; 5]; 6] = [
    [false, false, false, false, false],
    [true, true, true, true, true],
    [true, true, false, false, false],
    [true, false, true, false, true],
    [false, true, false, true, true],
    [false, false, true, true, false],
];

/// Guards that are on, with numbers that meet each other.
pub fn guards(on: [bool; 5]) -> Guards {
    let ms = |on: bool, ms: f64| on.then(|| Span::from_ms(ms));
    Guards {
        retap: ms(on[0], 120.0),
        lull: ms(on[1], 90.0),
        dwell_floor: ms(on[2], 80.0),
        other_hand: on[3],
        bare_hold: ms(on[4], 240.0),
    }
}

/// A rule with some values, trained where it learns.
pub fn setting(entry: &RuleEntry, variant: usize) -> Setting {
    let values: &[(&str, f64)] = match (entry.name, variant) {
        ("dwell-cutoff", 1) => &[("cutoff_ms", 240.0)],
        ("overlap-share", 1) => &[("share", 0.613_527)],
        ("overlap-share", 2) => &[("share", 0.05)],
        ("overlap-share", 3) => &[("share", 1.0)],
        ("overlap-span", 1) => &[("span_ms", 0.0)],
        ("evidence", 1) => &[("threshold_nats", 0.5)],
        ("sequential-evidence" | "sequential-key-evidence", 1) => {
            &[("hold_nats", 1.0), ("tap_nats", 1.5), ("end_nats", 0.25)]
        }
        ("sequential-evidence" | "sequential-key-evidence", _) => {
            &[("hold_nats", 4.0), ("tap_nats", 4.0), ("end_nats", 0.25)]
        }
        ("key-evidence", 1) => &[("threshold_nats", 0.25), ("bytes", 4096.0)],
        ("key-evidence", 2) => &[("threshold_nats", -0.5), ("bytes", 500.0)],
        _ => &[],
    };
    Setting::trained(entry.name, values, &tables(7 + variant as u64)).unwrap()
}

/// Every rule with every pair of guards; the values go round.
pub fn settings() -> Vec<Setting> {
    let each = |entry: &'static RuleEntry| {
        PAIRWISE.iter().enumerate().map(move |(row, on)| setting(entry, row % 4).with_guards(guards(*on)))
    };
    RULES.iter().flat_map(each).collect()
}

pub fn machine(setting: &Setting, clock: Clock, slots: usize) -> Machine {
    Machine::new(setting, keyboard(), clock, slots).unwrap()
}

/// Flags under which the source has to compile, as strict as the compiler knows.
pub const STRICT: [&str; 8] =
    ["-std=c99", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wshadow", "-Werror", "-O1"];

/// Those that find what C leaves undefined.
pub const SANITIZED: [&str; 3] = ["-g", "-fsanitize=address,undefined", "-fno-sanitize-recover=all"];

/// Whether a program can be started. Where it cannot, says so; and fails where AGOGIC_NEED_EMULATOR is 1, as it is in CI.
pub fn has(program: &str) -> bool {
    let found = Command::new(program).arg("--version").output().is_ok_and(|output| output.status.success());
    if !found {
        assert!(std::env::var("AGOGIC_NEED_EMULATOR").as_deref() != Ok("1"), "{program} is needed and not there");
        eprintln!("no {program} here: skipped");
    }
    found
}

/// Flags for a program that stops at what C leaves undefined; none where the compiler came without what that takes.
pub fn sanitized(compiler: &str) -> &'static [&'static str] {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("empty.c"), "int main(void) { return 0; }\n").unwrap();
    let mut trial = Command::new(compiler);
    let output = trial.current_dir(folder.path()).args(SANITIZED).args(["empty.c", "-o", "empty"]).output().unwrap();
    if output.status.success() {
        return &SANITIZED;
    }
    assert!(compiler != "gcc" || std::env::var("AGOGIC_NEED_EMULATOR").as_deref() != Ok("1"), "gcc has no sanitizers");
    eprintln!("{compiler} has no sanitizers here: tried without them");
    &[]
}

/// A program in a folder that goes with it.
pub struct Built {
    _folder: TempDir,
    pub program: PathBuf,
}

/// Compiles the sources with their runner.
pub fn built(machine: &Machine, compiler: &str, more: &[&str]) -> Built {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in sources(machine) {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    let program = folder.path().join("conform");
    compile(compiler, &STRICT, more, folder.path(), &["agogic.c", "conform.c"], &program);
    Built { _folder: folder, program }
}

pub fn compile(compiler: &str, flags: &[&str], more: &[&str], folder: &Path, files: &[&str], program: &Path) {
    let output = Command::new(compiler)
        .current_dir(folder)
        .args(flags)
        .args(more)
        .args(files)
        .arg("-o")
        .arg(program)
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{compiler} on {}:\n{}",
        std::fs::read_to_string(folder.join("agogic.h")).unwrap().lines().next().unwrap(),
        String::from_utf8_lossy(&output.stderr)
    );
}
