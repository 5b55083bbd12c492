//! Published values against the model: one row each, in units of what its rule allows.

use crate::axis::{Axis, Scale};
use crate::figure::Figure;
use crate::ink::Ink;
use crate::legend::{self, Entry, Swatch};
use crate::mark::Mark;
use crate::panel::{self, Around, Panel};
use crate::reading;
use crate::scene::{Anchor, Part, Rect, Scene, Stroke};
use crate::words::{capital, number, opening, sentences, short, wrap};
use crate::{FigureError, Width, font};

/// What the picture shows: all rows of the comparison with the literature.
#[derive(Clone, Debug, PartialEq)]
pub struct Literature {
    /// In a few words.
    pub title: String,
    /// Model, population and size of the simulation, for the caption.
    pub context: String,
    /// The rule, in words: what a row allows and where that comes from.
    pub rule: String,
    /// The works, in order.
    pub sources: Vec<LiteratureSource>,
}

/// One work with its rows.
#[derive(Clone, Debug, PartialEq)]
pub struct LiteratureSource {
    /// Such as `Salthouse 1984`.
    pub name: String,
    /// Its values.
    pub rows: Vec<LiteratureRow>,
}

/// One published value.
#[derive(Clone, Debug, PartialEq)]
pub struct LiteratureRow {
    /// What was measured.
    pub name: String,
    /// Whether it served to set the model.
    pub role: LiteratureRole,
    /// The value in print.
    pub published: f64,
    /// The value of the model.
    pub simulated: f64,
    /// Monte Carlo standard error of the latter, where known.
    pub mcse: Option<f64>,
    /// The largest difference that the rule of the row allows, such as k·√(se² + mcse²) or a margin.
    pub allowed: Option<f64>,
    /// What the rule says.
    pub verdict: LiteratureVerdict,
}

/// What a published value is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LiteratureRole {
    /// The model was fitted to it.
    Calibration,
    /// The model never saw it.
    HeldOut,
}

/// What the comparison found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LiteratureVerdict {
    /// Within what the rule allows.
    Agrees,
    /// Beyond it.
    Misses,
    /// Neither: why there can be no verdict, such as `no spread in print`.
    Descriptive(String),
}

const FIGURE: &str = "the literature figure";
/// Where the axis ends, in allowances.
const LIMIT: f64 = 3.0;
/// The distance between lines of one row, in sizes.
const LINE: f64 = 1.15;
/// More rows than this stand in two columns where the figure is wide.
const ONE_COLUMN_ROWS: usize = 40;

enum Line<'a> {
    Heading(String),
    Row(&'a LiteratureRow),
}

impl Literature {
    /// Draws the picture. Its height follows the number of rows.
    ///
    /// # Errors
    ///
    /// [`FigureError`] if there is no row, a number is not finite, or a row with a verdict lacks a positive allowance.
    pub fn draw(&self, width: Width) -> Result<Figure, FigureError> {
        self.check()?;
        let mut scene = Scene::new(width);
        let count = self.rows().count();
        let columns = if !width.narrow() && count > ONE_COLUMN_ROWS { 2 } else { 1 };
        let top = 1.0 + legend::draw(&mut scene, &legend(), 1.0, 1.0, width.points() - 2.0) + 3.0;
        let gap = 12.0;
        let room = (scene.width - gap * (columns - 1) as f64) / columns as f64;
        let mut bottom: f64 = 0.0;
        for (n, lines) in self.columns(columns).iter().enumerate() {
            let left = n as f64 * (room + gap);
            bottom =
                bottom.max(draw_column(&mut scene, lines, left, left + room, top, columns == 1 && !width.narrow()));
        }
        scene.height = bottom + 2.0;
        Ok(Figure { title: capital(&self.title), caption: self.caption(), alt: self.alt(), width, scene })
    }

    fn rows(&self) -> impl Iterator<Item = &LiteratureRow> {
        self.sources.iter().flat_map(|s| &s.rows)
    }

    fn check(&self) -> Result<(), FigureError> {
        if self.rows().next().is_none() {
            return Err(FigureError::Empty { figure: FIGURE, what: "rows" });
        }
        for row in self.rows() {
            reading::finite(FIGURE, "the published value", &row.name, row.published)?;
            reading::finite(FIGURE, "the simulated value", &row.name, row.simulated)?;
            if let Some(mcse) = row.mcse {
                reading::rate(FIGURE, "the Monte Carlo error", &row.name, mcse)?;
            }
            let judged = !matches!(row.verdict, LiteratureVerdict::Descriptive(_));
            let allowed = row.allowed.unwrap_or(if judged { 0.0 } else { 1.0 });
            if !(allowed > 0.0 && allowed.is_finite()) {
                let (what, must) = ("the allowed difference", "above zero where there is a verdict");
                let row = row.name.clone();
                return Err(FigureError::OutOfRange { figure: FIGURE, what, row, value: allowed, must });
            }
        }
        Ok(())
    }

