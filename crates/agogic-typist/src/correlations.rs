//! Correlations of traits over people: their matrix, and what to say when no people can have them.

use std::fmt;

use agogic_stats::Correlation as Matrix;

use crate::population_error::PopulationError;
use crate::traits::{TRAITS, Trait};

/// A correlation between two traits on their normal scales.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correlation {
    /// One trait.
    pub a: Trait,
    /// The other.
    pub b: Trait,
    /// Correlation between people, strictly between −1 and 1.
    pub r: f64,
}

impl Correlation {
    /// Whether it is between these two traits, in either order.
    pub fn is_between(&self, a: Trait, b: Trait) -> bool {
        (self.a, self.b) == (a, b) || (self.a, self.b) == (b, a)
    }

    /// Names of the two traits in population files.
    pub fn names(&self) -> [&'static str; 2] {
        [self.a, self.b].map(|id| TRAITS[id as usize].name)
    }
}

/// Correlations that no people can have together.
#[derive(Clone, Debug, PartialEq)]
pub struct Contradiction {
    /// Correlations that contradict each other; without any one of their traits the rest would be possible.
    pub between: Vec<Correlation>,
    /// The smallest eigenvalue of the matrix of all correlations; zero or below.
    pub eigenvalue: f64,
    /// The largest factor, rounded down to a hundredth, by which all correlations can be multiplied to make
    /// them possible.
    pub shrink: f64,
}

impl fmt::Display for Contradiction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("no people can have these correlations together: ")?;
        for (at, c) in self.between.iter().enumerate() {
            let [a, b] = c.names();
            write!(f, "{}{a} with {b} {}", if at > 0 { ", " } else { "" }, c.r)?;
        }
        write!(
            f,
            " (smallest eigenvalue {:.3}, which must be above zero). Make them agree, or bring them closer to zero: \
             with all correlations multiplied by {:.2} or less they are possible",
            self.eigenvalue, self.shrink
        )
    }
}

/// The matrix of all traits.
///
/// # Errors
/// A correlation outside −1 to 1, of a trait with itself or stated twice; or a contradiction.
pub(crate) fn matrix(correlations: &[Correlation]) -> Result<Matrix, PopulationError> {
    for (at, c) in correlations.iter().enumerate() {
        let [a, b] = c.names();
        if !(c.r > -1.0 && c.r < 1.0) || c.a == c.b {
            return Err(PopulationError::Correlation { a, b, value: c.r });
        }
        if correlations[..at].iter().any(|other| other.is_between(c.a, c.b)) {
            return Err(PopulationError::Twice { a, b });
        }
    }
    scaled(correlations, 1.0).ok_or_else(|| PopulationError::Impossible(contradiction(correlations)))
}

/// All correlations, with the stated ones multiplied by a factor.
///
/// # Definition
/// Two traits whose correlation is not stated have that which the interval gives them, r₁ r₂ with r₁ and r₂ their
/// correlations with the interval: who types fast differs from who types slowly in both, and beyond that the two
/// have nothing to do with each other.
pub(crate) fn completed(correlations: &[Correlation], factor: f64) -> Vec<Vec<f64>> {
    let n = TRAITS.len();
    let hub = Trait::Interval as usize;
    let mut rows: Vec<Vec<f64>> = (0..n).map(|i| (0..n).map(|j| f64::from(u8::from(i == j))).collect()).collect();
    let mut stated = vec![vec![false; n]; n];
    for &Correlation { a, b, r } in correlations {
        for (i, j) in [(a as usize, b as usize), (b as usize, a as usize)] {
            rows[i][j] = factor * r;
            stated[i][j] = true;
        }
    }
    for i in (0..n).filter(|i| *i != hub) {
        for j in (0..n).filter(|j| *j != hub && *j != i) {
            if !stated[i][j] {
                rows[i][j] = rows[i][hub] * rows[hub][j];
            }
        }
    }
    rows
}

/// The matrix with all stated correlations multiplied by a factor, if people can have them.
fn scaled(correlations: &[Correlation], factor: f64) -> Option<Matrix> {
    Matrix::new(&completed(correlations, factor)).ok()
}

