//! The tables of advice, and of what other assumptions do to its conclusions.

use agogic_lab::{
    ALL, Conclusion, EffectRow, OneDefault, OneSetting, Practice, PractisedStage, Recommendation, Robustness, RuleRow,
    SubgroupRow, Verdict,
};
use agogic_study::{AdvicePlan, Study};
use agogic_typist::{Entry, register_of};

use crate::sheet::{Cell, Column, Sheet};
use crate::tables::slug;

/// What is asked to be small, in words.
pub(crate) fn figure_name(plan: &AdvicePlan) -> String {
    plan.objective.name.replace('_', " ")
}

/// One setting for everybody: what it comes to for each kind of people, without tables and with.
pub fn one_default_table(found: &OneDefault) -> Sheet {
    let of = |own: &OneSetting| -> Vec<Vec<Cell>> {
        let row = |world: &agogic_lab::OneWorld| {
            vec![
                Cell::Words(own.setting.clone()),
                Cell::Words(world.world.clone()),
                Cell::estimate(Some(&world.loss), 1),
                Cell::Words(world.best.clone()),
                Cell::difference(Some(&world.more), 1),
                Cell::estimate(world.served.as_ref(), 0),
            ]
        };
        own.worlds.iter().map(row).collect()
    };
    let rows = std::iter::once(&found.without_tables).chain(&found.with_tables).flat_map(of);
    Sheet {
        name: "one-default".into(),
        caption: format!(
            "One setting for everybody on `{}`: the one whose largest loss against the best of each kind of people is least.",
            found.assignment
        ),
        columns: vec![
            Column::words("setting"),
            Column::words("typists"),
            Column::numbers(&found.estimand.replace('_', " "), &found.unit),
            Column::words("the best there"),
            Column::numbers("more than that", ""),
            Column::numbers("served", "typists per 100"),
        ],
        rows: rows.collect(),
    }
}

/// The best setting of each rule, from no practice with it to all of the habit that it asks for.
pub fn practice_table(plan: &AdvicePlan, found: &Practice) -> Sheet {
    let mut columns = vec![Column::words("setting"), Column::words("asks people to")];
    let stages = found.rules.first().map_or(&[][..], |own| &own.stages[..]);
    let percent = |stage: &PractisedStage| format!("{:.0} %", 100.0 * stage.practised);
    columns.extend(
        stages
            .iter()
            .map(|stage| Column::numbers(&format!("{} at {}", figure_name(plan), percent(stage)), plan.objective.unit)),
    );
    columns.push(Column::numbers("more than the advised, at last", ""));
    columns.push(Column::numbers("served at last", "typists per 100"));
    let rows = found.rules.iter().map(|own| {
        let last = own.stages.last();
        let more = if own.setting == found.advised { None } else { last.map(|stage| &stage.more) };
        let words = [&own.setting, &own.asks].map(|words| Cell::Words(words.clone()));
        let losses = own.stages.iter().map(|stage| Cell::estimate(Some(&stage.loss), 1));
        let ends = [Cell::difference(more, 1), Cell::estimate(last.and_then(|stage| stage.served.as_ref()), 0)];
        words.into_iter().chain(losses).chain(ends).collect()
    });
    Sheet {
        name: "practice".into(),
        caption: format!(
            "{} typists who come to hold as each rule asks, by the share of that habit that is there. The way is assumed, not \
             published.",
            found.typists
        ),
        columns,
        rows: rows.collect(),
    }
}

/// One row for each population: the setting to ship, its price, whom it fails.
pub(crate) fn answer_table(plan: &AdvicePlan, advice: &[Recommendation]) -> Sheet {
    let rows = advice.iter().map(|own| {
        let advised = advised_or_nearest(own);
        let setting = match &own.setting {
            Some(setting) => format!("`{setting}`"),
            None => "none is sure to do".to_owned(),
        };
        let fails = fails(own);
        let simpler = another_rule(own)
            .map_or_else(|| "none".to_owned(), |row| format!("`{}`, {}", row.setting, row.more_loss.signed_text(1)));
        vec![
            Cell::Words(own.arm.clone()),
            Cell::Words(setting),
            Cell::estimate(advised.map(|listed| &listed.loss), 1),
            advised
                .and_then(|listed| listed.served_at_least_percent)
                .map_or(Cell::Nothing, |least| Cell::Number(least, 1)),
            Cell::Words(fails),
            Cell::Words(helps(own)),
            Cell::Words(simpler),
        ]
    });
    Sheet {
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
    }
}

