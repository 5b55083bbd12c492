//! A typist: one value for each trait, and the constants all typists share.

use agogic_keys::{Purpose, stream};
use rand_distr::{Distribution, StandardNormal};

use crate::Population;

/// The scale on which a trait is normal over people.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// The logarithm is normal; the value is positive.
    Log,
    /// The logit is normal; the value is a share.
    Logit,
    /// The value itself is normal.
    Plain,
}

impl Scale {
    /// From the natural value to the normal scale.
    pub fn to_normal(self, value: f64) -> f64 {
        match self {
            Self::Log => libm::log(value),
            Self::Logit => libm::log(value / (1.0 - value)),
            Self::Plain => value,
        }
    }

    /// From the normal scale to the natural value.
    pub fn to_natural(self, z: f64) -> f64 {
        match self {
            Self::Log => libm::exp(z),
            Self::Logit => 1.0 / (1.0 + libm::exp(-z)),
            Self::Plain => z,
        }
    }
}

/// What differs between people.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(usize)]
pub enum Trait {
    /// Median interval between two letters of opposite hands inside a word, without hesitation, less the
    /// floor that nobody undercuts ([`Constant::IntervalFloor`]).
    Interval,
    /// Spread of the log interval.
    IntervalSpread,
    /// Median dwell.
    Dwell,
    /// Spread of the log dwell.
    DwellSpread,
    /// Share of presses that follow a hesitation.
    Hesitation,
    /// Share of would-be overlaps avoided because the finger lifts before the next one strikes.
    LiftFirst,
    /// Log effect of staying on the same hand.
    SameHand,
    /// Log effect of staying on the same finger.
    SameFinger,
    /// Log effect of pressing the same key again.
    Repeat,
    /// Log effect of starting a word.
    WordStart,
    /// Share of hold gestures in which the held key is let go before the target.
    Trailing,
    /// Median time from the held key's press to the target's press.
    Lead,
    /// Factor on the interval before a hold gesture.
    Lull,
}

/// A trait as the register knows it.
#[derive(Clone, Copy, Debug)]
pub struct TraitInfo {
    /// The trait.
    pub id: Trait,
    /// Name in population files.
    pub name: &'static str,
    /// Unit.
    pub unit: &'static str,
    /// Scale on which it is normal.
    pub scale: Scale,
    /// What it means.
    pub doc: &'static str,
}

const fn info(id: Trait, name: &'static str, unit: &'static str, scale: Scale, doc: &'static str) -> TraitInfo {
    TraitInfo { id, name, unit, scale, doc }
}

/// Every trait, in the order of [`Trait`].
pub const TRAITS: &[TraitInfo] = &[
    info(Trait::Interval, "interval_ms", "ms", Scale::Log, "median interval, other hand, inside a word, no hesitation"),
    info(Trait::IntervalSpread, "interval_spread", "log units", Scale::Log, "SD of the log interval within a typist"),
    info(Trait::Dwell, "dwell_ms", "ms", Scale::Log, "median dwell"),
    info(Trait::DwellSpread, "dwell_spread", "log units", Scale::Log, "SD of the log dwell within a typist"),
    info(Trait::Hesitation, "hesitation_share", "share", Scale::Logit, "share of presses that follow a hesitation"),
    info(
        Trait::LiftFirst,
        "lift_first_share",
        "share",
        Scale::Logit,
        "share of would-be overlaps avoided because the finger lifts before the next one strikes",
    ),
    info(
        Trait::SameHand,
        "same_hand_effect",
        "log units",
        Scale::Plain,
        "effect of staying on the same hand on the log interval",
    ),
    info(
        Trait::SameFinger,
        "same_finger_effect",
        "log units",
        Scale::Plain,
        "effect of staying on the same finger on the log interval",
    ),
    info(
        Trait::Repeat,
        "repeat_effect",
        "log units",
        Scale::Plain,
        "effect of pressing the same key again on the log interval",
    ),
    info(
        Trait::WordStart,
        "word_start_effect",
        "log units",
        Scale::Plain,
        "effect of starting a word on the log interval",
    ),
    info(
        Trait::Trailing,
        "trailing_share",
        "share",
        Scale::Logit,
        "share of hold gestures whose held key is let go before the target",
    ),
    info(Trait::Lead, "lead_ms", "ms", Scale::Log, "median time from the held key's press to the target's press"),
    info(Trait::Lull, "lull_factor", "ratio", Scale::Log, "factor on the interval before a hold gesture"),
];

