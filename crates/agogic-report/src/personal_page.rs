//! Advice for one person: tables, page and files.

use agogic_figures::{FigureError, Forest, ForestRow, IntervalNote};
use agogic_lab::{PersonalOutcome, PersonalPractice, Price};
use agogic_personal::{KeyErrors, PersonalVerdict, Row};

use crate::figures::{Drawing, scaled};
use crate::first_screen::{Card, FirstScreen};
use crate::folders::ReportError;
use crate::page::{PAGE, rendered};
use crate::section::Section;
use crate::sheet::{Cell, Column, Sheet};

/// What to know before anyone acts on such advice.
pub const PERSONAL_CAUTIONS: [&str; 3] = [
    "Hold gestures change with practice on a new setting, which no log of today shows: judge again after some weeks.",
    "A log holds what was typed, passwords too, and tables made from it say something of that. Keep both to yourself.",
    "Pain that stays is a matter for a clinician, not for a timing value.",
];

fn verdict(row: &Row) -> &'static str {
    match row.verdict {
        PersonalVerdict::Change => "yes",
        PersonalVerdict::Stay => "no",
        PersonalVerdict::StayUnsure => "not sure",
        PersonalVerdict::NotEnough => "not enough to say",
    }
}

/// Every rule: its personal setting, what that comes to, what it gains, and whether a change is worth it.
pub fn personal_table(outcome: &PersonalOutcome) -> Sheet {
    let columns = vec![
        Column::words("rule"),
        Column::words("personal setting"),
        Column::numbers("false holds", "per 1000 taps"),
        Column::numbers("missed holds", "per 100 holds"),
        Column::numbers("gain", "wrong decisions per 1000 presses"),
        Column::words("change?"),
    ];
    let rows = outcome.advice.rules.iter().map(|row| {
        let after = &row.choice.after;
        vec![
            Cell::Words(row.choice.rule.to_owned()),
            Cell::Words(row.choice.setting.clone()),
            Cell::Number(after.false_holds, 1),
            Cell::Number(after.missed_holds, 1),
            Cell::difference(Some(&row.choice.gain), 1),
            Cell::Words(verdict(row).to_owned()),
        ]
    });
    Sheet {
        name: "rules".into(),
        caption: format!(
            "The best setting of each rule for this person, and its gain over `{}` in a session to come.",
            outcome.advice.before
        ),
        columns,
        rows: rows.collect(),
    }
}

fn errors_table(name: &str, caption: String, first: &str, all: &[KeyErrors]) -> Sheet {
    let columns = vec![
        Column::words(first),
        Column::numbers("letters", ""),
        Column::numbers("held before", ""),
        Column::numbers("held after", ""),
        Column::numbers("holds", ""),
        Column::numbers("missed before", ""),
        Column::numbers("missed after", ""),
        Column::numbers("over 200 ms", "of 100 letters"),
    ];
    let count = |count: u64| Cell::Number(count as f64, 0);
    let rows = all.iter().map(|own| {
        let long = match own.taps {
            0 => Cell::Nothing,
            taps => Cell::Number(100.0 * own.long_taps as f64 / taps as f64, 1),
        };
        vec![
            Cell::Words(own.name.clone()),
            count(own.taps),
            count(own.false_holds[0]),
            count(own.false_holds[1]),
            count(own.holds),
            count(own.missed_holds[0]),
            count(own.missed_holds[1]),
            long,
        ]
    });
    Sheet { name: name.into(), caption, columns, rows: rows.collect() }
}

/// Where the setting before and the choice without tables err on the log, by key.
pub fn personal_keys_table(outcome: &PersonalOutcome) -> Sheet {
    let caption =
        format!("By key: wrong decisions on the log under `{}` and under what is advised.", outcome.advice.before);
    errors_table("keys", caption, "key", &outcome.advice.keys)
}

/// The same by finger.
pub fn personal_fingers_table(outcome: &PersonalOutcome) -> Sheet {
    errors_table("fingers", "By finger.".into(), "finger", &outcome.advice.fingers)
}

