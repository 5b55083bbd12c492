//! The rates of people beside those of simulated people, in Markdown and in one line.

use agogic_people::{MISSED, SPURIOUS, factor};

use crate::check::Comparison;
use crate::row::{Role, Spread};
use crate::table::{line, number};

/// How far simulated rates are from those of people, for one part of a data set.
#[derive(Clone, Debug, PartialEq)]
pub struct Distance {
    /// Data set and part, such as `dhakal2018, held-out`.
    pub part: String,
    /// Part in the model.
    pub role: Role,
    /// For false holds and for missed holds: geometric mean and largest of the factors over settings.
    pub factors: [(f64, f64); 2],
    /// The same for the slow, the middle and the fast third.
    pub thirds: [[(f64, f64); 2]; 3],
    /// Spearman's rank correlation over settings, of false holds and of missed holds.
    pub rank: [f64; 2],
}

/// Names of thirds in figures.
const THIRDS: [&str; 3] = [", slow", ", middle", ", fast"];

/// The part of a data set that a row is about, if it is about people.
fn part_of(comparison: &Comparison) -> Option<String> {
    let rest = comparison.row.id.strip_prefix(comparison.row.source)?.strip_prefix("-people-")?;
    let part = ["calibration", "held-out", "whole"].into_iter().find(|part| rest.starts_with(part))?;
    Some(format!("{}, {part}", comparison.row.source))
}

/// The parts of data sets among comparisons, in order.
fn parts(comparisons: &[Comparison]) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    for part in comparisons.iter().filter_map(part_of) {
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    parts
}

/// Settings with the rate of people and the simulated one, of a kind of error.
fn rates<'c>(
    comparisons: &'c [Comparison],
    part: &str,
    stem: &str,
    suffix: &str,
) -> Vec<(&'static str, &'c Comparison, f64)> {
    let of = |c: &'c Comparison| {
        let label = c.row.definition.strip_prefix(stem)?.strip_prefix(": ")?;
        let label = match suffix {
            "" => Some(label).filter(|label| !THIRDS.iter().any(|third| label.ends_with(third))),
            suffix => label.strip_suffix(suffix),
        }?;
        (part_of(c)? == part).then_some((label, c, c.simulated?))
    };
    comparisons.iter().filter_map(of).collect()
}

/// Settings with the rate of all people of a part and the simulated one, of a kind of error
/// ([`SPURIOUS`] or [`MISSED`]).
pub fn rates_of_people<'c>(
    comparisons: &'c [Comparison],
    part: &str,
    stem: &str,
) -> Vec<(&'static str, &'c Comparison, f64)> {
    rates(comparisons, part, stem, "")
}

/// How far simulated rates are from those of people, part by part.
///
/// # Definition
/// The factor of a rate is the greater over the smaller, both taken as 1 (per 1000 taps, per 100 holds) where they are
/// less. Ranks of equal rates are their mean rank.
pub fn distances(comparisons: &[Comparison]) -> Vec<Distance> {
    let of = |part: String| {
        let stems = [SPURIOUS, MISSED];
        let factors = |suffix: &str| {
            stems.map(|stem| {
                let factors: Vec<f64> = rates(comparisons, &part, stem, suffix)
                    .into_iter()
                    .map(|(_, c, simulated)| factor(c.row.value, simulated))
                    .collect();
                let mean = factors.iter().map(|f| f.ln()).sum::<f64>() / factors.len().max(1) as f64;
                (mean.exp(), factors.iter().copied().fold(1.0, f64::max))
            })
        };
        let rank = stems.map(|stem| {
            let (people, simulated): (Vec<f64>, Vec<f64>) = rates(comparisons, &part, stem, "")
                .into_iter()
                .map(|(_, c, simulated)| (c.row.value, simulated))
                .unzip();
            agogic_stats::pearson(&ranks(&people), &ranks(&simulated)).unwrap_or(f64::NAN)
        });
        let role = comparisons.iter().find(|c| part_of(c).as_deref() == Some(&*part)).map(|c| c.row.role);
        Distance {
            factors: factors(""),
            thirds: THIRDS.map(factors),
            rank,
            role: role.expect("a part has a row"),
            part,
        }
    };
    parts(comparisons).into_iter().map(of).collect()
}

