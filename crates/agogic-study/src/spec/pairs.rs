//! The keys of `[text]` that say how rare pairs of letters are in its language.

use std::sync::Arc;

use agogic_keys::{CountedPairs, Digraphs, PairShares};
use agogic_toml::{Diagnostics, Found, Section};

use crate::inputs::Inputs;

use super::digraphs;

/// What a spec says of pairs of letters.
enum Said {
    /// Nothing.
    Nothing,
    /// Those of English.
    English,
    /// Those of the text itself.
    Text(Found<String>),
    /// None.
    Unknown,
    /// Those of a file, and what a reader should know of them.
    File(Arc<CountedPairs>, String),
}

/// What a spec says of pairs of letters, with its place.
pub(super) struct Pairs(Said);

/// A mistake is logged, and then nothing counts as said.
pub(super) fn read(section: &Section<'_, '_>, inputs: &Inputs<'_>) -> Pairs {
    let source = section.text("pair_shares_source");
    let Some(found) = section.text("pair_shares") else {
        if let Some(source) = source {
            section.diagnostics().at(&source, "says where a file of pair_shares comes from, and there is none");
        }
        return Pairs(Said::Nothing);
    };
    let log = section.diagnostics();
    let file = found.value.ends_with(".csv");
    match &source {
        Some(source) if !file => {
            log.at(source, "says where a file of pair_shares comes from; other shares need none");
        }
        Some(source) if source.value.trim().is_empty() => log.at(source, "must say where the counts come from"),
        None if file => {
            section.missing("pair_shares_source", "is missing; say in a sentence where the counts come from")
        }
        _ => {}
    }
    Pairs(match found.value.as_str() {
        "english" => Said::English,
        "text" => Said::Text(found),
        "none" => Said::Unknown,
        name if file => {
            of_file(name, source.map(|found| found.value).unwrap_or_default(), inputs).unwrap_or_else(|refused| {
                log.at(&found, refused);
                Said::Nothing
            })
        }
        _ => {
            log.at(
                &found,
                "must be \"english\", \"text\" (counted in the text itself), \"none\", or a file ending in .csv with the head \
                 first,second,count",
            );
            Said::Nothing
        }
    })
}

fn of_file(name: &str, source: String, inputs: &Inputs<'_>) -> Result<Said, String> {
    let text = inputs.text(name, "table of pairs of letters", digraphs::LARGEST)?;
    let failed = |refused: String| format!("failed to read the table of pairs of letters: {refused}");
    let table = Digraphs::parse(&text).map_err(|refused| failed(refused.to_string()))?;
    let pairs = CountedPairs::of_counts(table.pairs()).map_err(|refused| failed(refused.to_string()))?;
    let note = format!(
        "rare pairs of letters take longer by the shares of {name}, not by those of English; their source: {source}"
    );
    Ok(Said::File(Arc::new(pairs), note))
}

impl Pairs {
    /// The shares for these texts, and what a reader should know of them, where the shares are not those of English on the
    /// letters that it is typed with.
    ///
    /// # Definition
    /// Where nothing was said: those of English if the letters are those of the US and no text that comes with the program
    /// is in another language; otherwise those of the texts, or none where these are too short.
    pub fn resolve(
        &self,
        log: &Diagnostics,
        english: bool,
        texts: impl Fn() -> String,
    ) -> (PairShares, Option<String>) {
        const NOT_ENGLISH: &str = "the published shares of English do not apply";
        let counted = || {
            let own = CountedPairs::of_text(&texts());
            own.map(|own| {
                let note = format!(
                    "rare pairs of letters take longer by shares counted in the text itself, {} pairs within words: {NOT_ENGLISH}",
                    own.counted()
                );
                (PairShares::Counted(Arc::new(own)), Some(note))
            })
        };
        let unknown = |why: &str| {
            let note = format!("no pair of letters takes longer for being rare: {NOT_ENGLISH}{why}");
            (PairShares::Unknown, Some(note))
        };
        match &self.0 {
            Said::English => {
                let note = "rare pairs of letters take longer by the published shares of English, as the spec asks";
                (PairShares::English, (!english).then(|| note.to_owned()))
            }
            Said::Unknown => unknown(""),
            Said::File(pairs, note) => (PairShares::Counted(Arc::clone(pairs)), Some(note.clone())),
            Said::Text(found) => counted().unwrap_or_else(|refused| {
                log.at(found, format!("the text tells no shares of pairs: {refused}"));
                (PairShares::English, None)
            }),
            Said::Nothing if english => {
                let foreign = |c: char| c.is_alphabetic() && !c.is_ascii();
                let note = texts().contains(foreign).then(|| {
                    "rare pairs of letters take longer by the published shares of English, though the text has letters that \
                     English lacks; pair_shares = \"text\" counts its own"
                        .to_owned()
                });
                (PairShares::English, note)
            }
            Said::Nothing => {
                counted().unwrap_or_else(|refused| unknown(&format!(", and the text tells none of its own: {refused}")))
            }
        }
    }
}
