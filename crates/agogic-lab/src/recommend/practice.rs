//! What becomes of advice while people come to hold for the rule they live with.

use std::borrow::Cow;
use std::ops::Range;

use agogic_policy::Asks;
use agogic_sim::numbers::ONE_SEARCH;
use agogic_sim::{Store, TrainedArm, TypistRow, clusters};
use agogic_stats::{Clusters, Estimate, ratio};
use agogic_study::{AdvicePlan, Study};
use serde::{Deserialize, Serialize};

use super::asked::served_estimate;
use crate::candidates::{Candidate, rows_of};
use crate::estimate::{default_difference, rate};
use crate::practised::groups_in_practice;
use crate::transfer::joint_level;

/// Typists in practice on whom all settings of a rule are tried.
const SEARCH_TYPISTS: u64 = 30;

/// Shares of the habit that are looked at: none, a quarter and so on, all.
pub const PRACTISED: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

/// A setting for people who have so much of the habit that its rule asks for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PractisedStage {
    /// Share of the habit, one of [`PRACTISED`].
    pub practised: f64,
    /// The objective.
    pub loss: Estimate,
    /// The same less that of the advised setting for people who have as much of *its* habit. Limits hold together for all
    /// rules and stages (Bonferroni).
    pub more: Estimate,
    /// Typists within the limits per 100; `None` where no limit asks.
    pub served: Option<Estimate>,
}

/// The best setting of a rule, stage by stage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PractisedRule {
    /// The rule.
    pub rule: Cow<'static, str>,
    /// Its setting.
    pub setting: String,
    /// What it asks of those who hold, in words that follow "to".
    pub asks: String,
    /// The stages, in order.
    pub stages: Vec<PractisedStage>,
}

/// Advice along the way from holding as with Shift to holding as a rule asks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Practice {
    /// The advised setting.
    pub advised: String,
    /// Typists, the same at every stage.
    pub typists: u64,
    /// The advised setting and the best of each rule, least loss at the full habit first.
    pub rules: Vec<PractisedRule>,
    /// The whole in plain words.
    pub sentence: String,
}

/// The advised setting and the best settings of each rule, for people who practise each; `None` where no ends are asked for,
/// or where no key has two roles.
///
/// # Definition
/// People who live with a rule move from how they hold Shift to what the rule asks ([`Asks`]), as
/// [`Population::practised`](agogic_typist::Population::practised) says. Each setting is judged on people who practised its
/// own rule; the same typists, from the same random streams, stand behind every stage. Of each rule there are two: the best
/// of the search, and the one with the least loss for 30 other typists who have all of the habit: values that suit beginners
/// may be too loose later. The way itself is no claim: how far and how fast people adapt to keys with two roles is not
/// published.
pub(super) fn practice(
    study: &Study,
    plan: &AdvicePlan,
    arm: &TrainedArm<'_>,
    (advised, of_rules, all): (&Candidate, &[&Candidate], &[Candidate]),
    typists: Range<u64>,
    store: Option<&Store>,
) -> Option<Practice> {
    if typists.is_empty() || arm.arm().assignment.iter().next().is_none() {
        return None;
    }
    let mut list = vec![advised];
    let tuned = tuned_in_practice(study, plan, arm, (of_rules, all), store);
    for own in of_rules.iter().copied().chain(tuned) {
        if list.iter().all(|listed| listed.label != own.label) {
            list.push(own);
        }
    }
    let stages: Vec<Judged> =
        PRACTISED.iter().map(|share| Judged::of(study, arm, &list, *share, typists.clone(), store)).collect();
    let level = study.inference.level;
    let joint = joint_level(level, PRACTISED.len() * (list.len() - 1).max(1));
    let info = plan.objective;
    let stage = |at: usize, stage: usize| {
        let (judged, own) = (&stages[stage], stages[stage].clusters(plan, at));
        let (rows, place) = judged.of_setting(at);
        let more = default_difference(&own, &judged.clusters(plan, 0), if at == 0 { level } else { joint });
        PractisedStage {
            practised: PRACTISED[stage],
            loss: info.scaled(rate(&own, &study.inference, study.seed, info)),
            more: info.scaled(more),
            served: plan.asks_of_typists().then(|| served_estimate(plan, rows, place, level, &[])),
        }
    };
    let rule = |at: usize| PractisedRule {
        rule: list[at].rule(arm).into(),
        setting: list[at].label.clone(),
        asks: asks(list[at], arm).words().to_owned(),
        stages: (0..PRACTISED.len()).map(|number| stage(at, number)).collect(),
    };
    let mut rules: Vec<PractisedRule> = (0..list.len()).map(rule).collect();
    rules.sort_by(|a, b| a.at_last().total_cmp(&b.at_last()));
    let mut found = Practice {
        advised: advised.label.clone(),
        typists: typists.end - typists.start,
        rules,
        sentence: String::new(),
    };
    found.sentence = sentence(plan, &found);
    Some(found)
}

impl PractisedRule {
    fn at_last(&self) -> f64 {
        self.stages.last().and_then(|stage| stage.loss.value).unwrap_or(f64::INFINITY)
    }
}

