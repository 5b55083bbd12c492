//! How results are estimated, and what they are held against.

use agogic_stats::Level;

use crate::EstimandInfo;

/// How results are estimated, and what they are held against.
#[derive(Clone, Debug)]
pub struct Inference {
    /// Confidence level of intervals.
    pub level: Level,
    /// For each policy the index of the one it is compared with; its own index for none.
    pub versus: Vec<usize>,
    /// Method for the intervals of rates.
    pub interval: IntervalMethod,
    /// Resamples of a bootstrap, and fewest draws of a simultaneous interval.
    pub resamples: usize,
    /// Limits of which the share of typists within them is reported.
    pub limits: Vec<Line>,
    /// Margins within which a policy counts as no worse than the reference.
    pub margins: Vec<Line>,
}

impl Inference {
    /// Resamples if the spec is silent.
    pub const RESAMPLES: usize = 2000;
}

/// A value on the scale of an estimand.
#[derive(Clone, Copy, Debug)]
pub struct Line {
    /// The estimand.
    pub info: &'static EstimandInfo,
    /// The value, in its unit.
    pub value: f64,
}

/// A method for the interval of a pooled rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum IntervalMethod {
    /// t interval from which the skewness of typists is taken out; see `default_rate` of `agogic-lab`.
    Default,
    /// Linearised variance and t interval.
    Linearised,
    /// The same on the logit scale, for proportions.
    Logit,
    /// Survey-type exact interval, for proportions.
    KornGraubard,
    /// Bootstrap over typists, percentiles.
    Percentile,
    /// Bootstrap over typists, bias-corrected and accelerated.
    Bca,
    /// Bootstrap over typists, studentised.
    Studentised,
}

impl IntervalMethod {
    /// Names in the spec.
    pub const NAMES: [(&'static str, Self); 7] = [
        ("default", Self::Default),
        ("linearised", Self::Linearised),
        ("logit", Self::Logit),
        ("korn-graubard", Self::KornGraubard),
        ("percentile", Self::Percentile),
        ("bca", Self::Bca),
        ("studentised", Self::Studentised),
    ];

    /// The method of that name.
    pub fn by_name(name: &str) -> Option<Self> {
        Self::NAMES.iter().find(|(known, _)| *known == name).map(|(_, method)| *method)
    }
}
