//! The tables `[keyboard]` and `[[assignment]]`: which keys have two roles.

use agogic_keys::{Assignment, Board, Code, Modifier, NamedAssignment};
use agogic_toml::{Found, Section};

use crate::inputs::Inputs;

use super::letters;

/// The default order of modifiers from little to index finger. Shift, by far the most used, goes to the
/// index finger; it is an assumption that studies of assignments vary.
const DEFAULT_ORDER: [Modifier; 4] = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];

/// Modifiers on the keys of a board.
pub(super) struct Keyboard {
    /// Name of the assignment; the same for all people.
    pub name: String,
    /// The board.
    pub board: Board,
    /// The dual-role keys.
    pub assignment: Assignment,
}

/// At least one keyboard. Assignments with a name of their own each make one.
pub(super) fn read(root: &Section<'_, '_>, inputs: &Inputs<'_>) -> Vec<Keyboard> {
    let mut board = Board::row_staggered();
    let section = root.section("keyboard");
    if let Some(found) = section.as_ref().and_then(|section| section.text("board")) {
        match Board::by_name(&found.value) {
            Some(named) => board = named,
            None => {
                let names = Board::NAMES.join(", ");
                root.diagnostics().at(&found, format!("no board `{}`; boards: {names}", found.value));
            }
        }
    }
    if let Some(letters) = section.as_ref().and_then(|section| letters::of_keyboard(section, inputs)) {
        board = board.with_letters(letters);
    }
    let listed = root.sections("assignment");
    let mut keyboards = Vec::new();
    if let Some(found) = section.as_ref().and_then(|section| section.text("orders")) {
        if found.value == "mirrored" {
            // Every order of the same four modifiers, little to index finger, alike on both hands.
            let all = NamedAssignment::mirrored_orders(&board, DEFAULT_ORDER);
            keyboards.extend(all.into_iter().map(|NamedAssignment { name, assignment }| Keyboard {
                name,
                board: board.clone(),
                assignment,
            }));
        } else {
            root.diagnostics().at(&found, "must be \"mirrored\": all 24 orders of four modifiers, alike on both hands");
        }
    }
    if listed.is_empty() && keyboards.is_empty() {
        let assignment = section.as_ref().map_or_else(|| default(&board), |section| read_assignment(section, &board));
        keyboards.push(Keyboard { name: "keyboard".to_owned(), board: board.clone(), assignment });
    }
    for section in listed {
        let name = section.text("name");
        if name.is_none() {
            section.missing("name", "is missing; it names the assignment in tables and files");
        }
        let assignment = read_assignment(&section, &board);
        section.finish();
        let Some(name) = name else { continue };
        if keyboards.iter().any(|keyboard| keyboard.name == name.value) {
            root.diagnostics().at(&name, format!("two assignments have the name `{}`", name.value));
        }
        keyboards.push(Keyboard { name: name.value, board: board.clone(), assignment });
    }
    if let Some(section) = section {
        section.finish();
    }
    if keyboards.is_empty() {
        // Only where mistakes were logged.
        let assignment = default(&board);
        keyboards.push(Keyboard { name: "keyboard".to_owned(), board, assignment });
    }
    keyboards
}

fn default(board: &Board) -> Assignment {
    Assignment::resting(board, DEFAULT_ORDER)
}

fn read_assignment(section: &Section<'_, '_>, board: &Board) -> Assignment {
    let log = section.diagnostics();
    let mut assignment = match section.texts("resting") {
        None => default(board),
        Some(names) if names.value.is_empty() => Assignment::none_on(board),
        Some(names) => resting(&names, board).unwrap_or_else(|refused| {
            log.at(&names, refused);
            Assignment::none_on(board)
        }),
    };
    for entry in section.named_texts("keys") {
        let (code, modifier) = &entry.value;
        let done = code
            .parse::<Code>()
            .map_err(|refused| refused.to_string())
            .and_then(|code| Ok((code, modifier.parse::<Modifier>().map_err(|refused| refused.to_string())?)))
            .and_then(|(code, modifier)| {
                assignment.assign(board, code, modifier).map_err(|refused| refused.to_string())
            });
        if let Err(refused) = done {
            log.at(&entry, refused);
        }
    }
    for (code, _) in assignment.iter().filter(|(code, _)| !board.letters().writes(*code)) {
        let name = board.letters().name();
        section.missing("letters", format!("{code} has two roles, but the letters `{name}` give it no character"));
    }
    assignment
}

fn resting(names: &Found<Vec<String>>, board: &Board) -> Result<Assignment, String> {
    let order: Result<Vec<Modifier>, _> = names.value.iter().map(|name| name.parse()).collect();
    let order = order.map_err(|refused| refused.to_string())?;
    let order = <[Modifier; 4]>::try_from(order)
        .map_err(|_| "must name four modifiers, from the little to the index finger, or none ([])".to_owned())?;
    Ok(Assignment::resting(board, order))
}
