//! The rates of people beside those of simulated people, in Markdown and in one line.

use agogic_people::{MISSED, SPURIOUS, THIRDS, factor, factors, split_third};
use agogic_stats::spearman;

use crate::check::Comparison;
use crate::row::{Role, Spread};
use crate::statistic::Statistic;
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

/// The part of a data set that a row is about, if it is about people.
fn part_of(comparison: &Comparison) -> Option<String> {
    let Statistic::People { part, .. } = comparison.row.statistic else { return None };
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

/// Settings with the rate of people and the simulated one, of a kind of error and of a third of the people or of all.
fn rates<'c>(
    comparisons: &'c [Comparison],
    part: &str,
    stem: &str,
    third: Option<&str>,
) -> Vec<(&'static str, &'c Comparison, f64)> {
    let of = |c: &'c Comparison| {
        let (name, own) = split_third(c.row.definition);
        let label = name.strip_prefix(stem)?.strip_prefix(": ")?;
        (own == third && part_of(c)? == part).then_some((label, c, c.simulated?))
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
    rates(comparisons, part, stem, None)
}

/// How far simulated rates are from those of people, part by part.
///
/// # Definition
/// The factor of a rate is the greater over the smaller, both taken as 1 (per 1000 taps, per 100 holds) where they are
/// less.
pub fn distances(comparisons: &[Comparison]) -> Vec<Distance> {
    let of = |part: String| {
        let stems = [SPURIOUS, MISSED];
        let both = |stem: &str, third: Option<&str>| {
            rates(comparisons, &part, stem, third).into_iter().map(|(_, c, simulated)| (c.row.value, simulated))
        };
        let of_stems = |third: Option<&str>| stems.map(|stem| factors(both(stem, third)));
        let rank = stems.map(|stem| {
            let (people, simulated): (Vec<f64>, Vec<f64>) = both(stem, None).unzip();
            spearman(&people, &simulated).unwrap_or(f64::NAN)
        });
        let role = comparisons.iter().find(|c| part_of(c).as_deref() == Some(&*part)).map(|c| c.row.role);
        Distance {
            factors: of_stems(None),
            thirds: THIRDS.map(|third| of_stems(Some(third))),
            rank,
            role: role.expect("a part has a row"),
            part,
        }
    };
    parts(comparisons).into_iter().map(of).collect()
}

impl Distance {
    /// The whole in words, without a full stop.
    pub fn words(&self) -> String {
        let pair = |[spurious, missed]: [(f64, f64); 2]| {
            format!("{:.2} (worst {:.2}), {:.2} (worst {:.2})", spurious.0, spurious.1, missed.0, missed.1)
        };
        let [slow, middle, fast] = self.thirds.map(pair);
        format!(
            "{}: factor between people and simulation, geometric mean over 12 settings, of false and of missed holds: {}; \
             slow third {slow}; middle {middle}; fast {fast}. Rank correlation over settings {:.3}, {:.3}",
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
        line(&mut out, format_args!("- {}.", distance.words()));
    }
    for distance in &all {
        let part = &distance.part;
        let n = rates_of_people(comparisons, part, SPURIOUS).first().map_or(0, |(_, c, _)| c.row.n);
        line(&mut out, format_args!("\n## {part}: rates of {n} people\n"));
        out.push_str(
            "| setting | false holds per 1000 taps: people | simulated | factor | missed holds per 100: people | simulated \
             | factor |\n|---|---|---|---|---|---|---|\n",
        );
        let missed = rates_of_people(comparisons, part, MISSED);
        for (label, c, simulated) in rates_of_people(comparisons, part, SPURIOUS) {
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
            if (name.starts_with(SPURIOUS) || name.starts_with(MISSED)) && split_third(name).1.is_none() {
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
