//! Published values beside simulated ones, and the verdict.

use agogic_people::RATE_FLOOR;
use agogic_typist::Population;

use crate::evaluate::{Evaluator, Simulated};
use crate::observables::missing;
use crate::papers::rows;
use crate::row::{Role, Row, Rule, Side};
use crate::simulate::{CheckError, CheckPlan, Sample, simulate};

/// What the comparison of one row came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The simulation agrees by the row's rule.
    Agrees,
    /// It does not.
    Misses,
    /// The row can neither pass nor fail.
    Descriptive,
    /// The model has nothing to compare, for the reason given.
    NotModelled(String),
}

impl Verdict {
    /// The word used in tables.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::Misses => "misses",
            Self::Descriptive => "–",
            Self::NotModelled(_) => "not modelled",
        }
    }
}

/// A row with its simulated value.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The published value.
    pub row: &'static Row,
    /// The simulated one.
    pub simulated: Option<f64>,
    /// Its Monte Carlo standard error.
    pub mcse: Option<f64>,
    /// Simulated less published.
    pub difference: Option<f64>,
    /// The difference over the largest one the rule allows; between −1 and 1 is agreement. For a direction,
    /// the distance to the threshold in Monte Carlo standard errors, positive on the right side.
    pub scaled: Option<f64>,
    /// The verdict depends on the seed: the limit of the rule is less than two Monte Carlo standard errors
    /// away.
    pub at_edge: bool,
    /// The verdict.
    pub verdict: Verdict,
}

/// How far on the right side of a threshold counts as a direction, in Monte Carlo standard errors.
const CLEAR: f64 = 2.0;

/// Compares every row about the sample's population with the sample.
pub fn compare(sample: &Sample) -> Vec<Comparison> {
    let mut evaluator = Evaluator::new(sample);
    rows().filter(|row| row.population == sample.population).map(|row| judge(row, &mut evaluator)).collect()
}

/// Simulates each population that rows are about, and compares all rows.
///
/// # Undefined
/// Rows about a population the model does not have are [`Verdict::NotModelled`].
///
/// # Errors
/// As [`simulate`].
pub fn check(plan: &CheckPlan<'_>) -> Result<Vec<Comparison>, CheckError> {
    let mut names: Vec<&str> = rows().map(|row| row.population).collect();
    names.sort_unstable();
    names.dedup();
    let mut done = Vec::new();
    for name in names {
        match Population::by_name(name) {
            Some(population) => done.extend(compare(&simulate(&population, plan)?)),
            None => done.extend(
                rows()
                    .filter(|row| row.population == name)
                    .map(|row| unknown(row, format!("there is no population `{name}`"))),
            ),
        }
    }
    // In the order of the rows.
    let mut ordered = Vec::with_capacity(done.len());
    for row in rows() {
        ordered.extend(done.iter().find(|c| c.row.id == row.id).cloned());
    }
    Ok(ordered)
}

fn unknown(row: &'static Row, reason: String) -> Comparison {
    Comparison {
        row,
        simulated: None,
        mcse: None,
        difference: None,
        scaled: None,
        at_edge: false,
        verdict: Verdict::NotModelled(reason),
    }
}

fn judge(row: &'static Row, evaluator: &mut Evaluator<'_>) -> Comparison {
    match evaluator.simulate(row.statistic) {
        Some(simulated) => decide(row, simulated),
        None => {
            let reason = row.measures().into_iter().find_map(missing);
            unknown(row, reason.unwrap_or("the sample holds nothing to compute it from").to_owned())
        }
    }
}

