//! Quantiles of values that are pooled over people.

use crate::quantile::quantile_of_sorted;

/// A quantile of values pooled over clusters, and the part of each cluster in its error.
#[derive(Clone, Debug, PartialEq)]
pub struct PooledQuantile {
    /// Quantile of type 7 of all values.
    pub value: f64,
    /// What each cluster adds, in the order of the clusters; [`error_of_parts`] makes the error of them.
    pub parts: Vec<f64>,
}

/// A quantile of values pooled over clusters, linearised.
///
/// # Definition
/// e = (n p − c)/(f N) for a cluster with c of its n values at or below the quantile, of N values in all; f is the
/// density there, taken from the quantiles one point of p to either side, or half as far as p is from 0 or 1.
///
/// # Shape
/// `sorted` holds all values of `clusters`, in ascending order.
///
/// # Undefined
/// `None` without values.
///
/// # Source
/// Francisco & Fuller (1991), Annals of Statistics 19:454; from memory.
pub fn pooled_quantile(clusters: &[Vec<f64>], sorted: &[f64], p: f64) -> Option<PooledQuantile> {
    if sorted.is_empty() {
        return None;
    }
    let at = |p: f64| quantile_of_sorted(sorted, p);
    let value = at(p);
    let step = 0.01_f64.min(p / 2.0).min((1.0 - p) / 2.0);
    let density = 2.0 * step / (at(p + step) - at(p - step));
    let total = sorted.len() as f64;
    let part = |values: &Vec<f64>| {
        let below = values.iter().filter(|&&single| single <= value).count() as f64;
        (values.len() as f64 * p - below) / (density * total)
    };
    Some(PooledQuantile { value, parts: clusters.iter().map(part).collect() })
}

/// The standard error of a statistic from the parts of K clusters: √(K/(K−1) Σ e²).
///
/// # Undefined
/// `None` with fewer than two clusters, or where a part is not finite.
pub fn error_of_parts(parts: &[f64]) -> Option<f64> {
    let k = parts.len() as f64;
    let squares: f64 = parts.iter().map(|e| e * e).sum();
    let error = (k / (k - 1.0) * squares).sqrt();
    error.is_finite().then_some(error)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 400 clusters of one value each at equal steps: the error is that of a sample quantile, √(p(1 − p)/n)/f with the
    /// density f = 1 of a uniform.
    #[test]
    fn single_values_have_the_textbook_error() {
        let values: Vec<f64> = (0..400).map(|i| (f64::from(i) + 0.5) / 400.0).collect();
        let clusters: Vec<Vec<f64>> = values.iter().map(|value| vec![*value]).collect();
        for p in [0.1, 0.5, 0.75_f64] {
            let found = pooled_quantile(&clusters, &values, p).unwrap();
            assert!((found.value - p).abs() < 2e-3, "{p}: {}", found.value);
            let error = error_of_parts(&found.parts).unwrap();
            assert!((error / (p * (1.0 - p) / 400.0).sqrt() - 1.0).abs() < 0.01, "{p}: {error}");
        }
    }

    #[test]
    fn nothing_has_no_quantile_and_one_cluster_no_error() {
        assert_eq!(pooled_quantile(&[], &[], 0.5), None);
        let found = pooled_quantile(&[vec![1.0, 2.0, 4.0]], &[1.0, 2.0, 4.0], 0.5).unwrap();
        assert_eq!((found.value, error_of_parts(&found.parts)), (2.0, None));
    }
}
