//! The population `slow`: what the slowest tenth of the visitors has otherwise than `volunteers`.
//!
//! The fitted numbers come from
//! `cargo run --release -p agogic-typist --example moments -- --population slow --fit`. With them 3000 people
//! have mean intervals of 483 ms (SD 127; published 481 and 123), 22.0 WPM (SD 5.7; published 20.9 and 4.05),
//! and roll 5.2 of 100 characters; 7.6 are published.

use crate::constants::Constant;
use crate::provenance::{Changes, ConstantRow, Provenance, TraitRow};
use crate::traits::Trait;

const INTERVAL: Provenance = Provenance::derived(
    "fitted to the slowest tenth of Dhakal et al. 2018, Table 3: mean interval 481.03 ms, SD between people 123.36 ms",
);
const DWELL: Provenance =
    Provenance::derived("fitted to a mean dwell of 128.99 ms in the slowest tenth of Dhakal et al. 2018, Table 3");
const CORRECTIONS: Provenance = Provenance::derived(
    "fitted to corrections of 9.05 per 100 characters in the slowest tenth of Dhakal et al. 2018, Table 3",
);

const VARIED: Provenance = Provenance::derived(
    "what `volunteers` have at this speed: its medians, spreads and correlations with the interval, which an open sample of \
     Dhakal et al. 2018 set, at the slowest tenth",
);
const GESTURES: Provenance = Provenance::derived(
    "from `volunteers` by speed: over people the log of the lead goes with the log of the mean interval with a slope of .83, \
     that of the release with .35 (half of an open sample of Dhakal et al. 2018), here from 221 to 481 ms; the lead's spread is \
     what is left of it within a tenth of the speeds",
);

pub(crate) static CHANGES: Changes = Changes {
    name: "slow",
    about: "the slowest tenth of the visitors of an online typing test, below 26 words a minute: people who type \
            seldom, look for keys, or use few fingers",
    traits: &[
        (Trait::Interval, TraitRow::new(90.1, INTERVAL, 0.465, INTERVAL)),
        (Trait::IntervalSpread, TraitRow::new(0.36, VARIED, 0.37, VARIED)),
        (
            Trait::Dwell,
            TraitRow::new(
                100.7,
                DWELL,
                0.20,
                Provenance::derived(
                    "SD between people 23.88 ms of 116.25 ms over all visitors; slow typists from 80 to 150 ms (Dhakal \
                     et al. 2018, p. 5)",
                ),
            ),
        ),
        (Trait::Hesitation, TraitRow::new(0.10, VARIED, 0.65, VARIED)),
        (
            Trait::SameHand,
            TraitRow::new(
                -0.10,
                Provenance::derived(
                    "set so that pairs of two hands take 20 to 28 ms longer than pairs of one hand, as in the slowest \
                     tenth of Dhakal et al. 2018",
                ),
                0.07,
                Provenance::assumed(0.0, 0.2, "no published spread between people"),
            ),
        ),
        (
            Trait::SameFinger,
            TraitRow::new(
                0.10,
                Provenance::assumed(
                    -0.10,
                    0.30,
                    "with few fingers most pairs are made by one finger or by either hand",
                ),
                0.10,
                Provenance::assumed(0.0, 0.3, "no published spread between people"),
            ),
        ),
        (Trait::Lead, TraitRow::new(280.0, GESTURES, 0.40, GESTURES)),
        (Trait::Release, TraitRow::new(104.0, GESTURES, 0.307, GESTURES)),
        (
            Trait::Slips,
            TraitRow::new(
                0.0501,
                CORRECTIONS,
                0.5,
                Provenance::assumed(0.2, 1.0, "the spread of slips between people is not printed"),
            ),
        ),
    ],
    constants: &[(
        Constant::IntervalFloor,
        ConstantRow {
            value: 200.0,
            provenance: Provenance::derived(
                "the group is cut at 26 WPM, so many of its people lie close to one interval and a few far beyond it: of 0 \
                 to 260 ms the value that brings the SD of the speed near the 4.05 WPM of Dhakal et al. 2018, Table 3, \
                 and keeps all but one in a hundred people below the 900 ms named there",
            ),
        },
    )],
    correlations: &[],
};
