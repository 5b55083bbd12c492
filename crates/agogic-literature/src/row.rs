//! One published value and the rule by which a simulation agrees with it.

use agogic_people::RATE_FLOOR;

use crate::statistic::{Measure, Statistic};

/// Whether a value took part in setting the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// The value, or one it is made of, was used to set or to argue a parameter.
    Calibration,
    /// Never used in fitting: evidence.
    HeldOut,
}

/// How the value came to us.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Seen in the primary text.
    Seen,
    /// Seen quoted in another text.
    Quoted,
    /// Computed on the study's open data, not printed in the paper.
    Computed,
    /// From memory. Such a row is descriptive.
    FromMemory,
}

impl Status {
    /// The word used in tables.
    pub fn word(self) -> &'static str {
        match self {
            Self::Seen => "seen",
            Self::Quoted => "quoted",
            Self::Computed => "computed",
            Self::FromMemory => "from memory",
        }
    }
}

/// What is known of the uncertainty of the published value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spread {
    /// Nothing.
    Unknown,
    /// SD between the people the value is the mean or median of.
    People(f64),
    /// Printed 95 % limits of the value.
    Limits(f64, f64),
    /// The value and `n` determine it: a correlation or an SD.
    FromValue,
}

/// Width of an equivalence margin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Width {
    /// In the unit of the row.
    Absolute(f64),
    /// As a share of the published value.
    Relative(f64),
}

/// Side of the threshold on which the literature puts the value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Above it.
    Above,
    /// Below it.
    Below,
}

/// When a simulation agrees with a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rule {
    /// |simulated − published| ≤ width.
    Margin {
        /// Half width of the margin.
        width: Width,
        /// Why this much is no difference.
        reason: &'static str,
    },
    /// |simulated − published| ≤ k·√(se² + mcse²).
    Standard {
        /// Number of standard errors.
        k: f64,
    },
    /// The greater of the two over the smaller is at most this, each taken as at least [`RATE_FLOOR`].
    Factor {
        /// The largest factor.
        most: f64,
        /// Why this much is no difference.
        reason: &'static str,
    },
    /// The simulated value lies on the stated side of the row's value, by more than two Monte Carlo
    /// standard errors.
    Direction {
        /// That side.
        side: Side,
    },
    /// Shown beside the simulated value; can neither pass nor fail.
    Descriptive {
        /// Why it cannot be tested.
        reason: &'static str,
    },
}

/// One published value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Name of the row, unique.
    pub id: &'static str,
    /// Citation key in the bibliography.
    pub source: &'static str,
    /// What a simulation must compute.
    pub statistic: Statistic,
    /// Definition in the study, in words.
    pub definition: &'static str,
    /// The simulated population it is compared with.
    pub population: &'static str,
    /// The people who were measured.
    pub people: &'static str,
    /// Value; for a direction, the threshold.
    pub value: f64,
    /// Its uncertainty.
    pub spread: Spread,
    /// Number of people behind it; zero when not known.
    pub n: u64,
    /// Unit.
    pub unit: &'static str,
    /// Place in the source.
    pub place: &'static str,
    /// Part in the model.
    pub role: Role,
    /// How the value came to us.
    pub status: Status,
    /// When a simulation agrees.
    pub rule: Rule,
}

impl Row {
    /// Standard error of the published value.
    ///
    /// # Definition
    /// s/√n for a mean of people with SD s; √(π/2)·s/√n for their median, as for a normal sample;
    /// (1 − r²)/√(n − 3) for a correlation; v/√(2(n − 1)) for an SD v; the width of
    /// printed 95 % limits over 3.92.
    ///
    /// # Undefined
    /// `None` where the row does not say enough.
    pub fn standard_error(&self) -> Option<f64> {
        let n = self.n as f64;
        if let Spread::Limits(lo, hi) = self.spread {
            return Some((hi - lo) / 3.92);
        }
        if self.n < 4 {
            return None;
        }
        match (self.spread, self.statistic) {
            (Spread::People(sd), Statistic::PersonMean(..) | Statistic::Difference(..)) => Some(sd / n.sqrt()),
            (Spread::People(sd), Statistic::PersonQuantile(_, 0.5)) => {
                Some((std::f64::consts::PI / 2.0).sqrt() * sd / n.sqrt())
            }
            (Spread::FromValue, Statistic::Correlation(..)) => Some((1.0 - self.value * self.value) / (n - 3.0).sqrt()),
            (Spread::FromValue, Statistic::PersonSd(..)) => Some(self.value / (2.0 * (n - 1.0)).sqrt()),
            _ => None,
        }
    }

