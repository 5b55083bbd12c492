//! Simultaneous intervals for several paired contrasts.

use rand::Rng;
use thiserror::Error;

use crate::caution::FEWEST_DIFFERING;
use crate::clusters::{ClusterError, Clusters};
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::max_normal::Maxima;
use crate::normal::{normal_upper, normal_upper_quantile};
use crate::paired::{Difference, cut, difference};
use crate::ratio::{NONE, TOO_FEW};

const METHOD: &str = "paired difference of ratios, max-t by normal draws, without skewness (Hall)";

const NO_SPREAD: &str = "the difference is the same in every cluster, so its spread cannot be estimated";

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
    #[error("draw {draws} times: at least {needed} are needed for this level")]
    Draws {
        /// Draws asked for.
        draws: usize,
        /// Draws needed.
        needed: usize,
    },
}

/// Contrasts with intervals that hold all at once.
#[derive(Debug, Clone, PartialEq)]
pub struct MaxT {
    /// Critical value on the standard normal scale; `None` if no contrast has limits.
    pub critical: Option<f64>,
    /// Its Monte Carlo standard error.
    pub critical_mcse: Option<f64>,
    /// One estimate for each contrast, in order, with simultaneous limits.
    pub contrasts: Vec<Estimate>,
    /// p-value of each contrast, adjusted for all of them; `None` without limits.
    pub p_values: Vec<Option<f64>>,
}

/// Differences of ratios over the same clusters, with intervals of which all
/// hold together with the given confidence.
///
/// # Definition
/// Contrast j has the value Dⱼ, the cluster parts dⱼₖ and the standard error of
/// [`paired_difference_skewed`](crate::paired_difference_skewed()), and zⱼ is the point of
/// the standard normal distribution with as much beyond it as g(t) has under Student's t.
/// The critical value c is the (1 − α)-quantile of the greatest |z| of normal numbers with
/// the correlations Σₖ dᵢₖdⱼₖ/√(Σₖ dᵢₖ² Σₖ dⱼₖ²), and never less than that of one contrast.
/// It is drawn; there are `draws` at least, and as many more as it takes until its Monte
/// Carlo standard error is below half a percent of it. Each interval is the one of its
/// contrast alone at the level 1 − P(|z| > c), with the degrees of freedom for a kurtosis
/// (1 + 10/K)³ as large: so far out, the long tails that a small sample does not show
/// matter more. It always contains the interval of its contrast alone. p is
/// (1 + draws at or above |zⱼ|)/(B + 1).
///
/// # Undefined
/// - A contrast without spread keeps its value, has no limits and takes no part in the
///   maximum.
/// - Neither has one in which fewer than [`FEWEST_DIFFERING`] clusters differ: families with
///   such contrasts missed in up to 35 % of studies, and nothing in the sample tells which.
///
/// # Errors
/// No contrasts; sides or contrasts over different clusters; or fewer draws than 1/α.
///
/// # Source
/// Hothorn, Bretz & Westfall (2008), Biometrical Journal 50:346; Hall (1992), Journal of
/// the Royal Statistical Society B 54:221. Families where policies do not differ are
/// studied in `FAMILYWISE.md`, families where they do in the lab's `COVERAGE.md`.
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
    let parts: Vec<&[f64]> = differences
        .iter()
        .flatten()
        .filter(|difference| difference.standard_error.is_some() && difference.differing >= FEWEST_DIFFERING)
        .map(|difference| difference.parts.as_slice())
        .collect();
    let maxima = (!parts.is_empty()).then(|| Maxima::draw(&parts, level, draws, rng));
    let critical = maxima.as_ref().map(|maxima| maxima.critical.max(level.z()));
    let critical_mcse = maxima.as_ref().map(|maxima| maxima.error);

    let mut contrasts = Vec::with_capacity(pairs.len());
    let mut p_values = Vec::with_capacity(pairs.len());
    for ((first, second), difference) in pairs.iter().zip(&differences) {
        let Some(difference) = difference else {
            contrasts.push(Estimate::unknown(NONE, METHOD, level, first.unit(), first.used() as u64));
            p_values.push(None);
            continue;
        };
        let estimate = difference.estimate(METHOD, level, first.unit());
        let (Some(error), Some(shape)) = (difference.standard_error, difference.shape()) else {
            let reason = if difference.used < 2 { TOO_FEW } else { NO_SPREAD };
            contrasts.push(estimate.because(reason));
            p_values.push(None);
            continue;
        };
        let estimate = estimate.with_mcse(error);
        let (true, Some(maxima), Some(critical)) = (difference.differing >= FEWEST_DIFFERING, &maxima, critical) else {
            contrasts.push(estimate.because(&too_few_differ(difference.differing)));
            p_values.push(None);
            continue;
        };
        let degrees = shape.cautious_degrees();
        let (below, above) = shape.reach(normal_upper(critical), degrees);
        let interval = Interval { lo: difference.value - below * error, hi: difference.value + above * error };
        let interval = cut(interval, first.is_proportion() && second.is_proportion());
        let estimate = estimate.with_interval(interval);
        contrasts.push(Estimate { critical: Some(critical), critical_mcse, ..estimate });
        let alone = shape.two_sided(difference.value / error, degrees);
        p_values.push(Some(maxima.at_least(normal_upper_quantile(0.5 * alone)).max(alone)));
    }
    Ok(MaxT { critical, critical_mcse, contrasts, p_values })
}

