//! The population `trained`: what touch typists have otherwise than `volunteers`.
//!
//! Level and spread of speed follow the touch typists of a motion-capture study; what it does not print is
//! read off the relation to speed among all visitors of the online test. The fitted numbers come from
//! `cargo run --release -p agogic-typist --example moments -- --population trained --fit`. With them 3000 people
//! have 57.7 WPM (SD 15.8), trimmed intervals of 173 ms (SD 45; published 176 and 44) and roll 23 of 100
//! characters; at their speed 29 are published.

use crate::provenance::{Changes, Provenance, TraitRow};
use crate::traits::Trait;

const SPEED: Provenance = Provenance::derived(
    "fitted to the 13 touch typists of Feit, Weir & Oulasvirta 2016: 57.8 WPM, and an SD of 44.31 ms between their mean \
     intervals without those more than 2 SD from a person's mean; Klein finds 58.1 WPM for visitors of the online test with nine \
     or ten fingers, Salthouse 1984 about 60 for typists by trade",
);
const DWELL: Provenance = Provenance::derived(
    "fitted to a mean dwell of 114 ms at 58 WPM, between 116.25 ms at 51.6 and 104.49 ms at 89.6 WPM in Dhakal et al. \
     2018, Table 3",
);
const CORRECTIONS: Provenance = Provenance::derived(
    "fitted to corrections of 5.8 per 100 characters at 58 WPM, between 6.31 % at 51.6 and 3.40 % at 89.6 WPM in Dhakal et \
     al. 2018, Table 3",
);

const GESTURES: Provenance = Provenance::derived(
    "from `volunteers` by speed: over people the log of the lead goes with the log of the mean interval with a slope of .83, \
     that of the release with .35 (half of an open sample of Dhakal et al. 2018), here from 221 to 185 ms",
);

pub(crate) static CHANGES: Changes = Changes {
    name: "trained",
    about: "touch typists of today: people who learned to type with ten fingers and do, about 58 words a minute",
    traits: &[
        (Trait::Interval, TraitRow::new(79.9, SPEED, 0.373, SPEED)),
        (
            Trait::Dwell,
            TraitRow::new(
                94.9,
                DWELL,
                0.20,
                Provenance::derived(
                    "SD between people 23.88 ms of 116.25 ms over all visitors (Dhakal et al. 2018, Table 3); the dwell \
                     hardly depends on skill",
                ),
            ),
        ),
        (
            Trait::Hesitation,
            TraitRow::new(
                0.04,
                Provenance::assumed(
                    0.005,
                    0.08,
                    "fewer than among all visitors; the trimmed mean interval of Feit et al. 2016 with their speed asks \
                     for hardly any",
                ),
                0.5,
                Provenance::assumed(0.1, 1.2, "people differ in how often they hesitate; no published spread"),
            ),
        ),
        (
            Trait::SameHand,
            TraitRow::new(
                0.14,
                Provenance::derived(
                    "Gentner 1983: two fingers of one hand 131 ms, two hands 114 ms; an earlier study in Feit et al. \
                     2016, Table 1, has 194 and 155 ms, the fast visitors of the online test less",
                ),
                0.07,
                Provenance::assumed(0.0, 0.2, "no published spread between people"),
            ),
        ),
        (
            Trait::SameFinger,
            TraitRow::new(
                0.36,
                Provenance::derived(
                    "an earlier study in Feit et al. 2016, Table 1: one finger on two keys 223 ms, two hands 155 ms; \
                     Gentner 1983 has 188 and 114 ms",
                ),
                0.10,
                Provenance::assumed(0.0, 0.3, "no published spread between people"),
            ),
        ),
        (Trait::Lead, TraitRow::new(127.0, GESTURES, 0.458, GESTURES)),
        (Trait::Release, TraitRow::new(75.0, GESTURES, 0.307, GESTURES)),
        (
            Trait::Slips,
            TraitRow::new(
                0.0304,
                CORRECTIONS,
                0.6,
                Provenance::assumed(0.2, 1.0, "the spread of slips between people is not printed"),
            ),
        ),
    ],
    constants: &[],
    correlations: &[],
};
