//! The source on an emulated Cortex-M0, and on an 8-bit processor.

use agogic_export::{Clock, Machine, Memory, cases, compare_answers, table_bytes};
use rayon::prelude::*;

use crate::common::emulator::{Emulator, memory_of, run_on_8_bits};
use crate::common::{has, machine, settings};

/// Whether the emulator is here, with a compiler and a C library for it.
fn emulator() -> bool {
    if !has("arm-none-eabi-gcc") || !has("qemu-system-arm") {
        return false;
    }
    let specs = std::process::Command::new("arm-none-eabi-gcc").arg("-print-file-name=rdimon.specs").output().unwrap();
    let found = specs.stdout.trim_ascii() != b"rdimon.specs";
    assert!(found || std::env::var("AGOGIC_NEED_EMULATOR").as_deref() != Ok("1"), "newlib is needed and not there");
    if !found {
        eprintln!("no C library for the emulated processor here: skipped");
    }
    found
}

fn machines() -> Vec<Machine> {
    let with = |(at, setting)| machine(setting, [Clock::Milliseconds, Clock::Microseconds][at % 2], [8, 5][at / 2 % 2]);
    // Of each rule that without guards, that with all of them, and one between.
    let some = |at: &usize| [0, 1, 3].contains(&(at % 6));
    settings().iter().enumerate().filter(|(at, _)| some(at)).map(with).collect()
}

#[test]
fn it_decides_on_a_cortex_m0_as_the_policy() {
    if !emulator() {
        return;
    }
    machines().par_iter().for_each(|machine| {
        let cases = cases(machine, 4, 600);
        let run = Emulator::new(machine).run(&cases);
        let found = compare_answers("the emulator", run.answers.as_bytes(), &cases).unwrap();
        assert_eq!(found.differences, Vec::<String>::new(), "{}", machine.setting.label());
        assert!(run.worst.iter().all(|instructions| (1..=1000).contains(instructions)), "{:?}", run.worst);
    });
}

/// It needs no library, no memory but what its structure says, and what the page says of that is right.
#[test]
fn it_needs_no_library_and_the_memory_that_the_page_tells() {
    if !has("arm-none-eabi-gcc") {
        return;
    }
    machines().par_iter().for_each(|machine| {
        let measured = memory_of(machine, "arm-none-eabi-gcc", &["-mcpu=cortex-m0", "-mthumb"]);
        let label = machine.setting.label();
        assert_eq!(measured.undefined, "", "{label} calls a library");
        assert_eq!(measured.data, 0, "{label} has memory of its own");
        let memory = Memory::of(machine);
        assert_eq!(measured.machine, memory.all(machine), "{label}");
        assert_eq!(measured.slot, memory.slot, "{label}");
        // The tables of the rule, a byte for each key, and what looks rows up.
        let tables = table_bytes(&machine.body) + machine.keys.len();
        assert!((tables - 16..tables + 16).contains(&measured.constants), "{label}: {tables}, {measured:?}");
        if !machine.body.is_learned() {
            // A share that is no round fraction takes a longer division.
            let most = if label.starts_with("overlap-share 0.613527") { 1_640 } else { 1_536 };
            assert!(measured.slot + memory.dual_key <= 16 && measured.flash <= most, "{label}: {measured:?}");
        }
    });
}

/// It compiles for 8 bits too, where an integer has 16, and decides there as the policy.
#[test]
fn it_decides_on_an_8_bit_processor_as_the_policy() {
    let lacks = |program: &str| std::process::Command::new(program).arg("--help").output().is_err();
    if let Some(missing) = ["avr-gcc", "simavr"].into_iter().find(|program| lacks(program)) {
        eprintln!("no {missing} here: skipped");
        return;
    }
    machines().par_iter().for_each(|machine| {
        let label = machine.setting.label();
        let strict = ["-mmcu=atmega1284p", "-Wall", "-Wextra", "-Wconversion", "-Werror"];
        let measured = memory_of(machine, "avr-gcc", &strict);
        assert!(measured.flash < 16_000 && measured.machine < 500, "{label}: {measured:?}");
        let cases = cases(machine, 5, 600);
        let (answers, fitting) = run_on_8_bits(machine, &cases);
        assert!(fitting > 300, "only {fitting} cases fit");
        let found = compare_answers("the emulator", answers.as_bytes(), &cases[..fitting]).unwrap();
        assert_eq!(found.differences, Vec::<String>::new(), "{label}");
    });
}
