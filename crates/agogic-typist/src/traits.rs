//! The traits in which typists differ.

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
    /// What values it takes, in words.
    pub fn range(self) -> &'static str {
        match self {
            Self::Log => "above zero",
            Self::Logit => "between zero and one",
            Self::Plain => "a number",
        }
    }

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
    /// floor that nobody undercuts ([`Constant::IntervalFloor`](crate::Constant::IntervalFloor)).
    Interval,
    /// Spread of the log interval.
    IntervalSpread,
    /// Median dwell.
    Dwell,
    /// Spread of the log dwell.
    DwellSpread,
    /// Share of presses that follow a hesitation.
    Hesitation,
    /// Log effect of staying on the same hand.
    SameHand,
    /// Log effect of staying on the same finger.
    SameFinger,
    /// Median time from letting a key go to pressing it again, when a letter is doubled.
    Repeat,
    /// Log effect of starting a word.
    WordStart,
    /// Median time from the held key's press to the target's press.
    Lead,
    /// Median time from the last target's press to the held key's release.
    Release,
    /// Share of hold gestures made by the typist's holding hand although the target lies under that hand too.
    OneHand,
    /// The hand that makes such gestures: the left one above zero, the right one below.
    HoldingHand,
    /// Factor on the interval before a hold gesture.
    Lull,
    /// Slips per character of text.
    Slips,
    /// Share of slips that are noticed and corrected.
    Detection,
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
        "repeat_gap_ms",
        "ms",
        Scale::Log,
        "median time from letting a key go to pressing it again, when a letter is doubled",
    ),
    info(
        Trait::WordStart,
        "word_start_effect",
        "log units",
        Scale::Plain,
        "effect of starting a word on the log interval",
    ),
    info(Trait::Lead, "lead_ms", "ms", Scale::Log, "median time from the held key's press to the target's press"),
    info(
        Trait::Release,
        "release_ms",
        "ms",
        Scale::Log,
        "median time from the last target's press to the held key's release",
    ),
    info(
        Trait::OneHand,
        "one_hand_share",
        "share",
        Scale::Logit,
        "share of hold gestures made by the holding hand although the target lies under that hand too",
    ),
    info(
        Trait::HoldingHand,
        "holding_hand",
        "normal score",
        Scale::Plain,
        "the hand that makes such gestures: the left one above zero, the right one below",
    ),
    info(Trait::Lull, "lull_factor", "ratio", Scale::Log, "factor on the interval before a hold gesture"),
    info(Trait::Slips, "slip_share", "per character", Scale::Logit, "slips of the finger per character of text"),
    info(Trait::Detection, "slip_detection", "share", Scale::Logit, "share of slips noticed and corrected"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_follows_the_enum() {
        for (at, row) in TRAITS.iter().enumerate() {
            assert_eq!(row.id as usize, at, "{}", row.name);
        }
    }

    #[test]
    fn scales_invert() {
        for (scale, value) in [(Scale::Log, 3.5), (Scale::Logit, 0.39), (Scale::Plain, -0.2)] {
            assert!((scale.to_natural(scale.to_normal(value)) - value).abs() < 1e-12);
        }
    }
}
