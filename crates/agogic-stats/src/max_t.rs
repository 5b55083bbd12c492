//! Simultaneous intervals for several paired contrasts.

use rand::Rng;
use thiserror::Error;

use crate::clusters::{ClusterError, Clusters};
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::max_normal;
use crate::paired::{Difference, difference};
use crate::ratio::{NONE, TOO_FEW};

const BY_SIGNS: &str = "paired difference of ratios, max-t by sign changes";

const BY_NORMAL: &str = "paired difference of ratios, max-t by normal draws";

const NO_SPREAD: &str = "the difference is the same in every cluster, so its spread cannot be estimated";

const OTHERS: &str = "no contrast has a spread, so there is no simultaneous limit";

/// Why simultaneous intervals cannot be made.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MaxTError {
    /// There are no contrasts.
    #[error("compare 0 pairs: at least 1 is needed")]
    None,
    /// Two sides do not hold the same clusters.
    #[error("pair the sides of contrast {index}: {source}")]
    Pair {
        /// Position of the contrast.
        index: usize,
        /// What is wrong with it.
        source: ClusterError,
    },
    /// The contrasts are not over the same clusters.
    #[error("compare {found} clusters in contrast {index} with {wanted} in the first: all must hold the same clusters")]
    Clusters {
        /// Position of the contrast.
        index: usize,
        /// Its clusters.
        found: usize,
        /// Clusters of the first contrast.
        wanted: usize,
    },
    /// There are too few draws for the level.
    #[error("draw {draws} sign changes: at least {needed} are needed for this level")]
    Draws {
        /// Draws asked for.
        draws: usize,
        /// Draws needed.
        needed: usize,
    },
    /// There are too few clusters for the level.
    #[error("use {used} clusters: at least {needed} are needed, since fewer have too few patterns of signs")]
    TooFewClusters {
        /// Clusters with information.
        used: usize,
        /// Clusters needed.
        needed: usize,
    },
}

/// Contrasts with intervals that hold all at once.
#[derive(Debug, Clone, PartialEq)]
pub struct MaxT {
    /// Half-width of each interval in standard errors.
    pub critical: Option<f64>,
    /// One estimate for each contrast, in order, with simultaneous limits.
    pub contrasts: Vec<Estimate>,
    /// p-value of each contrast, adjusted for all of them; `None` without spread.
    pub p_values: Vec<Option<f64>>,
}

