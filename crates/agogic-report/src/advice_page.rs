//! The page of advice: the first screen answers which setting, how sure, whom it fails and what to turn.

use agogic_figures::{FigureError, Forest, ForestRow, IntervalNote};
use agogic_lab::{PRACTICE_NOTE, Recommendation, Robustness};
use agogic_study::{AdvicePlan, Study};

use crate::advice_answer::{advice_answer, fates_in_short, robust_answer};
use crate::advice_tables::{
    effect_table, fate_table, figure_name, list_table, practice_table, rules_table, whom_table,
};
use crate::common_sections::{assumed, to_repeat};
use crate::figures::{Drawing, scaled};
use crate::page::rendered;
use crate::section::Section;
use crate::tables::slug;
use crate::transfer_tables::{transfer_in_short, world_table};
use crate::words::in_each_group;

/// The page of an advice; with a robustness analysis where there is one.
///
/// It holds nothing that differs between two runs of one study, so it repeats to the byte.
///
/// # Errors
/// The data cannot be drawn.
///
/// # Panics
/// If the study has no table `advice`: then there is nothing to show.
pub fn advice_page(study: &Study, advice: &[Recommendation], robust: &[Robustness]) -> Result<String, FigureError> {
    let plan = study.advice.as_ref().expect("advice comes from a study that asks for it");
    let first = advice_answer(study, plan, advice, robust)?;
    let mut sections = Vec::new();
    for (at, own) in advice.iter().enumerate() {
        sections.push(one_arm(study, plan, own, at > 0)?);
    }
    sections.extend([assumptions(study, robust), methods(study, plan, advice), to_repeat(study)]);
    let heading = heading(study, "Advice");
    let facts = format!(
        "{} typists searched and {} others confirmed{}, seed {}. Every number \
         is of simulated people.",
        plan.search_typists,
        plan.confirm_typists,
        in_each_group(advice.len()),
        study.seed
    );
    Ok(rendered(("study", &study.name), env!("CARGO_PKG_VERSION"), &heading, &facts, &first, &sections))
}

/// The page of a robustness analysis of a study that asks for no advice.
///
/// # Errors
/// The data cannot be drawn.
pub fn robust_page(study: &Study, robust: &[Robustness]) -> Result<String, FigureError> {
    let mut methods = Section::new("methods", "How it was found");
    let moved: Vec<String> = robust
        .iter()
        .map(|arm| {
            format!("{}: {} numbers, and {} points with all of them moved", arm.arm, arm.assumptions, arm.points)
        })
        .collect();
    methods.paragraph(&format!(
        "The same {} simulated typists typed again with other numbers of the model. {}.",
        study.robust.typists,
        moved.join("; ")
    ));
    let heading = heading(study, "Robustness");
    let sections = [assumptions(study, robust), methods, to_repeat(study)];
    let facts = format!("{} typists, seed {}. Every number is of simulated people.", study.robust.typists, study.seed);
    Ok(rendered(
        ("study", &study.name),
        env!("CARGO_PKG_VERSION"),
        &heading,
        &facts,
        &robust_answer(study, robust),
        &sections,
    ))
}

/// What a study asks, or what its page is about.
pub(crate) fn heading(study: &Study, about: &str) -> String {
    if study.question.is_empty() { format!("{about} of {}", study.name) } else { study.question.clone() }
}

/// What was found for one arm; folded away where it is not the first.
fn one_arm(study: &Study, plan: &AdvicePlan, own: &Recommendation, folded: bool) -> Result<Section, FigureError> {
    let mut section = Section::new(&format!("arm-{}", slug(&own.arm)), &format!("What was found: {}", own.arm));
    if folded {
        let line = match (&own.setting, own.subgroups.first()) {
            (Some(setting), _) => {
                format!("`{setting}`, what another rule costs, whom it fails, what turning a value does")
            }
            (None, _) => "No setting for sure; the nearest, whom it fails, what turning a value does".to_owned(),
        };
        section.fold(&line, |section| in_arm(section, study, plan, own))?;
    } else {
        in_arm(&mut section, study, plan, own)?;
    }
    Ok(section)
}

