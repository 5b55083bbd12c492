//! What a calibration has to meet.

use std::fmt::Write as _;

use sha2::{Digest, Sha256};

use crate::papers::rows;
use crate::row::{Role, Row, Rule};
use crate::statistic::Statistic;

/// A published number, with how closely it has to be met.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// Name; for a row, its id.
    pub id: String,
    /// What a simulation must compute.
    pub statistic: Statistic,
    /// Published value.
    pub value: f64,
    /// Standard deviation that weighs the residual.
    pub tolerance: f64,
}

impl Moment {
    /// The moments of a population: its testable rows with the role `calibration` that state a value.
    ///
    /// # Definition
    /// The tolerance is half the width of the row's margin, or the standard error of the published value where
    /// the rule is in standard errors. A margin is thus read as two standard deviations of all that makes
    /// studies differ. Rows that state only a direction have no value to meet; they are left to the check.
    /// Held-out rows never enter.
    pub fn calibration_rows(population: &str) -> Vec<Self> {
        let of = |row: &&'static Row| row.role == Role::Calibration && row.population == population;
        rows().filter(of).filter_map(Self::of_row).collect()
    }

    fn of_row(row: &'static Row) -> Option<Self> {
        let tolerance = match row.rule {
            Rule::Margin { .. } | Rule::Factor { .. } => row.margin().map(|width| width / 2.0),
            Rule::Standard { .. } => row.standard_error(),
            Rule::Direction { .. } | Rule::Descriptive { .. } => None,
        }?;
        (tolerance > 0.0).then(|| Self { id: row.id.to_owned(), statistic: row.statistic, value: row.value, tolerance })
    }
}

/// SHA-256 over names, statistics, values and tolerances of the moments, in order.
pub fn moments_hash(moments: &[Moment]) -> String {
    let mut hasher = Sha256::new();
    for m in moments {
        hasher.update(format!("{}|{}|{:e}|{:e}\n", m.id, m.statistic, m.value, m.tolerance));
    }
    hasher.finalize().iter().fold(String::new(), |mut text, byte| {
        write!(text, "{byte:02x}").expect("a string takes all that is written");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn held_out_rows_never_enter() {
        let moments = Moment::calibration_rows("volunteers");
        assert!(moments.len() >= 40, "{}", moments.len());
        for moment in &moments {
            let row = rows().find(|row| row.id == moment.id).unwrap();
            assert_eq!((row.role, row.population), (Role::Calibration, "volunteers"), "{}", row.id);
            assert!(row.testable() && moment.tolerance > 0.0, "{}", row.id);
        }
        let testable = rows().filter(|row| row.role == Role::Calibration && row.population == "volunteers");
        let with_value = testable
            .filter(|row| matches!(row.rule, Rule::Margin { .. } | Rule::Factor { .. } | Rule::Standard { .. }));
        assert_eq!(moments.len(), with_value.count());
    }

    #[test]
    fn the_hash_sees_every_part() {
        let moments = Moment::calibration_rows("volunteers");
        let hash = moments_hash(&moments);
        let changed = |change: &dyn Fn(&mut Moment)| {
            let mut copy = moments.clone();
            change(&mut copy[3]);
            moments_hash(&copy)
        };
        for other in [changed(&|m| m.value *= 1.01), changed(&|m| m.tolerance *= 2.0), changed(&|m| m.id.push('x'))] {
            assert_ne!(hash, other);
        }
        assert_eq!(hash, moments_hash(&moments));
    }
}
