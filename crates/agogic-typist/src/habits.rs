//! A typist's numbers in the form the inner loop wants them: logarithms of microseconds, ready to add.
//!
//! # Units
//! `log_…` is the natural logarithm of a time in µs; what is added to one, an effect, and a `…_spread`, the SD of one, are
//! pure numbers on that scale. Shares lie between 0 and 1. A drift is an effect per press.

use agogic_keys::{Hand, Span};
use agogic_stats::timing::{Continuous, Family};

use crate::constants::Constant;
use crate::densities::{InOrderLaw, RollLaw};
use crate::movement::MovementClass;
use crate::traits::Trait;
use crate::typist::Typist;

/// How a hold gesture is made on one kind of key.
#[derive(Clone, Copy, Debug)]
pub(crate) struct GestureHabit {
    /// Held key's press to the first target's.
    pub log_lead: f64,
    /// Last target's press to the held key's release.
    pub log_release: f64,
    /// Share of gestures made by the holding hand whatever the target.
    pub one_hand: f64,
}

/// Everything the performance needs of a typist.
#[derive(Clone)]
pub(crate) struct Habits {
    /// Effect of the movement class on an interval.
    pub class: [f64; MovementClass::COUNT],
    /// Of the median interval: the trait and the least that a typist can have, together.
    pub log_interval: f64,
    /// Of the time from letting a key go to pressing it again.
    pub log_repeat_gap: f64,
    /// Noise of single intervals.
    pub interval_spread: f64,
    /// Log dwell by finger of the left hand and of the right, and of either thumb.
    pub log_dwell: [f64; 11],
    /// Effect of the left hand on an interval within one hand; of the right hand it is the negative.
    pub left_interval: f64,
    /// Share of dwells on which the finger rests, and the effect of that.
    pub long_dwell: (f64, f64),
    /// Effect on a word's first interval per key that the word is longer than usual.
    pub word_length: f64,
    /// Share of gestures that pause between held key and target, and the effect of that on the lead.
    pub think: (f64, f64),
    /// Effect of the noise of single dwells.
    pub dwell: DwellShape,
    /// Correlation of the noise of a dwell with that of the interval before it, and √(1 − that²).
    pub dwell_r: f64,
    pub dwell_rest: f64,
    /// Tempo is an effect on intervals that wanders: what is kept of it from press to press, and the SD of what is new.
    pub tempo_keep: f64,
    pub tempo_new: f64,
    /// Effect of the start of a word on an interval.
    pub word_start: f64,
    /// Effect of the middle of a long word on an interval.
    pub mid_word: f64,
    /// Effect on an interval per unit of the rarity of the pair of keys.
    pub rarity: f64,
    /// Share of intervals with a hesitation, within words and at their start.
    pub hesitate: [f64; 2],
    /// Of the median hesitation, which is added to the interval.
    pub log_hesitation: f64,
    pub hesitation_spread: f64,
    /// How fingers that roll wait for each other.
    pub in_order: InOrderLaw,
    /// What is made of an overlap.
    pub roll: RollLaw,
    /// Least time that a finger takes to let go of one key and press the next, in µs.
    pub lift: u64,
    /// On a dedicated modifier key, and on a dual-role key.
    pub gesture: [GestureHabit; 2],
    /// Noise of leads.
    pub lead_spread: f64,
    /// Effect of a hold to come on the interval before it: the logarithm of a factor.
    pub log_lull: f64,
    pub lull_spread: f64,
    pub release_spread: f64,
    /// The hand that holds where one hand makes the whole gesture.
    pub holding_hand: Hand,
    /// Held key's release to the next press, at least.
    pub log_after: f64,
    pub after_spread: f64,
    /// Share of runs of capitals that are made under one hold.
    pub run_hold: f64,
    /// Time between two held keys, over the lead.
    pub second_lead: f64,
    /// Dwell of a hold without a target.
    pub log_bare: f64,
    pub bare_spread: f64,
    /// Dwell of a key held for repeat.
    pub log_repeat: f64,
    /// Share of letters that slip, and of these the shares of substitutions, omissions and insertions.
    pub slips: f64,
    pub slip_kinds: [f64; 3],
    /// Share of slips that are noticed, and the mean number of keys until then.
    pub detection: f64,
    pub detection_lag: f64,
    /// What each press so far adds to later intervals and dwells.
    pub interval_drift: f64,
    pub dwell_drift: f64,
}

