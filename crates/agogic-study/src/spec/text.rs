//! The table `[text]`: what is typed.

use agogic_keys::{Assignment, Board, Letters, PairShares, TextPlan, Unsupported};
use agogic_toml::{Diagnostics, Found, Section};

use crate::inputs::Inputs;

use super::{digraphs, pairs};

/// The texts that come with the program, by name.
const TEXTS: [(&str, &str); 6] = [
    ("tide-station", include_str!("../../data/texts/tide-station.txt")),
    ("seed-library", include_str!("../../data/texts/seed-library.txt")),
    ("night-ferry", include_str!("../../data/texts/night-ferry.txt")),
    ("bread-class", include_str!("../../data/texts/bread-class.txt")),
    ("parish-minutes", include_str!("../../data/texts/parish-minutes.txt")),
    ("lost-parcel", include_str!("../../data/texts/lost-parcel.txt")),
];

/// Texts in other languages, with the letters that have a key for each of their characters.
const FOREIGN_TEXTS: [(&str, &str, &str); 2] = [
    ("klappbruecke", "german", include_str!("../../data/texts/klappbruecke.txt")),
    ("refuge", "swiss-french", include_str!("../../data/texts/refuge.txt")),
];

/// Names of the texts in other languages that come with the program, each with the letters it is typed with.
pub const TEXTS_IN_OTHER_LANGUAGES: [(&str, &str); FOREIGN_TEXTS.len()] = {
    let mut names = [("", ""); FOREIGN_TEXTS.len()];
    let mut at = 0;
    while at < names.len() {
        names[at] = (FOREIGN_TEXTS[at].0, FOREIGN_TEXTS[at].1);
        at += 1;
    }
    names
};

/// Texts that nobody is asked to type unless they name them: one in German and one that is a program, on which rules that
/// learned from other texts are tried.
pub const OTHER_TEXTS: [&str; 2] =
    [include_str!("../../data/texts/bootswerft.txt"), include_str!("../../data/texts/tide-program.txt")];

/// Names of the English texts that come with the program.
pub const BUILT_IN_TEXTS: [&str; TEXTS.len()] = {
    let mut names = [""; TEXTS.len()];
    let mut at = 0;
    while at < names.len() {
        names[at] = TEXTS[at].0;
        at += 1;
    }
    names
};

/// A text that comes with the program, in English or another language.
pub fn built_in_text(name: &str) -> Option<&'static str> {
    let foreign = FOREIGN_TEXTS.iter().map(|(known, _, text)| (known, text));
    TEXTS
        .iter()
        .map(|(known, text)| (known, text))
        .chain(foreign)
        .find(|(known, _)| **known == name)
        .map(|(_, text)| *text)
}

/// Largest text accepted, in bytes. More would only be repeated typing.
const LARGEST_TEXT: u64 = 16 * 1024 * 1024;

/// Texts of a study, at most: each is read and planned for each keyboard.
const MOST_TEXTS: usize = 1000;

/// The texts with the places they were named at, so that what is wrong with one on some keyboard can be located.
pub(super) struct SourceText {
    /// Where they came from, in words.
    pub from: String,
    /// Their names, each once.
    pub names: Vec<String>,
    /// What a reader should know of them, where there is something to say.
    pub note: Option<String>,
    texts: Vec<Found<String>>,
    unsupported: Unsupported,
    pairs: pairs::Pairs,
}

impl SourceText {
    /// How often letters follow each other in the texts, for these letters; and what a reader should know of it.
    pub fn pairs(&self, log: &Diagnostics, letters: &Letters) -> (PairShares, Option<String>) {
        let foreign = |name: &String| FOREIGN_TEXTS.iter().any(|(known, ..)| known == name);
        let english = letters.is_us() && !self.names.iter().any(foreign);
        let all = || self.texts.iter().map(|text| text.value.as_str()).collect::<Vec<_>>().join("\n\n");
        self.pairs.resolve(log, english, all)
    }

    /// The texts as steps on a keyboard; `None` where a mistake was logged.
    pub fn plan(&self, log: &Diagnostics, board: &Board, assignment: &Assignment) -> Option<TextPlan> {
        let of = |(name, text): (&String, &Found<String>)| {
            let refused = |refused| {
                let which = if self.texts.len() > 1 { format!("text `{name}`") } else { "text".to_owned() };
                log.at(text, format!("failed to read the {which}: {refused}"));
            };
            TextPlan::new(&text.value, board, assignment, self.unsupported).map_err(refused).ok()
        };
        // Every text is tried, so that what is wrong with each is told.
        let plans: Vec<Option<TextPlan>> = self.names.iter().zip(&self.texts).map(of).collect();
        TextPlan::several(plans.into_iter().collect::<Option<Vec<_>>>()?).map(TextPlan::cut_anywhere)
    }
}

