//! Figures of results, and saving them.

use std::io::Write;
use std::path::{Path, PathBuf};

use agogic_figures::{
    Figure, FigureError, IntervalNote, Literature, LiteratureRole, LiteratureRow, LiteratureSource, LiteratureVerdict,
    Reading, Stretch, TradeOff, TradeOffPolicy, Width,
};
use agogic_lab::{ALL, Arm, ResultRow, Statistic, Study, StudyResult};
use agogic_literature::{Comparison, Role, Verdict};
use agogic_stats::Estimate;

/// Resolution of raster figures.
const DPI: f64 = 300.0;

/// Why there is no figure. The texts continue "failed to draw the figure: …".
#[derive(Debug, thiserror::Error)]
pub enum FigureFileError {
    /// The data cannot be drawn.
    #[error(transparent)]
    Draw(#[from] FigureError),
    /// The ending of the file says nothing.
    #[error("{0} ends in none of .svg, .pdf and .png; choose one of these")]
    Ending(PathBuf),
    /// The operating system refused.
    #[error("writing {path}: {source}. Check that the folder exists and that the disk is not full")]
    Io {
        /// Where.
        path: PathBuf,
        /// Its answer.
        source: std::io::Error,
    },
}

/// Saves a figure in the form its ending names; whole or not at all.
///
/// # Errors
/// An ending that is none of `.svg`, `.pdf` and `.png`; the disk refuses.
pub fn save_figure(figure: &Figure, path: &Path) -> Result<(), FigureFileError> {
    let ending = path.extension().and_then(|e| e.to_str()).map(str::to_ascii_lowercase);
    let bytes = match ending.as_deref() {
        Some("svg") => figure.svg().into_bytes(),
        Some("pdf") => figure.pdf()?,
        Some("png") => figure.png(DPI)?,
        _ => return Err(FigureFileError::Ending(path.to_owned())),
    };
    let io = |source| FigureFileError::Io { path: path.to_owned(), source };
    let parent = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
    let mut draft = tempfile::NamedTempFile::new_in(parent).map_err(io)?;
    draft.write_all(&bytes).and_then(|()| draft.as_file().sync_all()).map_err(io)?;
    draft.persist(path).map_err(|e| io(e.error))?;
    Ok(())
}

/// All published values beside the simulation, grouped by source.
///
/// # Errors
/// The data cannot be drawn.
pub fn literature_figure(comparisons: &[Comparison], typists: u64, seed: u64) -> Result<Figure, FigureFileError> {
    let mut sources: Vec<LiteratureSource> = Vec::new();
    for comparison in comparisons {
        let outcome = comparison.outcome();
        let Some(simulated) = outcome.simulated else { continue };
        let row = LiteratureRow {
            name: outcome.id.to_owned(),
            role: match comparison.row.role {
                Role::Calibration => LiteratureRole::Calibration,
                Role::HeldOut => LiteratureRole::HeldOut,
            },
            published: outcome.published,
            simulated,
            mcse: outcome.mcse,
            allowed: outcome.allowed.filter(|allowed| *allowed > 0.0),
            verdict: match &comparison.verdict {
                // A row that states only a side allows no distance that the axis could be scaled by.
                verdict if outcome.rule == "direction" => {
                    LiteratureVerdict::Descriptive(format!("a side: {}", verdict.word()))
                }
                Verdict::Agrees => LiteratureVerdict::Agrees,
                Verdict::Misses => LiteratureVerdict::Misses,
                other => {
                    LiteratureVerdict::Descriptive(outcome.reason.clone().unwrap_or_else(|| other.word().to_owned()))
                }
            },
        };
        match sources.iter_mut().find(|source| source.name == outcome.source) {
            Some(source) => source.rows.push(row),
            None => sources.push(LiteratureSource { name: outcome.source.to_owned(), rows: vec![row] }),
        }
    }
    let figure = Literature {
        title: "The typist model and what papers print".to_owned(),
        context: format!("{typists} simulated typists of each population, seed {seed}"),
        rule: "a row allows k standard errors of print and simulation together, or a stated margin".to_owned(),
        sources,
    };
    Ok(figure.draw(Width::TwoColumn)?)
}

/// False holds against missed holds, a mark for each policy of an arm.
///
/// # Errors
/// The data cannot be drawn.
pub fn trade_off_figure(
    study: &Study,
    result: &StudyResult,
    arm: &Arm,
    width: Width,
) -> Result<Figure, FigureFileError> {
    let find = |policy: &str, estimand: &str| -> Option<&ResultRow> {
        result.rows.iter().find(|row| {
            row.arm == arm.label
                && row.policy == policy
                && row.group == ALL
                && row.estimand == estimand
                && row.statistic == Statistic::Pooled
        })
    };
    let policies = study
        .policies
        .iter()
        .zip(&arm.deciders)
        .map(|(label, decider)| TradeOffPolicy {
            name: label.clone(),
            family: decider.base().entry().name.to_owned(),
            false_holds_per_1000_taps: reading(find(label, "false_holds")),
            missed_holds_per_100_holds: reading(find(label, "missed_holds")),
            mean_delay_ms: find(label, "tap_delay").and_then(|row| row.estimate.value),
        })
        .collect();
    let floors = result
        .arms
        .iter()
        .filter(|found| found.label == arm.label)
        .flat_map(|found| found.floor.iter().flat_map(|floor| &floor.curves))
        .map(|curve| agogic_figures::Floor {
            label: curve
                .deadline
                .map_or_else(|| "ideal observer".to_owned(), |span| format!("ideal observer within {} ms", span.ms())),
            points: curve.points().iter().map(|p| (1000.0 * p.false_rate, 100.0 * p.missed_rate)).collect(),
        })
        .collect();
    let method = find(study.policies.first().map_or("", String::as_str), "false_holds")
        .map_or_else(String::new, |row| row.estimate.method.clone());
    let figure = TradeOff {
        title: "False holds and missed holds".to_owned(),
        context: format!("{} typists of {}, {} presses each", study.typists, arm.label, arm.keys),
        policies,
        floors,
        interval: IntervalNote::new(method, study.inference.level.confidence(), "typist"),
        stretch: Stretch::Auto,
    };
    Ok(figure.draw(width)?)
}

fn reading(row: Option<&ResultRow>) -> Reading {
    match row.map(|row| &row.estimate) {
        Some(Estimate { value: Some(value), lo: Some(lo), hi: Some(hi), .. }) => {
            Reading::with_interval(*value, *lo, *hi)
        }
        Some(Estimate { value: Some(value), .. }) => Reading::point(*value),
        Some(Estimate { reason, .. }) => Reading::unknown(reason.clone().unwrap_or_else(|| "no value".to_owned())),
        None => Reading::unknown("not estimated"),
    }
}