fn asks(candidate: &Candidate, arm: &TrainedArm<'_>) -> Asks {
    candidate.setting(arm).map_or(Asks::BOTH, |own| own.entry().asks)
}

/// Of each rule the setting with the least loss for people who have all of its habit.
fn tuned_in_practice<'c>(
    study: &Study,
    plan: &AdvicePlan,
    arm: &TrainedArm<'_>,
    (of_rules, all): (&[&'c Candidate], &'c [Candidate]),
    store: Option<&Store>,
) -> Vec<&'c Candidate> {
    let rules: Vec<&str> = of_rules.iter().map(|own| own.rule(arm)).collect();
    let able: Vec<&Candidate> = all.iter().filter(|own| rules.contains(&own.rule(arm))).collect();
    let judged = Judged::of(study, arm, &able, 1.0, ONE_SEARCH..ONE_SEARCH + SEARCH_TYPISTS, store);
    let loss = |at: usize| ratio(&judged.clusters(plan, at), study.inference.level).value.unwrap_or(f64::INFINITY);
    let losses: Vec<f64> = (0..able.len()).map(loss).collect();
    let best = |rule: &&str| {
        let own = (0..able.len()).filter(|at| able[*at].rule(arm) == *rule);
        own.min_by(|a, b| losses[*a].total_cmp(&losses[*b])).map(|at| able[at])
    };
    rules.iter().filter_map(best).collect()
}

/// All settings at one stage, those that ask the same judged on the same people.
struct Judged {
    groups: Vec<Vec<TypistRow>>,
    /// By setting: its group, and its place there.
    places: Vec<(usize, usize)>,
}

impl Judged {
    fn of(
        study: &Study,
        arm: &TrainedArm<'_>,
        list: &[&Candidate],
        share: f64,
        typists: Range<u64>,
        store: Option<&Store>,
    ) -> Self {
        let asked: Vec<Asks> = list.iter().map(|own| asks(own, arm)).collect();
        let mut places = vec![(0, 0); list.len()];
        let mut groups = Vec::new();
        for (kind, own) in groups_in_practice(&asked, share) {
            own.iter().enumerate().for_each(|(place, at)| places[*at] = (groups.len(), place));
            let people = arm.arm().population.practised(kind.lead, kind.release, share);
            let candidates: Vec<&Candidate> = own.iter().map(|at| list[*at]).collect();
            groups.push(rows_of(study, arm, &people, &candidates, typists.clone(), store));
        }
        Self { groups, places }
    }

    fn of_setting(&self, at: usize) -> (&[TypistRow], usize) {
        let (group, place) = self.places[at];
        (&self.groups[group], place)
    }

    fn clusters(&self, plan: &AdvicePlan, at: usize) -> Clusters {
        let (rows, place) = self.of_setting(at);
        clusters(rows, plan.objective, place)
    }
}

/// What nobody has published of practice, and what is known of how habits grow.
pub const PRACTICE_NOTE: &str = "How far and how fast people adapt is not published for such keys; the habit of one person \
    grows exponentially with practice (Heathcote, Brown & Mewhort 2000), three quarters in twice the holds of a half.";

fn sentence(plan: &AdvicePlan, found: &Practice) -> String {
    let Some(own) = found.rules.iter().find(|own| own.setting == found.advised) else { return String::new() };
    let [first, .., last] = &own.stages[..] else { return String::new() };
    let mut text = format!(
        "With practice: people who live with `{}` may come to {}. From holding as they hold Shift to all of that habit it goes \
         from {} to {}.",
        own.setting,
        own.asks,
        first.loss.text_in_sentence(1),
        plan.objective.said(&last.loss.text_in_sentence(1))
    );
    // Surely less, and by more than the least gain.
    let surely = |own: &PractisedStage| own.more.hi.is_some_and(|hi| hi < -plan.least_gain);
    let first_better = |other: &PractisedRule| other.stages.iter().position(surely);
    // Least loss in practice first.
    let overtakes: Vec<(&PractisedRule, usize)> =
        found.rules.iter().filter_map(|other| Some((other, first_better(other)?))).collect();
    match overtakes.first() {
        None => {
            let by = match plan.least_gain > 0.0 {
                true => format!(", by more than {}", plan.least_gain),
                false => String::new(),
            };
            text.push_str(&format!(
                " At none of {} stages has another setting surely less{by}, its people in practice with it.",
                PRACTISED.len()
            ));
        }
        Some((other, at)) => {
            let when = match other.stages[*at].practised {
                0.0 => "from the first day".to_owned(),
                share => format!("once {:.0} % of its habit is there", 100.0 * share),
            };
            let in_practice = other.stages.last().expect("a setting has stages");
            text.push_str(&format!(
                " The advice would change: `{}` has surely less {when}, in full practice {}, by {}",
                other.setting,
                in_practice.loss.text_in_sentence(1),
                in_practice.more.clone().times(-1.0).text_in_sentence(1)
            ));
            text.push_str(&match overtakes.len() - 1 {
                0 => ".".to_owned(),
                1 => "; one other setting overtakes it too.".to_owned(),
                others => format!("; {others} other settings overtake it too."),
            });
        }
    }
    text
}
