//! The compiled source against the policy.

use agogic_export::{cases, Case, Clock, Machine, Manners, Stories, conform};

use crate::common::{SANITIZED, built, machine, settings};

/// Stories of few presses, as most encounters are, and some of many.
fn stories(machine: &Machine, seed: u64, number: usize, manners: Manners) -> Vec<Case> {
    let mut stories = Stories::new(machine, seed, 0);
    (0..number)
        .map(|at| {
            let (presses, of) = [(2, 4), (3, 5), (5, 10), (4, 16), (30, 16)][at % 5];
            // Now and then the clock wraps.
            let start = if at % 3 == 0 { (1 << 32) - 300_000 / machine.clock.tick() } else { 5_000 };
            Case::new(machine, format!("story-{at}"), stories.draw(presses, of, start, manners))
        })
        .collect()
}

fn check(machine: &Machine, compiler: &str, cases: &[Case]) {
    let program = built(machine, compiler, &SANITIZED);
    let found = conform(&program.program, &[], cases).unwrap();
    let label = machine.setting.label();
    let kept = if found.failed > 0 { Some(program.folder.keep()) } else { None };
    if let Some(difference) = found.differences.first() {
        let name = difference.split([' ', ':']).nth(1).unwrap();
        let case = cases.iter().find(|case| case.name == name).unwrap();
        let mut text = String::new();
        case.write_lines(&mut text);
        panic!("{label}, clock {:?}, {} slots, in {kept:?}: {} of {} cases differ\n{difference}\n{text}",
            machine.clock, machine.slots, found.failed, found.cases);
    }
    assert!(found.decisions > cases.len(), "{label}: only {} decisions", found.decisions);
}

#[test]
fn every_rule_with_every_pair_of_guards_decides_as_the_policy() {
    for (at, setting) in settings().iter().enumerate() {
        let clock = [Clock::Microseconds, Clock::Milliseconds][at % 2];
        let machine = machine(setting, clock, 16);
        check(&machine, "gcc", &stories(&machine, 1, 2_000, Manners::Orderly));
    }
}

#[test]
fn mishaps_and_too_many_keys_change_nothing_else() {
    for (at, setting) in settings().iter().enumerate() {
        let clock = [Clock::Milliseconds, Clock::Microseconds][at % 2];
        let machine = machine(setting, clock, [2, 3, 5, 8][at % 4]);
        check(&machine, "gcc", &stories(&machine, 2, 1_000, Manners::Wild));
    }
}

#[test]
fn vectors_of_every_rule_are_passed() {
    for (at, setting) in settings().iter().enumerate() {
        let clock = [Clock::Microseconds, Clock::Milliseconds][(at / 2) % 2];
        let machine = machine(setting, clock, Machine::DEFAULT_SLOTS);
        check(&machine, "gcc", &cases(&machine, 3, 300));
    }
}
