//! The advice: a value for each rule, what it gains, and whether that is worth a change.

use agogic_log::SessionLog;
use agogic_policy::Setting;
use agogic_sim::numbers::{PERSONAL_CONFIRM, PERSONAL_SEARCH};
use agogic_stats::{Estimate, quantile};
use agogic_typist::Population;
use serde::Serialize;

use super::PersonalQuestion;
use super::candidates::{Candidate, FAMILIES, candidates};
use super::drawn::{CommonLosses, Loss, judged, pooled};
use super::on_log::{OnLog, on_log};

/// Known presses of a log that count as much as the model's drawn typists, where the two differ. Assumed.
const EVEN_PRESSES: f64 = 300.0;

/// Sessions of each draw that confirms: their difference tells what a finite text does.
const SESSIONS: u64 = 2;

/// Whether a change is worth it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PersonalVerdict {
    /// The interval of the gain lies above the least gain, and the log does not speak against it.
    Change,
    /// The interval of the gain lies below the least gain: no change is worth it.
    Stay,
    /// It is not known: no change is worth it yet.
    StayUnsure,
}

/// A value with what the draws make of it.
#[derive(Clone, Debug, Serialize)]
pub struct ValueRange {
    /// Its name.
    pub name: &'static str,
    /// The personal value; 0 for no guard.
    pub value: f64,
    /// From the lowest to the highest value that costs less than the least gain more, the others held.
    pub as_good: (f64, f64),
    /// Where the best values of nine in ten draws lie, each judged on its own text.
    pub of_draws: (f64, f64),
}

/// Advice on one rule, or on the choice between all.
#[derive(Clone, Debug, Serialize)]
pub struct FamilyAdvice {
    /// The rule; `any` for the choice between all.
    pub rule: &'static str,
    /// The default: the best common setting of the population.
    pub default: String,
    /// The personal setting.
    pub personal: String,
    /// Its values.
    pub values: Vec<ValueRange>,
    /// What the default is expected to cost this person.
    pub default_loss: Option<f64>,
    /// What the personal setting is expected to cost.
    pub personal_loss: Option<f64>,
    /// What the person gains by it.
    pub gain: Estimate,
    /// Wrong decisions of the default and of the personal setting where the log states what was meant. The values
    /// were chosen with a look at these.
    pub on_log: [OnLog; 2],
    /// Whether a change is worth it.
    pub verdict: PersonalVerdict,
}

/// Advice for one person.
#[derive(Clone, Debug, Serialize)]
pub struct PersonalAdvice {
    /// What was made small.
    pub objective: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// The gain that nobody would change anything for.
    pub least_gain: f64,
    /// The people whose best common setting is the default.
    pub population: String,
    /// Presses whose meaning the log states.
    pub known_presses: u64,
    /// One row a rule.
    pub rules: Vec<FamilyAdvice>,
    /// The choice between all settings of all rules.
    pub overall: FamilyAdvice,
    /// The whole in plain words.
    pub sentence: String,
}

