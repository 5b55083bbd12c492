//! The first screen of the page of advice, and of a robustness analysis.

use agogic_figures::FigureError;
use agogic_lab::{ALL, OneDefault, Recommendation, Robustness, Verdict};
use agogic_study::{AdvicePlan, Study};

use crate::advice_page::short_list;
use crate::advice_tables::{advised_or_nearest, answer_table, figure_name, helps, one_default_table, worst_served};
use crate::common_sections::assumed_in_short;
use crate::first_screen::{Card, FirstScreen, settings_in_words};
use crate::tables::slug;
use crate::words::listed;

/// Which setting to use, at what price, whom it fails.
///
/// # Errors
/// The picture cannot be drawn.
pub(crate) fn advice_answer(
    study: &Study,
    plan: &AdvicePlan,
    advice: &[Recommendation],
    robust: &[Robustness],
) -> Result<FirstScreen, FigureError> {
    let mut sentence = sentence(plan, advice);
    if !robust.is_empty() {
        sentence.push_str(&format!(" {}", fates_in_short(robust)));
    }
    let mut first = FirstScreen::new(&sentence, &assumed_in_short(study));
    for own in advice {
        first.card(card(plan, own, advice.len() > 1));
    }
    if let Some(one) = advice.first().and_then(|own| own.one_default.as_ref()) {
        first.card(everybody(one));
    }
    if let Some(listed) = advice.first().and_then(advised_or_nearest) {
        first.intervals_as(&listed.loss);
        if plan.asks_of_typists() {
            first.beside(&format!("Served, and not failed, is who stays within {}.", plan.limits_said()));
        }
    }
    if let Some(own) = advice.first() {
        let caption = format!("The short list on fresh typists: `{}`.", own.arm);
        first.picture(&short_list(study, plan, own), &caption, &format!("arm-{}", slug(&own.arm)))?;
    }
    first.full.fold("In full: what was asked, the answer with all its intervals, and one setting for everybody", |full| {
        full.paragraph(&format!(
            "Asked: as few {} as can be had while at least {:.0} % of typists stay within {}, in a session as long as those \
             judged. All claims of a row hold together with {} % confidence under the model.",
            figure_name(plan),
            100.0 * plan.served,
            plan.limits_said(),
            advice.first().map_or(95.0, |own| 100.0 * own.confidence)
        ));
        full.table(&answer_table(plan, advice), None);
        for own in advice {
            full.paragraph(&own.sentence);
        }
        if let Some(one) = advice.first().and_then(|own| own.one_default.as_ref()) {
            full.paragraph(&one.sentence);
            full.table(&one_default_table(one), None);
        }
        Ok(())
    })?;
    Ok(first)
}

/// The answer in one sentence.
fn sentence(plan: &AdvicePlan, advice: &[Recommendation]) -> String {
    let known = advice.iter().filter_map(|own| Some((own.arm.as_str(), own.setting.as_deref()?)));
    let unsure: Vec<&str> = advice.iter().filter(|own| own.setting.is_none()).map(|own| own.arm.as_str()).collect();
    let asked = if plan.asks_of_typists() {
        format!(" with {:.0} % of typists within the limits", 100.0 * plan.served)
    } else {
        String::new()
    };
    let used = settings_in_words(known);
    let mut said = Vec::new();
    if !used.is_empty() {
        said.push(format!("Use {used}: the least {} of those tried{asked}.", figure_name(plan)));
    }
    if !unsure.is_empty() {
        let asked = if asked.is_empty() { " that meets what is asked".to_owned() } else { asked };
        said.push(format!("For {} there is no setting{asked} for sure; the nearest is shown.", listed(&unsure)));
    }
    said.join(" ")
}

