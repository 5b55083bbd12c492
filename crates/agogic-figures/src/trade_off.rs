//! False holds against missed holds, with the floor of an observer below which no policy can go that sees as little.

use crate::axis::{Axis, Scale};
use crate::figure::Figure;
use crate::ink::Ink;
use crate::key;
use crate::legend::{self, Entry, Swatch};
use crate::mark::{Mark, dashes};
use crate::naming::{NamedCurve, NamedMark, Names};
use crate::panel::{self, Around, Panel};
use crate::reading::{self, IntervalNote, Reading};
use crate::scene::{Rect, Scene, Stroke};
use crate::words::{capital, number, opening, sentences};
use crate::{FigureError, Width};

/// What the trade-off picture shows.
#[derive(Clone, Debug, PartialEq)]
pub struct TradeOff {
    /// In a few words.
    pub title: String,
    /// Population, text and number of typists, for the caption.
    pub context: String,
    /// One mark each.
    pub policies: Vec<TradeOffPolicy>,
    /// What the ideal observer reaches, from the shortest time to decide to the longest. The region under the last
    /// is shaded.
    pub floors: Vec<Floor>,
    /// Whose floors they are; not named where there are none.
    pub observer: Observer,
    /// What the bars are.
    pub interval: IntervalNote,
    /// How the axes give room to small rates.
    pub stretch: Stretch,
}

/// One policy of the picture.
#[derive(Clone, Debug, PartialEq)]
pub struct TradeOffPolicy {
    /// Its label, such as `enclosed + lull 150 ms`.
    pub name: String,
    /// Policies of one family share colour and mark.
    pub family: String,
    /// Which colour and mark: the same number means the same family in every figure that stands beside this one.
    pub look: usize,
    /// Taps taken for holds.
    pub false_holds_per_1000_taps: Reading,
    /// Holds taken for taps.
    pub missed_holds_per_100_holds: Reading,
    /// How long it waits on average; the area of the mark grows with it.
    pub mean_delay_ms: Option<f64>,
}

/// The ideal observer: it knows the model and the typist.
#[derive(Clone, Debug, PartialEq)]
pub struct Observer {
    /// What it sees, in words that follow "sees only".
    pub sees: String,
    /// On how many typists its floors stand.
    pub typists: u64,
}

/// A curve of the ideal observer.
#[derive(Clone, Debug, PartialEq)]
pub struct Floor {
    /// Which time it has, such as `within 150 ms` or `without a deadline`.
    pub label: String,
    /// False holds per 1000 taps and missed holds per 100 holds, from few false holds to many.
    pub points: Vec<(f64, f64)>,
}

/// How the axes of the trade-off give room to small rates. Zero keeps its place in each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stretch {
    /// Square root, or from-zero where rates differ a hundredfold.
    Auto,
    /// √rate.
    SquareRoot,
    /// Linear near zero, logarithmic beyond.
    FromZero,
}

const FIGURE: &str = "the trade-off";

impl TradeOff {
    /// Draws the picture.
    ///
    /// # Errors
    ///
    /// [`FigureError`] if there is no policy, a number is not finite or negative, or an interval is upside down.
    pub fn draw(&self, width: Width) -> Result<Figure, FigureError> {
        self.check()?;
        let mut scene = Scene::new(width);
        let x = self.axis(|p| &p.false_holds_per_1000_taps, |(x, _)| x, "False holds per 1000 taps");
        let y = self.axis(|p| &p.missed_holds_per_100_holds, |(_, y)| y, "Missed holds per 100 holds");
        let plot_height = if width.narrow() { 0.92 } else { 0.56 } * scene.width;
        let top = legend::draw(&mut scene, &self.families(), 1.0, 1.0, width.points() - 2.0);
        let sizes = self.delay_key();
        let top = 1.0 + top + legend::draw(&mut scene, &sizes, 1.0, 1.0 + top, width.points() - 2.0) + 3.0;
        let left = panel::left_room(&scene, &y, plot_height);
        let area_top = top + panel::top_room(&scene, &y, scene.width);
        let area = Rect::new(left, area_top, scene.width - 6.0, area_top + plot_height);
        let bottom = panel::bottom_room(&scene, &x, area.width(), Around::ALL);
        let panel = Panel::framed_apart(&mut scene, area, x, y, Around::ALL, 1.0 + self.largest());
        let floor_lines = self.draw_floors(&mut scene, &panel);
        let shown: Vec<(&TradeOffPolicy, f64, f64)> = self.with_rates().collect();
        let bars = self.draw_policies(&mut scene, &panel, &shown);
        let named = Names { marks: self.named_marks(&panel, &shown), bars, curves: self.named_curves(floor_lines) };
        let key = named.draw(&mut scene, &panel, width.narrow());
        let key_top = area.bottom + bottom + 3.0;
        let notes_top = key_top + key::draw(&mut scene, &key, 1.0, key_top, width.points() - 2.0);
        let notes = legend::notes(&mut scene, &self.unknown(), 1.0, notes_top, width.points() - 2.0);
        scene.height = notes_top + notes + 1.0;
        let (title, caption, alt) = (capital(&self.title), self.caption(), self.alt());
        Ok(Figure { title, caption, alt, width, scene })
    }

