//! Keys on a time axis, and what each policy makes of one of them, and when.

use crate::axis::{Axis, Scale};
use crate::figure::Figure;
use crate::ink::Ink;
use crate::legend;
use crate::mark::Mark;
use crate::panel::{self, Around, Panel};
use crate::reading;
use crate::scene::{Anchor, Part, Rect, Scene, Stroke};
use crate::words::{capital, number, opening, sentences, wrap};
use crate::{FigureError, Width, font};

/// What the picture shows: one press of a key with two meanings, the keys around it, and the decision and its
/// instant under several policies. Times are in ms after the press.
#[derive(Clone, Debug, PartialEq)]
pub struct Timing {
    /// In a few words.
    pub title: String,
    /// Where the presses come from, for the caption.
    pub context: String,
    /// The key with two meanings, such as `F`.
    pub key: String,
    /// Its held role, such as `Shift`.
    pub role: String,
    /// When it came up.
    pub up_ms: f64,
    /// What was meant: a hold (`true`) or a tap; `None` where that is not known.
    pub meant_hold: Option<bool>,
    /// Other keys around it, from top to bottom; presses of one name share a row.
    pub others: Vec<TimingPress>,
    /// One row each.
    pub verdicts: Vec<TimingVerdict>,
}

/// A press of another key.
#[derive(Clone, Debug, PartialEq)]
pub struct TimingPress {
    /// The key, such as `J`.
    pub name: String,
    /// When it went down; negative before the judged press.
    pub down_ms: f64,
    /// When it came up.
    pub up_ms: f64,
}

/// What a policy says.
#[derive(Clone, Debug, PartialEq)]
pub struct TimingVerdict {
    /// Its label.
    pub name: String,
    /// A hold (`true`) or a tap.
    pub hold: bool,
    /// When it knew, after the press.
    pub at_ms: f64,
}

const FIGURE: &str = "the timing picture";
/// Heights in sizes of the text.
const ROW: f64 = 2.1;
const BAR: f64 = 1.25;

