//! Whether what a choice claims is true as often as it says, on problems whose answer is known.
//!
//! The same problems at greater length: `cargo run --release -p agogic-stats --example race`, see `RACE.md`.

#[path = "../support/planted.rs"]
mod planted;

use planted::{Choice, PROBLEMS, Planted, choose};

/// Repetitions of each problem.
const TIMES: u64 = 500;

/// Events in `TIMES` that a true probability of 1.25 % (a quarter of 5 %) exceeds with probability below 10⁻⁶.
const MOST: usize = 21;

fn repeated(problem: &Planted) -> Vec<Choice> {
    (0..TIMES).map(|time| choose(problem, time)).collect()
}

#[test]
fn the_gate_is_as_strict_as_it_says() {
    let tail = |events: u64| agogic_stats::binomial_upper(agogic_stats::Trials::new(events, TIMES).unwrap(), 0.0125);
    assert!(
        tail(MOST as u64 + 1) < 1e-6 && tail(MOST as u64) > 1e-6,
        "{} {}",
        tail(MOST as u64),
        tail(MOST as u64 + 1)
    );
}

/// n = 500 repetitions, α = 10⁻⁶ for each of the claims.
#[test]
fn claims_err_no_more_often_than_they_say() {
    for problem in &PROBLEMS {
        let all = repeated(problem);
        let count = |wrong: fn(&Choice) -> bool| all.iter().filter(|choice| wrong(choice)).count();
        let name = problem.name;
        assert!(
            count(|c| c.dropped_the_best) <= MOST,
            "{name}: the best was dropped {}",
            count(|c| c.dropped_the_best)
        );
        assert!(
            count(|c| c.claimed_in_vain) <= MOST,
            "{name}: demands claimed in vain {}",
            count(|c| c.claimed_in_vain)
        );
        assert!(count(|c| c.gaps_missed) <= MOST, "{name}: differences missed {}", count(|c| c.gaps_missed));
        assert!(count(|c| c.left_out_missed) <= MOST, "{name}: left out missed {}", count(|c| c.left_out_missed));
    }
}

/// n = 500; 95 % intervals of what was advised miss in more than 58 of 500 with probability below 10⁻⁶ at a true
/// 6 %, which leaves a point for the t interval on skewed counts.
#[test]
fn fresh_units_are_free_of_the_winners_curse_and_the_units_of_the_race_are_not() {
    let problem = PROBLEMS.iter().find(|problem| problem.name == "many alike").unwrap();
    let all: Vec<Choice> = repeated(problem).into_iter().filter(|c| c.advised.is_some()).collect();
    assert!(all.len() > 450);
    let fresh = all.iter().filter(|c| !c.loss_covered).count();
    let cursed = all.iter().filter(|c| !c.loss_covered_in_race).count();
    assert!(fresh <= 58, "{fresh}");
    assert!(cursed > 58, "the wrong method is found out: {cursed}");
}

#[test]
fn a_clear_best_is_found() {
    let problem = PROBLEMS.iter().find(|problem| problem.name == "a clear best").unwrap();
    let found = repeated(problem).iter().filter(|c| c.advised == Some(problem.best())).count();
    assert!(found >= 490, "{found} of {TIMES}");
}
