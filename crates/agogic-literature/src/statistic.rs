//! What a published value says of a population, as something a simulation can compute.

use std::fmt;

use crate::people::Runs;

/// A number for each person.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// Mean interval, press to press, gaps above 5 s left out, in ms.
    Interval,
    /// SD over mean of the intervals up to 10 s.
    IntervalCv,
    /// SD of the log interval.
    IntervalLogSd,
    /// Skewness of the intervals.
    IntervalSkewness,
    /// Excess kurtosis of the log intervals.
    LogIntervalKurtosis,
    /// Lag-one correlation of the intervals.
    LagOne,
    /// Words of five characters a minute, first press to last.
    Speed,
    /// 12 000 over the median interval in ms.
    MedianSpeed,
    /// Mean dwell, in ms.
    Dwell,
    /// SD over mean of the dwell.
    DwellCv,
    /// Excess kurtosis of the log dwell.
    LogDwellKurtosis,
    /// Mean dwell over median interval.
    DwellOverInterval,
    /// Share of presses made while the key before is down.
    Rollover,
    /// Presses made while the key before is down, per character of text.
    RolledPerCharacter,
    /// Mean overlap of the presses that have one, in ms; that of a held key with its target left out.
    Overlap,
    /// Mean interval of letter pairs of two hands, inside words, in ms.
    OtherHand,
    /// Mean of the left and the right hand's mean intervals of letter pairs of one hand, in ms.
    SameHand,
    /// Letter pairs of the left hand, in ms.
    LeftHand,
    /// Letter pairs of the right hand, in ms.
    RightHand,
    /// Letter pairs of one hand and two fingers, in ms.
    TwoFingers,
    /// Letter pairs of one finger and two keys, in ms.
    SameFinger,
    /// The same letter twice, in ms.
    Repeat,
    /// Any two letters inside a word, intervals from 30 ms to 3 s, in ms.
    LetterPair,
    /// Mean interval at a place (from 1) in words of so many letters, in ms.
    PlaceInWord {
        /// Place, 1 for the first letter.
        place: u8,
        /// Fewest letters.
        shortest: u8,
        /// Most letters.
        longest: u8,
    },
    /// Lag-one correlation of log intervals inside words, without hesitations, person and letter pair taken out.
    FluentLagOne,
    /// SD of the same residuals.
    FluentLogSd,
    /// Median lead of hold gestures, in ms.
    Lead,
    /// Median dwell of the held key, in ms.
    HoldDwell,
    /// Median lull before hold gestures, in ms.
    Lull,
    /// Share of hold gestures whose target is let go before the held key.
    Enclosed,
    /// Backspace and Delete presses per character of text.
    Corrections,
    /// Edit distance of the text left standing from the text wanted, over its characters.
    Uncorrected,
    /// Presses over characters left standing.
    KeystrokesPerCharacter,
    /// Substitutions per character, corrected ones included.
    Substitutions,
    /// Omissions per character, corrected ones included.
    Omissions,
    /// Insertions per character, corrected ones included.
    Insertions,
    /// Slope of the interval on the uncertainty of the letter given the one before, in ms a bit.
    EntropySlope,
    /// Mean interval of rare letter pairs less that of frequent ones, in ms.
    RarePairs,
}

/// Times of single presses, pooled over people, in ms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum KeyMeasure {
    /// Press to press, gaps above 5 s left out.
    Interval,
    /// Press to release, every key.
    Dwell,
    /// Press to release of keys that write, pressed without a modifier.
    CharacterDwell,
    /// Press to press up to 10 s, both keys writing and pressed without a modifier.
    CharacterInterval,
    /// Letter to letter.
    LetterLetter,
    /// Letter to Space.
    LetterSpace,
    /// Space to letter.
    SpaceLetter,
    /// Dwell of Space.
    SpaceDwell,
    /// Dwell of the letters of the left hand.
    LeftDwell,
    /// Dwell of the letters of the right hand.
    RightDwell,
    /// Time both keys of a rolled pair are down.
    Overlap,
    /// Hold gesture: held key's press to target's press.
    Lead,
    /// Hold gesture: dwell of the held key.
    HoldDwell,
    /// Hold gesture: target's release to held key's release; negative when the held key is let go first.
    Tail,
    /// Hold gesture: the press before to the held key's press.
    Lull,
}

/// Which people of a population.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Group {
    /// Everybody.
    All,
    /// The slowest share by [`Measure::Speed`].
    Slowest(f64),
    /// The fastest share by [`Measure::Speed`].
    Fastest(f64),
    /// From `lo` to below `hi` words a minute by [`Measure::Speed`].
    SpeedBand {
        /// Lower limit, included.
        lo: f64,
        /// Upper limit, excluded.
        hi: f64,
    },
    /// From `lo` to below `hi` by [`Measure::MedianSpeed`].
    MedianSpeedBand {
        /// Lower limit, included.
        lo: f64,
        /// Upper limit, excluded.
        hi: f64,
    },
}

