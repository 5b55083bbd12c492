//! Known answers for variance components, beta-binomials and simulation errors.

mod stats_fixture;

use agogic_stats::mcse::{
    bias, coverage, empirical_error, mean_squared_error, model_error, precision_gain, relative_error,
    replicates_for_coverage,
};
use agogic_stats::{
    BetaBinomial, Clusters, Level, Trials, design_effect, quantile_interval, share_at_most, variance_components,
    variance_components_of,
};
use stats_fixture::{close, list, number, numbers, printed, section};

/// Weil (1970), Food and Cosmetics Toxicology 8:177. Status of the data: from
/// memory.
const CONTROL: &str = "13/13 12/12 9/9 9/9 8/8 8/8 12/13 11/12 9/10 9/10 8/9 11/13 4/5 5/7 7/10 7/10";
const TREATED: &str = "12/12 11/11 10/10 9/9 10/11 9/10 9/10 8/9 8/9 4/5 7/9 4/7 5/10 3/6 3/10 0/7";

fn litters(counts: &str) -> Clusters {
    let pairs = counts.split_whitespace().map(|pair| {
        let (alive, pups) = pair.split_once('/').unwrap();
        (alive.parse().unwrap(), pups.parse().unwrap())
    });
    Clusters::counts("litter", pairs).unwrap()
}

/// Status: computed.
#[test]
fn litters_split_their_variance() {
    for (data, effect, icc, alpha, beta) in
        [(CONTROL, 1.23249539, 0.02909139, 43.5641, 4.94956), (TREATED, 3.95286063, 0.37213481, 1.591195, 0.559048)]
    {
        let clusters = litters(data);
        printed(design_effect(&clusters).unwrap(), effect, 8, "design effect");
        printed(variance_components(&clusters).unwrap().icc().unwrap(), icc, 8, "intracluster correlation");
        let fit = BetaBinomial::fit(&clusters).unwrap().distribution;
        // Cut, not rounded, and the flat top of the likelihood moves the last digit.
        close(fit.alpha(), alpha, 5e-6, "α");
        close(fit.beta(), beta, 5e-6, "β");
    }
}

#[test]
fn beta_binomial_as_scipy() {
    let section = section("beta_binomial");
    for (row, data) in list(&section).iter().zip([CONTROL, TREATED]) {
        let fit = BetaBinomial::fit(&litters(data)).unwrap();
        close(fit.log_likelihood, number(&row["log_likelihood"]), 1e-12, "likelihood");
        let [alpha, beta] = numbers(&row["parameters"])[..] else { panic!("two parameters") };
        close(fit.distribution.alpha(), alpha, 1e-5, "α");
        close(fit.distribution.beta(), beta, 1e-5, "β");
        for (found, expected) in fit.standard_errors.unwrap().iter().zip(numbers(&row["errors"])) {
            close(*found, expected, 1e-3, "standard error");
        }
    }
}

/// Snedecor & Cochran (1989), Statistical Methods, section 13.3: calcium in
/// turnip leaves; MSC .2961, MSW .0066, variance between leaves .0724. Status:
/// from memory.
#[test]
fn turnip_leaves() {
    let leaves = [
        vec![3.28, 3.09, 3.03, 3.03],
        vec![3.52, 3.48, 3.38, 3.38],
        vec![2.88, 2.80, 2.81, 2.76],
        vec![3.34, 3.38, 3.23, 3.26],
    ];
    let parts = variance_components_of(&leaves).unwrap();
    printed(parts.mean_square_between, 0.2961, 4, "mean square between");
    printed(parts.within(), 0.0066, 4, "mean square within");
    printed(parts.between(), 0.0724, 4, "variance between");
}

/// Morris, White & Crowther (2019), Statistics in Medicine 38:2074, Table 6.
/// Status: computed from its formulas.
#[test]
fn errors_of_a_simulation() {
    let estimates = [1.2, 0.8, 1.1, 0.9, 1.3];
    let errors = [0.2, 0.25, 0.2, 0.3, 0.2];
    let found = bias(&estimates, 1.0, Level::P95).unwrap();
    printed(found.value.unwrap(), 0.06, 12, "bias");
    printed(found.mcse.unwrap(), 0.0927362, 7, "error of the bias");
    let found = empirical_error(&estimates, Level::P95).unwrap();
    printed(found.value.unwrap(), 0.2073644, 7, "empirical error");
    printed(found.mcse.unwrap(), 0.0733144, 7, "error of the empirical error");
    // Squares .04 .04 .01 .01 .09: mean .038, SD √(.00428/4).
    let found = mean_squared_error(&estimates, 1.0, Level::P95).unwrap();
    printed(found.value.unwrap(), 0.038, 12, "mean squared error");
    close(found.mcse.unwrap(), (0.00428f64 / 20.0).sqrt(), 1e-12, "error of it");
    // Variances .04 .0625 .04 .09 .04: mean .0545, variance .001955/4.
    let found = model_error(&errors, Level::P95).unwrap();
    close(found.value.unwrap(), 0.0545f64.sqrt(), 1e-14, "model error");
    let spread = 0.001_955f64 / 4.0;
    close(found.mcse.unwrap(), (spread / (20.0 * 0.0545)).sqrt(), 1e-12, "error of the model error");
    let quotient = (0.0545f64 / 0.043).sqrt();
    let found = relative_error(&estimates, &errors, Level::P95).unwrap();
    close(found.value.unwrap(), quotient - 1.0, 1e-12, "relative error");
    let known = quotient * (spread / (20.0 * 0.0545f64.powi(2)) + 1.0 / 8.0).sqrt();
    close(found.mcse.unwrap(), known, 1e-12, "error of the relative error");
    let half: Vec<f64> = estimates.iter().map(|e| 0.5 * e).collect();
    let found = precision_gain(&estimates, &half, Level::P95).unwrap();
    close(found.value.unwrap(), 3.0, 1e-12, "gain in precision");
    assert_eq!(replicates_for_coverage(0.95, 0.005), Ok(1900));
    assert_eq!(coverage(Trials::new(1900, 1900).unwrap(), Level::P95).mcse, None);
}

/// Sixteen values: the 9th and the 15th hold the upper quartile with confidence
/// .9365 − .0271, the 9th and the 16th with .9900 − .0271 (sums of binomial
/// terms). Status: computed.
#[test]
fn quantiles_and_shares_of_units() {
    let values = [46.9, 47.2, 49.1, 56.5, 56.8, 59.2, 59.9, 63.2, 63.3, 63.4, 63.7, 64.1, 67.1, 67.7, 73.3, 78.5];
    for (confidence, hi) in [(0.87, 73.3), (0.88, 78.5)] {
        let level = Level::new(confidence).unwrap();
        let quartile = quantile_interval(&values, 0.75, level, "tube").unwrap();
        assert_eq!((quartile.lo, quartile.hi), (Some(63.3), Some(hi)));
    }
    let share = share_at_most(&values, 60.0, Level::P95, "tube").unwrap();
    assert_eq!(share.value, Some(7.0 / 16.0));
}
