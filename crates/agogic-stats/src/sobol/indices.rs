//! Estimates of first-order and total Sobol' indices.

use rand::Rng;

use super::{Design, SobolError};
use crate::bootstrap::Resamples;
use crate::estimate::Estimate;
use crate::level::Level;
use crate::sum::compensated_sum;

const CONSTANT: &str = "the output does not vary, so there is no variance to share out";

/// The share of an output's variance that one input has.
#[derive(Debug, Clone, PartialEq)]
pub struct SobolIndex {
    /// Share that the input has alone.
    pub first: Estimate,
    /// Share that would be left if all other inputs were known.
    pub total: Estimate,
}

impl Design {
    /// First-order and total indices with bootstrap percentile intervals.
    ///
    /// # Definition
    /// With outputs f, V their variance over A and B together and f̄ their mean:
    /// first Sᵢ = mean of (f(B) − f̄)(f(ABᵢ) − f(A)) / V; total
    /// STᵢ = mean of (f(A) − f(ABᵢ))² / 2V. Rows are resampled whole, so the
    /// intervals are those of a random design; for Sobol's sequence, which is
    /// more even, they are too wide.
    ///
    /// # Shape
    /// One output for each of [`Design::points`], in order; one index for each
    /// input.
    ///
    /// # Undefined
    /// An output without variance: the indices are missing.
    ///
    /// # Errors
    /// A wrong number of outputs, one that is not finite, or fewer than two
    /// resamples.
    ///
    /// # Source
    /// Saltelli et al. (2010), Computer Physics Communications 181:259, Table 2,
    /// (b) and (f); Jansen (1999), Computer Physics Communications 117:35.
    pub fn indices<R: Rng + ?Sized>(
        &self,
        outputs: &[f64],
        level: Level,
        resamples: usize,
        rng: &mut R,
    ) -> Result<Vec<SobolIndex>, SobolError> {
        if outputs.len() != self.len() {
            return Err(SobolError::Outputs { found: outputs.len(), wanted: self.len() });
        }
        if let Some((index, &value)) = outputs.iter().enumerate().find(|(_, v)| !v.is_finite()) {
            return Err(SobolError::Output { index, value });
        }
        if resamples < 2 {
            return Err(SobolError::Resamples(resamples));
        }
        let width = self.inputs() + 2;
        // Centred once, so that a large mean does not inflate the first order.
        let ends = || outputs.chunks_exact(width).flat_map(|row| [row[0], row[1]]);
        let mean = compensated_sum(ends()) / (2 * self.rows()) as f64;
        let centred: Vec<f64> = outputs.iter().map(|v| v - mean).collect();
        // Rounding in the mean must not pass for variance.
        let noise = 4.0 * f64::EPSILON * mean.abs();
        let constant = centred.iter().all(|v| v.abs() <= noise);
        let mut estimate = |input: usize, kind: Kind| {
            let of = |rows: &[usize]| kind.of(&centred, width, input, rows);
            let missing = || Estimate::unknown(CONSTANT, kind.method(), level, "row", self.rows() as u64);
            if constant {
                return missing();
            }
            match Resamples::draw(self.rows(), resamples, rng, of) {
                Ok(drawn) => Estimate { method: kind.method().to_owned(), ..drawn.percentile(level, "row") },
                Err(_) => missing(),
            }
        };
        let pairs = (0..self.inputs())
            .map(|input| SobolIndex { first: estimate(input, Kind::First), total: estimate(input, Kind::Total) });
        Ok(pairs.collect())
    }
}

#[derive(Clone, Copy)]
enum Kind {
    First,
    Total,
}

impl Kind {
    fn method(self) -> &'static str {
        match self {
            Kind::First => "sobol first order, bootstrap percentile",
            Kind::Total => "sobol total, bootstrap percentile",
        }
    }

    /// The index over the rows at some positions; `None` without variance.
    fn of(self, centred: &[f64], width: usize, input: usize, rows: &[usize]) -> Option<f64> {
        let (mut sum, mut squares, mut part) = (0.0, 0.0, 0.0);
        for &row in rows {
            let row = &centred[row * width..(row + 1) * width];
            let (a, b, mixed) = (row[0], row[1], row[2 + input]);
            sum += a + b;
            squares += a * a + b * b;
            part += match self {
                Kind::First => b * (mixed - a),
                Kind::Total => 0.5 * (a - mixed) * (a - mixed),
            };
        }
        let n = rows.len() as f64;
        let mean = sum / (2.0 * n);
        let variance = squares / (2.0 * n) - mean * mean;
        (variance > 0.0).then(|| part / n / variance)
    }
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;

    use super::*;

    fn indices(f: impl Fn(&[f64]) -> f64, level: Level) -> Vec<SobolIndex> {
        let design = Design::sequence(2, 512).unwrap();
        let outputs: Vec<f64> = design.points().map(|x| f(&x)).collect();
        let mut rng = ChaCha12Rng::seed_from_u64(5);
        design.indices(&outputs, level, 300, &mut rng).unwrap()
    }

    #[test]
    fn an_input_without_influence_has_no_total() {
        let found = indices(|x| (7.0 * x[0]).sin() + 1000.0, Level::P95);
        assert_eq!(found[1].total.value, Some(0.0));
        assert_eq!(found[1].first.value, Some(0.0));
        assert!((found[0].total.value.unwrap() - 1.0).abs() < 0.01);
    }

    #[test]
    fn a_pure_interaction_has_only_totals() {
        let found = indices(|x| (x[0] - 0.5) * (x[1] - 0.5), Level::P95);
        for index in &found {
            assert!(index.first.value.unwrap().abs() < 0.05 && index.first.interval().unwrap().contains(0.0));
            assert!((index.total.value.unwrap() - 1.0).abs() < 0.05);
        }
        let wide = indices(|x| (x[0] - 0.5) * (x[1] - 0.5), Level::P99);
        assert!(wide[0].total.interval().unwrap().width() > found[0].total.interval().unwrap().width());
    }

    #[test]
    fn a_constant_has_nothing_to_share() {
        let found = indices(|_| 0.1, Level::P95);
        assert!(found.iter().all(|i| i.first.value.is_none() && i.total.reason.is_some()));
    }

    #[test]
    fn nonsense_is_refused() {
        let design = Design::sequence(2, 8).unwrap();
        let mut rng = ChaCha12Rng::seed_from_u64(6);
        let mut run = |outputs: &[f64], count| design.indices(outputs, Level::P95, count, &mut rng);
        assert!(run(&[1.0; 5], 10).is_err());
        assert!(run(&[f64::NAN; 32], 10).is_err());
        assert!(run(&[1.0; 32], 1).is_err());
    }
}
