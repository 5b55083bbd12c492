//! Rows with an estimate and its interval.

use crate::axis::{Axis, Scale};
use crate::figure::Figure;
use crate::ink::Ink;
use crate::legend::{self, Entry, Swatch};
use crate::mark::Mark;
use crate::panel::{self, Around, Panel};
use crate::reading::{self, IntervalNote, Reading};
use crate::scene::{Anchor, Part, Rect, Scene, Stroke};
use crate::words::{fitted, number, sentences, short, wrap};
use crate::{FigureError, Width, font};

/// What the picture shows: a row for each estimate, such as differences between policies.
#[derive(Clone, Debug, PartialEq)]
pub struct Forest {
    /// In a few words.
    pub title: String,
    /// What is estimated, such as `difference in false holds`.
    pub quantity: String,
    /// Its unit, such as `per 1000 taps`.
    pub unit: String,
    /// Population, text and number of typists, for the caption.
    pub context: String,
    /// From top to bottom.
    pub rows: Vec<ForestRow>,
    /// Where a line stands, such as 0 for no difference.
    pub reference: Option<f64>,
    /// The ends of the axis; without them all intervals fit. What runs beyond ends in an arrow.
    pub limits: Option<(f64, f64)>,
    /// What the thick lines are.
    pub interval: IntervalNote,
    /// What the thin lines are, where there are any.
    pub simultaneous: Option<IntervalNote>,
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct ForestRow {
    /// Its name.
    pub name: String,
    /// Rows of one group stand under its name; rows of the empty group have none.
    pub group: String,
    /// The estimate.
    pub reading: Reading,
    /// An interval that holds for all rows at once, drawn thin.
    pub simultaneous: Option<(f64, f64)>,
}

impl ForestRow {
    /// A row without group and simultaneous interval.
    pub fn new(name: impl Into<String>, reading: Reading) -> Self {
        Self { name: name.into(), group: String::new(), reading, simultaneous: None }
    }

    /// The same row in a group.
    #[must_use]
    pub fn in_group(mut self, group: impl Into<String>) -> Self {
        self.group = group.into();
        self
    }

    /// The same row with a simultaneous interval.
    #[must_use]
    pub fn with_simultaneous(mut self, low: f64, high: f64) -> Self {
        self.simultaneous = Some((low, high));
        self
    }