/// Differences of ratios over the same clusters, with intervals of which all
/// hold together with the given confidence.
///
/// # Definition
/// Contrast j has the value Dⱼ, the cluster parts dⱼₖ and the standard error of
/// [`paired_difference`](crate::paired_difference()). Each draw gives every
/// cluster a random sign, the same for all contrasts, and takes the greatest
/// |t*ⱼ| with t*ⱼ = Σₖ gₖdⱼₖ divided by its own standard error. Whatever
/// correlation the contrasts have is thereby kept. The ⌈(1 − α)(B + 1)⌉-th
/// smallest of B such values is the critical value c; the limits are
/// Dⱼ ± c · SEⱼ. p is (1 + draws at or above |Dⱼ|/SEⱼ)/(B + 1).
///
/// Where each contrast has 4000 clusters or more, and they weigh as 400 equal ones or more, (Σₖ dⱼₖ²)²/Σₖ dⱼₖ⁴, sums under
/// random signs are normal to within a hundredth of their tails. There a draw is a normal vector with the correlations of
/// those sums, and the method says so.
///
/// # Undefined
/// A contrast without spread keeps its value, has no limits and takes no part
/// in the maximum.
///
/// # Errors
/// No contrasts; sides or contrasts over different clusters; or fewer draws or
/// clusters than the level needs, 1/α and 1 + log₂(1/α).
///
/// # Source
/// Westfall & Young (1993), Resampling-Based Multiple Testing, section 2.3;
/// Mammen (1993), The Annals of Statistics 21:255, on random multipliers;
/// Cameron, Gelbach & Miller (2008), Review of Economics and Statistics 90:414,
/// on signs for clusters; Hothorn, Bretz & Westfall (2008), Biometrical Journal 50:346, and Chernozhukov, Chetverikov &
/// Kato (2013), The Annals of Statistics 41:2786, on normal draws.
pub fn simultaneous_differences<R: Rng + ?Sized>(
    pairs: &[(&Clusters, &Clusters)],
    level: Level,
    draws: usize,
    rng: &mut R,
) -> Result<MaxT, MaxTError> {
    let differences = differences(pairs)?;
    let needed = libm::ceil(1.0 / level.alpha()) as usize;
    if draws < needed {
        return Err(MaxTError::Draws { draws, needed });
    }
    let usable: Vec<&Difference> = differences.iter().flatten().filter(|d| d.standard_error.is_some()).collect();
    let least = 1 + libm::ceil(-libm::log2(level.alpha())) as usize;
    if let Some(few) = usable.iter().find(|d| d.used < least) {
        return Err(MaxTError::TooFewClusters { used: few.used, needed: least });
    }
    let normal = !usable.is_empty() && usable.iter().all(|d| max_normal::nearly_normal(d));
    let (method, mut maxima) = match usable.as_slice() {
        [] => (BY_SIGNS, Vec::new()),
        _ if normal => (BY_NORMAL, max_normal::maxima(&usable, draws, rng)),
        _ => (BY_SIGNS, maxima(&usable, draws, rng)),
    };
    maxima.sort_unstable_by(f64::total_cmp);
    let rank = libm::ceil(level.confidence() * (draws + 1) as f64) as usize;
    let critical = maxima.get(rank.min(draws) - 1).copied();

    let mut contrasts = Vec::with_capacity(pairs.len());
    let mut p_values = Vec::with_capacity(pairs.len());
    for ((first, _), difference) in pairs.iter().zip(&differences) {
        let unknown = |reason| Estimate::unknown(reason, method, level, first.unit(), first.used() as u64);
        let Some(difference) = difference else {
            contrasts.push(unknown(NONE));
            p_values.push(None);
            continue;
        };
        let estimate = Estimate::new(difference.value, method, level, first.unit(), difference.used as u64);
        let (Some(error), Some(critical)) = (difference.standard_error, critical) else {
            let reason = if difference.used < 2 { TOO_FEW } else { NO_SPREAD };
            contrasts.push(estimate.because(reason));
            p_values.push(None);
            continue;
        };
        let half = critical * error;
        let interval = Interval { lo: difference.value - half, hi: difference.value + half };
        let estimate = estimate.with_mcse(error).with_interval(interval);
        contrasts.push(if half.is_finite() { estimate } else { estimate.because(OTHERS) });
        let at_least = maxima.len() - maxima.partition_point(|m| *m < difference.value.abs() / error);
        p_values.push(Some((1 + at_least) as f64 / (draws + 1) as f64));
    }
    Ok(MaxT { critical, contrasts, p_values })
}

fn differences(pairs: &[(&Clusters, &Clusters)]) -> Result<Vec<Option<Difference>>, MaxTError> {
    let wanted = pairs.first().ok_or(MaxTError::None)?.0.len();
    let mut differences = Vec::with_capacity(pairs.len());
    for (index, (first, second)) in pairs.iter().enumerate() {
        differences.push(difference(first, second).map_err(|source| MaxTError::Pair { index, source })?);
        if first.len() != wanted {
            return Err(MaxTError::Clusters { index, found: first.len(), wanted });
        }
    }
    Ok(differences)
}

/// Contrasts summed side by side.
const CONTRASTS: usize = 8;

/// Clusters whose signs are looked up at once: a byte holds them.
const BYTE: usize = 8;

/// Clusters whose signs are drawn at once.
const WORD: usize = 64;

/// Draws that are summed together: so many that the table of a byte is used often, and so few that sums and table stay in
/// the nearest cache.
const DRAWS: usize = 256;

/// Sums of eight clusters under every pattern of their signs, for some contrasts.
type Patterns = [[f64; CONTRASTS]; 1 << BYTE];

