//! `agogic compare`: whether a change of setting helped.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use agogic_log::Log;
use agogic_policy::{Setting, SettingError, WrittenError};
use agogic_replay::{ComparePlan, Comparison, Helped, compare as compare_logs};
use agogic_report::{Column, Sheet};
use agogic_sim::learned;
use serde_json::json;

use super::fit::person;
use super::{arm, layout, left_out, setting, study};
use crate::args::Compare;
use crate::failure::Failure;
use crate::screen::{screen, shown};

/// Compares a log from before a change with one from after it.
pub fn compare(args: &Compare, as_json: bool) -> Result<ExitCode, Failure> {
    let layout = layout(&args.layout)?;
    let read = |path: &Path| super::read(path, &layout);
    let (before, after): (Log, Log) = (read(&args.before)?, read(&args.after)?);
    let (_, earlier) = person(&before, &args.before, args.participant.as_deref())?;
    let (_, later) = person(&after, &args.after, args.participant.as_deref())?;
    let study = study(args.spec.as_ref())?;
    let arm = arm(&study, args.arm.as_deref())?;
    // Learning takes a second, and only rules that learn need it.
    let learns = |text: &String| {
        let untrained = Setting::written(text, None).err();
        matches!(untrained, Some(WrittenError::Refused(SettingError::Untrained { .. })))
    };
    let tables = [&args.was, &args.now].into_iter().any(learns).then(|| learned(&study, arm, true)).transpose()?;
    let (was, now) = (setting(&args.was, tables.as_ref())?, setting(&args.now, tables.as_ref())?);
    let found = compare_logs(
        &earlier,
        &later,
        &ComparePlan {
            board: &arm.board,
            assignment: &arm.assignment,
            settings: [&was, &now],
            level: study.inference.level,
            resamples: study.inference.resamples,
            seed: study.seed,
        },
    );
    let notes: Vec<String> = [&before, &after].into_iter().filter_map(left_out).collect();
    let mut screen = screen();
    if as_json {
        let all = json!({ "before": args.before, "after": args.after, "arm": arm.label, "comparison": found, "notes": notes });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    writeln!(screen, "{}\n", answer(&found))?;
    writeln!(screen, "{}\n", table(&found))?;
    writeln!(
        screen,
        "Intervals: {} %, from blocks of each log in time; change: after less before, limits of both by Zou & Donner 2008. Known \
         presses of dual-role keys: {} and {}.",
        study.inference.level.confidence() * 100.0,
        found.known[0][0] + found.known[0][1],
        found.known[1][0] + found.known[1][1]
    )?;
    writeln!(
        screen,
        "Practice alone makes errors fewer, and two logs cannot tell it from the setting: go back to `{}` for a while, log that \
         too, and compare again.",
        found.settings[0]
    )?;
    for note in notes {
        writeln!(screen, "Note: {note}.")?;
    }
    Ok(ExitCode::SUCCESS)
}

fn answer(found: &Comparison) -> String {
    let [was, now] = &found.settings;
    let own = found.figures.iter().find(|own| own.figure == found.by).expect("it is one of the figures");
    let change = own.change.signed_text(1);
    match found.helped {
        Helped::Yes => format!("`{now}` helped: {} {change} {} against `{was}`.", found.by, own.unit),
        Helped::No => format!("`{now}` did not help but harm: {} {change} {} against `{was}`.", found.by, own.unit),
        Helped::NotSure => format!(
            "It is not sure whether `{now}` helped: {} {change} {} against `{was}`. Longer logs would tell.",
            found.by, own.unit
        ),
        Helped::Unknown => format!(
            "Nothing can be said: {}.",
            own.change.reason.as_deref().unwrap_or("neither log has a figure to compare")
        ),
    }
}

fn table(found: &Comparison) -> String {
    let mut table = Sheet::new(vec![
        Column::words("figure"),
        Column::words("unit"),
        Column::numbers("before", ""),
        Column::numbers("after", ""),
        Column::numbers("change", ""),
    ]);
    for own in &found.figures {
        let texts = [own.before.text(1), own.after.text(1), own.change.signed_text(1)];
        table.push([own.figure.to_owned(), own.unit.to_owned()].into_iter().chain(texts));
    }
    shown(&table)
}
