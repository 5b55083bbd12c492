//! The five families under one name.

use std::f64::consts::{LN_2, PI};

use rand::Rng;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::{Continuous, ExGaussian, Fit, Gamma, LogLogistic3, LogNormal, TimingError, Weibull, positive};
use crate::special::search::increasing_root;
use crate::special::{gamma_quantile, trigamma};

/// Largest share of the SD that the exponential part of an ex-Gaussian is given.
/// At 1 nothing normal would be left.
const EXPONENTIAL_AT_MOST: f64 = 0.95;

/// Which distribution a time follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// [`LogNormal`].
    LogNormal,
    /// [`LogLogistic3`].
    LogLogistic,
    /// [`Gamma`].
    Gamma,
    /// [`ExGaussian`].
    ExGaussian,
    /// [`Weibull`].
    Weibull,
}

/// The name of a family was not understood.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("there is no family of distributions `{given}`; families: {}", Family::ALL.map(Family::name).join(", "))]
pub struct UnknownFamily {
    /// What was given.
    pub given: String,
}

impl std::str::FromStr for Family {
    type Err = UnknownFamily;

    /// Reads the name that [`Family::name`] gives.
    fn from_str(text: &str) -> Result<Self, UnknownFamily> {
        let found = Self::ALL.into_iter().find(|family| family.name() == text);
        found.ok_or_else(|| UnknownFamily { given: text.to_owned() })
    }
}

impl std::fmt::Display for Family {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self.name())
    }
}

impl Family {
    /// Every family, in the order of their definition.
    pub const ALL: [Family; 5] =
        [Family::LogNormal, Family::LogLogistic, Family::Gamma, Family::ExGaussian, Family::Weibull];

    /// Its name in files, the same as in serialised form.
    pub const fn name(self) -> &'static str {
        match self {
            Family::LogNormal => "log-normal",
            Family::LogLogistic => "log-logistic",
            Family::Gamma => "gamma",
            Family::ExGaussian => "ex-gaussian",
            Family::Weibull => "weibull",
        }
    }

    /// The member with a given median and a given SD of the logarithm.
    ///
    /// # Definition
    /// With median m and spread s:
    /// - log-normal: μ = ln m, σ = s;
    /// - log-logistic: δ = 0, α = m, β = π/(s√3);
    /// - gamma: ψ′(k) = s², θ = m divided by the median at scale 1;
    /// - Weibull: k = π/(s√6), λ = m/(ln 2)^(1/k);
    /// - ex-Gaussian, whose logarithm is not defined: the median m, the SD of
    ///   that log-normal, and its skewness as far as the family reaches, with
    ///   τ at most .95 of the SD.
    ///
    /// # Errors
    /// A median or spread that is not positive and finite, or so extreme that a
    /// parameter is not finite.
    pub fn with_median_and_log_sd(self, median: f64, log_sd: f64) -> Result<Member, TimingError> {
        let median = positive("median", median)?;
        let spread = positive("SD of the logarithm", log_sd)?;
        let same = LogNormal::new(libm::log(median), spread)?;
        Ok(match self {
            Family::LogNormal => Member::LogNormal(same),
            Family::LogLogistic => {
                Member::LogLogistic(LogLogistic3::new(0.0, median, PI / (spread * libm::sqrt(3.0)))?)
            }
            Family::Gamma => {
                let square = spread * spread;
                // ψ′ falls, from 1/k² near 0 to 1/k far out.
                let start = -libm::log(libm::fmin(square, spread));
                let log_shape = increasing_root(start, |u| (square - trigamma(libm::exp(u)), f64::NAN));
                let shape = libm::exp(log_shape);
                Member::Gamma(Gamma::new(shape, median / gamma_quantile(shape, 0.5))?)
            }
            Family::Weibull => {
                let shape = PI / (spread * libm::sqrt(6.0));
                Member::Weibull(Weibull::new(shape, median / libm::pow(LN_2, 1.0 / shape))?)
            }
            Family::ExGaussian => {
                let growth = libm::exp(spread * spread);
                let skewness = (growth + 2.0) * libm::sqrt(libm::expm1(spread * spread));
                let sd = libm::sqrt(same.variance().unwrap_or(f64::NAN));
                let share = libm::fmin(libm::cbrt(0.5 * skewness), EXPONENTIAL_AT_MOST);
                let (sigma, tau) = (sd * libm::sqrt(1.0 - share * share), sd * share);
                let center = ExGaussian::new(0.0, sigma, tau)?.median();
                Member::ExGaussian(ExGaussian::new(median - center, sigma, tau)?)
            }
        })
    }

    /// Fits the family by maximum likelihood.
    ///
    /// # Errors
    /// As the `fit` of the distribution.
    pub fn fit(self, values: &[f64]) -> Result<Fit<Member>, TimingError> {
        fn wrap<T>(fit: Fit<T>, member: impl FnOnce(T) -> Member) -> Fit<Member> {
            let Fit { member: inner, standard_errors, log_likelihood, n } = fit;
            Fit { member: member(inner), standard_errors, log_likelihood, n }
        }
        Ok(match self {
            Family::LogNormal => wrap(LogNormal::fit(values)?, Member::LogNormal),
            Family::LogLogistic => wrap(LogLogistic3::fit(values)?, Member::LogLogistic),
            Family::Gamma => wrap(Gamma::fit(values)?, Member::Gamma),
            Family::ExGaussian => wrap(ExGaussian::fit(values)?, Member::ExGaussian),
            Family::Weibull => wrap(Weibull::fit(values)?, Member::Weibull),
        })
    }
}

