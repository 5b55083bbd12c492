//! The answer of a study on one screen.

use agogic_files::Results;
use agogic_lab::{Advice, Statistic};
use agogic_stats::{Estimate, fixed};
use agogic_study::EstimandInfo;

use crate::sheet::{Cell, Column, Sheet};

/// Simple rules that are shown beside the best.
const SIMPLE: usize = 3;

/// What is shown of a setting, with its decimals.
const FIGURES: [(&str, usize); 4] = [("wrong_keys", 1), ("false_holds", 1), ("missed_holds", 1), ("tap_delay", 0)];

/// By group of people: the setting with the fewest wrong keys, and the best setting of three rules that learn nothing.
///
/// # Definition
/// The wrong keys of the first are moved for the luck of the choice, as in its [`Advice`]; all other figures are as seen.
pub fn short_answer(results: &Results) -> Sheet {
    let mut columns = vec![Column::words("typists"), Column::words("setting")];
    columns.extend(FIGURES.iter().filter_map(|(name, _)| EstimandInfo::by_name(name)).map(|info| {
        let title = info.name.replace('_', " ");
        Column::numbers(&title, info.unit)
    }));
    let mut rows = Vec::new();
    for advice in &results.advice {
        let settings = settings(results, advice);
        for (number, setting) in settings.iter().enumerate() {
            let who = if number == 0 { advice.arm.clone() } else { String::new() };
            let seen = |(name, digits): &(&str, usize)| match (*name, *setting == advice.best) {
                ("wrong_keys", true) => Cell::estimate(Some(&advice.wrong_keys), *digits),
                _ => {
                    let row = results.row(&advice.arm, setting, name, Statistic::Pooled);
                    Cell::estimate(row.map(|row| &row.estimate), *digits)
                }
            };
            let words = [who, (*setting).to_owned()].map(Cell::Words);
            rows.push(words.into_iter().chain(FIGURES.iter().map(seen)).collect());
        }
    }
    Sheet {
        name: "answer".into(),
        caption: "The fewest wrong keys, and the best of the rules that learn nothing.".into(),
        columns,
        rows,
    }
}

fn settings<'a>(results: &'a Results, advice: &'a Advice) -> Vec<&'a str> {
    let learns = |policy: &str| {
        let at = results.manifest.policies.iter().position(|own| own == policy);
        let rule = at.and_then(|at| results.manifest.policy_rules.get(at)).and_then(|rule| agogic_policy::rule(rule));
        policy.starts_with("personal ") || rule.is_none_or(|rule| rule.needs_training)
    };
    let each = results.best_of_each_rule(&advice.arm, usize::MAX);
    let simple = each.into_iter().filter(|policy| !learns(policy) && *policy != advice.best).take(SIMPLE);
    std::iter::once(advice.best.as_str()).chain(simple).collect()
}

/// What the table leaves open, a sentence a line: what cannot be told apart, what nobody has published, where the rest is.
pub fn short_answer_words(results: &Results) -> Vec<String> {
    let mut said = Vec::new();
    for advice in &results.advice {
        if advice.nothing_sure() {
            said.push(advice.sentence.clone());
        } else if !advice.alike.is_empty() {
            let alike: Vec<String> = advice.alike.iter().map(|other| format!("`{}`", other.label)).collect();
            said.push(format!(
                "For `{}`, `{}` cannot be told apart from {}.",
                advice.arm,
                advice.best,
                alike.join(", ")
            ));
        }
    }
    let assumed: Vec<String> = results.advice.iter().filter_map(at_the_ends).collect();
    if !assumed.is_empty() {
        said.push(format!(
            "How people hold keys with two roles is not published. From people who hold as they hold Shift to people who are \
             fully adapted, wrong keys go: {}.",
            assumed.join("; ")
        ));
    }
    said
}

fn at_the_ends(advice: &Advice) -> Option<String> {
    let own = |estimate: &Estimate| Some(fixed(estimate.value?, estimate.decimals(1)));
    let values: Vec<String> = advice.ends.iter().filter_map(|end| own(&end.of(&advice.best)?.wrong_keys)).collect();
    let [first, .., last] = &values[..] else { return None };
    Some(format!("`{}` on `{}` from {first} to {last}", advice.best, advice.arm))
}