    /// Half width of the margin in the row's unit, if the rule is a margin; upwards, if it is a factor.
    pub fn margin(&self) -> Option<f64> {
        match self.rule {
            Rule::Margin { width: Width::Absolute(width), .. } => Some(width),
            Rule::Margin { width: Width::Relative(share), .. } => Some(share * self.value.abs()),
            Rule::Factor { most, .. } => Some((most - 1.0) * self.value.max(RATE_FLOOR)),
            _ => None,
        }
    }

    /// Whether the row is of people of an open log, under the settings of the test bed.
    pub fn is_of_people(&self) -> bool {
        matches!(self.statistic, Statistic::People { .. })
    }

    /// Whether the row can pass or fail.
    pub fn testable(&self) -> bool {
        !matches!(self.rule, Rule::Descriptive { .. })
    }

    /// The measures of people the statistic is made of.
    pub fn measures(&self) -> Vec<Measure> {
        match self.statistic {
            Statistic::PersonMean(m, _)
            | Statistic::PersonSd(m, _)
            | Statistic::PersonSkewness(m)
            | Statistic::PersonKurtosis(m)
            | Statistic::PersonQuantile(m, _)
            | Statistic::PersonShare { measure: m, .. } => vec![m],
            Statistic::Difference(a, b, _) | Statistic::Ratio(a, b, _) | Statistic::Correlation(a, b) => vec![a, b],
            Statistic::MiddleOfWord
            | Statistic::KeyQuantile(..)
            | Statistic::KeyQuantileRatio { .. }
            | Statistic::People { .. } => Vec::new(),
        }
    }
}

#[cfg(test)]
pub(crate) mod example {
    use super::{Role, Row, Rule, Spread, Status};
    use crate::statistic::{Group, Measure, Statistic};

    /// A row for tests: a mean of 97 with a standard error of 2.
    pub(crate) const EXAMPLE: Row = Row {
        id: "x",
        source: "x",
        statistic: Statistic::PersonMean(Measure::Dwell, Group::All),
        definition: "x",
        population: "volunteers",
        people: "x",
        value: 97.0,
        spread: Spread::People(20.0),
        n: 100,
        unit: "ms",
        place: "x",
        role: Role::HeldOut,
        status: Status::Computed,
        rule: Rule::Standard { k: 3.0 },
    };
}

#[cfg(test)]
mod tests {
    use super::example::EXAMPLE as ROW;
    use super::*;

    #[test]
    fn standard_errors_by_hand() {
        assert_eq!(ROW.standard_error(), Some(2.0));
        let median = Row { statistic: Statistic::PersonQuantile(Measure::Dwell, 0.5), ..ROW };
        assert!((median.standard_error().unwrap() - 2.506_628).abs() < 1e-6);
        let r = Row {
            statistic: Statistic::Correlation(Measure::Dwell, Measure::Speed),
            value: 0.6,
            n: 103,
            spread: Spread::FromValue,
            ..ROW
        };
        assert!((r.standard_error().unwrap() - 0.064).abs() < 1e-12);
        assert_eq!(Row { spread: Spread::Limits(1.0, 4.92), ..ROW }.standard_error(), Some(1.0));
        assert_eq!(Row { spread: Spread::Unknown, ..ROW }.standard_error(), None);
    }

    #[test]
    fn margins_are_in_the_rows_unit() {
        let with = |width| Row { rule: Rule::Margin { width, reason: "x" }, value: -50.0, ..ROW }.margin();
        assert_eq!(with(Width::Relative(0.1)), Some(5.0));
        assert_eq!(with(Width::Absolute(3.0)), Some(3.0));
        assert_eq!(ROW.margin(), None);
    }
}
