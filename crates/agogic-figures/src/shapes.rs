//! Histograms side by side: what a log holds, against another log or the model.

use crate::axis::{Axis, Scale};
use crate::figure::Figure;
use crate::ink::Ink;
use crate::legend::{self, Entry, Swatch};
use crate::mark::{Mark, dashes};
use crate::panel::{self, Around, Panel};
use crate::reading;
use crate::scene::{Anchor, Rect, Scene, Stroke};
use crate::who::balanced;
use crate::words::{capital, opening, percent, sentences, short, wrap};
use crate::{FigureError, Width};

/// What the picture shows: a panel for each quantity, such as dwell, interval and overlap.
#[derive(Clone, Debug, PartialEq)]
pub struct Shapes {
    /// In a few words.
    pub title: String,
    /// Where the data come from, for the caption.
    pub context: String,
    /// One plot each.
    pub panels: Vec<ShapePanel>,
}

/// One quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct ShapePanel {
    /// Such as `dwell`.
    pub name: String,
    /// Such as `ms`.
    pub unit: String,
    /// What is counted, such as `keystrokes`.
    pub of: String,
    /// The samples; a sample of one name has the same look in every panel.
    pub samples: Vec<Sample>,
}

/// Values of one origin.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    /// Such as `your log` or `model`.
    pub name: String,
    /// In any order.
    pub values: Vec<f64>,
}

const FIGURE: &str = "the histograms";
/// The share of values that an axis may leave out at each end, so that a pause of an hour does not hide the rest.
const TAIL: f64 = 0.005;

/// What is drawn of one sample.
struct Bars {
    /// Share of the values in each bin, in per cent.
    heights: Vec<f64>,
    median: f64,
    beyond: f64,
    n: usize,
}

/// What is drawn in one panel.
struct Plan {
    low: f64,
    step: f64,
    bars: Vec<Bars>,
}

impl Shapes {
    /// Draws the picture.
    ///
    /// # Errors
    ///
    /// [`FigureError`] if there is no panel or sample, a sample is empty, or a value is not finite.
    pub fn draw(&self, width: Width) -> Result<Figure, FigureError> {
        reading::some(FIGURE, "panels", &self.panels)?;
        for panel in &self.panels {
            reading::some(FIGURE, "samples", &panel.samples)?;
            for sample in &panel.samples {
                reading::some(FIGURE, "values", &sample.values)?;
                sample.values.iter().try_for_each(|v| reading::finite(FIGURE, "a value", &sample.name, *v))?;
            }
        }
        let mut scene = Scene::new(width);
        let text = scene.text;
        let columns = balanced(self.panels.len(), if width.narrow() { 1 } else { 3 });
        let top = 1.0 + legend::draw(&mut scene, &self.legend(), 1.0, 1.0, width.points() - 2.0) + 2.0;
        let room = (scene.width - 12.0 * (columns - 1) as f64) / columns as f64;
        let height = room * if columns == 1 { 0.4 } else { 0.75 };
        let plans: Vec<Plan> = self.panels.iter().map(plan).collect();
        let title = |(panel, plan): (&ShapePanel, &Plan)| {
            wrap(&format!("% of {} per {} {}", panel.of, short(plan.step), panel.unit), text, room - 2.0)
        };
        let titles: Vec<Vec<String>> = self.panels.iter().zip(&plans).map(title).collect();
        let (mut row_top, mut row_bottom) = (top, top);
        for (n, (panel, plan)) in self.panels.iter().zip(&plans).enumerate() {
            if n % columns == 0 {
                row_top = if n == 0 { top } else { row_bottom + 6.0 };
            }
            let left = (n % columns) as f64 * (room + 12.0);
            let x_end = plan.low + plan.step * plan.bars[0].heights.len() as f64;
            let x = Axis::new(Scale::Linear, plan.low, x_end, format!("{} ({})", panel.name, panel.unit));
            let tallest = plan.bars.iter().flat_map(|b| b.heights.iter().copied());
            let y = Axis::from_zero(Scale::Linear, tallest, "");
            for (i, words) in titles[n].iter().enumerate() {
                let base = row_top + text + i as f64 * text * 1.25;
                scene.words(words, (left + 1.0, base), Anchor::Start, Ink::Text);
            }
            let row = &titles[n - n % columns..(n - n % columns + columns).min(titles.len())];
            let lines = row.iter().map(Vec::len).max().unwrap_or(1);
            let area_top = row_top + text * (1.3 + 1.25 * (lines - 1) as f64) + 4.0;
            let numbers = panel::left_room(&scene, &y, height);
            let area = Rect::new(left + numbers, area_top, left + room - 5.0, area_top + height);
            row_bottom = area.bottom + panel::bottom_room(&scene, &x, area.width(), Around::ALL);
            let frame = Panel::framed(&mut scene, area, x, y, Around { y_title: false, ..Around::ALL });
            for (sample, bars) in panel.samples.iter().zip(&plan.bars) {
                draw_bars(&mut scene, &frame, plan, bars, self.series(&sample.name));
            }
        }
        scene.height = row_bottom + 2.0;
        Ok(Figure { title: capital(&self.title), caption: self.caption(&plans), alt: self.alt(&plans), width, scene })
    }

