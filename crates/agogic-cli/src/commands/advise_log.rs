//! `agogic advise --log`: a setting for one person.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;

use agogic_files::save_folder;
use agogic_fit::{Fit, FitError, FitPlan, fit};
use agogic_lab::{CommonPeople, PersonalOutcome, PersonalQuestion, common_people, personal_advice};
use agogic_log::SessionLog;
use agogic_policy::EvidenceTables;
use agogic_report::{
    PAGE, PERSONAL_CAUTIONS, Sheet, personal_files, personal_fingers_table, personal_keys_table, personal_prices_table,
    personal_table,
};
use agogic_sim::learned;
use agogic_study::{Arm, Study};
use agogic_typist::Population;
use serde_json::json;

use super::fit::person;
use super::run::absolute;
use super::{arm, layout, left_out, setting, study};
use crate::args::Advise;
use crate::failure::Failure;
use crate::progress;
use crate::screen::{details, screen, shown};

/// Presses of each drawn typist: once through the text, but not more than the most.
const LEAST_KEYS: usize = 2000;
const MOST_KEYS: usize = 8000;

/// People whose best common setting is the default.
pub const COMMON_PEOPLE: u64 = 200;

/// Presses of each drawn typist of an arm.
pub fn keys_of_draws(arm: &Arm) -> usize {
    arm.plan.steps().len().clamp(LEAST_KEYS, MOST_KEYS)
}

/// What advice needs before there is a log.
pub(super) struct Prepared {
    /// What rules that learn have learned from the people of the arm.
    pub tables: Arc<EvidenceTables>,
    /// The people whose best common setting is the default.
    pub common: CommonPeople,
}

/// What a person asks for.
pub(super) struct Wishes {
    /// The setting in use, as written.
    pub now: Option<String>,
    /// What a false hold counts, a missed hold being 1.
    pub false_hold: f64,
    /// A gain that is not worth a change.
    pub least_gain: f64,
    /// Draws of the person that choose; as many more say what is gained.
    pub draws: u64,
}

impl Prepared {
    /// Trains the rules that learn, and lets the people of the arm type under every setting.
    pub fn new(study: &Study, arm: &Arm) -> Result<Self, Failure> {
        let tables = learned(study, arm, true)?;
        let nothing = Wishes { now: None, false_hold: 1.0, least_gain: 1.0, draws: 0 };
        let common = common_people(&question(study, arm, &tables, &nothing)?);
        Ok(Self { tables, common })
    }
}

/// Whether what was asked for lies in its range.
pub(super) fn in_range(argument: &'static str, value: f64, least: f64) -> Result<(), Failure> {
    if value >= least && value <= 1e3 {
        return Ok(());
    }
    let must = if least == 0.0 { "between 0 and 1000" } else { "between 0.01 and 1000" };
    Err(Failure::Argument { argument, must, value: value.to_string() })
}

/// The question about a person of an arm.
pub(super) fn question<'a>(
    study: &'a Study,
    arm: &'a Arm,
    tables: &Arc<EvidenceTables>,
    wishes: &Wishes,
) -> Result<PersonalQuestion<'a>, Failure> {
    let now = wishes.now.as_ref().map(|text| setting(text, Some(tables)));
    Ok(PersonalQuestion {
        arm,
        tables: Some(Arc::clone(tables)),
        now: now.transpose()?,
        false_hold: wishes.false_hold,
        costs: &study.costs,
        least_gain: wishes.least_gain,
        level: study.inference.level,
        seed: study.seed,
        keys: keys_of_draws(arm),
        common_people: COMMON_PEOPLE,
        draws: wishes.draws,
        practice: true,
    })
}

/// Advice on the sessions of one person, with the person's fits, that as one of the arm's population first.
pub(super) fn personal_outcome(
    study: &Study,
    arm: &Arm,
    prepared: &Prepared,
    wishes: &Wishes,
    sessions: &[&SessionLog],
) -> Result<(PersonalOutcome, Vec<Fit>), Failure> {
    let question = question(study, arm, &prepared.tables, wishes)?;
    let fits = fits(study, arm, sessions)?;
    let outcome = personal_advice(&question, &prepared.common, &fits, sessions)
        .map_err(|refused| Failure::Population(refused.to_string()))?;
    Ok((outcome, fits))
}

