//! The page of advice: the first screen answers which setting, how sure, whom it fails and what to turn.

use agogic_figures::{FigureError, Forest, ForestRow, IntervalNote};
use agogic_lab::{Conclusion, EffectRow, Recommendation, Robustness, Verdict};
use agogic_study::{AdvicePlan, Study};

use crate::figures::{Drawing, scaled};
use crate::page::rendered;
use crate::section::Section;
use crate::sheet::{Cell, Column, Sheet};
use crate::tables::slug;

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
        sections.push(assumptions(study, robust));
    }
    sections.push(methods(study, plan, advice));
    let heading = if study.question.is_empty() { format!("Advice of {}", study.name) } else { study.question.clone() };
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

fn figure_name(plan: &AdvicePlan) -> String {
    plan.objective.name.replace('_', " ")
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
    let rows = advice.iter().map(|own| {
        let told = told(own);
        let setting = match &own.setting {
            Some(setting) => format!("`{setting}`"),
            None => "none is sure to do".to_owned(),
        };
        let worst = own.subgroups.iter().filter(|row| row.figure == "served" && row.group != "all");
        let worst = worst.min_by(|a, b| a.estimate.value.partial_cmp(&b.estimate.value).expect("shares are numbers"));
        let fails = worst.map_or_else(
            || "not known".to_owned(),
            |row| {
                let served = row.estimate.value.unwrap_or_default();
                format!("{:.0} of 100 in the {}", 100.0 - served, row.group)
            },
        );
        let rule = own.setting.as_deref().map(|setting| setting.split([' ', ',']).next().unwrap_or(setting));
        let simpler = own.rules.iter().find(|row| row.seems_to_meet && Some(row.rule) != rule);
        let simpler = simpler
            .map_or_else(|| "none".to_owned(), |row| format!("`{}`, {}", row.setting, row.more_loss.signed_text(1)));
        vec![
            Cell::Words(own.arm.clone()),
            Cell::Words(setting),
            Cell::estimate(told.map(|listed| &listed.loss), 1),
            told.and_then(|listed| listed.served_at_least_percent)
                .map_or(Cell::Nothing, |least| Cell::Number(least, 1)),
            Cell::Words(fails),
            Cell::Words(helps(own)),
            Cell::Words(simpler),
        ]
    });
    section.table(
        &Sheet {
            name: "advice".into(),
            caption:
                "The setting to ship, at what price, whom it fails, and what to turn for them. Where none is sure, the \
                      numbers are of the nearest."
                    .into(),
            columns: vec![
                Column::words("typists"),
                Column::words("use"),
                Column::numbers(&figure_name(plan), plan.objective.unit),
                Column::numbers("served, at least", "%"),
                Column::words("not served"),
                Column::words("for them"),
                Column::words("the best of the other rules, and its price"),
            ],
            rows: rows.collect(),
        },
        None,
    );
    for own in advice {
        section.paragraph(&own.sentence);
    }
    section
}

/// The advised setting, or the one that came nearest.
fn told(own: &Recommendation) -> Option<&agogic_lab::Listed> {
    match &own.setting {
        Some(setting) => own.listed.iter().find(|listed| listed.setting == *setting),
        None => own.listed.iter().max_by(|a, b| {
            let share = |listed: &agogic_lab::Listed| listed.served.as_ref().and_then(|e| e.value).unwrap_or(-1.0);
            share(a).partial_cmp(&share(b)).expect("shares are numbers")
        }),
    }
}

/// The turn that serves the worst-served group more, in a few words.
fn helps(own: &Recommendation) -> String {
    let Some(line) = own.for_them.first() else { return "nobody is served less than asked".to_owned() };
    let turn = line.split("To help them, ").nth(1).and_then(|rest| rest.split(':').next());
    turn.map_or_else(|| "no single turn surely helps".to_owned(), str::to_owned)
}

