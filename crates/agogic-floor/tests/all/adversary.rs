//! Boosted trees that learn typist by typist what an observer sees do not lose less than it does, and those that are
//! shown more do: the claim of the floor for each sight, and that this test could refute it.

#[allow(dead_code)]
use agogic_floor::{Sight, Stage};

use crate::study::{COSTS, Features, Judged, Size};

/// Monte Carlo errors below an observer, from 16 fresh sessions of each of 4 typists. By t with 60 degrees of freedom one
/// standing below −6 has alpha 6e-8, all that must not be there together less than 1e-6.
const GATE: f64 = -6.0;

#[test]
fn trees_are_below_no_observer_that_sees_as_much() {
    let [task, ..] = crate::common::tasks();
    let mut judged = Judged::default();
    // As long as a study asks for where keys are seen.
    let stage = Stage { rehearsal: 100_000, ..task.stage() };
    for number in 0..4 {
        judged.add(&stage, &task.typist(number), Size { sessions: [16, 16], keys: 12_000, rounds: 120 });
    }
    let below = |features: Features, sight: Sight| {
        let standing = |cost| judged.above(features, sight, cost).standing();
        (0..COSTS.len()).map(standing).fold(f64::INFINITY, f64::min)
    };
    use Features::{KeyBefore, Keys, KeysAndOdds, OwnKey, OwnKeyAndOdds, Timing, TimingAndOdds};
    let claims = [
        (Sight::Timing, [Timing, TimingAndOdds]),
        (Sight::OwnKey, [OwnKey, OwnKeyAndOdds]),
        (Sight::Keys, [Keys, KeysAndOdds]),
    ];
    for (sight, learners) in claims {
        for features in learners {
            let standing = below(features, sight);
            assert!(standing > GATE, "{features:?} under {sight:?}: {standing:.1}");
        }
    }
    // Whoever is shown more is below the narrow floor.
    for features in [OwnKey, KeyBefore, Keys] {
        let standing = below(features, Sight::Timing);
        assert!(standing < GATE, "{features:?} under timing: {standing:.1}");
    }
}
