//! A comparison as plain data, for tables, figures and other programs.

use serde::Serialize;

use crate::check::{Comparison, Verdict};
use crate::row::{Role, Rule};

/// One row's comparison with nothing left to look up.
///
/// # Undefined
/// A number is `None` where the row or the simulation does not give it; `reason` says why a row was not compared.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Outcome {
    /// Name of the row.
    pub id: &'static str,
    /// Citation key of the source.
    pub source: &'static str,
    /// Place in the source.
    pub place: &'static str,
    /// How the value came to us: `seen`, `quoted`, `computed`, `from memory`.
    pub status: &'static str,
    /// `calibration` or `held-out`.
    pub role: &'static str,
    /// The simulated population.
    pub population: &'static str,
    /// What is compared, as computed.
    pub statistic: String,
    /// What is compared, as the study defines it.
    pub definition: &'static str,
    /// Unit.
    pub unit: &'static str,
    /// People behind the published value; `None` where not known.
    pub n: Option<u64>,
    /// Kind of rule: `margin`, `standard`, `direction`, `descriptive`.
    pub rule: &'static str,
    /// Published value; for a direction, the threshold.
    pub published: f64,
    /// Its standard error.
    pub published_se: Option<f64>,
    /// Simulated value.
    pub simulated: Option<f64>,
    /// Its Monte Carlo standard error.
    pub mcse: Option<f64>,
    /// Simulated less published.
    pub difference: Option<f64>,
    /// Largest difference the rule allows, in the unit of the row; `None` for directions and descriptive rows.
    pub allowed: Option<f64>,
    /// Difference over the largest one allowed; −1 to 1 is agreement. `None` as for `allowed`.
    pub share_of_allowed: Option<f64>,
    /// Difference over √(se² + mcse²), for rows with a standard error; for a direction, the distance to the
    /// threshold in Monte Carlo standard errors, positive on the right side.
    pub standardised: Option<f64>,
    /// `agrees`, `misses`, `descriptive` or `not-modelled`.
    pub verdict: &'static str,
    /// Another seed could turn the verdict.
    pub at_edge: bool,
    /// Why the row is descriptive or not modelled.
    pub reason: Option<String>,
}

impl Comparison {
    /// The comparison as plain data.
    pub fn outcome(&self) -> Outcome {
        let row = self.row;
        let published_se = row.standard_error();
        let (rule, allowed) = match row.rule {
            Rule::Margin { .. } => ("margin", row.margin()),
            Rule::Factor { .. } => ("factor", row.margin()),
            Rule::Standard { k } => ("standard", published_se.map(|se| k * se.hypot(self.mcse.unwrap_or(0.0)))),
            Rule::Direction { .. } => ("direction", None),
            Rule::Descriptive { .. } => ("descriptive", None),
        };
        let standardised = match row.rule {
            Rule::Direction { .. } => self.scaled,
            _ => self.difference.zip(published_se).map(|(d, se)| d / se.hypot(self.mcse.unwrap_or(0.0))),
        };
        let reason = match (&self.verdict, row.rule) {
            (Verdict::NotModelled(reason), _) => Some(reason.clone()),
            (_, Rule::Descriptive { reason }) => Some(reason.to_owned()),
            _ => None,
        };
        Outcome {
            id: row.id,
            source: row.source,
            place: row.place,
            status: row.status.word(),
            role: match row.role {
                Role::Calibration => "calibration",
                Role::HeldOut => "held-out",
            },
            population: row.population,
            statistic: row.statistic.to_string(),
            definition: row.definition,
            unit: row.unit,
            n: (row.n > 0).then_some(row.n),
            rule,
            published: row.value,
            published_se,
            simulated: self.simulated,
            mcse: self.mcse,
            difference: self.difference,
            allowed: self.simulated.and(allowed),
            share_of_allowed: allowed.and(self.scaled),
            standardised: standardised.filter(|v| v.is_finite()),
            verdict: match self.verdict {
                Verdict::Agrees => "agrees",
                Verdict::Misses => "misses",
                Verdict::Descriptive => "descriptive",
                Verdict::NotModelled(_) => "not-modelled",
            },
            at_edge: self.at_edge,
            reason,
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::{CheckPlan, compare, rows, simulate};
    use agogic_typist::Population;

    #[test]
    fn outcomes_say_what_the_comparisons_say() {
        let plan = CheckPlan { typists: 60, keys: 100, resamples: 20, ..CheckPlan::new("The tide turns at noon.") };
        let comparisons = compare(&simulate(&Population::volunteers(), &plan).unwrap());
        assert_eq!(comparisons.len(), rows().filter(|row| row.population == "volunteers").count());
        for c in &comparisons {
            let outcome = c.outcome();
            match outcome.rule {
                "margin" | "standard" if outcome.simulated.is_some() => {
                    let share = outcome.share_of_allowed.unwrap();
                    let again = outcome.difference.unwrap() / outcome.allowed.unwrap();
                    assert!((share - again).abs() < 1e-9, "{}", outcome.id);
                    assert_eq!(outcome.verdict == "agrees", share.abs() <= 1.0, "{}", outcome.id);
                }
                "direction" => assert!(outcome.allowed.is_none(), "{}", outcome.id),
                "descriptive" => assert!(outcome.reason.is_some(), "{}", outcome.id),
                _ => assert_eq!(outcome.verdict, "not-modelled", "{}", outcome.id),
            }
            let json = serde_json::to_value(&outcome).unwrap();
            assert_eq!(json["id"], outcome.id);
            assert!(json["published"].is_number());
        }
    }
}
