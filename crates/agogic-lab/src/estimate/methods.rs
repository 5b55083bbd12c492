//! The interval of a pooled rate, by the method the spec names.

use agogic_keys::{Purpose, stream};
use agogic_stats::{
    Clusters, DfAdjustment, Estimate, Level, Resamples, bootstrap_studentised, korn_graubard, paired_difference_skewed,
    ratio, ratio_jackknife, ratio_logit, ratio_skewed,
};
use agogic_study::{EstimandInfo, Inference, IntervalMethod};

/// The interval of a rate where the spec is silent.
///
/// # Source
/// `COVERAGE.md` of this crate measures it on the simulator itself, for every estimand.
pub fn default_rate(clusters: &Clusters, level: Level) -> Estimate {
    ratio_skewed(clusters, level)
}

/// The interval of a difference over the same typists.
///
/// # Panics
/// The two hold different typists.
///
/// # Source
/// As [`default_rate`].
pub fn default_difference(own: &Clusters, other: &Clusters, level: Level) -> Estimate {
    paired_difference_skewed(own, other, level).expect("both have the same typists")
}

/// The pooled ratio with its interval. A method for proportions alone gives way to the linearised one
/// elsewhere; the estimate names the method that was used.
pub(crate) fn rate(clusters: &Clusters, inference: &Inference, seed: u64, info: &EstimandInfo) -> Estimate {
    use IntervalMethod as M;
    let level = inference.level;
    match inference.interval {
        M::Default => default_rate(clusters, level),
        M::KornGraubard if info.proportion => korn_graubard(clusters, DfAdjustment::Adjusted, level),
        M::Logit if info.proportion => ratio_logit(clusters, level),
        M::Percentile | M::Bca | M::Studentised => bootstrapped(clusters, inference, seed),
        _ => ratio(clusters, level),
    }
}

/// Resamples whole typists: the same ones for every policy, arm and estimand.
fn bootstrapped(clusters: &Clusters, inference: &Inference, seed: u64) -> Estimate {
    let (level, unit, n) = (inference.level, clusters.unit(), clusters.len());
    let mut rng = stream(seed, Purpose::Resampling, 0, 0);
    let plain = ratio(clusters, level);
    // Where there is no rate or no spread, resampling has nothing to add to what the plain method says.
    if plain.value.is_none() || plain.mcse.is_none() {
        return plain;
    }
    let done = match inference.interval {
        IntervalMethod::Studentised => {
            bootstrap_studentised(n, inference.resamples, level, unit, &mut rng, |at| studentised(clusters, at))
        }
        method => Resamples::draw(n, inference.resamples, &mut rng, |at| clusters.ratio_of(at)).map(|drawn| {
            match (method, ratio_jackknife(clusters)) {
                (IntervalMethod::Bca, Some(left_out)) => drawn.bca(&left_out, level, unit),
                _ => drawn.percentile(level, unit),
            }
        }),
    };
    match done {
        Ok(drawn) => Estimate { informative: plain.informative, ..drawn }.with_cautions(plain.cautions),
        Err(refused) => plain.because(&refused.to_string()),
    }
}

/// Ratio and linearised error of the clusters at some positions.
fn studentised(clusters: &Clusters, at: &[usize]) -> Option<(f64, f64)> {
    let (mut y, mut x, mut used) = (0.0, 0.0, 0.0);
    for &i in at {
        let size = clusters.denominators()[i];
        y += clusters.numerators()[i];
        x += size;
        used += f64::from(u8::from(size > 0.0));
    }
    if !(x > 0.0 && used > 1.0) {
        return None;
    }
    let rate = y / x;
    let squares: f64 = at
        .iter()
        .map(|&i| (clusters.numerators()[i] - rate * clusters.denominators()[i]) / x)
        .map(|residual| residual * residual)
        .sum();
    Some((rate, (squares * used / (used - 1.0)).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_study::ESTIMANDS;

    fn inference(interval: IntervalMethod) -> Inference {
        let (limits, margins) = (Vec::new(), Vec::new());
        Inference { level: Level::P95, versus: Vec::new(), interval, resamples: 500, limits, margins }
    }

    #[test]
    fn every_method_surrounds_the_rate_and_names_itself() {
        let pairs = [(3, 120), (0, 80), (7, 150), (2, 95), (1, 110), (5, 130), (2, 100), (4, 90)];
        let clusters = Clusters::counts("typist", pairs).unwrap();
        let mut methods = Vec::new();
        for (name, method) in IntervalMethod::NAMES {
            let estimate = rate(&clusters, &inference(method), 1, &ESTIMANDS[0]);
            let value = estimate.value.unwrap();
            assert!((value - 24.0 / 875.0).abs() < 1e-12, "{name}");
            assert!(estimate.interval().is_some_and(|i| i.contains(value) && i.width() > 0.0), "{name}");
            assert_eq!(estimate.cautions[0].name(), "few_clusters", "{name}");
            methods.push(estimate.method);
        }
        methods.sort();
        methods.dedup();
        assert_eq!(methods.len(), IntervalMethod::NAMES.len(), "{methods:?}");
    }

    #[test]
    fn the_studentised_error_is_the_linearised_one() {
        let clusters = Clusters::counts("typist", [(3, 120), (0, 80), (7, 150), (2, 95)]).unwrap();
        let (value, error) = studentised(&clusters, &[0, 1, 2, 3]).unwrap();
        let plain = ratio(&clusters, Level::P95);
        assert!((value - plain.value.unwrap()).abs() < 1e-15 && (error - plain.mcse.unwrap()).abs() < 1e-15);
    }

    #[test]
    fn no_opportunities_stay_unknown_under_every_method() {
        let clusters = Clusters::counts("typist", [(0, 0), (0, 0), (0, 0)]).unwrap();
        for (name, method) in IntervalMethod::NAMES {
            let estimate = rate(&clusters, &inference(method), 1, &ESTIMANDS[0]);
            assert!(estimate.value.is_none() && estimate.reason.is_some(), "{name}");
        }
    }
}
