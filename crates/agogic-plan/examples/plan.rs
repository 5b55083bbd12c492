//! Writes `PLAN.md`: people needed to tell two policies apart, for three lengths of session.
//!
//! `cargo run --release -p agogic-plan --example plan`

use std::path::Path;

use agogic_keys::{Assignment, Board, Modifier, Rates, TextPlan, Unsupported, Workload};
use agogic_plan::{Aim, Design, Errors, Pool, PoolSpec, Question, in_words, needed, simulate_person};
use agogic_policy::Setting;
use agogic_typist::Population;

const PEOPLE: u64 = 1600;
const MINUTES: [usize; 3] = [2, 5, 10];
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
        "# Two plans\n\nMade by `cargo run --release -p agogic-plan --example plan`; do not edit by hand.\n".to_owned();
    let pool = |settings: [&Setting; 2], errors: Errors| {
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
        Pool::new((0..PEOPLE).map(|number| simulate_person(&spec, number)).collect())
    };
    out.push_str(&format!(
        "\n## Errors of both kinds, as simulated\n\nPool: {PEOPLE} people of `volunteers`, each typing once under each policy.\n\n"
    ));
    let both = pool([&settings[0], &settings[1]], Errors::Both)?;
    let question = Question { seed: SEED, ..Question::new(Aim::Difference) };
    let rows = MINUTES.map(|minutes| needed(&both, &question, minutes));
    let rows = rows.into_iter().collect::<Result<Vec<_>, _>>()?;
    out.push_str(&in_words(&question, &rows, ["enclosed", "overlap-span 80"]));
    let twice = pool([&settings[1], &settings[1]], Errors::FalseHolds)?;
    let rate = twice.rates()[1].unwrap_or(0.0);
    let stated = twice.with_difference(0.3 * rate, SEED)?;
    out.push_str("\n## A stated difference: a policy with three tenths fewer false holds than overlap-span 80\n\n");
    let rows = MINUTES.map(|minutes| needed(&stated, &question, minutes));
    let rows = rows.into_iter().collect::<Result<Vec<_>, _>>()?;
    out.push_str(&in_words(&question, &rows, ["overlap-span 80", "the better policy"]));
    std::fs::write(Path::new(env!("CARGO_MANIFEST_DIR")).join("PLAN.md"), out)?;
    Ok(())
}
