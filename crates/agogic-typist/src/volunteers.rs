//! The population `volunteers`.

use crate::population::Correlation;
use crate::register::{BuiltIn, ConstantRow, Provenance, TraitRow};
use crate::typist::Trait;

const MOMENTS: Provenance = Provenance::Derived {
    how: "set so that simulated typists reproduce the calibration rows of Dhakal et al. 2018 (mean interval and its SD, \
          mean dwell and its SD, rollover of slow and fast typists) and the interval quantiles of the same open data",
};
const GESTURES: Provenance = Provenance::Derived {
    how: "reference range of 2 271 Shift gestures by 18 people, computed for this project from the press and release \
          logs of Kuruvilla, Daley & Kumar 2024 (doi:10.1109/CCNC51664.2024.10454821)",
};

const SLIPS: Provenance = Provenance::Derived {
    how: "set so that simulated typists correct about 6.3 % of their presses and leave about 1.2 % of their characters \
          wrong, as in Dhakal et al. 2018",
};
const KINDS: Provenance = Provenance::Derived {
    how: "substitution 1.65, omission 0.80, insertion 0.67 % of characters (Dhakal et al. 2018); one transposition in \
          1800 characters (Rumelhart & Norman 1982)",
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

pub(crate) const BUILT_IN: BuiltIn = BuiltIn {
    name: "volunteers",
    about: "self-selected visitors of an online typing test: broad in age, training and speed",
    traits: [
        // interval_excess_ms
        row(92.0, MOMENTS, 0.64, MOMENTS),
        // interval_spread
        row(
            0.30,
            Provenance::Published {
                source: "Roeser et al. 2021, Table 3: log-scale spread of the fluent component 0.29",
            },
            0.25,
            assumed(0.05, 0.5, "no published spread between people of the spread within people"),
        ),
        // dwell_ms
        row(101.0, MOMENTS, 0.21, MOMENTS),
        // dwell_spread
        row(
            0.28,
            Provenance::Derived {
                how: "open transcription data of Dhakal et al. 2018, six people: dwell quantiles p50 103, p90 176 ms \
                      pooled, less the spread between people",
            },
            0.25,
            assumed(0.05, 0.5, "no published spread between people of the spread within people"),
        ),
        // hesitation_share
        row(0.07, MOMENTS, 0.5, assumed(0.1, 1.2, "people differ in how often they hesitate; no published spread")),
        // lift_first_share
        row(
            0.03,
            MOMENTS,
            1.5,
            assumed(0.3, 2.0, "people of one speed and dwell differ in how much they roll; no printed spread"),
        ),
        // same_hand_effect
        row(
            0.06,
            Provenance::Derived {
                how: "Dhakal et al. 2018, Table 3: letter pairs of one hand 203.60 and 215.23 ms, of two hands 198.26 ms",
            },
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
        // repeat_effect
        row(
            -0.08,
            Provenance::Derived {
                how: "Dhakal et al. 2018, Table 3: repetition 176.36 ms against 198.26 ms for two hands",
            },
            0.22,
            assumed(0.0, 0.5, "repeats are faster than other pairs for slow typists and slower for fast ones"),
        ),
        // word_start_effect
        row(
            0.25,
            Provenance::Derived {
                how: "Crump, Lai & Brosowsky 2019: first letter 229 ms against 147 ms for the second; the rest of the \
                      difference is made by hesitations",
            },
            0.10,
            assumed(0.0, 0.3, "no published spread between people"),
        ),
        // trailing_share
        row(0.38, GESTURES, 1.1, GESTURES),
        // lead_ms
        row(160.0, GESTURES, 0.29, GESTURES),
        // lull_factor
        row(1.35, GESTURES, 0.35, GESTURES),
        // slip_share
        row(
            0.030,
            SLIPS,
            0.6,
            assumed(
                0.2,
                1.0,
                "corrections have an SD of 4.48 % between people; the spread of slips themselves is not printed",
            ),
        ),
    ],
    constants: [
        // interval_floor_ms
        value(
            50.0,
            Provenance::Derived {
                how: "person quantiles 133.8, 208.8 and 381.0 ms of mean intervals in the open data of Dhakal et al. 2018 \
              fit a shifted log-normal with a shift of 76 ms on the mean, about 50 ms on the median without hesitation",
            },
        ),
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
        value(1.3, MOMENTS),
        // hesitation_spread
        value(0.95, MOMENTS),
        // hesitation_word_start
        value(
            4.0,
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
        value(
            0.0,
            assumed(-0.15, 0.15, "KeyRecs (Dias et al. 2023): median dwell of Space 91 ms, the same as over all keys"),
        ),
        // overlap_kept
        value(
            0.80,
            Provenance::Derived {
                how: "set so that the mean overlap of rolled presses is near the 30 ms of Dhakal et al. 2018",
            },
        ),
        // lift_ms
        value(25.0, assumed(10.0, 50.0, "time to raise a finger off one key and reach the next; no published value")),
        // lead_spread
        value(0.55, GESTURES),
        // lull_spread
        value(0.60, GESTURES),
        // enclosed_tail_ms, enclosed_tail_spread
        value(39.0, GESTURES),
        value(1.20, GESTURES),
        // trailing_tail_ms, trailing_tail_spread
        value(29.0, GESTURES),
        value(0.73, GESTURES),
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
            0.06,
            assumed(
                0.0,
                0.15,
                "the slowest middle letter takes 176 ms against 156 ms for the second (Crump et al. 2019); the mean effect is smaller",
            ),
        ),
        // slip_substitution, slip_omission, slip_insertion
        value(0.52, KINDS),
        value(0.25, KINDS),
        value(0.21, KINDS),
        // slip_detection
        value(
            0.68,
            Provenance::Derived {
                how: "uncorrected errors 1.17 % of characters against 3.1 % of slips (Dhakal et al. 2018); 70 % of errors are \
              noticed without looking (Wu & Liu 2008)",
            },
        ),
        // slip_detection_lag
        value(3.0, SLIPS),
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
        value(
            0.055,
            Provenance::Derived {
                how: "Dhakal et al. 2018, Table 3: letter pairs of the left hand 215.23 ms, of the right 203.60 ms",
            },
        ),
        // left_dwell_effect
        value(
            0.08,
            Provenance::Derived {
                how: "KeyRecs (Dias et al. 2023): median dwell of letters of the left hand 96 ms, of the right 87 ms",
            },
        ),
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
        value(0.06, GESTURES),
        value(4.0, GESTURES),
    ],
    correlations: &[
        (
            Correlation { a: Trait::Interval, b: Trait::Dwell, r: 0.12 },
            Provenance::Derived {
                how: "Dhakal et al. 2018: dwell and speed correlate with -0.29; lifting fingers add to the correlation of the traits",
            },
        ),
        (
            Correlation { a: Trait::Interval, b: Trait::IntervalSpread, r: 0.30 },
            assumed(0.0, 0.6, "relative variability falls with skill (Gentner 1983, abstract); no printed correlation"),
        ),
        (
            Correlation { a: Trait::Interval, b: Trait::Hesitation, r: 0.35 },
            assumed(0.0, 0.7, "slow typists search for keys; no printed correlation"),
        ),
        (
            Correlation { a: Trait::Interval, b: Trait::Slips, r: 0.30 },
            Provenance::Derived { how: "corrections and speed correlate with -0.36 (Dhakal et al. 2018)" },
        ),
        (
            Correlation { a: Trait::Interval, b: Trait::SameHand, r: -0.4 },
            assumed(-0.8, 0.0, "slow typists gain nothing from changing hands (Dhakal et al. 2018)"),
        ),
        (
            Correlation { a: Trait::Interval, b: Trait::Repeat, r: -0.5 },
            assumed(-0.9, 0.0, "doubles turn from the fastest to among the slowest pairs with skill (Gentner 1983)"),
        ),
        (
            Correlation { a: Trait::Interval, b: Trait::Lead, r: 0.30 },
            assumed(0.0, 0.8, "who types slowly also moves slowly between the keys of a gesture"),
        ),
    ],
};