/// Applies the row's rule.
fn decide(row: &'static Row, Simulated { value, mcse }: Simulated) -> Comparison {
    let difference = value - row.value;
    let mcse_or_zero = mcse.unwrap_or(0.0);
    let within = |allowed: f64| (difference / allowed, (difference.abs() - allowed).abs() < 2.0 * mcse_or_zero);
    let (scaled, at_edge, verdict) = match row.rule {
        Rule::Descriptive { .. } => (None, false, Verdict::Descriptive),
        Rule::Direction { side } => {
            let signed = if side == Side::Above { difference } else { -difference };
            let distance = if mcse_or_zero > 0.0 { signed / mcse_or_zero } else { signed * f64::INFINITY };
            let verdict = if distance > CLEAR { Verdict::Agrees } else { Verdict::Misses };
            (Some(distance), (distance - CLEAR).abs() < 2.0, verdict)
        }
        Rule::Factor { most, .. } => {
            // On the log scale, where a factor is a distance.
            let (a, b) = (value.max(RATE_FLOOR), row.value.max(RATE_FLOOR));
            let scaled = (a / b).ln() / most.ln();
            let error = mcse_or_zero / a / most.ln();
            let verdict = if scaled.abs() <= 1.0 { Verdict::Agrees } else { Verdict::Misses };
            (Some(scaled), (scaled.abs() - 1.0).abs() < 2.0 * error, verdict)
        }
        Rule::Margin { .. } | Rule::Standard { .. } => {
            let allowed = match row.rule {
                Rule::Standard { k } => row.standard_error().map(|se| k * se.hypot(mcse_or_zero)),
                _ => row.margin(),
            };
            match allowed {
                None => (None, false, Verdict::Descriptive),
                Some(allowed) => {
                    let (scaled, at_edge) = within(allowed);
                    let verdict = if scaled.abs() <= 1.0 { Verdict::Agrees } else { Verdict::Misses };
                    (Some(scaled), at_edge, verdict)
                }
            }
        }
    };
    Comparison { row, simulated: Some(value), mcse, difference: Some(difference), scaled, at_edge, verdict }
}

/// How many rows came to what.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Rows that agree.
    pub agree: usize,
    /// Rows that miss.
    pub miss: usize,
    /// Testable rows the model has nothing for.
    pub not_modelled: usize,
}

impl Tally {
    /// Of the testable rows with a role that state a published value.
    pub fn of(comparisons: &[Comparison], role: Role) -> Self {
        Self::of_rows(comparisons, role, false)
    }

    /// Of the testable rows with a role that are of people of open logs.
    pub fn of_people(comparisons: &[Comparison], role: Role) -> Self {
        Self::of_rows(comparisons, role, true)
    }

    fn of_rows(comparisons: &[Comparison], role: Role, people: bool) -> Self {
        let mut tally = Self::default();
        let wanted = |c: &&Comparison| c.row.role == role && c.row.testable() && c.row.is_of_people() == people;
        for comparison in comparisons.iter().filter(wanted) {
            match comparison.verdict {
                Verdict::Agrees => tally.agree += 1,
                Verdict::Misses => tally.miss += 1,
                Verdict::NotModelled(_) => tally.not_modelled += 1,
                Verdict::Descriptive => {}
            }
        }
        tally
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::row::Width;
    use crate::row::example::EXAMPLE;

    const ROW: Row = Row { value: 100.0, ..EXAMPLE };
    const MARGIN: Row = Row { rule: Rule::Margin { width: Width::Relative(0.05), reason: "x" }, ..ROW };
    const ABOVE: Row = Row { rule: Rule::Direction { side: Side::Above }, ..ROW };
    const BELOW: Row = Row { rule: Rule::Direction { side: Side::Below }, ..ROW };
    const DESCRIPTIVE: Row = Row { rule: Rule::Descriptive { reason: "x" }, ..ROW };

    fn verdict(row: &'static Row, value: f64, mcse: f64) -> (Verdict, bool) {
        let c = decide(row, Simulated { value, mcse: Some(mcse) });
        (c.verdict, c.at_edge)
    }

    #[test]
    fn rules_by_hand() {
        use Verdict::{Agrees, Descriptive, Misses};
        // se 2, mcse 1.5: 2.5 together, 7.5 allowed.
        assert_eq!(verdict(&ROW, 107.4, 1.5), (Agrees, true));
        assert_eq!(verdict(&ROW, 92.4, 1.5), (Misses, true));
        assert_eq!(verdict(&ROW, 120.0, 1.5), (Misses, false));
        assert_eq!(verdict(&MARGIN, 105.0, 0.1), (Agrees, true));
        assert_eq!(verdict(&MARGIN, 94.0, 0.1), (Misses, false));
        assert_eq!(verdict(&ABOVE, 101.0, 0.2), (Agrees, false));
        assert_eq!(verdict(&ABOVE, 101.0, 0.6), (Misses, true));
        assert_eq!(verdict(&BELOW, 101.0, 0.1), (Misses, false));
        assert_eq!(verdict(&BELOW, 99.0, 0.1), (Agrees, false));
        assert_eq!(verdict(&ABOVE, 100.0, 0.0).0, Misses);
        assert_eq!(verdict(&DESCRIPTIVE, 500.0, 0.1), (Descriptive, false));
    }
}
