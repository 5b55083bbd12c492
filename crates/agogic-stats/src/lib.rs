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
//! [`ratio_skewed`] and [`paired_difference_skewed`] take the skewness of the clusters
//! out of their intervals, and [`Caution`] says where even these fall short.
//! [`korn_graubard`] and [`zero_event_upper_clustered`] serve rare events, and
//! [`Resamples`] is the bootstrap over whole clusters. Of one person alone there is a
//! series in time, and [`block_mean`] resamples blocks of it. [`clopper_pearson`]
//! and [`wilson`] are for independent trials, such as replicates of a simulation.
//!
//! Many comparisons at once need [`simultaneous_differences`] or [`holm()`]; "no worse than" needs [`tost_clusters`]. Whoever
//! looks at results before they are complete needs a sequence of [`confseq`].
//! [`variance_components`] and [`BetaBinomial`] say how alike the events of one
//! cluster are, [`quantile_interval`] and [`share_at_most`] how different the
//! clusters. What is seen of a cluster with few trials is mostly noise, which
//! [`RateDistribution`] takes out. [`sobol`] tells which inputs matter, and [`mcse`] judges a method by simulation.
//! [`race`] chooses the best of many candidates without the winner's curse, and
//! [`winners_optimism`] takes it from a choice made without a race.
//! Distributions of times are in [`timing`]; [`Correlation`] gives independent
//! normal numbers the correlations of a matrix.
//!
//! How well the intervals keep their level is measured by the example
//! `coverage`; its tables are in `COVERAGE.md`. Many comparisons at once are
//! measured in `FAMILYWISE.md` where nothing differs. On the simulator itself, with real
//! differences, both are measured in the lab's `COVERAGE.md`. Runs looked at all the time are in `SEQUENTIAL.md`, rates
//! over few texts in `TEXTS.md`.
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

pub mod confseq;
pub mod mcse;
pub mod race;
pub mod sobol;
pub mod special;
pub mod timing;

mod beta_binomial;
mod binomial;
mod block_bootstrap;
mod block_length;
mod bootstrap;
mod caution;
mod clusters;
mod correlation;
mod correlation_matrix;
mod estimate;
mod holm;
mod hypervolume;
mod icc;
mod independent;
mod korn_graubard;
mod ks;
mod level;
mod max_normal;
mod max_t;
mod moments;
mod multivariate_t;
mod normal;
mod optimum;
mod order;
mod p_value;
mod paired;
mod pooled;
mod quantile;
mod rate_distribution;
mod ratio;
mod skewness;
mod sum;
mod tdist;
mod tost;
mod uniform;
mod winner;

pub use beta_binomial::{BetaBinomial, BetaBinomialError};
pub use binomial::{
    Trials, TrialsError, ZeroEventError, binomial_lower, binomial_mass, binomial_upper, clopper_pearson, wilson,
    zero_event_upper, zero_event_upper_clustered,
};
pub use block_bootstrap::block_mean;
pub use block_length::block_length;
pub use bootstrap::{BootstrapError, Resamples, acceleration, bootstrap_studentised, jackknife};
pub use caution::{Caution, FEWEST_CLUSTERS, FEWEST_DIFFERING, FEWEST_INFORMATIVE};
pub use clusters::{ClusterError, Clusters};
pub use correlation::{CorrelationError, pearson, pearson_fisher, spearman};
pub use correlation_matrix::{Correlation, CorrelationMatrixError};
pub use estimate::{Estimate, Interval, fixed};
pub use holm::holm;
pub use hypervolume::{HypervolumeError, front, hypervolume_3d};
pub use icc::{IccError, VarianceComponents, design_effect, variance_components};
pub use independent::independent_difference;
pub use korn_graubard::{DfAdjustment, korn_graubard};
pub use ks::{KolmogorovSmirnov, KsError, kolmogorov_smirnov, ks_upper};
pub use level::{Level, LevelError};
pub use max_t::{MaxT, MaxTError, simultaneous_differences};
pub use moments::{Moments, lag1_autocorrelation, mean, standard_deviation, variance};
pub use multivariate_t::{MultivariateTError, Sides, max_t_critical, max_t_upper};
pub use normal::{normal_density, normal_lower, normal_quantile, normal_upper, normal_upper_quantile};
pub use order::{quantile_interval, share_at_most};
pub use p_value::PValueError;
pub use paired::{paired_difference, paired_difference_p, paired_difference_skewed, paired_rate_ratio};
pub use pooled::{PooledQuantile, error_of_parts, pooled_quantile};
pub use quantile::{QuantileError, quantile, quantile_of_sorted};
pub use rate_distribution::{RateDistribution, RateDistributionError};
pub use ratio::{ratio, ratio_jackknife, ratio_jackknife_error, ratio_logit, ratio_skewed, ratio_standard_error};
pub use tdist::{StudentT, StudentTError};
pub use tost::{Equivalence, TostError, tost_clusters};
pub use winner::{FEWEST_TO_CHOOSE, least_ratio, moved_by, winners_optimism};