impl Timing {
    /// Draws the picture.
    ///
    /// # Errors
    ///
    /// [`FigureError`] if there is no policy, a time is not finite, or a key comes up before it went down.
    pub fn draw(&self, width: Width) -> Result<Figure, FigureError> {
        self.check()?;
        let mut scene = Scene::new(width);
        let text = scene.text;
        let scene_width = scene.width;
        let rows = self.rows();
        let key = format!("{} ({} when held)", self.key, self.role);
        let names = rows.iter().map(|name| (*name).to_owned()).chain([key.clone()]);
        let names: Vec<String> = names.chain(self.verdicts.iter().map(|v| v.name.clone())).collect();
        let longest = names.iter().map(|name| font::width(name, text, true)).fold(0.0, f64::max);
        let narrow = width.narrow();
        // Where there is no room at the right, what a policy says stands under its name.
        let says = self.verdicts.iter().map(|v| font::width(&self.says(v), text, true)).fold(0.0, f64::max) + 6.0;
        let left = if narrow { longest.max(says) + 8.0 } else { longest + 8.0 };
        let left = left.min(scene.width * if narrow { 0.45 } else { 0.34 });
        let area_left = left;
        let area_right = scene.width - if narrow { 6.0 } else { says + 6.0 };
        // A name that does not fit takes a second line.
        let lines: Vec<Vec<(String, bool)>> =
            self.verdicts.iter().map(|v| self.lines(v, text, left - 6.0, narrow)).collect();
        let tall = |lines: usize| text * (ROW + 1.15 * (lines.max(1) - 1) as f64);
        // Bold letters are a little wider.
        let key_lines: Vec<Vec<String>> = std::iter::once(key.as_str())
            .chain(rows.iter().copied())
            .map(|name| wrap(name, text * 1.1, left - 6.0))
            .collect();
        let keys_top = text * 1.6;
        let heights: Vec<f64> = key_lines.iter().map(|lines| tall(lines.len())).collect();
        let keys_bottom = keys_top + heights.iter().sum::<f64>();
        let verdicts_top = keys_bottom + text * 1.9;
        let bottom = verdicts_top + lines.iter().map(|lines| tall(lines.len())).sum::<f64>() + text * 0.4;
        let area = Rect::new(area_left, keys_top - text * 0.3, area_right, bottom);
        let x = self.axis();
        let below = panel::bottom_room(&scene, &x, area.width(), Around::ROWS);
        let frame = Panel::framed_rows(&mut scene, area, x);
        let meant =
            self.meant_hold.map_or(String::new(), |hold| format!(": {} was meant as a {}", self.key, word(hold)));
        scene.bold(format!("Keys{meant}"), (1.0, text), Anchor::Start, Ink::Text);
        scene.bold("Decisions", (1.0, keys_bottom + text * 1.1), Anchor::Start, Ink::Text);

        // The press itself, from the key down to the last decision.
        let zero = frame.x_at(0.0);
        scene.line(Part::Frame, vec![(zero, keys_top), (zero, area.bottom)], Stroke::new(Ink::Rule, 0.7));

        let centre = |row: usize| keys_top + heights[..row].iter().sum::<f64>() + 0.5 * heights[row];
        let clipped = |ms: f64| frame.x_at(ms.clamp(frame.x.low, frame.x.high));
        // Overlaps first, so that the bars lie on them.
        for press in self.seen() {
            if let Some((from, to)) = self.overlap(press) {
                let row = 1 + rows.iter().position(|name| *name == press.name).unwrap_or(0);
                let (top, end) = (centre(0), centre(row));
                scene.block(frame.part, Rect::new(clipped(from), top, clipped(to), end), Ink::Shade);
            }
        }
        let bar = |scene: &mut Scene, row: usize, from: f64, to: f64, ink: Ink| {
            let (half, y) = (0.5 * BAR * text, centre(row));
            // A key tapped in no time still shows.
            let (left, right) = (clipped(from), clipped(to).max(clipped(from) + 0.8));
            // An end beyond the time drawn is a point, the others are straight.
            let tip = half.min((right - left) / 2.0);
            let mut outline = if from < frame.x.low {
                vec![(left + tip, y + half), (left, y), (left + tip, y - half)]
            } else {
                vec![(left, y + half), (left, y - half)]
            };
            outline.extend(if to > frame.x.high {
                vec![(right - tip, y - half), (right, y), (right - tip, y + half)]
            } else {
                vec![(right, y - half), (right, y + half)]
            });
            scene.area(frame.part, outline, ink, 1.0);
        };
        bar(&mut scene, 0, 0.0, self.up_ms, Ink::Text);
        for press in self.seen() {
            let row = 1 + rows.iter().position(|name| *name == press.name).unwrap_or(0);
            bar(&mut scene, row, press.down_ms, press.up_ms, Ink::Rule);
        }
        for (row, lines) in key_lines.iter().enumerate() {
            for (n, line) in lines.iter().enumerate() {
                let base = centre(row) + (0.35 + 1.15 * (n as f64 - 0.5 * (lines.len() - 1) as f64)) * text;
                scene.words_in(line, (1.0, base), Anchor::Start, Ink::Text, row == 0);
            }
        }
        let mut top = verdicts_top;
        for (verdict, lines) in self.verdicts.iter().zip(&lines) {
            let y = top + 0.5 * tall(lines.len());
            let wrong = self.meant_hold.is_some_and(|meant| meant != verdict.hold);
            for (n, (line, bold)) in lines.iter().enumerate() {
                let at = y + (n as f64 - 0.5 * (lines.len() - 1) as f64) * 1.15 * text + 0.35 * text;
                scene.words_in(line, (1.0, at), Anchor::Start, Ink::Text, *bold);
            }
            if !narrow {
                let place = (area_right + 4.0, y + 0.35 * text);
                scene.words_in(self.says(verdict), place, Anchor::Start, Ink::Text, wrong);
            }
            // The shape says what was decided, the colour whether that is right; the words say both.
            let mark = if verdict.hold { Mark::Square } else { Mark::Circle };
            let ink = match self.meant_hold {
                None => Ink::Text,
                Some(_) if wrong => Ink::Vermillion,
                Some(_) => Ink::Green,
            };
            let at = clipped(verdict.at_ms);
            let waiting = Stroke::dashed(Ink::Rule, 0.9, &[1.5, 2.0]);
            scene.line(frame.part, vec![(clipped(0.0), y), (at, y)], waiting);
            scene.mark(frame.part, mark, (at, y), 0.42 * text, ink, verdict.hold);
            top += tall(lines.len());
        }
        let notes = legend::notes(&mut scene, &self.beyond(), 1.0, area.bottom + below + 2.0, scene_width - 2.0);
        scene.height = area.bottom + below + 2.0 + notes;
        Ok(Figure { title: capital(&self.title), caption: self.caption(), alt: self.alt(), width, scene })
    }

    fn check(&self) -> Result<(), FigureError> {
        reading::some(FIGURE, "policies", &self.verdicts)?;
        let span = |name: &str, down: f64, up: f64| {
            reading::finite(FIGURE, "a press", name, down)?;
            reading::finite(FIGURE, "a release", name, up)?;
            if up >= down {
                Ok(())
            } else {
                Err(FigureError::Reversed { figure: FIGURE, row: name.to_owned(), low: down, high: up })
            }
        };
        span(&self.key, 0.0, self.up_ms)?;
        self.others.iter().try_for_each(|press| span(&press.name, press.down_ms, press.up_ms))?;
        self.verdicts.iter().try_for_each(|v| reading::rate(FIGURE, "the decision", &v.name, v.at_ms))
    }

