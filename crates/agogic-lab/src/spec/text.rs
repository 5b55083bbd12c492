//! The table `[text]`: what is typed.

use agogic_keys::{Assignment, Board, TextPlan, Unsupported};

use crate::inputs::Inputs;
use crate::reader::{Found, Log, Section};

/// Names of the texts that come with the program.
pub const BUILT_IN_TEXTS: [&str; 2] = ["tide-station", "seed-library"];

/// A text that comes with the program.
pub fn built_in_text(name: &str) -> Option<&'static str> {
    match name {
        "tide-station" => Some(include_str!("../../../../data-synthetic/texts/tide-station.txt")),
        "seed-library" => Some(include_str!("../../../../data-synthetic/texts/seed-library.txt")),
        _ => None,
    }
}

/// Largest text accepted, in bytes. More would only be repeated typing.
const LARGEST_TEXT: u64 = 16 * 1024 * 1024;

/// A text with the place it was named at, so that what is wrong with it on some keyboard can be located.
pub(super) struct SourceText {
    /// Where it came from, in words.
    pub from: String,
    text: Found<String>,
    unsupported: Unsupported,
}

impl SourceText {
    /// The text as steps on a keyboard; `None` where a mistake was logged.
    pub fn plan(&self, log: &Log, board: &Board, assignment: &Assignment) -> Option<TextPlan> {
        match TextPlan::new(&self.text.value, board, assignment, self.unsupported) {
            Ok(plan) => Some(plan),
            Err(refused) => {
                log.at(&self.text, format!("failed to read the text: {refused}"));
                None
            }
        }
    }
}

/// `None` only where a mistake was logged.
pub(super) fn read(section: Section<'_, '_>, inputs: &Inputs<'_>) -> Option<SourceText> {
    let log = section.log();
    let unsupported = match section.text("unsupported") {
        None => Unsupported::Refuse,
        Some(found) => match found.value.as_str() {
            "refuse" => Unsupported::Refuse,
            "skip" => Unsupported::Skip,
            _ => {
                log.at(&found, "must be \"refuse\" or \"skip\"");
                Unsupported::Refuse
            }
        },
    };
    let (built_in, file, words) = (section.text("built_in"), section.text("file"), section.text("words"));
    let given = [&built_in, &file, &words].into_iter().flatten().count();
    if given != 1 {
        section.missing("", "must name one text: `built_in`, `file` or `words`, and only one of them");
        section.finish();
        return None;
    }
    section.finish();
    let (from, found, text) = if let Some(found) = built_in {
        let text = built_in_text(&found.value).map(str::to_owned);
        let refused = || format!("no text `{}`; texts: {}", found.value, BUILT_IN_TEXTS.join(", "));
        (format!("built-in text {}", found.value), found.clone(), text.ok_or_else(refused))
    } else if let Some(found) = file {
        let text = inputs.text(&found.value, "text file", LARGEST_TEXT);
        (format!("file {}", found.value), found, text)
    } else {
        let found = words?;
        let text = found.value.clone();
        ("words in the spec".to_owned(), found, Ok(text))
    };
    match text {
        Ok(value) => Some(SourceText { from, text: Found { value, line: found.line, key: found.key }, unsupported }),
        Err(refused) => {
            log.at(&found, refused);
            None
        }
    }
}
