//! What every rule costs on a Cortex-M0: flash, memory, instructions.
//!
//!     cargo run -p agogic-export --example footprint -- [--write]
//!
//! Prints `FOOTPRINT.md`; `--write` writes it and `data/footprint.csv`, which pages of exported rules quote. It takes
//! `arm-none-eabi-gcc`, `qemu-system-arm` and `avr-gcc`. Every number is a count, so it is the same on every machine with the
//! same compilers.

use std::fmt::Write;
use std::process::Command;
use std::sync::Arc;

use agogic_export::{Case, Clock, Machine, Manners, Measured, Memory, Stories, cases, compare_answers, table_bytes};
use agogic_policy::{EvidenceTables, KeyedTables, RULES, Setting};

#[allow(dead_code)]
#[path = "../tests/all/common/mod.rs"]
mod common;

use common::emulator::{Emulator, memory_of};
use common::{guards, machine};

/// Tables that say nothing, so that rules wait as long as they can and most presses are undecided at once.
fn silent() -> Arc<EvidenceTables> {
    let rows = ["KeyA", "KeyS", "KeyD", "KeyF", "KeyJ", "KeyK", "KeyL", "Semicolon"].map(|name| name.parse().unwrap());
    let tables = EvidenceTables::blank();
    Arc::new(tables.with_keys(KeyedTables::stated(&rows, 0.0, |_, _| 0.0)))
}

/// Edges, encounters, and crowds: many keys down at once that come up at one instant.
fn crowded(machine: &Machine) -> Vec<Case> {
    let mut all = cases(machine, 4, 3_000);
    let mut stories = Stories::new(machine, 4, 2);
    all.extend((0..1_500).map(|at| {
        let lines = stories.draw(40, 8 + at % 9, 1_000, Manners::Orderly);
        Case::new(machine, format!("crowd-{at}"), lines)
    }));
    all
}

fn main() {
    let mut rows = Vec::new();
    let mut page = String::from(HEAD);
    let tables = silent();
    for entry in RULES {
        for (words, on) in [("none", false), ("all", true)] {
            for clock in [Clock::Milliseconds, Clock::Microseconds] {
                let setting = Setting::trained(entry.name, &[], &tables).unwrap().with_guards(guards([on; 5]));
                let machine = machine(&setting, clock, Machine::DEFAULT_SLOTS);
                let cases = crowded(&machine);
                let run = Emulator::new(&machine).run(&cases);
                let found = compare_answers("the emulator", run.answers.as_bytes(), &cases).unwrap();
                assert_eq!(found.failed, 0, "{}: {:?}", setting.label(), found.differences);
                let on_arm = memory_of(&machine, "arm-none-eabi-gcc", &["-mcpu=cortex-m0", "-mthumb"]);
                let on_avr = memory_of(&machine, "avr-gcc", &["-mmcu=atmega328p"]);
                let measured = Measured {
                    rule: entry.name.to_owned(),
                    guards: words.to_owned(),
                    clock: clock.name().to_owned(),
                    flash: on_arm.flash,
                    tables: table_bytes(&machine.body),
                    worst: run.worst.map(|instructions| instructions as usize),
                };
                let memory = Memory::of(&machine);
                let [event, passed, deadline, decision] = measured.worst;
                let _ = writeln!(
                    page,
                    "| `{}` | {words} | {} | {} | {} | {} | {} | {} | {event} | {passed} | {deadline} | {decision} | {} | {} |",
                    entry.name,
                    clock.name(),
                    measured.flash,
                    measured.tables,
                    memory.slot,
                    memory.dual_key,
                    memory.shared,
                    on_avr.flash,
                    on_avr.machine + on_avr.constants,
                );
                eprintln!("{}", measured.line());
                rows.push(measured);
            }
        }
    }
    let version = |program: &str| {
        let output = Command::new(program).arg("--version").output().unwrap();
        String::from_utf8_lossy(&output.stdout).lines().next().unwrap_or_default().to_owned()
    };
    let _ = write!(
        page,
        "\nMade by `cargo run -p agogic-export --example footprint -- --write` with {}, {} and {}.\n",
        version("arm-none-eabi-gcc"),
        version("qemu-system-arm"),
        version("avr-gcc")
    );
    println!("{page}");
    if std::env::args().any(|argument| argument == "--write") {
        let folder = env!("CARGO_MANIFEST_DIR");
        let lines: Vec<String> = rows.iter().map(Measured::line).collect();
        let csv = format!("{}\n{}\n", Measured::HEAD, lines.join("\n"));
        std::fs::write(format!("{folder}/data/footprint.csv"), csv).unwrap();
        std::fs::write(format!("{folder}/FOOTPRINT.md"), page).unwrap();
    }
}

const HEAD: &str = "\
# What an exported rule costs

Every rule with the values it has by default, without guards and with all five, with both clocks, eight slots and eight dual-role
keys. Compiled for size (`-Os`). Numbers of bytes are those of the object file, which calls no library; *tables* are part of the
*flash*. Memory that changes is told for each slot (a key that is down), for each dual-role key (when it came up last, for `retap`
alone), and what all share.

Instructions are counted on an emulated Cortex-M0 (`qemu-system-arm -M microbit -icount`): those of the worst call of each function
over edges, 3000 encounters and 1500 crowds of 40 presses, with every deadline served in time. An event that comes after deadlines
were left alone does their work too, and takes longer. Tables that say nothing stand in for learned ones, so that most presses are
undecided at once.

The last columns are flash and the whole memory on an 8-bit processor (ATmega328P). It keeps constants in memory too, so tables
count twice there; a compiler that leaves them in flash spares that.

| rule | guards | clock | flash | of it tables | bytes a slot | bytes a dual-role key | bytes shared | `agogic_event` | `agogic_passed` | `agogic_deadline` | `agogic_decision` | flash, 8 bits | memory, 8 bits |
|---|---|---|---|---|---|---|---|---|---|---|---|---|---|
";
