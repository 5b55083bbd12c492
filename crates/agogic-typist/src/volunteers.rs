//! The population `volunteers`.

use crate::calibrated as fit;
use crate::population::Correlation;
use crate::register::{BuiltIn, ConstantRow, Provenance, TraitRow};
use crate::typist::Trait;

/// Values of the file `calibrated.rs`, which `calibrate` writes.
const fn fitted(how: &'static str) -> Provenance {
    Provenance::Derived { how }
}

const MOMENTS: Provenance = fitted(
    "calibrate: mean, SD and quantiles of the interval, mean and SD of the dwell and its relation to speed, rollover of \
     all, slow and fast typists, mean overlap (Dhakal et al. 2018 and its open data), spread of the dwell within people \
     (Dias et al. 2023), spread of fluent intervals (Roeser et al. 2021)",
);
const HESITATIONS: Provenance = fitted(
    "calibrate: quantiles and spread of the interval (Dhakal et al. 2018 and its open data), Space to letter over letter to \
     letter (Dias et al. 2023); its two numbers and the spread of fluent intervals partly stand for each other",
);
const PAIRS: Provenance = fitted(
    "calibrate: mean intervals of pairs of two hands, of either hand and of doubled letters (Dhakal et al. 2018)",
);
const WORDS: Provenance = fitted(
    "calibrate: first and middle letters of a word over the second (Crump, Lai & Brosowsky 2019), Space to letter over \
     letter to letter (Dias et al. 2023)",
);
const SLIPS: Provenance = fitted(
    "calibrate: corrections and their relation to speed, uncorrected errors, substitutions, omissions and insertions \
     (Dhakal et al. 2018)",
);
const HANDS: Provenance =
    fitted("calibrate: median dwell of Space over all keys and of the left hand over the right (Dias et al. 2023)");
const GESTURES: Provenance = fitted(
    "calibrate: quantiles of lead, hold and tail, share of enclosed gestures and its SD between people, in 2 271 Shift \
     gestures by 18 people, computed for this project from the press and release logs of Kuruvilla, Daley & Kumar 2024 \
     (doi:10.1109/CCNC51664.2024.10454821)",
);
const LULLS: Provenance = Provenance::Derived {
    how: "set near the quantiles of the lull before 2 271 Shift gestures by 18 people, computed for this project from the \
          press and release logs of Kuruvilla, Daley & Kumar 2024 (doi:10.1109/CCNC51664.2024.10454821)",
};
const KINDS: Provenance = Provenance::Derived {
    how: "omission 0.80 of 3.12 % of characters (Dhakal et al. 2018); what substitutions and insertions leave are \
          transpositions, of which Rumelhart & Norman 1982 give one in 1800 characters",
};

const fn assumed(lo: f64, hi: f64, reason: &'static str) -> Provenance {
    Provenance::Assumed { lo, hi, reason }
}

const fn row(median: f64, of_median: Provenance, spread: f64, of_spread: Provenance) -> TraitRow {
    TraitRow { median, spread, of_median, of_spread }
}

const fn value(value: f64, provenance: Provenance) -> ConstantRow {
    ConstantRow { value, provenance }
}

// Reasons of numbers that `calibrate` moves but cannot pin down: the rows fix only a combination.
const LIFTING: &str = "calibrate: rollover of slow and fast typists wants few who lift first; how few, and how they \
                       differ, it does not tell";
const DOUBLES: &str =
    "calibrate: the interval of doubled letters (Dhakal et al. 2018) also holds the dwell and hesitations";
const LEADS: &str = "calibrate: quantiles of the lead (Kuruvilla et al. 2024) fix the whole spread, not its parts: between \
                     people, within people, and pauses";