/// A number about a population. Spreads between people have the divisor n − 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Statistic {
    /// Mean over people.
    PersonMean(Measure, Group),
    /// SD between people.
    PersonSd(Measure, Group),
    /// Skewness between people, m₃ / m₂^1.5.
    PersonSkewness(Measure),
    /// Excess kurtosis between people, m₄ / m₂² − 3.
    PersonKurtosis(Measure),
    /// Quantile over people, type 7.
    PersonQuantile(Measure, f64),
    /// Share of the people of a group with a value from `lo` to `hi`.
    PersonShare {
        /// What is measured.
        measure: Measure,
        /// In whom.
        group: Group,
        /// Lower limit, included.
        lo: f64,
        /// Upper limit, included.
        hi: f64,
    },
    /// Mean over people of the first measure less the second, over those who have both.
    Difference(Measure, Measure, Group),
    /// Mean of the first measure over the mean of the second, over those who have both.
    Ratio(Measure, Measure, Group),
    /// Pearson's correlation between people.
    Correlation(Measure, Measure),
    /// The slowest mean by place, from the third letter on, over the mean of the second letter, in words of
    /// five letters or more.
    MiddleOfWord,
    /// Quantile of single presses, pooled.
    KeyQuantile(KeyMeasure, f64, Group),
    /// A figure of the test bed for people of open logs, by its name.
    People {
        /// The part of the data set that the people are: a half by its name, or `whole`.
        part: &'static str,
        /// Name of the [`Figure`](agogic_people::Figure).
        name: &'static str,
        /// How the people typed.
        runs: Runs,
    },
    /// A quantile of single presses over another.
    KeyQuantileRatio {
        /// Numerator: measure and probability.
        over: (KeyMeasure, f64),
        /// Denominator: measure and probability.
        under: (KeyMeasure, f64),
        /// In whom.
        group: Group,
    },
}

impl fmt::Display for Group {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::All => Ok(()),
            Self::Slowest(share) => write!(f, ", slowest {} %", share * 100.0),
            Self::Fastest(share) => write!(f, ", fastest {} %", share * 100.0),
            Self::SpeedBand { lo, hi } if hi.is_infinite() => write!(f, ", from {lo} WPM"),
            Self::SpeedBand { lo, hi } => write!(f, ", {lo} to {hi} WPM"),
            Self::MedianSpeedBand { lo, hi } if hi.is_infinite() => write!(f, ", median speed from {lo}"),
            Self::MedianSpeedBand { lo, hi } => write!(f, ", median speed {lo} to {hi}"),
        }
    }
}

impl fmt::Display for Measure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PlaceInWord { place, shortest, longest } => {
                write!(f, "interval of letter {place} in words of {shortest} to {longest}")
            }
            other => f.write_str(&spaced(&format!("{other:?}"))),
        }
    }
}

impl fmt::Display for KeyMeasure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&spaced(&format!("{self:?}")))
    }
}

/// `FluentLagOne` as "fluent lag one".
fn spaced(name: &str) -> String {
    let mut out = String::with_capacity(name.len() + 4);
    for c in name.chars() {
        if c.is_ascii_uppercase() && !out.is_empty() {
            out.push(' ');
        }
        out.push(c.to_ascii_lowercase());
    }
    out
}

impl fmt::Display for Statistic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PersonMean(m, g) => write!(f, "mean {m}{g}"),
            Self::PersonSd(m, g) => write!(f, "SD between people of {m}{g}"),
            Self::PersonSkewness(m) => write!(f, "skewness between people of {m}"),
            Self::PersonKurtosis(m) => write!(f, "excess kurtosis between people of {m}"),
            Self::PersonQuantile(m, p) => write!(f, "p{} over people of {m}", (p * 100.0).round()),
            Self::PersonShare { measure, group, lo, hi } => {
                write!(f, "share of people with {measure} from {lo} to {hi}{group}")
            }
            Self::Difference(a, b, g) => write!(f, "{a} less {b}{g}"),
            Self::Ratio(a, b, g) => write!(f, "{a} over {b}{g}"),
            Self::Correlation(a, b) => write!(f, "r({a}, {b})"),
            Self::MiddleOfWord => f.write_str("slowest middle letter over second letter"),
            Self::People { name, .. } => f.write_str(name),
            Self::KeyQuantile(k, p, g) => write!(f, "p{} of single {k}{g}", (p * 100.0).round()),
            Self::KeyQuantileRatio { over, under, group } => {
                let p = |p: f64| (p * 100.0).round();
                write!(f, "p{} of {} over p{} of {}{group}", p(over.1), over.0, p(under.1), under.0)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn statistics_say_what_they_are() {
        let show = |s: Statistic| s.to_string();
        assert_eq!(
            show(Statistic::PersonMean(Measure::OtherHand, Group::Fastest(0.1))),
            "mean other hand, fastest 10 %"
        );
        assert_eq!(show(Statistic::KeyQuantile(KeyMeasure::Lead, 0.05, Group::All)), "p5 of single lead");
    }
}
