//! What all typists of a population have in common.

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
    /// Log effect of the left little finger on dwell, against the index finger.
    LittleDwell,
    /// Log effect of the left ring finger on dwell, against the index finger.
    RingDwell,
    /// Log effect of the left middle finger on dwell, against the index finger.
    MiddleDwell,
    /// Log effect of the thumb on dwell, against the index finger.
    ThumbDwell,
    /// Share of the effects of little, ring and middle finger that the right hand has.
    RightFingers,
    /// Share of rolls in which the second finger waits for the first to come up.
    InOrder,
    /// How long after the first finger it comes up, at most.
    InOrderLagMs,
    /// What remains of a long overlap between two fingers that roll.
    RollSlope,
    /// What is added to one that is not short.
    RollGainMs,
    /// The overlap at which half of that is added.
    RollHalfMs,
    /// Time between letting a finger's key go and its next press, at least.
    LiftMs,
    /// Spread of the log lead within a typist.
    LeadSpread,
    /// Spread of the log factor of the lull within a typist.
    LullSpread,
    /// Spread of the log of the time from the last target's press to the held key's release.
    ReleaseSpread,
    /// Median time from letting the held key go to the next press, at least.
    AfterHoldMs,
    /// Spread of the log of that time.
    AfterHoldSpread,
    /// Log effect of a ten times rarer letter pair on the interval.
    FrequencyEffect,
    /// Log effect of the third and later letters of words of five and more letters.
    MidWord,
    /// Share of slips that strike a neighbouring key instead.
    Substitution,
    /// Share of slips that leave a key out.
    Omission,
    /// Share of slips that strike a neighbouring key as well. What remains transposes two keys.
    Insertion,
    /// Mean number of further keys before a slip is noticed.
    DetectionLag,
    /// Slowing of the log interval per 1000 presses of a session.
    DriftInterval,
    /// Lengthening of the log dwell per 1000 presses of a session.
    DriftDwell,
    /// How far the typist has learned to hold dual-role keys: 0 as a dedicated modifier key, 1 fully adapted.
    Adaptation,
    /// Factor on the lead of a fully adapted typist.
    AdaptedLead,
    /// Factor on the time to the release of a fully adapted typist.
    AdaptedRelease,
    /// Share of runs of capitals made under one hold.
    RunHold,
    /// Time between the presses of two held keys, over the lead.
    SecondLead,
    /// Median dwell of a hold without a target.
    BareHoldMs,
    /// Spread of the log of that dwell.
    BareHoldSpread,
    /// Median dwell of a key held for repeat.
    RepeatHoldMs,
    /// Log effect of the left hand against the right on the interval of one-hand pairs.
    LeftInterval,
    /// Log effect of the left hand against the right on the dwell.
    LeftDwell,
    /// Share of presses on which the finger rests on the key.
    LongDwellShare,
    /// Median factor by which resting lengthens a dwell.
    LongDwellFactor,
    /// Log effect of each letter a word has more than four, up to eight, on the interval of its first.
    WordLength,
    /// Share of gestures that pause between the held key and the target.
    ThinkShare,
    /// Median factor of that pause on the lead.
    ThinkFactor,
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
        "effect of the left little finger on the log dwell, against the index finger",
    ),
    constant(
        Constant::RingDwell,
        "ring_dwell_effect",
        "log units",
        -1.0,
        1.0,
        "effect of the left ring finger on the log dwell, against the index finger",
    ),
    constant(
        Constant::MiddleDwell,
        "middle_dwell_effect",
        "log units",
        -1.0,
        1.0,
        "effect of the left middle finger on the log dwell, against the index finger",
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
        Constant::RightFingers,
        "right_finger_share",
        "share",
        -1.0,
        2.0,
        "share of the effects of little, ring and middle finger that the right hand has",
    ),
    constant(
        Constant::InOrder,
        "in_order_share",
        "share",
        0.0,
        1.0,
        "share of rolls in which the second finger waits for the first to come up",
    ),
    constant(
        Constant::InOrderLagMs,
        "in_order_lag_ms",
        "ms",
        1.0,
        500.0,
        "how long after the first finger it comes up, at most",
    ),
    constant(
        Constant::RollSlope,
        "roll_slope",
        "factor",
        0.2,
        2.0,
        "what remains of the part of an overlap of two fingers that goes beyond what is usual",
    ),
    constant(
        Constant::RollGainMs,
        "roll_gain_ms",
        "ms",
        0.0,
        100.0,
        "what is added to an overlap: two fingers seldom come up and strike at the same moment",
    ),
    constant(Constant::RollHalfMs, "roll_half_ms", "ms", 0.1, 200.0, "the overlap at which half of that is added"),
    constant(Constant::LiftMs, "lift_ms", "ms", 1.0, 200.0, "least time between a finger's release and its next press"),
    constant(Constant::LeadSpread, "lead_spread", "log units", 0.0, 2.0, "SD of the log lead within a typist"),
    constant(Constant::LullSpread, "lull_spread", "log units", 0.0, 3.0, "SD of the log lull factor within a typist"),
    constant(
        Constant::ReleaseSpread,
        "release_spread",
        "log units",
        0.0,
        3.0,
        "SD of the log time from the last target's press to the held key's release within a typist",
    ),
    constant(
        Constant::AfterHoldMs,
        "after_hold_ms",
        "ms",
        0.1,
        2000.0,
        "median of the least time from letting a held key go to the next press",
    ),
    constant(Constant::AfterHoldSpread, "after_hold_spread", "log units", 0.0, 3.0, "SD of the log of that time"),
    constant(
        Constant::FrequencyEffect,
        "frequency_effect",
        "log units per tenfold rarer",
        -1.0,
        2.0,
        "effect of a ten times rarer letter pair on the log interval",
    ),
    constant(
        Constant::MidWord,
        "mid_word_effect",
        "log units",
        -1.0,
        1.0,
        "effect of the third and later letters of words of five and more on the log interval",
    ),
    constant(
        Constant::Substitution,
        "slip_substitution",
        "share of slips",
        0.0,
        1.0,
        "share of slips that strike a neighbouring key",
    ),
    constant(Constant::Omission, "slip_omission", "share of slips", 0.0, 1.0, "share of slips that leave a key out"),
    constant(
        Constant::Insertion,
        "slip_insertion",
        "share of slips",
        0.0,
        1.0,
        "share of slips that strike a neighbouring key as well; the rest transpose two keys",
    ),
    constant(
        Constant::DetectionLag,
        "slip_detection_lag",
        "keys",
        0.0,
        50.0,
        "mean number of further keys before a slip is noticed",
    ),
    constant(
        Constant::DriftInterval,
        "interval_drift",
        "log units per 1000 presses",
        -0.1,
        0.1,
        "slowing of the interval over a session",
    ),
    constant(
        Constant::DriftDwell,
        "dwell_drift",
        "log units per 1000 presses",
        -0.1,
        0.1,
        "lengthening of the dwell over a session",
    ),
    constant(
        Constant::Adaptation,
        "adaptation",
        "share",
        0.0,
        1.0,
        "how far the typist has learned to hold dual-role keys differently from a dedicated modifier key",
    ),
    constant(
        Constant::AdaptedLead,
        "adapted_lead_factor",
        "ratio",
        0.2,
        5.0,
        "factor on the lead of a fully adapted typist",
    ),
    constant(
        Constant::AdaptedRelease,
        "adapted_release_factor",
        "ratio",
        0.2,
        10.0,
        "factor of a fully adapted typist on the time from the last target's press to the release",
    ),
    constant(Constant::RunHold, "run_hold_share", "share", 0.0, 1.0, "share of runs of capitals made under one hold"),
    constant(
        Constant::SecondLead,
        "second_lead_factor",
        "ratio",
        0.01,
        5.0,
        "time between the two held keys of a gesture, over the lead",
    ),
    constant(Constant::BareHoldMs, "bare_hold_ms", "ms", 1.0, 60000.0, "median dwell of a hold without a target"),
    constant(Constant::BareHoldSpread, "bare_hold_spread", "log units", 0.0, 3.0, "SD of the log of that dwell"),
    constant(Constant::RepeatHoldMs, "repeat_hold_ms", "ms", 1.0, 60000.0, "median dwell of a key held for repeat"),
    constant(
        Constant::LeftInterval,
        "left_hand_effect",
        "log units",
        -0.5,
        0.5,
        "effect of the left hand against the right on the log interval of one-hand pairs",
    ),
    constant(
        Constant::LeftDwell,
        "left_dwell_effect",
        "log units",
        -0.5,
        0.5,
        "effect of the left hand against the right on the log dwell",
    ),
    constant(
        Constant::LongDwellShare,
        "long_dwell_share",
        "share",
        0.0,
        0.5,
        "share of presses on which the finger rests",
    ),
    constant(
        Constant::LongDwellFactor,
        "long_dwell_factor",
        "ratio",
        1.0,
        20.0,
        "median factor by which resting lengthens a dwell",
    ),
    constant(
        Constant::WordLength,
        "word_length_effect",
        "log units per letter",
        -0.2,
        0.3,
        "effect of each letter of a word, up to eight, on the log interval of its first",
    ),
    constant(
        Constant::ThinkShare,
        "think_share",
        "share",
        0.0,
        0.9,
        "share of gestures that pause between the held key and the target",
    ),
    constant(Constant::ThinkFactor, "think_factor", "ratio", 1.0, 50.0, "median factor of that pause on the lead"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_follows_the_enum() {
        for (at, row) in CONSTANTS.iter().enumerate() {
            assert_eq!(row.id as usize, at, "{}", row.name);
        }
    }
}