    /// The lines of each column, of about equal length; a heading never ends one and is repeated where a work goes on.
    fn columns(&self, count: usize) -> Vec<Vec<Line<'_>>> {
        let sources = || self.sources.iter().filter(|s| !s.rows.is_empty());
        let total: usize = sources().map(|s| s.rows.len() + 1).sum();
        let length = total.div_ceil(count);
        let mut columns: Vec<Vec<Line<'_>>> = vec![Vec::new()];
        for source in sources() {
            for (i, row) in source.rows.iter().enumerate() {
                let used = columns.last().map_or(0, Vec::len);
                // A heading wants at least its first row below it.
                let needed = if i == 0 { 2 } else { 1 };
                let full = used > 0 && used + needed > length + 1 && columns.len() < count;
                if full {
                    columns.push(Vec::new());
                }
                let column = columns.last_mut().expect("there is one");
                if i == 0 {
                    column.push(Line::Heading(source.name.clone()));
                } else if full {
                    column.push(Line::Heading(format!("{} (continued)", source.name)));
                }
                column.push(Line::Row(row));
            }
        }
        columns
    }

    fn tally(&self, role: LiteratureRole) -> (usize, usize) {
        let judged = self.rows().filter(|r| r.role == role && !matches!(r.verdict, LiteratureVerdict::Descriptive(_)));
        judged
            .fold((0, 0), |(agree, all), row| (agree + usize::from(row.verdict == LiteratureVerdict::Agrees), all + 1))
    }

    fn counts(&self) -> String {
        let (held, of_held) = self.tally(LiteratureRole::HeldOut);
        let (fitted, of_fitted) = self.tally(LiteratureRole::Calibration);
        let rest = self.rows().count() - of_held - of_fitted;
        format!(
            "{held} of {of_held} held-out values and {fitted} of {of_fitted} calibration values agree; {rest} are \
             descriptive and can neither agree nor miss"
        )
    }

    fn caption(&self) -> String {
        sentences(&[
            &opening(&self.title, &self.context),
            "Each row is simulated minus published, as a share of the largest difference its rule allows, with two Monte \
             Carlo standard errors to each side; the band from −1 to +1 is agreement, arrows point to what lies beyond the \
             axis",
            &self.rule,
            &self.counts(),
        ])
    }

    fn alt(&self) -> String {
        let works = self.sources.iter().filter(|s| !s.rows.is_empty()).count();
        let first = format!("Comparison of the model with {} published values of {works} works", self.rows().count());
        let misses = || self.rows().filter(|r| r.verdict == LiteratureVerdict::Misses);
        let worst = misses().max_by(|a, b| share(a).unwrap_or(0.0).abs().total_cmp(&share(b).unwrap_or(0.0).abs()));
        let worst = worst.map(|r| format!("; the greatest miss is {}", r.name)).unwrap_or_default();
        sentences(&[first, format!("{}{worst}", self.counts())])
    }
}

/// The difference in allowances.
fn share(row: &LiteratureRow) -> Option<f64> {
    row.allowed.map(|allowed| (row.simulated - row.published) / allowed)
}

fn legend() -> Vec<Entry> {
    let mark = |mark, ink, filled, text: &str| Entry {
        swatch: Swatch::Mark { mark, radius: 2.6, ink, filled },
        text: text.to_owned(),
    };
    vec![
        mark(Mark::Circle, Ink::Green, true, "held out, agrees"),
        mark(Mark::Circle, Ink::Vermillion, false, "held out, misses"),
        mark(Mark::Square, Ink::Green, true, "calibration, agrees"),
        mark(Mark::Square, Ink::Vermillion, false, "calibration, misses"),
        mark(Mark::Diamond, Ink::Soft, false, "descriptive"),
        Entry { swatch: Swatch::Area(Ink::Shade), text: "agreement".to_owned() },
    ]
}

/// What stands at the right end of a row.
fn outcome(row: &LiteratureRow, values: bool) -> String {
    let verdict = match &row.verdict {
        LiteratureVerdict::Agrees => "agrees".to_owned(),
        LiteratureVerdict::Misses => match share(row) {
            Some(share) => format!("misses {}×", number(share.abs(), if share.abs() < 1.1 { 2 } else { 1 })),
            None => "misses".to_owned(),
        },
        LiteratureVerdict::Descriptive(reason) if values => reason.clone(),
        LiteratureVerdict::Descriptive(_) => "–".to_owned(),
    };
    if values { format!("{} → {}   {verdict}", short(row.published), short(row.simulated)) } else { verdict }
}

