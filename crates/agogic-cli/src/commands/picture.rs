//! `agogic picture`: one press with the keys around it, and what each policy makes of it, and when.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use agogic_keys::{Code, Letters, Level};
use agogic_lab::{Pick, PressExample, Stretch, press_example, simulated_press_example};
use agogic_log::Intent;
use agogic_policy::UNITS_PER_NAT;
use agogic_report::{
    Cell, Column, Figure, FigureFileError, Sheet, Terms, Timing, TimingPress, TimingVerdict, Width, save_figure,
};
use agogic_sim::{Decider, TrainedArm};
use agogic_study::{Arm, Study};
use serde_json::json;

use super::layout;
use super::replay::only;
use crate::args::{Picture, PictureWidth};
use crate::failure::Failure;
use crate::screen::{screen, shown};

const STUDY: &str = include_str!("picture.toml");
const STUDY_OF_TERMS: &str = include_str!("picture-terms.toml");

/// Draws a press.
pub fn picture(args: &Picture, as_json: bool) -> Result<ExitCode, Failure> {
    let study = match &args.spec {
        Some(_) => super::study(args.spec.as_ref())?,
        None => {
            let own = if args.terms { STUDY_OF_TERMS } else { STUDY };
            Study::read(own, Path::new(".")).expect("the built-in study has no mistakes")
        }
    };
    let arm = arm(&study, args.population.as_deref())?;
    let pick = args.press.map_or(Pick::FirstDisagreement, Pick::Press);
    let (found, context) = match &args.log {
        None => {
            let found = simulated_press_example(&study, &TrainedArm::new(&study, arm)?, args.typist, pick)?;
            let context = format!(
                "Press {} of a dual-role key by simulated typist {} of {}, seed {}",
                found.number, args.typist, arm.label, study.seed
            );
            (found, context)
        }
        Some(log) => {
            let found = logged(&study, &TrainedArm::new(&study, arm)?, (args, log), pick)?;
            let context = format!("Press {} of a dual-role key in a log", found.number);
            (found, context)
        }
    };
    let letters = arm.board.letters();
    let terms = if args.terms { Some(terms_of(&found, &context, letters)?) } else { None };
    let width = width(args.width);
    let figure = match &terms {
        Some(terms) => terms.draw(width).map_err(FigureFileError::from)?,
        None => draw(&found, context, width, letters)?,
    };
    save_figure(&figure, &args.out)?;
    let mut screen = screen();
    if as_json {
        let verdicts: Vec<_> = found
            .verdicts
            .iter()
            .map(|(name, d)| json!({ "policy": name, "hold": d.is_hold(), "after_ms": d.after.ms() }))
            .collect();
        let others: Vec<_> = found
            .others
            .iter()
            .map(|(code, down, up)| json!({ "code": code.name(), "down_ms": down, "up_ms": up }))
            .collect();
        let mut all = json!({
            "press": found.number, "code": found.key.name(), "role": found.role.name(), "up_ms": found.up_ms,
            "meant_hold": found.meant_hold, "others": others, "verdicts": verdicts,
            "file": args.out,
        });
        if args.terms {
            all["terms"] = json!(sums(&found));
        }
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    match &terms {
        None => writeln!(screen, "{}\n", figure.alt_text())?,
        Some(terms) => writeln!(screen, "{}\n\n{}\n", terms.title, shown(&added_up(terms)))?,
    }
    writeln!(screen, "Picture: {}", args.out.display())?;
    Ok(ExitCode::SUCCESS)
}

fn arm<'a>(study: &'a Study, population: Option<&str>) -> Result<&'a Arm, Failure> {
    let Some(name) = population else { return Ok(study.arms.first().expect("a study has an arm")) };
    study.arms.iter().find(|arm| arm.population.name() == name || arm.label == name).ok_or_else(|| Failure::Name {
        what: "population in this study",
        name: name.to_owned(),
        known: study.arms.iter().map(|arm| arm.label.as_str()).collect::<Vec<_>>().join(", "),
    })
}

