//! The sentence a study ends with: which setting, at what price, how sure.
//!
//! A setting that is chosen because it looked best looks better than it is. Its wrong keys are moved by what settings
//! chosen on nine tenths of the typists lose on the tenth that had no say.

use agogic_keys::{Purpose, stream};
use agogic_stats::{Caution, Clusters, Estimate, FEWEST_TO_CHOOSE, Level, moved_by, ratio, winners_optimism};
use agogic_study::{EstimandInfo, Study};
use serde::{Deserialize, Serialize};

use crate::ends::{self, End};
use crate::estimate::{default_difference, rate};
use crate::run::ArmResult;

/// Another setting, compared with the best one.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Contender {
    /// Its label.
    pub label: String,
    /// How many more wrong keys per 1000 words it makes, with a simultaneous interval.
    pub more_wrong_keys: Estimate,
}

impl Contender {
    /// Whether its interval excludes zero and enough typists differ for it to hold.
    fn is_worse(&self) -> bool {
        let few = |caution: &Caution| matches!(caution, Caution::FewDiffering { .. });
        self.more_wrong_keys.lo.is_some_and(|lo| lo > 0.0) && !self.more_wrong_keys.cautions.iter().any(few)
    }
}

/// Advice for one arm of a study.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Advice {
    /// Label of the arm.
    pub arm: String,
    /// Label of the setting with the fewest wrong keys.
    pub best: String,
    /// Its wrong keys per 1000 words, moved for the luck of the choice.
    pub wrong_keys: Estimate,
    /// Its mean tap delay in ms.
    pub tap_delay: Estimate,
    /// Its false holds per 1000 taps.
    pub false_holds: Estimate,
    /// Its missed holds per 100 holds.
    pub missed_holds: Estimate,
    /// Settings whose interval excludes zero where enough typists differ, nearest first.
    pub worse: Vec<Contender>,
    /// Settings that cannot be told apart from the best one.
    pub alike: Vec<Contender>,
    /// The policies at both ends of what is assumed of holding; folders of earlier versions have none.
    #[serde(default)]
    pub ends: Vec<End>,
    /// The whole in plain words.
    pub sentence: String,
}

impl Advice {
    /// Whether too little was seen to advise anything; the sentence says why.
    pub fn nothing_sure(&self) -> bool {
        self.doubts().next().is_some()
    }

    /// What makes the figure unsure. One text limits what the numbers are about, not how sure they are.
    fn doubts(&self) -> impl Iterator<Item = &Caution> {
        self.wrong_keys.cautions.iter().filter(|caution| **caution != Caution::OneText)
    }
}

fn info(name: &str) -> &'static EstimandInfo {
    EstimandInfo::by_name(name).expect("names of our own table")
}

/// Finds the setting with the fewest wrong keys and says how sure that is.
///
/// # Definition
/// Every pair of settings is compared by its paired difference over typists at the level
/// 1 − α ⁄ (k (k − 1) ⁄ 2), k settings (Bonferroni over all pairs). All these intervals hold together with
/// the stated confidence, so they also hold for the setting that turned out best: choosing it after
/// looking costs nothing. The wrong keys of the best setting are no difference; they are moved by [`winners_optimism`], and
/// their interval stretched by as much. Its other figures, on which it was not chosen, stay: what settings that other
/// typists would have chosen add to them is mostly chance. `None` when no setting has a rate.
pub fn advise(study: &Study, arm: &ArmResult) -> Option<Advice> {
    let wrong = info("wrong_keys");
    let level = study.inference.level;
    let wrong_keys = arm.typists.clusters(wrong);
    let k = study.policies.len();
    let best = (0..k)
        .filter_map(|at| Some((at, ratio(&wrong_keys[at], level).value?)))
        .min_by(|a, b| a.1.total_cmp(&b.1).then_with(|| study.policies[a.0].cmp(&study.policies[b.0])))?
        .0;
    let pairs = (k * (k - 1) / 2).max(1) as f64;
    let joint = Level::new(1.0 - level.alpha() / pairs).expect("closer to one than a level");
    let own = &wrong_keys[best];
    let mut contenders: Vec<Contender> = (0..k)
        .filter(|&at| at != best)
        .map(|at| {
            let difference = default_difference(&wrong_keys[at], own, joint);
            Contender { label: study.policies[at].clone(), more_wrong_keys: wrong.scaled(difference) }
        })
        .collect();
    contenders.sort_by(|a, b| {
        let value = |c: &Contender| c.more_wrong_keys.value.unwrap_or(f64::INFINITY);
        value(a).total_cmp(&value(b)).then_with(|| a.label.cmp(&b.label))
    });
    let (worse, alike): (Vec<_>, Vec<_>) = contenders.into_iter().partition(Contender::is_worse);
    let figure =
        |info: &'static EstimandInfo, own: &Clusters| info.scaled(rate(own, &study.inference, study.seed, info));
    let plain = figure(wrong, own);
    let moved = if can_be_moved(k, arm.typists.len()) {
        // An address of its own: no resample of the study has this number.
        let mut rng = stream(study.seed, Purpose::Resampling, u64::MAX, 0);
        let moves = winners_optimism(&wrong_keys, &[&wrong_keys], &mut rng).expect("all have the same typists");
        let moved = moved_by(plain, wrong.scale * moves[0], f64::INFINITY);
        Estimate { method: format!("{}, moved for the choice among {k}", moved.method), ..moved }
    } else {
        plain
    };
    let other = |name: &str| figure(info(name), &arm.typists.clusters(info(name))[best]);
    let label = study.policies[best].clone();
    let mut advice = Advice {
        arm: arm.label.clone(),
        wrong_keys: moved,
        tap_delay: other("tap_delay"),
        false_holds: other("false_holds"),
        missed_holds: other("missed_holds"),
        best: label,
        worse,
        alike,
        ends: arm.ends.clone(),
        sentence: String::new(),
    };
    advice.sentence = sentence(study, &advice, arm.typists.len());
    Some(advice)
}