/// `None` only where a mistake was logged.
pub(super) fn read(section: Section<'_, '_>, inputs: &Inputs<'_>, seed: u64) -> Option<SourceText> {
    let log = section.diagnostics();
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
    let pairs = pairs::read(&section, inputs);
    let (built_in, file, words) = (section.text("built_in"), section.text("file"), section.text("words"));
    let several = section.texts("several");
    let digraphs = section.text("digraphs");
    let given = [&built_in, &file, &words, &digraphs].into_iter().flatten().count() + usize::from(several.is_some());
    if given != 1 {
        section.missing(
            "",
            "must name what is typed: `built_in`, `file`, `words`, `several` or `digraphs`, and only one of them",
        );
        section.finish();
        return None;
    }
    if let Some(named) = digraphs {
        let read = digraphs::read(&section, &named, inputs, seed);
        section.finish();
        let digraphs::Drawn { text, note } = read?;
        let from = format!("text drawn from the digraphs of {}", named.value);
        let texts = vec![Found { value: text, line: named.line, key: named.key }];
        return Some(SourceText { from, names: vec![named.value], note: Some(note), texts, unsupported, pairs });
    }
    section.finish();
    let found = |text: &Found<String>, value: String| Found { value, line: text.line, key: text.key.clone() };
    let one = |from: String, named: &Found<String>, text: Result<String, String>, pairs: pairs::Pairs| {
        let text = text.map_err(|refused| log.at(named, refused)).ok()?;
        Some(SourceText {
            from,
            names: vec![named.value.clone()],
            note: None,
            texts: vec![found(named, text)],
            unsupported,
            pairs,
        })
    };
    if let Some(named) = built_in {
        one(format!("built-in text {}", named.value), &named, of_program(&named.value), pairs)
    } else if let Some(named) = file {
        one(format!("file {}", named.value), &named, inputs.text(&named.value, "text file", LARGEST_TEXT), pairs)
    } else if let Some(named) = several {
        read_several(log, &named, inputs, unsupported, pairs)
    } else {
        let text = words?;
        let named = found(&text, "words".to_owned());
        one("words in the spec".to_owned(), &named, Ok(text.value), pairs)
    }
}

fn of_program(name: &str) -> Result<String, String> {
    let refused = || {
        let foreign = TEXTS_IN_OTHER_LANGUAGES.map(|(name, letters)| format!("{name} (letters {letters})"));
        format!("no text `{name}`; texts: {}, {}", BUILT_IN_TEXTS.join(", "), foreign.join(", "))
    };
    built_in_text(name).map(str::to_owned).ok_or_else(refused)
}

/// Texts of the program by their names, and files by names that end in `.txt`.
fn read_several(
    log: &Diagnostics,
    list: &Found<Vec<String>>,
    inputs: &Inputs<'_>,
    unsupported: Unsupported,
    pairs: pairs::Pairs,
) -> Option<SourceText> {
    let names = &list.value;
    if names.is_empty() || names.len() > MOST_TEXTS {
        log.at(list, format!("has {} texts; name 1 to {MOST_TEXTS}", names.len()));
        return None;
    }
    let mut texts = Vec::new();
    for (at, name) in names.iter().enumerate() {
        if names[..at].contains(name) {
            log.at(list, format!("names the text `{name}` twice; each is typed as often as any other"));
            continue;
        }
        let text = if name.ends_with(".txt") {
            inputs.text(name, "text file", LARGEST_TEXT)
        } else {
            of_program(name).map_err(|refused| format!("{refused}; or a file ending in .txt"))
        };
        match text {
            Ok(value) => texts.push(Found { value, line: list.line, key: list.key.clone() }),
            Err(refused) => log.at(list, refused),
        }
    }
    let from = match names.as_slice() {
        [one] => format!("text {one}"),
        _ => format!("{} texts {}", names.len(), names.join(", ")),
    };
    (texts.len() == names.len()).then(|| SourceText {
        from,
        names: names.clone(),
        note: None,
        texts,
        unsupported,
        pairs,
    })
}