/// A press of a log, under the policies of the study that are the same for everybody.
fn logged(
    study: &Study,
    arm: &TrainedArm<'_>,
    (args, path): (&Picture, &Path),
    pick: Pick,
) -> Result<PressExample, Failure> {
    let mut log = super::read(path, &layout(&args.layout)?)?;
    if let Some(name) = &args.participant {
        only(&mut log, name)?;
    }
    let mut stretches: Vec<Stretch<'_>> = Vec::new();
    for session in &log.sessions {
        let mut from = 0;
        for run in session.runs() {
            let meant = session.intents[from..from + run.len()].iter();
            let meant = meant.map(|intent| intent.map(|intent| matches!(intent, Intent::Hold(_)))).collect();
            stretches.push((run, meant));
            from += run.len();
        }
    }
    let common =
        |(label, decider): (&String, &'_ Decider)| matches!(decider, Decider::Common(_)).then(|| label.clone());
    let labels: Vec<String> = study.policies.iter().zip(&arm.deciders).filter_map(common).collect();
    let settings = arm.deciders.iter().filter(|decider| matches!(decider, Decider::Common(_))).map(Decider::base);
    let policies: Vec<_> = labels.into_iter().zip(settings).collect();
    Ok(press_example(arm.arm(), &policies, &stretches, pick)?)
}

/// The letter on a key, or its name: also where it is a dead key.
fn name(code: Code, letters: &Letters) -> String {
    let capital = || letters.given(code, Level::Second).filter(|c| c.is_alphabetic());
    match letters.letter(code) {
        Some(letter) => capital().unwrap_or(letter).to_string(),
        None => match letters.given(code, Level::First) {
            Some(sign) if !sign.is_whitespace() && letters.strokes(sign).is_some() => sign.to_string(),
            _ => code.name().to_owned(),
        },
    }
}

/// What adds up under the first policy that decides by a sum.
fn terms_of(found: &PressExample, context: &str, letters: &Letters) -> Result<Terms, Failure> {
    let sum = found.sums.first().ok_or(Failure::NoSum)?;
    Ok(Terms {
        title: format!("Tap or hold? What `{}` makes of {}", sum.policy, name(found.key, letters)),
        context: context.to_owned(),
        meant_hold: found.meant_hold,
        terms: sum.terms.iter().map(|term| (term.words.clone(), f64::from(term.units) / UNITS_PER_NAT)).collect(),
        threshold: f64::from(sum.threshold) / UNITS_PER_NAT,
    })
}

/// The terms as a table: each with the sum so far.
fn added_up(terms: &Terms) -> Sheet {
    let mut table = Sheet::new(vec![
        Column::words("seen"),
        Column::numbers("adds", "nats, above zero for a hold"),
        Column::numbers("sum so far", "nats"),
    ]);
    let mut sum = 0.0;
    for (words, nats) in &terms.terms {
        sum += nats;
        table.push([Cell::Words(words.clone()), Cell::Words(format!("{nats:+.2}")), Cell::Words(format!("{sum:+.2}"))]);
    }
    let word = |hold: bool| if hold { "a hold" } else { "a tap" };
    let meant = terms.meant_hold.map_or(String::new(), |hold| format!("; {} was meant", word(hold)));
    table.push([
        Cell::Words(format!("{}{meant}", word(terms.is_hold()))),
        Cell::Words(format!("threshold {:+.2}", terms.threshold)),
        Cell::Words(format!("{sum:+.2}")),
    ]);
    table
}

/// The same for programs.
fn sums(found: &PressExample) -> Vec<serde_json::Value> {
    let nats = |units: i32| f64::from(units) / UNITS_PER_NAT;
    let each = found.sums.iter().map(|sum| {
        let terms: Vec<_> =
            sum.terms.iter().map(|term| json!({ "seen": term.words, "nats": nats(term.units) })).collect();
        json!({ "policy": sum.policy, "terms": terms, "threshold_nats": nats(sum.threshold) })
    });
    each.collect()
}

fn width(width: PictureWidth) -> Width {
    match width {
        PictureWidth::OneColumn => Width::OneColumn,
        PictureWidth::TwoColumn => Width::TwoColumn,
        PictureWidth::Screen => Width::Screen,
        PictureWidth::Phone => Width::Phone,
    }
}

fn draw(found: &PressExample, context: String, width: Width, letters: &Letters) -> Result<Figure, Failure> {
    let press = |(code, down_ms, up_ms): &(Code, f64, f64)| TimingPress {
        name: name(*code, letters),
        down_ms: *down_ms,
        up_ms: *up_ms,
    };
    let timing = Timing {
        title: format!("Tap or hold? {} with the keys around it", name(found.key, letters)),
        context,
        key: name(found.key, letters),
        role: found.role.name().to_owned(),
        up_ms: found.up_ms,
        meant_hold: found.meant_hold,
        others: found.others.iter().map(press).collect(),
        verdicts: found
            .verdicts
            .iter()
            .map(|(label, d)| TimingVerdict { name: label.clone(), hold: d.is_hold(), at_ms: d.after.ms() })
            .collect(),
    };
    Ok(timing.draw(width).map_err(FigureFileError::from)?)
}
