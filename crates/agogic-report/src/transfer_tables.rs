//! The tables of rules that learn: trained on, judged on.

use agogic_lab::{Transfer, TransferRow};

use crate::sheet::{Cell, Column, Sheet};
use crate::tables::slug;

/// Every policy in every world: what it was trained on down, what it was judged on across.
pub fn transfer_table(transfer: &Transfer) -> Sheet {
    let worlds = worlds(transfer);
    let mut columns = vec![Column::words("policy"), Column::words("trained on")];
    columns.extend(worlds.iter().map(|world| Column::numbers(&format!("on {world}"), &transfer.unit)));
    columns.extend([Column::numbers("at worst", &transfer.unit), Column::words("which is on")]);
    let row = |row: &TransferRow| {
        let on = worlds.iter().map(|world| {
            let own = row.on.iter().find(|own| own.world == *world);
            Cell::estimate(own.map(|own| &own.estimate), 1)
        });
        let mut cells = vec![Cell::Words(row.policy.clone()), trained_on(row)];
        cells.extend(on);
        cells.extend(at_worst(row));
        cells
    };
    Sheet {
        name: format!("trained-on-judged-on-{}", slug(&transfer.arm)),
        caption: format!(
            "{} of rules that learn, with the people and text of the study (first) and elsewhere; then of rules that learn nothing. {}",
            figure(transfer),
            intervals(transfer)
        ),
        columns,
        rows: transfer.rows.iter().map(row).collect(),
    }
}

/// The rules that learn, each with its figure where it learned and its worst, and of the others the one with the least
/// worst.
pub fn transfer_in_short(transfer: &Transfer) -> Sheet {
    let figure = transfer.estimand.replace('_', " ");
    let row = |row: &TransferRow| {
        let own = Cell::estimate(row.own().map(|own| &own.estimate), 1);
        [Cell::Words(row.policy.clone()), trained_on(row), own].into_iter().chain(at_worst(row)).collect()
    };
    Sheet {
        name: format!("trained-on-in-short-{}", slug(&transfer.arm)),
        caption: format!(
            "Rules that learn, with the people and text of the study and at worst elsewhere; of those that learn nothing the \
             one that is least bad at worst. {}",
            intervals(transfer)
        ),
        columns: vec![
            Column::words("policy"),
            Column::words("trained on"),
            Column::numbers(&format!("{figure} on {}", transfer.arm), &transfer.unit),
            Column::numbers("at worst", &transfer.unit),
            Column::words("which is on"),
        ],
        rows: transfer.learned().chain(transfer.best_simple()).map(row).collect(),
    }
}

/// Every world down, policies across: for many worlds.
pub fn world_table(transfer: &Transfer) -> Sheet {
    let mut columns = vec![Column::words("judged on")];
    columns.extend(transfer.rows.iter().map(|row| {
        let title = row.trained_on.as_ref().map_or(row.policy.clone(), |on| format!("{}, trained on {on}", row.policy));
        Column::numbers(&title, &transfer.unit)
    }));
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for world in worlds(transfer) {
        let on = |row: &TransferRow| {
            let own = row.on.iter().find(|own| own.world == world);
            Cell::estimate(own.map(|own| &own.estimate), 1)
        };
        rows.push(std::iter::once(Cell::Words(world.to_owned())).chain(transfer.rows.iter().map(on)).collect());
    }
    let worst = transfer.rows.iter().map(|row| Cell::estimate(row.worst.as_ref().map(|worst| &worst.estimate), 1));
    rows.push(std::iter::once(Cell::Words("at worst".into())).chain(worst).collect());
    Sheet {
        name: format!("trained-on-judged-on-{}", slug(&transfer.arm)),
        caption: format!("{} in every world. {}", figure(transfer), intervals(transfer)),
        columns,
        rows,
    }
}

/// The estimand at the beginning of a sentence.
fn figure(transfer: &Transfer) -> String {
    crate::words::capital(&transfer.estimand.replace('_', " "))
}

/// The worlds in which some policy was judged, in order.
fn worlds(transfer: &Transfer) -> Vec<&str> {
    let mut worlds: Vec<&str> = Vec::new();
    for own in transfer.rows.iter().flat_map(|row| &row.on) {
        if !worlds.contains(&own.world.as_str()) {
            worlds.push(&own.world);
        }
    }
    worlds
}

fn trained_on(row: &TransferRow) -> Cell {
    Cell::Words(row.trained_on.clone().unwrap_or_else(|| "nothing".to_owned()))
}

fn at_worst(row: &TransferRow) -> [Cell; 2] {
    let world = row.worst.as_ref().map_or(Cell::Nothing, |worst| Cell::Words(worst.world.clone()));
    [Cell::estimate(row.worst.as_ref().map(|worst| &worst.estimate), 1), world]
}

/// How the intervals were made, and on how many typists.
fn intervals(transfer: &Transfer) -> String {
    let own = transfer.rows.iter().find_map(TransferRow::own);
    let elsewhere = transfer.rows.iter().flat_map(|row| row.on.get(1)).map(|own| own.estimate.n).min();
    let level = own.map_or(95.0, |own| 100.0 * own.estimate.level);
    let typists = match (own, elsewhere) {
        (Some(own), Some(elsewhere)) => {
            format!("{} typists here, {elsewhere} or more elsewhere", own.estimate.n)
        }
        _ => String::new(),
    };
    format!(
        "{typists}; {level:.0} % intervals, each for itself, unit of resampling: typist. The worst is the largest of several \
         figures, so it tends to lie above the truth; its limits are the largest of intervals that hold together \
         (Bonferroni)."
    )
}