pub(crate) const BUILT_IN: BuiltIn = BuiltIn {
    name: "volunteers",
    about: "self-selected visitors of an online typing test: broad in age, training and speed",
    traits: [
        // interval_excess_ms
        row(fit::INTERVAL_MS_MEDIAN, MOMENTS, fit::INTERVAL_MS_SPREAD, MOMENTS),
        // interval_spread
        row(
            fit::INTERVAL_SPREAD_MEDIAN,
            MOMENTS,
            0.25,
            assumed(0.05, 0.5, "no published spread between people of the spread within people"),
        ),
        // dwell_ms
        row(fit::DWELL_MS_MEDIAN, MOMENTS, fit::DWELL_MS_SPREAD, MOMENTS),
        // dwell_spread
        row(
            fit::DWELL_SPREAD_MEDIAN,
            MOMENTS,
            0.25,
            assumed(0.05, 0.5, "no published spread between people of the spread within people"),
        ),
        // hesitation_share
        row(
            fit::HESITATION_SHARE_MEDIAN,
            HESITATIONS,
            0.5,
            assumed(0.1, 1.2, "people differ in how often they hesitate; no published spread"),
        ),
        // lift_first_share
        row(
            fit::LIFT_FIRST_SHARE_MEDIAN,
            assumed(0.002, 0.35, LIFTING),
            fit::LIFT_FIRST_SHARE_SPREAD,
            assumed(0.3, 3.0, LIFTING),
        ),
        // same_hand_effect
        row(
            fit::SAME_HAND_EFFECT_MEDIAN,
            PAIRS,
            0.07,
            assumed(0.0, 0.2, "the advantage differs between people and changes sign in slow ones"),
        ),
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
        row(
            fit::REPEAT_GAP_MS_MEDIAN,
            assumed(15.0, 90.0, DOUBLES),
            0.30,
            assumed(0.1, 0.5, "no published spread between people; that of the dwell is about 0.2"),
        ),
        // word_start_effect
        row(fit::WORD_START_EFFECT_MEDIAN, WORDS, 0.10, assumed(0.0, 0.3, "no published spread between people")),
        // trailing_share
        row(fit::TRAILING_SHARE_MEDIAN, GESTURES, fit::TRAILING_SHARE_SPREAD, GESTURES),
        // lead_ms
        row(fit::LEAD_MS_MEDIAN, GESTURES, fit::LEAD_MS_SPREAD, assumed(0.12, 0.6, LEADS)),
        // lull_factor
        row(1.35, LULLS, 0.35, LULLS),
        // slip_share
        row(
            fit::SLIP_SHARE_MEDIAN,
            SLIPS,
            0.6,
            assumed(
                0.2,
                1.0,
                "corrections have an SD of 4.48 % between people; the spread of slips themselves is not printed",
            ),
        ),
        // slip_detection
        row(
            fit::SLIP_DETECTION_MEDIAN,
            SLIPS,
            1.0,
            assumed(
                0.3,
                1.8,
                "some people correct nearly every slip and some nearly none; the spread of the share is not printed",
            ),
        ),
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
        value(0.10, assumed(-0.2, 0.4, "no published joint statistic of dwell and interval within a person")),
        // outward_effect
        value(0.02, assumed(-0.05, 0.10, "inward movements are said to be faster; no printed value seen")),
        // hesitation_factor
        value(fit::HESITATION_FACTOR, HESITATIONS),
        // hesitation_spread
        value(
            0.95,
            assumed(0.5, 1.3, "quantiles of single intervals in the open data of Dhakal et al. 2018 have a long tail"),
        ),
        // hesitation_word_start
        value(
            fit::HESITATION_WORD_START,
            assumed(2.0, 8.0, "hesitations gather at word starts; Roeser et al. 2021 give 0.34 for unfamiliar words"),
        ),
        // little, ring, middle and thumb dwell effects
        value(
            0.03,
            assumed(
                -0.10,
                0.15,
                "a weaker finger is thought to release later; KeyRecs medians by key differ by up to 30 %",
            ),
        ),
        value(0.03, assumed(-0.10, 0.15, "as for the little finger")),
        value(0.02, assumed(-0.10, 0.15, "as for the little finger")),
        value(fit::THUMB_DWELL_EFFECT, HANDS),
        // overlap_kept
        value(fit::OVERLAP_KEPT, MOMENTS),
        // lift_ms
        value(25.0, assumed(10.0, 50.0, "time to raise a finger off one key and reach the next; no published value")),
        // lead_spread
        value(fit::LEAD_SPREAD, assumed(0.3, 0.9, LEADS)),
        // lull_spread
        value(0.60, LULLS),
        // enclosed_tail_ms, enclosed_tail_spread
        value(fit::ENCLOSED_TAIL_MS, GESTURES),
        value(fit::ENCLOSED_TAIL_SPREAD, GESTURES),
        // trailing_tail_ms, trailing_tail_spread
        value(fit::TRAILING_TAIL_MS, GESTURES),
        value(fit::TRAILING_TAIL_SPREAD, GESTURES),
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
        value(
            fit::MID_WORD_EFFECT,
            assumed(
                0.0,
                0.2,
                "calibrate: middle letters over the second (Crump, Lai & Brosowsky 2019) weigh little against its bounds",
            ),
        ),
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
        // adapted_trailing_odds
        value(0.3, assumed(0.05, 1.0, "people learn to let the held key go last; by how much is not published")),
        // adapted_tail_factor
        value(1.3, assumed(0.9, 2.5, "people learn to hold longer; by how much is not published")),
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
        value(
            0.03,
            assumed(
                0.0,
                0.08,
                "KeyRecs: SD of the dwell within people 38 % of its mean, more than a log-normal with its quartiles has",
            ),
        ),
        value(2.2, assumed(1.5, 4.0, "as for its share")),
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
        value(fit::THINK_SHARE, assumed(0.02, 0.2, LEADS)),
        value(fit::THINK_FACTOR, assumed(2.0, 8.0, LEADS)),
    ],
    correlations: &[
        (Correlation { a: Trait::Interval, b: Trait::Dwell, r: fit::CORRELATION_INTERVAL_MS_DWELL_MS }, MOMENTS),
        (
            Correlation { a: Trait::Interval, b: Trait::IntervalSpread, r: 0.30 },
            assumed(0.0, 0.6, "relative variability falls with skill (Gentner 1983, abstract); no printed correlation"),
        ),
        (
            Correlation { a: Trait::Interval, b: Trait::Hesitation, r: 0.35 },
            assumed(0.0, 0.7, "slow typists search for keys; no printed correlation"),
        ),
        (Correlation { a: Trait::Interval, b: Trait::Slips, r: fit::CORRELATION_INTERVAL_MS_SLIP_SHARE }, SLIPS),
        (
            Correlation { a: Trait::Interval, b: Trait::SameHand, r: -0.4 },
            assumed(-0.8, 0.0, "slow typists gain nothing from changing hands (Dhakal et al. 2018)"),
        ),
        (
            Correlation { a: Trait::Interval, b: Trait::Repeat, r: 0.3 },
            assumed(0.0, 0.6, "who moves slowly elsewhere is likely to do so here; no printed correlation"),
        ),
        (
            Correlation { a: Trait::Interval, b: Trait::Lead, r: 0.30 },
            assumed(0.0, 0.8, "who types slowly also moves slowly between the keys of a gesture"),
        ),
    ],
};
