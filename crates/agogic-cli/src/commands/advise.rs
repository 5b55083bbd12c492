//! `agogic advise`: which setting, how sure, whom it fails, what to turn.

use std::io::Write;
use std::process::ExitCode;

use agogic_lab::{PRACTICE_NOTE, Recommendation, recommend};
use agogic_report::{
    PAGE, advice_folder, advice_in_short, list_table, one_default_table, rules_table, transfer_in_short, turns_table,
    whom_table,
};
use agogic_sim::Engine;
use agogic_study::{AdvicePlan, Study};
use serde_json::json;

use super::advice_study;
use super::place::Place;
use super::run::{Timer, absolute};
use crate::args::Advise;
use crate::failure::Failure;
use crate::progress;
use crate::screen::{details, screen, shown};

/// Looks for the best setting of a study, writes its folder and prints the advice. The exit code is 1 where
/// some arm has no setting that is sure to meet what is asked.
pub fn advise(args: &Advise, as_json: bool) -> Result<ExitCode, Failure> {
    if let Some(log) = &args.log {
        return super::advise_log::advise_log(args, log, as_json);
    }
    let study = advice_study(args.spec.as_ref())?;
    let lacks = || Failure::Lacks {
        table: "advice",
        example: "[advice] with objective = \"false_holds\" and limits = { missed_holds = 5, tap_delay_p95 = 150 }",
    };
    let plan = study.advice.as_ref().ok_or_else(lacks)?;
    let Place { out, claim, store } = Place::take(&study, args.out.as_ref(), "-advice", args.force)?;
    let timer = Timer::start();
    let spinner = progress::spinner("settings × typists");
    let engine = Engine::new(&study)?;
    let advice = recommend(&engine, Some(&store), &|done| spinner.inc(done)).ok_or_else(lacks)?;
    spinner.finish_and_clear();
    let info = timer.info();
    let seconds = info.seconds;
    advice_folder(&study, &advice)?.write(info, &out)?;
    claim.settle()?;
    let mut screen = screen();
    if as_json {
        let all = json!({ "study": study.name, "folder": out, "advice": advice });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
    } else {
        if details() {
            tell_all(&mut screen, &study, plan, &advice)?;
        } else {
            tell_answer(&mut screen, &study, plan, &advice)?;
        }
        writeln!(screen, "\n{seconds:.1} s. All tables: {}\nPage: {}", absolute(&out), absolute(&out.join(PAGE)))?;
    }
    let found = advice.iter().all(|arm| arm.setting.is_some());
    Ok(if found { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

/// The answer on one screen.
fn tell_answer(
    screen: &mut impl Write,
    study: &Study,
    plan: &AdvicePlan,
    advice: &[Recommendation],
) -> std::io::Result<()> {
    if let Some(one) = advice.first().and_then(|own| own.one_default.as_ref()) {
        writeln!(screen, "{}\n", one.in_short(plan))?;
    }
    writeln!(
        screen,
        "Asked for each population: the least {}, while {:.0} % of typists stay within {}.\n",
        plan.objective.words(),
        100.0 * plan.served,
        plan.limits_said()
    )?;
    for arm in advice {
        writeln!(screen, "{}\n", advice_in_short(plan, arm))?;
    }
    for arm in advice {
        if let Some(practice) = &arm.practice {
            writeln!(screen, "`{}`. {}\n", arm.arm, practice.sentence)?;
        }
    }
    if advice.iter().any(|arm| arm.practice.is_some()) {
        writeln!(screen, "{PRACTICE_NOTE}\n")?;
    }
    let tried = advice.first().map_or(0, |own| own.searched.len());
    writeln!(
        screen,
        "Intervals: {} %, unit of resampling: typist; {} fresh typists a population, after a search of {tried} settings on {} \
         others. Hold-gesture timing is largely assumed: `agogic robust` says which of this survives other assumptions. `-v` \
         tells the short lists, every rule, whom each setting serves, and what would change the advice.",
        percent(study),
        plan.confirm_typists,
        plan.search_typists
    )
}

/// Everything that was found.
fn tell_all(
    screen: &mut impl Write,
    study: &Study,
    plan: &AdvicePlan,
    advice: &[Recommendation],
) -> std::io::Result<()> {
    if let Some(one) = advice.first().and_then(|own| own.one_default.as_ref()) {
        writeln!(screen, "{}\n\n{}\n", one.sentence, shown(&one_default_table(one)))?;
    }
    for arm in advice {
        one_arm(screen, study, plan, arm)?;
    }
    writeln!(
        screen,
        "Hold-gesture timing is largely assumed: `agogic robust` says which of this survives other assumptions."
    )
}

fn one_arm(screen: &mut impl Write, study: &Study, plan: &AdvicePlan, arm: &Recommendation) -> std::io::Result<()> {
    writeln!(screen, "{}\n", arm.sentence)?;
    writeln!(screen, "{}\n", shown(&list_table(plan, arm)))?;
    writeln!(
        screen,
        "The best of each rule (found in the search, judged on the fresh typists; intervals each for itself)"
    )?;
    writeln!(screen, "{}\n", shown(&rules_table(plan, arm)))?;
    if let Some(transfer) = &arm.transfer {
        let sheet = transfer_in_short(transfer);
        writeln!(screen, "{}\n{}\n", sheet.caption, shown(&sheet))?;
    }
    if let Some(practice) = &arm.practice {
        writeln!(screen, "{} {PRACTICE_NOTE}\n", practice.sentence)?;
    }
    writeln!(
        screen,
        "Whom it serves ({} % intervals, each for itself)\n{}\n",
        percent(study),
        shown(&whom_table(arm))
    )?;
    if !arm.effects.is_empty() {
        writeln!(screen, "What turning a value does, for everybody\n{}\n", shown(&turns_table(plan, arm)))?;
    }
    for line in &arm.for_them {
        writeln!(screen, "{line}")?;
    }
    writeln!(screen, "{}", arm.intervals())?;
    let changed: Vec<String> = arm
        .what_ifs
        .iter()
        .filter(|turn| turn.another)
        .map(|turn| match &turn.setting {
            Some(setting) => format!("{}: `{setting}`", turn.asked),
            None => format!("{}: nothing seems to meet it", turn.asked),
        })
        .collect();
    if changed.is_empty() {
        writeln!(screen, "None of the {} other questions tried changes the advice.\n", arm.what_ifs.len())
    } else {
        writeln!(
            screen,
            "What would change the advice (from the search alone, not confirmed; as asked, it puts {} first)\n  {}\n",
            arm.first_in_search.as_ref().map_or_else(|| "nothing".to_owned(), |own| format!("`{own}`")),
            changed.join("\n  ")
        )
    }
}

fn percent(study: &Study) -> f64 {
    study.inference.level.confidence() * 100.0
}
