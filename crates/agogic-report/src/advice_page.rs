//! The page of advice: the first screen answers which setting, how sure, whom it fails and what to turn.

use agogic_figures::{FigureError, Forest, ForestRow, IntervalNote};
use agogic_lab::{PRACTICE_NOTE, Recommendation, Robustness, Verdict};
use agogic_study::{AdvicePlan, Study};

use crate::advice_tables::{
    answer_table, effect_table, fate_table, figure_name, list_table, one_default_table, practice_table, rules_table,
    whom_table,
};
use crate::figures::{Drawing, scaled};
use crate::page::rendered;
use crate::section::Section;
use crate::tables::slug;
use crate::transfer_tables::{transfer_in_short, world_table};

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
    let mut sections = vec![answer(plan, advice)];
    for own in advice {
        sections.push(one_arm(study, plan, own)?);
    }
    if !robust.is_empty() {
        sections.push(assumptions(Section::new("assumptions", "What other assumptions do to it"), study, robust));
    }
    sections.push(methods(study, plan, advice));
    let heading = heading(study, "Advice");
    let facts = format!(
        "{} typists searched and {} others confirmed in each of {} groups of people and keyboards, seed {}. Every number \
         is of simulated people.",
        plan.search_typists,
        plan.confirm_typists,
        advice.len(),
        study.seed
    );
    Ok(rendered(&study.name, env!("CARGO_PKG_VERSION"), &heading, &facts, &sections))
}

/// The page of a robustness analysis of a study that asks for no advice.
///
/// # Errors
/// The data cannot be drawn.
pub fn robust_page(study: &Study, robust: &[Robustness]) -> Result<String, FigureError> {
    let mut answer = Section::new("answer", "Answer");
    let broken = robust.iter().flat_map(|arm| &arm.conclusions).filter(|own| own.verdict == Verdict::Breaks).count();
    let all: usize = robust.iter().map(|arm| arm.conclusions.len()).sum();
    answer.lead(&format!("Of {all} conclusions some assumption surely turns {broken} round."));
    let answer = assumptions(answer, study, robust);
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
    methods.text("Spec of the study", &study.spec).folded("The spec");
    let heading = heading(study, "Robustness");
    let facts = format!("{} typists, seed {}. Every number is of simulated people.", study.robust.typists, study.seed);
    Ok(rendered(&study.name, env!("CARGO_PKG_VERSION"), &heading, &facts, &[answer, methods]))
}

/// What a study asks, or what its page is about.
pub(crate) fn heading(study: &Study, about: &str) -> String {
    if study.question.is_empty() { format!("{about} of {}", study.name) } else { study.question.clone() }
}

/// One row for each population.
fn answer(plan: &AdvicePlan, advice: &[Recommendation]) -> Section {
    let mut section = Section::new("answer", "Answer");
    section.paragraph(&format!(
        "Asked: as few {} as can be had while at least {:.0} % of typists stay within {}, in a session as long as those judged. \
         All claims of a row hold together with {} % confidence under the model.",
        figure_name(plan),
        100.0 * plan.served,
        plan.limits_said(),
        advice.first().map_or(95.0, |own| 100.0 * own.confidence)
    ));
    section.table(&answer_table(plan, advice), None);
    if let Some(one) = advice.first().and_then(|own| own.one_default.as_ref()) {
        section.paragraph(&one.sentence);
        section.table(&one_default_table(one), None).folded("One setting for everybody, kind by kind");
    }
    for own in advice {
        section.paragraph(&own.sentence);
    }
    section
}

fn one_arm(study: &Study, plan: &AdvicePlan, own: &Recommendation) -> Result<Section, FigureError> {
    let mut section = Section::new(&format!("arm-{}", slug(&own.arm)), &format!("In full: {}", own.arm));
    section.paragraph(&own.intervals());
    section.heading("The short list, on fresh typists");
    section.figure(&short_list(study, plan, own))?;
    section.table(&list_table(plan, own), own.setting.as_deref());
    section.heading("What another rule costs");
    section.table(&rules_table(plan, own), own.setting.as_deref());
    if let Some(transfer) = &own.transfer {
        section.heading("Rules that learn, where they did not learn");
        section.table(&transfer_in_short(transfer), own.setting.as_deref());
        section.table(&world_table(transfer), None).folded("Trained on, judged on: every world");
    }
    if let Some(practice) = &own.practice {
        section.heading("While people practise");
        section.paragraph(&format!("{} {PRACTICE_NOTE}", practice.sentence));
        section.table(&practice_table(plan, practice), own.setting.as_deref()).folded("Every rule, stage by stage");
    }
    section.heading("Whom it serves, and whom it fails");
    section.table(&whom_table(own), None);
    if !own.for_them.is_empty() {
        section.list(own.for_them.iter().map(String::as_str));
    }
    if !own.effects.is_empty() {
        section.heading("What turning a value does");
        section.table(&effect_table(plan, own), None);
    }
    section.heading("What would change the advice");
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
    section.paragraph(&format!(
        "From the search alone, not confirmed. As asked, it puts {first} first; {} of {} other questions have another answer.",
        changed.len(),
        own.what_ifs.len()
    ));
    section.list(changed.iter().map(String::as_str));
    Ok(section)
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

/// What other assumptions do to the conclusions, in a section of that name.
fn assumptions(mut section: Section, study: &Study, robust: &[Robustness]) -> Section {
    section.paragraph(&format!(
        "Every number of the model that is assumed was moved to both ends of its range, and all of them together. An \
         assumption breaks a conclusion if it surely turns it round (error over all of them {:.0} %).",
        100.0 * study.inference.level.alpha()
    ));
    section.table(&fate_table(robust), None);
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
    section.paragraph(
        "How people time a hold on a key with two meanings is hardly published: those numbers of the model are assumed. \
         `agogic robust` holds the claims against other assumptions. Persistent pain in hands or arms is a matter for a \
         clinician, not for a timing value.",
    );
    section.text("Spec of the study", &study.spec).folded("The spec");
    section
}
