//! The advice in one plain sentence, and what stands around it.

use agogic_people::Missed;
use agogic_stats::Estimate;
use agogic_study::AdvicePlan;

use super::Recommendation;
use crate::elsewhere::{self, ElsewhereRow};

/// A number with its interval.
pub(super) fn in_sentence(estimate: &Estimate) -> String {
    estimate.text_in_sentence(2)
}

/// A change with its sign and interval.
pub(super) fn change(estimate: &Estimate) -> String {
    estimate.signed_text(2)
}

/// What rules that know keys do elsewhere, in a sentence with a space before it; empty where there are none.
pub(super) fn of_elsewhere(rows: &[ElsewhereRow]) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let said = |row: &ElsewhereRow| {
        let missed = |own: &Option<Missed>| own.map_or("unknown".to_owned(), |own| format!("{:.1}", own.missed_holds));
        let false_holds = row.false_holds_as_learned.map_or("unknown".to_owned(), |rate| format!("{rate:.1}"));
        let (keys, times) = (missed(&row.keys), missed(&row.times));
        format!("{}: {keys} and {times}, {false_holds} false holds as it stands", row.world)
    };
    let all: Vec<String> = rows.iter().map(said).collect();
    let end = match elsewhere::lost_in(rows) {
        Some(worlds) => format!("What keys gain does not survive in: {worlds}. So no rule that knows keys is advised."),
        None => "What keys gain survives in all of them.".to_owned(),
    };
    format!(
        " Rules that know keys learned from this text and these shortcuts. Missed holds per 100 at 5 false ones per 1000 \
         taps, of `key-evidence` and of times alone, and its false holds at the threshold of where it learned: {}. {end}",
        all.join("; ")
    )
}

pub(super) fn sentence(plan: &AdvicePlan, advice: &Recommendation, chosen: Option<usize>) -> String {
    let tried = advice.searched.len();
    let percent = 100.0 * advice.confidence;
    let limits = AdvicePlan::limits_in_words(&plan.limits);
    let of_all = AdvicePlan::limits_in_words(&plan.limits_of_all);
    let asked = match (plan.limits.is_empty(), plan.limits_of_all.is_empty()) {
        (true, true) => String::new(),
        (false, true) => format!("at least {:.0} % of typists within {limits}", 100.0 * plan.served),
        (true, false) => format!("{of_all} over all typists"),
        (false, false) => {
            format!("at least {:.0} % of typists within {limits}, and {of_all} over all typists", 100.0 * plan.served)
        }
    };
    let Some(chosen) = chosen else {
        let nearest = advice.listed.iter().max_by(|a, b| share(a).total_cmp(&share(b)));
        let nearest = nearest.map_or_else(String::new, |own| match &own.served {
            Some(served) => {
                format!(" The nearest is `{}`, which serves {} of 100 typists.", own.setting, in_sentence(served))
            }
            None => format!(" The nearest is `{}`.", own.setting),
        });
        return format!(
            "For `{}`, none of {tried} settings is sure ({percent} %) to keep {asked}.{nearest} Loosen a limit, ask for \
             fewer typists, or try more settings.",
            advice.arm
        );
    };
    let own = &advice.listed[chosen];
    let loss = plan.objective.said(&in_sentence(&own.loss));
    let mut text = format!("For `{}`, use `{}`: {loss}", advice.arm, own.setting);
    match own.served_at_least_percent {
        Some(least) => text.push_str(&format!(", and at least {least:.1} % of such typists stay within {limits}.")),
        None => text.push('.'),
    }
    for caution in &own.loss.cautions {
        text.push_str(&format!(" {}", caution.sentence("typist")));
    }
    let alike: Vec<String> = advice.listed.iter().filter(|o| o.alike).map(|o| format!("`{}`", o.setting)).collect();
    if !alike.is_empty() {
        text.push_str(&format!(" It cannot be told apart from {}.", alike.join(", ")));
    }
    let better: Vec<String> = advice
        .listed
        .iter()
        .filter(|own| own.more_loss.as_ref().and_then(|gap| gap.hi).is_some_and(|hi| hi < 0.0))
        .map(|own| format!("`{}`", own.setting))
        .collect();
    if !better.is_empty() {
        let it = if better.len() == 1 { "has a lower figure, but it is" } else { "have lower figures, but they are" };
        text.push_str(&format!(" {} {it} not sure to meet what is asked.", better.join(", ")));
    }
    if let Some(most) = advice.most_missed.filter(|most| *most > 0.0) {
        text.push_str(&format!(
            " A setting that was tried and left out could be better by {} at most.",
            plan.objective.said(&format!("{most:.2}"))
        ));
    }
    text.push_str(&crate::ends::sentence(&advice.ends, &own.setting));
    let all = if advice.ends.is_empty() { "All this" } else { "All but that" };
    text.push_str(&format!(
        " {all} holds together with {percent} % confidence under the model: {tried} settings were searched on {} \
         typists, and the claims come from {} others.",
        plan.search_typists, plan.confirm_typists
    ));
    text
}

fn share(own: &super::Listed) -> f64 {
    own.served.as_ref().and_then(|served| served.value).unwrap_or(-1.0)
}
