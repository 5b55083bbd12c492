//! What each policy changes against the one it is compared with, for the mean and for whom.

use agogic_files::Results;
use agogic_lab::{ALL, Role, Statistic};

use crate::sheet::{Cell, Column, Sheet};
use crate::tables::{Measure, about, slug};

const fn difference(estimand: &'static str, title: &'static str, unit: &'static str, digits: usize) -> Measure {
    Measure { estimand, statistic: Statistic::DifferenceJoint, title, unit, digits }
}

/// Differences that a study may be about; the first four are shown whatever it is about.
const DIFFERENCES: [Measure; 7] = [
    difference("wrong_keys", "wrong keys", "per 1000 words", 1),
    difference("false_holds", "false holds", "per 1000 taps", 2),
    difference("missed_holds", "missed holds", "per 100 holds", 2),
    difference("tap_delay", "tap delay", "ms", 1),
    difference("harm", "harm, s", "per 1000 words", 0),
    difference("text_errors", "text errors", "per 1000 characters", 2),
    difference("tap_delay_p95", "tap delay, 95 %", "ms", 1),
];

/// Of these the ones that are shown beside the primary one.
const BESIDE: usize = 4;

/// How many comparisons a study made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Comparisons {
    /// Of the primary estimand over all typists.
    pub primary: usize,
    /// Populations on keyboards in which these were made.
    pub arms: usize,
    /// Of other estimands, over all typists.
    pub other: usize,
    /// In groups of typists.
    pub in_groups: usize,
}

impl Comparisons {
    /// Counts the paired differences of a study.
    pub fn of(results: &Results) -> Self {
        let mut all = Self::default();
        let mut arms: Vec<&str> = Vec::new();
        for row in results.rows.iter().filter(|row| row.statistic == Statistic::Difference) {
            if row.group != ALL {
                all.in_groups += 1;
            } else if row.role == Role::Primary {
                all.primary += 1;
                if !arms.contains(&row.arm.as_str()) {
                    arms.push(&row.arm);
                }
            } else {
                all.other += 1;
            }
        }
        all.arms = arms.len();
        all
    }

    /// In words, for methods and page; empty where nothing is compared.
    pub fn words(&self, level: f64) -> String {
        let Self { primary, arms, other, in_groups } = *self;
        if primary == 0 {
            return String::new();
        }
        let all = primary + other + in_groups;
        let populations = if arms == 1 { String::new() } else { format!(" in {arms} arms") };
        let miss = 1.0 - level;
        format!(
            "The study makes {all} paired comparisons. {primary} are of the primary estimand over all typists{populations}: \
             their joint intervals and adjusted p-values hold for all policies of an arm at once, and not over arms. The \
             other {} are secondary: {other} of other estimands, {in_groups} in groups of typists. Where their intervals \
             hold one by one, some {:.0} of them would miss even if every method were perfect.",
            other + in_groups,
            miss * (other + in_groups) as f64
        )
    }
}

/// A percentage with its interval, such as `72 % (63–80)`.
fn percent(results: &Results, arm: &str, policy: &str, statistic: Statistic) -> Option<String> {
    let estimate = &results.row(arm, policy, &results.manifest.primary, statistic)?.estimate;
    let value = 100.0 * estimate.value?;
    Some(match estimate.interval() {
        Some(limits) => format!("{value:.0} % ({:.0}–{:.0})", 100.0 * limits.lo, 100.0 * limits.hi),
        None => format!("{value:.0} %"),
    })
}

/// For whom a policy is better, worse or the same, by the primary estimand: an effect size per typist.
///
/// # Definition
/// The share of typists whose value in the session is less than, more than and equal to that under the other policy, each
/// with an exact interval.
pub fn for_whom(results: &Results, arm: &str, policy: &str) -> Option<String> {
    let part = |statistic: Statistic| percent(results, arm, policy, statistic);
    let (better, worse, tied) = (part(Statistic::ShareLess)?, part(Statistic::ShareMore)?, part(Statistic::ShareTied)?);
    Some(format!("better for {better}, worse for {worse}, tied for {tied}"))
}

/// The primary estimand first, then those that are shown whatever a study is about.
fn differences(results: &Results) -> Vec<Measure> {
    let is_primary = |measure: &&Measure| measure.estimand == results.manifest.primary;
    let primary = DIFFERENCES.iter().find(is_primary);
    primary.into_iter().chain(DIFFERENCES[..BESIDE].iter().filter(|own| !is_primary(own))).copied().collect()
}

fn heading(results: &Results, measure: &Measure) -> Column {
    let primary = measure.estimand == results.manifest.primary && measure.statistic == Statistic::DifferenceJoint;
    let title = if primary { format!("{} (primary)", measure.title) } else { measure.title.to_owned() };
    Column::numbers(&title, measure.unit)
}

/// One row per policy that is compared with another: what it changes, on the same presses.
pub fn comparison_table(results: &Results, arm: &str) -> Option<Sheet> {
    let differences = differences(results);
    let primary = DIFFERENCES.iter().find(|own| own.estimand == results.manifest.primary)?.estimand;
    let test = |statistic, title, unit| Measure { estimand: primary, statistic, title, unit, digits: 3 };
    let mut measures = differences;
    measures.insert(1, test(Statistic::PHolm, "p, Holm", "no difference"));
    measures.push(test(Statistic::PNotWorse, "p, worse by", "the margin"));
    measures.push(test(Statistic::PEquivalent, "p, not within", "the margin"));
    table(
        results,
        arm,
        &measures,
        "comparisons",
        "Intervals of differences hold for all policies of the table at once.",
    )
}

/// The same with the primary estimand alone, for a screen.
pub fn effect_table(results: &Results, arm: &str) -> Option<Sheet> {
    let primary = differences(results).into_iter().next()?;
    table(results, arm, &[primary], "effects", "The primary estimand; its intervals hold for all policies at once.")
}

fn table(results: &Results, arm: &str, measures: &[Measure], name: &str, said: &str) -> Option<Sheet> {
    let measures: Vec<&Measure> = measures.iter().filter(|measure| measure.is_in(results, arm)).collect();
    let pairs = results.manifest.policies.iter().zip(&results.manifest.compared_with);
    let row = |(policy, other): (&String, &String)| {
        let mut cells = [policy, other].map(|name| Cell::Words(name.clone())).to_vec();
        cells.extend(measures.iter().map(|measure| measure.cell(results, arm, policy)));
        cells.push(for_whom(results, arm, policy).map_or(Cell::Nothing, Cell::Words));
        cells
    };
    let rows: Vec<_> = pairs.filter(|(policy, other)| policy != other).map(row).collect();
    if rows.is_empty() || measures.is_empty() {
        return None;
    }
    let mut columns = ["policy", "compared with"].map(Column::words).to_vec();
    columns.extend(measures.iter().map(|measure| heading(results, measure)));
    columns.push(Column::words("for how many typists, in such a session"));
    Some(Sheet {
        name: format!("{name}-{}", slug(arm)),
        caption: format!(
            "What each policy changes against the one it is compared with, on the same presses; below zero is less. {said} {}.",
            about(results, arm)
        ),
        columns,
        rows,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comparisons_are_counted_in_words() {
        let counted = Comparisons { primary: 34, arms: 2, other: 782, in_groups: 952 };
        let words = counted.words(0.95);
        assert!(
            words.starts_with("The study makes 1768 paired comparisons. 34 are of the primary estimand"),
            "{words}"
        );
        assert!(words.contains(" in 2 arms") && words.contains("some 87 of them would miss"), "{words}");
        assert_eq!(Comparisons::default().words(0.95), "");
    }
}