    fn names(&self) -> Vec<&str> {
        let mut names: Vec<&str> = Vec::new();
        for sample in self.panels.iter().flat_map(|p| &p.samples) {
            if !names.contains(&sample.name.as_str()) {
                names.push(&sample.name);
            }
        }
        names
    }

    fn series(&self, name: &str) -> usize {
        self.names().iter().position(|n| *n == name).unwrap_or(0)
    }

    fn legend(&self) -> Vec<Entry> {
        let entry = |(n, name): (usize, &&str)| Entry {
            swatch: Swatch::Both { mark: Mark::series(n), stroke: Stroke::dashed(Ink::series(n), 1.2, dashes(n)) },
            text: (*name).to_owned(),
        };
        self.names().iter().enumerate().map(entry).collect()
    }

    fn caption(&self, plans: &[Plan]) -> String {
        let mut beyond = Vec::new();
        for (panel, plan) in self.panels.iter().zip(plans) {
            for (sample, bars) in panel.samples.iter().zip(&plan.bars).filter(|(_, bars)| bars.beyond > 0.0) {
                beyond.push(format!("{} of {} in {}", percent(bars.beyond), panel.name, sample.name));
            }
        }
        let beyond =
            if beyond.is_empty() { String::new() } else { format!("Beyond the axes lie {}", beyond.join(", ")) };
        let bins = "Heights are shares of all values of a sample, in bins of one width (Freedman & Diaconis 1981); marks on the \
                    axis are medians";
        sentences(&[&opening(&self.title, &self.context), bins, &beyond])
    }

    fn alt(&self, plans: &[Plan]) -> String {
        let describe = |(panel, plan): (&ShapePanel, &Plan)| {
            let medians: Vec<String> = panel
                .samples
                .iter()
                .zip(&plan.bars)
                .map(|(s, b)| format!("{} {} {} (n = {})", s.name, short(b.median), panel.unit, b.n))
                .collect();
            format!("median {}: {}", panel.name, medians.join(", "))
        };
        let quantities: Vec<&str> = self.panels.iter().map(|p| p.name.as_str()).collect();
        let first = format!("Histograms of {}", crate::words::listed(&quantities));
        sentences(&[first, self.panels.iter().zip(plans).map(describe).collect::<Vec<_>>().join("; ")])
    }
}

