//! The tables of a rule that learns, on its page.

use std::fmt::Write;

use agogic_policy::upper_edge;

use crate::body::{Body, KeyTables};
use crate::data::{key_tables, time_tables};
use crate::machine::{Machine, NAMED, WRITING};

/// What the tables are asked, and their entries.
pub(crate) fn tables(page: &mut String, machine: &Machine) {
    page.push_str(
        "## Evidence\n\n\
         Entries are whole numbers of 1/256 nat; above zero speaks for a hold. A time is looked up by its bin: bin 0 holds 0 to \
         8192 µs, and each further bin what is above the edge before and up to its own, the edge included. Bin 29 holds all \
         above 1048576 µs.\n\n",
    );
    match &machine.body {
        Body::Evidence { .. } | Body::KeyEvidence { .. } => page.push_str(
            "- *lull*: the column by whether a key is carried, the row by the bin of the lull. For the first press of all keys \
             since the machine started the row is `first`.\n\
             - *lead*: without a contact, the column `alone dwell` and the bin of the dwell. Else the bin of the time from the \
             own press to the press of the first contact; the column tells whether a contact came up no later than the own key \
             (`enclosed`) or not (`rolled`), and whether the first contact is of the opposite hand (`opposite`) or not (`near`).\n\
             - *overlap*: only with a contact: the bin of the time from the press of the first contact to the first release, the \
             own one or that of any contact, whichever comes first; the column as for the lead.\n\n",
        ),
        _ => page.push_str(
            "- *lull*: the column by whether a key is carried, the row by the bin of the lull. For the first press of all keys \
             since the machine started the row is `first`. It is added at the press.\n\
             - *course*: a press is in one of four states. *Alone*: it has no contact yet; the clock starts at the own press. \
             *Near* or *opposite*: it has one, and none has come up; the clock starts at the press of the first contact, and the \
             state is `opposite` if that is of the opposite hand. *Inside*: a contact has come up; the clock starts at that \
             release. The row is the bin of the state's clock. An event of the state adds the entry of its column: `alone \
             release`, `near release`, `opposite release`, `inside release` for the own release; `alone near contact`, `alone \
             opposite contact` for the first contact; `near other release`, `opposite other release` for the first release of \
             any contact. Other events add nothing. A bin passes when the clock is at its edge and no event of the state came \
             up to then, those of that instant included; then the entry of the column `… passed` is added, at the edge. Bin 29 \
             does not pass.\n\n",
        ),
    }
    if machine.body.keys().is_some() {
        let _ = write!(
            page,
            "Keys are looked up by their place: keys 0 to {} have the place of their number, all further keys share the place \
             {NAMED}, and the place {} is for no key: that of the press before, at the first press of all.\n\n\
             - *constant*: added at the press.\n\
             - *own*: the own key. *previous*: the key of the press before. *contact*: the key of the first contact.\n\
             - *own_previous* and *own_contact*: pairs, for own keys that have a column; a contact with the number {WRITING} or \
             more has no row there, and adds nothing.\n\
             - A table that does not stand below adds nothing.\n\n",
            NAMED - 1,
            NAMED + 1
        );
    }
    for (name, rows) in time_tables(&machine.body) {
        let _ = write!(page, "### Table `{name}`\n\n| bin | above µs | up to µs |");
        rows.iter().for_each(|(row, _)| {
            let _ = write!(page, " {row} |");
        });
        let _ = write!(page, "\n|---|---|---|{}\n", "---|".repeat(rows.len()));
        for bin in 0..rows[0].1.len() {
            let edge = |bin: usize| upper_edge(bin).map_or_else(String::new, |us| us.to_string());
            let (above, to) = (if bin == 0 { String::new() } else { edge(bin - 1) }, edge(bin));
            let row = if bin == 30 { "first".to_owned() } else { bin.to_string() };
            let _ = write!(page, "| {row} | {above} | {to} |");
            rows.iter().for_each(|(_, entries)| {
                let _ = write!(page, " {} |", entries[bin]);
            });
            page.push('\n');
        }
        page.push('\n');
    }
    if let Some(keys) = machine.body.keys() {
        tables_of_keys(page, keys);
    }
}

fn tables_of_keys(page: &mut String, keys: &KeyTables) {
    let _ = write!(page, "### The constant\n\n{}\n\n", keys.constant);
    for (name, width, entries) in key_tables(keys) {
        let columns = entries.len() / width;
        let names: Vec<String> = if columns == 1 {
            vec!["entry".to_owned()]
        } else {
            keys.rows.iter().map(|code| format!("own {}", code.index())).collect()
        };
        if names.is_empty() {
            continue;
        }
        let _ = write!(page, "### Table `{name}`\n\n| place |");
        names.iter().for_each(|name| {
            let _ = write!(page, " {name} |");
        });
        let _ = write!(page, "\n|---|{}\n", "---|".repeat(names.len()));
        for at in 0..width {
            let _ = write!(page, "| {at} |");
            (0..names.len()).for_each(|column| {
                let _ = write!(page, " {} |", entries[column * width + at]);
            });
            page.push('\n');
        }
        page.push('\n');
    }
}
