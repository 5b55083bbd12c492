//! How true rates differ between clusters, once the noise of few trials is taken out.

mod basis;
mod fit;

use thiserror::Error;

use crate::clusters::Clusters;
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use basis::POINTS;
use fit::{Fit, fit};

/// Why a distribution of true rates cannot be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum RateDistributionError {
    /// Too few clusters had trials.
    #[error("fewer than {least} units had an opportunity: {n} say too little of how true rates differ")]
    Few {
        /// Clusters with trials.
        n: usize,
        /// Clusters that are needed.
        least: usize,
    },
    /// Every trial of every cluster came out the same.
    #[error("no unit had both outcomes, so that nothing tells true rates apart")]
    OneOutcome,
    /// The likelihood has no maximum that was found.
    #[error("the distribution of true rates could not be fitted")]
    NoMaximum,
}

/// The distribution of true rates over clusters.
///
/// # Definition
/// Cluster i has a rate θᵢ drawn from a density g, and xᵢ events in nᵢ trials that are binomial with that rate. On a grid
/// of sixty points, even in logit θ, ln g is a constant and six shapes with coefficients α: a slope and a bow, which alone
/// make a normal density of the logit, and four natural splines. α has the greatest likelihood of all xᵢ less a ridge
/// that holds each of the four to a standard deviation that changes ln g by one in the mean square. With few clusters g is
/// therefore nearly normal in the logit, with many it takes the shape they show. The grid goes from the logit of a
/// twentieth of an event in the most trials of a cluster to half a unit above the greatest rate seen, (x + 3)/(n + 4).
///
/// Errors are those of α under the inverse of the penalised curvature: as a posterior, so that they count what the ridge
/// leaves open and not the noise alone. Limits of shares are Wilson's for as many clusters as would give such an error.
///
/// What the rates are of is what lies behind the trials: the share of clusters whose rate in the long run is at most a
/// limit, and not that of clusters whose events happen to be few. Trials of one cluster must be nearly independent given
/// its rate; where they come in bursts, g comes out too wide.
///
/// # Undefined
/// Below a rate of about an event in all trials of a cluster the shape of g rests on the penalty; an estimate says so, and
/// its interval can hold the truth less often (89 % in the worst cell of `SESSIONS.md`). A quantile in the first or
/// last cell of the grid is unknown.
///
/// # Source
/// Efron 2016, Empirical Bayes deconvolution estimates, Biometrika 103:1–20 (the family and the likelihood; his penalty
/// pulls towards an even g); Silverman 1982, Annals of Statistics 10:795–810 (a penalty whose limit is the normal density);
/// Wahba 1983, Journal of the Royal Statistical Society B 45:133–150 (posterior errors of smooth fits). All from memory but
/// for the title of the first. How well it recovers rates is in `SESSIONS.md` of `agogic-score`.
pub struct RateDistribution {
    /// The logits of the grid.
    logits: Vec<f64>,
    fit: Fit,
    n: u64,
    /// Trials of a cluster in the mean.
    trials: f64,
    unit: String,
}

/// Clusters with trials that are needed.
const LEAST: usize = 20;

/// Clusters that have to lie beyond a quantile: of forty typists 95 % limits of the rate that 90 or 95 % do not exceed hold it
/// in 79 to 92 % of studies, of a hundred in 90 to 94 %.
const BEYOND: f64 = 5.0;

/// Name of the method in estimates.
const METHOD: &str = "true rates, deconvolved (g-modelling)";

fn logit(p: f64) -> f64 {
    libm::log(p) - libm::log1p(-p)
}

fn expit(x: f64) -> f64 {
    1.0 / (1.0 + libm::exp(-x))
}

impl RateDistribution {
    /// The name that estimates give as their method.
    pub const METHOD: &'static str = METHOD;

    /// Fits the distribution of true rates to counts of events in trials. Clusters without trials are left out.
    ///
    /// # Errors
    /// Fewer than twenty clusters with trials; no cluster with both outcomes; no maximum.
    pub fn fit(clusters: &Clusters) -> Result<Self, RateDistributionError> {
        let counts: Vec<(f64, f64)> = clusters
            .numerators()
            .iter()
            .copied()
            .zip(clusters.denominators().iter().copied())
            .filter(|(_, n)| *n > 0.0)
            .collect();
        if counts.len() < LEAST {
            return Err(RateDistributionError::Few { n: counts.len(), least: LEAST });
        }
        let (events, trials) = clusters.totals();
        if events <= 0.0 || events >= trials {
            return Err(RateDistributionError::OneOutcome);
        }
        let most = counts.iter().map(|(_, n)| *n).fold(0.0, f64::max);
        let greatest = counts.iter().map(|(x, n)| (x + 3.0) / (n + 4.0)).fold(0.0, f64::max).min(0.999);
        let (from, to) = (logit((0.05 / most).min(0.01)), logit(greatest) + 0.5);
        let logits: Vec<f64> = (0..POINTS).map(|i| from + (to - from) * i as f64 / (POINTS - 1) as f64).collect();
        // ln(1 − θ) of each point.
        let misses: Vec<f64> = logits.iter().map(|t| -libm::log1p(libm::exp(*t))).collect();
        let likelihood = |(x, n): &(f64, f64)| {
            let logs: [f64; POINTS] = std::array::from_fn(|i| x * logits[i] + n * misses[i]);
            let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            logs.map(|log| libm::exp(log - top))
        };
        let likelihoods: Vec<[f64; POINTS]> = counts.iter().map(likelihood).collect();
        let fit = fit(&likelihoods).ok_or(RateDistributionError::NoMaximum)?;
        Ok(Self {
            logits,
            fit,
            n: counts.len() as u64,
            trials: trials / counts.len() as f64,
            unit: clusters.unit().to_owned(),
        })
    }

