//! The population `volunteers`.

use crate::calibrated as fit;
use crate::correlations::Correlation;
use crate::provenance::{BuiltIn, ConstantRow, Provenance, TraitRow};
use crate::traits::Trait;

/// Values of the file `calibrated.rs`, which `calibrate` writes.
const fn fitted(how: &'static str) -> Provenance {
    Provenance::derived(how)
}

const MOMENTS: Provenance = fitted(
    "calibrate: mean, SD and quantiles of the interval, mean and SD of the dwell and its relation to speed, rollover of \
     all, slow and fast typists, mean overlap (Dhakal et al. 2018 and its open data); pairs that roll, dwells, their spread \
     within people and the rates of twelve settings in half of an open sample of that study; spread of fluent intervals \
     (Roeser et al. 2021)",
);
const JOINT: Provenance = fitted(
    "calibrate: mean over people of the correlation of log dwell and the log of the interval before it, in half of an open \
     sample of Dhakal et al. 2018",
);
const HESITATIONS: Provenance = fitted(
    "calibrate: quantiles and spread of the interval (Dhakal et al. 2018 and its open data) and of intervals over their \
     person's median in half of an open sample of that study; Space to letter over letter to letter (Dias et al. 2023)",
);
const PAIRS: Provenance = fitted(
    "calibrate: mean intervals of pairs of two hands, of either hand and of doubled letters (Dhakal et al. 2018), and how they \
     go with speed in half of an open sample of that study",
);
const WORDS: Provenance = fitted(
    "calibrate: first and middle letters of a word over the second (Crump, Lai & Brosowsky 2019), Space to letter over \
     letter to letter (Dias et al. 2023)",
);
const SLIPS: Provenance = fitted(
    "calibrate: corrections and their relation to speed, uncorrected errors, substitutions, omissions and insertions \
     (Dhakal et al. 2018), and corrections by speed and their spread in half of an open sample of that study",
);
const HANDS: Provenance =
    fitted("calibrate: median dwell of Space over all keys and of the left hand over the right (Dias et al. 2023)");
const GESTURES: Provenance = fitted(
    "calibrate: quantiles of lead, hold and release, share of enclosed gestures and its SD between people, and how they go with \
     speed, in the Shift gestures of half of an open sample of Dhakal et al. 2018 (see the rows `people-*`)",
);
const LULLS: Provenance = fitted(
    "calibrate: quantiles of the lull before Shift inside sentences, in half of an open sample of Dhakal et al. 2018",
);
const ROLLS: Provenance = fitted(
    "calibrate: among rolls the share in which the second key comes up first, in half of an open sample of Dhakal et al. 2018",
);
const OVERLAPS: Provenance = fitted(
    "calibrate: quantiles of the overlap of rolls in half of an open sample of Dhakal et al. 2018: shuffled dwells and \
     intervals of the same people give more overlaps of a few ms and more long ones",
);
const FINGERS: Provenance =
    fitted("calibrate: dwells by finger over all dwells, in half of an open sample of Dhakal et al. 2018");
// The rows fix only a combination of the two.
const TAILS: &str = "calibrate: shares of dwells of at least 250 and 400 ms, in half of an open sample of Dhakal et al. 2018: \
                     one in two thousand people's presses is that long, which does not tell how often from by how much";
const HOLDING: &str = "where logs tell the side of Shift, 66 of 69 people made nearly all of their gestures with one hand, \
                       whatever the target, 56 of them with the left (18 people of Kuruvilla, Daley & Kumar 2024 and 51 of \
                       Freihaut & Goritz 2022, counted for this project)";
const HANDEDNESS: Provenance = Provenance::derived(HOLDING);
const KINDS: Provenance = Provenance::derived(
    "omission 0.80 of 3.12 % of characters (Dhakal et al. 2018); what substitutions and insertions leave are \
     transpositions, of which Rumelhart & Norman 1982 give one in 1800 characters",
);

const fn assumed(lo: f64, hi: f64, reason: &'static str) -> Provenance {
    Provenance::assumed(lo, hi, reason)
}

const fn row(median: f64, of_median: Provenance, spread: f64, of_spread: Provenance) -> TraitRow {
    TraitRow { median, spread, of_median, of_spread }
}

const fn value(value: f64, provenance: Provenance) -> ConstantRow {
    ConstantRow { value, provenance }
}

