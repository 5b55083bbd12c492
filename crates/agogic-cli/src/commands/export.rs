//! `agogic export`: a setting for a keyboard's own processor.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;

use agogic_export::{Clock, KeyTraits, MARKER, Machine, Memory, RANDOM_CASES, files};
use agogic_files::{ResultFolder, save_folder};
use agogic_keys::{Code, Hand};
use agogic_personal::Known;
use agogic_policy::{EvidenceTables, KEYS_CAUTION, KeySample, PERSONAL_PRIOR_NATS, Setting, Sight, rule};
use agogic_sim::learned;
use agogic_study::{Arm, Study};
use serde_json::json;

use super::fit::person;
use super::run::absolute;
use super::{arm, layout, setting, study};
use crate::args::{Export, Ticks};
use crate::failure::Failure;
use crate::progress;
use crate::screen::screen;

/// Writes the folder of a setting: source, data, vectors and page.
pub fn export(args: &Export, as_json: bool) -> Result<ExitCode, Failure> {
    let (study, advised) = match &args.from {
        Some(folder) => of_advice(folder, args.arm.as_deref())?,
        None => (study(args.spec.as_ref())?, None),
    };
    let arm = arm(&study, args.arm.as_deref())?;
    let text = args.setting.clone().or(advised).ok_or_else(|| Failure::NothingAdvised(arm.label.clone()))?;
    let text = own_tables(args, &text)?;
    let setting = trained(args, &text, &study, arm)?;
    let clock = match args.clock {
        Ticks::Ms => Clock::Milliseconds,
        Ticks::Us => Clock::Microseconds,
    };
    let keys = KeyTraits::of(&arm.board, &arm.assignment);
    let machine = Machine::new(&setting, keys, clock, args.slots)?;
    let files = files(&machine, study.seed, RANDOM_CASES);
    save_folder(&files, &args.out, MARKER)?;
    let memory = Memory::of(&machine);
    let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
    let mut screen = screen();
    if as_json {
        let all = json!({ "setting": setting.label(), "arm": arm.label, "clock": clock, "slots": args.slots,
            "folder": args.out, "files": names, "memory": memory });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    writeln!(screen, "`{}` for the keyboard of `{}`, with a clock of {}.\n", setting.label(), arm.label, clock.name())?;
    for (name, what) in WHAT {
        writeln!(screen, "  {name:<16} {what}")?;
    }
    writeln!(
        screen,
        "\nMemory that changes: {} bytes with {} slots and {} dual-role keys.",
        memory.all(&machine),
        machine.slots,
        machine.dual_keys()
    )?;
    if setting.entry().sight >= Sight::Keys {
        writeln!(screen, "\n{KEYS_CAUTION}")?;
    }
    writeln!(screen, "\nPage: {}", absolute(&args.out.join("RULE.md")))?;
    Ok(ExitCode::SUCCESS)
}

/// The files in words.
const WHAT: [(&str, &str); 8] = [
    ("agogic.h", "how the source is called"),
    ("agogic.c", "the rule in C99, without heap, floating-point numbers or a library"),
    ("rule.json", "the same as data"),
    ("rule.schema.json", "the form of it"),
    ("RULE.md", "what the rule does, tie by tie, and what it costs"),
    ("states.svg", "its states"),
    ("vectors.txt", "key events with the decisions that any program has to make of them"),
    ("conform.c", "runs them through agogic.c, for `agogic conform`"),
];

/// The study of a folder of advice, and what was advised for an arm of it.
fn of_advice(path: &Path, label: Option<&str>) -> Result<(Study, Option<String>), Failure> {
    let refused = |source| Failure::Folder { path: path.to_owned(), source };
    let folder = ResultFolder::open(path).map_err(refused)?;
    let advice = folder.advice().map_err(refused)?;
    let study = folder.study().map_err(refused)?;
    let own = advice.into_iter().find(|own| label.is_none_or(|label| own.arm == label));
    Ok((study, own.and_then(|own| own.setting)))
}

/// A setting as `agogic advise --log` writes one with tables of one's own; such tables come from the log.
fn own_tables(args: &Export, text: &str) -> Result<String, Failure> {
    let Some(rest) = text.strip_suffix(OWN_TABLES) else { return Ok(text.to_owned()) };
    if args.log.is_none() {
        return Err(Failure::OwnTables(text.to_owned()));
    }
    Ok(rest.to_owned())
}

const OWN_TABLES: &str = ", own tables";

/// The setting that was written, trained if it is one that learns.
fn trained(args: &Export, text: &str, study: &Study, arm: &Arm) -> Result<Setting, Failure> {
    let name = text.split([' ', ',']).next().unwrap_or_default();
    let entry = rule(name).filter(|entry| entry.needs_training);
    let keys = entry.is_some_and(|entry| entry.sight >= Sight::Keys);
    if let Some(path) = &args.log
        && name != "key-evidence"
    {
        let known = "the tables of `key-evidence` alone learn from a person's log; take that rule, or leave out --log";
        return Err(Failure::NothingToLearn { path: path.clone(), rule: name.to_owned(), mend: known });
    }
    let Some(_) = entry else { return setting(text, None) };
    let spinner = progress::spinner("steps");
    let tables = learned(study, arm, keys)?;
    spinner.finish_and_clear();
    let tables = match &args.log {
        Some(path) => of_person(args, path, arm, &tables)?,
        None => tables,
    };
    setting(text, Some(&tables))
}

/// Tables of many, with those of keys updated by the presses of one person whose meaning a log states.
fn of_person(args: &Export, path: &Path, arm: &Arm, tables: &EvidenceTables) -> Result<Arc<EvidenceTables>, Failure> {
    let log = super::read(path, &layout(&args.of_log.layout)?)?;
    let (_, sessions) = person(&log, path, args.of_log.participant.as_deref())?;
    let dual = |code: Code| arm.assignment.modifier(code).is_some();
    let hand = |code: Code| arm.board.place(code).map_or(Hand::Either, |place| place.hand);
    let known = Known::of_sessions(&sessions, dual, hand);
    if known.is_empty() {
        return Err(Failure::Nothing {
            path: path.to_owned(),
            lacks: "no press of a dual-role key of which it says what was meant",
            mend: "leave out --log for tables of many, or record with `agogic record`, which states it",
        });
    }
    let mut sample = KeySample::new();
    known.each(|_, encounter, hold| sample.add(encounter, hold));
    let keyed = tables.keyed.as_ref().expect("they were trained with keys");
    Ok(Arc::new(tables.clone().with_keys(keyed.personal(&sample, PERSONAL_PRIOR_NATS))))
}
