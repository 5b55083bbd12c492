//! The page of a sweep: which settings are on the front, and which are behind another one, how surely.

use agogic_figures::FigureError;
use agogic_files::SweepRecord;
use agogic_lab::{Front, FrontPoint};
use agogic_study::{GOALS, Study};

use crate::advice_page::heading;
use crate::common_sections::{assumed, assumed_in_short, to_repeat};
use crate::first_screen::{Card, FirstScreen};
use crate::page::rendered;
use crate::section::Section;
use crate::sheet::{Cell, Column, Sheet};
use crate::sweep_figures::{curves, front_figure};
use crate::tables::slug;
use crate::words::{in_each_group, listed};

/// Settings of a table that is not folded away.
const SHOWN: usize = 24;

/// The page of a sweep.
///
/// It holds nothing that differs between two runs of one study, so it repeats to the byte.
///
/// # Errors
/// The data cannot be drawn.
pub fn sweep_page(study: &Study, swept: &SweepRecord) -> Result<String, FigureError> {
    let first = answer(study, swept)?;
    let mut sections = Vec::new();
    for (at, front) in swept.fronts.iter().enumerate() {
        let title = format!("The front: {}", front.arm);
        let mut section = Section::new(&format!("front-of-{}", slug(&front.arm)), &title);
        if at == 0 {
            one_front(&mut section, study, swept, front)?;
        } else {
            section.fold(&in_short(front), |section| one_front(section, study, swept, front))?;
        }
        sections.push(section);
    }
    let mut over = Section::new("curves", "Over each threshold");
    for plan in &study.sweeps {
        let line = format!("False and missed holds: `{}`, {} settings", plan.label, plan.points.len());
        over.fold(&line, |over| {
            let drawings = curves(study, swept, plan);
            if !drawings.is_empty() {
                over.figures(drawings)?;
            }
            Ok(())
        })?;
    }
    sections.extend([over, assumed(study), methods(study, swept), to_repeat(study)]);
    let facts = format!(
        "Policies: {}. Sweeps: {}. {} simulated typists{}, seed {}. Every \
         number is of simulated people.",
        study.policies.len(),
        study.sweeps.len(),
        study.typists,
        in_each_group(swept.fronts.len()),
        study.seed
    );
    Ok(rendered(("study", &study.name), env!("CARGO_PKG_VERSION"), &heading(study, "Sweep"), &facts, &first, &sections))
}

/// How many settings have none that is better in everything.
fn answer(study: &Study, swept: &SweepRecord) -> Result<FirstScreen, FigureError> {
    let on: Vec<String> = swept
        .fronts
        .iter()
        .map(|front| {
            let who = if swept.fronts.len() > 1 { format!(" for {}", front.arm) } else { String::new() };
            format!("{} of {} settings{who}", on_front(front), front.points.len())
        })
        .collect();
    let sentence = format!("On the front, where no other setting is better in everything: {}.", listed(&on));
    let mut first = FirstScreen::new(&sentence, &assumed_in_short(study));
    for front in &swept.fronts {
        let sure = front.points.iter().filter(|point| point.dominated_by.as_ref().is_some_and(|by| by.sure)).count();
        let who = if swept.fronts.len() > 1 { &*front.arm } else { "" };
        let mut card = Card::new(who, &format!("{} settings", front.points.len()));
        card.number("on the front", "settings", &on_front(front).to_string(), "");
        let behind = if study.inference.margins.is_empty() {
            "surely behind another"
        } else {
            "surely behind another, but for margins"
        };
        card.number(behind, "settings", &sure.to_string(), "");
        card.estimate("of the box dominated", "share", &front.hypervolume, 3);
        card.fails_unknown(
            "not looked at: a sweep takes all typists together. `agogic run` says whom a setting fails.",
        );
        first.card(card);
    }
    if let Some(front) = swept.fronts.first() {
        first.intervals_as(&front.hypervolume);
        let caption = format!("The front: `{}`.", front.arm);
        first.picture(&front_figure(study, swept, front), &caption, &format!("front-of-{}", slug(&front.arm)))?;
    }
    first.full.fold("In full: what the front says, with all its intervals", |full| {
        for front in &swept.fronts {
            if swept.fronts.len() > 1 {
                full.heading(&format!("`{}`", front.arm));
            }
            for line in front_sentences(study, front) {
                full.paragraph(&line);
            }
        }
        if study.sweeps.is_empty() {
            full.paragraph("The spec has no table `[[sweep]]`; the front is that of its policies.");
        }
        Ok(())
    })?;
    Ok(first)
}

fn on_front(front: &Front) -> usize {
    front.points.iter().filter(|point| point.on_front).count()
}

fn in_short(front: &Front) -> String {
    format!("{} of {} settings are on the front", on_front(front), front.points.len())
}