/// Why `agogic advise` may name another setting than a run does.
pub fn beside_recommendation(study: &Study) -> String {
    let asks = match study.advice.as_ref().filter(|plan| plan.asks_of_typists()) {
        Some(plan) => format!("wants {:.0} % of typists within {}", 100.0 * plan.served, plan.limits_said()),
        None => "wants most typists within limits".to_owned(),
    };
    format!(
        "`agogic advise` may name another setting: this compares the policies listed by their mean alone; advice tries values \
         between them too, {asks}, admits a rule that learned only where its worst case beats the rules that learn nothing, \
         and names one default for all populations."
    )
}

/// Whether one of so many settings was chosen, by enough typists to tell what the choice flatters.
fn can_be_moved(settings: usize, typists: usize) -> bool {
    settings > 1 && typists >= FEWEST_TO_CHOOSE
}

fn sentence(study: &Study, advice: &Advice, typists: usize) -> String {
    let percent = study.inference.level.confidence() * 100.0;
    let unsure: Vec<String> = advice.doubts().map(|caution| caution.sentence("typist")).collect();
    let opening = if unsure.is_empty() {
        format!("For `{}`, `{}` makes the fewest wrong keys", advice.arm, advice.best)
    } else {
        format!(
            "For `{}`, nothing can be advised yet. {} Of those seen `{}` makes the fewest wrong keys",
            advice.arm,
            unsure.join(" "),
            advice.best
        )
    };
    let mut text = format!(
        "{opening}: {} wrong keys per 1000 words, {} false holds per 1000 taps, {} missed holds per 100 holds and a mean tap \
         delay of {} ms ({percent} % intervals over {} simulated typists).",
        advice.wrong_keys.text_in_sentence(1),
        advice.false_holds.text_in_sentence(2),
        advice.missed_holds.text_in_sentence(2),
        advice.tap_delay.text_in_sentence(0),
        typists,
    );
    let tried = study.policies.len();
    if can_be_moved(tried, typists) {
        text.push_str(&format!(
            " The best of {tried} looks better than it is: its wrong keys are moved, and their interval stretched, by what \
             settings chosen on nine tenths of the typists lose on the tenth that had no say; its other figures are as seen."
        ));
    } else if tried > 1 {
        text.push_str(&format!(
            " The best of {tried} looks better than it is, and with fewer than {FEWEST_TO_CHOOSE} typists by how much cannot be told."
        ));
    }
    match (advice.alike.as_slice(), advice.worse.first()) {
        ([], Some(next)) => text.push_str(&format!(
            " Every other setting tried makes more wrong keys, the next, `{}`, {} more per 1000 words (intervals \
             hold together at {percent} %).",
            next.label,
            next.more_wrong_keys.text_in_sentence(1)
        )),
        ([], None) => {}
        (alike, _) => {
            let names: Vec<String> = alike.iter().map(|c| format!("`{}`", c.label)).collect();
            text.push_str(&format!(
                " It cannot be told apart from {} at a joint {percent} %; between these choose by delay or habit.",
                names.join(", ")
            ));
        }
    }
    text.push_str(&ends::sentence(&advice.ends, &advice.best));
    text
}

#[cfg(test)]
mod tests {
    use agogic_stats::{FEWEST_DIFFERING, Interval};

    use super::*;

    #[test]
    fn a_setting_that_differs_in_few_typists_is_not_called_worse() {
        let against = |differing: u64, lo: f64| {
            let sides = [differing, 0]
                .map(|more| Clusters::counts("typist", (0..100).map(|c| (3 + u64::from(c < more), 40))).unwrap());
            let found = default_difference(&sides[0], &sides[1], Level::P95);
            Contender { label: "other".into(), more_wrong_keys: found.with_interval(Interval { lo, hi: 9.0 }) }
        };
        assert!(against(FEWEST_DIFFERING, 0.5).is_worse());
        assert!(!against(FEWEST_DIFFERING - 1, 0.5).is_worse());
        assert!(!against(FEWEST_DIFFERING, -0.5).is_worse());
    }
}