/// Range, bins and shares of a panel.
fn plan(panel: &ShapePanel) -> Plan {
    let sorted: Vec<Vec<f64>> = panel
        .samples
        .iter()
        .map(|s| {
            let mut values = s.values.clone();
            values.sort_by(f64::total_cmp);
            values
        })
        .collect();
    let low = sorted.iter().map(|s| at_share(s, TAIL)).fold(f64::INFINITY, f64::min);
    let high = sorted.iter().map(|s| at_share(s, 1.0 - TAIL)).fold(f64::NEG_INFINITY, f64::max);
    let range = if high > low { high - low } else { low.abs().max(1.0) * 0.1 };
    let widths = sorted.iter().map(|s| 2.0 * (at_share(s, 0.75) - at_share(s, 0.25)) / (s.len() as f64).cbrt());
    // Samples can be so small, large or even that the rule gives bins nobody can see.
    let wanted = widths.fold(0.0, f64::max).clamp(range / 60.0, range / 8.0);
    let step = round_up(wanted);
    let low = (low / step).floor() * step;
    let count = (((high - low) / step).floor() as usize + 1).max(1);
    let bars = |sorted: &Vec<f64>| {
        let mut counts = vec![0usize; count];
        let mut beyond = 0usize;
        for value in sorted {
            let bin = ((value - low) / step).floor();
            if bin >= 0.0 && (bin as usize) < count { counts[bin as usize] += 1 } else { beyond += 1 }
        }
        let n = sorted.len();
        let heights = counts.iter().map(|c| 100.0 * *c as f64 / n as f64).collect();
        Bars { heights, median: at_share(sorted, 0.5), beyond: beyond as f64 / n as f64, n }
    };
    Plan { low, step, bars: sorted.iter().map(bars).collect() }
}

/// The quantile by linear interpolation between order statistics (Hyndman & Fan 1996, definition 7).
fn at_share(sorted: &[f64], share: f64) -> f64 {
    let at = share * (sorted.len() - 1) as f64;
    let (below, above) = (sorted[at.floor() as usize], sorted[at.ceil() as usize]);
    below + (at - at.floor()) * (above - below)
}

/// The next of 1, 2, 2.5, 5 times a power of ten.
fn round_up(value: f64) -> f64 {
    let power = 10f64.powf(value.log10().floor());
    [1.0, 2.0, 2.5, 5.0, 10.0].map(|m| m * power).into_iter().find(|s| *s >= value * (1.0 - 1e-9)).unwrap_or(value)
}

fn draw_bars(scene: &mut Scene, frame: &Panel, plan: &Plan, bars: &Bars, n: usize) {
    let mut line = vec![frame.at(plan.low, 0.0)];
    for (i, height) in bars.heights.iter().enumerate() {
        let from = plan.low + i as f64 * plan.step;
        line.push(frame.at(from, *height));
        line.push(frame.at(from + plan.step, *height));
    }
    line.push(frame.at(plan.low + bars.heights.len() as f64 * plan.step, 0.0));
    scene.area(frame.part, line.clone(), Ink::series(n), 0.12);
    scene.line(frame.part, line, Stroke::dashed(Ink::series(n), 1.1, dashes(n)));
    let at = frame.at(bars.median.clamp(frame.x.low, frame.x.high), 0.0);
    scene.mark(frame.part, Mark::series(n), at, 2.8, Ink::series(n), true);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_value_is_counted_once() {
        let values: Vec<f64> = (0..1000).map(|i| f64::from(i % 250)).chain([1e6]).collect();
        let sample = Sample { name: "a".into(), values };
        let panel = ShapePanel { name: "dwell".into(), unit: "ms".into(), of: "keys".into(), samples: vec![sample] };
        let plan = plan(&panel);
        let bars = &plan.bars[0];
        assert!((bars.heights.iter().sum::<f64>() + 100.0 * bars.beyond - 100.0).abs() < 1e-9);
        assert!(bars.beyond > 0.0 && bars.beyond < 2.0 * TAIL);
    }

    #[test]
    fn equal_values_make_one_bin_that_can_be_seen() {
        let sample = Sample { name: "a".into(), values: vec![80.0; 9] };
        let panel = ShapePanel { name: "dwell".into(), unit: "ms".into(), of: "keys".into(), samples: vec![sample] };
        assert_eq!(plan(&panel).bars[0].heights, [100.0]);
    }

    #[test]
    fn quantiles_are_those_of_definition_7() {
        // R: quantile(c(1, 2, 4, 8), c(.25, .5, .75)) gives 1.75, 3, 5 (worked by hand from the definition).
        let sorted = [1.0, 2.0, 4.0, 8.0];
        assert_eq!([0.25, 0.5, 0.75].map(|p| at_share(&sorted, p)), [1.75, 3.0, 5.0]);
        assert_eq!([3.0, 0.21, 2.5, 0.09].map(round_up), [5.0, 0.25, 2.5, 0.1]);
    }
}