/// What settings come to on the text of the study.
pub fn personal_prices_table(prices: &[Price]) -> Sheet {
    let columns = vec![
        Column::words("setting"),
        Column::numbers("wrong keys", "per 1000 words"),
        Column::numbers("harm", "s per 1000 words"),
        Column::numbers("tap delay", "ms"),
    ];
    let cell = |value: Option<f64>, digits| value.map_or(Cell::Words("unknown".into()), |v| Cell::Number(v, digits));
    let rows = prices.iter().map(|own| {
        let figures = [cell(own.wrong_keys, 1), cell(own.harm, 0), cell(own.tap_delay, 0)];
        std::iter::once(Cell::Words(own.setting.clone())).chain(figures).collect()
    });
    Sheet {
        name: "prices".into(),
        caption: "What drawn typists like this person pay on the text of the study.".into(),
        columns,
        rows: rows.collect(),
    }
}

/// What practice with each rule does, as the model has it.
pub fn personal_practice_table(practice: &PersonalPractice) -> Sheet {
    let cost = |when: &str| Column::numbers(&format!("wrong decisions, {when}"), "per 1000 presses");
    let columns = vec![
        Column::words("setting"),
        Column::words("asks people to"),
        cost("no practice"),
        cost("half the habit"),
        cost("all of it"),
        Column::numbers("more than the first, then", ""),
    ];
    let rows = practice.settings.iter().enumerate().map(|(at, own)| {
        let costs = own.cost.map(|cost| Cell::Number(cost, 1));
        let more = if at == 0 { Cell::Nothing } else { Cell::difference(Some(&own.more), 1) };
        let words = [&own.setting, &own.asks].map(|words| Cell::Words(words.clone()));
        words.into_iter().chain(costs).chain([more]).collect()
    });
    Sheet {
        name: "practice".into(),
        caption:
            "Drawn typists like this person who come to hold as each rule asks. The model alone: no log shows that \
                  beforehand."
                .into(),
        columns,
        rows: rows.collect(),
    }
}

/// The page of advice for one person.
///
/// # Errors
/// The gains cannot be drawn.
pub fn personal_page(outcome: &PersonalOutcome, participant: &str) -> Result<String, FigureError> {
    let advice = &outcome.advice;
    let first = answer(outcome)?;
    let mut rules = Section::new("rules", "Every rule");
    rules.figure(&gains(outcome))?;
    rules.table(&personal_table(outcome), Some(&advice.simple.choice.setting));
    let mut keys = Section::new("keys", "Where it errs");
    if advice.keys.is_empty() {
        keys.paragraph("The log states of no dual-role press what it was meant as, so nothing on it can be judged.");
    } else {
        keys.table(&personal_keys_table(outcome), None);
        keys.table(&personal_fingers_table(outcome), None).folded("By finger");
    }
    let mut prices = Section::new("prices", "What it comes to");
    prices.table(&personal_prices_table(&outcome.prices), None);
    let mut cautions = Section::new("cautions", "Before you act on it");
    cautions.list(PERSONAL_CAUTIONS);
    let facts = format!(
        "{} presses, {} letters and {} holds of known meaning. What the log leaves unknown is filled with simulated people, {}.",
        advice.presses, advice.known[0], advice.known[1], advice.population
    );
    let heading = format!("Advice for {participant}");
    let practice = outcome.practice.as_ref().map(|found| {
        let mut section = Section::new("practice", "With practice");
        section.paragraph(&found.sentence);
        section.table(&personal_practice_table(found), found.settings.first().map(|own| &*own.setting));
        section
    });
    let sections: Vec<Section> = [rules, keys, prices].into_iter().chain(practice).chain([cautions]).collect();
    Ok(rendered(("log of", participant), env!("CARGO_PKG_VERSION"), &heading, &facts, &first, &sections))
}

