//! The table `[workload]`: what interrupts the text.

use agogic_keys::{Assignment, Board, Code, Modifier, Rates, Shortcut, Workload};
use agogic_toml::{Diagnostics, Found, Section};

/// What interrupts the text, before it is resolved to the keys of a keyboard.
pub(super) struct Interruptions {
    /// Rates per 1000 keys.
    pub rates: Rates,
    /// The shortcuts behind them.
    pub shortcuts: Vec<Shortcut>,
    place: Option<Found<()>>,
}

impl Interruptions {
    /// The interruptions on a keyboard; none where a mistake was logged.
    pub fn resolve(&self, log: &Diagnostics, board: &Board, assignment: &Assignment) -> Workload {
        let Some(place) = &self.place else { return Workload::none() };
        Workload::new(board, assignment, self.rates, &self.shortcuts).unwrap_or_else(|refused| {
            log.at(place, refused.to_string());
            Workload::none()
        })
    }
}

pub(super) fn read(section: Option<Section<'_, '_>>) -> Interruptions {
    let Some(section) = section else {
        return Interruptions { rates: Rates::default(), shortcuts: Vec::new(), place: None };
    };
    let place = Some(Found { value: (), line: section.line(), key: "workload".to_owned() });
    let rate = |key: &'static str| section.number(key).map_or(0.0, |found| found.value);
    let rates = Rates {
        shortcuts: rate("shortcuts_per_1000_keys"),
        bare_holds: rate("bare_holds_per_1000_keys"),
        repeats: rate("repeats_per_1000_keys"),
    };
    let listed = section.sections("shortcut");
    let own = !listed.is_empty();
    let mut shortcuts: Vec<Shortcut> = listed.into_iter().filter_map(read_shortcut).collect();
    if !own {
        shortcuts = Workload::example_shortcuts();
    }
    section.finish();
    Interruptions { rates, shortcuts, place }
}

fn read_shortcut(section: Section<'_, '_>) -> Option<Shortcut> {
    let log = section.diagnostics();
    let role = |found: Found<String>| {
        found.value.parse::<Modifier>().map_err(|refused| log.at(&found, refused.to_string())).ok()
    };
    let (modifier, target) = (section.text("modifier"), section.text("target"));
    if modifier.is_none() || target.is_none() {
        section.missing("", "needs a `modifier` and a `target`, such as modifier = \"Control\", target = \"KeyC\"");
    }
    let modifier = modifier.and_then(role);
    let also = section.text("also").map(role);
    let target = target
        .and_then(|found| found.value.parse::<Code>().map_err(|refused| log.at(&found, refused.to_string())).ok());
    let weight = section.number("weight").map_or(1.0, |found| found.value);
    section.finish();
    // An `also` that was refused is a mistake already; the shortcut without it would be another one.
    let also = match also {
        None => None,
        Some(role) => Some(role?),
    };
    Some(Shortcut { modifier: modifier?, also, target: target?, weight })
}