    fn check(&self) -> Result<(), FigureError> {
        reading::some(FIGURE, "policies", &self.policies)?;
        self.interval.check(FIGURE)?;
        for policy in &self.policies {
            policy.false_holds_per_1000_taps.check_rate(FIGURE, "false holds", &policy.name)?;
            policy.missed_holds_per_100_holds.check_rate(FIGURE, "missed holds", &policy.name)?;
            if let Some(delay) = policy.mean_delay_ms {
                reading::rate(FIGURE, "the delay", &policy.name, delay)?;
            }
        }
        for floor in &self.floors {
            reading::some(FIGURE, "points of a floor", &floor.points)?;
            for (x, y) in &floor.points {
                reading::rate(FIGURE, "a floor", &floor.label, *x)?;
                reading::rate(FIGURE, "a floor", &floor.label, *y)?;
            }
        }
        Ok(())
    }

    fn axis<R: Fn(&TradeOffPolicy) -> &Reading>(&self, of: R, pick: fn((f64, f64)) -> f64, title: &str) -> Axis {
        let values: Vec<f64> = self.policies.iter().flat_map(|p| of(p).numbers()).collect();
        let high = values.iter().copied().fold(0.0, f64::max);
        let points = || self.policies.iter().filter_map(|p| of(p).value());
        let scale = match self.stretch {
            Stretch::SquareRoot => Scale::SquareRoot,
            Stretch::Auto => Scale::from_zero_for(points()),
            Stretch::FromZero => {
                let least = points().filter(|v| *v > 0.0).fold(f64::INFINITY, f64::min);
                if least.is_finite() { Scale::from_zero_knee(least, high) } else { Scale::SquareRoot }
            }
        };
        // Without policies that are known the floors give the range.
        let floors = self.floors.iter().flat_map(|f| &f.points).map(|p| pick(*p)).filter(|_| values.is_empty());
        let title = format!("{title}{}", scale.words());
        Axis::from_zero(scale, values.iter().copied().chain(floors), title)
    }

    /// Each family once, with its look.
    fn family_names(&self) -> Vec<(&str, usize)> {
        let mut names: Vec<(&str, usize)> = Vec::new();
        for policy in &self.policies {
            if names.iter().all(|(name, _)| *name != policy.family) {
                names.push((&policy.family, policy.look));
            }
        }
        names
    }

    fn families(&self) -> Vec<Entry> {
        let names = self.family_names();
        if names.len() < 2 {
            return Vec::new();
        }
        let entry = |(name, look): &(&str, usize)| Entry {
            swatch: Swatch::Mark { mark: Mark::series(*look), radius: 3.0, ink: Ink::series(*look), filled: true },
            text: (*name).to_owned(),
        };
        names.iter().map(entry).collect()
    }

    /// The area of a mark is proportional to the delay above a small mark for no delay.
    fn radius(delay_ms: Option<f64>) -> f64 {
        (4.0 + delay_ms.unwrap_or(0.0).min(1000.0) * 0.08).sqrt()
    }

    /// The reach of the largest mark.
    fn largest(&self) -> f64 {
        self.policies.iter().map(|p| Self::radius(p.mean_delay_ms)).fold(0.0, f64::max) * 1.25
    }

    fn delay_key(&self) -> Vec<Entry> {
        let delays: Vec<f64> = self.policies.iter().filter_map(|p| p.mean_delay_ms).collect();
        let Some(most) = delays.iter().copied().reduce(f64::max) else { return Vec::new() };
        let mut steps: Vec<f64> = [50.0, 100.0, 200.0, 400.0, 800.0].into_iter().filter(|s| *s <= most * 1.3).collect();
        if steps.is_empty() {
            steps.push(50.0);
        }
        let from = steps.len().saturating_sub(3);
        let key = |(i, ms): (usize, &f64)| Entry {
            swatch: Swatch::Mark { mark: Mark::Circle, radius: Self::radius(Some(*ms)), ink: Ink::Soft, filled: false },
            text: if i == 0 { format!("mean delay {} ms", number(*ms, 0)) } else { format!("{} ms", number(*ms, 0)) },
        };
        steps[from..].iter().enumerate().map(key).collect()
    }

    fn with_rates(&self) -> impl Iterator<Item = (&TradeOffPolicy, f64, f64)> {
        self.policies
            .iter()
            .filter_map(|p| Some((p, p.false_holds_per_1000_taps.value()?, p.missed_holds_per_100_holds.value()?)))
    }

    fn unknown(&self) -> Vec<String> {
        let mut lines = Vec::new();
        for policy in &self.policies {
            for reading in [&policy.false_holds_per_1000_taps, &policy.missed_holds_per_100_holds] {
                if let Reading::Unknown { reason } = reading {
                    lines.push(format!("Not drawn: {} ({reason}).", policy.name));
                    break;
                }
            }
        }
        lines
    }

