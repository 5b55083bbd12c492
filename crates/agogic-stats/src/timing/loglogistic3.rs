//! The three-parameter log-logistic distribution.

use std::f64::consts::PI;

use rand::Rng;

use super::{Continuous, Fit, TimingError, finite, positive, sample};
use crate::optimum::{minimise, minimise_from};
use crate::uniform::open_unit;

/// A shift δ plus a log-logistic time with scale α and shape β.
///
/// # Definition
/// F(x) = 1/(1 + y⁻ᵝ) with y = (x − δ)/α, for x > δ. The median is δ + α.
///
/// # Units
/// δ and α are times; β has none.
///
/// # Undefined
/// No mean for β ≤ 1 and no variance for β ≤ 2.
///
/// # Source
/// Johnson, Kotz & Balakrishnan (1995), Continuous Univariate Distributions 2,
/// section 23.10, with a shift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogLogistic3 {
    shift: f64,
    scale: f64,
    shape: f64,
}

impl LogLogistic3 {
    /// Makes a distribution with δ = `shift`, α = `scale` and β = `shape`.
    ///
    /// # Errors
    /// δ not finite, or α or β not positive and finite.
    pub fn new(shift: f64, scale: f64, shape: f64) -> Result<Self, TimingError> {
        let shift = finite("shift", shift)?;
        Ok(LogLogistic3 { shift, scale: positive("scale", scale)?, shape: positive("shape", shape)? })
    }

    /// δ, the lower end.
    pub fn shift(&self) -> f64 {
        self.shift
    }

    /// α, the median above the shift.
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// β; larger is narrower.
    pub fn shape(&self) -> f64 {
        self.shape
    }

    /// Fits all three parameters by maximum likelihood.
    ///
    /// # Definition
    /// The greatest likelihood with β > 1 and δ below the least value. With
    /// β ≤ 1 the likelihood grows without bound as δ nears the least value.
    /// Standard errors come from the curvature at the maximum.
    ///
    /// # Undefined
    /// Standard errors are `None` for β ≤ 2, where they do not shrink as 1/√n.
    ///
    /// # Errors
    /// Fewer than four values, all the same, or a sample no more skewed than a
    /// logistic, for which δ runs to −∞; then use
    /// [`LogLogistic3::fit_with_shift`].
    ///
    /// # Source
    /// Smith (1985), Biometrika 72:67, on likelihoods with an unknown end point.
    pub fn fit(values: &[f64]) -> Result<Fit<Self>, TimingError> {
        sample::check(values, 4)?;
        let mut sorted = values.to_vec();
        sorted.sort_unstable_by(f64::total_cmp);
        let least = sorted[0];
        // Coarse clocks can make the least value the median too.
        let (_, sd) = sample::mean_and_sd(values.iter().copied());
        let unit = libm::fmax(sorted[sorted.len() / 2] - least, 0.1 * sd);
        let member = |&[w, a, b]: &[f64; 3]| {
            LogLogistic3::new(least - unit * libm::exp(w), unit * libm::exp(a), libm::exp(b)).ok()
        };
        let cost = |point: &[f64; 3]| match member(point) {
            Some(m) if m.shape > 1.0 && point[0] < FAR => -sample::log_likelihood(&m, values),
            _ => f64::INFINITY,
        };
        let start = |w: f64| {
            let above = |x: f64| libm::log((x - least) / unit + libm::exp(w));
            let (center, spread) = sample::mean_and_sd(values.iter().map(|&x| above(x)));
            // The SD of a logistic is π/√3 times its scale.
            [w, center, libm::log(libm::fmax(PI / (libm::sqrt(3.0) * spread), 1.1))]
        };
        let best = minimise_from(&[-4.0, -2.0, -0.5, 0.5, 2.0, 3.5].map(start), cost)
            .ok_or(TimingError::NoMaximum("no shift below the least value gives a shape above 1"))?;
        if best.at[0] > FAR - 0.5 {
            return Err(TimingError::NoMaximum(
                "the values must be more skewed than a logistic, or the shift be given",
            ));
        }
        let member = LogLogistic3::new(
            least - unit * libm::exp(best.at[0]),
            unit * libm::exp(best.at[1]),
            libm::exp(best.at[2]),
        )?;
        let slopes = [least - member.shift, member.scale, member.shape];
        let errors = best.covariance.filter(|_| member.shape > 2.0);
        let errors = errors.map(|c| (0..3).map(|i| slopes[i] * libm::sqrt(c[i][i])).collect());
        Ok(Fit::of(member, errors, values))
    }

