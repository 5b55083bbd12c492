//! `agogic people --advised`: personal advice held against people.

use std::io::Write;
use std::process::ExitCode;
use std::sync::Arc;

use agogic_keys::Span;
use agogic_literature::{Promises, Proof, ProofPlan, proof};
use agogic_people::Crowd;
use agogic_personal::EVEN;
use agogic_report::{Column, Sheet};
use agogic_sim::disk::write_file;
use agogic_stats::Level;
use agogic_typist::Population;
use serde_json::json;

use super::people::{from_simulated, language};
use super::setting;
use crate::args::People;
use crate::failure::Failure;
use crate::screen::{screen, shown};

/// A gain that nobody would change anything for, in wrong decisions per 1000 presses: the default of `advise --log`.
const LEAST_GAIN: f64 = 1.0;

/// Advises people on their earlier sessions and judges that on their last ones.
pub(super) fn people_advised(
    args: &People,
    population: &Population,
    crowd: &Crowd<'_>,
    as_json: bool,
) -> Result<ExitCode, Failure> {
    let step = Span(1000 * args.clock_ms.unwrap_or(1));
    let tables = Arc::new(from_simulated(args, population, crowd.sides_known(), Some(step))?);
    let beside = args.beside.iter().map(|text| setting(text, Some(&tables)));
    let plan = ProofPlan {
        beside: beside.collect::<Result<_, _>>()?,
        population,
        text: &language(),
        step,
        tables,
        even: EVEN,
        least_gain: LEAST_GAIN,
        level: Level::P95,
        seed: args.seed,
    };
    let found = proof(crowd, &plan).ok_or_else(|| Failure::Nothing {
        path: args.logs[0].clone(),
        lacks: "no three people with three sessions, and 60 taps of resting keys and 5 holds of Shift in the last of these",
        mend: "give logs whose layout names a column `session`, or check them with `agogic inspect`",
    })?;
    let all = json!({ "data_set": args.name, "half": args.half.map(|half| agogic_people::Half::from(half).name()),
        "against": population.name(), "proof": found });
    if let Some(path) = &args.out {
        let text = serde_json::to_string_pretty(&all).expect("figures are plain data");
        write_file(path, (text + "\n").as_bytes())?;
    }
    let mut screen = screen();
    if as_json {
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    writeln!(
        screen,
        "{}: {} people with three sessions or more, advised on all but the last third of these and judged on the rest, {} \
         presses of Shift and resting keys. Wrong decisions per 1000 of these presses (95 % intervals over people):\n",
        args.name, found.people, found.presses
    )?;
    writeln!(screen, "{}\n", table(&found))?;
    writeln!(
        screen,
        "The default of the model is `{}`, the best common setting in hindsight `{}`.\n",
        found.default, found.best_common
    )?;
    for (what, promises) in [("Without tables", &found.without_tables), ("With tables", &found.with_tables)] {
        writeln!(screen, "{what}: {}", promised(promises, found.people))?;
    }
    writeln!(
        screen,
        "\nA press of Shift stands for a hold and a press of a resting key for a tap; nobody here used a key with two roles."
    )?;
    Ok(ExitCode::SUCCESS)
}

fn table(found: &Proof) -> String {
    let mut table = Sheet::new(vec![
        Column::words("what"),
        Column::numbers("wrong decisions", "per 1000 presses"),
        Column::numbers("fewer than the best common", ""),
    ]);
    for row in &found.rows {
        table.push([row.what.clone(), row.wrong.text(1), row.less.text(1)]);
    }
    shown(&table)
}

fn promised(own: &Promises, people: u64) -> String {
    let mut text = format!("of {people} people {} were told to change, and {} of these gained", own.told, own.gained);
    if let (Some(promised), Some(came)) = (own.mean_promised, own.mean_came) {
        text.push_str(&format!(", {came:.1} on average where {promised:.1} were promised"));
    }
    text.push_str(&format!(
        ". Promise and gain agree within their intervals for {} of {} people; gain per promise {}. For {} there was not \
         enough to say.",
        own.agree,
        own.promised,
        own.slope.text_in_sentence(2),
        own.not_enough
    ));
    text
}