pub(crate) static BUILT_IN: BuiltIn = BuiltIn {
    name: "volunteers",
    about: "self-selected visitors of an online typing test: broad in age, training and speed",
    traits: [
        // interval_excess_ms
        row(fit::INTERVAL_MS_MEDIAN, MOMENTS, fit::INTERVAL_MS_SPREAD, MOMENTS),
        // interval_spread
        row(fit::INTERVAL_SPREAD_MEDIAN, MOMENTS, fit::INTERVAL_SPREAD_SPREAD, MOMENTS),
        // dwell_ms
        row(fit::DWELL_MS_MEDIAN, MOMENTS, fit::DWELL_MS_SPREAD, MOMENTS),
        // dwell_spread
        row(fit::DWELL_SPREAD_MEDIAN, MOMENTS, fit::DWELL_SPREAD_SPREAD, MOMENTS),
        // hesitation_share
        row(fit::HESITATION_SHARE_MEDIAN, HESITATIONS, fit::HESITATION_SHARE_SPREAD, HESITATIONS),
        // same_hand_effect
        row(fit::SAME_HAND_EFFECT_MEDIAN, PAIRS, fit::SAME_HAND_EFFECT_SPREAD, PAIRS),
        // same_finger_effect
        row(
            0.30,
            assumed(
                0.1,
                0.55,
                "typewriter-era means 185-192 ms against 114 ms for two hands; a modern value is not printed",
            ),
            0.10,
            assumed(0.0, 0.3, "no published spread between people"),
        ),
        // repeat_gap_ms
        row(fit::REPEAT_GAP_MS_MEDIAN, PAIRS, fit::REPEAT_GAP_MS_SPREAD, PAIRS),
        // word_start_effect
        row(fit::WORD_START_EFFECT_MEDIAN, WORDS, 0.10, assumed(0.0, 0.3, "no published spread between people")),
        // lead_ms
        row(fit::LEAD_MS_MEDIAN, GESTURES, fit::LEAD_MS_SPREAD, GESTURES),
        // release_ms
        row(fit::RELEASE_MS_MEDIAN, GESTURES, fit::RELEASE_MS_SPREAD, GESTURES),
        // one_hand_share
        row(0.999, assumed(0.3, 0.9999, HOLDING), 4.0, assumed(1.0, 5.0, HOLDING)),
        // holding_hand
        row(1.0, HANDEDNESS, 1.0, HANDEDNESS),
        // lull_factor
        row(fit::LULL_FACTOR_MEDIAN, LULLS, fit::LULL_FACTOR_SPREAD, LULLS),
        // slip_share
        row(fit::SLIP_SHARE_MEDIAN, SLIPS, fit::SLIP_SHARE_SPREAD, SLIPS),
        // slip_detection
        row(fit::SLIP_DETECTION_MEDIAN, SLIPS, fit::SLIP_DETECTION_SPREAD, SLIPS),
    ],
    constants: [
        // interval_floor_ms
        value(fit::INTERVAL_FLOOR_MS, MOMENTS),
        // tempo_persistence
        value(
            0.90,
            assumed(
                0.5,
                0.98,
                "tempo drifts over words; successive letters within fluent typing are nearly uncorrelated",
            ),
        ),
        // tempo_spread
        value(
            0.05,
            assumed(
                0.0,
                0.25,
                "word-level tempo; lag-one correlation of fluent intervals is 0.00 in Roeser et al. 2021",
            ),
        ),
        // dwell_interval_correlation
        value(fit::DWELL_INTERVAL_CORRELATION, JOINT),
        // outward_effect
        value(0.02, assumed(-0.05, 0.10, "inward movements are said to be faster; no printed value seen")),
        // hesitation_factor
        value(fit::HESITATION_FACTOR, HESITATIONS),
        // hesitation_spread
        value(fit::HESITATION_SPREAD, HESITATIONS),
        // hesitation_word_start
        value(fit::HESITATION_WORD_START, HESITATIONS),
        // little, ring, middle and thumb dwell effects
        value(fit::LITTLE_DWELL_EFFECT, FINGERS),
        value(fit::RING_DWELL_EFFECT, FINGERS),
        value(fit::MIDDLE_DWELL_EFFECT, FINGERS),
        value(fit::THUMB_DWELL_EFFECT, HANDS),
        // right_finger_share
        value(fit::RIGHT_FINGER_SHARE, FINGERS),
        // in_order_share
        value(fit::IN_ORDER_SHARE, ROLLS),
        // in_order_lag_ms
        value(60.0, ROLLS),
        // roll_slope, roll_gain_ms, roll_half_ms
        value(fit::ROLL_SLOPE, OVERLAPS),
        value(fit::ROLL_GAIN_MS, OVERLAPS),
        value(6.0, OVERLAPS),
        // lift_ms
        value(25.0, assumed(10.0, 50.0, "time to raise a finger off one key and reach the next; no published value")),
        // lead_spread
        value(fit::LEAD_SPREAD, GESTURES),
        // lull_spread
        value(fit::LULL_SPREAD, LULLS),
        // release_spread
        value(fit::RELEASE_SPREAD, GESTURES),
        // after_hold_ms, after_hold_spread
        value(
            30.0,
            assumed(10.0, 80.0, "the next key must not carry the modifier; how closely it follows is not published"),
        ),
        value(0.60, assumed(0.2, 1.0, "as for its median")),
        // frequency_effect
        value(
            0.10,
            assumed(
                0.0,
                0.25,
                "rarer pairs are slower (Salthouse 1984); mean interval grows by 34 ms a bit of uncertainty in Crump et al. 2019",
            ),
        ),
        // mid_word_effect
        value(fit::MID_WORD_EFFECT, WORDS),
        // slip_substitution, slip_omission, slip_insertion
        value(fit::SLIP_SUBSTITUTION, SLIPS),
        value(0.25, KINDS),
        value(fit::SLIP_INSERTION, SLIPS),
        // slip_detection_lag
        value(fit::SLIP_DETECTION_LAG, SLIPS),
        // interval_drift, dwell_drift
        value(
            0.0,
            assumed(
                0.0,
                0.01,
                "de Jong et al. 2020 report slowing over hours of office work; none within a short session",
            ),
        ),
        value(0.0, assumed(-0.01, 0.01, "no published drift of the dwell")),
        // adaptation
        value(0.5, assumed(0.0, 1.0, "how far people adapt to dual-role keys is not published")),
        // adapted_lead_factor
        value(1.15, assumed(0.9, 1.6, "people learn to wait for the modifier; by how much is not published")),
        // adapted_release_factor
        value(
            2.3,
            assumed(
                1.0,
                3.5,
                "people learn to let the held key go last; by how much is not published: 2.3 encloses 85 %",
            ),
        ),
        // run_hold_share
        value(
            0.8,
            assumed(
                0.3,
                1.0,
                "1.10 targets a gesture in the logs of Kuruvilla et al. 2024, most text without runs of capitals",
            ),
        ),
        // second_lead_factor
        value(0.4, assumed(0.1, 1.0, "no published timing of two held keys")),
        // bare_hold_ms, bare_hold_spread
        value(700.0, assumed(300.0, 2000.0, "a hold that covers one mouse click; no published timing")),
        value(0.5, assumed(0.2, 1.0, "as for its median")),
        // repeat_hold_ms
        value(900.0, assumed(500.0, 3000.0, "long enough for a computer's usual repeat delay of about half a second")),
        // left_hand_effect
        value(fit::LEFT_HAND_EFFECT, PAIRS),
        // left_dwell_effect
        value(fit::LEFT_DWELL_EFFECT, HANDS),
        // long_dwell_share, long_dwell_factor
        value(fit::LONG_DWELL_SHARE, fitted(TAILS)),
        value(fit::LONG_DWELL_FACTOR, assumed(1.5, 6.0, TAILS)),
        // word_length_effect
        value(
            0.03,
            assumed(
                0.0,
                0.08,
                "the slowing of the first letter grows with the length of the word up to eight letters (Crump et al. 2019)",
            ),
        ),
        // think_share, think_factor
        value(fit::THINK_SHARE, GESTURES),
        value(fit::THINK_FACTOR, GESTURES),
    ],
    correlations: &[
        (Correlation { a: Trait::Interval, b: Trait::Dwell, r: fit::CORRELATION_INTERVAL_MS_DWELL_MS }, MOMENTS),
        (
            Correlation {
                a: Trait::Interval,
                b: Trait::IntervalSpread,
                r: fit::CORRELATION_INTERVAL_MS_INTERVAL_SPREAD,
            },
            MOMENTS,
        ),
        (
            Correlation { a: Trait::Interval, b: Trait::Hesitation, r: fit::CORRELATION_INTERVAL_MS_HESITATION_SHARE },
            HESITATIONS,
        ),
        (Correlation { a: Trait::Interval, b: Trait::Slips, r: fit::CORRELATION_INTERVAL_MS_SLIP_SHARE }, SLIPS),
        (
            Correlation { a: Trait::Interval, b: Trait::SameHand, r: fit::CORRELATION_INTERVAL_MS_SAME_HAND_EFFECT },
            PAIRS,
        ),
        (Correlation { a: Trait::Interval, b: Trait::Repeat, r: fit::CORRELATION_INTERVAL_MS_REPEAT_GAP_MS }, PAIRS),
        (Correlation { a: Trait::Interval, b: Trait::Lead, r: fit::CORRELATION_INTERVAL_MS_LEAD_MS }, GESTURES),
        (Correlation { a: Trait::Interval, b: Trait::Release, r: fit::CORRELATION_INTERVAL_MS_RELEASE_MS }, GESTURES),
        (Correlation { a: Trait::Lead, b: Trait::Release, r: fit::CORRELATION_LEAD_MS_RELEASE_MS }, GESTURES),
    ],
};