    fn ends(&self) -> impl Iterator<Item = f64> {
        self.reading.numbers().chain(self.simultaneous.into_iter().flat_map(|(a, b)| [a, b]))
    }
}

const FIGURE: &str = "the forest plot";
/// The distance between lines of one name, in sizes.
const LINE: f64 = 1.15;

impl Forest {
    /// Draws the picture.
    ///
    /// # Errors
    ///
    /// [`FigureError`] if there is no row, a number is not finite, or an interval or the limits are upside down.
    pub fn draw(&self, width: Width) -> Result<Figure, FigureError> {
        self.check()?;
        let mut scene = Scene::new(width);
        let text = scene.text;
        let row_height = text * 1.65;
        let names = self.rows.iter().map(|r| font::width(&r.name, text, false)).fold(0.0, f64::max);
        let names = (names + 12.0).min(scene.width * if width.narrow() { 0.36 } else { 0.4 });
        let numbers: Vec<String> = self.rows.iter().map(|row| numbers(row, width.narrow())).collect();
        let right = numbers.iter().map(|n| font::width(n, text, false)).fold(0.0, f64::max).min(scene.width * 0.38);
        let x = self.axis();
        let legend = self.legend();
        let top = 1.0 + legend::draw(&mut scene, &legend, 1.0, 1.0, width.points() - 2.0) + 3.0;
        let headings = self.headings();
        // A long name takes a second line: its end is often what tells it from its neighbour.
        let indent = |row: &ForestRow| if row.group.is_empty() { 1.0 } else { 5.0 };
        let wrapped: Vec<Vec<String>> =
            self.rows.iter().map(|row| wrap(&row.name, text, names - indent(row) - 4.0)).collect();
        let more: usize = wrapped.iter().map(|lines| lines.len() - 1).sum();
        let lines = self.rows.len() + headings.iter().filter(|h| **h).count();
        let area = Rect::new(
            names,
            top,
            scene.width - right - 8.0,
            top + lines as f64 * row_height + more as f64 * text * LINE + 4.0,
        );
        let bottom = panel::bottom_room(&scene, &x, area.width(), Around::ALL);
        let panel = Panel::framed_rows(&mut scene, area, x);
        if let Some(reference) = self.reference.filter(|r| (panel.x.low..=panel.x.high).contains(r)) {
            let at = panel.x_at(reference);
            scene.line(Part::Frame, vec![(at, area.top), (at, area.bottom)], Stroke::new(Ink::Soft, 0.9));
        }
        let mut middle = area.top + 2.0 + row_height / 2.0;
        for (((row, heading), numbers), wrapped) in self.rows.iter().zip(headings).zip(&numbers).zip(&wrapped) {
            if heading {
                let room = area.left - 3.0;
                scene.bold(
                    fitted(&row.group, text * 1.08, room),
                    (1.0, middle + 0.36 * text),
                    Anchor::Start,
                    Ink::Text,
                );
                middle += row_height;
            }
            let extra = (wrapped.len() - 1) as f64 * text * LINE;
            for (i, line) in wrapped.iter().enumerate() {
                let base = middle + 0.36 * text + i as f64 * text * LINE;
                let line = fitted(line, text, names - indent(row) - 4.0);
                scene.words(line, (indent(row), base), Anchor::Start, Ink::Text);
            }
            middle += extra / 2.0;
            let base = middle + 0.36 * text;
            let ink = if row.reading.value().is_some() { Ink::Text } else { Ink::Soft };
            scene.words(fitted(numbers, text, right), (scene.width - 1.0, base), Anchor::End, ink);
            draw_row(&mut scene, &panel, row, middle, if width.narrow() { 2.1 } else { 3.0 });
            middle += row_height + extra / 2.0;
        }
        scene.height = area.bottom + bottom + 2.0;
        Ok(Figure { title: self.title.clone(), caption: self.caption(), alt: self.alt(), width, scene })
    }

    fn check(&self) -> Result<(), FigureError> {
        reading::some(FIGURE, "rows", &self.rows)?;
        self.interval.check(FIGURE)?;
        for row in &self.rows {
            row.reading.check(FIGURE, "the estimate", &row.name)?;
            if let Some((low, high)) = row.simultaneous {
                Reading::with_interval(low, low, high).check(FIGURE, "the simultaneous interval", &row.name)?;
            }
        }
        if let Some((low, high)) = self.limits {
            Reading::with_interval(low, low, high).check(FIGURE, "a limit", "limits")?;
        }
        self.reference.map_or(Ok(()), |r| reading::finite(FIGURE, "the reference", "reference", r))
    }

    fn axis(&self) -> Axis {
        let title =
            if self.unit.is_empty() { self.quantity.clone() } else { format!("{} ({})", self.quantity, self.unit) };
        match self.limits {
            Some((low, high)) => Axis::new(Scale::Linear, low, high, title),
            None => Axis::around(self.rows.iter().flat_map(ForestRow::ends).chain(self.reference), title),
        }
    }

    /// Whether a heading stands before each row.
    fn headings(&self) -> Vec<bool> {
        let before = std::iter::once("").chain(self.rows.iter().map(|r| r.group.as_str()));
        self.rows.iter().zip(before).map(|(row, before)| !row.group.is_empty() && row.group != before).collect()
    }

    fn legend(&self) -> Vec<Entry> {
        let Some(note) = &self.simultaneous else { return Vec::new() };
        let line = |width, note: &IntervalNote| Entry {
            swatch: Swatch::Line(Stroke::new(Ink::Blue, width)),
            text: format!("{} % interval", number(note.level * 100.0, 3)),
        };
        let mut all = line(0.6, note);
        all.text = format!("{}, all rows at once", all.text);
        vec![line(2.0, &self.interval), all]
    }

