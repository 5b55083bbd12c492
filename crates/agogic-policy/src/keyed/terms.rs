//! The terms of one press, in words: what each says, and how they add up.

use agogic_keys::{Code, Span};

use super::cells::KeyCells;
use super::slots::KeySlot;
use super::tables::{FittedSet, KeyTable};
use crate::{Encounter, SummaryRow};

/// One addend of a decision.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Term {
    /// What was seen, in words that a person reads.
    pub words: String,
    /// What it adds, in 1/256 nat; above zero speaks for a hold.
    pub units: i32,
}

/// The terms of a press under a set of tables, the constant first: their sum is the log odds of a hold.
pub fn terms(set: &FittedSet, rows: &[Code], encounter: &Encounter<'_>) -> Vec<Term> {
    let cells = KeyCells::of(encounter);
    let row = rows.iter().position(|code| *code == encounter.code);
    let mut terms = vec![Term { words: "how often keys are held".to_owned(), units: i32::from(set.constant()) }];
    for table in KeyTable::ALL {
        let Some(units) = cells.place(table, row).map(|place| i32::from(set.entries(table)[place])) else { continue };
        // A table that is not kept, or a cell that says nothing, needs no line, but for times, which everybody sees.
        if units != 0 || !table.tells_keys() {
            terms.push(Term { words: seen(table, &cells, encounter), units });
        }
    }
    terms
}

/// What a table looks at in this encounter.
fn seen(table: KeyTable, cells: &KeyCells, encounter: &Encounter<'_>) -> String {
    let ms = |us: i64| format!("{:.0} ms", us as f64 / 1e3);
    let own = encounter.code.name();
    let previous = cells.previous.words();
    let contact = cells.contact.map_or("no key", KeySlot::words);
    let kind = SummaryRow::ALL[usize::from(cells.lead) / crate::BINS];
    let down = encounter.contacts().next().map_or(0, |contact| contact.down);
    match table {
        KeyTable::Lull => {
            let still = if encounter.carried().next().is_some() { ", a key still down" } else { "" };
            let lull = encounter.lull.map_or("first press".to_owned(), |Span(us)| format!("lull {}", ms(us as i64)));
            format!("{lull}{still}")
        }
        KeyTable::Lead if cells.contact.is_none() => format!("alone for {}", ms(cells.at)),
        KeyTable::Lead => format!("{} {}", kind.words(), ms(down)),
        KeyTable::Overlap => format!("overlap {}", ms(cells.at - down)),
        KeyTable::Own => format!("own key {own}"),
        KeyTable::Contact => format!("{contact} came down"),
        KeyTable::Previous => format!("after {previous}"),
        KeyTable::OwnContact => format!("{own} with {contact}"),
        KeyTable::OwnPrevious => format!("{own} after {previous}"),
    }
}
