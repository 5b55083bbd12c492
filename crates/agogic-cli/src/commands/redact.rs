//! `agogic redact`: a log without names, keys and exact times, and what it still gives away.

use std::hash::{BuildHasher, Hasher};
use std::io::Write;
use std::process::ExitCode;

use agogic_keys::Board;
use agogic_log::{
    Classes, ReadBack, Redaction, read_back, redact as redact_log, words_in, words_of, write_redacted_csv,
};
use agogic_sim::disk::write_file;
use agogic_study::{BUILT_IN_TEXTS, built_in_text};
use serde_json::json;

use super::{left_out, log, text};
use crate::args::{Redact, RedactClasses};
use crate::failure::Failure;
use crate::screen::screen;

/// Redacts a log and says what it gives away.
pub fn redact(args: &Redact, as_json: bool) -> Result<ExitCode, Failure> {
    let board = Board::by_name(&args.board).ok_or_else(|| Failure::Name {
        what: "board",
        name: args.board.clone(),
        known: Board::NAMES.join(", "),
    })?;
    let how = Redaction {
        classes: match args.classes {
            RedactClasses::Finger => Classes::Finger,
            RedactClasses::Hand => Classes::Hand,
        },
        jitter_us: micros("--jitter-ms", args.jitter_ms)?,
        longest_lull_us: micros("--longest-lull-ms", args.longest_lull_ms)?,
        seed: args.seed.unwrap_or_else(forgotten_seed),
    };
    let same = |path: &std::path::Path| path.canonicalize().ok();
    if same(&args.out).is_some_and(|out| same(&args.log.log) == Some(out)) {
        return Err(Failure::Argument {
            argument: "--out",
            must: "another file than the log",
            value: args.out.display().to_string(),
        });
    }
    if !args.force && args.out.exists() {
        return Err(Failure::Argument {
            argument: "--out",
            must: "a file that is not there yet, or come with --force",
            value: args.out.display().to_string(),
        });
    }
    let log = log(&args.log)?;
    let list: Vec<String> = match &args.words {
        Some(path) => words_in(&text("list of words", path)?).collect(),
        None => BUILT_IN_TEXTS.iter().filter_map(|name| built_in_text(name)).flat_map(words_in).collect(),
    };
    let redacted = redact_log(&log.sessions, &board, &how);
    let mut bytes = Vec::new();
    let rows = write_redacted_csv(&mut bytes, &redacted).map_err(|e| Failure::Print(e.into()))?;
    write_file(&args.out, &bytes)?;
    let lost: u64 = redacted.iter().map(|session| session.left_out).sum();
    let typed: Vec<String> = log.sessions.iter().flat_map(words_of).collect();
    let measured = [how.classes, other(how.classes)]
        .map(|classes| read_back(typed.iter().map(String::as_str), list.iter().map(String::as_str), &board, classes));
    let mut screen = screen();
    if as_json {
        let all = json!({
            "out": args.out, "rows": rows, "sessions": redacted.len(), "presses_left_out": lost,
            "rows_refused_by_the_reader": log.report.rows_refused(),
            "classes": how.classes, "jitter_us": how.jitter_us, "longest_lull_us": how.longest_lull_us,
            "read_back": measured[0], "read_back_of_other_classes": measured[1], "still_identifying": STILL,
        });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    let s = if redacted.len() == 1 { "" } else { "s" };
    writeln!(screen, "{rows} presses in {} session{s}: {}", redacted.len(), args.out.display())?;
    if lost > 0 {
        writeln!(screen, "{lost} presses left out: the board `{}` lacks their keys.", board.name())?;
    }
    if let Some(note) = left_out(&log) {
        writeln!(screen, "{note}.")?;
    }
    let from = args.words.as_ref().map_or("the built-in texts".to_owned(), |path| path.display().to_string());
    writeln!(screen, "\nThis log is not anonymous. What it still gives away:\n")?;
    writeln!(screen, "- {}", words(&measured[0], &from))?;
    writeln!(screen, "  {}", instead(&measured[1]))?;
    for line in STILL {
        writeln!(screen, "- {line}")?;
    }
    writeln!(screen, "\nPublish it only if the participants agreed to that, knowing the above.")?;
    Ok(ExitCode::SUCCESS)
}

/// What no measure of words shows.
const STILL: [&str; 3] = [
    "The lengths of words, and where corrections were made, can be seen.",
    "The rhythm stays: whoever has another log of the same person can match the two.",
    "Whoever knows the seed of the noise can take the noise away.",
];

fn words(found: &ReadBack, from: &str) -> String {
    let Some(share) = found.readable_share else {
        return "No word was typed, so none can be read back.".to_owned();
    };
    format!(
        "{} of {} words ({:.0} %) can be read back from the sequence of {} classes alone by someone who knows the words \
         of the log and of {from}, {} in all; {:.1} words share a sequence on average. A reader who weighs likely \
         words and times between letters does better.",
        found.typed_readable,
        found.typed_words,
        100.0 * share,
        found.classes.name(),
        found.list_words,
        found.mean_candidates.unwrap_or_default(),
    )
}

fn instead(found: &ReadBack) -> String {
    match found.readable_share {
        None => String::new(),
        Some(share) => format!("With {} classes it would be {:.0} %.", found.classes.name(), 100.0 * share),
    }
}

fn other(classes: Classes) -> Classes {
    match classes {
        Classes::Finger => Classes::Hand,
        Classes::Hand => Classes::Finger,
    }
}

fn micros(argument: &'static str, ms: f64) -> Result<u64, Failure> {
    if (0.0..=86_400_000.0).contains(&ms) {
        Ok((ms * 1000.0).round() as u64)
    } else {
        Err(Failure::Argument { argument, must: "a time from 0 ms to a day", value: ms.to_string() })
    }
}

/// A seed that nobody knows, from the operating system. The one number here without an address: whoever could
/// work it out could take the noise away.
#[expect(clippy::disallowed_types, reason = "it serves as a source of a secret, not as the order of a table")]
fn forgotten_seed() -> u64 {
    std::collections::hash_map::RandomState::new().build_hasher().finish()
}
