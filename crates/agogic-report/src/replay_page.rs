//! The page of policies on a recorded log.

use agogic_figures::{FigureError, Forest, ForestRow, IntervalNote};
use agogic_replay::{Differ, ESTIMANDS, Estimand, PartRow, Replay, ReplayRow};

use crate::figures::{Drawing, scaled};
use crate::first_screen::{Card, FirstScreen};
use crate::page::rendered;
use crate::section::Section;
use crate::sheet::{Cell, Column, Sheet};
use crate::words::capital;

/// The page of a replay. `name` is of the log, `notes` are what to mind, each without its full stop.
///
/// # Errors
/// The data cannot be drawn.
pub fn replay_page(found: &Replay, name: &str, notes: &[String]) -> Result<String, FigureError> {
    let mut policies = Section::new("policies", "What each policy makes of it");
    policies.figure(&figure(found))?.table(&replay_policies_table(found), best(found));
    let pairs = pairs_table(found);
    let line = format!("How often each two of them differ: {} pairs", pairs.rows.len());
    policies.table(&pairs, None).folded(&line);
    let mut keys = Section::new("keys", "Where it errs");
    keys.table(&replay_parts_table("keys", "By key.", &found.by_key), None).folded("By key, policy by policy");
    keys.table(&replay_parts_table("fingers", "By finger.", &found.by_finger), None)
        .folded("By finger, policy by policy");
    let mut assumed = Section::new("assumptions", "What can be told");
    let judged = found.judged.iter().map(|own| {
        let verdict = if own.presses > 0 { "✓ judged" } else { "✗ not judged" };
        format!("{}: {verdict}; {}.", own.outcome, own.because)
    });
    let lines: Vec<String> = judged.chain(notes.iter().map(|note| format!("Note: {note}."))).collect();
    assumed.list(lines.iter().map(String::as_str));
    let mut methods = Section::new("methods", "How it was found");
    methods.paragraph(
        "Every policy saw the key events of the log and nothing else; what was meant met its decisions afterwards. Intervals \
         of one participant resample blocks of presses in time, those of several are over participants. They say how far a \
         number would move with more typing of the same kind, not how people type once a key has two meanings.",
    );
    let facts = replay_facts(found);
    let heading = format!("What policies make of {name}");
    let sections = [policies, keys, assumed, methods];
    Ok(rendered(("log", name), env!("CARGO_PKG_VERSION"), &heading, &facts, &answer(found)?, &sections))
}

/// What a replay stands on, in a sentence.
pub fn replay_facts(found: &Replay) -> String {
    let s = if found.participants == 1 { "" } else { "s" };
    let unstated = found.presses - found.taps - found.holds;
    format!(
        "{} participant{s}, {} presses, {} of dual-role keys: {} meant as taps, {} as holds, {unstated} unstated.",
        found.participants, found.keys, found.presses, found.taps, found.holds
    )
}

/// Name, unit and decimals.
fn head(estimand: Estimand) -> (&'static str, &'static str, usize) {
    match estimand {
        Estimand::FalseHolds => ("false holds", "per 1000 taps", 1),
        Estimand::MissedHolds => ("missed holds", "per 100 holds", 1),
        Estimand::WrongDecisions => ("wrong decisions", "per 1000 presses", 1),
        Estimand::DecidedHolds => ("decided holds", "per 100 presses", 1),
        Estimand::Delay => ("mean delay", "ms", 0),
        Estimand::LateDecisions => ("after 100 ms", "per 100 presses", 1),
    }
}

/// The estimand by which policies are put in order: wrong decisions where they can be judged, else the delay.
fn measure(found: &Replay) -> Estimand {
    let known = |row: &ReplayRow| row.estimand == Estimand::WrongDecisions && row.estimate.value.is_some();
    if found.rows.iter().any(known) { Estimand::WrongDecisions } else { Estimand::Delay }
}

/// The policy with the fewest wrong decisions; `None` where nothing was meant.
fn best(found: &Replay) -> Option<&str> {
    let value = |policy: &str| found.row(policy, Estimand::WrongDecisions)?.estimate.value;
    let known = found.policies.iter().filter_map(|policy| Some((policy.as_str(), value(policy)?)));
    known.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(policy, _)| policy)
}

fn answer(found: &Replay) -> Result<FirstScreen, FigureError> {
    let tried = found.policies.len();
    let best = best(found);
    let sentence = match best {
        Some(best) => format!("On this log `{best}` decides wrong least often, of {tried} policies."),
        None => {
            "The log does not say what was meant, so no policy can be called right; what they decide, and when, is \
                 below."
                .to_owned()
        }
    };
    let assumed = "the least of several looks better than it is, and ordinary typing does not show how its typist would hold a \
                   key once it has two meanings.";
    let mut first = FirstScreen::new(&sentence, assumed);
    let policy = best.unwrap_or(&found.policies[0]);
    let mut card = Card::new("", &format!("`{policy}`"));
    let shown = match best {
        Some(_) => [Estimand::FalseHolds, Estimand::MissedHolds, Estimand::Delay],
        None => [Estimand::DecidedHolds, Estimand::LateDecisions, Estimand::Delay],
    };
    let rows: Vec<&ReplayRow> = shown.into_iter().filter_map(|estimand| found.row(policy, estimand)).collect();
    for row in &rows {
        let (what, unit, digits) = head(row.estimand);
        card.estimate(what, unit, &row.estimate, digits);
    }
    fails(&mut card, found, policy, best.is_some());
    first.card(card);
    if let Some(row) = rows.iter().find(|row| row.estimate.value.is_some()) {
        first.intervals_as(&row.estimate);
    }
    first.picture(&figure(found), &format!("{} of each policy.", capital(head(measure(found)).0)), "policies")?;
    Ok(first)
}

