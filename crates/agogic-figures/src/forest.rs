//! Rows with an estimate and its interval.

use crate::axis::{Axis, Scale};
use crate::figure::Figure;
use crate::ink::Ink;
use crate::legend::{self, Entry, Swatch};
use crate::mark::Mark;
use crate::panel::{self, Around, Panel};
use crate::reading::{self, IntervalNote, Reading};
use crate::scene::{Anchor, Part, Rect, Scene, Stroke};
use crate::words::{capital, decimals, fixed, number, opening, sentences, short, signed, wrap};
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
    /// Whether the values are differences, which carry their sign.
    pub signed: bool,
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
/// Rows are told apart by their names; a colour would look like that of a rule in another figure.
const INK: Ink = Ink::Text;
/// The distance between lines of one name, in sizes.
const LINE: f64 = 1.15;
/// The height of a row of one line, in sizes.
const ROW: f64 = 1.65;

/// The words of one row, broken into lines.
struct RowWords {
    /// The name of its group, where it begins here.
    heading: Vec<String>,
    name: Vec<String>,
    numbers: Vec<String>,
    indent: f64,
}

impl RowWords {
    fn height(&self, text: f64) -> f64 {
        (ROW + (self.name.len().max(self.numbers.len()).max(1) - 1) as f64 * LINE) * text
    }