    fn caption(&self) -> String {
        let bars = format!("Marks and lines are estimates with {}", self.interval.words());
        let thin = self.simultaneous.as_ref().map(|note| format!("Thin lines are simultaneous {}", note.words()));
        let arrows = if self.limits.is_some() { "Arrows point to what lies beyond the axis" } else { "" };
        let reference = self.reference.map(|r| format!("The upright line marks {}", short(r))).unwrap_or_default();
        sentences(&[&self.title, &self.context, &bars, &thin.unwrap_or_default(), &reference, arrows])
    }

    fn alt(&self) -> String {
        let unit = if self.unit.is_empty() { String::new() } else { format!(" {}", self.unit) };
        let known = || self.rows.iter().filter_map(|r| Some((r, r.reading.value()?)));
        let least = known().min_by(|a, b| a.1.total_cmp(&b.1));
        let most = known().max_by(|a, b| a.1.total_cmp(&b.1));
        let (n, what) = (self.rows.len(), &self.quantity);
        let first = match (least, most) {
            (Some(low), Some(high)) if n > 1 => format!(
                "Estimates of {what} in {n} rows, from {}{unit} ({}) to {}{unit} ({})",
                short(low.1),
                low.0.name,
                short(high.1),
                high.0.name
            ),
            (Some(only), _) => format!("{what} of {}: {}{unit}", only.0.name, short(only.1)),
            _ => format!("No row has a known {what}"),
        };
        let reference = self.reference.map(|reference| {
            let apart = |r: &&ForestRow| r.reading.interval().is_some_and(|(a, b)| reference < a || reference > b);
            let count = self.rows.iter().filter(apart).count();
            format!("{count} of the intervals exclude {}", short(reference))
        });
        sentences(&[first, reference.unwrap_or_default()])
    }
}

/// What stands at the right end of a row.
fn numbers(row: &ForestRow, narrow: bool) -> String {
    match &row.reading {
        Reading::Unknown { reason } => reason.clone(),
        Reading::Known { value, interval: None } => short(*value),
        Reading::Known { value, interval: Some((low, high)) } => {
            // One count of decimals for the row, from the width of the interval.
            let width = (high - low).max(value.abs() * 1e-3);
            let decimals = if width > 0.0 { (1.0 - (width / 2.0).log10().floor()).clamp(0.0, 6.0) as usize } else { 1 };
            let n = |v: f64| format!("{v:.decimals$}").replace('-', "−");
            if narrow {
                format!("{} ({}, {})", n(*value), n(*low), n(*high))
            } else {
                format!("{} ({} to {})", n(*value), n(*low), n(*high))
            }
        }
    }
}

fn draw_row(scene: &mut Scene, panel: &Panel, row: &ForestRow, y: f64, radius: f64) {
    if let Some(ends) = row.simultaneous {
        whisker(scene, panel, ends, y, 0.6);
    }
    if let Some(ends) = row.reading.interval() {
        whisker(scene, panel, ends, y, 2.0);
    }
    if let Some(value) = row.reading.value()
        && (panel.x.low..=panel.x.high).contains(&value)
    {
        scene.mark(panel.part, Mark::Square, (panel.x_at(value), y), radius, Ink::Blue, true);
    }
}

/// A line between the ends of an interval; an end beyond the axis becomes an arrow.
fn whisker(scene: &mut Scene, panel: &Panel, (low, high): (f64, f64), y: f64, width: f64) {
    let (left, right) = (panel.area.left, panel.area.right);
    let from = panel.x_at(low).clamp(left, right);
    let to = panel.x_at(high).clamp(left, right);
    // The arrow takes the place of the last bit of line.
    let from = if low < panel.x.low { (left + 3.0).min(to) } else { from };
    let to = if high > panel.x.high { (right - 3.0).max(from) } else { to };
    scene.line(panel.part, vec![(from, y), (to, y)], Stroke::new(Ink::Blue, width));
    if low < panel.x.low {
        scene.mark(panel.part, Mark::Left, (left + 3.0, y), 2.4, Ink::Blue, true);
    }
    if high > panel.x.high {
        scene.mark(panel.part, Mark::Right, (right - 3.0, y), 2.4, Ink::Blue, true);
    }
}
