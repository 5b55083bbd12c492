//! What becomes of one person's advice while that person comes to hold for the rule.

use agogic_personal::{OWN_TABLES, Tally, best_of};
use agogic_policy::{Asks, EncounterScan, Setting};
use agogic_sim::numbers::{PERSONAL_CONFIRM, PERSONAL_SEARCH};
use agogic_sim::{ArmRunner, Trial};
use agogic_stats::{Estimate, Interval, Level, variance};
use agogic_typist::{Population, SessionAddress};
use rayon::prelude::*;
use serde::Serialize;

use super::PersonalQuestion;
use super::drawn::tallies;
use crate::practised::groups_in_practice;

/// Shares of the habit: none, half, all.
const SHARES: [f64; 3] = [0.0, 0.5, 1.0];

/// The best setting of a rule for the person in practice with it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PractisedSetting {
    /// The setting.
    pub setting: String,
    /// What its rule asks of those who hold, in words that follow "to".
    pub asks: String,
    /// Wrong decisions per 1000 presses of dual-role keys, each false hold counted as often as asked: with none, half and all
    /// of the habit. Means over drawn typists.
    pub cost: [f64; 3],
    /// The last of these less that of the advised setting, the person as much in practice with that one. The interval is
    /// what the log leaves unknown: the spread over drawn typists.
    pub more: Estimate,
}

/// The settings of the rules, and in words what practice does to the advice.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PersonalPractice {
    /// The advised setting first, then the others by what they come to in practice.
    pub settings: Vec<PractisedSetting>,
    /// In plain words.
    pub sentence: String,
}