    /// Names of the other keys that are drawn, each once.
    fn rows(&self) -> Vec<&str> {
        let mut rows: Vec<&str> = Vec::new();
        for press in self.seen() {
            if !rows.contains(&press.name.as_str()) {
                rows.push(&press.name);
            }
        }
        rows
    }

    /// The times within which the picture is drawn at most: the press and its decisions, and as long before and after.
    fn reach(&self) -> (f64, f64) {
        let last = self.verdicts.iter().map(|v| v.at_ms).fold(self.up_ms, f64::max);
        let room = last.max(50.0);
        (-room, last + room)
    }

    fn is_seen(&self, press: &TimingPress) -> bool {
        let (from, to) = self.reach();
        press.up_ms > from && press.down_ms < to
    }

    /// Other presses of which at least a part is drawn.
    fn seen(&self) -> impl Iterator<Item = &TimingPress> {
        self.others.iter().filter(|press| self.is_seen(press))
    }

    /// Words for the presses of which nothing is drawn.
    fn beyond(&self) -> Vec<String> {
        let word = |press: &TimingPress| {
            format!("{}, down from {} to {} ms", press.name, number(press.down_ms, 0), number(press.up_ms, 0))
        };
        let names: Vec<String> = self.others.iter().filter(|press| !self.is_seen(press)).map(word).collect();
        if names.is_empty() { names } else { vec![format!("Outside of the time drawn: {}.", names.join("; "))] }
    }

    /// From a little before the first key to a little after the last event. A key that is down for long before or after
    /// the press is cut.
    fn axis(&self) -> Axis {
        let (from, to) = self.reach();
        let last = self.verdicts.iter().map(|v| v.at_ms).fold(self.up_ms, f64::max);
        let high = self.seen().map(|p| p.up_ms).fold(last, f64::max).min(to);
        let low = self.seen().map(|p| p.down_ms).fold(0.0, f64::min).max(from);
        let margin = 0.04 * (high - low).max(1.0);
        let title = format!("ms after {} was pressed", self.key);
        Axis::new(Scale::Linear, low - margin, high + margin, title)
    }

    /// When both this key and the judged one are down.
    fn overlap(&self, press: &TimingPress) -> Option<(f64, f64)> {
        let (from, to) = (press.down_ms.max(0.0), press.up_ms.min(self.up_ms));
        (to > from).then_some((from, to))
    }

    /// What stands at the left of a policy's row, and whether in bold.
    fn lines(&self, verdict: &TimingVerdict, text: f64, room: f64, narrow: bool) -> Vec<(String, bool)> {
        let mut lines: Vec<(String, bool)> = wrap(&verdict.name, text, room).into_iter().map(|l| (l, false)).collect();
        if narrow {
            let wrong = self.meant_hold.is_some_and(|meant| meant != verdict.hold);
            // Bold letters are a little wider.
            lines.extend(wrap(&self.says(verdict), text * 1.1, room).into_iter().map(|l| (l, wrong)));
        }
        lines
    }

    fn says(&self, verdict: &TimingVerdict) -> String {
        let judged = match self.meant_hold {
            Some(meant) if meant == verdict.hold => ", right",
            Some(_) => ", wrong",
            None => "",
        };
        format!("{} at {} ms{judged}", word(verdict.hold), number(verdict.at_ms, 0))
    }

    fn caption(&self) -> String {
        let frame = self.axis();
        let cut = self.seen().any(|press| press.down_ms < frame.low || press.up_ms > frame.high);
        let cut = if cut { ", beyond the time drawn where they end in a point" } else { "" };
        let bars = format!("Bars are the times for which keys were down{cut}; shading is where two were");
        let marks = "After dotted waiting a full square is the instant of a hold, an open circle that of a tap";
        let judged = if self.meant_hold.is_some() {
            "; what is wrong is vermillion and in bold, what is right green"
        } else {
            ""
        };
        sentences(&[&opening(&self.title, &self.context), &bars, &format!("{marks}{judged}")])
    }

    fn alt(&self) -> String {
        let meant = self.meant_hold.map_or(String::new(), |hold| format!(", and was meant as a {}", word(hold)));
        let first = format!("{} is down from 0 to {} ms{meant}", self.key, number(self.up_ms, 0));
        let other = |press: &TimingPress| {
            let overlap = self.overlap(press).map_or(String::new(), |(from, to)| {
                format!(", {} ms of it together with {}", number(to - from, 0), self.key)
            });
            let beyond = if self.is_seen(press) { "" } else { ", outside of the time drawn" };
            format!(
                "{} is down from {} to {} ms{overlap}{beyond}",
                press.name,
                number(press.down_ms, 0),
                number(press.up_ms, 0)
            )
        };
        let mut parts = vec![first];
        parts.extend(self.others.iter().map(other));
        let says: Vec<String> = self.verdicts.iter().map(|v| format!("{} says {}", v.name, self.says(v))).collect();
        // Names of rules hold commas themselves.
        parts.push(says.join("; "));
        sentences(&parts)
    }
}