/// Chooses values for one person and says what they gain.
///
/// # Definition
/// *Default*: the candidate that costs the people of the population least together. *Personal*: the candidate that
/// costs the search draws of the person least, corrected by the log: where the log states what presses meant, the
/// difference between the wrong decisions there and those of the drawn typists on presses of the same kinds is
/// added per dual-role press, times n ⁄ (n + 300) for n known presses. *Gain*: what the default costs less what the
/// personal setting costs, over draws that had no part in the choice. Its interval holds the stated share of the
/// draws' own gains, from which the noise of a finite text was taken as far as it is sure (by the difference of two
/// sessions of each draw), widened by the error of the mean.
///
/// # Source
/// A Bayesian decision with the parameters' uncertainty, as in the expected value of information; the correction
/// and its weight are our own choice.
pub fn personal_advice(
    question: &PersonalQuestion<'_>,
    common: &CommonLosses,
    person: &Population,
    sessions: &[&SessionLog],
) -> PersonalAdvice {
    let all = candidates();
    let settings: Vec<&Setting> = all.iter().map(|candidate| &candidate.setting).collect();
    let search = judged(question, person, (PERSONAL_SEARCH, question.search_draws), 1, &settings);
    let sums = pooled(&search, all.len());
    let logged = on_log(question.arm, sessions, &settings);
    let corrected: Vec<f64> = sums.iter().zip(&logged).map(|(sum, log)| corrected(question, sum, log)).collect();
    let of_common = |at: usize| common.0[at].value(question.objective).unwrap_or(f64::INFINITY);
    let least = |family: Option<usize>, loss: &dyn Fn(usize) -> f64| -> usize {
        let own = (0..all.len()).filter(|at| family.is_none_or(|family| all[*at].family == family));
        own.min_by(|a, b| loss(*a).total_cmp(&loss(*b))).expect("a family has settings")
    };
    let asked: Vec<Option<usize>> = (0..FAMILIES.len()).map(Some).chain([None]).collect();
    let pairs: Vec<[usize; 2]> =
        asked.iter().map(|family| [least(*family, &of_common), least(*family, &|at| corrected[at])]).collect();
    // Only what is compared is judged again.
    let mut compared: Vec<usize> = pairs.concat();
    compared.sort_unstable();
    compared.dedup();
    let again: Vec<&Setting> = compared.iter().map(|at| settings[*at]).collect();
    let confirm = judged(question, person, (PERSONAL_CONFIRM, question.confirm_draws), SESSIONS, &again);
    let place = |at: usize| compared.iter().position(|other| *other == at).expect("it was judged again");
    let totals = pooled(&confirm, again.len());
    let mut rules: Vec<FamilyAdvice> = asked
        .iter()
        .zip(&pairs)
        .map(|(family, &[default, personal])| {
            let gain = gain(question, &confirm, place(default), place(personal));
            let on_log = [logged[default], logged[personal]];
            let changes = gain.lo.is_some_and(|lo| lo > question.least_gain) && on_log[1].wrong() <= on_log[0].wrong();
            let verdict = match (changes, gain.hi) {
                (true, _) => PersonalVerdict::Change,
                (false, Some(hi)) if hi <= question.least_gain => PersonalVerdict::Stay,
                _ if default == personal => PersonalVerdict::Stay,
                _ => PersonalVerdict::StayUnsure,
            };
            let losses = [default, personal].map(|at| totals[place(at)].value(question.objective));
            FamilyAdvice {
                rule: family.map_or("any", |family| FAMILIES[family].rule),
                default: all[default].label.clone(),
                personal: all[personal].label.clone(),
                values: ranges(question, &all, &corrected, &search, personal),
                default_loss: losses[0],
                personal_loss: losses[1],
                gain,
                on_log,
                verdict,
            }
        })
        .collect();
    let overall = rules.pop().expect("the last is the choice between all");
    let mut advice = PersonalAdvice {
        objective: question.objective.name,
        unit: question.objective.unit,
        least_gain: question.least_gain,
        population: question.arm.population.name().to_owned(),
        known_presses: logged.first().map_or(0, OnLog::known),
        rules,
        overall,
        sentence: String::new(),
    };
    advice.sentence = sentence(&advice);
    advice
}

/// What a candidate costs the draws, corrected by the log.
fn corrected(question: &PersonalQuestion<'_>, sum: &Loss, log: &OnLog) -> f64 {
    let Some(model) = sum.value(question.objective) else { return f64::INFINITY };
    let known = log.known() as f64;
    if known == 0.0 || sum.words == 0.0 {
        return model;
    }
    let [false_holds, taps, missed, holds] = sum.wrong;
    let rate = |wrong: f64, all: f64| if all > 0.0 { wrong / all } else { 0.0 };
    let expected = rate(false_holds, taps) * log.taps as f64 + rate(missed, holds) * log.holds as f64;
    let excess = (log.wrong() as f64 - expected) / known;
    // In the unit of the objective: a wrong decision of the draws costs this much on average.
    let wrong = false_holds + missed;
    let each = if wrong > 0.0 { model / wrong } else { 0.0 };
    model + known / (known + EVEN_PRESSES) * excess * (taps + holds) * each
}

/// The gain over draws that had no part in the choice.
fn gain(question: &PersonalQuestion<'_>, confirm: &[Vec<Vec<Loss>>], default: usize, personal: usize) -> Estimate {
    let of = |loss: &[Loss]| -> Option<f64> {
        let value = |at: usize| loss[at].value(question.objective);
        Some(value(default)? - value(personal)?)
    };
    let each: Vec<[f64; 2]> = confirm.iter().filter_map(|draw| Some([of(&draw[0])?, of(&draw[1])?])).collect();
    let n = each.len() as f64;
    let means: Vec<f64> = each.iter().map(|[a, b]| 0.5 * (a + b)).collect();
    let method = "posterior draws, noise of a finite text taken out";
    let blank = Estimate::new(0.0, method, question.level, "draw of the person", each.len() as u64);
    let mut estimate = Estimate { value: None, ..blank };
    if each.len() < 10 {
        estimate.reason = Some("fewer than ten draws with a loss".to_owned());
        return estimate;
    }
    let mean = means.iter().sum::<f64>() / n;
    let total = means.iter().map(|gain| (gain - mean) * (gain - mean)).sum::<f64>() / (n - 1.0);
    let noise = each.iter().map(|[a, b]| (a - b) * (a - b) / 4.0).sum::<f64>() / n;
    // How much of the spread is noise is itself uncertain. Two standard errors of the total spread are left in, so
    // that few draws with short texts do not pass for a person who is known exactly.
    let sure = total * (1.0 + 2.0 * (2.0 / (n - 1.0)).sqrt());
    let reliability = if total > 0.0 { ((sure - noise) / total).clamp(0.0, 1.0).sqrt() } else { 0.0 };
    let error = (total / n).sqrt();
    let tail = question.level.tail();
    let side = |p: f64| {
        let at = quantile(&means, p).expect("there are draws and p is a share");
        let away = reliability * (at - mean);
        let reach = (away * away + (question.level.z() * error).powi(2)).sqrt();
        mean + if p < 0.5 { -reach } else { reach }
    };
    estimate.value = Some(mean);
    estimate.mcse = Some(error);
    estimate.lo = Some(side(tail));
    estimate.hi = Some(side(1.0 - tail));
    estimate
}

