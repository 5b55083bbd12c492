//! Expectations over a standard normal.

use nalgebra::DMatrix;

/// Points and weights of Gauss–Hermite quadrature for the standard normal.
///
/// # Source
/// Golub & Welsch (1969), Mathematics of Computation 23:221: the points are the eigenvalues of the matrix of the
/// recurrence, the weights the squared first entries of its eigenvectors (from memory).
#[derive(Clone, Debug)]
pub(crate) struct Nodes {
    pub at: Vec<f64>,
    pub weights: Vec<f64>,
}

impl Nodes {
    pub fn new(count: usize) -> Self {
        let mut recurrence = DMatrix::zeros(count, count);
        for i in 1..count {
            let entry = libm::sqrt(i as f64);
            recurrence[(i, i - 1)] = entry;
            recurrence[(i - 1, i)] = entry;
        }
        let found = recurrence.symmetric_eigen();
        let mut pairs: Vec<(f64, f64)> = (0..count)
            .map(|i| (found.eigenvalues[i], found.eigenvectors[(0, i)] * found.eigenvectors[(0, i)]))
            .collect();
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self { at: pairs.iter().map(|pair| pair.0).collect(), weights: pairs.iter().map(|pair| pair.1).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_of_the_normal() {
        let nodes = Nodes::new(12);
        let moment = |k: i32| -> f64 { nodes.at.iter().zip(&nodes.weights).map(|(z, w)| w * z.powi(k)).sum() };
        // Abramowitz & Stegun 26.2: even moments 1, 1, 3, 15, 105, … are products of odd numbers.
        for (k, known) in [(0, 1.0), (1, 0.0), (2, 1.0), (3, 0.0), (4, 3.0), (6, 15.0), (8, 105.0), (20, 654_729_075.0)]
        {
            assert!((moment(k) - known).abs() < 1e-9 * known.max(1.0), "{k}: {}", moment(k));
        }
    }
}
