//! Error against a threshold, with bands, for several populations or errors.

use crate::axis::{Axis, Scale, span};
use crate::figure::Figure;
use crate::ink::Ink;
use crate::legend::{self, Entry, Swatch};
use crate::mark::{Mark, dashes};
use crate::panel::{self, Around, Panel};
use crate::reading::{self, IntervalNote, Reading};
use crate::scene::{Anchor, Part, Rect, Scene, Stroke};
use crate::words::{capital, opening, sentences, short};
use crate::{FigureError, Width, font};

/// What the picture shows: how an error changes with a value that one can set.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// In a few words.
    pub title: String,
    /// What is set, such as `cutoff`.
    pub threshold: String,
    /// Its unit, such as `ms`.
    pub threshold_unit: String,
    /// What is counted, such as `false holds`.
    pub quantity: String,
    /// Its unit, such as `per 1000 taps`.
    pub unit: String,
    /// Text and number of typists, for the caption.
    pub context: String,
    /// One curve each.
    pub series: Vec<CurveSeries>,
    /// Values that people commonly set, with a word for each.
    pub settings: Vec<Setting>,
    /// What the bands are.
    pub interval: IntervalNote,
}

/// One curve.
#[derive(Clone, Debug, PartialEq)]
pub struct CurveSeries {
    /// Such as a population.
    pub name: String,
    /// Which colour, mark and dashes: the same number means the same in every figure that stands beside this one.
    pub look: usize,
    /// From the lowest threshold to the highest.
    pub points: Vec<CurvePoint>,
}

/// The error at one threshold.
#[derive(Clone, Debug, PartialEq)]
pub struct CurvePoint {
    /// The threshold.
    pub at: f64,
    /// The error. Where it is unknown the curve has a gap.
    pub reading: Reading,
}

/// A value that people commonly set.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// The threshold.
    pub at: f64,
    /// A word or two.
    pub name: String,
}

const FIGURE: &str = "the curve";

impl Curve {
    /// Draws the picture.
    ///
    /// # Errors
    ///
    /// [`FigureError`] if there is no curve or point, a number is not finite, an error is negative or thresholds do
    /// not rise.
    pub fn draw(&self, width: Width) -> Result<Figure, FigureError> {
        self.check()?;
        let mut scene = Scene::new(width);
        let text = scene.text;
        let (low, high) = span(self.thresholds()).unwrap_or((0.0, 1.0));
        let x = Axis::new(Scale::Linear, low, high, format!("{} ({})", capital(&self.threshold), self.threshold_unit));
        let y_title = format!("{} {} (square-root scale)", capital(&self.quantity), self.unit);
        let values = self.series.iter().flat_map(|s| s.points.iter().flat_map(|p| p.reading.numbers()));
        let y = Axis::from_zero(Scale::SquareRoot, values, y_title);
        let height = if width.narrow() { 0.62 } else { 0.42 } * scene.width;
        let top = 1.0 + legend::draw(&mut scene, &self.legend(), 1.0, 1.0, width.points() - 2.0) + 3.0;
        let left = panel::left_room(&scene, &y, height);
        let (right, above) = (scene.width - 6.0, top + panel::top_room(&scene, &y, scene.width));
        // The words of settings stand in rows between the title of the y axis and the plot.
        let x_at = |at| left + (at - x.low) / (x.high - x.low) * (right - left);
        let rows = self.setting_rows(x_at, (left, right), text);
        let area_top = above + rows.iter().map(|(row, ..)| row + 1).max().unwrap_or(0) as f64 * text * 1.3;
        let area = Rect::new(left, area_top, right, area_top + height);
        let bottom = panel::bottom_room(&scene, &x, area.width(), Around::ALL);
        let around = Around { y_title: false, ..Around::ALL };
        let title = y.title.clone();
        let panel = Panel::framed(&mut scene, area, x, y, around);
        for (i, words) in crate::words::wrap(&title, text, right).iter().enumerate() {
            scene.words(words, (1.0, top + text + i as f64 * text * 1.25), Anchor::Start, Ink::Text);
        }
        for ((row, x, anchor), setting) in rows.iter().zip(&self.settings) {
            let base = area.top - 3.0 - *row as f64 * text * 1.3;
            scene.words(&setting.name, (*x, base), *anchor, Ink::Soft);
            let at = panel.x_at(setting.at);
            scene.line(
                Part::Frame,
                vec![(at, base + 2.0), (at, area.bottom)],
                Stroke::dashed(Ink::Soft, 0.7, &[1.5, 2.0]),
            );
        }
        self.draw_series(&mut scene, &panel);
        scene.height = area.bottom + bottom + 2.0;
        Ok(Figure { title: capital(&self.title), caption: self.caption(), alt: self.alt(), width, scene })
    }

    fn thresholds(&self) -> impl Iterator<Item = f64> {
        self.series.iter().flat_map(|s| s.points.iter().map(|p| p.at)).chain(self.settings.iter().map(|s| s.at))
    }

    fn check(&self) -> Result<(), FigureError> {
        reading::some(FIGURE, "curves", &self.series)?;
        self.interval.check(FIGURE)?;
        for series in &self.series {
            reading::some(FIGURE, "points", &series.points)?;
            for point in &series.points {
                reading::finite(FIGURE, "a threshold", &series.name, point.at)?;
                point.reading.check_rate(FIGURE, "the error", &series.name)?;
            }
            if let Some(pair) = series.points.windows(2).find(|pair| pair[0].at >= pair[1].at) {
                let (what, must, row) = ("a threshold", "above the one before it", series.name.clone());
                return Err(FigureError::OutOfRange { figure: FIGURE, what, row, value: pair[1].at, must });
            }
        }
        self.settings.iter().try_for_each(|s| reading::finite(FIGURE, "a setting", &s.name, s.at))
    }

