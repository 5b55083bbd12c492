//! Comparisons as a Markdown table.

use std::fmt::Write as _;

use crate::check::{Comparison, Tally, Verdict};
use crate::row::{Role, Rule, Side};

/// The tally and the table of all comparisons with published values, in Markdown; those with people of open logs are in
/// [`people_markdown`](crate::people_markdown).
///
/// # Shape
/// A paragraph with the agreement of held-out and calibration rows, then one line a row: id, statistic,
/// published value with unit, simulated value with its Monte Carlo standard error, rule, role, status, verdict.
/// A star marks a verdict that another seed could turn.
pub fn markdown(comparisons: &[Comparison]) -> String {
    let mut out = String::new();
    for (role, name) in [(Role::HeldOut, "Held out"), (Role::Calibration, "Calibration")] {
        let tally = Tally::of(comparisons, role);
        let compared = tally.agree + tally.miss;
        line(
            &mut out,
            format_args!(
                "{name}: {} of {compared} agree, {} miss; {} more are testable but not modelled.  ",
                tally.agree, tally.miss, tally.not_modelled
            ),
        );
    }
    out.push_str(
        "\n| row | statistic | published | simulated (mcse) | rule | role | status | verdict |\n\
         |---|---|---|---|---|---|---|---|\n",
    );
    for c in comparisons.iter().filter(|c| !c.row.is_of_people()) {
        let row = c.row;
        let simulated = match (c.simulated, c.mcse) {
            (Some(value), Some(mcse)) => format!("{} ({})", number(value), number(mcse)),
            (Some(value), None) => number(value),
            _ => "–".to_owned(),
        };
        let published = match row.rule {
            Rule::Direction { side: Side::Above } => format!("above {} {}", number(row.value), row.unit),
            Rule::Direction { side: Side::Below } => format!("below {} {}", number(row.value), row.unit),
            _ => format!("{} {}", number(row.value), row.unit),
        };
        let rule = match row.rule {
            Rule::Margin { .. } => format!("± {}", number(row.margin().unwrap_or(f64::NAN))),
            Rule::Factor { most, .. } => format!("× {most}"),
            Rule::Standard { k } => format!("{k} SE"),
            Rule::Direction { .. } => "sign".to_owned(),
            Rule::Descriptive { .. } => "–".to_owned(),
        };
        let role = if row.role == Role::HeldOut { "held out" } else { "calibration" };
        let verdict = match c.verdict {
            Verdict::Misses => "**misses**".to_owned(),
            ref other => other.word().to_owned(),
        };
        let star = if c.at_edge { " *" } else { "" };
        line(
            &mut out,
            format_args!(
                "| {} | {} | {published} | {simulated} | {rule} | {role} | {} | {verdict}{star} |",
                row.id,
                row.statistic,
                row.status.word()
            ),
        );
    }
    out
}

pub(crate) fn line(out: &mut String, text: std::fmt::Arguments<'_>) {
    writeln!(out, "{text}").expect("a string takes all that is written");
}

/// Four significant digits, and never more than four decimals.
pub(crate) fn number(value: f64) -> String {
    let whole = if value == 0.0 { 0 } else { value.abs().log10().floor() as i32 };
    let decimals = (3 - whole).clamp(0, 4) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_four_digits() {
        let numbers: Vec<String> = [238.656, 0.25, 1.98, -0.84, 0.0, 0.01167, 136.0, 12_345.0].map(number).into();
        assert_eq!(numbers, ["238.7", "0.25", "1.98", "-0.84", "0", "0.0117", "136", "12345"]);
    }
}