fn one_front(section: &mut Section, study: &Study, swept: &SweepRecord, front: &Front) -> Result<(), FigureError> {
    section.figure(&front_figure(study, swept, front))?;
    let sheet = front_table(front);
    let mut table = Section::new("", "");
    table.table(&sheet, None);
    if sheet.rows.len() > SHOWN {
        table.folded(&format!("All {} settings, and which is behind which", sheet.rows.len()));
    }
    section.append(table);
    Ok(())
}

fn methods(study: &Study, swept: &SweepRecord) -> Section {
    let mut section = Section::new("methods", "How it was found");
    let sweeps: Vec<String> =
        study.sweeps.iter().map(|plan| format!("`{}`, {} settings", plan.label, plan.points.len())).collect();
    let sweeps = if sweeps.is_empty() { String::new() } else { format!(" Swept: {}.", sweeps.join("; ")) };
    section.paragraph(&format!(
        "The same simulated typists typed the {} under every setting.{sweeps} A setting is behind another one that is no \
         worse in false holds, missed holds and mean tap delay and better in one of them; each such pair is tested over the \
         typists, with p-values adjusted for all ordered pairs (Holm 1979).",
        study.text_from
    ));
    if !swept.floor.is_empty() {
        section.paragraph(&study.floor.note(study.floor.typists));
    }
    section
}

/// The settings of a front, each with what it has of the goals and whether another one is better.
pub fn front_table(front: &Front) -> Sheet {
    let row = |point: &FrontPoint| {
        let words = [point.setting.clone(), point.sweep.clone(), front_verdict(point)];
        let mut cells = words.map(Cell::Words).to_vec();
        let digits = [2, 2, 0];
        cells.extend(point.goals.iter().zip(digits).map(|(goal, digits)| Cell::estimate(Some(goal), digits)));
        cells.push(Cell::estimate(point.above_floor.as_ref(), 1));
        cells.push(Cell::Number(100.0 * point.share_on_front, 0));
        cells
    };
    Sheet {
        name: format!("front-{}", slug(&front.arm)),
        caption: format!(
            "Settings of `{}`: what each gets wrong, and whether another one is no worse in any goal and better in one. The \
             share is of resamples of typists in which no other setting is better by the estimates.",
            front.arm
        ),
        columns: vec![
            Column::words("setting"),
            Column::words("of"),
            Column::words("front"),
            Column::numbers("false holds", "per 1000 taps"),
            Column::numbers("missed holds", "per 100 holds"),
            Column::numbers("mean tap delay", "ms"),
            Column::numbers("loss above floor", "per 1000 presses"),
            Column::numbers("on the front in", "% of resamples"),
        ],
        rows: front.points.iter().map(row).collect(),
    }
}

/// Whether a setting is on the front, in a few words.
pub fn front_verdict(point: &FrontPoint) -> String {
    match &point.dominated_by {
        Some(by) if by.sure => format!("behind {}", by.setting),
        Some(by) => format!("perhaps behind {}", by.setting),
        None => "on it".to_owned(),
    }
}

/// What a front says, in sentences.
pub fn front_sentences(study: &Study, front: &Front) -> Vec<String> {
    let percent = study.inference.level.confidence() * 100.0;
    let sure = front.points.iter().filter(|point| point.dominated_by.as_ref().is_some_and(|by| by.sure)).count();
    let on = front.points.iter().filter(|point| point.on_front).count();
    let [taps, holds, ms] = front.reference;
    let mut lines = vec![format!(
        "{on} of {} settings are on the front; {sure} are behind another one with {percent} % confidence for all pairs \
         together (p-values by Holm over {} ordered pairs). Intervals: {percent} %, unit of resampling: typist.",
        front.points.len(),
        front.pairs
    )];
    let margins: Vec<String> = study
        .inference
        .margins
        .iter()
        .filter(|line| GOALS.contains(&line.info.name))
        .map(|line| format!("{} {} {}", line.info.name.replace('_', " "), line.value, line.info.unit))
        .collect();
    if !margins.is_empty() {
        lines.push(format!("Behind means no worse, and better in one goal, by more than: {}. So a setting on the front, which none is better than \
             in everything by however little, can be behind another.", margins.join(", ")));
    }
    let volume = &front.hypervolume;
    lines.push(match (volume.value, volume.lo, volume.hi) {
        (Some(value), Some(lo), Some(hi)) => format!(
            "The front dominates {:.1} % ({:.1}–{:.1}) of the box up to {taps} false holds per 1000 taps, {holds} missed \
             holds per 100 holds and {ms} ms.",
            100.0 * value,
            100.0 * lo,
            100.0 * hi
        ),
        (value, ..) => format!(
            "Share of the box up to {taps}, {holds} and {ms} ms that the front dominates: {} ({}).",
            value.map_or("unknown".to_owned(), |value| format!("{:.1} %", 100.0 * value)),
            volume.reason.as_deref().unwrap_or("no interval")
        ),
    });
    lines.extend(front.left_out.iter().map(|left_out| format!("Not placed: {left_out}.")));
    lines
}