fn one_arm(study: &Study, plan: &AdvicePlan, own: &Recommendation) -> Result<Section, FigureError> {
    let mut section = Section::new(&format!("arm-{}", slug(&own.arm)), &format!("In full: {}", own.arm));
    section.paragraph(&own.intervals());
    section.heading("The short list, on fresh typists");
    section.figure(&forest(study, plan, own))?;
    let meets = |listed: &agogic_lab::Listed| match (listed.meets, listed.breaks) {
        (true, _) if own.setting.as_ref() == Some(&listed.setting) => "yes, advised",
        (true, _) if listed.alike => "yes, alike",
        (true, _) => "yes",
        (false, true) => "no",
        (false, false) => "not sure",
    };
    let rows = own.listed.iter().map(|listed| {
        vec![
            Cell::Words(listed.setting.clone()),
            Cell::estimate(Some(&listed.loss), 1),
            Cell::estimate(listed.served.as_ref(), 1),
            Cell::Words(meets(listed).into()),
            Cell::estimate(listed.more_loss.as_ref(), 1),
        ]
    });
    section.table(
        &Sheet {
            name: format!("short-list-{}", slug(&own.arm)),
            caption: "Differences have limits that hold for all pairs together; other intervals stand for themselves."
                .into(),
            columns: vec![
                Column::words("setting"),
                Column::numbers(&figure_name(plan), plan.objective.unit),
                Column::numbers("served", "typists per 100"),
                Column::words("meets what is asked"),
                Column::numbers("more than the advised", plan.objective.unit),
            ],
            rows: rows.collect(),
        },
        own.setting.as_deref(),
    );
    section.heading("What another rule costs");
    let rows = own.rules.iter().map(|row| {
        vec![
            Cell::Words(row.setting.clone()),
            Cell::estimate(Some(&row.loss), 1),
            Cell::estimate(row.served.as_ref(), 1),
            Cell::Words(if row.seems_to_meet { "yes" } else { "no, the nearest" }.into()),
        ]
    });
    section.table(
        &Sheet {
            name: format!("rules-{}", slug(&own.arm)),
            caption: "The best setting of each rule, found in the search and judged on fresh typists.".into(),
            columns: vec![
                Column::words("setting"),
                Column::numbers(&figure_name(plan), plan.objective.unit),
                Column::numbers("served", "typists per 100"),
                Column::words("seems to meet"),
            ],
            rows: rows.collect(),
        },
        own.setting.as_deref(),
    );
    section.heading("Whom it serves, and whom it fails");
    section.table(&whom(own), None);
    if !own.for_them.is_empty() {
        section.list(own.for_them.iter().map(String::as_str));
    }
    if !own.effects.is_empty() {
        section.heading("What turning a value does");
        section.table(&knobs(plan, own), None);
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

fn forest(study: &Study, plan: &AdvicePlan, own: &Recommendation) -> Drawing {
    let rows = own.listed.iter().map(|listed| ForestRow::new(&listed.setting, scaled(&listed.loss, 1.0)));
    let method = own.listed.first().map_or("", |listed| listed.loss.method.as_str());
    let forest = Forest {
        title: format!("{} of the short list", figure_name(plan)),
        quantity: figure_name(plan),
        unit: plan.objective.unit.into(),
        context: format!("{}: {} fresh simulated typists", own.arm, plan.confirm_typists),
        rows: rows.collect(),
        reference: None,
        limits: None,
        interval: IntervalNote::new(method, study.inference.level.confidence(), "typist"),
        simultaneous: None,
    };
    Drawing::forest(format!("short-list-{}", slug(&own.arm)), forest)
}

/// Groups down, figures across.
fn whom(own: &Recommendation) -> Sheet {
    let first = own.subgroups.first().map(|row| row.group);
    let figures: Vec<_> = own.subgroups.iter().filter(|row| Some(row.group) == first).collect();
    let mut columns = vec![Column::words("typists")];
    columns.extend(figures.iter().map(|row| Column::numbers(&row.figure.replace('_', " "), row.unit)));
    let rows = own.subgroups.chunk_by(|a, b| a.group == b.group).map(|rows| {
        let mut cells = vec![Cell::Words(rows[0].group.into())];
        cells.extend(rows.iter().map(|row| Cell::estimate(Some(&row.estimate), 1)));
        cells
    });
    Sheet {
        name: format!("whom-{}", slug(&own.arm)),
        caption: "Thirds of the fresh typists by speed and by rollover; intervals each for itself.".into(),
        columns,
        rows: rows.collect(),
    }
}

/// Turns down, figures across, for everybody.
fn knobs(plan: &AdvicePlan, own: &Recommendation) -> Sheet {
    let shown = |row: &&EffectRow| {
        row.group == "all"
            && (row.figure == plan.objective.name
                || ["false_holds", "missed_holds", "tap_delay_p95", "served"].contains(&row.figure))
    };
    let rows: Vec<&EffectRow> = own.effects.iter().filter(shown).collect();
    let first = rows.first().map(|row| row.action.as_str());
    let mut columns = vec![Column::words("turn")];
    let figures = rows.iter().filter(|row| Some(row.action.as_str()) == first);
    columns.extend(figures.map(|row| Column::numbers(&row.figure.replace('_', " "), row.unit)));
    let rows = rows.chunk_by(|a, b| a.action == b.action).map(|rows| {
        let mut cells = vec![Cell::Words(rows[0].action.clone())];
        cells.extend(rows.iter().map(|row| Cell::estimate(Some(&row.change), 2)));
        cells
    });
    Sheet {
        name: format!("turns-{}", slug(&own.arm)),
        caption: "Each figure after the turn less the figure before, for everybody, over the same presses.".into(),
        columns,
        rows: rows.collect(),
    }
}

fn assumptions(study: &Study, robust: &[Robustness]) -> Section {
    let mut section = Section::new("assumptions", "What other assumptions do to it");
    section.paragraph(&format!(
        "Every number of the model that is assumed was moved to both ends of its range, and all of them together. An \
         assumption breaks a conclusion if it surely turns it round (error over all of them {:.0} %).",
        100.0 * study.inference.level.alpha()
    ));
    let against = |own: &Conclusion| {
        let all: Vec<String> = own
            .broken_by
            .iter()
            .chain(&own.doubted_by)
            .map(|against| format!("`{}` = {}", against.assumption, against.value))
            .collect();
        if all.is_empty() { "none".to_owned() } else { all.join(", ") }
    };
    let word = |verdict: Verdict| match verdict {
        Verdict::Survives => "survives",
        Verdict::Wavers => "wavers",
        Verdict::Breaks => "breaks",
        Verdict::Open => "open",
    };
    let rows = robust.iter().flat_map(|arm| {
        arm.conclusions.iter().map(move |own| {
            vec![
                Cell::Words(arm.arm.clone()),
                Cell::Words(own.claim.clone()),
                Cell::Words(word(own.verdict).into()),
                Cell::estimate(Some(&own.holds_percent), 0),
                Cell::Words(against(own)),
            ]
        })
    });
    section.table(
        &Sheet {
            name: "assumptions".into(),
            caption: "The share is of points spread evenly over the ranges, not a probability.".into(),
            columns: vec![
                Column::words("typists"),
                Column::words("conclusion"),
                Column::words("fate"),
                Column::numbers("holds at", "points per 100"),
                Column::words("spoken against by"),
            ],
            rows: rows.collect(),
        },
        None,
    );
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
