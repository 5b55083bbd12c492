//! The compiled source against the policy.

use agogic_export::{Case, Clock, Machine, Manners, Stories, cases, conform, sources};
use agogic_policy::{RULES, Setting};
use rayon::prelude::*;

use crate::common::{STRICT, built, compile, guards, has, machine, sanitized, setting, settings};

/// Stories of few presses, as most encounters are, and some of many.
fn stories(machine: &Machine, number: usize, manners: Manners) -> impl Iterator<Item = Case> {
    let mut stories = Stories::new(machine, 1, manners as u64);
    (0..number).map(move |at| {
        let (presses, of) = [(2, 4), (3, 5), (5, 10), (4, 16), (30, 16)][at % 5];
        // Now and then the clock wraps.
        let start = if at % 3 == 0 { (1 << 32) - 300_000 / machine.clock.tick() } else { 5_000 };
        Case::new(machine, format!("{manners:?}-{at}"), stories.draw(presses, of, start, manners))
    })
}

/// What a machine is held to: edges, encounters, mishaps.
fn all_cases(machine: &Machine) -> Vec<Case> {
    let mut all = cases(machine, 3, 300);
    all.extend(stories(machine, 1_500, Manners::Orderly));
    all.extend(stories(machine, 700, Manners::Wild));
    all
}

fn check(machine: &Machine, compiler: &str, flags: &[&str]) {
    let cases = all_cases(machine);
    let program = built(machine, compiler, flags);
    let found = conform(&program.program, &[], &cases).unwrap();
    let label = machine.setting.label();
    if let Some(difference) = found.differences.first() {
        let name = difference.split([' ', ':']).nth(1).unwrap();
        let mut text = String::new();
        cases.iter().find(|case| case.name == name).unwrap().write_lines(&mut text);
        let (failed, cases) = (found.failed, found.cases);
        let Machine { clock, slots, .. } = machine;
        panic!("{label}, clock {clock:?}, {slots} slots: {failed} of {cases} cases differ\n{difference}\n{text}");
    }
    assert!(found.decisions > cases.len(), "{label}: only {} decisions", found.decisions);
}

/// Each with its clock and slots, which go round.
fn machines() -> Vec<Machine> {
    let with = |(at, setting): (usize, &Setting)| {
        let clock = [Clock::Microseconds, Clock::Milliseconds][(at + at / 6) % 2];
        machine(setting, clock, [16, 2, 8, 3, 5, 10][(at + at / 12) % 6])
    };
    settings().iter().enumerate().map(with).collect()
}

#[test]
fn every_rule_with_every_pair_of_guards_decides_as_the_policy() {
    if has("gcc") {
        let flags = sanitized("gcc");
        machines().par_iter().for_each(|machine| check(machine, "gcc", flags));
    }
}

#[test]
fn another_compiler_makes_no_difference() {
    if has("clang") {
        let one_each = machines().into_iter().skip(1).step_by(5).collect::<Vec<_>>();
        assert!(RULES.iter().all(|rule| one_each.iter().any(|own| own.setting.entry().name == rule.name)));
        let flags = sanitized("clang");
        one_each.par_iter().for_each(|machine| check(machine, "clang", flags));
    }
}

/// The comparison has teeth: sources with a tie or an order wrong do not pass it.
#[test]
fn a_wrong_tie_would_be_caught() {
    if !has("gcc") {
        return;
    }
    let wrong = [
        ("dwell-cutoff", "now - press->down >= CUTOFF", "now - press->down > CUTOFF"),
        ("dwell-cutoff", "#define CUTOFF 200000u", "#define CUTOFF 200001u"),
        ("enclosed", "== machine->now ? BRIEF : OTHER_UP", "== machine->now ? OTHER_UP : OTHER_UP"),
        ("overlap-share", "<= longest(covered)", "< longest(covered)"),
        ("overlap-span", "return time >= least;", "return time > least;"),
        ("evidence", "if (us <= 8192u)", "if (us < 8192u)"),
        ("sequential-evidence", "press->sum >= HOLD_FROM", "press->sum > HOLD_FROM"),
        ("sequential-evidence", "while (step(machine, to - 1u))", "while (step(machine, to))"),
        ("key-evidence", "facing == faced && key < own->contact", "facing == faced && key > own->contact"),
        ("sequential-key-evidence", "us > 1048576u", "us >= 1048576u || us == 8193u"),
    ];
    wrong.par_iter().for_each(|(rule, right, wrong)| {
        let entry = agogic_policy::rule(rule).unwrap();
        let machine = machine(&setting(entry, 0).with_guards(guards([false; 5])), Clock::Microseconds, 8);
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in sources(&machine) {
            assert!(name != "agogic.c" || text.contains(right), "`{right}` is not in the source of {rule}");
            std::fs::write(folder.path().join(name), text.replace(right, wrong)).unwrap();
        }
        let program = folder.path().join("conform");
        compile("gcc", &STRICT, &[], folder.path(), &["agogic.c", "conform.c"], &program);
        let found = conform(&program, &[], &all_cases(&machine)).unwrap();
        assert!(found.failed > 0, "{rule} with `{wrong}` passes");
    });
}

/// Whatever a machine is fed, it stays within what C defines, tells each press at most once, and ends; and as long as time does
/// not leap, it tells decisions in order of time.
#[test]
fn noise_keeps_it_alive() {
    if !has("gcc") {
        return;
    }
    let flags = sanitized("gcc");
    let one_each: Vec<Machine> = machines().into_iter().skip(1).step_by(6).collect();
    one_each.par_iter().enumerate().for_each(|(at, machine)| {
        let mut draws = crate::common::Draws(at as u64);
        let program = built(machine, "gcc", flags);
        let lines = (0..40).map(|leaps| {
            let mut when = draws.below(1 << 32);
            let mut lines = Vec::new();
            for _ in 0..300 {
                when = match draws.below(12) {
                    0 if leaps % 2 == 1 => draws.below(1 << 32),
                    1 if leaps % 2 == 1 => when + draws.below(1 << 31),
                    2 => when.saturating_sub(draws.below(1 << 20)),
                    _ => when + draws.below(200_000 / machine.clock.tick()),
                };
                let key = if draws.below(9) == 0 { draws.below(256) } else { draws.below(24) } as u8;
                lines.push(match draws.below(5) {
                    0 | 1 => agogic_export::Line::Up { key, when },
                    2 => agogic_export::Line::Wait { when },
                    _ => agogic_export::Line::Down { key, when },
                });
            }
            lines
        });
        // What it says is not known; that it answers every case and stops in order is.
        let cases: Vec<Case> =
            lines.enumerate().map(|(at, lines)| Case { name: at.to_string(), lines, told: vec![] }).collect();
        let answers = agogic_export::answers(&program.program, &[], &cases).unwrap();
        for (at, (case, told)) in cases.iter().zip(answers).enumerate() {
            let in_order = told.windows(2).all(|pair| pair[1].when.wrapping_sub(pair[0].when) < 1 << 31);
            assert!(in_order || at % 2 == 1, "{}: {told:?}", machine.setting.label());
            for key in machine.keys.iter().map(|key| key.number as u8) {
                let presses = case
                    .lines
                    .iter()
                    .filter(|line| matches!(line, agogic_export::Line::Down { key: own, .. } if *own == key))
                    .count();
                let decisions = told.iter().filter(|own| own.key == key).count();
                assert!(decisions <= if machine.keys[usize::from(key)].dual > 0 { presses } else { 0 });
            }
        }
    });
}
