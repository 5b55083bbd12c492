//! Boosted trees that learn typist by typist what an observer sees do not lose less than it does, and those that are
//! shown more do: the claim of the floor for each sight, and that this test could refute it.

mod common;

#[path = "../adversary/study.rs"]
mod study;
#[path = "../adversary/trees.rs"]
mod trees;

use agogic_floor::{Sight, Stage};

use study::{COSTS, Judged, Shown, Size};

/// Monte Carlo errors below an observer. Of a normal, one standing below −5.5 has alpha 2e-8; with the errors estimated
/// from 8 sessions of each typist, 14 degrees of freedom, 4e-5 by t, some 2e-4 for the six standings that must not.
const GATE: f64 = -5.5;

#[test]
fn trees_are_below_no_observer_that_sees_as_much() {
    let [scene, ..] = common::scenes();
    let mut judged = Judged::default();
    // Presses enough for a model of each key.
    let stage = Stage { rehearsal: 160_000, ..scene.stage() };
    for number in 0..2 {
        let size = Size { sessions: [8, 8], keys: 12_000, rounds: 100 };
        judged.add(&stage, &scene.typist(number), size);
    }
    let below = |shown: Shown, sight: Sight| {
        let standing = |cost| judged.above(shown, sight, cost).standing();
        (0..COSTS.len()).map(standing).fold(f64::INFINITY, f64::min)
    };
    for (shown, sight) in [(Shown::Timing, Sight::Timing), (Shown::OwnKey, Sight::OwnKey)] {
        let standing = below(shown, sight);
        assert!(standing > GATE, "{shown:?} under {sight:?}: {standing:.1}");
    }
    for shown in [Shown::OwnKey, Shown::KeyBefore] {
        let standing = below(shown, Sight::Timing);
        assert!(standing < GATE, "{shown:?} under timing: {standing:.1}");
    }
}
