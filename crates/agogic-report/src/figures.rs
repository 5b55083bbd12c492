//! Figures of results, and saving them.

use std::io::Write;
use std::path::{Path, PathBuf};

use agogic_figures::{
    Curve, Figure, FigureError, Floor, Forest, ForestRow, IntervalNote, Literature, LiteratureRole, LiteratureRow,
    LiteratureSource, LiteratureVerdict, Observer, Reading, Stretch, TradeOff, TradeOffPolicy, TypistRates, Typists,
    Who, WhoBin, WhoPanel, Width,
};
use agogic_files::{FloorRecord, Results};
use agogic_lab::{ResultRow, Statistic};
use agogic_literature::{Comparison, Role, Verdict};
use agogic_stats::{Clusters, Estimate, Level, ratio_skewed};
use agogic_study::FloorPlan;

use crate::looks;
use crate::tables::slug;

/// Resolution of raster figures.
const DPI: f64 = 300.0;
/// Policies in a picture of distributions; more cannot be told apart.
const MOST: usize = 5;

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

/// The form of a figure file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Scalable vector graphics.
    Svg,
    /// Portable document format, its font embedded.
    Pdf,
    /// Portable network graphics, 300 dots per inch.
    Png,
}

impl Format {
    /// All forms.
    pub const ALL: [Self; 3] = [Self::Svg, Self::Pdf, Self::Png];

    /// The ending of such a file.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Svg => "svg",
            Self::Pdf => "pdf",
            Self::Png => "png",
        }
    }

    /// A figure in this form.
    ///
    /// # Errors
    /// The figure cannot be converted.
    pub fn bytes(self, figure: &Figure) -> Result<Vec<u8>, FigureFileError> {
        Ok(match self {
            Self::Svg => figure.svg().into_bytes(),
            Self::Pdf => figure.pdf()?,
            Self::Png => figure.png(DPI)?,
        })
    }
}