/// What all typists of a population share.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(usize)]
pub enum Constant {
    /// The least median interval a typist can have.
    IntervalFloor,
    /// Lag-one correlation of the tempo from press to press.
    TempoPersistence,
    /// SD of the tempo on the log scale.
    TempoSpread,
    /// Correlation of a press's log dwell with the log interval before it.
    DwellIntervalCorrelation,
    /// Log effect of moving outward rather than inward on one hand.
    Outward,
    /// Median time a hesitation adds, as a multiple of the typist's median interval.
    HesitationFactor,
    /// Spread of the log of that time.
    HesitationSpread,
    /// Odds ratio of a hesitation at the start of a word.
    HesitationWordStart,
    /// Log effect of the little finger on dwell, against the index finger.
    LittleDwell,
    /// Log effect of the ring finger on dwell, against the index finger.
    RingDwell,
    /// Log effect of the middle finger on dwell, against the index finger.
    MiddleDwell,
    /// Log effect of the thumb on dwell, against the index finger.
    ThumbDwell,
    /// Share of an overlap that remains because the finger lifts sooner once the next one strikes.
    OverlapKept,
    /// Time between letting a finger's key go and its next press, at least.
    LiftMs,
    /// Spread of the log lead within a typist.
    LeadSpread,
    /// Spread of the log factor of the lull within a typist.
    LullSpread,
    /// Median time a target is released before the held key, in enclosed gestures.
    EnclosedTailMs,
    /// Spread of the log of that time.
    EnclosedTailSpread,
    /// Median time the held key is let go before the target, in trailing gestures.
    TrailingTailMs,
    /// Spread of the log of that time.
    TrailingTailSpread,
    /// Median time from letting the held key go to the next press, at least.
    AfterHoldMs,
    /// Spread of the log of that time.
    AfterHoldSpread,
}

/// A constant as the register knows it.
#[derive(Clone, Copy, Debug)]
pub struct ConstantInfo {
    /// The constant.
    pub id: Constant,
    /// Name in population files.
    pub name: &'static str,
    /// Unit.
    pub unit: &'static str,
    /// Smallest value accepted.
    pub min: f64,
    /// Largest value accepted.
    pub max: f64,
    /// What it means.
    pub doc: &'static str,
}

const fn constant(
    id: Constant,
    name: &'static str,
    unit: &'static str,
    min: f64,
    max: f64,
    doc: &'static str,
) -> ConstantInfo {
    ConstantInfo { id, name, unit, min, max, doc }
}

