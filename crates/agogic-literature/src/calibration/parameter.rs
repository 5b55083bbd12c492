//! A number of a population that calibration may move.

use agogic_typist::{CONSTANTS, Constant, Correlation, Population, PopulationError, TRAITS, Trait, TraitSpread};
use serde::{Deserialize, Serialize};

/// Which number of a population.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Target {
    /// Median of a trait over people.
    Median(Trait),
    /// SD of a trait between people, on the trait's normal scale.
    Spread(Trait),
    /// A constant all share.
    Constant(Constant),
    /// Correlation of two traits between people.
    Correlation(Trait, Trait),
}

/// The scale on which a parameter is moved and its error is symmetric.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ParameterScale {
    /// Logarithm.
    Log,
    /// Logit.
    Logit,
    /// The number itself.
    Plain,
    /// Fisher's z, the inverse hyperbolic tangent.
    FisherZ,
}

impl ParameterScale {
    /// From the number to the scale.
    pub fn forward(self, value: f64) -> f64 {
        match self {
            Self::Log => value.ln(),
            Self::Logit => (value / (1.0 - value)).ln(),
            Self::Plain => value,
            Self::FisherZ => value.atanh(),
        }
    }

    /// From the scale to the number.
    pub fn inverse(self, t: f64) -> f64 {
        match self {
            Self::Log => t.exp(),
            Self::Logit => 1.0 / (1.0 + (-t).exp()),
            Self::Plain => t,
            Self::FisherZ => t.tanh(),
        }
    }

    /// Change of the number for a small change of the scale.
    pub fn slope(self, value: f64) -> f64 {
        match self {
            Self::Log => value,
            Self::Logit => value * (1.0 - value),
            Self::Plain => 1.0,
            Self::FisherZ => 1.0 - value * value,
        }
    }
}

/// A parameter with the place its search starts from and the bounds it keeps to.
///
/// # Definition
/// The search moves a free coordinate u. On the parameter's scale the number lies at
/// lo + (hi − lo)/(1 + exp(−u)), so the bounds are never left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parameter {
    /// Which number.
    pub target: Target,
    /// The scale it is moved on.
    pub scale: ParameterScale,
    /// Smallest value thought possible.
    pub lo: f64,
    /// Where the search starts, and the centre of the weak ridge.
    pub start: f64,
    /// Largest value thought possible.
    pub hi: f64,
}

impl Parameter {
    /// The name the register knows the number by.
    pub fn name(&self) -> String {
        let name = |id: Trait| TRAITS[id as usize].name;
        match self.target {
            Target::Median(id) => format!("{}.median", name(id)),
            Target::Spread(id) => format!("{}.spread", name(id)),
            Target::Constant(id) => CONSTANTS[id as usize].name.to_owned(),
            Target::Correlation(a, b) => format!("correlation({}, {})", name(a), name(b)),
        }
    }

    fn limits(&self) -> (f64, f64) {
        (self.scale.forward(self.lo), self.scale.forward(self.hi))
    }

    /// Whether start and bounds are in order and on the scale.
    pub(crate) fn is_sound(&self) -> bool {
        let (lo, hi) = self.limits();
        lo.is_finite() && hi.is_finite() && self.lo < self.start && self.start < self.hi
    }

    /// The free coordinate of a value inside the bounds.
    pub(crate) fn free(&self, value: f64) -> f64 {
        let (lo, hi) = self.limits();
        let share = (self.scale.forward(value) - lo) / (hi - lo);
        (share / (1.0 - share)).ln()
    }

    /// The value at a free coordinate.
    pub(crate) fn value(&self, free: f64) -> f64 {
        let (lo, hi) = self.limits();
        self.scale.inverse(lo + (hi - lo) / (1.0 + (-free).exp()))
    }

    /// Change of the value for a small change of the free coordinate.
    pub(crate) fn slope(&self, free: f64) -> f64 {
        let (lo, hi) = self.limits();
        let share = 1.0 / (1.0 + (-free).exp());
        self.scale.slope(self.value(free)) * (hi - lo) * share * (1.0 - share)
    }
}

