//! The numbers of `volunteers` that calibration sets.

use agogic_typist::{Constant as C, Trait as T};

use super::parameter::{Parameter, ParameterScale, Target};
use ParameterScale::{FisherZ, Log, Logit, Plain};
use Target::{Constant, Correlation, Median, Spread};

const fn p(target: Target, scale: ParameterScale, lo: f64, start: f64, hi: f64) -> Parameter {
    Parameter { target, scale, lo, start, hi }
}

/// The parameters of `volunteers` that the calibration rows can inform, with bounds and starting values.
///
/// Starting values are those of an earlier calibration, to two digits: with so many parameters a search from values set by
/// hand can end on the slope. Bounds are what is thought possible; for
/// numbers that were assumed they are the ranges of the register. Whatever is not listed keeps its value.
pub fn volunteers_parameters() -> Vec<Parameter> {
    LIST.to_vec()
}

const LIST: &[Parameter] = &[
    // Level and spread of the interval.
    p(Median(T::Interval), Log, 50.0, 79.0, 170.0),
    p(Spread(T::Interval), Log, 0.40, 0.6, 1.0),
    p(Constant(C::IntervalFloor), Log, 25.0, 55.0, 90.0),
    p(Median(T::IntervalSpread), Log, 0.20, 0.28, 0.40),
    p(Spread(T::IntervalSpread), Log, 0.05, 0.4, 0.5),
    p(Correlation(T::Interval, T::IntervalSpread), FisherZ, 0.0, 0.41, 0.6),
    p(Median(T::Hesitation), Logit, 0.03, 0.073, 0.16),
    p(Spread(T::Hesitation), Log, 0.1, 0.65, 1.2),
    p(Correlation(T::Interval, T::Hesitation), FisherZ, 0.0, 0.29, 0.7),
    p(Constant(C::HesitationFactor), Log, 0.7, 2.2, 2.4),
    p(Constant(C::HesitationSpread), Log, 0.5, 0.6, 1.3),
    // Dwell and rolling.
    p(Median(T::Dwell), Log, 80.0, 98.0, 130.0),
    p(Spread(T::Dwell), Log, 0.12, 0.21, 0.35),
    p(Median(T::DwellSpread), Log, 0.15, 0.22, 0.35),
    p(Spread(T::DwellSpread), Log, 0.08, 0.19, 0.4),
    p(Correlation(T::Interval, T::Dwell), FisherZ, -0.2, 0.2, 0.5),
    p(Constant(C::DwellIntervalCorrelation), FisherZ, -0.4, -0.1, 0.4),
    p(Constant(C::InOrder), Logit, 0.2, 0.62, 0.95),
    p(Constant(C::RollSlope), Log, 0.5, 0.8, 1.2),
    p(Constant(C::RollGainMs), Log, 2.0, 12.0, 30.0),
    p(Constant(C::LongDwellShare), Logit, 0.0002, 0.0005, 0.03),
    p(Constant(C::LongDwellFactor), Log, 1.5, 3.4, 6.0),
    p(Constant(C::LittleDwell), Plain, 0.0, 0.15, 0.3),
    p(Constant(C::RingDwell), Plain, -0.05, 0.074, 0.25),
    p(Constant(C::MiddleDwell), Plain, -0.1, 0.047, 0.2),
    p(Constant(C::RightFingers), Plain, -0.3, 0.3, 1.0),
    p(Constant(C::ThumbDwell), Plain, -0.15, 0.073, 0.15),
    p(Constant(C::LeftDwell), Plain, 0.0, 0.046, 0.2),
    // Pairs and places.
    p(Median(T::SameHand), Plain, -0.10, 0.031, 0.25),
    p(Spread(T::SameHand), Log, 0.02, 0.1, 0.25),
    p(Correlation(T::Interval, T::SameHand), FisherZ, -0.9, -0.63, 0.0),
    p(Constant(C::LeftInterval), Plain, -0.10, 0.12, 0.25),
    p(Median(T::Repeat), Log, 15.0, 37.0, 90.0),
    p(Spread(T::Repeat), Log, 0.1, 0.23, 1.0),
    p(Correlation(T::Interval, T::Repeat), FisherZ, 0.0, 0.21, 0.8),
    p(Median(T::WordStart), Plain, 0.0, 0.28, 0.6),
    p(Constant(C::HesitationWordStart), Log, 2.0, 5.5, 8.0),
    p(Constant(C::MidWord), Plain, 0.0, 0.05, 0.20),
    // Slips.
    p(Median(T::Slips), Logit, 0.015, 0.035, 0.06),
    p(Spread(T::Slips), Log, 0.2, 0.55, 1.0),
    p(Constant(C::Substitution), Logit, 0.44, 0.52, 0.54),
    p(Constant(C::Insertion), Logit, 0.15, 0.2, 0.21),
    p(Median(T::Detection), Logit, 0.4, 0.66, 0.9),
    p(Spread(T::Detection), Log, 0.3, 0.72, 2.5),
    p(Constant(C::DetectionLag), Log, 0.8, 2.2, 8.0),
    p(Correlation(T::Interval, T::Slips), FisherZ, 0.0, 0.33, 0.7),
    // Hold gestures.
    p(Median(T::Lead), Log, 100.0, 150.0, 260.0),
    p(Spread(T::Lead), Log, 0.2, 0.46, 0.8),
    p(Constant(C::LeadSpread), Log, 0.25, 0.3, 0.8),
    p(Correlation(T::Interval, T::Lead), FisherZ, 0.2, 0.74, 0.92),
    p(Constant(C::ThinkShare), Logit, 0.02, 0.12, 0.20),
    p(Constant(C::ThinkFactor), Log, 2.0, 4.6, 8.0),
    p(Median(T::Release), Log, 45.0, 80.0, 140.0),
    p(Spread(T::Release), Log, 0.12, 0.31, 0.6),
    p(Constant(C::ReleaseSpread), Log, 0.25, 0.42, 0.8),
    p(Correlation(T::Interval, T::Release), FisherZ, 0.0, 0.48, 0.8),
    p(Correlation(T::Lead, T::Release), FisherZ, 0.0, 0.42, 0.7),
    p(Median(T::Lull), Log, 0.6, 1.3, 2.0),
    p(Spread(T::Lull), Log, 0.05, 0.37, 0.6),
    p(Constant(C::LullSpread), Log, 0.02, 0.052, 0.6),
];

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn parameters_are_sound_and_listed_once() {
        let names: BTreeSet<String> = LIST.iter().map(Parameter::name).collect();
        assert_eq!(names.len(), LIST.len());
        assert!(LIST.iter().all(Parameter::is_sound));
    }
}