/// A distribution of any of the families.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Member {
    /// A log-normal.
    LogNormal(LogNormal),
    /// A log-logistic, with or without shift.
    LogLogistic(LogLogistic3),
    /// A gamma.
    Gamma(Gamma),
    /// An ex-Gaussian.
    ExGaussian(ExGaussian),
    /// A Weibull.
    Weibull(Weibull),
}

impl Member {
    /// The family it belongs to.
    pub fn family(&self) -> Family {
        match self {
            Member::LogNormal(_) => Family::LogNormal,
            Member::LogLogistic(_) => Family::LogLogistic,
            Member::Gamma(_) => Family::Gamma,
            Member::ExGaussian(_) => Family::ExGaussian,
            Member::Weibull(_) => Family::Weibull,
        }
    }
}

/// Calls a method on whichever distribution is inside.
macro_rules! on_member {
    ($self:ident, $inner:ident => $call:expr) => {
        match $self {
            Member::LogNormal($inner) => $call,
            Member::LogLogistic($inner) => $call,
            Member::Gamma($inner) => $call,
            Member::ExGaussian($inner) => $call,
            Member::Weibull($inner) => $call,
        }
    };
}

impl Continuous for Member {
    fn parameters(&self) -> Vec<(&'static str, f64)> {
        on_member!(self, d => d.parameters())
    }

    fn ln_pdf(&self, x: f64) -> f64 {
        on_member!(self, d => d.ln_pdf(x))
    }

    fn cdf(&self, x: f64) -> f64 {
        on_member!(self, d => d.cdf(x))
    }

    fn upper(&self, x: f64) -> f64 {
        on_member!(self, d => d.upper(x))
    }

    fn quantile(&self, p: f64) -> f64 {
        on_member!(self, d => d.quantile(p))
    }

    fn mean(&self) -> Option<f64> {
        on_member!(self, d => d.mean())
    }

    fn variance(&self) -> Option<f64> {
        on_member!(self, d => d.variance())
    }

    fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> f64 {
        on_member!(self, d => d.sample(rng))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SD of ln X by the midpoint rule over the quantiles.
    fn log_sd(member: &Member) -> f64 {
        let n = 50_000;
        let logs = (0..n).map(|i| libm::log(member.quantile((f64::from(i) + 0.5) / f64::from(n))));
        super::super::sample::mean_and_sd(logs).1
    }

    #[test]
    fn every_family_has_the_median_and_the_spread() {
        for family in Family::ALL {
            for (median, spread) in [(90.0, 0.1), (150.0, 0.35), (238.7, 0.9)] {
                let member = family.with_median_and_log_sd(median, spread).unwrap();
                assert_eq!(member.family(), family);
                assert!((member.median() / median - 1.0).abs() < 1e-12, "{family:?} {}", member.median());
                if family != Family::ExGaussian {
                    // The rule misses the outermost 1/100 000 on each side.
                    let found = log_sd(&member);
                    assert!((found / spread - 1.0).abs() < 2e-3, "{family:?} {found} {spread}");
                }
            }
        }
    }

    #[test]
    fn the_ex_gaussian_has_the_variance_of_the_log_normal() {
        for spread in [0.05, 0.3, 1.2] {
            let of = |family: Family| family.with_median_and_log_sd(100.0, spread).unwrap().variance().unwrap();
            assert!((of(Family::ExGaussian) / of(Family::LogNormal) - 1.0).abs() < 1e-12, "{spread}");
        }
        let Member::ExGaussian(d) = Family::ExGaussian.with_median_and_log_sd(100.0, 0.3).unwrap() else {
            panic!("an ex-Gaussian")
        };
        // Skewness of the log-normal at σ = .3.
        let growth = 0.09f64.exp();
        assert!((d.skewness() - (growth + 2.0) * (growth - 1.0).sqrt()).abs() < 1e-12);
    }

    /// In other units the same fit, also on a coarse clock.
    #[test]
    fn fits_do_not_depend_on_the_unit() {
        let law = Family::LogNormal.with_median_and_log_sd(110.0, 0.4).unwrap();
        let values: Vec<f64> =
            (0..150).map(|i| (law.quantile((f64::from(i) + 0.5) / 150.0) / 8.0).round() * 8.0).collect();
        for family in Family::ALL {
            let fit = family.fit(&values).unwrap();
            for unit in [1e-3, 1e3] {
                let other = family.fit(&values.iter().map(|v| unit * v).collect::<Vec<_>>()).unwrap();
                let (here, there) = (fit.member.median(), other.member.median());
                assert!((there / (unit * here) - 1.0).abs() < 1e-6, "{family:?} {here} {there}");
                let shift = 150.0 * libm::log(unit);
                assert!((fit.log_likelihood - other.log_likelihood - shift).abs() < 1e-6, "{family:?}");
            }
        }
    }

    #[test]
    fn nonsense_is_refused() {
        for family in Family::ALL {
            for (median, spread) in [(0.0, 0.3), (90.0, 0.0), (f64::NAN, 0.3), (90.0, f64::INFINITY)] {
                assert!(family.with_median_and_log_sd(median, spread).is_err(), "{family:?}");
            }
            assert!(family.fit(&[1.0]).is_err());
        }
    }

    #[test]
    fn names_are_read_back() {
        for family in Family::ALL {
            assert_eq!(family.name().parse(), Ok(family));
            assert_eq!(serde_json::to_string(&family).unwrap(), format!("\"{family}\""));
        }
        let refused = "normal".parse::<Family>().unwrap_err();
        assert!(refused.to_string().contains("`normal`") && refused.to_string().contains("ex-gaussian"), "{refused}");
    }
}