/// Fits the person of a log and chooses a setting for them.
pub fn advise_log(args: &Advise, path: &Path, as_json: bool) -> Result<ExitCode, Failure> {
    let log = super::read(path, &layout(&args.of_log.layout)?)?;
    let (participant, sessions) = person(&log, path, args.of_log.participant.as_deref())?;
    in_range("--least-gain", args.least_gain, 0.0)?;
    in_range("--false-hold-counts", args.false_hold_counts, 0.01)?;
    let study = study(args.spec.as_ref())?;
    let arm = arm(&study, args.arm.as_deref())?;
    let spinner = progress::spinner("steps");
    let prepared = Prepared::new(&study, arm)?;
    spinner.inc(1);
    let wishes = Wishes {
        now: args.now.clone(),
        false_hold: args.false_hold_counts,
        least_gain: args.least_gain,
        draws: args.draws,
    };
    let (outcome, fits) = personal_outcome(&study, arm, &prepared, &wishes, &sessions)?;
    spinner.finish_and_clear();
    if let Some(out) = &args.out {
        save_folder(&personal_files(&outcome, participant)?, out, PAGE)?;
    }
    let mut screen = screen();
    let note = left_out(&log);
    if as_json {
        let all = json!({ "log": path, "participant": participant, "study": study.name, "arm": arm.label,
            "advice": outcome, "fit": fits[0], "note": note });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    tell(&mut screen, &outcome, participant, &fits[0])?;
    if let Some(note) = note {
        writeln!(screen, "Note: {note}.")?;
    }
    if let Some(out) = &args.out {
        writeln!(screen, "\nPage: {}", absolute(&out.join(PAGE)))?;
    }
    Ok(ExitCode::SUCCESS)
}

/// The person as one of the arm's population, and as one of each other that is built in.
///
/// # Errors
/// The log says too little to fit anybody.
pub fn fits(study: &Study, arm: &Arm, sessions: &[&SessionLog]) -> Result<Vec<Fit>, FitError> {
    let others = Population::NAMES.iter().filter(|name| **name != arm.population.name());
    let others: Vec<Population> = others.filter_map(|name| Population::by_name(name)).collect();
    let of = |population: &Population| {
        let plan = FitPlan {
            population,
            board: &arm.board,
            assignment: &arm.assignment,
            level: study.inference.level,
            seed: study.seed,
            redraws: 0,
        };
        fit(sessions, &plan)
    };
    std::iter::once(&arm.population).chain(&others).map(of).collect()
}

fn tell(screen: &mut impl Write, outcome: &PersonalOutcome, participant: &str, fit: &Fit) -> std::io::Result<()> {
    let advice = &outcome.advice;
    for sentence in &advice.sentences {
        writeln!(screen, "{sentence}\n")?;
    }
    if let Some(portrait) = &advice.portrait {
        writeln!(screen, "{}\n", portrait.sentence())?;
    }
    if details() {
        tell_tables(screen, outcome, participant)?;
    }
    if advice.keys.is_empty() {
        writeln!(
            screen,
            "The log states of no dual-role press what it was meant as: the advice rests on the fitted model alone.\n"
        )?;
    }
    if let Some(practice) = &outcome.practice {
        writeln!(screen, "{}\n", practice.sentence)?;
    }
    let short: Vec<&str> = fit.traits.iter().filter(|row| row.too_short).map(|row| row.name).collect();
    if !short.is_empty() {
        writeln!(
            screen,
            "The log tells little of {}: there the draws are people of `{}`.",
            short.join(", "),
            advice.population
        )?;
    }
    for caution in PERSONAL_CAUTIONS {
        writeln!(screen, "{caution}")?;
    }
    if !details() {
        writeln!(
            screen,
            "\n{} presses, {} letters and {} holds of known meaning. `-v` tells every rule with its gain, every key and finger, and \
             the price in wrong keys and delay.",
            advice.presses, advice.known[0], advice.known[1]
        )?;
    }
    Ok(())
}

/// Every rule, key and finger, and what drawn typists pay.
fn tell_tables(screen: &mut impl Write, outcome: &PersonalOutcome, participant: &str) -> std::io::Result<()> {
    let advice = &outcome.advice;
    writeln!(
        screen,
        "`{participant}`: {} presses, {} letters and {} holds of known meaning on dual-role keys. Every rule, against `{}`:\n",
        advice.presses, advice.known[0], advice.known[1], advice.before
    )?;
    let table = |screen: &mut dyn Write, sheet: &Sheet| writeln!(screen, "{}\n", shown(sheet));
    table(screen, &personal_table(outcome))?;
    let percent = advice.simple.choice.gain.level * 100.0;
    writeln!(
        screen,
        "Gain: fewer wrong decisions per 1000 presses of dual-role keys in a session to come; {percent} % interval from blocks \
         of the log that had no say in the choice, and from what the log leaves unknown. Less than {} is not worth a change.\n",
        advice.least_gain
    )?;
    if !advice.keys.is_empty() {
        table(screen, &personal_keys_table(outcome))?;
        table(screen, &personal_fingers_table(outcome))?;
    }
    writeln!(screen, "What drawn typists like this person pay on the text of the study:\n")?;
    table(screen, &personal_prices_table(&outcome.prices))
}