    /// Fits scale and shape by maximum likelihood, for a known shift.
    ///
    /// # Shape
    /// Two standard errors: of the scale and of the shape. The number of
    /// parameters that [`Fit::aic`] counts is still three.
    ///
    /// # Errors
    /// Fewer than two values, one not above the shift, or all the same.
    pub fn fit_with_shift(values: &[f64], shift: f64) -> Result<Fit<Self>, TimingError> {
        let shift = finite("shift", shift)?;
        sample::check(values, 2)?;
        if let Some((index, &value)) = values.iter().enumerate().find(|(_, v)| **v <= shift) {
            return Err(TimingError::Value { index, value, wanted: "above the shift" });
        }
        let (center, spread) = sample::mean_and_sd(values.iter().map(|&x| libm::log(x - shift)));
        let member = |&[a, b]: &[f64; 2]| {
            LogLogistic3::new(shift, libm::exp(center + spread * a), PI / (libm::sqrt(3.0) * spread) * libm::exp(b))
        };
        let best =
            minimise([0.0, 0.0], |point| member(point).map_or(f64::INFINITY, |m| -sample::log_likelihood(&m, values)));
        let member = member(&best.at)?;
        let slopes = [member.scale * spread, member.shape];
        let errors = best.covariance.map(|c| (0..2).map(|i| slopes[i] * libm::sqrt(c[i][i])).collect());
        Ok(Fit::of(member, errors, values))
    }

    /// β ln((x − δ)/α), the logit of F.
    fn logit(&self, x: f64) -> f64 {
        self.shape * libm::log((x - self.shift) / self.scale)
    }
}

/// Beyond e⁵ times the distance from the least value to the median, the shift no
/// longer matters: the distribution is a logistic in all but name.
const FAR: f64 = 5.0;

impl Continuous for LogLogistic3 {
    fn parameters(&self) -> Vec<(&'static str, f64)> {
        vec![("shift", self.shift), ("scale", self.scale), ("shape", self.shape)]
    }

    fn ln_pdf(&self, x: f64) -> f64 {
        if x <= self.shift {
            return f64::NEG_INFINITY;
        }
        let u = self.logit(x);
        // ln(F(1 − F)) = −|u| − 2 ln(1 + e^−|u|), whichever tail is the smaller.
        let tails = -u.abs() - 2.0 * libm::log1p(libm::exp(-u.abs()));
        libm::log(self.shape) - libm::log(x - self.shift) + tails
    }

    fn cdf(&self, x: f64) -> f64 {
        if x <= self.shift { 0.0 } else { 1.0 / (1.0 + libm::exp(-self.logit(x))) }
    }

    fn upper(&self, x: f64) -> f64 {
        if x <= self.shift { 1.0 } else { 1.0 / (1.0 + libm::exp(self.logit(x))) }
    }

    fn quantile(&self, p: f64) -> f64 {
        if !(p > 0.0 && p < 1.0) {
            return f64::NAN;
        }
        self.shift + self.scale * libm::exp((libm::log(p) - libm::log1p(-p)) / self.shape)
    }

    fn mean(&self) -> Option<f64> {
        let b = PI / self.shape;
        (self.shape > 1.0).then(|| self.shift + self.scale * b / libm::sin(b))
    }

    fn variance(&self) -> Option<f64> {
        let b = PI / self.shape;
        let mean = b / libm::sin(b);
        (self.shape > 2.0).then(|| self.scale * self.scale * (2.0 * b / libm::sin(2.0 * b) - mean * mean))
    }

    fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> f64 {
        self.quantile(open_unit(rng))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_only_where_they_exist() {
        let at = |shape| LogLogistic3::new(3.0, 2.0, shape).unwrap();
        assert_eq!((at(1.0).mean(), at(2.0).variance()), (None, None));
        assert!(at(1.5).mean().is_some() && at(1.5).variance().is_none());
        // β = 2: mean α(π/2).
        assert!((at(2.0).mean().unwrap() - 3.0 - PI).abs() < 1e-14);
    }

    #[test]
    fn outside_the_support_and_in_both_tails() {
        let d = LogLogistic3::new(50.0, 40.0, 5.0).unwrap();
        assert_eq!((d.pdf(50.0), d.cdf(20.0), d.upper(20.0)), (0.0, 0.0, 1.0));
        assert_eq!(d.median(), 90.0);
        assert!(d.pdf(50.0 + 1e-100) >= 0.0 && d.pdf(1e300) >= 0.0);
        assert!(d.quantile(1.0).is_nan());
        assert!(LogLogistic3::new(0.0, 1.0, f64::NAN).is_err());
    }

    #[test]
    fn fits_without_a_maximum_say_so() {
        // Symmetric values: the shift would run away.
        let symmetric: Vec<f64> = (-20..=20).map(f64::from).collect();
        assert!(matches!(LogLogistic3::fit(&symmetric), Err(TimingError::NoMaximum(_))));
        assert!(LogLogistic3::fit_with_shift(&symmetric, -30.0).is_ok());
        assert!(LogLogistic3::fit_with_shift(&symmetric, 0.0).is_err());
    }
}