    /// Half the distance of grid points.
    fn half(&self) -> f64 {
        (self.logits[1] - self.logits[0]) / 2.0
    }

    /// How much of each cell lies at or below a logit.
    fn below(&self, t: f64) -> Vec<f64> {
        let half = self.half();
        self.logits.iter().map(|at| ((t - (at - half)) / (2.0 * half)).clamp(0.0, 1.0)).collect()
    }

    /// Share at or below a logit, and its error.
    fn share(&self, t: f64) -> (f64, f64) {
        let weights = self.below(t);
        let share: f64 = weights.iter().zip(&self.fit.mass).map(|(w, g)| w * g).sum();
        (share.clamp(0.0, 1.0), self.fit.error(&weights))
    }

    /// Limits of a share: Wilson's, with as many clusters as would give its error, but no more than there are.
    fn limits(&self, (share, error): (f64, f64), level: Level) -> Interval {
        let most = self.n as f64;
        let n = if error > 0.0 { (share * (1.0 - share) / (error * error)).clamp(1.0, most) } else { most };
        let square = level.z() * level.z();
        let (centre, wide) = (
            (share + square / (2.0 * n)) / (1.0 + square / n),
            level.z() * libm::sqrt(share * (1.0 - share) / n + square / (4.0 * n * n)) / (1.0 + square / n),
        );
        Interval { lo: (centre - wide).max(0.0), hi: (centre + wide).min(1.0) }
    }

    /// Share of clusters whose true rate is at most `limit`.
    ///
    /// # Undefined
    /// A limit of 0 or less has the share 0 and one of 1 or more the share 1 whatever the data, so both are unknown.
    pub fn share_at_most(&self, limit: f64, level: Level) -> Estimate {
        if !(limit > 0.0 && limit < 1.0) {
            return Estimate::unknown("a limit of 0 or 1 parts no rates", METHOD, level, &self.unit, self.n);
        }
        let found = self.share(logit(limit));
        let estimate = Estimate::new(found.0, METHOD, level, &self.unit, self.n)
            .with_mcse(found.1)
            .with_interval(self.limits(found, level));
        if limit * self.trials < 1.0 {
            return estimate
                .because("the limit is below one event in the trials of a unit: the share rests on a smooth shape");
        }
        estimate
    }

    /// The true rate that a share `p` of clusters does not exceed.
    ///
    /// # Definition
    /// Its limits, given where five clusters or more lie beyond it, are the rates from the quantile on outwards as long as their share is within z errors of `p` (Woodruff).
    ///
    /// # Source
    /// Woodruff 1952, Confidence intervals for medians and other position measures, Journal of the American Statistical
    /// Association 47:635–646 (from memory).
    pub fn quantile(&self, p: f64, level: Level) -> Estimate {
        let half = self.half();
        let edges: Vec<f64> = self.logits.iter().map(|at| at + half).collect();
        let shares: Vec<f64> = edges.iter().map(|t| self.share(*t).0).collect();
        let at = shares.partition_point(|share| *share < p);
        if at == 0 || at + 1 >= POINTS {
            let reason = "it lies beyond the rates that the trials can tell apart";
            return Estimate::unknown(reason, METHOD, level, &self.unit, self.n);
        }
        let part = (p - shares[at - 1]) / (shares[at] - shares[at - 1]);
        let value = edges[at - 1] + 2.0 * half * part;
        if p.min(1.0 - p) * (self.n as f64) < BEYOND {
            return Estimate::new(expit(value), METHOD, level, &self.unit, self.n)
                .because("no limits: fewer than five units lie beyond it, and limits would be too narrow");
        }
        // A tenth of a cell at a time: limits need no more.
        let step = half / 5.0;
        let apart = |t: f64| {
            let (share, error) = self.share(t);
            (share - p).abs() > level.z() * error
        };
        let outwards = |sign: f64| {
            let (from, to) = (self.logits[0] - half, self.logits[POINTS - 1] + half);
            let reach = (0..).map(|k| value + sign * step * f64::from(k));
            reach.skip(1).take_while(|t| (from..=to).contains(t)).find(|t| apart(*t)).map(expit)
        };
        let (lo, hi) = (outwards(-1.0), outwards(1.0));
        let estimate = Estimate { lo, hi, ..Estimate::new(expit(value), METHOD, level, &self.unit, self.n) };
        match (lo, hi) {
            (Some(_), Some(_)) => estimate.because("no standard error: its limits are those of the share"),
            (None, Some(_)) => {
                estimate.because("no lower limit: it lies below the rates that the trials can tell apart")
            }
            _ => estimate.because("no upper limit: it lies above the rates that the trials can tell apart"),
        }
    }
}

#[cfg(test)]
mod tests;