    /// Row, place and anchor for the words of each setting, none on another and none on another's line.
    fn setting_rows(
        &self,
        x_at: impl Fn(f64) -> f64,
        (left, right): (f64, f64),
        text: f64,
    ) -> Vec<(usize, f64, Anchor)> {
        let mut taken: Vec<(usize, f64, f64, f64)> = Vec::new();
        let mut rows = vec![(0, 0.0, Anchor::Middle); self.settings.len()];
        let mut order: Vec<usize> = (0..self.settings.len()).collect();
        order.sort_by(|a, b| self.settings[*a].at.total_cmp(&self.settings[*b].at).then(a.cmp(b)));
        for i in order {
            let length = font::width(&self.settings[i].name, text, false);
            let at = x_at(self.settings[i].at);
            // Left of the plot stand the numbers of its axis.
            let middle = at.min(right - length / 2.0).max(left + length / 2.0);
            let (from, to) = (middle - length / 2.0 - 2.0, middle + length / 2.0 + 2.0);
            let apart = |row: usize| taken.iter().all(|(r, a, b, _)| *r != row || *b <= from || *a >= to);
            let clear = |row: usize| {
                taken.iter().all(|(r, a, b, line)| match (*r).cmp(&row) {
                    std::cmp::Ordering::Less => at <= *a || at >= *b,
                    std::cmp::Ordering::Equal => true,
                    std::cmp::Ordering::Greater => *line <= from || *line >= to,
                })
            };
            // Where settings nearly coincide a line has to pass behind a word.
            let strict = (0..6).find(|row| apart(*row) && clear(*row));
            let row = strict.or_else(|| (0..).find(|row| apart(*row))).unwrap_or(0);
            taken.push((row, from, to, at));
            rows[i] = (row, middle, Anchor::Middle);
        }
        rows
    }

    fn legend(&self) -> Vec<Entry> {
        let entry = |series: &CurveSeries| {
            let n = series.look;
            let stroke = Stroke::dashed(Ink::series(n), 1.3, dashes(n));
            Entry { swatch: Swatch::Both { mark: Mark::series(n), stroke }, text: series.name.clone() }
        };
        if self.series.len() < 2 { Vec::new() } else { self.series.iter().map(entry).collect() }
    }

    fn draw_series(&self, scene: &mut Scene, panel: &Panel) {
        for series in &self.series {
            for run in runs(&series.points) {
                let ends = || run.iter().filter_map(|p| Some((p.at, p.reading.interval()?)));
                let upper = ends().map(|(at, (_, high))| panel.at(at, high));
                let lower: Vec<_> = ends().map(|(at, (low, _))| panel.at(at, low)).collect();
                let band: Vec<_> = upper.chain(lower.into_iter().rev()).collect();
                if band.len() > 3 {
                    scene.area(panel.part, band, Ink::series(series.look), 0.2);
                }
            }
        }
        for series in &self.series {
            let n = series.look;
            let style = Stroke::dashed(Ink::series(n), 1.3, dashes(n));
            for run in runs(&series.points) {
                let line: Vec<_> = run.iter().filter_map(|p| Some(panel.at(p.at, p.reading.value()?))).collect();
                if line.len() > 1 {
                    scene.line(panel.part, line.clone(), style);
                }
                // A mark here and there, at other places for each curve, tells curves apart without colour.
                let every = (line.len() / 5).max(1);
                for at in line.iter().skip(n % every).step_by(every) {
                    scene.mark(panel.part, Mark::series(n), *at, 2.4, Ink::series(n), true);
                }
            }
        }
    }

    fn caption(&self) -> String {
        let bands = format!("Bands are pointwise {}", self.interval.words());
        let settings: Vec<String> =
            self.settings.iter().map(|s| format!("{} ({} {})", s.name, short(s.at), self.threshold_unit)).collect();
        let settings = if settings.is_empty() {
            String::new()
        } else {
            format!("Upright lines mark {}", crate::words::listed(&settings))
        };
        sentences(&[&opening(&self.title, &self.context), &bands, &settings])
    }

    fn alt(&self) -> String {
        let describe = |series: &CurveSeries| {
            let known: Vec<&CurvePoint> = series.points.iter().filter(|p| p.reading.value().is_some()).collect();
            let at = |p: &CurvePoint| {
                format!("{} at {} {}", p.reading.words(), short(p.at), self.threshold_unit).trim_end().to_owned()
            };
            match (known.first(), known.last()) {
                (Some(a), Some(b)) => format!("{}: from {} to {}", series.name, at(a), at(b)),
                _ => format!("{}: unknown", series.name),
            }
        };
        let first = format!(
            "{} {} against {}, {} curve{}",
            capital(&self.quantity),
            self.unit,
            self.threshold,
            self.series.len(),
            if self.series.len() == 1 { "" } else { "s" }
        );
        sentences(&[first, self.series.iter().map(describe).collect::<Vec<_>>().join("; ")])
    }
}

/// Stretches of known points.
fn runs(points: &[CurvePoint]) -> impl Iterator<Item = &[CurvePoint]> {
    points.split(|p| p.reading.value().is_none()).filter(|run| !run.is_empty())
}