/// The key on which a policy errs most.
fn fails(card: &mut Card, found: &Replay, policy: &str, judged: bool) {
    let rows = found.by_key.iter().filter(|row| row.policy == policy);
    let wrong = |row: &PartRow| row.false_holds + row.missed_holds;
    let all: u64 = rows.clone().map(wrong).sum();
    match rows.max_by_key(|row| wrong(row)) {
        Some(worst) if all > 0 => card.fails(&format!(
            "wrong decisions on the log: {all}; most of them on {}, {} as false and {} as missed holds.",
            worst.part, worst.false_holds, worst.missed_holds
        )),
        Some(_) if judged => {
            card.fails_nobody("no press of the log is decided wrong; a session to come can have some.")
        }
        _ => card.fails_unknown("not known; the log states of no press what it was meant as."),
    };
}

/// The intervals of each policy.
fn figure(found: &Replay) -> Drawing {
    let measure = measure(found);
    let (name, unit, _) = head(measure);
    let rows = || found.policies.iter().filter_map(|policy| found.row(policy, measure));
    let method = rows().next().map_or("", |row| row.estimate.method.as_str());
    let (level, of) = rows().next().map_or((0.95, ""), |row| (row.estimate.level, row.estimate.unit.as_str()));
    let forest = Forest {
        title: format!("{name} of each policy on the log"),
        quantity: name.into(),
        unit: unit.into(),
        context: format!("{} presses of dual-role keys", found.presses),
        rows: rows().map(|row| ForestRow::new(row.policy.clone(), scaled(&row.estimate, 1.0))).collect(),
        reference: None,
        signed: false,
        limits: None,
        interval: IntervalNote::new(method, level, of),
        simultaneous: None,
    };
    Drawing::forest("replay".into(), forest)
}

/// One row a policy. What nothing in the log lets one judge has no column.
pub fn replay_policies_table(found: &Replay) -> Sheet {
    let known =
        |estimand: &Estimand| found.rows.iter().any(|row| row.estimand == *estimand && row.estimate.value.is_some());
    let estimands: Vec<Estimand> = ESTIMANDS.into_iter().filter(known).collect();
    let mut columns = vec![Column::words("policy")];
    columns.extend(estimands.iter().map(|own| Column::numbers(head(*own).0, head(*own).1)));
    let row = |policy: &String| {
        let of = |own: &Estimand| Cell::estimate(found.row(policy, *own).map(|row| &row.estimate), head(*own).2);
        std::iter::once(Cell::Words(policy.clone())).chain(estimands.iter().map(of)).collect()
    };
    Sheet {
        name: "policies".into(),
        caption: "What each policy makes of the same presses.".into(),
        columns,
        rows: found.policies.iter().map(row).collect(),
    }
}

fn pairs_table(found: &Replay) -> Sheet {
    let count = |count: u64| Cell::Number(count as f64, 0);
    let row = |pair: &Differ| {
        let words = [&pair.first, &pair.second].map(|policy| Cell::Words(policy.clone()));
        let numbers = [Cell::estimate(Some(&pair.per_100), 1), count(pair.tap_to_hold), count(pair.hold_to_tap)];
        words.into_iter().chain(numbers).collect()
    };
    Sheet {
        name: "pairs".into(),
        caption: "Presses that two policies decide otherwise.".into(),
        columns: vec![
            Column::words("policy"),
            Column::words("other policy"),
            Column::numbers("differ", "per 100 presses"),
            Column::numbers("tap, other hold", "presses"),
            Column::numbers("hold, other tap", "presses"),
        ],
        rows: found.differ.iter().map(row).collect(),
    }
}

/// One row a policy and part, such as a key or a finger: how often it was pressed, and what became of that.
pub fn replay_parts_table(name: &str, caption: &str, rows: &[PartRow]) -> Sheet {
    let titles = ["presses", "decided holds", "taps", "false holds", "holds", "missed holds"];
    let words = ["policy", "part"].map(Column::words);
    let row = |own: &PartRow| {
        let counts = [own.presses, own.decided_holds, own.taps, own.false_holds, own.holds, own.missed_holds];
        let words = [&own.policy, &own.part].map(|text| Cell::Words(text.clone()));
        words.into_iter().chain(counts.map(|count| Cell::Number(count as f64, 0))).collect()
    };
    Sheet {
        name: name.into(),
        caption: caption.into(),
        columns: words.into_iter().chain(titles.map(|title| Column::numbers(title, ""))).collect(),
        rows: rows.iter().map(row).collect(),
    }
}