/// The setting to ship to one population, its price, whom it fails and what another rule costs, in a few sentences.
pub fn advice_in_short(plan: &AdvicePlan, own: &Recommendation) -> String {
    let Some(setting) = &own.setting else { return own.sentence.clone() };
    let advised = advised_or_nearest(own);
    let loss = advised.map_or("unknown".to_owned(), |listed| listed.loss.text_in_sentence(1));
    let mut text = format!("For `{}`, use `{setting}`: {}", own.arm, plan.objective.said(&loss));
    if let Some(least) = advised.and_then(|listed| listed.served_at_least_percent) {
        text.push_str(&format!("; at least {least:.1} % of typists stay within the limits"));
    }
    text.push_str(&format!(". It fails {}", fails(own)));
    match turn_for_them(own) {
        Some(turn) => text.push_str(&format!("; for them, {turn}.")),
        None => text.push('.'),
    }
    if let Some(row) = another_rule(own) {
        let more = row.more_loss.signed_text(1);
        text.push_str(&format!(" The best of another rule, `{}`: {}.", row.setting, plan.objective.said(&more)));
    }
    text
}

/// The group that the advised setting serves worst; `None` where no limit asks.
pub(crate) fn worst_served(own: &Recommendation) -> Option<&SubgroupRow> {
    let groups = own.subgroups.iter().filter(|row| row.figure == "served" && row.group != ALL);
    groups.min_by(|a, b| a.estimate.value.partial_cmp(&b.estimate.value).expect("shares are numbers"))
}

/// Whom the advised setting serves worst, in words.
fn fails(own: &Recommendation) -> String {
    let Some(row) = worst_served(own) else { return "an unknown share".to_owned() };
    let fails = 100.0 - row.estimate.value.unwrap_or_default();
    if fails < 0.5 { "nobody".to_owned() } else { format!("{fails:.0} of 100 in the {}", row.group) }
}

/// The best setting of another rule than the advised one's that seems to meet what is asked.
fn another_rule(own: &Recommendation) -> Option<&RuleRow> {
    let rule = own.setting.as_deref().map(|setting| setting.split([' ', ',']).next().unwrap_or(setting));
    own.rules.iter().find(|row| row.seems_to_meet && Some(&*row.rule) != rule)
}

/// The advised setting, or the one that came nearest.
pub(crate) fn advised_or_nearest(own: &Recommendation) -> Option<&agogic_lab::Listed> {
    match &own.setting {
        Some(setting) => own.listed.iter().find(|listed| listed.setting == *setting),
        None => own.listed.iter().max_by(|a, b| {
            let share = |listed: &agogic_lab::Listed| listed.served.as_ref().and_then(|e| e.value).unwrap_or(-1.0);
            share(a).partial_cmp(&share(b)).expect("shares are numbers")
        }),
    }
}

/// The turn that serves the worst-served group more, in a few words.
pub(crate) fn helps(own: &Recommendation) -> String {
    if own.for_them.is_empty() {
        return "nobody is served less than asked".to_owned();
    }
    turn_for_them(own).map_or_else(|| "no single turn surely helps".to_owned(), str::to_owned)
}

/// That turn, where there is one.
fn turn_for_them(own: &Recommendation) -> Option<&str> {
    own.for_them.first()?.split("To help them, ").nth(1)?.split(':').next()
}

/// The short list, on fresh typists.
pub fn list_table(plan: &AdvicePlan, own: &Recommendation) -> Sheet {
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
            Cell::difference(listed.more_loss.as_ref(), 1),
        ]
    });
    Sheet {
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
    }
}

/// The best setting of each rule.
pub fn rules_table(plan: &AdvicePlan, own: &Recommendation) -> Sheet {
    let rows = own.rules.iter().map(|row| {
        vec![
            Cell::Words(row.setting.clone()),
            Cell::estimate(Some(&row.loss), 1),
            // The advised setting costs nothing more than itself.
            if own.setting.as_ref() == Some(&row.setting) {
                Cell::Nothing
            } else {
                Cell::difference(Some(&row.more_loss), 1)
            },
            Cell::estimate(row.served.as_ref(), 1),
            Cell::Words(if row.seems_to_meet { "yes" } else { "no; nearest of its rule" }.into()),
        ]
    });
    Sheet {
        name: format!("rules-{}", slug(&own.arm)),
        caption: "The best setting of each rule, found in the search and judged on fresh typists.".into(),
        columns: vec![
            Column::words("setting"),
            Column::numbers(&figure_name(plan), plan.objective.unit),
            Column::numbers(
                if own.setting.is_some() { "more than the advised" } else { "more than the nearest" },
                plan.objective.unit,
            ),
            Column::numbers("served", "typists per 100"),
            Column::words("meets what is asked, in the search"),
        ],
        rows: rows.collect(),
    }
}

