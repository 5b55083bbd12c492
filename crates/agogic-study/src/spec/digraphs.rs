//! The keys of `[text]` that draw a text from a table of digraphs.

use agogic_keys::{DigraphDraw, Digraphs, Purpose, stream};

use crate::inputs::Inputs;
use agogic_toml::{Found, Section};

use super::typists::MOST_KEYS;

/// Largest table accepted, in bytes.
pub(super) const LARGEST: u64 = 4 * 1024 * 1024;

/// Letters of a drawn text if the spec is silent, and at least.
const LETTERS: u64 = 20_000;
const LEAST_LETTERS: u64 = 1000;

/// Weight of the prior after each letter if the spec is silent: as if one letter more had been seen there.
const PRIOR_LETTERS: f64 = 1.0;

/// A text, and what a reader should know of it.
pub(super) struct Drawn {
    pub text: String,
    pub note: String,
}

/// The text of a table; `None` only where a mistake was logged.
pub(super) fn read(section: &Section<'_, '_>, named: &Found<String>, inputs: &Inputs<'_>, seed: u64) -> Option<Drawn> {
    let log = section.diagnostics();
    let letters = section.whole_within("letters", LETTERS, LEAST_LETTERS..=MOST_KEYS) as usize;
    let mut sound = true;
    let mut number = |key: &'static str, least: f64, wanted: &str| -> Option<f64> {
        let most = if key == "capital_words" { 1.0 } else { 1e15 };
        let found = section.number(key)?;
        if found.value.is_finite() && found.value >= least && found.value <= most {
            return Some(found.value);
        }
        log.at(&found, format!("must be {wanted}, not {}", found.value));
        sound = false;
        None
    };
    let word_letters = number("word_letters", 1.0, "the letters of a word on average, 1 at least");
    let counted = number("counted_letters", 1.0, "how many letters the table was counted from, 1 at least");
    let prior_letters = number("prior_letters", 0.0, "a weight in letters, 0 at least").unwrap_or(PRIOR_LETTERS);
    let capital_words = number("capital_words", 0.0, "a share of words, from 0 to 1").unwrap_or_default();
    let table = inputs.text(&named.value, "table of digraphs", LARGEST);
    let table = table.and_then(|text| {
        Digraphs::parse(&text).map_err(|refused| format!("failed to read the table of digraphs: {refused}"))
    });
    let table = table.map_err(|refused| log.at(named, refused)).ok()?;
    match (table.knows_words(), word_letters) {
        (false, None) => {
            log.at(
                named,
                "has no pairs with `space` that end and begin words; add them, or word_letters = 4.8, the letters of a \
                 word on average",
            );
            return None;
        }
        (true, Some(_)) => {
            section.missing("word_letters", "stands beside a table whose pairs with `space` tell how long words are");
            return None;
        }
        _ => {}
    }
    let draw = DigraphDraw { letters, word_letters, counted, prior_letters, capital_words };
    let text = table.text(&draw, &mut stream(seed, Purpose::Digraphs, 0, 0));
    let note = format!(
        "the text is {letters} letters drawn from the digraphs of {}, with a prior of {prior_letters} letters after each: \
         real words have more order than pairs tell, and what rules that know keys learn from it counts as one reading",
        named.value
    );
    let note = if text.contains(char::is_uppercase) {
        note
    } else {
        format!(
            "{note}; it has no capitals, so holds of Shift are not learned; state them as pairs, or the share of words that \
             begin with one as capital_words"
        )
    };
    sound.then_some(Drawn { text, note })
}