/// Judges the settings on drawn typists who have none, half and all of the habit that each rule asks for.
///
/// # Definition
/// As for the advice of a study: see [`Practice`](crate::Practice). Beside the setting that is lived with and the choice of
/// each rule stands the best of each rule for typists in practice, chosen on others than those that judge. It is the model that speaks, not the log: nobody's log
/// shows how its person will hold.
pub(super) fn practice(
    question: &PersonalQuestion<'_>,
    runner: &ArmRunner<'_>,
    person: &Population,
    (advised, others): (&Setting, &[(&'static str, &Setting)]),
) -> PersonalPractice {
    let tuned = tuned_in_practice(question, runner, person);
    let mut settings = vec![advised];
    // What knows this person's keys is not judged on drawn typists.
    let common = |own: &Setting| agogic_policy::rule(own.entry().name).is_some();
    let known = others.iter().filter(|(rule, own)| *rule != OWN_TABLES && common(own)).map(|(_, own)| *own);
    for own in known.chain(&tuned) {
        if settings.iter().all(|listed| listed.label() != own.label()) {
            settings.push(own);
        }
    }
    let asks: Vec<Asks> = settings.iter().map(|own| own.entry().asks).collect();
    let costs: [Vec<Vec<f64>>; 3] = SHARES.map(|share| {
        let mut of_settings = vec![Vec::new(); settings.len()];
        for (kind, own) in groups_in_practice(&asks, share) {
            let people = person.practised(kind.lead, kind.release, share);
            let judged: Vec<&Setting> = own.iter().map(|at| settings[*at]).collect();
            let found = costs(question, runner, &people, &judged);
            own.iter().zip(found).for_each(|(at, each)| of_settings[*at] = each);
        }
        of_settings
    });
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len().max(1) as f64;
    let at_last = &costs[SHARES.len() - 1];
    let of = |at: usize| PractisedSetting {
        setting: settings[at].label(),
        asks: settings[at].entry().asks.words().to_owned(),
        cost: [0, 1, 2].map(|stage: usize| mean(&costs[stage][at])),
        more: difference(&at_last[at], &at_last[0], question.level),
    };
    let mut rows: Vec<PractisedSetting> = (0..settings.len()).map(of).collect();
    rows[1..].sort_by(|a, b| a.cost[2].total_cmp(&b.cost[2]));
    let sentence = sentence(&rows);
    PersonalPractice { settings: rows, sentence }
}

/// Of each rule the best setting for drawn typists who have all of its habit; others than those that are judged.
fn tuned_in_practice(question: &PersonalQuestion<'_>, runner: &ArmRunner<'_>, person: &Population) -> Vec<Setting> {
    let grid = question.grid();
    let asks: Vec<Asks> =
        (0..grid.families().len()).map(|at| grid.setting(grid.of_family(at).start).entry().asks).collect();
    let mut found = Vec::new();
    for (kind, families) in groups_in_practice(&asks, 1.0) {
        let people = person.practised(kind.lead, kind.release, 1.0);
        let numbers = PERSONAL_SEARCH..PERSONAL_SEARCH + question.draws;
        let mut sum = Tally::new(&grid, usize::from(question.now.is_some()));
        tallies(question, &grid, runner, &people, numbers).iter().for_each(|own| sum.merge(own));
        let errors = sum.errors(&grid);
        found.extend(families.into_iter().map(|at| grid.setting(best_of(&grid, &errors, question.false_hold, &[at]))));
    }
    found
}

/// By setting, by drawn typist: wrong decisions per 1000 presses.
fn costs(
    question: &PersonalQuestion<'_>,
    runner: &ArmRunner<'_>,
    people: &Population,
    settings: &[&Setting],
) -> Vec<Vec<f64>> {
    let address = SessionAddress { seed: question.seed, replicate: 0 };
    let each: Vec<Vec<f64>> = (PERSONAL_CONFIRM..PERSONAL_CONFIRM + question.draws)
        .into_par_iter()
        .map_init(EncounterScan::new, |scan, typist| {
            let session = runner.perform(Trial { population: people, typist, address, keys: question.keys }).session;
            let (mut presses, mut wrong) = (0_u64, vec![0.0; settings.len()]);
            runner.encounters(scan, &session.presses, |press, encounter| {
                presses += 1;
                let meant = session.truths[press].hold;
                let counts = if meant { 1.0 } else { question.false_hold };
                for (setting, wrong) in settings.iter().zip(&mut wrong) {
                    *wrong += f64::from(u8::from(setting.decide(encounter).is_hold() != meant)) * counts;
                }
            });
            wrong.into_iter().map(|wrong| 1000.0 * wrong / presses.max(1) as f64).collect()
        })
        .collect();
    (0..settings.len()).map(|at| each.iter().map(|own| own[at]).collect()).collect()
}

fn difference(own: &[f64], advised: &[f64], level: Level) -> Estimate {
    let each: Vec<f64> = own.iter().zip(advised).map(|(a, b)| a - b).collect();
    let n = each.len();
    let mean = each.iter().sum::<f64>() / n.max(1) as f64;
    let estimate = Estimate::new(mean, "spread over drawn typists", level, "draw of the person", n as u64);
    match variance(&each).map(f64::sqrt) {
        Some(spread) => estimate
            .with_interval(Interval { lo: mean - level.z() * spread, hi: mean + level.z() * spread })
            .with_mcse(spread / (n as f64).sqrt()),
        None => estimate.because("one draw has no spread"),
    }
}

fn sentence(rows: &[PractisedSetting]) -> String {
    let Some((own, others)) = rows.split_first() else { return String::new() };
    let mut text = format!(
        "With practice: who lives with `{}` may come to {}; drawn typists like this person go with it from {:.1} to {:.1} wrong \
         decisions per 1000 presses as that habit grows.",
        own.setting, own.asks, own.cost[0], own.cost[2]
    );
    let surely: Vec<String> = others
        .iter()
        .filter(|other| other.more.hi.is_some_and(|hi| hi < 0.0))
        .map(|other| format!("`{}` ({:.1})", other.setting, other.cost[2]))
        .collect();
    match surely.split_first() {
        None => text.push_str(" No other setting is surely better for them in practice with it."),
        Some((best, others)) => {
            text.push_str(&format!(" Surely better for them in practice with it: {best}"));
            text.push_str(&if others.is_empty() { ".".to_owned() } else { format!(", and {} more.", others.len()) });
        }
    }
    text.push_str(
        " That is the model alone: how far people adapt is not published, and no log shows it beforehand; judge again then.",
    );
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(setting: &str, cost: [f64; 3], more: f64, half: f64) -> PractisedSetting {
        let more = Estimate::new(more, "spread", Level::P95, "draw", 10)
            .with_interval(Interval { lo: more - half, hi: more + half });
        PractisedSetting { setting: setting.into(), asks: "let the held key go late".into(), cost, more }
    }

    #[test]
    fn another_rule_is_named_only_where_it_is_surely_better() {
        let own = row("dwell-cutoff 200", [30.0, 28.0, 26.0], 0.0, 0.0);
        let rows = |half| vec![own.clone(), row("enclosed", [40.0, 20.0, 8.0], -18.0, half)];
        assert!(sentence(&rows(5.0)).contains("with it: `enclosed` (8.0)."), "{}", sentence(&rows(5.0)));
        assert!(sentence(&rows(20.0)).contains("No other setting is surely better"));
        assert!(sentence(&rows(5.0)).contains("from 30.0 to 26.0"));
    }

    #[test]
    fn the_difference_has_the_spread_of_the_draws() {
        let found = difference(&[4.0, 6.0, 8.0], &[3.0, 3.0, 3.0], Level::P95);
        assert_eq!(found.value, Some(3.0));
        assert!((found.hi.unwrap() - (3.0 + 2.0 * Level::P95.z())).abs() < 1e-12);
        assert!(difference(&[1.0], &[1.0], Level::P95).lo.is_none());
    }
}
