//! `agogic plan`: how many people a human study needs.

use std::io::Write;
use std::process::ExitCode;

use agogic_lab::{PoolPlan, pool};
use agogic_power::{Aim, Design, Errors, Question, Row, WITHIN, in_words, needed};
use agogic_sim::TrainedArm;
use agogic_study::Study;
use rayon::prelude::*;
use serde_json::json;

use super::{arm, study};
use crate::args::{Plan, PlanDesign, PlanErrors};
use crate::failure::Failure;
use crate::progress;
use crate::screen::screen;

/// Plans a study of two policies with people.
pub fn plan(args: &Plan, as_json: bool) -> Result<ExitCode, Failure> {
    let study = study(args.spec.as_ref())?;
    let first = find(&study, args.first.as_deref(), 0)?;
    let second = find(&study, args.second.as_deref(), (first + 1) % study.policies.len())?;
    let arm = arm(&study, args.arm.as_deref())?;
    let minutes: Vec<usize> = args.minutes.iter().map(|&m| m as usize).collect();
    let mut names = [study.policies[first].clone(), study.policies[second].clone()];
    if let Some(difference) = args.difference {
        names[1] = format!("a policy with {difference} fewer errors per 1000");
    }
    let aim = args.margin.map_or(Aim::Difference, |margin| Aim::Equivalence { margin: margin / 1000.0 });
    let question = Question { aim, alpha: args.alpha, power: args.power, replicates: args.trials, seed: study.seed };
    let plan = PoolPlan {
        policies: [first, second],
        errors: match args.errors {
            PlanErrors::Both => Errors::Both,
            PlanErrors::FalseHolds => Errors::FalseHolds,
            PlanErrors::MissedHolds => Errors::MissedHolds,
        },
        design: match args.design {
            PlanDesign::Crossover => Design::Crossover,
            PlanDesign::Replay => Design::Replay,
        },
        minutes: minutes.clone(),
        most: args.pool,
        difference: args.difference.map(|difference| difference / 1000.0),
    };
    let bar = progress::bar(args.pool, "people");
    let people = pool(&study, &TrainedArm::new(&study, arm)?, &plan, &question, &|done| bar.inc(done))?;
    bar.finish_and_clear();
    let rows: Result<Vec<Row>, _> = minutes.par_iter().map(|&m| needed(&people, &question, m)).collect();
    let rows = rows.map_err(agogic_lab::PoolError::Plan)?;
    let mut screen = screen();
    if as_json {
        let all =
            json!({ "arm": arm.label, "policies": names, "question": question, "pool": people.len(), "rows": rows });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
    } else {
        writeln!(
            screen,
            "Pool: {} simulated people of `{}`, seed {}; it grew until each number was known to ± {:.0} % or it held {}.\n",
            people.len(),
            arm.label,
            study.seed,
            100.0 * WITHIN,
            args.pool
        )?;
        // A label stands in marks; the policy that is only known by its difference has none.
        let second = if args.difference.is_some() { names[1].clone() } else { format!("`{}`", names[1]) };
        writeln!(screen, "{}", in_words(&question, &rows, [&format!("`{}`", names[0]), &second]))?;
    }
    Ok(ExitCode::SUCCESS)
}

fn find(study: &Study, label: Option<&str>, default: usize) -> Result<usize, Failure> {
    let Some(label) = label else { return Ok(default) };
    study.policies.iter().position(|known| known == label).ok_or_else(|| Failure::Name {
        what: "policy in the study",
        name: label.to_owned(),
        known: study.policies.join(", "),
    })
}
