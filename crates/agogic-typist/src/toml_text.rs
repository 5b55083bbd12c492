//! A population as a TOML text with comments, to start one's own from.

use std::fmt::Write as _;

use crate::constants::CONSTANTS;
use crate::draft::PopulationDraft;
use crate::population::Population;
use crate::provenance::Entry;
use crate::register::register_of;
use crate::traits::{Scale, TRAITS};

/// Columns of a comment.
const WIDTH: usize = 100;

impl Population {
    /// Every number with its meaning, unit and provenance, as a text that
    /// [`PopulationDraft`](crate::PopulationDraft) can be read from.
    ///
    /// # Shape
    /// `name` is the one given; the rest is that of [`to_draft`](Population::to_draft).
    pub fn to_toml(&self, name: &str) -> String {
        let draft = self.to_draft();
        let register = register_of(self);
        let entry = |name: &str| register.iter().find(|entry| entry.name == name);
        let mut out = String::new();
        comment(&mut out, "A population of typists.");
        comment(
            &mut out,
            "Every number may be changed or left out; what is left out is that of the base. People are drawn with the \
             median and spread of each trait: the spread is the SD between people on the trait's normal scale, the \
             logarithm for times, the logit for shares, the value itself for effects.",
        );
        for (key, value) in [("name", name), ("about", &draft.about), ("base", &draft.base)] {
            put(&mut out, format_args!("{key} = {}", quoted(value)));
        }
        comment(&mut out, "Shape of the dwell, at equal median and spread.");
        let family = draft.dwell_family.as_deref().unwrap_or_default();
        put(&mut out, format_args!("dwell_family = {}", quoted(family)));
        traits(&mut out, &draft, entry);
        out.push_str("\n[constants]\n");
        for info in CONSTANTS {
            let unit = if info.unit.is_empty() { String::new() } else { format!(" ({})", info.unit) };
            comment(&mut out, &format!("{}{unit}, from {} to {}.", info.doc, info.min, info.max));
            source(&mut out, "", entry(info.name));
            put(&mut out, format_args!("{} = {:?}", info.name, draft.constants[info.name]));
        }
        out.push('\n');
        comment(
            &mut out,
            "Correlations between people on the normal scales, each pair once. Zero takes one of the base away.",
        );
        for (first, others) in &draft.correlations {
            put(&mut out, format_args!("[correlations.{first}]"));
            for (second, r) in others {
                source(&mut out, "", entry(&format!("correlation({first}, {second})")));
                put(&mut out, format_args!("{second} = {r:?}"));
            }
        }
        out
    }
}

fn traits<'e>(out: &mut String, draft: &PopulationDraft, entry: impl Fn(&str) -> Option<&'e Entry>) {
    for info in TRAITS {
        out.push('\n');
        let scale = match info.scale {
            Scale::Log => "logarithm",
            Scale::Logit => "logit",
            Scale::Plain => "value",
        };
        comment(out, &format!("{} ({}); normal is the {scale}.", info.doc, info.unit));
        put(out, format_args!("[traits.{}]", info.name));
        let given = draft.traits[info.name];
        for (key, value) in [("median", given.median), ("spread", given.spread)] {
            source(out, key, entry(&format!("{}.{key}", info.name)));
            put(out, format_args!("{key} = {:?}", value.unwrap_or(f64::NAN)));
        }
    }
}

fn put(out: &mut String, line: std::fmt::Arguments<'_>) {
    writeln!(out, "{line}").expect("a string takes all that is written");
}

/// Where a number comes from, as a comment.
fn source(out: &mut String, what: &str, entry: Option<&Entry>) {
    let Some(entry) = entry else { return };
    let colon = if what.is_empty() { "" } else { ": " };
    let from = entry.taken_from.as_ref().map_or(String::new(), |from| format!("as {from}; "));
    comment(out, &format!("{what}{colon}{from}{}", entry.provenance));
}

/// A comment, broken between words.
fn comment(out: &mut String, text: &str) {
    out.push('#');
    let mut width = 1;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if width > 1 && width + 1 + length > WIDTH {
            out.push_str("\n#");
            width = 1;
        }
        out.push(' ');
        out.push_str(word);
        width += 1 + length;
    }
    out.push('\n');
}

/// A basic string of TOML 1.0.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => {
                write!(out, "\\u{:04X}", u32::from(c)).expect("a string takes all that is written");
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_break_between_words() {
        let mut out = String::new();
        comment(&mut out, &"seven77 ".repeat(30));
        assert!(out.lines().all(|line| line.starts_with("# ") && line.len() <= WIDTH));
        assert_eq!(out.lines().count(), 3);
        assert_eq!(out.matches("seven77").count(), 30);
        // Words that fill a line to its last column, and a word longer than a line.
        let mut out = String::new();
        comment(&mut out, &format!("{} b {}", "a".repeat(WIDTH - 2), "c".repeat(2 * WIDTH)));
        assert_eq!(out, format!("# {}\n# b\n# {}\n", "a".repeat(WIDTH - 2), "c".repeat(2 * WIDTH)));
    }

    #[test]
    fn strings_are_escaped() {
        assert_eq!(quoted("a\"b\\c\nd"), "\"a\\\"b\\\\c\\u000Ad\"");
    }
}
