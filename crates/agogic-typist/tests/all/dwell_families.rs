//! Every family of the dwell, as the presses of a performance show it.

use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
use agogic_stats::timing::{Continuous, Family};
use agogic_stats::{KolmogorovSmirnov, kolmogorov_smirnov};
use agogic_typist::{Constant, Performer, Population, SessionAddress, Trait, TraitSpread, Typist};

const MEDIAN_MS: f64 = 100.0;
const SPREAD: f64 = 0.35;
/// The nearest two families, log-normal and ex-Gaussian, lie .013 apart: at this number the gate is at .0085.
const PRESSES: usize = 100_000;

/// Dwells of a typist so slow that no key is still down when the next one strikes, with fingers all alike.
fn dwells(family: Family) -> Vec<f64> {
    let (board, order) = (Board::row_staggered(), [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
    let assignment = Assignment::resting(&board, order);
    let plan = TextPlan::new("all is calm on the quay tonight ", &board, &assignment, Unsupported::Refuse).unwrap();
    let exactly = |median| TraitSpread { median, spread: 0.0 };
    let traits = [
        (Trait::Interval, 8000.0),
        (Trait::IntervalSpread, 0.1),
        (Trait::Dwell, MEDIAN_MS),
        (Trait::DwellSpread, SPREAD),
        (Trait::Slips, 1e-12),
    ];
    let constants = [
        Constant::LittleDwell,
        Constant::RingDwell,
        Constant::MiddleDwell,
        Constant::ThumbDwell,
        Constant::LeftDwell,
        Constant::LongDwellShare,
    ];
    let mut population = Population::volunteers().with_dwell_family(family);
    for (id, median) in traits {
        population = population.with_trait(id, exactly(median)).unwrap();
    }
    for id in constants {
        population = population.with_constant(id, 0.0).unwrap();
    }
    let typist = Typist::median(&population);
    let session = Performer::new(&board, &assignment).perform(
        &typist,
        &plan,
        &Workload::none(),
        SessionAddress { seed: 1, replicate: 0 },
        PRESSES,
    );
    session.presses.iter().map(|press| press.dwell().ms()).collect()
}

#[test]
fn dwells_follow_the_family_chosen_and_no_other() {
    // Kolmogorov-Smirnov at n = 100 000, alpha 1e-6, seed 1. Consecutive dwells are independent: their noise is
    // shared only with the interval before. The wrong model is the nearest other family.
    for family in Family::ALL {
        let values = dwells(family);
        let nearest = if family == Family::LogNormal { Family::ExGaussian } else { Family::LogNormal };
        let held_to = |of: Family| -> KolmogorovSmirnov {
            let law = of.with_median_and_log_sd(MEDIAN_MS, SPREAD).unwrap();
            kolmogorov_smirnov(&values, |x| law.cdf(x)).unwrap()
        };
        let (own, other) = (held_to(family), held_to(nearest));
        assert!(own.p_value >= 1e-6, "{family}: {own:?}");
        assert!(other.p_value < 1e-6, "{family} passes for {nearest}: {other:?}");
        let share_below = values.iter().filter(|&&v| v < MEDIAN_MS).count() as f64 / values.len() as f64;
        // 4.9 standard errors of a share of one half.
        assert!((share_below - 0.5).abs() < 4.9 * 0.5 / (values.len() as f64).sqrt(), "{family}: {share_below}");
    }
}