/// The greatest |t*| of each draw.
fn maxima<R: Rng + ?Sized>(differences: &[&Difference], draws: usize, rng: &mut R) -> Vec<f64> {
    let clusters = differences[0].parts.len();
    let squares: Vec<f64> = differences.iter().map(|d| d.parts.iter().map(|p| p * p).sum()).collect();
    // Signs draw by draw, a bit for each cluster.
    let words = clusters.div_ceil(WORD);
    let mut signs = vec![0_u64; words * DRAWS];
    let mut patterns: Patterns = [[0.0; CONTRASTS]; 1 << BYTE];
    let mut maxima = Vec::with_capacity(draws);
    while maxima.len() < draws {
        let some = DRAWS.min(draws - maxima.len());
        signs[..some * words].fill_with(|| rng.next_u64());
        let mut greatest = [0.0f64; DRAWS];
        for (differences, squares) in differences.chunks(CONTRASTS).zip(squares.chunks(CONTRASTS)) {
            let mut sums = vec![[0.0; CONTRASTS]; some];
            for word in 0..words {
                let mut column: [u64; DRAWS] = std::array::from_fn(|draw| signs[draw * words + word]);
                for first in (word * WORD..clusters.min((word + 1) * WORD)).step_by(BYTE) {
                    fill(&mut patterns, differences, first);
                    for (sums, signs) in sums.iter_mut().zip(&mut column) {
                        for (sum, of_byte) in sums.iter_mut().zip(&patterns[usize::from(*signs as u8)]) {
                            *sum += of_byte;
                        }
                        *signs >>= BYTE;
                    }
                }
            }
            for (greatest, sums) in greatest.iter_mut().zip(&sums) {
                for ((difference, square), sum) in differences.iter().zip(squares).zip(sums) {
                    *greatest = greatest.max(studentised(*sum, *square, difference.used as f64));
                }
            }
        }
        maxima.extend(&greatest[..some]);
    }
    maxima
}

/// The sums of eight clusters from `first` on under every pattern: each bit that is set adds its cluster, each that is
/// not takes it away. Where there are no more clusters or contrasts, nothing is added.
fn fill(patterns: &mut Patterns, differences: &[&Difference], first: usize) {
    let parts: [[f64; CONTRASTS]; BYTE] = std::array::from_fn(|bit| {
        std::array::from_fn(|at| differences.get(at).and_then(|d| d.parts.get(first + bit)).copied().unwrap_or(0.0))
    });
    patterns[0] = std::array::from_fn(|at| -parts.iter().map(|part| part[at]).sum::<f64>());
    for (bit, part) in parts.iter().enumerate() {
        let (without, with) = patterns.split_at_mut(1 << bit);
        for (with, without) in with.iter_mut().zip(without) {
            *with = std::array::from_fn(|at| without[at] + 2.0 * part[at]);
        }
    }
}