/// Ranks from 1, equal values at their mean rank.
fn ranks(values: &[f64]) -> Vec<f64> {
    let rank = |value: &f64| {
        let below = values.iter().filter(|other| *other < value).count() as f64;
        let equal = values.iter().filter(|other| *other == value).count() as f64;
        below + (equal + 1.0) / 2.0
    };
    values.iter().map(rank).collect()
}

impl Distance {
    /// The whole in a sentence.
    pub fn sentence(&self) -> String {
        let pair = |[spurious, missed]: [(f64, f64); 2]| {
            format!("{:.2} (worst {:.2}), {:.2} (worst {:.2})", spurious.0, spurious.1, missed.0, missed.1)
        };
        let [slow, middle, fast] = self.thirds.map(pair);
        format!(
            "{}: factor between people and simulation, geometric mean over 12 settings, of false and of missed holds: {}; \
             slow third {slow}; middle {middle}; fast {fast}. Rank correlation over settings {:.3}, {:.3}.",
            self.part,
            pair(self.factors),
            self.rank[0],
            self.rank[1],
        )
    }
}

/// All comparisons about people, in Markdown: rates first, then all other figures.
pub fn people_markdown(comparisons: &[Comparison]) -> String {
    let mut out = String::new();
    let all = distances(comparisons);
    for distance in &all {
        line(&mut out, format_args!("- {}", distance.sentence()));
    }
    for distance in &all {
        let part = &distance.part;
        let n = rates(comparisons, part, SPURIOUS, "").first().map_or(0, |(_, c, _)| c.row.n);
        line(&mut out, format_args!("\n## {part}: rates of {n} people\n"));
        out.push_str(
            "| setting | false holds per 1000 taps: people | simulated | factor | missed holds per 100: people | simulated \
             | factor |\n|---|---|---|---|---|---|---|\n",
        );
        let missed = rates(comparisons, part, MISSED, "");
        for (label, c, simulated) in rates(comparisons, part, SPURIOUS, "") {
            let mut cells = vec![label.to_owned()];
            let other = missed.iter().find(|(other, ..)| *other == label).copied();
            for (c, simulated) in
                [Some((c, simulated)), other.map(|(_, c, simulated)| (c, simulated))].into_iter().flatten()
            {
                let interval = match c.row.spread {
                    Spread::Limits(lo, hi) => format!(" ({}–{})", number(lo), number(hi)),
                    _ => String::new(),
                };
                cells.push(format!("{}{interval}", number(c.row.value)));
                cells.push(number(simulated));
                cells.push(format!("{:.2}", factor(c.row.value, simulated)));
            }
            line(&mut out, format_args!("| {} |", cells.join(" | ")));
        }
        line(
            &mut out,
            format_args!(
                "\n## {part}: all other figures\n\n| figure | people | simulated (mcse) | verdict |\n|---|---|---|---|"
            ),
        );
        for c in comparisons.iter().filter(|c| part_of(c).as_deref() == Some(part)) {
            let name = c.row.definition;
            if (name.starts_with(SPURIOUS) || name.starts_with(MISSED)) && !THIRDS.iter().any(|t| name.ends_with(t)) {
                continue;
            }
            let simulated = match (c.simulated, c.mcse) {
                (Some(value), Some(mcse)) => format!("{} ({})", number(value), number(mcse)),
                (Some(value), None) => number(value),
                _ => "–".to_owned(),
            };
            line(
                &mut out,
                format_args!(
                    "| {name} | {} {} | {simulated} | {} |",
                    number(c.row.value),
                    c.row.unit,
                    c.verdict.word()
                ),
            );
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranks_by_hand() {
        assert_eq!(ranks(&[3.0, 1.0, 3.0, 2.0]), [3.5, 1.0, 3.5, 2.0]);
    }
}
