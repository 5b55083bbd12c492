//! Writes `POWER.md`: people needed to tell two policies apart, for three lengths of session.
//!
//! `cargo run --release -p agogic-power --example two_plans`

use std::ops::Range;
use std::path::Path;

use agogic_keys::{Assignment, Board, Modifier, Rates, TextPlan, Unsupported, Workload};
use agogic_policy::Setting;
use agogic_power::{
    Aim, Design, Errors, Minute, PlanError, Pool, PoolSpec, Question, WITHIN, grow, in_words, needed, simulate_person,
};
use agogic_typist::Population;
use rayon::prelude::*;

const MOST: u64 = 80_000;
const MINUTES: [usize; 3] = [5, 10, 20];
const SEED: u64 = 20_260_101;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let board = Board::row_staggered();
    let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
    let assignment = Assignment::resting(&board, order);
    let text =
        "The tide turns at noon. Ask Ada for the log; she fills it in before the lamps are lit and signs every line.";
    let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse)?;
    let rates = Rates { shortcuts: 20.0, ..Rates::default() };
    let workload = Workload::new(&board, &assignment, rates, &Workload::example_shortcuts())?;
    let settings = [Setting::rule("enclosed", &[])?, Setting::rule("overlap-span", &[("span_ms", 80.0)])?];
    let population = Population::volunteers();
    let mut out =
        "# Two plans\n\nMade by `cargo run --release -p agogic-power --example two_plans`; do not edit by hand.\n"
            .to_owned();
    let question = Question { seed: SEED, ..Question::new(Aim::Difference) };
    let mut section = |heading: &str,
                       settings: [&Setting; 2],
                       errors: Errors,
                       spared: Option<f64>,
                       names: [&str; 2]| {
        let spec = PoolSpec {
            population: &population,
            plan: &plan,
            workload: &workload,
            board: &board,
            assignment: &assignment,
            settings,
            errors,
            design: Design::Crossover,
            minutes: MINUTES[MINUTES.len() - 1],
            seed: SEED,
        };
        let simulate = |numbers: Range<u64>| -> Vec<Vec<Minute>> {
            numbers.into_par_iter().map(|number| simulate_person(&spec, number)).collect()
        };
        let shape = |pool: Pool| match spared {
            Some(share) => {
                let rate = pool.rates()[1].unwrap_or(0.0);
                pool.with_difference(share * rate, SEED)
            }
            None => Ok(pool),
        };
        let pool = grow(&question, &MINUTES, MOST, simulate, shape)?;
        let rows: Result<Vec<_>, _> =
            MINUTES.into_par_iter().map(|minutes| needed(&pool, &question, minutes)).collect();
        let people = pool.len();
        let head = format!(
            "\n## {heading}\n\nPool: {people} people of `volunteers`, each typing once under each policy; a short session \
             is the start of a longer one. It grew until each number was known to ± {:.0} % or it held {MOST}.\n\n",
            100.0 * WITHIN
        );
        out.push_str(&head);
        out.push_str(&in_words(&question, &rows?, names));
        Ok::<(), PlanError>(())
    };
    let [enclosed, overlap] = [&settings[0], &settings[1]];
    let names = ["enclosed", "overlap-span 80"];
    section("Errors of both kinds, as simulated", [enclosed, overlap], Errors::Both, None, names)?;
    let heading = "A stated difference: a policy with three tenths fewer false holds than overlap-span 80";
    let names = ["overlap-span 80", "the better policy"];
    section(heading, [overlap, overlap], Errors::FalseHolds, Some(0.3), names)?;
    std::fs::write(Path::new(env!("CARGO_MANIFEST_DIR")).join("POWER.md"), out)?;
    Ok(())
}
