//! Our distributions against statrs, where statrs is sound: moderate arguments only.
//!
//! At extremes statrs is off or does not return (`Beta(3, 9999998).inverse_cdf(.025)`, `Binomial(.5, 1e8).cdf`),
//! which is why the intervals stand on functions of our own; SciPy fixtures cover those extremes.

use agogic_stats::{Level, StudentT, Trials, binomial_lower, clopper_pearson, normal_lower, normal_quantile};
use approx::assert_relative_eq;
use statrs::distribution::{Beta, Binomial, ContinuousCDF, DiscreteCDF, Normal, StudentsT};

#[test]
fn the_normal_agrees_with_statrs() {
    let normal = Normal::new(0.0, 1.0).unwrap();
    for i in -40..=40 {
        let z = f64::from(i) / 10.0;
        assert_relative_eq!(normal_lower(z), normal.cdf(z), max_relative = 1e-9);
        let p = normal_lower(z);
        assert_relative_eq!(normal_quantile(p), normal.inverse_cdf(p), max_relative = 1e-8, epsilon = 1e-9);
    }
}

#[test]
fn student_t_agrees_with_statrs() {
    for df in [1.0, 2.0, 5.0, 15.0, 100.0] {
        let (ours, theirs) = (StudentT::new(df).unwrap(), StudentsT::new(0.0, 1.0, df).unwrap());
        for t in [-3.0, -1.0, -0.2, 0.5, 2.5] {
            assert_relative_eq!(ours.lower(t), theirs.cdf(t), max_relative = 1e-8);
        }
    }
}

#[test]
fn binomial_sums_and_exact_intervals_agree_with_statrs() {
    for (x, n, p) in [(3_u64, 20_u64, 0.2), (15, 148, 0.1), (81, 263, 0.3)] {
        let trials = Trials::new(x, n).unwrap();
        assert_relative_eq!(binomial_lower(trials, p), Binomial::new(p, n).unwrap().cdf(x), max_relative = 1e-8);
        let exact = clopper_pearson(trials, Level::P95);
        let quantile = |a: u64, b: u64, at: f64| Beta::new(a as f64, b as f64).unwrap().inverse_cdf(at);
        assert_relative_eq!(exact.lo, quantile(x, n - x + 1, 0.025), max_relative = 1e-6);
        assert_relative_eq!(exact.hi, quantile(x + 1, n - x, 0.975), max_relative = 1e-6);
    }
}