/// Groups down, figures across.
pub fn whom_table(own: &Recommendation) -> Sheet {
    let first = own.subgroups.first().map(|row| &*row.group);
    let figures: Vec<_> = own.subgroups.iter().filter(|row| Some(&*row.group) == first).collect();
    let mut columns = vec![Column::words("typists")];
    columns.extend(figures.iter().map(|row| Column::numbers(&row.figure.replace('_', " "), &row.unit)));
    let rows = own.subgroups.chunk_by(|a, b| a.group == b.group).map(|rows| {
        let mut cells = vec![Cell::Words(rows[0].group.to_string())];
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
pub fn effect_table(plan: &AdvicePlan, own: &Recommendation) -> Sheet {
    let shown = |row: &&EffectRow| {
        row.group == "all"
            && (row.figure == plan.objective.name
                || ["false_holds", "missed_holds", "tap_delay_p95", "served"].contains(&&*row.figure))
    };
    let rows: Vec<&EffectRow> = own.effects.iter().filter(shown).collect();
    let first = rows.first().map(|row| row.action.as_str());
    let mut columns = vec![Column::words("turn")];
    let figures = rows.iter().filter(|row| Some(row.action.as_str()) == first);
    columns.extend(figures.map(|row| Column::numbers(&row.figure.replace('_', " "), &row.unit)));
    let rows = rows.chunk_by(|a, b| a.action == b.action).map(|rows| {
        let mut cells = vec![Cell::Words(rows[0].action.clone())];
        cells.extend(rows.iter().map(|row| {
            // Where both sides agree for every typist there is a bound, but nothing was seen.
            let nothing = row.change.value == Some(0.0) && row.change.mcse.is_none();
            if nothing { Cell::Words("none seen".into()) } else { Cell::difference(Some(&row.change), 2) }
        }));
        cells
    });
    Sheet {
        name: format!("turns-{}", slug(&own.arm)),
        caption: "Each figure after the turn less the figure before, for everybody, over the same presses.".into(),
        columns,
        rows: rows.collect(),
    }
}

/// What a number of the model means, in the words of the register; its name where these do not tell it from others.
fn assumption(register: &[Entry], name: &str) -> String {
    let doc = register.iter().find(|entry| entry.name == name).map(|entry| &*entry.doc);
    match doc {
        Some(_) if name.contains("correlation") || name.contains('~') => format!("`{name}`"),
        Some(doc) if name.ends_with(".spread") => format!("spread between people of the {doc}"),
        Some(doc) => doc.to_owned(),
        None => format!("`{name}`"),
    }
}

/// The fate of each conclusion under other assumptions.
pub(crate) fn fate_table(study: &Study, robust: &[Robustness]) -> Sheet {
    let register: Vec<Entry> = study.arms.iter().flat_map(|arm| register_of(&arm.population)).collect();
    let against = |own: &Conclusion| {
        let all = own.broken_by.iter().chain(&own.doubted_by);
        let all: Vec<String> =
            all.map(|own| format!("{}: {}", assumption(&register, &own.assumption), own.value)).collect();
        if all.is_empty() { "none".to_owned() } else { all.join("; ") }
    };
    // A sign beside each word: nobody has to tell them apart by length.
    let word = |verdict: Verdict| match verdict {
        Verdict::Survives => "✓ survives",
        Verdict::Wavers => "? wavers",
        Verdict::Breaks => "✗ breaks",
        Verdict::Open => "– open",
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
    Sheet {
        name: "assumptions".into(),
        caption: "The share is of points spread evenly over the ranges, not a probability.".into(),
        columns: vec![
            Column::words("typists"),
            Column::words("conclusion"),
            Column::words("fate"),
            Column::numbers("holds at", "points per 100"),
            Column::words("spoken against by, at this value"),
        ],
        rows: rows.collect(),
    }
}
