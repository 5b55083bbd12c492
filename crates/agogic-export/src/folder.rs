//! Everything that is exported of a setting, as files.

use crate::data::{SCHEMA, data};
use crate::edges::cases;
use crate::machine::Machine;
use crate::page::page;
use crate::source::sources;
use crate::states::diagram;
use crate::vectors::vectors_text;

/// The file by which an exported folder is known.
pub const MARKER: &str = "rule.json";

/// Every file of an exported folder, by name. The vectors hold so many random encounters, drawn from `seed`.
pub fn files(machine: &Machine, seed: u64, random: usize) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, String)> = sources(machine).into();
    files.extend(
        [
            (MARKER, data(machine)),
            ("rule.schema.json", SCHEMA.to_owned()),
            ("RULE.md", page(machine)),
            ("states.svg", diagram(machine)),
            ("vectors.txt", vectors_text(machine, &cases(machine, seed, random))),
        ]
        .map(|(name, text)| (name.to_owned(), text)),
    );
    files.into_iter().map(|(name, text)| (name, text.into_bytes())).collect()
}