    fn draw_floors(&self, scene: &mut Scene, panel: &Panel) -> Vec<(Vec<(f64, f64)>, usize)> {
        let zero = panel.y_at(0.0);
        if let Some(last) = self.floors.last() {
            for piece in panel.clipped(&last.points) {
                let mut region = piece.clone();
                let (first, end) = (region[0], region[region.len() - 1]);
                region.push((end.0, zero));
                region.push((first.0, zero));
                scene.area(panel.part, region, Ink::Shade, 1.0);
            }
        }
        let mut lines = Vec::new();
        for (n, floor) in self.floors.iter().enumerate() {
            for piece in panel.clipped(&floor.points) {
                scene.line(panel.part, piece.clone(), self.floor_stroke(n));
                lines.push((piece, n));
            }
        }
        lines
    }

    fn named_marks(&self, panel: &Panel, shown: &[(&TradeOffPolicy, f64, f64)]) -> Vec<NamedMark> {
        let mark = |(policy, x, y): &(&TradeOffPolicy, f64, f64)| NamedMark {
            name: policy.name.clone(),
            at: panel.at(*x, *y),
            radius: Self::radius(policy.mean_delay_ms),
            mark: Mark::series(policy.look),
            ink: Ink::series(policy.look),
        };
        shown.iter().map(mark).collect()
    }

    fn named_curves(&self, lines: Vec<(Vec<(f64, f64)>, usize)>) -> Vec<NamedCurve> {
        let curve = |(points, n): (Vec<(f64, f64)>, usize)| NamedCurve {
            name: format!("floor {}", self.floors[n].label),
            stroke: self.floor_stroke(n),
            points,
        };
        lines.into_iter().map(curve).collect()
    }

    /// The last floor is the solid one: no policy that sees no more lies below it.
    fn floor_stroke(&self, n: usize) -> Stroke {
        Stroke::dashed(Ink::Soft, 0.9, dashes(self.floors.len() - 1 - n))
    }

    fn draw_policies(
        &self,
        scene: &mut Scene,
        panel: &Panel,
        shown: &[(&TradeOffPolicy, f64, f64)],
    ) -> Vec<[(f64, f64); 2]> {
        let mut bars = Vec::new();
        for (policy, x, y) in shown {
            let ink = Ink::series(policy.look);
            let mut bar = |ends: [(f64, f64); 2]| {
                scene.line(panel.part, ends.to_vec(), Stroke::new(ink, 0.9));
                bars.push(ends);
            };
            if let Some((low, high)) = policy.false_holds_per_1000_taps.interval() {
                bar([panel.at(low, *y), panel.at(high, *y)]);
            }
            if let Some((low, high)) = policy.missed_holds_per_100_holds.interval() {
                bar([panel.at(*x, low), panel.at(*x, high)]);
            }
        }
        for (policy, x, y) in shown {
            let (n, radius) = (policy.look, Self::radius(policy.mean_delay_ms));
            scene.mark(panel.part, Mark::series(n), panel.at(*x, *y), radius, Ink::series(n), true);
        }
        bars
    }

    fn caption(&self) -> String {
        let delay = self.policies.iter().any(|p| p.mean_delay_ms.is_some());
        let delay = if delay { "; a larger mark waits longer" } else { "" };
        let bars = format!(
            "Each mark is a setting, the better the nearer to the corner of zeros, with {}{delay}",
            self.interval.words()
        );
        let floor = match self.floors.as_slice() {
            [] => String::new(),
            [.., last] => format!(
                "Curves are the floor of an ideal observer, on {} typists; it knows the model and the typist and sees only \
                 {}: under the model no causal rule that sees no more is in the shaded region, below the floor {}",
                self.observer.typists, self.observer.sees, last.label
            ),
        };
        sentences(&[&opening(&self.title, &self.context), &bars, &floor])
    }

    fn alt(&self) -> String {
        let describe = |(p, ..): (&TradeOffPolicy, f64, f64)| {
            let (x, y) = (p.false_holds_per_1000_taps.words(), p.missed_holds_per_100_holds.words());
            format!("{} ({x} false holds per 1000 taps, {y} missed holds per 100 holds)", p.name)
        };
        let fewest_false = self.with_rates().min_by(|a, b| a.1.total_cmp(&b.1).then(a.2.total_cmp(&b.2)));
        let fewest_missed = self.with_rates().min_by(|a, b| a.2.total_cmp(&b.2).then(a.1.total_cmp(&b.1)));
        let first = match (fewest_false, fewest_missed) {
            (Some(a), Some(b)) => {
                let n = self.with_rates().count();
                format!(
                    "False against missed holds of {n} policies: fewest false holds with {}, fewest missed holds \
                         with {}",
                    describe(a),
                    describe(b)
                )
            }
            _ => "No policy has known rates".to_owned(),
        };
        let second = match self.floors.as_slice() {
            [] => String::new(),
            [one] => format!("A curve shows the floor of the ideal observer {}", one.label),
            many => format!("{} curves show the floor of the ideal observer, by the time it has", many.len()),
        };
        sentences(&[first, second])
    }
}
