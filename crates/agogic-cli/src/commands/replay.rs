//! `agogic replay`: the policies of a study on a recorded log.

use std::io::Write;
use std::process::ExitCode;

use agogic_log::Log;
use agogic_policy::Setting;
use agogic_replay::{Course, Estimand, Meant, Replay as Found, ReplayPlan, courses, replay as replay_log};
use agogic_report::{
    Cell, Column, ReportError, Sheet, replay_facts, replay_page, replay_parts_table, replay_policies_table,
};
use agogic_sim::disk::write_file;
use agogic_sim::{Decider, TrainedArm};
use agogic_study::Study;
use serde_json::json;

use super::against::against;
use super::{arm, left_out, log, study};
use crate::args::Replay;
use crate::failure::Failure;
use crate::screen::{screen, shown};

/// Plays a log to the policies of a study.
pub fn replay(args: &Replay, as_json: bool) -> Result<ExitCode, Failure> {
    // The log first: reading a study can take seconds, and what is wrong with the log should not wait for that.
    let mut log = log(&args.log)?;
    if let Some(name) = &args.participant {
        only(&mut log, name)?;
    }
    let study = study(args.spec.as_ref())?;
    let arm = arm(&study, args.arm.as_deref())?;
    let (settings, skipped) = settings(&study, &TrainedArm::new(&study, arm)?);
    if settings.is_empty() {
        return Err(Failure::Lacks { table: "[policy]", example: "a [[policy]] whose values are not personal" });
    }
    let plan = ReplayPlan {
        board: &arm.board,
        assignment: &arm.assignment,
        level: study.inference.level,
        resamples: study.inference.resamples,
        seed: study.seed,
    };
    if let Some(groups) = args.against {
        return against(args, &log, &settings, (&study, arm, &plan), groups, as_json);
    }
    let found = replay_log(&log.sessions, &settings, &plan);
    if found.presses == 0 {
        return Err(Failure::Nothing {
            path: args.log.log.clone(),
            lacks: "no press of a dual-role key",
            mend: "name a study whose [keyboard] has two roles for keys that were typed",
        });
    }
    if let Some(path) = &args.decisions {
        write_file(path, decisions_csv(&courses(&log.sessions, &settings, &plan), &found.policies).as_bytes())?;
    }
    let mut notes: Vec<String> = left_out(&log).into_iter().collect();
    if settings.iter().any(|(_, setting)| setting.entry().needs_training) {
        notes.push(format!(
            "rules that learn were trained on simulated typists of `{}`, not on this log",
            arm.population.name()
        ));
    }
    notes.extend(skipped);
    if let Some(path) = &args.page {
        let name = args.log.log.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        write_file(path, replay_page(&found, &name, &notes).map_err(ReportError::from)?.as_bytes())?;
    }
    let mut screen = screen();
    if as_json {
        let all = json!({ "log": args.log.log, "arm": arm.label, "replay": found, "notes": notes });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    writeln!(screen, "{}\n", replay_facts(&found))?;
    writeln!(screen, "{}\n", table(&found))?;
    writeln!(screen, "{}", grounds(&found, study.inference.level.confidence() * 100.0))?;
    compared(&mut screen, &found)?;
    if args.pairs {
        writeln!(screen, "\nEvery pair of policies:\n\n{}", pairs(&found))?;
    }
    if args.by_key {
        for (name, rows) in [("key", &found.by_key), ("finger", &found.by_finger)] {
            writeln!(screen, "\nBy {name}:\n\n{}", shown(&replay_parts_table("", "", rows)))?;
        }
    }
    writeln!(screen)?;
    for outcome in &found.judged {
        let verdict = if outcome.presses > 0 { "judged" } else { "not judged" };
        writeln!(screen, "{}: {verdict}; {}.", outcome.outcome, outcome.because)?;
    }
    for note in &notes {
        writeln!(screen, "Note: {note}.")?;
    }
    if let Some(path) = &args.page {
        writeln!(screen, "Page: {}", path.display())?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Leaves the sessions of one participant.
pub(super) fn only(log: &mut Log, name: &str) -> Result<(), Failure> {
    let people: Vec<String> = log.by_participant().into_iter().map(|(known, _)| known.to_owned()).collect();
    if !people.iter().any(|known| known == name) {
        let more =
            if people.len() > MOST_NAMED { format!(" and {} more", people.len() - MOST_NAMED) } else { String::new() };
        let known = people[..people.len().min(MOST_NAMED)].join(", ") + &more;
        return Err(Failure::Name { what: "participant in the log", name: name.to_owned(), known });
    }
    log.sessions.retain(|session| session.participant == name);
    Ok(())
}

/// Participants that a message names.
const MOST_NAMED: usize = 20;

/// The policies that a log can be played to, and a word about each that it cannot.
pub fn settings(study: &Study, arm: &TrainedArm<'_>) -> (Vec<(String, Setting)>, Vec<String>) {
    let (mut settings, mut skipped) = (Vec::new(), Vec::new());
    for (label, decider) in study.policies.iter().zip(&arm.deciders) {
        match decider {
            Decider::Common(setting) => settings.push((label.clone(), setting.clone())),
            Decider::Personal(_) | Decider::OwnTables(_) => {
                skipped.push(format!("`{label}` is not shown: its values are fitted to a person, not replayed"));
            }
        }
    }
    (settings, skipped)
}

/// One row per policy, and how often it decides otherwise than the first.
fn table(found: &Found) -> String {
    let first = &found.policies[0];
    let mut table = replay_policies_table(found);
    table.columns.push(Column::numbers("other than the first", "per 100 presses"));
    for (row, policy) in table.rows.iter_mut().zip(&found.policies) {
        let differ = found.differ.iter().find(|pair| pair.first == *first && pair.second == *policy);
        row.push(Cell::estimate(differ.map(|pair| &pair.per_100), 1));
    }
    shown(&table)
}

fn pairs(found: &Found) -> String {
    let mut table = Sheet::new(vec![
        Column::words("policy"),
        Column::words("other policy"),
        Column::numbers("differ", "per 100 presses"),
        Column::numbers("tap, other hold", ""),
        Column::numbers("hold, other tap", ""),
    ]);
    for pair in &found.differ {
        table.push([
            pair.first.clone(),
            pair.second.clone(),
            pair.per_100.text(1),
            pair.tap_to_hold.to_string(),
            pair.hold_to_tap.to_string(),
        ]);
    }
    shown(&table)
}

/// One row for each press of a dual-role key and each policy.
fn decisions_csv(courses: &[Course], policies: &[String]) -> String {
    let quoted = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
    let mut text = "participant,press,t_us,code,meant,policy,decided,after_ms\n".to_owned();
    for course in courses {
        for at in 0..course.presses() {
            let meant = match course.meant[at] {
                Meant::Tap => "tap",
                Meant::Hold => "hold",
                Meant::Unstated => "",
            };
            for (policy, label) in policies.iter().enumerate() {
                let decided = if course.holds[policy][at] { "hold" } else { "tap" };
                let after = f64::from(course.after_us[policy][at]) / 1e3;
                text.push_str(&format!(
                    "{},{},{},{},{meant},{},{decided},{after}\n",
                    quoted(&course.participant),
                    at + 1,
                    course.downs[at].0,
                    course.codes[at].name(),
                    quoted(label)
                ));
            }
        }
    }
    text
}

/// How the intervals came about.
fn grounds(found: &Found, percent: f64) -> String {
    let how = if found.participants == 1 {
        let lengths: Vec<usize> =
            found.rows.iter().filter_map(|row| row.estimate.method.rsplit_once("blocks of ")?.1.parse().ok()).collect();
        let range = match (lengths.iter().min(), lengths.iter().max()) {
            (Some(shortest), Some(longest)) if shortest < longest => format!(" of {shortest} to {longest} presses"),
            (Some(length), _) => format!(" of {length} presses"),
            _ => String::new(),
        };
        format!(
            "from blocks{range} of this one participant's presses in time (circular block bootstrap, percentile; lengths \
             by the rule of Politis & White 2004). They say how far a number would move with more of this typing, not \
             with other people"
        )
    } else {
        "over participants, not over time: Korn & Graubard 1998 for shares, linearised t for delays and differences"
            .into()
    };
    let missing = found.rows.iter().filter(|row| row.minus.is_none() && row.estimate.interval().is_none());
    let mut reasons: Vec<&str> =
        missing.filter(|row| row.estimate.value.is_some()).filter_map(|row| row.estimate.reason.as_deref()).collect();
    reasons.sort_unstable();
    reasons.dedup();
    let why = if reasons.is_empty() { String::new() } else { format!("\nNo interval: {}.", reasons.join("; ")) };
    format!("Intervals: {percent} %, {how}.{why}")
}

/// The policies whose error or delay differs from that of the first for sure, in words.
fn compared(screen: &mut impl Write, found: &Found) -> std::io::Result<()> {
    let known = found.rows.iter().any(|row| row.estimand == Estimand::WrongDecisions && row.estimate.value.is_some());
    let (estimand, unit) = if known {
        (Estimand::WrongDecisions, "wrong decisions per 1000 presses")
    } else {
        (Estimand::Delay, "ms of mean delay")
    };
    let first = &found.policies[0];
    let (mut fewer, mut more) = (Vec::new(), Vec::new());
    for policy in &found.policies[1..] {
        let Some(row) = found.difference(policy, estimand) else { continue };
        let Some(interval) = row.estimate.interval() else { continue };
        let cell = format!(
            "`{policy}` {:+.1} ({:+.1} to {:+.1})",
            row.estimate.value.unwrap_or_default(),
            interval.lo,
            interval.hi
        );
        if interval.hi < 0.0 {
            fewer.push(cell);
        } else if interval.lo > 0.0 {
            more.push(cell);
        }
    }
    for (list, word) in [(fewer, "Less"), (more, "More")] {
        if !list.is_empty() {
            writeln!(screen, "{word} than `{first}` in {unit}, each interval by itself: {}.", list.join(", "))?;
        }
    }
    Ok(())
}
