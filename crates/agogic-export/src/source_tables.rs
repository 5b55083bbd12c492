//! The tables of a rule that learns, as C.

use std::fmt::Write;

use agogic_policy::KeyTable;

use crate::body::{Body, KeyTables};
use crate::source::commented;

/// The tables of a rule that learns, and how entries are read from them.
pub(crate) fn tables(body: &Body) -> String {
    let mut text = String::new();
    let unit = "In 1/256 nat; above zero speaks for a hold.";
    match body {
        Body::Evidence { lull, summary, .. } => {
            grid(
                &mut text,
                "lull_table",
                "At the press: nothing carried over, or a key still down; by bin of the lull, the last for the first press of all.",
                unit,
                lull,
            );
            one(
                &mut text,
                "summary_table",
                "At the first release: dwell or lead, then overlap, by kind and bin.",
                unit,
                "int16_t",
                &summary.concat(),
                1,
            );
            text.push_str(
                "\nstatic int32_t lead_entry(uint32_t cell) { return summary_table[cell]; }\n\n\
                 static int32_t overlap_entry(uint32_t cell) { return summary_table[150u + cell]; }",
            );
        }
        Body::SequentialEvidence { lull, course, .. } => course_tables(&mut text, lull, course, unit),
        Body::KeyEvidence { keys, .. } => {
            key_tables(&mut text, keys);
            text.push_str(
                "\nstatic int32_t lead_entry(uint32_t cell) { return entry_of_lead(cell); }\n\n\
                 static int32_t overlap_entry(uint32_t cell) { return entry_of_overlap(cell); }",
            );
        }
        Body::SequentialKeyEvidence { lull, course, keys, .. } => {
            course_tables(&mut text, lull, course, unit);
            text.push('\n');
            key_tables(&mut text, keys);
        }
        _ => {}
    }
    text
}

fn course_tables(text: &mut String, lull: &[[i16; 31]], course: &[[i16; 30]], unit: &str) {
    grid(
        text,
        "lull_table",
        "At the press: nothing carried over, or a key still down; by bin of the lull, the last for the first press of all.",
        unit,
        lull,
    );
    grid(
        text,
        "course_table",
        "As time passes. Rows: alone: own release, contact near, contact opposite, passed; joined near: own release, other \
         release, passed; joined opposite: the same; inside: own release, passed.",
        unit,
        course,
    );
    while text.ends_with('\n') {
        text.pop();
    }
}

/// A table of keys each, with a function that reads an entry.
fn key_tables(text: &mut String, keys: &KeyTables) {
    let step = if keys.entry_bytes == 1 { 16 } else { 1 };
    let kind = if keys.entry_bytes == 1 { "int8_t" } else { "int16_t" };
    let unit = if keys.entry_bytes == 1 { "In 1/16 nat." } else { "In 1/256 nat." };
    let _ = write!(text, "\n/* Added at the press, in 1/256 nat. */\n#define CONSTANT ({})\n", keys.constant);
    let pairs = [KeyTable::OwnContact, KeyTable::OwnPrevious];
    if pairs.iter().any(|table| keys.of(*table).is_some()) && !keys.rows.is_empty() {
        let rows: Vec<i16> = keys.rows.iter().map(|code| code.index() as i16).collect();
        one(text, "rows", "Keys with a row in the tables of pairs.", "", "uint8_t", &rows, 1);
    } else if pairs.iter().any(|table| keys.of(*table).is_some()) {
        one(text, "rows", "No key has a row in the tables of pairs.", "", "uint8_t", &[255], 1);
    }
    for own in &keys.tables {
        let name = own.table.name().replace('-', "_");
        let words = format!("{}.", capital(own.table.words()));
        one(text, &format!("{name}_entries"), &words, unit, kind, &own.entries, step);
        let factor = if step == 1 { String::new() } else { format!(" * {step}") };
        let _ = write!(
            text,
            "\nstatic int32_t entry_of_{name}(uint32_t cell) {{ return {name}_entries[cell]{factor}; }}\n"
        );
    }
}

fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map(|first| first.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

fn grid<const N: usize>(text: &mut String, name: &str, words: &str, unit: &str, rows: &[[i16; N]]) {
    let _ = writeln!(text, "{}", block_comment(&format!("{words} {unit}")));
    let _ = writeln!(text, "static const int16_t {name}[{}][{N}] = {{", rows.len());
    for row in rows {
        let _ = writeln!(text, "    {{");
        numbers(text, "        ", row, 1);
        let _ = writeln!(text, "    }},");
    }
    text.push_str("};\n\n");
}

fn one(text: &mut String, name: &str, words: &str, unit: &str, kind: &str, entries: &[i16], step: i16) {
    let _ = writeln!(text, "\n{}", block_comment(format!("{words} {unit}").trim()));
    let _ = writeln!(text, "static const {kind} {name}[{}] = {{", entries.len());
    numbers(text, "    ", entries, step);
    text.push_str("};\n");
}

fn block_comment(words: &str) -> String {
    let lines = commented(words).lines().map(|line| line.trim_start_matches(" *   ").to_owned()).collect::<Vec<_>>();
    format!("/* {} */", lines.join("\n * "))
}

fn numbers(text: &mut String, indent: &str, entries: &[i16], step: i16) {
    for line in entries.chunks(15) {
        let line: Vec<String> = line.iter().map(|entry| (entry / step).to_string()).collect();
        let _ = writeln!(text, "{indent}{},", line.join(", "));
    }
}