/// What each finger adds to the log dwell, against an index finger between the hands: by the numbers of
/// [`Movement::digit`](crate::Movement::digit), with the constants of a typist or a population.
pub fn finger_dwell_effects(constant: impl Fn(Constant) -> f64) -> [f64; 11] {
    let c = constant;
    let left = c(Constant::LeftDwell) / 2.0;
    let finger =
        [c(Constant::LittleDwell), c(Constant::RingDwell), c(Constant::MiddleDwell), 0.0, c(Constant::ThumbDwell)];
    std::array::from_fn(|digit| {
        let hand = [left, -left, 0.0][digit / 5];
        let share = if digit % 5 < 4 && digit / 5 == 1 { c(Constant::RightFingers) } else { 1.0 };
        if digit == 10 { finger[4] } else { share * finger[digit % 5] + hand }
    })
}

impl Habits {
    pub fn of(typist: &Typist) -> Self {
        let log = |id: Trait| libm::log(typist.get(id) * 1e3);
        let c = |id: Constant| typist.constant(id);
        let log_c = |id: Constant| libm::log(c(id) * 1e3);
        let same_hand = typist.get(Trait::SameHand);
        let outward = c(Constant::Outward);
        let mut class = [0.0; MovementClass::COUNT];
        class[MovementClass::Inward as usize] = same_hand - outward / 2.0;
        class[MovementClass::Outward as usize] = same_hand + outward / 2.0;
        class[MovementClass::SameFinger as usize] = typist.get(Trait::SameFinger);
        let log_interval = libm::log((typist.get(Trait::Interval) + c(Constant::IntervalFloor)) * 1e3);
        let log_dwell = finger_dwell_effects(c).map(|effect| log(Trait::Dwell) + effect);
        let keep = c(Constant::TempoPersistence);
        let dwell_r = c(Constant::DwellIntervalCorrelation);
        let within = typist.get(Trait::Hesitation);
        Self {
            class,
            log_interval,
            log_repeat_gap: log(Trait::Repeat),
            interval_spread: typist.get(Trait::IntervalSpread),
            log_dwell,
            dwell: DwellShape::new(typist.dwell_family(), typist.get(Trait::DwellSpread)),
            dwell_r,
            dwell_rest: libm::sqrt(1.0 - dwell_r * dwell_r),
            tempo_keep: keep,
            tempo_new: c(Constant::TempoSpread) * libm::sqrt(1.0 - keep * keep),
            word_start: typist.get(Trait::WordStart),
            left_interval: c(Constant::LeftInterval) / 2.0,
            long_dwell: (c(Constant::LongDwellShare), libm::log(c(Constant::LongDwellFactor))),
            word_length: c(Constant::WordLength),
            think: (c(Constant::ThinkShare), libm::log(c(Constant::ThinkFactor))),
            mid_word: c(Constant::MidWord),
            rarity: c(Constant::FrequencyEffect),
            hesitate: [within, share_from_odds(within, c(Constant::HesitationWordStart))],
            log_hesitation: log_interval + libm::log(c(Constant::HesitationFactor)),
            hesitation_spread: c(Constant::HesitationSpread),
            in_order: InOrderLaw::of(c),
            roll: RollLaw::of(c),
            lift: Span::from_ms(c(Constant::LiftMs)).0,
            gesture: gestures(typist),
            lead_spread: c(Constant::LeadSpread),
            log_lull: libm::log(typist.get(Trait::Lull)),
            lull_spread: c(Constant::LullSpread),
            release_spread: c(Constant::ReleaseSpread),
            holding_hand: if typist.get(Trait::HoldingHand) > 0.0 { Hand::Left } else { Hand::Right },
            log_after: log_c(Constant::AfterHoldMs),
            after_spread: c(Constant::AfterHoldSpread),
            run_hold: c(Constant::RunHold),
            second_lead: c(Constant::SecondLead),
            log_bare: log_c(Constant::BareHoldMs),
            bare_spread: c(Constant::BareHoldSpread),
            log_repeat: log_c(Constant::RepeatHoldMs),
            slips: typist.get(Trait::Slips),
            slip_kinds: [Constant::Substitution, Constant::Omission, Constant::Insertion].map(c),
            detection: typist.get(Trait::Detection),
            detection_lag: c(Constant::DetectionLag),
            interval_drift: c(Constant::DriftInterval) / 1000.0,
            dwell_drift: c(Constant::DriftDwell) / 1000.0,
        }
    }
}