/// Finds the least set of traits at fault, and the factor that mends the whole.
///
/// # Definition
/// With all entries beside the diagonal times f the matrix is 1 + f(R − 1), whose smallest eigenvalue is 1 + f(λ − 1)
/// for the smallest eigenvalue λ of R. It reaches zero at f = 1/(1 − λ), which is searched by halving, and so is the
/// factor on the stated correlations alone.
fn contradiction(correlations: &[Correlation]) -> Contradiction {
    let among = |kept: &[Trait]| -> Vec<Correlation> {
        correlations.iter().filter(|c| c.r != 0.0 && kept.contains(&c.a) && kept.contains(&c.b)).copied().collect()
    };
    let mut kept: Vec<Trait> = TRAITS.iter().map(|info| info.id).collect();
    for info in TRAITS {
        let without: Vec<Trait> = kept.iter().copied().filter(|id| *id != info.id).collect();
        if scaled(&among(&without), 1.0).is_none() {
            kept = without;
        }
    }
    let whole = completed(correlations, 1.0);
    let shrunk = |factor: f64| {
        let shrink = |(i, row): (usize, &Vec<f64>)| -> Vec<f64> {
            row.iter().enumerate().map(|(j, r)| if i == j { 1.0 } else { factor * r }).collect()
        };
        Matrix::new(&whole.iter().enumerate().map(shrink).collect::<Vec<_>>()).is_ok()
    };
    Contradiction {
        between: among(&kept),
        eigenvalue: 1.0 - 1.0 / largest(shrunk).1,
        shrink: (largest(|factor| scaled(correlations, factor).is_some()).0 * 100.0).floor() / 100.0,
    }
}

/// The largest factor below 1 that is possible, and the smallest that is not, by halving.
fn largest(is_possible: impl Fn(f64) -> bool) -> (f64, f64) {
    let (mut possible, mut impossible) = (0.0, 1.0);
    for _ in 0..50 {
        let middle = 0.5 * (possible + impossible);
        if is_possible(middle) {
            possible = middle;
        } else {
            impossible = middle;
        }
    }
    (possible, impossible)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn c(a: Trait, b: Trait, r: f64) -> Correlation {
        Correlation { a, b, r }
    }

    #[test]
    fn a_contradiction_is_named_and_mended() {
        use Trait::{Dwell, Hesitation, Interval, IntervalSpread, Lead, Slips};
        // Three traits with correlations .9, .9 and −.9: the eigenvalues are 1 − 1.8 = −.8 and twice 1.9, so
        // a factor of 1/1.8 = .556 mends them. The other pairs are innocent.
        let wrong = [
            c(Interval, Hesitation, 0.2),
            c(IntervalSpread, Interval, 0.9),
            c(Interval, Dwell, 0.9),
            c(IntervalSpread, Dwell, -0.9),
            c(Lead, Slips, 0.5),
        ];
        let Err(PopulationError::Impossible(found)) = matrix(&wrong) else { panic!("a contradiction") };
        assert_eq!(found.between, wrong[1..4]);
        // The innocent pair with the interval moves the eigenvalue a little.
        assert!((found.eigenvalue + 0.8).abs() < 0.02, "{}", found.eigenvalue);
        assert!(scaled(&wrong, found.shrink).is_some() && scaled(&wrong, found.shrink + 0.01).is_none());
        let text = found.to_string();
        assert!(text.contains("interval_spread with dwell_ms -0.9") && !text.contains("lead_ms"), "{text}");
        let Err(PopulationError::Impossible(three)) = matrix(&wrong[1..4]) else { panic!("a contradiction") };
        assert!((three.eigenvalue + 0.8).abs() < 1e-9 && three.shrink == 0.55, "{three:?}");
    }

    #[test]
    fn nonsense_is_refused() {
        for r in [1.0, -1.0, f64::NAN, 2.0] {
            let wrong = [c(Trait::Lead, Trait::Lull, r)];
            assert!(matches!(matrix(&wrong), Err(PopulationError::Correlation { a: "lead_ms", .. })), "{r}");
        }
        assert!(matches!(matrix(&[c(Trait::Lead, Trait::Lead, 0.1)]), Err(PopulationError::Correlation { .. })));
        let twice = [c(Trait::Lead, Trait::Lull, 0.1), c(Trait::Lull, Trait::Lead, 0.1)];
        assert!(matches!(matrix(&twice), Err(PopulationError::Twice { .. })));
        assert!(matrix(&[]).is_ok());
    }
}
