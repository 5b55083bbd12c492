//! Known answers for the distributions of times and their fits.

use crate::stats_fixture::{close, list, number, numbers, printed, rows, section};
use agogic_stats::special::{digamma, trigamma};
use agogic_stats::timing::{
    Continuous, ExGaussian, Family, Gamma, LogLogistic3, LogNormal, Member, TimingError, Weibull,
};

fn member(family: &str, parameters: &[f64]) -> Result<Member, TimingError> {
    Ok(match (family, parameters) {
        ("log-normal", &[mu, sigma]) => Member::LogNormal(LogNormal::new(mu, sigma)?),
        ("log-logistic", &[shift, scale, shape]) => Member::LogLogistic(LogLogistic3::new(shift, scale, shape)?),
        ("gamma", &[shape, scale]) => Member::Gamma(Gamma::new(shape, scale)?),
        ("ex-gaussian", &[mu, sigma, tau]) => Member::ExGaussian(ExGaussian::new(mu, sigma, tau)?),
        ("weibull", &[shape, scale]) => Member::Weibull(Weibull::new(shape, scale)?),
        other => panic!("unknown family {other:?}"),
    })
}

/// Closed forms. Status: computed.
#[test]
fn moments_and_tails_by_closed_form() {
    let log_normal = LogNormal::new(4.5, 0.4).unwrap();
    printed(log_normal.mean().unwrap(), 97.514394207, 9, "log-normal mean");
    printed(log_normal.variance().unwrap(), 1649.924775840, 9, "log-normal variance");

    let ex_gaussian = ExGaussian::new(80.0, 12.0, 30.0).unwrap();
    assert_eq!((ex_gaussian.mean(), ex_gaussian.variance()), (Some(110.0), Some(1044.0)));
    printed(ex_gaussian.skewness(), 1.600821881, 9, "ex-Gaussian skewness");
    printed(ex_gaussian.cdf(100.0), 0.4531161167, 10, "ex-Gaussian cdf");
    printed(ex_gaussian.quantile(0.95), 172.2719682, 7, "ex-Gaussian 95 % point");

    let log_logistic = LogLogistic3::new(0.0, 100.0, 5.0).unwrap();
    printed(log_logistic.mean().unwrap(), 106.8959332, 7, "log-logistic mean");
    printed(log_logistic.variance().unwrap(), 1786.3234596, 7, "log-logistic variance");
    printed(log_logistic.cdf(120.0), 0.7133290524, 10, "log-logistic cdf");
    printed(log_logistic.quantile(0.95), 180.1983127, 7, "log-logistic 95 % point");

    let weibull = Weibull::new(2.0, 100.0).unwrap();
    printed(weibull.mean().unwrap(), 88.62269255, 8, "Weibull mean");
    printed(weibull.variance().unwrap(), 2146.018366, 6, "Weibull variance");
}

#[test]
fn densities_tails_and_quantiles_as_scipy() {
    let section = section("timing");
    for row in list(&section) {
        let family = row["family"].as_str().unwrap();
        let d = member(family, &numbers(&row["parameters"])).unwrap();
        let what = format!("{d:?}");
        close(d.mean().unwrap(), number(&row["mean"]), 1e-12, &format!("mean of {what}"));
        close(d.variance().unwrap(), number(&row["variance"]), 1e-10, &format!("variance of {what}"));
        for point in list(&row["points"]) {
            let [x, ln_pdf, cdf, upper] = numbers(point)[..] else { panic!("a row of four") };
            let error = (d.ln_pdf(x) - ln_pdf).abs();
            assert!(error < 1e-9 * ln_pdf.abs().max(1.0), "log density of {what} at {x}: {} {ln_pdf}", d.ln_pdf(x));
            close(d.cdf(x), cdf, 1e-9, &format!("cdf of {what} at {x}"));
            close(d.upper(x), upper, 1e-9, &format!("tail of {what} at {x}"));
            close(d.quantile(cdf), x, 1e-9, &format!("quantile of {what} at {cdf}"));
        }
    }
}

/// Parameters of the maximum are determined to about the root of the rounding in
/// the likelihood; the likelihood itself to many more digits.
#[test]
fn fits_as_scipy() {
    let section = section("timing_fits");
    let sample = numbers(&section["sample"]);
    for row in list(&section["fits"]) {
        let name = row["family"].as_str().unwrap();
        let family: Family = serde_json::from_value(row["family"].clone()).unwrap();
        let fit = family.fit(&sample).unwrap();
        close(fit.log_likelihood, number(&row["log_likelihood"]), 1e-12, &format!("likelihood of {name}"));
        for ((parameter, found), expected) in fit.member.parameters().iter().zip(numbers(&row["parameters"])) {
            close(*found, expected, 1e-6, &format!("{parameter} of {name}"));
        }
        let errors = fit.standard_errors.as_ref().expect("standard errors");
        if row["errors"].is_array() {
            for (found, expected) in errors.iter().zip(numbers(&row["errors"])) {
                close(*found, expected, 2e-4, &format!("standard error of {name}"));
            }
        }
        let parameters = fit.member.parameters().len();
        assert_eq!(errors.len(), parameters);
        close(fit.aic(), 2.0 * parameters as f64 - 2.0 * fit.log_likelihood, 1e-15, "AIC");
    }
}

#[test]
fn polygamma_as_scipy() {
    for row in rows("polygamma") {
        let [x, first, second] = row[..] else { panic!("a row of three") };
        close(digamma(x), first, 1e-13, &format!("digamma {x}"));
        close(trigamma(x), second, 1e-13, &format!("trigamma {x}"));
    }
}