/// Every constant, in the order of [`Constant`].
pub const CONSTANTS: &[ConstantInfo] = &[
    constant(
        Constant::IntervalFloor,
        "interval_floor_ms",
        "ms",
        0.0,
        1000.0,
        "least median interval a typist can have",
    ),
    constant(
        Constant::TempoPersistence,
        "tempo_persistence",
        "correlation",
        0.0,
        0.999,
        "lag-one correlation of the tempo",
    ),
    constant(Constant::TempoSpread, "tempo_spread", "log units", 0.0, 2.0, "SD of the tempo on the log scale"),
    constant(
        Constant::DwellIntervalCorrelation,
        "dwell_interval_correlation",
        "correlation",
        -0.99,
        0.99,
        "correlation of a press's log dwell with the log interval before it",
    ),
    constant(
        Constant::Outward,
        "outward_effect",
        "log units",
        -1.0,
        1.0,
        "effect of moving outward rather than inward on one hand",
    ),
    constant(
        Constant::HesitationFactor,
        "hesitation_factor",
        "ratio",
        0.01,
        100.0,
        "median time a hesitation adds, over the typist's median interval",
    ),
    constant(Constant::HesitationSpread, "hesitation_spread", "log units", 0.0, 3.0, "SD of the log of that time"),
    constant(
        Constant::HesitationWordStart,
        "hesitation_word_start",
        "odds ratio",
        0.1,
        50.0,
        "odds of a hesitation at a word start against inside a word",
    ),
    constant(
        Constant::LittleDwell,
        "little_dwell_effect",
        "log units",
        -1.0,
        1.0,
        "effect of the little finger on the log dwell",
    ),
    constant(
        Constant::RingDwell,
        "ring_dwell_effect",
        "log units",
        -1.0,
        1.0,
        "effect of the ring finger on the log dwell",
    ),
    constant(
        Constant::MiddleDwell,
        "middle_dwell_effect",
        "log units",
        -1.0,
        1.0,
        "effect of the middle finger on the log dwell",
    ),
    constant(
        Constant::ThumbDwell,
        "thumb_dwell_effect",
        "log units",
        -1.0,
        1.0,
        "effect of the thumb on the log dwell",
    ),
    constant(
        Constant::OverlapKept,
        "overlap_kept",
        "share",
        0.01,
        1.0,
        "share of an overlap that remains because the finger lifts sooner once the next one strikes",
    ),
    constant(Constant::LiftMs, "lift_ms", "ms", 1.0, 200.0, "least time between a finger's release and its next press"),
    constant(Constant::LeadSpread, "lead_spread", "log units", 0.0, 2.0, "SD of the log lead within a typist"),
    constant(Constant::LullSpread, "lull_spread", "log units", 0.0, 3.0, "SD of the log lull factor within a typist"),
    constant(
        Constant::EnclosedTailMs,
        "enclosed_tail_ms",
        "ms",
        0.1,
        2000.0,
        "median time from the target's release to the held key's, enclosed gestures",
    ),
    constant(Constant::EnclosedTailSpread, "enclosed_tail_spread", "log units", 0.0, 3.0, "SD of the log of that time"),
    constant(
        Constant::TrailingTailMs,
        "trailing_tail_ms",
        "ms",
        0.1,
        2000.0,
        "median time from the held key's release to the target's, trailing gestures",
    ),
    constant(Constant::TrailingTailSpread, "trailing_tail_spread", "log units", 0.0, 3.0, "SD of the log of that time"),
    constant(
        Constant::AfterHoldMs,
        "after_hold_ms",
        "ms",
        0.1,
        2000.0,
        "median of the least time from letting a held key go to the next press",
    ),
    constant(Constant::AfterHoldSpread, "after_hold_spread", "log units", 0.0, 3.0, "SD of the log of that time"),
];

/// One person.
#[derive(Clone, Debug, PartialEq)]
pub struct Typist {
    /// Number of the typist in the study; part of the address of all their streams.
    pub number: u64,
    values: [f64; TRAITS.len()],
    constants: [f64; CONSTANTS.len()],
}

impl Typist {
    /// Draws typist `number` of a study with `seed` from `population`.
    pub fn draw(population: &Population, seed: u64, number: u64) -> Self {
        let mut rng = stream(seed, Purpose::Typist, number, 0);
        let normal: [f64; TRAITS.len()] = std::array::from_fn(|_| StandardNormal.sample(&mut rng));
        Self::at(population, number, &normal)
    }

    /// The typist whose traits lie at the given standard normal coordinates, before correlation.
    pub fn at(population: &Population, number: u64, normal: &[f64; TRAITS.len()]) -> Self {
        let values = population.traits_at(normal);
        Self { number, values, constants: *population.constants() }
    }

    /// The typist in the middle of the population.
    pub fn median(population: &Population) -> Self {
        Self::at(population, 0, &[0.0; TRAITS.len()])
    }

    /// The value of a trait, in its unit.
    #[inline]
    pub fn get(&self, id: Trait) -> f64 {
        self.values[id as usize]
    }

    /// The value of a constant, in its unit.
    #[inline]
    pub fn constant(&self, id: Constant) -> f64 {
        self.constants[id as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_follow_the_enums() {
        for (at, row) in TRAITS.iter().enumerate() {
            assert_eq!(row.id as usize, at, "{}", row.name);
        }
        for (at, row) in CONSTANTS.iter().enumerate() {
            assert_eq!(row.id as usize, at, "{}", row.name);
        }
    }

    #[test]
    fn scales_invert() {
        for (scale, value) in [(Scale::Log, 3.5), (Scale::Logit, 0.39), (Scale::Plain, -0.2)] {
            assert!((scale.to_natural(scale.to_normal(value)) - value).abs() < 1e-12);
        }
    }

    #[test]
    fn a_typist_is_the_same_whenever_drawn() {
        let population = Population::volunteers();
        assert_eq!(Typist::draw(&population, 5, 17), Typist::draw(&population, 5, 17));
        assert_ne!(Typist::draw(&population, 5, 17), Typist::draw(&population, 5, 18));
    }
}