fn card(plan: &AdvicePlan, own: &Recommendation, several: bool) -> Card {
    let nearest = advised_or_nearest(own);
    let setting = match (&own.setting, nearest) {
        (Some(setting), _) => format!("`{setting}`"),
        (None, Some(nearest)) => format!("none for sure; nearest `{}`", nearest.setting),
        (None, None) => "none".to_owned(),
    };
    let mut card = Card::new(if several { &own.arm } else { "" }, &setting);
    if let Some(listed) = nearest {
        card.estimate(&figure_name(plan), plan.objective.unit, &listed.loss, 1);
        if let Some(served) = &listed.served {
            card.estimate("served", "of 100 typists", served, 0);
        }
    }
    if let Some(least) = nearest.and_then(|listed| listed.served_at_least_percent) {
        let together = format!("by claims that hold together at {:.0} %", 100.0 * own.confidence);
        card.number("served, at least", "of 100 typists", &format!("{least:.1}"), &together);
    }
    let worst = worst_served(own);
    let all = own.subgroups.iter().find(|row| row.figure == "served" && row.group == ALL);
    let out = |row: &agogic_lab::SubgroupRow| Some(format!("{:.0}", 100.0 - row.estimate.value?));
    if let (Some(worst), Some(all)) = (worst, all)
        && let (Some(there), Some(everywhere)) = (out(worst), out(all))
    {
        card.fails(&format!(
            "{there} of 100 in the {}, {everywhere} of 100 of all typists. For them: {}.",
            worst.group,
            helps(own)
        ));
    } else if let Some((group, there, all)) = worst_loss(plan, own) {
        card.fails(&format!(
            "{group}, {there:.0} {} {} against {all:.0} of all.",
            figure_name(plan),
            plan.objective.unit
        ));
    }
    if let Some(listed) = nearest {
        card.ends(&own.ends, &listed.setting);
    }
    card
}

/// The group with the most loss, its loss and that of all.
fn worst_loss<'a>(plan: &AdvicePlan, own: &'a Recommendation) -> Option<(&'a str, f64, f64)> {
    let rows = || own.subgroups.iter().filter(|row| row.figure == plan.objective.name);
    let all = rows().find(|row| row.group == ALL)?.estimate.value?;
    let groups = rows().filter(|row| row.group != ALL).filter_map(|row| Some((&*row.group, row.estimate.value?)));
    let (group, there) = groups.max_by(|a, b| a.1.total_cmp(&b.1))?;
    Some((group, there, all))
}

/// One setting for everybody, as a card.
fn everybody(one: &OneDefault) -> Card {
    let mut card = Card::new("one setting for everybody", &format!("`{}`", one.without_tables.setting));
    let what = format!("more {} than the best, at worst", one.estimand.replace('_', " "));
    card.estimate(&what, &one.unit, &one.without_tables.worst, 1);
    if let Some(tables) = &one.with_tables {
        card.estimate(&format!("the same with tables, {}", tables.setting), &one.unit, &tables.worst, 1);
    }
    let worlds = one.without_tables.worlds.iter().filter_map(|own| Some((&own.world, own.served.as_ref()?.value?)));
    match worlds.min_by(|a, b| a.1.total_cmp(&b.1)) {
        Some((world, served)) => card.fails(&format!("{:.0} of 100 of {world}.", 100.0 - served)),
        None => card.fails(&format!("{} most, by the number above.", one.without_tables.worst_world)),
    };
    card
}

/// How many conclusions other assumptions turn round.
pub(crate) fn fates_in_short(robust: &[Robustness]) -> String {
    let all: usize = robust.iter().map(|arm| arm.conclusions.len()).sum();
    let broken = robust.iter().map(|arm| count(arm, Verdict::Breaks)).sum::<usize>();
    format!("Of {all} conclusions some assumption surely turns {broken} round.")
}

fn count(arm: &Robustness, verdict: Verdict) -> usize {
    arm.conclusions.iter().filter(|own| own.verdict == verdict).count()
}

/// The first screen of a robustness analysis without advice.
pub(crate) fn robust_answer(study: &Study, robust: &[Robustness]) -> FirstScreen {
    let mut first = FirstScreen::new(&fates_in_short(robust), &assumed_in_short(study));
    for arm in robust {
        let fates = [Verdict::Survives, Verdict::Wavers, Verdict::Breaks].map(|verdict| count(arm, verdict));
        let who = if robust.len() > 1 { &*arm.arm } else { "" };
        let mut card = Card::new(who, &format!("{} conclusions", arm.conclusions.len()));
        for (what, count) in ["✓ survive", "? waver", "✗ break"].into_iter().zip(fates) {
            card.number(what, "", &count.to_string(), "");
        }
        let broken = arm.conclusions.iter().filter(|own| own.verdict == Verdict::Breaks);
        let claims: Vec<&str> = broken.map(|own| own.claim.as_str()).collect();
        match claims.as_slice() {
            [] => card.fails_nobody("no conclusion is surely turned round."),
            [first] => card.fails(&format!("{first}.")),
            [first, rest @ ..] => card.fails(&format!("{first}; and {} more, below.", rest.len())),
        };
        first.card(card);
    }
    first.intervals(
        "Counts, not estimates. Survives: no assumption speaks against it. Wavers: some does, but not surely. Breaks: some \
         surely does.",
    );
    first
}
