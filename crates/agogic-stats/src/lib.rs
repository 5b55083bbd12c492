//! Estimates, intervals and tests for experiments whose unit is a cluster.
//!
//! In goes what was counted or measured, checked on entry. Out comes an
//! [`Estimate`]: a value with its standard error, interval, method, level, unit
//! and number of units. What is unknown is `None` with a reason, never zero, and
//! no interval has zero width because the data happened to agree.
//!
//! Events of one cluster, such as one typist, are not independent. Rates over
//! clusters are therefore [`ratio`]s of totals whose error is taken between
//! clusters. [`paired_difference`] compares two of them over the same clusters.
//! [`korn_graubard`] and [`zero_event_upper_clustered`] serve rare events, and
//! [`Resamples`] is the bootstrap over whole clusters. The intervals under
//! [`proportion`] are for independent trials, such as replicates of a simulation.
//!
//! Randomness comes only from a generator that the caller passes in.
//!
//! ```
//! use agogic_stats::{Clusters, Level, Resamples, ratio, ratio_jackknife};
//! use rand::SeedableRng;
//! use rand_chacha::ChaCha12Rng;
//!
//! // Errors among decisions, for six typists.
//! let counts = [(3, 120), (0, 80), (7, 150), (2, 95), (1, 110), (5, 130)];
//! let typists = Clusters::counts("typist", counts)?;
//!
//! let rate = ratio(&typists, Level::P95);
//! assert_eq!(rate.value, Some(18.0 / 685.0));
//! assert_eq!(rate.n, 6);
//!
//! let mut rng = ChaCha12Rng::seed_from_u64(1);
//! let resamples = Resamples::draw(6, 2000, &mut rng, |typist| typists.ratio_of(typist))?;
//! let left_out = ratio_jackknife(&typists).expect("two typists or more");
//! let interval = resamples.bca(&left_out, Level::P95, "typist").interval();
//! assert!(interval.is_some_and(|interval| interval.contains(18.0 / 685.0)));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod special;

mod binomial;
mod bootstrap;
mod clusters;
mod correlation;
mod estimate;
mod korn_graubard;
mod level;
mod mcnemar;
mod moments;
mod newcombe;
mod normal;
mod paired;
mod paired_counts;
mod poisson;
mod quantile;
mod ratio;
mod sum;
mod tdist;

pub use binomial::{
    ProportionMethod, Trials, TrialsError, ZeroEventError, binomial_lower, binomial_mass, binomial_upper,
    clopper_pearson, jeffreys, likelihood, mid_p, proportion, wald, wilson, wilson_cc, zero_event_upper,
    zero_event_upper_clustered,
};
pub use bootstrap::{BootstrapError, Resamples, acceleration, bootstrap_studentised, jackknife};
pub use clusters::{ClusterError, Clusters};
pub use correlation::{CorrelationError, pearson, pearson_fisher};
pub use estimate::{Estimate, Interval};
pub use korn_graubard::{DfAdjustment, korn_graubard};
pub use level::{Level, LevelError};
pub use mcnemar::{McNemar, mcnemar};
pub use moments::{Moments, lag1_autocorrelation, mean, standard_deviation, variance};
pub use newcombe::{newcombe_paired, newcombe_unpaired};
pub use normal::{normal_density, normal_lower, normal_quantile, normal_upper, normal_upper_quantile};
pub use paired::{paired_difference, paired_rate_ratio};
pub use paired_counts::{PairedCounts, PairedCountsError};
pub use poisson::{PoissonError, poisson_exact, poisson_rate};
pub use quantile::{QuantileError, quantile};
pub use ratio::{ratio, ratio_jackknife, ratio_jackknife_error, ratio_logit, ratio_standard_error};
pub use tdist::{StudentT, StudentTError};