/// |t*| of a sum over `k` clusters with such a sum of squares. A sign change leaves the squares: only the mean is taken
/// off.
pub(crate) fn studentised(sum: f64, square: f64, k: f64) -> f64 {
    let left = square - sum * sum / k;
    if left > 1e-12 * square { sum.abs() / libm::sqrt(k / (k - 1.0) * left) } else { f64::INFINITY }
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;

    use super::*;
    use crate::paired::paired_difference;

    fn counts(pairs: &[u64]) -> Clusters {
        Clusters::counts("typist", pairs.iter().map(|&y| (y, 40))).unwrap()
    }

    /// The greatest |t*| of each draw as the definition has it: draw by draw, contrast by contrast.
    fn one_by_one(differences: &[&Difference], draws: usize, rng: &mut ChaCha12Rng) -> Vec<f64> {
        let of_draw = |_| {
            let n = differences[0].parts.len();
            let words: Vec<u64> = (0..n.div_ceil(64)).map(|_| rng.next_u64()).collect();
            let signs: Vec<f64> = (0..n).map(|i| if words[i / 64] >> (i % 64) & 1 == 1 { 1.0 } else { -1.0 }).collect();
            let t = differences.iter().map(|d| {
                let sum: f64 = signs.iter().zip(&d.parts).map(|(sign, part)| sign * part).sum();
                studentised(sum, d.parts.iter().map(|p| p * p).sum(), d.used as f64)
            });
            t.fold(0.0, f64::max)
        };
        (0..draws).map(of_draw).collect()
    }

    #[test]
    fn sums_side_by_side_are_those_one_by_one() {
        for contrasts in [1, 2, 7, 8, 9, 17] {
            for clusters in [3, 64, 65, 130] {
                let different = |i: u64| {
                    let all = |salt: u64| (0..clusters).map(move |c| ((c * 31 + i * 17 + salt * c * c) % 23, 40));
                    let of = |salt| Clusters::counts("typist", all(salt)).unwrap();
                    difference(&of(1), &of(2)).unwrap().unwrap()
                };
                let all: Vec<Difference> = (0..contrasts).map(different).collect();
                let all: Vec<&Difference> = all.iter().collect();
                for draws in [1, 39, 600] {
                    let rng = || ChaCha12Rng::seed_from_u64(contrasts + clusters);
                    let (fast, plain) = (maxima(&all, draws, &mut rng()), one_by_one(&all, draws, &mut rng()));
                    assert_eq!(fast.len(), draws);
                    // The same signs; only the order of the sums differs. Where all parts have one sign and size, t has no
                    // bound, and the last digit decides how large it looks.
                    let alike = |(one, other): (&f64, &f64)| {
                        (one - other).abs() < 1e-9 * other.max(1.0) || one.min(*other) > 1e5
                    };
                    assert!(fast.iter().zip(&plain).all(alike), "{contrasts} contrasts, {clusters} clusters");
                }
            }
        }
    }

    const FIRST: [u64; 12] = [3, 9, 14, 6, 2, 11, 8, 5, 17, 4, 7, 10];
    const SECOND: [u64; 12] = [1, 8, 10, 7, 2, 6, 9, 4, 12, 1, 7, 5];
    const THIRD: [u64; 12] = [2, 9, 11, 4, 3, 8, 8, 6, 15, 3, 5, 9];

    fn run(pairs: &[(&Clusters, &Clusters)], level: Level) -> MaxT {
        let mut rng = ChaCha12Rng::seed_from_u64(31);
        simultaneous_differences(pairs, level, 4000, &mut rng).unwrap()
    }

    #[test]
    fn values_and_errors_are_those_of_single_contrasts() {
        let [a, b, c] = [&FIRST, &SECOND, &THIRD].map(|s| counts(s));
        let all = run(&[(&a, &b), (&a, &c)], Level::P95);
        for (estimate, second) in all.contrasts.iter().zip([&b, &c]) {
            let single = paired_difference(&a, second, Level::P95).unwrap();
            assert_eq!((estimate.value, estimate.mcse), (single.value, single.mcse));
            let half = all.critical.unwrap() * single.mcse.unwrap();
            assert!((estimate.hi.unwrap() - estimate.value.unwrap() - half).abs() < 1e-15);
        }
        assert_eq!(all, run(&[(&a, &b), (&a, &c)], Level::P95));
    }

    /// All 2¹² patterns of signs, one by one. n = 4000 draws, α = 10⁻⁶: z = 4.892.
    #[test]
    fn one_contrast_against_every_pattern() {
        let [a, b] = [&FIRST, &SECOND].map(|s| counts(s));
        let parts = difference(&a, &b).unwrap().unwrap().parts;
        let student = |pattern: u32| {
            let values: Vec<f64> =
                parts.iter().enumerate().map(|(k, d)| if pattern >> k & 1 == 1 { *d } else { -d }).collect();
            let (mean, variance) = (crate::moments::mean(&values), crate::moments::variance(&values));
            mean.unwrap().abs() / (variance.unwrap() / 12.0).sqrt()
        };
        let critical = run(&[(&a, &b)], Level::P95).critical.unwrap();
        let beyond = (0..4096).filter(|&pattern| student(pattern) >= critical).count() as f64 / 4096.0;
        let allowed = 4.892 * (0.05f64 * 0.95 / 4000.0).sqrt();
        // Both ways: equal values come in pairs and small groups.
        assert!((beyond - 0.05).abs() < allowed + 4.0 / 4096.0, "{beyond}");
    }

    /// 5000 typists, both ways: critical values of signs and of normal draws. n = 4000 draws each; α = 10⁻⁶ for a share of
    /// 5 %: z = 4.892.
    #[test]
    fn many_clusters_are_drawn_as_normal_and_come_to_the_same() {
        let all = |salt: u64| {
            let of = |c: u64| ((c * 31 + salt * 17 + (salt + 1) * c * c) % 23, 40);
            Clusters::counts("typist", (0..5000).map(of)).unwrap()
        };
        let arms: Vec<Clusters> = (0..5).map(all).collect();
        let pairs: Vec<(&Clusters, &Clusters)> = arms[1..].iter().map(|arm| (arm, &arms[0])).collect();
        let found = run(&pairs, Level::P95);
        assert!(found.contrasts.iter().all(|contrast| contrast.method == BY_NORMAL));
        let turned = run(&[pairs[2], pairs[0], pairs[3], pairs[1]], Level::P95);
        assert_eq!(found.critical, turned.critical);
        let made = differences(&pairs).unwrap();
        let signs = maxima(&made.iter().flatten().collect::<Vec<_>>(), 4000, &mut ChaCha12Rng::seed_from_u64(33));
        let beyond = signs.iter().filter(|t| **t > found.critical.unwrap()).count() as f64 / 4000.0;
        assert!((beyond - 0.05).abs() < 4.892 * (2.0 * 0.05f64 * 0.95 / 4000.0).sqrt(), "{beyond}");
        let few: Vec<Clusters> = arms
            .iter()
            .map(|arm| {
                let some = arm.numerators().iter().zip(arm.denominators()).take(3000).map(|(y, x)| (*y, *x));
                Clusters::proportion("typist", some).unwrap()
            })
            .collect();
        assert_eq!(run(&[(&few[1], &few[0])], Level::P95).contrasts[0].method, BY_SIGNS);
    }

    #[test]
    fn more_contrasts_cost_more() {
        let [a, b, c] = [&FIRST, &SECOND, &THIRD].map(|s| counts(s));
        let one = run(&[(&a, &b)], Level::P95).critical.unwrap();
        let three = [(&a, &b), (&c, &b), (&a, &c)];
        let more = run(&three, Level::P95).critical.unwrap();
        let same = run(&[(&a, &b), (&a, &b)], Level::P95).critical.unwrap();
        assert!(one < more && one == same, "{one} {more} {same}");
        assert!(more < run(&three, Level::P99).critical.unwrap());
    }

    #[test]
    fn a_contrast_without_spread_steps_aside() {
        let [a, b] = [&FIRST, &SECOND].map(|s| counts(s));
        let with = run(&[(&a, &b), (&a, &a)], Level::P95);
        assert_eq!(with.critical, run(&[(&a, &b)], Level::P95).critical);
        assert!(with.contrasts[1].interval().is_none() && with.p_values[1].is_none());
        let alone = run(&[(&a, &a)], Level::P95);
        assert!(alone.critical.is_none() && alone.contrasts[0].value == Some(0.0));
    }

    #[test]
    fn nonsense_is_refused() {
        let mut rng = ChaCha12Rng::seed_from_u64(32);
        let [a, b] = [&FIRST, &SECOND].map(|s| counts(s));
        let few = counts(&FIRST[..3]);
        let other = counts(&SECOND[..3]);
        let mut run = |pairs: &[(&Clusters, &Clusters)], draws| {
            simultaneous_differences(pairs, Level::P95, draws, &mut rng).unwrap_err()
        };
        assert_eq!(run(&[], 100), MaxTError::None);
        assert!(matches!(run(&[(&a, &few)], 100), MaxTError::Pair { index: 0, .. }));
        assert!(matches!(run(&[(&a, &b), (&few, &other)], 100), MaxTError::Clusters { index: 1, .. }));
        assert!(matches!(run(&[(&a, &b)], 10), MaxTError::Draws { .. }));
        assert!(matches!(run(&[(&few, &other)], 100), MaxTError::TooFewClusters { used: 3, .. }));
    }
}