/// The share whose odds are `ratio` times those of `share`.
fn share_from_odds(share: f64, ratio: f64) -> f64 {
    let odds = share / (1.0 - share) * ratio;
    odds / (1.0 + odds)
}

fn gestures(typist: &Typist) -> [GestureHabit; 2] {
    let c = |id: Constant| typist.constant(id);
    let dedicated = GestureHabit {
        log_lead: libm::log(typist.get(Trait::Lead) * 1e3),
        log_release: libm::log(typist.get(Trait::Release) * 1e3),
        one_hand: typist.get(Trait::OneHand),
    };
    // Learning moves each habit the same way along its own scale.
    let learned = |id: Constant| c(Constant::Adaptation) * libm::log(c(id));
    let dual = GestureHabit {
        log_lead: dedicated.log_lead + learned(Constant::AdaptedLead),
        log_release: dedicated.log_release + learned(Constant::AdaptedRelease),
        // Who is fully adapted holds with the hand that does not press the target.
        one_hand: dedicated.one_hand * (1.0 - c(Constant::Adaptation)),
    };
    [dedicated, dual]
}

/// The shape of the dwell: what to add to its log median at a standard normal coordinate.
#[derive(Clone)]
pub(crate) enum DwellShape {
    /// A log-normal: spread times coordinate.
    Normal(f64),
    /// Another family of equal median and log-scale spread, as a table over coordinates −6 to 6.
    Table(Vec<f64>),
}

/// Half-width of the table in standard deviations, and its steps per deviation.
const REACH: f64 = 6.0;
const STEPS: f64 = 64.0;

impl DwellShape {
    fn new(family: Family, spread: f64) -> Self {
        if family == Family::LogNormal || spread <= 0.0 {
            return Self::Normal(spread);
        }
        let member = family.with_median_and_log_sd(1.0, spread).expect("a dwell has a positive spread");
        let points = (2.0 * REACH * STEPS) as usize;
        let log_at = |i: usize| {
            let z = i as f64 / STEPS - REACH;
            // A dwell cannot be zero: the far lower tail of shapes that reach zero ends at a thousandth.
            libm::log(member.quantile(agogic_stats::normal_lower(z)).max(1e-3))
        };
        Self::Table((0..=points).map(log_at).collect())
    }

    /// Log of the dwell over its median at coordinate `z`; linear between the points of the table.
    pub fn at(&self, z: f64) -> f64 {
        match self {
            Self::Normal(spread) => spread * z,
            Self::Table(points) => {
                let at = ((z + REACH) * STEPS).clamp(0.0, (points.len() - 1) as f64);
                let below = (at as usize).min(points.len() - 2);
                points[below] + (at - below as f64) * (points[below + 1] - points[below])
            }
        }
    }

    /// The standard normal coordinate at which the log of the dwell over its median reaches `value`: the
    /// inverse of [`DwellShape::at`]. Infinite beyond the ends of a table.
    pub fn coordinate(&self, value: f64) -> f64 {
        match self {
            Self::Normal(spread) => value / spread.max(1e-3),
            Self::Table(points) => {
                let above = points.partition_point(|point| *point <= value);
                if above == 0 {
                    return f64::NEG_INFINITY;
                }
                if above == points.len() {
                    return f64::INFINITY;
                }
                let (lo, hi) = (points[above - 1], points[above]);
                ((above - 1) as f64 + (value - lo) / (hi - lo)) / STEPS - REACH
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_keep_the_median_and_rise() {
        for family in [Family::LogNormal, Family::LogLogistic, Family::Gamma, Family::ExGaussian] {
            let shape = DwellShape::new(family, 0.3);
            assert!(shape.at(0.0).abs() < 1e-6, "{family:?}: {}", shape.at(0.0));
            // The ex-Gaussian reaches zero in the far tail, where the floor holds it level.
            let values: Vec<f64> = (-50..=50).map(|i| shape.at(f64::from(i) / 10.0)).collect();
            assert!(values.windows(2).all(|pair| pair[0] <= pair[1]), "{family:?}");
            assert!(values[20..].windows(2).all(|pair| pair[0] < pair[1]), "{family:?}");
        }
    }

    #[test]
    fn odds_multiply() {
        assert!((share_from_odds(0.2, 4.0) - 0.5).abs() < 1e-12);
        assert_eq!(share_from_odds(0.3, 1.0), 0.3);
    }
}
