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
/// Starting values were set by hand before there was a calibration. Bounds are what is thought possible; for
/// numbers that were assumed they are the ranges of the register. Whatever is not listed keeps its value.
pub fn volunteers_parameters() -> Vec<Parameter> {
    LIST.to_vec()
}

const LIST: &[Parameter] = &[
    // Level and spread of the interval.
    p(Median(T::Interval), Log, 50.0, 92.0, 170.0),
    p(Spread(T::Interval), Log, 0.40, 0.64, 1.0),
    p(Constant(C::IntervalFloor), Log, 25.0, 50.0, 90.0),
    p(Median(T::IntervalSpread), Log, 0.20, 0.30, 0.40),
    p(Median(T::Hesitation), Logit, 0.03, 0.07, 0.16),
    p(Constant(C::HesitationFactor), Log, 0.7, 1.3, 2.4),
    // Dwell and rolling.
    p(Median(T::Dwell), Log, 80.0, 101.0, 130.0),
    p(Spread(T::Dwell), Log, 0.12, 0.21, 0.35),
    p(Median(T::DwellSpread), Log, 0.18, 0.28, 0.45),
    p(Correlation(T::Interval, T::Dwell), FisherZ, -0.2, 0.12, 0.5),
    p(Median(T::LiftFirst), Logit, 0.002, 0.03, 0.35),
    p(Spread(T::LiftFirst), Log, 0.3, 1.2, 3.0),
    p(Constant(C::OverlapKept), Logit, 0.5, 0.8, 0.98),
    p(Constant(C::ThumbDwell), Plain, -0.15, 0.0, 0.15),
    p(Constant(C::LeftDwell), Plain, 0.0, 0.08, 0.2),
    // Pairs and places.
    p(Median(T::SameHand), Plain, -0.10, 0.06, 0.25),
    p(Constant(C::LeftInterval), Plain, -0.10, 0.055, 0.25),
    p(Median(T::Repeat), Log, 15.0, 52.0, 90.0),
    p(Median(T::WordStart), Plain, 0.0, 0.25, 0.6),
    p(Constant(C::HesitationWordStart), Log, 2.0, 4.0, 8.0),
    p(Constant(C::MidWord), Plain, 0.0, 0.06, 0.20),
    // Slips.
    p(Median(T::Slips), Logit, 0.015, 0.03, 0.06),
    p(Constant(C::Substitution), Logit, 0.44, 0.50, 0.54),
    p(Constant(C::Insertion), Logit, 0.15, 0.19, 0.21),
    p(Median(T::Detection), Logit, 0.4, 0.68, 0.9),
    p(Constant(C::DetectionLag), Log, 0.8, 3.0, 8.0),
    p(Correlation(T::Interval, T::Slips), FisherZ, 0.0, 0.3, 0.7),
    // Hold gestures.
    p(Median(T::Lead), Log, 110.0, 160.0, 230.0),
    p(Spread(T::Lead), Log, 0.12, 0.29, 0.6),
    p(Constant(C::LeadSpread), Log, 0.3, 0.55, 0.9),
    p(Constant(C::ThinkShare), Logit, 0.02, 0.06, 0.20),
    p(Constant(C::ThinkFactor), Log, 2.0, 4.0, 8.0),
    p(Median(T::Trailing), Logit, 0.2, 0.38, 0.6),
    p(Spread(T::Trailing), Log, 0.5, 1.1, 2.0),
    p(Constant(C::EnclosedTailMs), Log, 20.0, 39.0, 80.0),
    p(Constant(C::EnclosedTailSpread), Log, 0.6, 1.2, 2.0),
    p(Constant(C::TrailingTailMs), Log, 15.0, 29.0, 55.0),
    p(Constant(C::TrailingTailSpread), Log, 0.4, 0.73, 1.3),
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
