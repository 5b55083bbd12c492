//! Known answers for variance components, beta-binomials and simulation errors.

use crate::stats_fixture::{close, list, number, numbers, printed, section};
use agogic_stats::mcse::coverage;
use agogic_stats::{
    BetaBinomial, Clusters, Level, Trials, design_effect, quantile_interval, share_at_most, variance_components,
};

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
    for (data, effect, icc) in [(CONTROL, 1.23249539, 0.02909139), (TREATED, 3.95286063, 0.37213481)] {
        let clusters = litters(data);
        printed(design_effect(&clusters).unwrap(), effect, 8, "design effect");
        printed(variance_components(&clusters).unwrap().icc().unwrap(), icc, 8, "intracluster correlation");
    }
}

/// The likelihood of the litters under the parameters that SciPy fitted to them.
#[test]
fn beta_binomial_as_scipy() {
    let section = section("beta_binomial");
    for (row, data) in list(&section).iter().zip([CONTROL, TREATED]) {
        let [alpha, beta] = numbers(&row["parameters"])[..] else { panic!("two parameters") };
        let law = BetaBinomial::new(alpha, beta).unwrap();
        let clusters = litters(data);
        let pairs = clusters.numerators().iter().zip(clusters.denominators());
        let found: f64 = pairs.map(|(&y, &n)| law.ln_mass(y as u64, n as u64)).sum();
        close(found, number(&row["log_likelihood"]), 1e-12, "likelihood");
    }
}

/// Morris, White & Crowther (2019), Statistics in Medicine 38:2074, Table 6: the error of a coverage. 1900 replicates make
/// it half a percentage point at 95 %. Status: computed from its formula.
#[test]
fn errors_of_a_simulated_coverage() {
    let error = coverage(Trials::new(1805, 1900).unwrap(), Level::P95).mcse.unwrap();
    close(error, 0.005, 1e-12, "error of a coverage");
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
