//! The first screen of the page of a run.

use agogic_figures::FigureError;
use agogic_files::Results;
use agogic_lab::{ALL, Advice, Statistic};

use crate::first_screen::{Card, FirstScreen, settings_in_words};
use crate::stop::stop_sentence;
use crate::words::{assumed_line, listed};
use crate::{figures, tables};

/// Which setting, at what price, whom it fails.
///
/// # Errors
/// The picture cannot be drawn.
pub(crate) fn run_answer(results: &Results) -> Result<FirstScreen, FigureError> {
    let mut first = FirstScreen::new(&sentence(results), &assumed(results));
    for advice in &results.advice {
        first.card(card(results, advice));
    }
    if let Some(advice) = results.advice.first() {
        first.intervals_as(&advice.wrong_keys);
    }
    if let Some(arm) = results.manifest.arms.first() {
        let caption = format!("What each rule gets wrong: `{}`.", arm.label);
        first.picture(&figures::trade_off(results, &arm.label), &caption, "trade-off")?;
    }
    if let Some(sheet) = tables::assignment_table(results) {
        first.full.table(&sheet, None);
    }
    let full = in_full(results);
    first.full.fold("In full: the answer with all its intervals, and what to mind", |section| {
        section.append(full);
        Ok(())
    })?;
    Ok(first)
}

/// The answer in one sentence.
fn sentence(results: &Results) -> String {
    let tried = results.settings_and_rules();
    let (unsure, sure): (Vec<&Advice>, Vec<&Advice>) = results.advice.iter().partition(|own| own.nothing_sure());
    let pairs = |all: &[&Advice]| {
        settings_in_words(all.iter().map(|own| (own.arm.as_str(), own.best.as_str())).collect::<Vec<_>>())
    };
    match (sure.as_slice(), unsure.as_slice()) {
        ([], []) => "No setting of this study has a rate of wrong keys, so none can be called best.".to_owned(),
        ([], unsure) => format!("Nothing can be advised yet; the fewest wrong keys so far: {}.", pairs(unsure)),
        (sure, []) => format!("Fewest wrong keys of {tried}: {}.", pairs(sure)),
        (sure, unsure) => {
            let who: Vec<&str> = unsure.iter().map(|own| own.arm.as_str()).collect();
            format!("Fewest wrong keys of {tried}: {}. For {} nothing can be advised yet.", pairs(sure), listed(&who))
        }
    }
}

fn card(results: &Results, advice: &Advice) -> Card {
    let arms = results.manifest.arms.len();
    let who = if arms > 1 { advice.arm.as_str() } else { "" };
    let mut card = Card::new(who, &format!("`{}`", advice.best));
    card.estimate("wrong keys", "per 1000 words", &advice.wrong_keys, 1);
    card.estimate("false holds", "per 1000 taps", &advice.false_holds, 1);
    card.estimate("missed holds", "per 100 holds", &advice.missed_holds, 1);
    match worst(results, &advice.arm) {
        Some(worst) => card.fails(&worst),
        None => card.fails_unknown("not known: groups of fewer than 30 typists would say nothing."),
    };
    if !advice.alike.is_empty() {
        let alike: Vec<String> = advice.alike.iter().map(|other| format!("`{}`", other.label)).collect();
        card.line(&format!("Cannot be told apart from {}.", listed(&alike)));
    }
    card.ends(&advice.ends, &advice.best);
    card
}

/// What the study assumes of how people hold, in a line.
fn assumed(results: &Results) -> String {
    let mut adaptations = results.register.iter().filter(|entry| entry.name == "adaptation");
    assumed_line(adaptations.all(|entry| entry.value == 0.5))
}

/// The group in which the setting to start from does worst, with what it does there and over all.
fn worst(results: &Results, arm: &str) -> Option<String> {
    let best = results.best(arm)?;
    let all = results.value(arm, best, "wrong_keys")?;
    let of = |group: &str| {
        let row = results.group_row(arm, best, "wrong_keys", Statistic::Pooled, group)?;
        Some((row.estimate.value?, row.estimate.text(0)))
    };
    let groups = tables::groups(results, arm);
    let rates = groups.iter().filter_map(|group| Some((*group, of(group)?)));
    let (group, (_, text)) = rates.max_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    Some(format!("{group}, {text} wrong keys per 1000 words; {ALL} typists {all:.0}."))
}

/// The sentences with all their intervals, and the notes.
fn in_full(results: &Results) -> crate::Section {
    let mut section = crate::Section::new("answer", "Answer");
    for advice in &results.advice {
        section.lead(&advice.sentence);
    }
    section.paragraph(&format!(
        "How people hold a key with two meanings is not published: the study assumes {}. Treat small differences as \
         unsettled. An interval says how sure the simulation is of its own people, not how well they stand for yours.",
        assumed_of_holding(results)
    ));
    for arm in &results.manifest.arms {
        if let Some(sentence) = stop_sentence(results, &arm.label) {
            section.paragraph(&sentence);
        }
    }
    for note in &results.manifest.notes {
        section.paragraph(&format!("Note: {note}."));
    }
    section
}

/// What a study assumes of how people hold, and whether its answer looks at both ends of that.
fn assumed_of_holding(results: &Results) -> String {
    let mut adaptations = results.register.iter().filter(|entry| entry.name == "adaptation");
    let what = if adaptations.all(|entry| entry.value == 0.5) {
        "that they are half adapted"
    } else {
        "what the register below says of `adaptation`"
    };
    let at_the_ends = results.advice.iter().any(|advice| !advice.ends.is_empty());
    let ends = if at_the_ends { ", and says above what becomes of it at both ends" } else { "" };
    format!("{what}{ends}")
}
