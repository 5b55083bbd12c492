//! The page: one HTML file that needs nothing else.

use agogic_figures::{FigureError, page_css};
use agogic_files::Results;
use agogic_lab::Statistic;
use minijinja::value::Serde;
use minijinja::{AutoEscape, Environment, UndefinedBehavior, context};

use crate::comparisons::{self, Comparisons};
use crate::first_screen::FirstScreen;
use crate::run_answer::run_answer;
use crate::run_grounds::{literature, manifest, methods_section, register, sources};
use crate::section::Section;
use crate::stop::stop_table;
use crate::transfer_tables::{transfer_in_short, transfer_table};
use crate::words::in_each_group;
use crate::{figures, tables};

const TEMPLATE: &str = include_str!("page/page.html");
const BLOCKS: &str = include_str!("page/blocks.html");
const CSS: &str = include_str!("page/page.css");
const SCRIPT: &str = include_str!("page/page.js");

/// Name of the page in a folder.
pub const PAGE: &str = "page.html";

/// Wrong outcomes by key that are shown.
const KINDS: usize = 12;

/// The page of a study, `more` sections after its own answer.
///
/// It holds nothing that differs between two runs of one study, such as the time, so it repeats to the byte.
///
/// # Errors
/// The data cannot be drawn.
pub fn page(results: &Results, more: &[Section]) -> Result<String, FigureError> {
    let m = &results.manifest;
    let first = run_answer(results)?;
    let mut sections = more.to_vec();
    sections.extend([
        trade_off(results)?,
        failures(results)?,
        changes(results)?,
        distributions(results)?,
        hands(results),
        register(results),
        literature(results),
        methods_section(results),
        sources(results),
        manifest(results),
    ]);
    let heading = if m.question.is_empty() { format!("Study {}", m.study) } else { m.question.clone() };
    let facts = format!(
        "{}, {} simulated typists{}, seed {}. Every number is of \
         simulated people.",
        results.settings_and_rules(),
        m.arms.iter().map(|arm| results.judged(&arm.label)).max().unwrap_or(0),
        in_each_group(m.arms.len()),
        m.seed
    );
    Ok(rendered(("study", &m.study), &m.agogic, &heading, &facts, &first, &sections))
}

/// A page: its first screen, then the sections that hold something. All pages of results have this skeleton. `about` is
/// what it is about, such as a study, and its name.
pub(crate) fn rendered(
    (about, name): (&str, &str),
    version: &str,
    heading: &str,
    facts: &str,
    first: &FirstScreen,
    sections: &[Section],
) -> String {
    let mut environment = Environment::new();
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    let css = format!("{}{CSS}", page_css());
    let fixed = "the templates are fixed and every test of a page renders them";
    let shown = |section: &Section| {
        environment.render_str(BLOCKS, context! { blocks => Serde(section.blocks()) }).expect(fixed)
    };
    let views = sections.iter().filter(|section| !section.is_empty()).map(|section| {
        context! { id => section.id(), title => section.title(), html => shown(section) }
    });
    let sections: Vec<_> = views.collect();
    let page = environment.render_str(
        TEMPLATE,
        context! {
            title => format!("{heading} · agogic"), about, name, version, heading, facts, css, sections,
            first => Serde(first),
            full => shown(&first.full),
            script => SCRIPT,
        },
    );
    page.expect(fixed)
}

fn labels(results: &Results) -> Vec<&str> {
    results.manifest.arms.iter().map(|arm| arm.label.as_str()).collect()
}

/// What a section shows of each arm: of the first at once, of the others under a line that opens it.
fn by_arm(
    section: &mut Section,
    results: &Results,
    line: impl Fn(&str) -> String,
    show: impl Fn(&mut Section, &str) -> Result<(), FigureError>,
) -> Result<(), FigureError> {
    for (at, arm) in labels(results).into_iter().enumerate() {
        if at > 0 {
            section.fold(&format!("`{arm}`{}", line(arm)), |section| show(section, arm))?;
            continue;
        }
        if results.manifest.arms.len() > 1 {
            section.heading(&format!("`{arm}`"));
        }
        show(section, arm)?;
    }
    Ok(())
}

/// The best setting of an arm with its wrong keys, to go behind the name of the arm.
fn best_in_short(results: &Results, arm: &str) -> String {
    let advice = results.advice.iter().find(|advice| advice.arm == arm);
    let said = advice.map(|own| format!(": fewest wrong keys `{}`, {}", own.best, own.wrong_keys.text_in_sentence(1)));
    said.unwrap_or_default()
}

fn trade_off(results: &Results) -> Result<Section, FigureError> {
    let mut section = Section::new("trade-off", "What each rule gets wrong");
    let lines = if results.floor.is_empty() {
        String::new()
    } else {
        format!(
            " Lines are {}: no rule that sees no more can come below them under the model. One that sees more, such as the \
             letters around, could.{}",
            results.manifest.floor.observer(),
            results.manifest.floor.caution().map_or(String::new(), |caution| format!(" {caution}"))
        )
    };
    section.paragraph(&format!(
        "A rule errs both ways: a false hold takes a tap for a hold, a missed hold takes a hold for a tap.{lines}"
    ));
    let line = |arm: &str| best_in_short(results, arm);
    by_arm(&mut section, results, line, |section, arm| {
        section.figure(&figures::trade_off(results, arm))?;
        section.table(&tables::policy_table(results, arm), results.best(arm));
        for note in tables::caution_notes(results, arm) {
            section.paragraph(&note);
        }
        if let Some(sheet) = tables::ends_table(results, arm) {
            section.table(&sheet, results.best(arm)).folded("If people hold otherwise: both ends of what is assumed");
        }
        if let Some(transfer) = results.transfer(arm) {
            section.fold("Rules that learn: trained on, judged on", |section| {
                section.table(&transfer_in_short(transfer), results.best(arm));
                section.table(&transfer_table(transfer), results.best(arm));
                Ok(())
            })?;
        }
        if let Some(sheet) = stop_table(results, arm) {
            section.table(&sheet, None).folded("Intervals that hold although the run was looked at");
        }
        if let Some(sheet) = tables::text_table(results, arm) {
            section.table(&sheet, results.best(arm)).folded("Text by text");
        }
        Ok(())
    })?;
    Ok(section)
}