fn in_arm(section: &mut Section, study: &Study, plan: &AdvicePlan, own: &Recommendation) -> Result<(), FigureError> {
    section.heading("The short list, on fresh typists");
    section.figure(&short_list(study, plan, own))?;
    section.table(&list_table(plan, own), own.setting.as_deref());
    section.heading("Whom it serves, and whom it fails");
    section.table(&whom_table(own), None);
    if !own.for_them.is_empty() {
        section.list(own.for_them.iter().map(String::as_str));
    }
    section.heading("What another rule costs");
    section.table(&rules_table(plan, own), own.setting.as_deref());
    if let Some(transfer) = &own.transfer {
        section.fold("Rules that learn, where they did not learn", |section| {
            section.table(&transfer_in_short(transfer), own.setting.as_deref());
            section.table(&world_table(transfer), None);
            Ok(())
        })?;
    }
    if let Some(practice) = &own.practice {
        section.heading("While people practise");
        section.paragraph(&format!("{} {PRACTICE_NOTE}", practice.sentence));
        section.table(&practice_table(plan, practice), own.setting.as_deref()).folded("Every rule, stage by stage");
    }
    if !own.effects.is_empty() {
        section.table(&effect_table(plan, own), None).folded("What turning a value does");
    }
    let changed: Vec<String> = own
        .what_ifs
        .iter()
        .filter(|turn| turn.another)
        .map(|turn| match &turn.setting {
            Some(setting) => format!("{}: `{setting}`", turn.asked),
            None => format!("{}: nothing seems to meet it", turn.asked),
        })
        .collect();
    let first = own.first_in_search.as_ref().map_or_else(|| "nothing".to_owned(), |setting| format!("`{setting}`"));
    let (count, all) = (changed.len(), own.what_ifs.len());
    section.fold(&format!("What would change the advice: {count} of {all} other questions"), |section| {
        section.paragraph(&format!(
            "From the search alone, not confirmed. As asked, it puts {first} first; {count} of {all} other questions have \
             another answer."
        ));
        section.list(changed.iter().map(String::as_str));
        Ok(())
    })?;
    section.paragraph(&own.intervals()).folded("How the intervals were made");
    Ok(())
}

/// The short list with its intervals.
pub(crate) fn short_list(study: &Study, plan: &AdvicePlan, own: &Recommendation) -> Drawing {
    let rows = own.listed.iter().map(|listed| ForestRow::new(&listed.setting, scaled(&listed.loss, 1.0)));
    let method = own.listed.first().map_or("", |listed| listed.loss.method.as_str());
    let forest = Forest {
        title: format!("{} of the short list", figure_name(plan)),
        quantity: figure_name(plan),
        unit: plan.objective.unit.into(),
        context: format!("{}: {} fresh simulated typists", own.arm, plan.confirm_typists),
        rows: rows.collect(),
        signed: false,
        reference: None,
        limits: None,
        interval: IntervalNote::new(method, study.inference.level.confidence(), "typist"),
        simultaneous: None,
    };
    Drawing::forest(format!("short-list-{}", slug(&own.arm)), forest)
}

/// What is assumed, and what other assumptions do to the conclusions where they were tried.
fn assumptions(study: &Study, robust: &[Robustness]) -> Section {
    let mut section = assumed(study);
    if robust.is_empty() {
        return section;
    }
    section.heading("What other assumptions do to it").paragraph(&format!(
        "Every number of the model that is assumed was moved to both ends of its range, and all of them together. An \
         assumption breaks a conclusion if it surely turns it round (error over all of them {:.0} %).",
        100.0 * study.inference.level.alpha()
    ));
    let sheet = fate_table(study, robust);
    let line = format!("Every conclusion, and what speaks against it. {}", fates_in_short(robust));
    section.table(&sheet, None).folded(&line);
    section
}

fn methods(study: &Study, plan: &AdvicePlan, advice: &[Recommendation]) -> Section {
    let mut section = Section::new("methods", "How it was found");
    let tried: Vec<String> = advice.iter().map(|own| format!("{} in {}", own.searched.len(), own.arm)).collect();
    section.paragraph(&format!(
        "Aim: the setting with the least {} that serves enough typists. Data: synthetic typists of the model, who type the \
         {}. Settings tried: {}. A typist is served when every limited figure of the session is within its limit. Method: a \
         race on {} typists, in which a setting goes home when it surely breaks a demand or is surely worse than one that \
         surely meets them, newcomers entering near the leaders; then a short list of {} on {} fresh typists. Of the error \
         allowed, a quarter each goes to the drops, to what was left out, to the demands and to the comparisons.",
        figure_name(plan),
        study.text_from,
        tried.join(", "),
        plan.search_typists,
        plan.shortlist,
        plan.confirm_typists
    ));
    section
}
