//! Comparisons of each policy with another one, over the same typists and presses.

use agogic_keys::{Purpose, stream};
use agogic_stats::{
    Clusters, Estimate, Interval, Level, holm, paired_difference_p, paired_rate_ratio, simultaneous_differences,
    tost_clusters,
};
use agogic_study::{EstimandInfo, Study};

use super::Statistic;
use super::methods::default_difference;

/// A comparison of the policy `at`.
pub(super) struct Compared {
    pub at: usize,
    pub statistic: Statistic,
    pub against: Option<f64>,
    /// In the unit of the estimand, or a probability.
    pub estimate: Estimate,
}

/// Every comparison of one estimand in one arm.
pub(super) fn all(study: &Study, info: &'static EstimandInfo, clusters: &[Clusters]) -> Vec<Compared> {
    let inference = &study.inference;
    let level = inference.level;
    let others: Vec<usize> = (0..clusters.len()).filter(|&at| inference.versus[at] != at).collect();
    let mut compared = Vec::new();
    if others.is_empty() {
        return compared;
    }
    let pairs: Vec<(&Clusters, &Clusters)> =
        others.iter().map(|&at| (&clusters[at], &clusters[inference.versus[at]])).collect();
    let differences: Vec<Estimate> = pairs.iter().map(|(own, other)| default_difference(own, other, level)).collect();
    let joint = joint(study, &pairs, &differences);
    let adjusted = adjusted(&pairs, &differences, level);
    for (i, &at) in others.iter().enumerate() {
        let mut add = |statistic, against, estimate| compared.push(Compared { at, statistic, against, estimate });
        add(Statistic::Difference, None, info.scaled(differences[i].clone()));
        add(Statistic::DifferenceJoint, None, info.scaled(joint[i].clone()));
        add(Statistic::PHolm, None, adjusted[i].clone());
        let ratio = paired_rate_ratio(pairs[i].0, pairs[i].1, level).expect("both have the same typists");
        add(Statistic::Ratio, None, ratio);
        if let Some(line) = inference.margins.iter().find(|line| line.info.name == info.name) {
            let margin = line.value / info.scale;
            let test = tost_clusters(pairs[i].0, pairs[i].1, Interval { lo: -margin, hi: margin }, level)
                .expect("the margin lies above zero, and both have the same typists");
            let of = |p: Option<f64>, method: &str| {
                let n = test.estimate.n;
                match p {
                    Some(p) => Estimate::new(p, method, level, "typist", n).because("a p-value has no interval"),
                    None => {
                        Estimate::unknown("the typists do not differ, so there is no test", method, level, "typist", n)
                    }
                }
            };
            add(
                Statistic::PNotWorse,
                Some(line.value),
                of(test.p_upper, "non-inferiority, paired difference of ratios"),
            );
            add(
                Statistic::PEquivalent,
                Some(line.value),
                of(test.p_value(), "two one-sided tests, paired difference of ratios"),
            );
        }
    }
    compared
}

/// Simultaneous intervals; where they cannot be had, the differences without limits and the reason.
fn joint(study: &Study, pairs: &[(&Clusters, &Clusters)], differences: &[Estimate]) -> Vec<Estimate> {
    let inference = &study.inference;
    // The same draws for every arm and estimand: a stream never depends on the policies.
    let mut rng = stream(study.seed, Purpose::Resampling, 0, 1);
    match simultaneous_differences(pairs, inference.level, inference.resamples, &mut rng) {
        Ok(done) => done.contrasts,
        Err(refused) => differences
            .iter()
            .map(|plain| {
                let reason = format!("failed to {refused}");
                Estimate { lo: None, hi: None, method: "simultaneous (max-t)".into(), ..plain.clone() }.because(&reason)
            })
            .collect(),
    }
}

/// p-values of "no difference", adjusted by Holm's method for all policies of the arm.
fn adjusted(pairs: &[(&Clusters, &Clusters)], differences: &[Estimate], level: Level) -> Vec<Estimate> {
    const METHOD: &str = "paired t without skewness, Holm over the policies of the arm";
    let plain: Vec<Option<f64>> =
        pairs.iter().map(|(own, other)| paired_difference_p(own, other).expect("both have the same typists")).collect();
    // What cannot be tested was still a comparison asked for: it counts in the number, as p = 1.
    let counted: Vec<f64> = plain.iter().map(|p| p.unwrap_or(1.0)).collect();
    let holm = holm(&counted).expect("each is a probability");
    plain
        .iter()
        .zip(holm)
        .zip(differences)
        .map(|((p, adjusted), difference)| match p {
            Some(_) => {
                Estimate::new(adjusted, METHOD, level, "typist", difference.n).because("a p-value has no interval")
            }
            None => Estimate::unknown(
                "the difference has no standard error, so there is no test",
                METHOD,
                level,
                "typist",
                difference.n,
            ),
        })
        .collect()
}