fn draw_column(scene: &mut Scene, lines: &[Line<'_>], left: f64, right: f64, top: f64, values: bool) -> f64 {
    let text = scene.text;
    let row_height = text * 1.3;
    let rows = || lines.iter().filter_map(|l| if let Line::Row(row) = l { Some(*row) } else { None });
    let widest =
        |f: &dyn Fn(&LiteratureRow) -> String| rows().map(|r| font::width(&f(r), text, true)).fold(0.0, f64::max) + 5.0;
    let room = right - left;
    let outcomes = widest(&|r| outcome(r, values)).min(room * 0.34);
    let names = (widest(&|r| r.name.clone()) + 5.0).min(room - outcomes - room * 0.3);
    // What is long takes more lines: nothing is cut. Bold letters are a little wider.
    let wrapped: Vec<(Vec<String>, Vec<String>)> = lines
        .iter()
        .map(|line| match line {
            Line::Heading(name) => (wrap(name, text * 1.1, names + room * 0.2), Vec::new()),
            Line::Row(row) => {
                (wrap(&row.name, text, names - 9.0), wrap(&outcome(row, values), text * 1.1, outcomes - 3.0))
            }
        })
        .collect();
    let height = |(name, outcome): &(Vec<String>, Vec<String>)| {
        row_height + (name.len().max(outcome.len()).max(1) - 1) as f64 * text * LINE
    };
    let area = Rect::new(left + names, top, right - outcomes, top + wrapped.iter().map(height).sum::<f64>() + 4.0);
    let x = Axis::new(Scale::Linear, -LIMIT, LIMIT, "Difference ÷ allowed").with_signs();
    let bottom = panel::bottom_room(scene, &x, area.width(), Around::ROWS);
    let band = |share: f64| area.left + (share + LIMIT) / (2.0 * LIMIT) * area.width();
    scene.block(Part::Frame, Rect::new(band(-1.0), area.top, band(1.0), area.bottom), Ink::Shade);
    let panel = Panel::framed_rows(scene, area, x);
    let zero = panel.x_at(0.0);
    scene.line(Part::Frame, vec![(zero, area.top), (zero, area.bottom)], Stroke::new(Ink::Rule, 0.7));
    let mut row_top = area.top + 2.0;
    for (line, words) in lines.iter().zip(&wrapped) {
        let middle = row_top + height(words) / 2.0;
        let mut write = |lines: &[String], x: f64, bold: bool, ink: Ink| {
            for (i, line) in lines.iter().enumerate() {
                let base = middle + (0.36 + (i as f64 - (lines.len() - 1) as f64 / 2.0) * LINE) * text;
                scene.words_in(line, (x, base), Anchor::Start, ink, bold);
            }
        };
        match line {
            Line::Heading(_) => write(&words.0, left + 1.0, true, Ink::Text),
            Line::Row(row) => {
                write(&words.0, left + 5.0, false, Ink::Text);
                let soft = matches!(row.verdict, LiteratureVerdict::Descriptive(_));
                let bold = row.verdict == LiteratureVerdict::Misses;
                write(&words.1, right - outcomes + 4.0, bold, if soft { Ink::Soft } else { Ink::Text });
                draw_mark(scene, &panel, row, middle);
            }
        }
        row_top += height(words);
    }
    area.bottom + bottom
}

fn draw_mark(scene: &mut Scene, panel: &Panel, row: &LiteratureRow, y: f64) {
    let (Some(share), Some(allowed)) = (share(row), row.allowed) else { return };
    let role = if row.role == LiteratureRole::HeldOut { Mark::Circle } else { Mark::Square };
    let (mark, ink, filled) = match row.verdict {
        LiteratureVerdict::Agrees => (role, Ink::Green, true),
        LiteratureVerdict::Misses => (role, Ink::Vermillion, false),
        LiteratureVerdict::Descriptive(_) => (Mark::Diamond, Ink::Soft, false),
    };
    let at = panel.x_at(share.clamp(-LIMIT, LIMIT));
    if share.abs() <= LIMIT {
        if let Some(mcse) = row.mcse {
            let reach = 2.0 * mcse / allowed;
            let end = |share: f64| (panel.x_at(share.clamp(-LIMIT, LIMIT)), y);
            scene.line(panel.part, vec![end(share - reach), end(share + reach)], Stroke::new(ink, 0.7));
        }
        scene.mark(panel.part, mark, (at, y), 2.4, ink, filled);
    } else {
        let (arrow, inward) = if share > 0.0 { (Mark::Right, -3.5) } else { (Mark::Left, 3.5) };
        scene.mark(panel.part, arrow, (at + inward, y), 2.6, ink, filled);
        scene.mark(panel.part, mark, (at + 2.6 * inward, y), 2.4, ink, filled);
    }
}