/// Saves a figure in the form its ending names; whole or not at all.
///
/// # Errors
/// An ending that is none of `.svg`, `.pdf` and `.png`; the disk refuses.
pub fn save_figure(figure: &Figure, path: &Path) -> Result<(), FigureFileError> {
    let ending = path.extension().and_then(|e| e.to_str()).map(str::to_ascii_lowercase);
    let format = Format::ALL.into_iter().find(|format| Some(format.ending()) == ending.as_deref());
    let bytes = format.ok_or_else(|| FigureFileError::Ending(path.to_owned()))?.bytes(figure)?;
    let io = |source| FigureFileError::Io { path: path.to_owned(), source };
    let parent = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
    let mut builder = tempfile::Builder::new();
    // A figure is as open to others as any new file; the system's mask still takes away from this.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut draft = builder.tempfile_in(parent).map_err(io)?;
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
    for comparison in comparisons.iter().filter(|comparison| !comparison.row.is_of_people()) {
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

/// A figure of a study before its width is chosen.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// Name in files: letters, digits, hyphens.
    pub name: String,
    what: What,
}

#[derive(Clone, Debug)]
enum What {
    TradeOff(TradeOff),
    Typists(Typists),
    Who(Who),
    Forest(Forest),
    Curve(Curve),
}

impl Drawing {
    /// Estimates in rows.
    pub(crate) fn forest(name: String, forest: Forest) -> Self {
        Self { name, what: What::Forest(forest) }
    }

    /// False holds against missed holds.
    pub(crate) fn trade_off(name: String, trade_off: TradeOff) -> Self {
        Self { name, what: What::TradeOff(trade_off) }
    }

    /// A figure over a threshold.
    pub(crate) fn curve(name: String, curve: Curve) -> Self {
        Self { name, what: What::Curve(curve) }
    }

    /// The figure at a width.
    ///
    /// # Errors
    /// The data cannot be drawn.
    pub fn draw(&self, width: Width) -> Result<Figure, FigureError> {
        match &self.what {
            What::TradeOff(plan) => plan.draw(width),
            What::Typists(plan) => plan.draw(width),
            What::Who(plan) => plan.draw(width),
            What::Forest(plan) => plan.draw(width),
            What::Curve(plan) => plan.draw(width),
        }
    }
}

fn context(results: &Results, arm: &str) -> String {
    let keys = results.manifest.arms.iter().find(|info| info.label == arm).map_or(0, |info| info.keys_each);
    format!("{} simulated typists of {arm}, {keys} presses each", results.judged(arm))
}

/// The observer behind floors.
pub(crate) fn observer(floor: &FloorPlan, typists: u64) -> Observer {
    Observer { sees: floor.sight.words().to_owned(), typists }
}

/// The floors of an arm, shortest deadline first.
pub(crate) fn floors(corners: &[FloorRecord], arm: &str) -> Vec<Floor> {
    let own: Vec<&FloorRecord> = corners.iter().filter(|corner| corner.arm == arm).collect();
    let of_deadline = own.chunk_by(|a, b| a.deadline_ms == b.deadline_ms);
    let floor = |corners: &[&FloorRecord]| Floor {
        label: match corners[0].deadline_ms {
            None => "without a deadline".to_owned(),
            Some(ms) => format!("within {ms} ms"),
        },
        points: corners.iter().map(|own| (own.false_holds_per_1000_taps, own.missed_holds_per_100_holds)).collect(),
    };
    of_deadline.map(floor).collect()
}

/// False holds against missed holds, a mark for each policy of an arm.
pub fn trade_off(results: &Results, arm: &str) -> Drawing {
    let m = &results.manifest;
    let find = |policy: &str, estimand: &str| results.row(arm, policy, estimand, Statistic::Pooled);
    let policies = m.policies.iter().zip(&m.policy_rules).map(|(label, rule)| {
        let (family, look) = looks::family(label, rule);
        TradeOffPolicy {
            name: label.clone(),
            family,
            look,
            false_holds_per_1000_taps: reading(find(label, "false_holds")),
            missed_holds_per_100_holds: reading(find(label, "missed_holds")),
            mean_delay_ms: find(label, "tap_delay").and_then(|row| row.estimate.value),
        }
    });
    let method = m.policies.first().and_then(|policy| find(policy, "false_holds"));
    let figure = TradeOff {
        title: "False holds and missed holds".to_owned(),
        context: context(results, arm),
        policies: policies.collect(),
        floors: floors(&results.floor, arm),
        observer: observer(&m.floor, results.watched(arm)),
        interval: IntervalNote::new(method.map_or("", |row| &row.estimate.method), m.level, "typist"),
        stretch: Stretch::Auto,
    };
    Drawing { name: format!("trade-off-{}", slug(arm)), what: What::TradeOff(figure) }
}

/// The look of a policy of a run.
fn look(results: &Results, policy: &str) -> usize {
    let m = &results.manifest;
    let rule = m.policies.iter().zip(&m.policy_rules).find(|(label, _)| *label == policy).map_or("", |(_, rule)| rule);
    looks::family(policy, rule).1
}

/// A rate of typists: its name, its unit, its two columns of counts, its factor.
#[derive(Clone, Copy)]
struct Rate {
    quantity: &'static str,
    unit: &'static str,
    events: &'static str,
    chances: &'static str,
    factor: f64,
}

const FALSE_HOLDS: Rate =
    Rate { quantity: "false holds", unit: "per 1000 taps", events: "false_holds", chances: "taps", factor: 1000.0 };
const MISSED_HOLDS: Rate =
    Rate { quantity: "missed holds", unit: "per 100 holds", events: "missed_holds", chances: "holds", factor: 100.0 };

impl Rate {
    /// Events and chances of each typist.
    fn pairs(&self, results: &Results, arm: &str, policy: &str) -> Vec<(f64, f64)> {
        let column = |name| results.of_typists(arm, policy, name);
        column(self.events).iter().copied().zip(column(self.chances).iter().copied()).collect()
    }
}

/// How a rate is spread over typists, a curve for the best setting of each rule. `None` where nobody has a rate.
fn over_typists(results: &Results, arm: &str, rate: Rate) -> Option<Drawing> {
    let curve = |policy: &str| {
        let pairs = rate.pairs(results, arm, policy);
        let rates: Vec<f64> = pairs.iter().filter(|(_, n)| *n > 0.0).map(|(x, n)| rate.factor * x / n).collect();
        let look = look(results, policy);
        TypistRates { name: policy.to_owned(), look, without_opportunity: pairs.len() - rates.len(), rates }
    };
    let chosen = results.best_of_each_rule(arm, MOST);
    let policies: Vec<_> = chosen.into_iter().map(curve).filter(|curve| !curve.rates.is_empty()).collect();
    if policies.is_empty() {
        return None;
    }
    let figure = Typists {
        title: format!("How {} are spread over typists", rate.quantity),
        quantity: rate.quantity.into(),
        unit: rate.unit.into(),
        context: format!("{}. Of each rule the setting with the fewest wrong keys", context(results, arm)),
        policies,
    };
    let name = format!("typists-{}-{}", rate.quantity.replace(' ', "-"), slug(arm));
    Some(Drawing { name, what: What::Typists(figure) })
}

/// The spread of false holds over typists.
pub fn false_holds_over_typists(results: &Results, arm: &str) -> Option<Drawing> {
    over_typists(results, arm, FALSE_HOLDS)
}

/// The spread of missed holds over typists.
pub fn missed_holds_over_typists(results: &Results, arm: &str) -> Option<Drawing> {
    over_typists(results, arm, MISSED_HOLDS)
}

/// Groups of typists in the picture of whom a policy fails, and the fewest typists of one.
const FIFTHS: usize = 5;
const FEWEST: usize = 8;

/// A rate by a trait of the typists. `None` with too few typists for fifths.
fn by_trait(
    results: &Results,
    arm: &str,
    rate: Rate,
    (column, name, unit, factor): (&str, &str, &str, f64),
) -> Option<Drawing> {
    let level = Level::new(results.manifest.level).ok()?;
    let mut panels = Vec::new();
    let mut method = String::new();
    for policy in results.best_of_each_rule(arm, MOST) {
        let traits: Vec<f64> = results.of_typists(arm, policy, column).iter().map(|v| factor * v).collect();
        let pairs = rate.pairs(results, arm, policy);
        let mut order: Vec<usize> = (0..traits.len().min(pairs.len())).collect();
        // A stable sort keeps the order of the typists' numbers among equals.
        order.sort_by(|&a, &b| traits[a].total_cmp(&traits[b]));
        if order.len() < FIFTHS * FEWEST {
            return None;
        }
        let bin = |n: usize| {
            let members = &order[n * order.len() / FIFTHS..(n + 1) * order.len() / FIFTHS];
            let clusters = Clusters::proportion("typist", members.iter().map(|&at| pairs[at])).ok()?;
            let estimate = ratio_skewed(&clusters, level);
            let at = members.iter().map(|&at| traits[at]).sum::<f64>() / members.len() as f64;
            Some((WhoBin { at, typists: members.len(), rate: scaled(&estimate, rate.factor) }, estimate.method))
        };
        let bins: Vec<_> = (0..FIFTHS).map(bin).collect::<Option<_>>()?;
        method = bins.first().map_or_else(String::new, |(_, method)| method.clone());
        let bins = bins.into_iter().map(|(bin, _)| bin).collect();
        panels.push(WhoPanel { name: policy.to_owned(), look: look(results, policy), bins, typists: Vec::new() });
    }
    if panels.is_empty() {
        return None;
    }
    let figure = Who {
        title: format!("{} by {name}", crate::words::capital(rate.quantity)),
        quantity: rate.quantity.into(),
        unit: rate.unit.into(),
        trait_name: name.into(),
        trait_unit: unit.into(),
        context: format!("{}, in fifths. Of each rule the setting with the fewest wrong keys", context(results, arm)),
        panels,
        interval: IntervalNote::new(method, results.manifest.level, "typist"),
    };
    let name = format!("who-{}-by-{}-{}", rate.quantity.replace(' ', "-"), name.replace(' ', "-"), slug(arm));
    Some(Drawing { name, what: What::Who(figure) })
}

/// False holds by the share of rolled presses.
pub fn false_holds_by_rollover(results: &Results, arm: &str) -> Option<Drawing> {
    by_trait(results, arm, FALSE_HOLDS, ("rollover", "rollover", "% of presses", 100.0))
}

/// Missed holds by speed.
pub fn missed_holds_by_speed(results: &Results, arm: &str) -> Option<Drawing> {
    by_trait(results, arm, MISSED_HOLDS, ("wpm", "typing speed", "words per minute", 1.0))
}

/// What each policy changes against the one it is compared with. `None` where nothing is compared.
pub fn differences(results: &Results, arm: &str) -> Option<Drawing> {
    let m = &results.manifest;
    let mut rows = Vec::new();
    let (mut plain, mut joint) = (None, None);
    for (policy, other) in m.policies.iter().zip(&m.compared_with).filter(|(policy, other)| policy != other) {
        let Some(row) = results.row(arm, policy, "wrong_keys", Statistic::Difference) else { continue };
        let mut drawn = ForestRow::new(policy.clone(), reading(Some(row))).in_group(format!("less {other}"));
        plain.get_or_insert_with(|| row.estimate.method.clone());
        if let Some(row) = results.row(arm, policy, "wrong_keys", Statistic::DifferenceJoint)
            && let (Some(lo), Some(hi)) = (row.estimate.lo, row.estimate.hi)
        {
            drawn = drawn.with_simultaneous(lo, hi);
            joint.get_or_insert_with(|| row.estimate.method.clone());
        }
        rows.push(drawn);
    }
    // Rows of one group stand together under its name.
    let mut groups: Vec<String> = Vec::new();
    rows.iter().for_each(|row| {
        if !groups.contains(&row.group) {
            groups.push(row.group.clone())
        }
    });
    rows.sort_by_key(|row| groups.iter().position(|group| *group == row.group));
    let note = |method: String| IntervalNote::new(method, m.level, "typist");
    let figure = Forest {
        title: "What each policy changes".into(),
        quantity: "difference in wrong keys".into(),
        unit: "per 1000 words".into(),
        context: context(results, arm),
        rows,
        signed: true,
        reference: Some(0.0),
        limits: None,
        interval: note(plain?),
        simultaneous: joint.map(note),
    };
    Some(Drawing { name: format!("differences-{}", slug(arm)), what: What::Forest(figure) })
}

/// Every figure of an arm.
pub fn all(results: &Results, arm: &str) -> Vec<Drawing> {
    let rest = [
        differences(results, arm),
        false_holds_over_typists(results, arm),
        missed_holds_over_typists(results, arm),
        false_holds_by_rollover(results, arm),
        missed_holds_by_speed(results, arm),
    ];
    std::iter::once(trade_off(results, arm)).chain(rest.into_iter().flatten()).collect()
}

pub(crate) fn scaled(estimate: &Estimate, factor: f64) -> Reading {
    match (estimate.value, estimate.lo, estimate.hi) {
        (Some(value), Some(lo), Some(hi)) => Reading::with_interval(factor * value, factor * lo, factor * hi),
        (Some(value), ..) => Reading::point(factor * value),
        (None, ..) => Reading::unknown(estimate.reason.clone().unwrap_or_else(|| "no value".to_owned())),
    }
}

fn reading(row: Option<&ResultRow>) -> Reading {
    row.map_or_else(|| Reading::unknown("not estimated"), |row| scaled(&row.estimate, 1.0))
}
