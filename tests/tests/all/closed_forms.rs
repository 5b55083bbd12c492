//! Simulated error rates against closed forms of the model.
//!
//! Under a population without shared-finger effects the dwell of a tap is log-normal, so
//! P(false hold | dwell-cutoff c) = P(dwell ≥ c) = 1 − Φ((ln c − ln m) / σ). Two log-normals overlap with
//! P(interval < dwell) = Φ((ln m_d − ln m_i) / √(σ_d² + σ_i²)). Both are textbook properties of the
//! log-normal distribution (Johnson, Kotz & Balakrishnan 1994, chapter 14; from memory).

use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
use agogic_policy::{EncounterScan, Setting};
use agogic_stats::{normal_lower, normal_upper};
use agogic_typist::{Constant, Performer, Population, SessionAddress, Trait, TraitSpread, Typist};

const PRESSES: usize = 400_000;
/// Two-sided normal quantile for alpha = 1e-6 per assertion.
const Z: f64 = 4.8916;

/// One typist without class effects, hesitations, tempo, slips or waiting fingers: intervals and dwells are plain
/// independent log-normals.
fn plain() -> Typist {
    let set = |p: Population, id, median| p.with_trait(id, TraitSpread { median, spread: 0.0 }).unwrap();
    let mut population = Population::volunteers();
    for (id, median) in [
        (Trait::Hesitation, 1e-12),
        (Trait::SameHand, 0.0),
        (Trait::SameFinger, 0.0),
        (Trait::WordStart, 0.0),
        (Trait::Interval, 90.0),
        (Trait::IntervalSpread, 0.35),
        (Trait::Dwell, 108.0),
        (Trait::DwellSpread, 0.28),
        (Trait::Slips, 1e-12),
    ] {
        population = set(population, id, median);
    }
    for (id, value) in [
        (Constant::IntervalFloor, 60.0),
        (Constant::TempoSpread, 0.0),
        (Constant::DwellIntervalCorrelation, 0.0),
        (Constant::Outward, 0.0),
        (Constant::LittleDwell, 0.0),
        (Constant::RingDwell, 0.0),
        (Constant::MiddleDwell, 0.0),
        (Constant::InOrder, 0.0),
        (Constant::RollSlope, 1.0),
        (Constant::RollGainMs, 0.0),
        (Constant::LiftMs, 1.0),
        (Constant::FrequencyEffect, 0.0),
        (Constant::MidWord, 0.0),
        (Constant::WordLength, 0.0),
        (Constant::LeftInterval, 0.0),
        (Constant::LeftDwell, 0.0),
        (Constant::LongDwellShare, 0.0),
    ] {
        population = population.with_constant(id, value).unwrap();
    }
    Typist::median(&population)
}

/// False holds and taps of a rule on a text whose fingers recur only every eighth press.
fn simulate(rule: &str, values: &[(&str, f64)]) -> (f64, f64) {
    let board = Board::row_staggered();
    let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
    let assignment = Assignment::resting(&board, order);
    let plan = TextPlan::new(&"fjdksla;".repeat(200), &board, &assignment, Unsupported::Refuse).unwrap();
    let performer = Performer::new(&board, &assignment);
    let session =
        performer.perform(&plain(), &plan, &Workload::none(), SessionAddress { seed: 42, replicate: 0 }, PRESSES);
    let setting = Setting::rule(rule, values).unwrap();
    let (mut holds, mut taps) = (0.0, 0.0);
    EncounterScan::new().each(
        &session.presses,
        |code| assignment.modifier(code).is_some(),
        |code| performer.movement().hand(code),
        |press, encounter| {
            // The space between two rounds of the text shifts nothing, but its neighbours are no plain pair.
            let next_is_dual =
                session.presses.get(press + 1).is_some_and(|next| assignment.modifier(next.code).is_some());
            if next_is_dual {
                taps += 1.0;
                holds += f64::from(u8::from(setting.decide(encounter).is_hold()));
            }
        },
    );
    (holds, taps)
}

/// Whether a simulated rate agrees with an exact probability at alpha = 1e-6.
fn agrees((holds, taps): (f64, f64), p: f64) -> bool {
    (holds / taps - p).abs() <= Z * (p * (1.0 - p) / taps).sqrt()
}

#[test]
fn dwell_cutoff_false_holds_follow_the_dwell_distribution() {
    for cutoff in [110.0, 150.0, 180.0, 200.0, 250.0] {
        let seen = simulate("dwell-cutoff", &[("cutoff_ms", cutoff)]);
        assert!(seen.1 > 0.9 * PRESSES as f64);
        let tail = |sigma: f64| normal_upper((cutoff.ln() - 108.0_f64.ln()) / sigma);
        assert!(agrees(seen, tail(0.28)), "cutoff {cutoff}: {seen:?}, expected {}", tail(0.28));
    }
}

#[test]
fn a_wrong_spread_is_rejected_by_the_same_test() {
    for cutoff in [150.0, 180.0, 200.0, 250.0] {
        let seen = simulate("dwell-cutoff", &[("cutoff_ms", cutoff)]);
        for sigma in [0.26_f64, 0.30] {
            let wrong = normal_upper((cutoff.ln() - 108.0_f64.ln()) / sigma);
            assert!(!agrees(seen, wrong), "cutoff {cutoff}: sigma {sigma} passed with {seen:?}");
        }
    }
}

#[test]
fn first_contact_false_holds_are_the_overlap_of_two_log_normals() {
    let seen = simulate("first-contact", &[]);
    let overlap = |sigma_i: f64| normal_lower((108.0_f64.ln() - 150.0_f64.ln()) / sigma_i.hypot(0.28));
    assert!(agrees(seen, overlap(0.35)), "{seen:?}, expected {}", overlap(0.35));
    assert!(!agrees(seen, overlap(0.33)), "a wrong spread of the interval passed");
}

#[test]
fn rolls_alone_are_never_enclosed_more_often_than_they_overlap() {
    let (enclosed, _) = simulate("enclosed", &[]);
    let (contact, _) = simulate("first-contact", &[]);
    assert!(enclosed < contact, "{enclosed} of {contact}");
}