/// Whether to change, to what, and where that would still err.
fn answer(outcome: &PersonalOutcome) -> Result<FirstScreen, FigureError> {
    let advice = &outcome.advice;
    let own = &advice.simple;
    let (setting, before) = (&own.choice.setting, &advice.before);
    let sentence = match own.verdict {
        PersonalVerdict::Change => format!("Change to `{setting}`."),
        PersonalVerdict::Stay => format!("No change is worth it: `{before}` stays."),
        PersonalVerdict::StayUnsure => format!("No change is worth it on what is known: `{before}` stays."),
        PersonalVerdict::NotEnough => format!("Not enough to say; until then `{before}` stays."),
    };
    let assumed = format!("what the log leaves unknown is filled with simulated people, `{}`.", advice.population);
    let mut first = FirstScreen::new(&sentence, &assumed);
    let heading = match own.verdict {
        PersonalVerdict::Change => format!("`{setting}` in place of `{before}`"),
        _ if setting == before => format!("`{before}`"),
        _ => format!("were it `{setting}` in place of `{before}`"),
    };
    let mut card = Card::new("", &heading);
    card.estimate("fewer wrong decisions", "per 1000 presses", &own.choice.gain, 1);
    let (then, now) = (&own.choice.after, &own.choice.before);
    let was = |rate: f64| format!("was {rate:.1}");
    card.number("false holds", "per 1000 taps", &format!("{:.1}", then.false_holds), &was(now.false_holds));
    card.number("missed holds", "per 100 holds", &format!("{:.1}", then.missed_holds), &was(now.missed_holds));
    still_wrong(&mut card, &advice.keys);
    if let Some(lacks) = &advice.lacks {
        card.line(&format!("The log has too little: {lacks}."));
    }
    if own.verdict == PersonalVerdict::Change && !advice.changes.is_empty() {
        card.line(&format!("To do: {}.", advice.changes.join("; ")));
    }
    first.card(card).intervals_as(&own.choice.gain);
    first.picture(&gains(outcome), "What each rule gains.", "rules")?;
    first.full.fold("In full: the answer with its intervals, and whom this person resembles", |full| {
        advice.sentences.iter().chain(&advice.portrait.as_ref().map(|own| own.sentence())).for_each(|sentence| {
            full.paragraph(sentence);
        });
        Ok(())
    })?;
    Ok(first)
}

/// The key on which the advised setting errs most on the log.
fn still_wrong(card: &mut Card, keys: &[KeyErrors]) {
    let all: u64 = keys.iter().map(|own| own.wrong()[1]).sum();
    match keys.iter().max_by_key(|own| own.wrong()[1]) {
        None => card.fails_unknown("not known; the log states of no dual-role press what it was meant as."),
        Some(_) if all == 0 => {
            card.fails_nobody("no decision on the log would be wrong; a session to come can have some.")
        }
        Some(worst) => {
            let count = worst.wrong()[1];
            card.fails(&format!("{count} of {all} decisions on the log that are wrong with it are on {}.", worst.name))
        }
    };
}

fn gains(outcome: &PersonalOutcome) -> Drawing {
    let advice = &outcome.advice;
    // The choice between several is among the rows of the rules.
    let each = advice.rules.iter().take(advice.rules.len() - 1);
    let known = each.filter(|row| row.choice.gain.value.is_some());
    let forest = Forest {
        title: "What each rule gains".into(),
        quantity: "fewer wrong decisions".into(),
        unit: "per 1000 presses".into(),
        context: format!("against {}", advice.before),
        rows: known
            .map(|row| {
                let group = if row.choice.tables { "with tables" } else { "without tables" };
                ForestRow::new(row.choice.setting.clone(), scaled(&row.choice.gain, 1.0)).in_group(group)
            })
            .collect(),
        signed: true,
        reference: Some(0.0),
        limits: None,
        interval: IntervalNote::new(
            "blocks of the log and draws of the person",
            advice.simple.choice.gain.level,
            "block of presses",
        ),
        simultaneous: None,
    };
    Drawing::forest("gains".into(), forest)
}

/// The files of advice for one person: page, tables, and the whole as JSON.
///
/// # Errors
/// The gains cannot be drawn.
pub fn personal_files(outcome: &PersonalOutcome, participant: &str) -> Result<Vec<(String, Vec<u8>)>, ReportError> {
    let json = serde_json::to_string_pretty(outcome).expect("advice is plain data") + "\n";
    let mut files = vec![
        (PAGE.to_owned(), personal_page(outcome, participant)?.into_bytes()),
        ("advice.json".to_owned(), json.into_bytes()),
        ("rules.csv".to_owned(), personal_table(outcome).csv().into_bytes()),
        ("keys.csv".to_owned(), personal_keys_table(outcome).csv().into_bytes()),
        ("fingers.csv".to_owned(), personal_fingers_table(outcome).csv().into_bytes()),
    ];
    if let Some(practice) = &outcome.practice {
        files.push(("practice.csv".to_owned(), personal_practice_table(practice).csv().into_bytes()));
    }
    Ok(files)
}