/// The population with the parameters at these values.
///
/// # Errors
/// As [`Population::new`]: among others, correlations no population can have.
pub(crate) fn with_values(
    base: &Population,
    parameters: &[Parameter],
    values: &[f64],
) -> Result<Population, PopulationError> {
    let mut population = base.clone();
    let mut correlations = base.correlations().to_vec();
    for (parameter, &value) in parameters.iter().zip(values) {
        match parameter.target {
            Target::Median(id) => {
                let TraitSpread { spread, .. } = population.spread_of(id);
                population = population.with_trait(id, TraitSpread { median: value, spread })?;
            }
            Target::Spread(id) => {
                let TraitSpread { median, .. } = population.spread_of(id);
                population = population.with_trait(id, TraitSpread { median, spread: value })?;
            }
            Target::Constant(id) => population = population.with_constant(id, value)?,
            Target::Correlation(a, b) => {
                let same = |c: &Correlation| (c.a, c.b) == (a, b) || (c.a, c.b) == (b, a);
                match correlations.iter_mut().find(|c| same(c)) {
                    Some(found) => found.r = value,
                    None => correlations.push(Correlation { a, b, r: value }),
                }
            }
        }
    }
    population.with_correlations(correlations)
}

/// Rounds to four significant digits, as shipped values are.
pub fn four_digits(value: f64) -> f64 {
    format!("{value:.3e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn free_coordinates_invert_and_slopes_are_derivatives() {
        for (scale, lo, start, hi) in [
            (ParameterScale::Log, 40.0, 92.0, 200.0),
            (ParameterScale::Logit, 0.01, 0.07, 0.3),
            (ParameterScale::Plain, -0.2, 0.0, 0.2),
            (ParameterScale::FisherZ, -0.3, 0.12, 0.6),
        ] {
            let p = Parameter { target: Target::Median(Trait::Dwell), scale, lo, start, hi };
            assert!(p.is_sound());
            let u = p.free(start);
            assert!((p.value(u) - start).abs() < 1e-12 * hi);
            let numeric = (p.value(u + 1e-5) - p.value(u - 1e-5)) / 2e-5;
            assert!((p.slope(u) / numeric - 1.0).abs() < 1e-7, "{scale:?}");
            assert!(p.value(-50.0) >= lo - 1e-9 && p.value(50.0) <= hi + 1e-9);
        }
    }

    #[test]
    fn values_reach_the_population() {
        let base = Population::volunteers();
        let parameter = |target, scale| Parameter { target, scale, lo: 0.01, start: 0.1, hi: 300.0 };
        let parameters = [
            parameter(Target::Median(Trait::Dwell), ParameterScale::Log),
            parameter(Target::Spread(Trait::Dwell), ParameterScale::Log),
            parameter(Target::Constant(Constant::InOrder), ParameterScale::Logit),
            parameter(Target::Correlation(Trait::Dwell, Trait::Interval), ParameterScale::FisherZ),
        ];
        let population = with_values(&base, &parameters, &[77.0, 0.5, 0.25, -0.4]).unwrap();
        assert_eq!(population.spread_of(Trait::Dwell), TraitSpread { median: 77.0, spread: 0.5 });
        assert_eq!(population.constant(Constant::InOrder), 0.25);
        let pair = population.correlations().iter().find(|c| (c.a, c.b) == (Trait::Interval, Trait::Dwell)).unwrap();
        assert_eq!(pair.r, -0.4);
        assert_eq!(population.correlations().len(), base.correlations().len());
        assert_eq!(parameters[3].name(), "correlation(dwell_ms, interval_ms)");
    }

    #[test]
    fn four_digits_by_hand() {
        assert_eq!(four_digits(92.123_456), 92.12);
        assert_eq!(four_digits(-0.012_345_6), -0.01235);
        assert_eq!(four_digits(0.0), 0.0);
    }
}