fn changes(results: &Results) -> Result<Section, FigureError> {
    let mut section = Section::new("changes", "What each change does");
    let known = |arm: &str| figures::differences(results, arm).zip(comparisons::comparison_table(results, arm));
    if labels(results).into_iter().all(|arm| known(arm).is_none()) {
        return Ok(section);
    }
    section.paragraph(
        "Each policy less the one it is compared with. Both saw the same presses, so these differences are surer than the \
         table above suggests.",
    );
    by_arm(
        &mut section,
        results,
        |_| String::new(),
        |section, arm| {
            let Some((drawing, sheet)) = known(arm) else { return Ok(()) };
            section.figure(&drawing)?;
            let pairs = sheet.rows.len();
            section.table(&sheet, None).folded(&format!("Every difference with its tests: {pairs} pairs of settings"));
            Ok(())
        },
    )?;
    section
        .paragraph(&Comparisons::of(results).words(results.manifest.level))
        .folded("How many comparisons there are, and which intervals hold together");
    Ok(section)
}

fn distributions(results: &Results) -> Result<Section, FigureError> {
    let mut section = Section::new("typists", "How errors are spread over typists");
    section.paragraph(
        "A mean hides people: half of all typists do worse than the median, one in twenty worse than the 95 % typist. What a \
         finite session adds by chance is taken out of shares and quantiles of false and missed holds; figures and all else \
         are of sessions as long as those of the study.",
    );
    by_arm(
        &mut section,
        results,
        |_| String::new(),
        |section, arm| {
            let drawings =
                [figures::false_holds_over_typists(results, arm), figures::missed_holds_over_typists(results, arm)];
            section.figures(drawings.into_iter().flatten())?;
            section.table(&tables::spread_table(results, arm), results.best(arm)).folded("Quantiles over typists");
            Ok(())
        },
    )?;
    Ok(section)
}

/// In words: where the setting to start from does worst, and where another would do better.
fn worst_group(results: &Results, arm: &str) -> Option<(String, String)> {
    let best = results.best(arm)?;
    let all = results.value(arm, best, "wrong_keys")?;
    let value = |policy: &str, group: &str| {
        results.group_row(arm, policy, "wrong_keys", Statistic::Pooled, group).and_then(|row| row.estimate.value)
    };
    let groups = tables::groups(results, arm);
    let rates: Vec<(&str, f64)> = groups.iter().filter_map(|group| Some((*group, value(best, group)?))).collect();
    let (worst, most) = rates.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let text = format!(
        "`{best}` the {worst} fares worst, {most:.1} wrong keys per 1000 words against {all:.1} of all typists"
    );
    let better: Vec<String> = rates
        .iter()
        .filter_map(|(group, own)| {
            let others = results.manifest.policies.iter().filter_map(|policy| Some((policy, value(policy, group)?)));
            let (policy, least) = others.min_by(|a, b| a.1.total_cmp(&b.1))?;
            (least < *own).then(|| format!("in the {group} `{policy}` ({least:.1})"))
        })
        .collect();
    let others = match better.as_slice() {
        [] => String::new(),
        better => format!(" By the point estimate others have fewer: {}.", better.join("; ")),
    };
    Some((text, others))
}

fn failures(results: &Results) -> Result<Section, FigureError> {
    let mut section = Section::new("whom", "Whom it fails");
    if labels(results).into_iter().all(|arm| tables::group_table(results, arm).is_none()) {
        section.paragraph("Fewer than 30 typists: groups of ten or less would say nothing.");
        return Ok(section);
    }
    let line = |arm: &str| match worst_group(results, arm) {
        Some((worst, ..)) => format!(": {worst}"),
        None => String::new(),
    };
    by_arm(&mut section, results, line, |section, arm| {
        let Some(sheet) = tables::group_table(results, arm) else { return Ok(()) };
        if let Some((worst, others)) = worst_group(results, arm) {
            section.lead(&format!("Under {worst}.{others}"));
        }
        let drawings = [figures::false_holds_by_rollover(results, arm), figures::missed_holds_by_speed(results, arm)];
        section.figures(drawings.into_iter().flatten())?;
        section.table(&sheet, results.best(arm)).folded("Every rule in every group");
        let worst = results.best(arm).and_then(|best| tables::kind_table(results, arm, best, KINDS));
        if let Some(sheet) = worst {
            section.table(&sheet, None).folded("Which keys go wrong");
        }
        Ok(())
    })?;
    Ok(section)
}

fn hands(results: &Results) -> Section {
    let mut section = Section::new("hands", "What it asks of the hands");
    if let Some(sheet) = tables::hand_table(results) {
        section.table(&sheet, None).folded("Load of each finger, and reach of the shortcuts");
    }
    section
}
