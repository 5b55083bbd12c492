//! The key `letters` of `[keyboard]`, and files of letters: which character a key gives.

use agogic_keys::{Code, Letters, LettersDraft, Level};
use agogic_toml::{Found, Section, hint};

use crate::inputs::Inputs;

/// Largest file of letters accepted, in bytes.
const LARGEST: u64 = 1024 * 1024;

/// The letters of a `[keyboard]` table: those of the US unless it says otherwise. `None` only where a mistake was logged.
pub(super) fn of_keyboard(keyboard: &Section<'_, '_>, inputs: &Inputs<'_>) -> Option<Letters> {
    if !keyboard.contains("letters") {
        return Some(Letters::us());
    }
    if keyboard.is_table("letters") {
        let section = keyboard.section("letters")?;
        let letters = read(&section);
        section.finish();
        return letters;
    }
    let named = keyboard.text("letters")?;
    let letters = match Letters::by_name(&named.value) {
        Some(letters) => Ok(letters),
        None if named.value.ends_with(".toml") => of_file(&named.value, inputs),
        None => Err(format!(
            "no letters `{}`{}; letters: {}; or a file ending in .toml, or a table [keyboard.letters]",
            named.value,
            hint(&named.value, &Letters::NAMES),
            Letters::NAMES.join(", ")
        )),
    };
    letters.map_err(|refused| keyboard.diagnostics().at(&named, refused)).ok()
}

/// What a reader should know of letters other than those of the US.
pub(super) fn note(letters: &Letters) -> Option<String> {
    if letters.is_us() {
        return None;
    }
    let source = if letters.source().is_empty() { String::new() } else { format!(", {}", letters.source()) };
    let third = if letters.has_third_level() {
        "; the right Alt key is held for characters of the third level, and its role in tables is Layer"
    } else {
        ""
    };
    Some(format!("typed with the letters `{}`{source}{third}", letters.name()))
}

/// The letters of a file of their own, or every mistake in it, line by line.
fn of_file(named: &str, inputs: &Inputs<'_>) -> Result<Letters, String> {
    let text = inputs.text(named, "file of letters", LARGEST)?;
    let path = inputs.path(named);
    let path = path.display();
    let letters = agogic_toml::read(&text, read);
    letters.map_err(|mistakes| format!("the file of letters {path} has mistakes: {}", mistakes.in_one_line()))
}

/// `None` only where a mistake was logged.
fn read(section: &Section<'_, '_>) -> Option<Letters> {
    let before = section.diagnostics().count();
    let name = section.text("name");
    match &name {
        None => section.missing("name", "is missing; it names the letters in notes"),
        Some(name) if name.value.trim().is_empty() || Letters::NAMES.contains(&name.value.as_str()) => {
            let names = Letters::NAMES.join(", ");
            section.diagnostics().at(name, format!("must be a name of your own: not empty, and none of {names}"));
        }
        Some(_) => {}
    }
    let source = section.text("source").map(|found| found.value).unwrap_or_default();
    let known = Letters::NAMES.map(|name| (name, name));
    let like = section.choice("starts_from", &known).and_then(|found| Letters::by_name(found.value));
    let name = name.map(|found| found.value).unwrap_or_default();
    let mut draft = match &like {
        Some(like) => LettersDraft::like(&name, &source, like),
        None => LettersDraft::new(&name, &source),
    };
    for level in Level::ALL {
        for entry in section.named_texts(level.name()) {
            put(section, &mut draft, level, &entry);
        }
    }
    let built = draft.build();
    if let Err(mistakes) = &built {
        for mistake in mistakes {
            section.refuse(&[mistake.level.name(), mistake.code.name()], mistake.message.clone());
        }
    }
    built.ok().filter(|_| section.diagnostics().count() == before)
}

/// One key of one level.
fn put(section: &Section<'_, '_>, draft: &mut LettersDraft, level: Level, entry: &Found<(String, String)>) {
    let (name, text) = &entry.value;
    let code = name.parse::<Code>().map_err(|refused| {
        let names: Vec<&str> = Code::all().map(Code::name).collect();
        format!("{refused}{}", hint(name, &names))
    });
    let given = LettersDraft::character_of(text);
    let log = section.diagnostics();
    match (code, given) {
        (Ok(code), Ok(given)) => draft.put(level, code, given),
        (code, given) => {
            code.err().into_iter().chain(given.err()).for_each(|refused| log.at(entry, refused));
        }
    }
}