fn too_few_differ(differing: u64) -> String {
    format!(
        "too few clusters differ ({differing}): below {FEWEST_DIFFERING} no method gave limits that hold together as they say"
    )
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

#[cfg(test)]
mod tests {
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;

    use super::*;
    use crate::paired::paired_difference_skewed;

    fn counts(pairs: &[u64]) -> Clusters {
        // Thrice over, so that enough of them differ.
        let all = (0..3).flat_map(|_| pairs.iter().map(|&y| (y, 40)));
        Clusters::counts("typist", all).unwrap()
    }

    const FIRST: [u64; 12] = [3, 9, 14, 6, 2, 11, 8, 5, 17, 4, 7, 10];
    const SECOND: [u64; 12] = [1, 8, 10, 7, 2, 6, 9, 4, 12, 1, 7, 5];
    const THIRD: [u64; 12] = [2, 9, 11, 4, 3, 8, 8, 6, 15, 3, 5, 9];

    fn run(pairs: &[(&Clusters, &Clusters)], level: Level) -> MaxT {
        let mut rng = ChaCha12Rng::seed_from_u64(31);
        simultaneous_differences(pairs, level, 4000, &mut rng).unwrap()
    }

    #[test]
    fn values_and_errors_are_those_of_single_contrasts_and_limits_enclose_theirs() {
        let [a, b, c] = [&FIRST, &SECOND, &THIRD].map(|s| counts(s));
        let all = run(&[(&a, &b), (&a, &c)], Level::P95);
        for (estimate, second) in all.contrasts.iter().zip([&b, &c]) {
            let single = paired_difference_skewed(&a, second, Level::P95).unwrap();
            assert_eq!((estimate.value, estimate.mcse), (single.value, single.mcse));
            assert!(estimate.lo < single.lo && single.hi < estimate.hi);
            assert_eq!(estimate.critical, all.critical);
            assert!(estimate.critical_mcse.is_some_and(|error| error < 0.01 * all.critical.unwrap()));
        }
        assert_eq!(all, run(&[(&a, &b), (&a, &c)], Level::P95));
    }

    /// One contrast, or two that are the same, is a comparison of its own: no critical value below that of one.
    #[test]
    fn a_joint_interval_contains_that_of_its_contrast_alone() {
        for seed in 0..40 {
            let mut rng = ChaCha12Rng::seed_from_u64(seed);
            let [a, b] = [0, 1].map(|salt| {
                let of = |c: u64| ((c * (31 + seed) + salt * 17 + (seed + 1) * c * c) % 23, 40);
                Clusters::counts("typist", (0..30).map(of)).unwrap()
            });
            let joint = simultaneous_differences(&[(&a, &b), (&a, &b)], Level::P95, 30, &mut rng).unwrap();
            let single = paired_difference_skewed(&a, &b, Level::P95).unwrap();
            let (joint, single) = (joint.contrasts[0].interval().unwrap(), single.interval().unwrap());
            assert!(joint.lo <= single.lo && single.hi <= joint.hi, "{seed}");
        }
    }

    #[test]
    fn adjusted_p_values_go_with_the_intervals() {
        let [a, b, c] = [&FIRST, &SECOND, &THIRD].map(|s| counts(s));
        let found = run(&[(&a, &b), (&c, &b), (&a, &c)], Level::P95);
        for (contrast, p) in found.contrasts.iter().zip(&found.p_values) {
            assert_eq!(contrast.interval().unwrap().contains(0.0), p.unwrap() > 0.05, "{contrast:?} {p:?}");
        }
    }

    #[test]
    fn more_contrasts_cost_more() {
        let [a, b, c] = [&FIRST, &SECOND, &THIRD].map(|s| counts(s));
        let one = run(&[(&a, &b)], Level::P95).critical.unwrap();
        let three = [(&a, &b), (&c, &b), (&a, &c)];
        let more = run(&three, Level::P95).critical.unwrap();
        let same = run(&[(&a, &b), (&a, &b)], Level::P95).critical.unwrap();
        // The greatest of one normal number is drawn, so it is the same to its own error.
        assert!(one < more && (one - same).abs() < 0.03, "{one} {more} {same}");
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

    /// `differing` of 300 clusters have one event more on the first side.
    fn sides(differing: u64) -> [Clusters; 2] {
        [differing, 0]
            .map(|more| Clusters::counts("typist", (0..300).map(|c| (5 + c % 7 + u64::from(c < more), 40))).unwrap())
    }

    #[test]
    fn a_contrast_that_few_clusters_carry_has_no_joint_limits_and_steps_aside() {
        let run = |pairs: &[(&Clusters, &Clusters)]| {
            simultaneous_differences(pairs, Level::P95, 400, &mut ChaCha12Rng::seed_from_u64(33)).unwrap()
        };
        let ([a, b], [enough, other]) = (sides(FEWEST_DIFFERING - 1), sides(FEWEST_DIFFERING));
        let found = run(&[(&a, &b), (&enough, &other)]);
        let few = &found.contrasts[0];
        assert!(few.value.is_some() && few.mcse.is_some() && few.lo.is_none() && few.hi.is_none(), "{few:?}");
        assert!(few.reason.as_deref().unwrap().contains("differ (19): below 20") && few.critical.is_none());
        assert_eq!(few.cautions, [crate::Caution::FewDiffering { n: 19 }]);
        assert!(found.p_values[0].is_none() && found.p_values[1].is_some());
        assert!(found.contrasts[1].interval().is_some() && found.contrasts[1].cautions.is_empty());
        assert_eq!(found.critical, run(&[(&enough, &other)]).critical);
        // Alone it has an interval with a caution.
        assert!(paired_difference_skewed(&a, &b, Level::P95).unwrap().interval().is_some());
        let nothing = run(&[(&a, &b)]);
        assert!(nothing.critical.is_none() && nothing.contrasts[0].interval().is_none());
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
    }
}
