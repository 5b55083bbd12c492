//! `agogic picture`: one press with the keys around it, and what each policy makes of it, and when.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use agogic_files::read_log;
use agogic_keys::Code;
use agogic_lab::{Pick, PressExample, Stretch, press_example, simulated_press_example};
use agogic_log::{Intent, LogLayout};
use agogic_report::{Figure, FigureFileError, Timing, TimingPress, TimingVerdict, Width, save_figure};
use agogic_sim::{Decider, TrainedArm};
use agogic_study::{Arm, Study};
use serde_json::json;

use crate::args::{Picture, PictureWidth};
use crate::failure::Failure;

const STUDY: &str = include_str!("picture.toml");

/// Draws a press.
pub fn picture(args: &Picture, as_json: bool) -> Result<ExitCode, Failure> {
    let study = match &args.spec {
        Some(_) => super::study(args.spec.as_ref())?,
        None => Study::read(STUDY, Path::new(".")).expect("the built-in study has no mistakes"),
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
            let found = logged(&study, &TrainedArm::new(&study, arm)?, log, pick)?;
            let context = format!("Press {} of a dual-role key in a log", found.number);
            (found, context)
        }
    };
    let figure = draw(&found, context, args.width)?;
    save_figure(&figure, &args.out)?;
    let mut screen = std::io::stdout().lock();
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
        let all = json!({
            "press": found.number, "code": found.key.name(), "role": found.role.name(), "up_ms": found.up_ms,
            "meant_hold": found.meant_hold, "others": others, "verdicts": verdicts, "file": args.out,
        });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    writeln!(screen, "{}\n\nPicture: {}", figure.alt_text(), args.out.display())?;
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
fn logged(study: &Study, arm: &TrainedArm<'_>, path: &Path, pick: Pick) -> Result<PressExample, Failure> {
    let log = read_log(path, &LogLayout::events())?;
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

fn draw(found: &PressExample, context: String, width: PictureWidth) -> Result<Figure, Failure> {
    let name = |code: Code| match code.character(false) {
        Some(' ') | None => code.name().to_owned(),
        Some(letter) => letter.to_uppercase().to_string(),
    };
    let press =
        |(code, down_ms, up_ms): &(Code, f64, f64)| TimingPress { name: name(*code), down_ms: *down_ms, up_ms: *up_ms };
    let timing = Timing {
        title: format!("Tap or hold? {} with the keys around it", name(found.key)),
        context,
        key: name(found.key),
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
    let width = match width {
        PictureWidth::OneColumn => Width::OneColumn,
        PictureWidth::TwoColumn => Width::TwoColumn,
        PictureWidth::Screen => Width::Screen,
        PictureWidth::Phone => Width::Phone,
    };
    Ok(timing.draw(width).map_err(FigureFileError::from)?)
}