/// Ranges of the values of a chosen setting.
fn ranges(
    question: &PersonalQuestion<'_>,
    all: &[Candidate],
    corrected: &[f64],
    search: &[Vec<Vec<Loss>>],
    chosen: usize,
) -> Vec<ValueRange> {
    let own = &all[chosen];
    let family: Vec<usize> = (0..all.len()).filter(|at| all[*at].family == own.family).collect();
    let best_of_draws: Vec<usize> = search
        .iter()
        .flatten()
        .filter_map(|losses| {
            let value = |at: usize| losses[at].value(question.objective).unwrap_or(f64::INFINITY);
            family.iter().copied().min_by(|a, b| value(*a).total_cmp(&value(*b)))
        })
        .collect();
    let range = |name: &'static str, value: &dyn Fn(usize) -> f64, others_held: &dyn Fn(usize) -> bool| {
        // Outward from the chosen value, as long as the next is as good.
        let mut line: Vec<usize> = family.iter().copied().filter(|at| others_held(*at)).collect();
        line.sort_by(|a, b| value(*a).total_cmp(&value(*b)));
        let here = line.iter().position(|at| *at == chosen).expect("the chosen one is in its own line");
        let good = |at: &&usize| corrected[**at] <= corrected[chosen] + question.least_gain;
        let down = line[..here].iter().rev().take_while(good).count();
        let up = line[here + 1..].iter().take_while(good).count();
        let drawn: Vec<f64> = best_of_draws.iter().map(|at| value(*at)).collect();
        let at = |p: f64| quantile(&drawn, p).unwrap_or(value(chosen));
        ValueRange {
            name,
            value: value(chosen),
            as_good: (value(line[here - down]), value(line[here + up])),
            of_draws: (at(0.05), at(0.95)),
        }
    };
    let mut values = Vec::new();
    if let Some((name, ..)) = FAMILIES[own.family].threshold {
        values.push(range(name, &|at| all[at].threshold.unwrap_or(0.0), &|at| all[at].lull_ms == own.lull_ms));
    }
    values.push(range("lull_ms", &|at| all[at].lull_ms, &|at| all[at].threshold == own.threshold));
    values
}

fn sentence(advice: &PersonalAdvice) -> String {
    let own = &advice.overall;
    let words = advice.objective.replace('_', " ");
    let (Some(gain), Some(lo), Some(hi)) = (own.gain.value, own.gain.lo, own.gain.hi) else {
        return format!("No advice: {}.", own.gain.reason.as_deref().unwrap_or("nothing could be compared"));
    };
    let percent = own.gain.level * 100.0;
    let least = advice.least_gain;
    let gains = format!("{gain:.1} {words} {} ({percent} % interval {lo:.1} to {hi:.1})", advice.unit);
    match own.verdict {
        PersonalVerdict::Change => format!(
            "Change to `{}`: against `{}`, the best common setting of `{}`, it saves this person {gains}.",
            own.personal, own.default, advice.population
        ),
        PersonalVerdict::Stay => format!(
            "No change is worth it: `{}`, the best common setting of `{}`, stays. What suits this person best, `{}`, \
             saves {gains}, and less than {least} is not worth a change.",
            own.default, advice.population, own.personal
        ),
        PersonalVerdict::StayUnsure => format!(
            "No change is worth it on what is known: `{}`, the best common setting of `{}`, stays. `{}` may save {gains}, \
             but it is not sure that it saves more than {least}{}.",
            own.default,
            advice.population,
            own.personal,
            if own.on_log[1].wrong() > own.on_log[0].wrong() {
                ", and on the log itself it errs more often"
            } else {
                "; more typing would tell (`agogic fit` says how much)"
            }
        ),
    }
}