    fn heading_height(&self, text: f64) -> f64 {
        if self.heading.is_empty() { 0.0 } else { (ROW + (self.heading.len() - 1) as f64 * LINE) * text }
    }
}

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
        let names = self.rows.iter().map(|r| font::width(&r.name, text, false)).fold(0.0, f64::max);
        let names = (names + 12.0).min(scene.width * if width.narrow() { 0.36 } else { 0.4 });
        let numbers: Vec<String> = self.rows.iter().map(|row| self.numbers(row, width.narrow())).collect();
        let right = numbers.iter().map(|n| font::width(n, text, false)).fold(0.0, f64::max).min(scene.width * 0.38);
        let x = self.axis();
        let legend = self.legend();
        let top = 1.0 + legend::draw(&mut scene, &legend, 1.0, 1.0, width.points() - 2.0) + 3.0;
        // A long name takes a second line: its end is often what tells it from its neighbour. So does a long reason.
        let lines = |((row, numbers), heading): ((&ForestRow, &String), bool)| {
            let indent = if row.group.is_empty() { 1.0 } else { 5.0 };
            RowWords {
                // Bold letters are a little wider.
                heading: if heading { wrap(&row.group, text * 1.1, names - 4.0) } else { Vec::new() },
                name: wrap(&row.name, text, names - indent - 4.0),
                numbers: wrap(numbers, text, right + 0.01),
                indent,
            }
        };
        let rows: Vec<RowWords> = self.rows.iter().zip(&numbers).zip(self.headings()).map(lines).collect();
        let height: f64 = rows.iter().map(|row| row.heading_height(text) + row.height(text)).sum();
        let area = Rect::new(names, top, scene.width - right - 8.0, top + height + 4.0);
        let bottom = panel::bottom_room(&scene, &x, area.width(), Around::ROWS);
        let panel = Panel::framed_rows(&mut scene, area, x);
        if let Some(reference) = self.reference.filter(|r| (panel.x.low..=panel.x.high).contains(r)) {
            let at = panel.x_at(reference);
            scene.line(Part::Frame, vec![(at, area.top), (at, area.bottom)], Stroke::new(Ink::Soft, 0.9));
        }
        let mut top = area.top + 2.0;
        for (row, words) in self.rows.iter().zip(&rows) {
            for (i, line) in words.heading.iter().enumerate() {
                let base = top + 0.5 * ROW * text + (0.36 + i as f64 * LINE) * text;
                scene.bold(line, (1.0, base), Anchor::Start, Ink::Text);
            }
            top += words.heading_height(text);
            let middle = top + words.height(text) / 2.0;
            let base = |lines: usize, i: usize| middle + (0.36 + (i as f64 - (lines - 1) as f64 / 2.0) * LINE) * text;
            for (i, line) in words.name.iter().enumerate() {
                scene.words(line, (words.indent, base(words.name.len(), i)), Anchor::Start, Ink::Text);
            }
            let ink = if row.reading.value().is_some() { Ink::Text } else { Ink::Soft };
            for (i, line) in words.numbers.iter().enumerate() {
                scene.words(line, (scene.width - 1.0, base(words.numbers.len(), i)), Anchor::End, ink);
            }
            draw_row(&mut scene, &panel, row, middle, if width.narrow() { 2.1 } else { 3.0 });
            top += words.height(text);
        }
        scene.height = area.bottom + bottom + 2.0;
        Ok(Figure { title: capital(&self.title), caption: self.caption(), alt: self.alt(), width, scene })
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
        let title = capital(&title);
        let axis = match self.limits {
            Some((low, high)) => Axis::new(Scale::Linear, low, high, title),
            None => Axis::around(self.rows.iter().flat_map(ForestRow::ends).chain(self.reference), title),
        };
        if self.signed { axis.with_signs() } else { axis }
    }

    /// Whether a heading stands before each row.
    fn headings(&self) -> Vec<bool> {
        let before = std::iter::once("").chain(self.rows.iter().map(|r| r.group.as_str()));
        self.rows.iter().zip(before).map(|(row, before)| !row.group.is_empty() && row.group != before).collect()
    }

    /// What stands at the right end of a row.
    fn numbers(&self, row: &ForestRow, narrow: bool) -> String {
        let write = if self.signed { signed } else { fixed };
        match &row.reading {
            Reading::Unknown { reason } => reason.clone(),
            Reading::Known { value, interval } => {
                // One count of decimals for the row, from the width of the interval.
                let places = decimals(*value, *interval);
                let n = |v: f64| write(v, places);
                match interval {
                    None => n(*value),
                    Some((low, high)) if narrow => format!("{} ({}, {})", n(*value), n(*low), n(*high)),
                    Some((low, high)) => format!("{} ({} to {})", n(*value), n(*low), n(*high)),
                }
            }
        }
    }

    fn legend(&self) -> Vec<Entry> {
        let Some(note) = &self.simultaneous else { return Vec::new() };
        let line = |width, note: &IntervalNote| Entry {
            swatch: Swatch::Line(Stroke::new(INK, width)),
            text: format!("{} % interval", number(note.level * 100.0, 3)),
        };
        let mut all = line(0.6, note);
        all.text = format!("{}, all rows at once", all.text);
        vec![line(2.0, &self.interval), all]
    }

    fn caption(&self) -> String {
        let bars = format!("Marks and lines are estimates with {}", self.interval.words());
        let thin = self.simultaneous.as_ref().map(|note| format!("Thin lines are simultaneous {}", note.words()));
        let reference = match (self.reference, self.signed) {
            (Some(0.0), true) => "The upright line marks no difference".to_owned(),
            (Some(reference), _) => format!("The upright line marks {}", short(reference)),
            (None, _) => String::new(),
        };
        let arrows = match (self.limits, self.reference) {
            (None, _) => "",
            (Some(_), None) => "Arrows point to what lies beyond the axis",
            (Some(_), Some(_)) => ", arrows point to what lies beyond the axis",
        };
        let lines = format!("{reference}{arrows}");
        sentences(&[&opening(&self.title, &self.context), &bars, &thin.unwrap_or_default(), &lines])
    }

    fn alt(&self) -> String {
        let unit = if self.unit.is_empty() { String::new() } else { format!(" {}", self.unit) };
        let known = || self.rows.iter().filter_map(|r| Some((r, r.reading.value()?)));
        let least = known().min_by(|a, b| a.1.total_cmp(&b.1));
        let most = known().max_by(|a, b| a.1.total_cmp(&b.1));
        let (n, what) = (self.rows.len(), &self.quantity);
        let say = |row: &ForestRow| if self.signed { row.reading.signed_words() } else { row.reading.words() };
        let name = |row: &ForestRow| {
            if row.group.is_empty() { row.name.clone() } else { format!("{}, {}", row.group, row.name) }
        };
        let first = match (least, most) {
            (Some(low), Some(high)) if n > 1 => format!(
                "Estimates of {what} in {n} rows, from {}{unit} ({}) to {}{unit} ({})",
                say(low.0),
                name(low.0),
                say(high.0),
                name(high.0)
            ),
            (Some(only), _) => format!("{} of {}: {}{unit}", capital(what), name(only.0), say(only.0)),
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
        scene.mark(panel.part, Mark::Square, (panel.x_at(value), y), radius, INK, true);
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
    scene.line(panel.part, vec![(from, y), (to, y)], Stroke::new(INK, width));
    if low < panel.x.low {
        scene.mark(panel.part, Mark::Left, (left + 3.0, y), 2.4, INK, true);
    }
    if high > panel.x.high {
        scene.mark(panel.part, Mark::Right, (right - 3.0, y), 2.4, INK, true);
    }
}
