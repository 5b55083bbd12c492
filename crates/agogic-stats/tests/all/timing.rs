//! Draws from the families of times have the distribution they claim, and fits
//! find the parameters again.
//!
//! n = 20 000 draws for each Kolmogorov–Smirnov test, α = 10⁻⁶ per assertion,
//! fixed seeds, no retries. Each gate is shown to reject the family next to it.

use agogic_stats::timing::{Continuous, Family, Gamma, LogLogistic3, Member};
use agogic_stats::{kolmogorov_smirnov, quantile, standard_deviation};
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;

const ALPHA: f64 = 1e-6;

/// Two-sided standard normal critical value at α = 10⁻⁶.
const Z: f64 = 4.891_638;

const MEDIAN: f64 = 120.0;
const SPREAD: f64 = 0.35;

fn draws(member: &Member, n: usize, seed: u64) -> Vec<f64> {
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    (0..n).map(|_| member.sample(&mut rng)).collect()
}

fn member(family: Family) -> Member {
    family.with_median_and_log_sd(MEDIAN, SPREAD).unwrap()
}

#[test]
fn draws_follow_their_family_and_no_other() {
    for (i, family) in Family::ALL.into_iter().enumerate() {
        let values = draws(&member(family), 20_000, 200 + i as u64);
        for other in Family::ALL {
            let d = member(other);
            let p = kolmogorov_smirnov(&values, |x| d.cdf(x)).unwrap().p_value;
            // All families share the median, so some others are close by.
            if other == family {
                assert!(p > ALPHA, "{family:?}: p = {p}");
            } else if gap(&member(family), &d) > 0.03 {
                assert!(p < ALPHA, "{family:?} passes for {other:?}: p = {p}");
            }
        }
    }
}

/// Greatest distance of two distribution functions, on a grid of quantiles.
fn gap(a: &Member, b: &Member) -> f64 {
    (1..1000).map(|i| f64::from(i) / 1000.0).map(|p| (b.cdf(a.quantile(p)) - p).abs()).fold(0.0, f64::max)
}

#[test]
fn every_family_has_a_neighbour_that_the_gate_rejects() {
    for family in Family::ALL {
        assert!(Family::ALL.iter().any(|other| gap(&member(family), &member(*other)) > 0.03), "{family:?}");
    }
}

/// Shapes below 1 take another path through the gamma sampler.
#[test]
fn a_gamma_of_small_shape() {
    let d = Member::Gamma(Gamma::new(0.35, 40.0).unwrap());
    let values = draws(&d, 20_000, 210);
    assert!(kolmogorov_smirnov(&values, |x| d.cdf(x)).unwrap().p_value > ALPHA);
    let wrong = Member::Gamma(Gamma::new(0.40, 35.0).unwrap());
    assert!(kolmogorov_smirnov(&values, |x| wrong.cdf(x)).unwrap().p_value < ALPHA);
}

/// n = 4000; estimates must lie within z standard errors of the truth.
#[test]
fn fits_find_the_parameters_again() {
    for (i, family) in Family::ALL.into_iter().enumerate() {
        let truth = member(family);
        let fit = family.fit(&draws(&truth, 4000, 220 + i as u64)).unwrap();
        let errors = fit.standard_errors.clone().unwrap();
        for (((name, found), (_, known)), error) in
            fit.member.parameters().into_iter().zip(truth.parameters()).zip(errors)
        {
            assert!((found - known).abs() < Z * error, "{family:?} {name}: {found} ± {error}, truth {known}");
        }
    }
}

/// The standard errors are those of the estimates: 200 fits of n = 400 for each
/// family. The SD over fits has a relative error of √((κ − 1)/800); a kurtosis κ
/// of 4 is allowed for. Logarithms of scales and shapes are taken, since they
/// are nearer to normal.
#[test]
fn standard_errors_match_the_spread_of_fits() {
    const FITS: u64 = 200;
    let shifted = Member::LogLogistic(LogLogistic3::new(60.0, 60.0, 2.6).unwrap());
    let rest = [Family::LogNormal, Family::Gamma, Family::ExGaussian, Family::Weibull].map(member);
    for (i, truth) in [shifted].into_iter().chain(rest).enumerate() {
        let count = truth.parameters().len();
        let (mut found, mut claimed) = (vec![Vec::new(); count], vec![Vec::new(); count]);
        for seed in 0..FITS {
            let fit = truth.family().fit(&draws(&truth, 400, 10_000 * (i as u64 + 1) + seed)).unwrap();
            // A fitted shape at or below 2 claims no errors.
            let Some(errors) = &fit.standard_errors else { continue };
            for (j, (_, value)) in fit.member.parameters().into_iter().enumerate() {
                let on_log = j > 0;
                found[j].push(if on_log { value.ln() } else { value });
                claimed[j].push(if on_log { errors[j] / value } else { errors[j] });
            }
        }
        for j in 0..count {
            assert!(found[j].len() as u64 > FITS * 9 / 10, "{truth:?}: {} fits with errors", found[j].len());
            let spread = standard_deviation(&found[j]).unwrap();
            let ratio = quantile(&claimed[j], 0.5).unwrap() / spread;
            let allowed = Z * (3.0 / (4.0 * FITS as f64)).sqrt();
            assert!((ratio - 1.0).abs() < allowed, "{truth:?} parameter {j}: {ratio}");
        }
    }
}