fn word(hold: bool) -> &'static str {
    if hold { "hold" } else { "tap" }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn roll() -> Timing {
        Timing {
            title: "A roll".into(),
            context: String::new(),
            key: "F".into(),
            role: "Shift".into(),
            up_ms: 120.0,
            meant_hold: Some(false),
            others: vec![
                TimingPress { name: "E".into(), down_ms: -90.0, up_ms: 20.0 },
                TimingPress { name: "J".into(), down_ms: 80.0, up_ms: 190.0 },
            ],
            verdicts: vec![
                TimingVerdict { name: "first-contact".into(), hold: true, at_ms: 80.0 },
                TimingVerdict { name: "enclosed".into(), hold: false, at_ms: 120.0 },
            ],
        }
    }

    #[test]
    fn the_alt_text_tells_the_whole_story() {
        let alt = roll().draw(Width::Screen).unwrap().alt_text().to_owned();
        assert_eq!(
            alt,
            "F is down from 0 to 120 ms, and was meant as a tap. E is down from −90 to 20 ms, 20 ms of it together with \
             F. J is down from 80 to 190 ms, 40 ms of it together with F. first-contact says hold at 80 ms, wrong; \
             enclosed says tap at 120 ms, right."
        );
    }

    #[test]
    fn a_key_that_comes_up_before_it_goes_down_is_refused() {
        let mut timing = roll();
        timing.others[0].up_ms = -100.0;
        assert!(matches!(timing.draw(Width::Screen), Err(FigureError::Reversed { .. })));
        let mut timing = roll();
        timing.verdicts.clear();
        assert!(matches!(timing.draw(Width::Screen), Err(FigureError::Empty { .. })));
    }

    /// The corners of the bars of other keys.
    fn bars(figure: &Figure) -> Vec<Vec<(f64, f64)>> {
        let bar = |item: &crate::scene::Item| match &item.shape {
            crate::scene::Shape::Area { points, ink: Ink::Rule, .. } => Some(points.clone()),
            _ => None,
        };
        figure.scene.items.iter().filter_map(bar).collect()
    }

    #[test]
    fn a_key_held_since_long_before_does_not_squeeze_the_rest_and_ends_in_a_point() {
        for (down_ms, up_ms, left) in [(-60_000.0, 20.0, true), (20.0, 60_000.0, false)] {
            let mut timing = roll();
            timing.others = vec![TimingPress { name: "E".into(), down_ms, up_ms }];
            let axis = timing.axis();
            assert!(axis.low > -220.0 && axis.high < 300.0, "{axis:?}");
            for width in Width::ALL {
                let figure = timing.draw(width).unwrap();
                assert_eq!(figure.flaws(), []);
                let bars = bars(&figure);
                // Three corners at the pointed end, two at the other; the point is the one corner farthest out.
                assert_eq!((bars.len(), bars[0].len()), (1, 5));
                let far = |a: f64, b: f64| if left { a.min(b) } else { a.max(b) };
                let end = bars[0].iter().map(|(x, _)| *x).reduce(far).unwrap();
                assert_eq!(bars[0].iter().filter(|(x, _)| (x - end).abs() < 1e-9).count(), 1);
            }
            assert!(timing.caption().contains("end in a point"));
        }
        assert!(!roll().caption().contains("end in a point"));
    }

    #[test]
    fn a_key_outside_of_the_time_drawn_is_no_bar_but_is_told() {
        for (down_ms, up_ms) in [(-900.0, -800.0), (900.0, 1000.0)] {
            let mut timing = roll();
            timing.others[0] = TimingPress { name: "E".into(), down_ms, up_ms };
            for width in Width::ALL {
                let figure = timing.draw(width).unwrap();
                assert_eq!(bars(&figure).len(), 1, "only J is drawn");
                assert_eq!(figure.flaws(), []);
                assert!(figure.svg().contains("Outside of the time"), "{}", figure.svg());
            }
            assert!(timing.alt().contains("ms, outside of the time drawn."), "{}", timing.alt());
            // A key that just reaches into the window is drawn.
            timing.others[0].down_ms = timing.others[0].down_ms.min(-100.0);
            timing.others[0].up_ms = timing.others[0].up_ms.max(-100.0);
            assert_eq!(bars(&timing.draw(Width::Screen).unwrap()).len(), 2);
        }
    }
}
