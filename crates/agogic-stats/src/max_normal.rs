//! Maxima of correlated normal numbers: what sums over very many clusters come to.

use std::cmp::Ordering;

use rand::Rng;

use crate::max_t::studentised;
use crate::multinormal::Correlation;
use crate::normal::normal_quantile;
use crate::paired::Difference;
use crate::uniform::open_unit;

/// Clusters from which on sums under random signs may be taken as normal; with fewer, signs take no time.
const CLUSTERS: usize = 4000;

/// Weight from which on they are.
///
/// In standard deviations, such a sum has the excess kurtosis −2/w with w as in [`weight`]. By the first term of its
/// Edgeworth series, at the 2.7 deviations of some ten contrasts at 95 % that takes 3/w of its tail: less than a
/// hundredth here, where chance in 2000 draws is a tenth.
const WEIGHT: f64 = 400.0;

/// Whether sums of these under random signs are as good as normal.
pub(crate) fn nearly_normal(difference: &Difference) -> bool {
    difference.used >= CLUSTERS && weight(&difference.parts) >= WEIGHT
}

/// As many equal parts would weigh as much as these: (Σd²)²/Σd⁴.
fn weight(parts: &[f64]) -> f64 {
    // Relative to the greatest, since fourth powers of small numbers vanish.
    let greatest = parts.iter().fold(0.0, |greatest: f64, part| greatest.max(part.abs()));
    let (mut squares, mut fourths) = (0.0, 0.0);
    for part in parts {
        let square = (part / greatest) * (part / greatest);
        squares += square;
        fourths += square * square;
    }
    squares * squares / fourths
}

/// The greatest |t| of each draw.
///
/// # Definition
/// Each draw is a normal vector with the correlations of the sums Σₖ gₖdⱼₖ under random signs g: of contrasts i and j
/// Σₖ dᵢₖdⱼₖ / √(Σₖ dᵢₖ² Σₖ dⱼₖ²), studentised as those are. Contrasts are taken in an order of their own, so that nothing depends on the order
/// in which they come.
///
/// # Source
/// Hothorn, Bretz & Westfall (2008), Biometrical Journal 50:346, on maxima of normal contrasts; Chernozhukov,
/// Chetverikov & Kato (2013), The Annals of Statistics 41:2786, on normal multipliers of many terms.
pub(crate) fn maxima<R: Rng + ?Sized>(differences: &[&Difference], draws: usize, rng: &mut R) -> Vec<f64> {
    let mut differences = differences.to_vec();
    differences.sort_by(|a, b| {
        let apart = a.parts.iter().zip(&b.parts).map(|(a, b)| a.total_cmp(b)).find(|order| order.is_ne());
        apart.unwrap_or(Ordering::Equal)
    });
    let parts: Vec<&[f64]> = differences.iter().map(|difference| difference.parts.as_slice()).collect();
    let correlation = Correlation::about_zero(&parts);
    let mut independent = vec![0.0; parts.len()];
    (0..draws)
        .map(|_| {
            independent.fill_with(|| normal_quantile(open_unit(rng)));
            let sums = correlation.apply(&independent);
            let t =
                sums.iter().zip(&differences).map(|(sum, difference)| studentised(*sum, 1.0, difference.used as f64));
            t.fold(0.0, f64::max)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;

    use super::*;
    use crate::{Sides, max_t_critical};

    fn made(parts: Vec<f64>) -> Difference {
        Difference { value: 0.0, used: parts.len(), parts, standard_error: Some(1.0) }
    }

    /// Contrasts of `groups` equal arms with one more, each arm in clusters of its own: all correlations are 1/2.
    fn against_control(groups: usize, each: usize) -> Vec<Difference> {
        let part = |group: usize, cluster: usize| match cluster / each {
            0 => -1.0,
            own if own == group + 1 => 1.0,
            _ => 0.0,
        };
        (0..groups).map(|group| made((0..each * (groups + 1)).map(|c| part(group, c)).collect())).collect()
    }

    /// Critical values of Dunnett's test without end of degrees of freedom. n = 40 000 draws, α = 10⁻⁶ for each of three:
    /// z = 5.1.
    #[test]
    fn contrasts_with_a_control_have_dunnetts_critical_value() {
        for groups in [1, 3, 9] {
            let known = max_t_critical(groups, 0.5, f64::INFINITY, 0.05, Sides::Two).unwrap();
            let contrasts = against_control(groups, 20_000);
            let contrasts: Vec<&Difference> = contrasts.iter().collect();
            let drawn = maxima(&contrasts, 40_000, &mut ChaCha12Rng::seed_from_u64(41));
            let beyond = |critical: f64| drawn.iter().filter(|t| **t > critical).count() as f64 / 40_000.0;
            let allowed = 5.1 * (0.05f64 * 0.95 / 40_000.0).sqrt();
            assert!((beyond(known) - 0.05).abs() < allowed, "{groups}: {}", beyond(known));
            // Were they taken as independent, the critical value would be another one.
            let independent = max_t_critical(groups, 0.0, f64::INFINITY, 0.05, Sides::Two).unwrap();
            assert!(groups < 9 || (beyond(independent) - 0.05).abs() > allowed, "{groups}: {}", beyond(independent));
        }
    }

    #[test]
    fn neither_order_nor_repetition_nor_combination_matters() {
        let mut contrasts = against_control(3, 20);
        let draw = |contrasts: &[&Difference]| maxima(contrasts, 50, &mut ChaCha12Rng::seed_from_u64(42));
        let [a, b, c] = [0, 1, 2].map(|at| &contrasts[at]);
        let all = draw(&[a, b, c]);
        assert!(all == draw(&[c, a, b]) && all == draw(&[b, c, a]));
        assert!(draw(&[a, a]).iter().zip(draw(&[a])).all(|(two, one)| two.is_finite() && one > 0.0));
        // The difference of two contrasts has no number of its own, and the size of its parts does not matter.
        let less: Vec<f64> = a.parts.iter().zip(&b.parts).map(|(a, b)| 1e-9 * (a - b)).collect();
        contrasts.push(made(less));
        let drawn = draw(&contrasts.iter().collect::<Vec<_>>());
        assert!(drawn.iter().all(|t| t.is_finite()));
    }

    #[test]
    fn many_clusters_of_which_few_count_are_few() {
        let even = made(vec![1e-200; 4000]);
        let mut few = even.parts.clone();
        few[7] = 1.0;
        assert_eq!((weight(&even.parts).round(), weight(&few).round()), (4000.0, 1.0));
        assert!(nearly_normal(&even) && !nearly_normal(&made(few)));
        assert!(!nearly_normal(&made(vec![1.0; 3999])) && !nearly_normal(&made(vec![0.0; 5000])));
    }
}
