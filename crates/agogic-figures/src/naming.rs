//! Names for the marks and curves of a plot: beside the mark where there is room, else a number with a key below.

use std::borrow::Cow;

use crate::font;
use crate::ink::Ink;
use crate::key::KeyEntry;
use crate::labels::{self, LINE, Place, Surroundings, UNCLEAR, Wish};
use crate::legend::Swatch;
use crate::mark::Mark;
use crate::panel::Panel;
use crate::scene::{Anchor, Part, Rect, Scene, Stroke};
use crate::words::wrap;

/// A mark and its name.
pub(crate) struct NamedMark {
    pub name: String,
    pub at: (f64, f64),
    pub radius: f64,
    pub mark: Mark,
    pub ink: Ink,
}

impl NamedMark {
    /// From the middle to the farthest corner of any mark of this size, and its rim.
    fn reach(&self) -> f64 {
        1.25 * self.radius + 0.4
    }

    fn swatch(&self) -> Swatch {
        Swatch::Mark { mark: self.mark, radius: 2.8, ink: self.ink, filled: true }
    }
}

/// A curve and its name.
pub(crate) struct NamedCurve {
    pub name: String,
    pub points: Vec<(f64, f64)>,
    pub stroke: Stroke,
}

/// What wants a name, and what names should not lie on.
pub(crate) struct Names {
    pub marks: Vec<NamedMark>,
    pub bars: Vec<[(f64, f64); 2]>,
    pub curves: Vec<NamedCurve>,
}

/// Marks closer than this in both directions share one number label, in points.
const ONE_PLACE: f64 = 1.5;
/// How often names that found no good place make room for numbers.
const ROUNDS: usize = 6;

/// What stands beside a mark.
enum Label {
    Name(usize),
    /// The numbers of marks at one place.
    Numbers(Vec<usize>),
}

impl Names {
    /// Writes all names it can and gives the key for the rest: every name is in one or the other.
    ///
    /// A name without a good place becomes a number; where more than half would, all do, as a reader then looks at one
    /// place only.
    pub(crate) fn draw(&self, scene: &mut Scene, panel: &Panel, narrow: bool) -> Vec<KeyEntry> {
        let mut as_number = vec![false; self.marks.len()];
        let (obstacles, curves) = (self.obstacles(), self.curve_segments());
        let around = self.around(panel, &obstacles, &curves, scene.text);
        let of_name = |i: usize| labels::candidates(&self.wish(&Label::Name(i), scene, &[], narrow), &around);
        let of_names: Vec<Vec<Place>> = (0..self.marks.len()).map(of_name).collect();
        let (mut labels, mut wishes, mut placed) = (Vec::new(), Vec::new(), Vec::new());
        for round in 0..ROUNDS {
            labels = self.labels(&as_number);
            wishes = labels.iter().map(|label| self.wish(label, scene, &as_number, narrow)).collect();
            let choices = labels.iter().zip(&wishes).map(|(label, wish)| match label {
                Label::Name(i) => Cow::Borrowed(of_names[*i].as_slice()),
                Label::Numbers(_) => Cow::Owned(labels::candidates(wish, &around)),
            });
            placed = labels::place(&choices.collect::<Vec<_>>());
            let bad = |place: &Option<Place>| place.is_none_or(|p| p.cost >= UNCLEAR);
            let failed: Vec<usize> = labels
                .iter()
                .zip(&placed)
                .filter_map(|(label, place)| if let Label::Name(i) = label { bad(place).then_some(*i) } else { None })
                .collect();
            if failed.is_empty() {
                break;
            }
            failed.iter().for_each(|i| as_number[*i] = true);
            let count = as_number.iter().filter(|n| **n).count();
            if 2 * count > as_number.len() || round + 2 >= ROUNDS {
                as_number.fill(true);
            }
        }
        for ((label, wish), place) in labels.iter().zip(&wishes).zip(&placed) {
            if let Some(place) = place {
                write(scene, wish, place, if matches!(label, Label::Name(_)) { Ink::Text } else { Ink::Soft });
            }
        }
        let numbers = self.numbers(&as_number);
        let lost = |i: usize| {
            let of = |label: &Label| matches!(label, Label::Numbers(all) if all.contains(&i));
            labels.iter().zip(&placed).any(|(label, place)| of(label) && place.is_none())
        };
        let entry = |(n, &i): (usize, &usize)| {
            let mark = &self.marks[i];
            let note = if lost(i) { " (no room for its number)" } else { "" };
            KeyEntry { number: (n + 1).to_string(), swatch: mark.swatch(), text: format!("{}{note}", mark.name) }
        };
        let mut key: Vec<KeyEntry> = numbers.iter().enumerate().map(entry).collect();
        key.extend(self.name_curves(scene, panel, placed.iter().flatten(), narrow));
        key
    }

    /// Names of curves, wherever along their way there is room; gives a key to those without.
    fn name_curves<'a>(
        &self,
        scene: &mut Scene,
        panel: &Panel,
        taken: impl Iterator<Item = &'a Place>,
        narrow: bool,
    ) -> Vec<KeyEntry> {
        let mut marks = self.obstacles();
        let mut lines = self.curve_segments();
        for place in taken {
            marks.push(place.bounds.grown(1.0));
            lines.extend(place.leader);
        }
        let mut seen: Vec<&str> = Vec::new();
        let named = self.curves.iter().filter(|curve| {
            let new = !seen.contains(&curve.name.as_str());
            seen.push(&curve.name);
            new
        });
        let named: Vec<&NamedCurve> = named.collect();
        let wish = |curve: &&NamedCurve| {
            let places = [0.5, 0.6, 0.4, 0.7, 0.3, 0.8, 0.2, 0.9].map(|share| along(&curve.points, share));
            let others = self.curves.iter().filter(|other| other.name != curve.name);
            Wish {
                at: places[0],
                radius: 0.5,
                ways: ways(&curve.name, scene.text, narrow),
                or_at: places[1..].to_vec(),
                strangers: others.flat_map(|other| segments(&other.points)).collect(),
                farthest: 16.0,
                bold: false,
            }
        };
        let wishes: Vec<Wish> = named.iter().map(wish).collect();
        let around = self.around(panel, &marks, &lines, scene.text);
        let choices: Vec<Vec<Place>> = wishes.iter().map(|wish| labels::candidates(wish, &around)).collect();
        let placed = labels::place(&choices);
        let mut key = Vec::new();
        for ((curve, wish), place) in named.iter().zip(&wishes).zip(placed) {
            match place.filter(|place| place.cost < UNCLEAR) {
                Some(place) => write(scene, wish, &place, Ink::Soft),
                None => key.push(KeyEntry {
                    number: String::new(),
                    swatch: Swatch::Line(curve.stroke),
                    text: curve.name.clone(),
                }),
            }
        }
        key
    }

    fn around<'a>(
        &'a self,
        panel: &Panel,
        marks: &'a [Rect],
        curves: &'a [[(f64, f64); 2]],
        text: f64,
    ) -> Surroundings<'a> {
        Surroundings { bounds: panel.area.grown(-1.5), marks, bars: &self.bars, curves, text }
    }

    fn obstacles(&self) -> Vec<Rect> {
        self.marks.iter().map(|mark| Rect::around(mark.at, mark.reach())).collect()
    }

    fn curve_segments(&self) -> Vec<[(f64, f64); 2]> {
        self.curves.iter().flat_map(|curve| segments(&curve.points)).collect()
    }

    /// The marks that have a number, in its order: from left to right, then from top to bottom.
    fn numbers(&self, as_number: &[bool]) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.marks.len()).filter(|i| as_number[*i]).collect();
        order.sort_by(|a, b| {
            let (a, b) = (self.marks[*a].at, self.marks[*b].at);
            a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
        });
        order
    }

    fn labels(&self, as_number: &[bool]) -> Vec<Label> {
        let mut labels: Vec<Label> = (0..self.marks.len()).filter(|i| !as_number[*i]).map(Label::Name).collect();
        let mut heaps: Vec<Vec<usize>> = Vec::new();
        for i in self.numbers(as_number) {
            let (x, y) = self.marks[i].at;
            let here = |heap: &&mut Vec<usize>| {
                let (u, v) = self.marks[heap[0]].at;
                (u - x).abs() < ONE_PLACE && (v - y).abs() < ONE_PLACE
            };
            match heaps.iter_mut().find(here) {
                Some(heap) => heap.push(i),
                None => heaps.push(vec![i]),
            }
        }
        labels.extend(heaps.into_iter().map(Label::Numbers));
        labels
    }

    fn wish(&self, label: &Label, scene: &Scene, as_number: &[bool], narrow: bool) -> Wish {
        let (first, ways, farthest) = match label {
            Label::Name(i) => {
                let ways = ways(&self.marks[*i].name, scene.text, narrow);
                (*i, ways, if narrow { 40.0 } else { 70.0 })
            }
            Label::Numbers(heap) => {
                let order = self.numbers(as_number);
                let number = |i: &usize| 1 + order.iter().position(|other| other == i).unwrap_or(0);
                let text = ranges(&heap.iter().map(number).collect::<Vec<_>>());
                let room = if narrow { 9.0 } else { 16.0 } * scene.text;
                (heap[0], vec![wrap(&text, scene.text, room)], f64::INFINITY)
            }
        };
        let mark = &self.marks[first];
        Wish {
            at: mark.at,
            radius: mark.reach(),
            ways,
            or_at: Vec::new(),
            strangers: Vec::new(),
            farthest,
            bold: matches!(label, Label::Numbers(_)),
        }
    }
}

fn segments(points: &[(f64, f64)]) -> impl Iterator<Item = [(f64, f64); 2]> {
    points.windows(2).map(|pair| [pair[0], pair[1]])
}

/// A name on one line where it is short, and broken to two narrower measures.
fn ways(name: &str, text: f64, narrow: bool) -> Vec<Vec<String>> {
    let mut ways: Vec<Vec<String>> = Vec::new();
    for sizes in if narrow { [11.0, 8.0, 6.0] } else { [20.0, 12.0, 8.0] } {
        let lines = wrap(name, text, sizes * text);
        if !ways.contains(&lines) {
            ways.push(lines);
        }
    }
    ways
}

/// Numbers in order as people write them: `1–3, 7`.
fn ranges(numbers: &[usize]) -> String {
    let mut sorted = numbers.to_vec();
    sorted.sort_unstable();
    let runs = sorted.chunk_by(|a, b| a + 1 == *b);
    let run = |run: &[usize]| match run {
        [] => String::new(),
        [one] => one.to_string(),
        [a, b] => format!("{a}, {b}"),
        [first, .., last] => format!("{first}–{last}"),
    };
    runs.map(run).collect::<Vec<_>>().join(", ")
}

fn write(scene: &mut Scene, wish: &Wish, place: &Place, ink: Ink) {
    let text = scene.text;
    if let Some(line) = place.leader {
        scene.line(Part::Frame, line.to_vec(), Stroke::new(Ink::Rule, 0.5));
    }
    let right_of = place.bounds.left >= place.anchor.0;
    for (i, words) in wish.ways[place.way].iter().enumerate() {
        let y = place.bounds.top + font::ABOVE * text + i as f64 * LINE * text;
        let (x, anchor) = if right_of { (place.bounds.left, Anchor::Start) } else { (place.bounds.right, Anchor::End) };
        if wish.bold {
            scene.bold(words, (x, y), anchor, Ink::Text);
        } else {
            scene.words(words, (x, y), anchor, ink);
        }
    }
}

/// The point at a share of the length of a line.
fn along(points: &[(f64, f64)], share: f64) -> (f64, f64) {
    let lengths: Vec<f64> = points.windows(2).map(|w| (w[1].0 - w[0].0).hypot(w[1].1 - w[0].1)).collect();
    let mut rest = lengths.iter().sum::<f64>() * share;
    for (length, pair) in lengths.iter().zip(points.windows(2)) {
        if rest <= *length && *length > 0.0 {
            let share = rest / length;
            return (pair[0].0 + share * (pair[1].0 - pair[0].0), pair[0].1 + share * (pair[1].1 - pair[0].1));
        }
        rest -= length;
    }
    points[points.len() - 1]
}

#[cfg(test)]
mod tests {
    use super::ranges;

    #[test]
    fn runs_of_numbers_are_written_short() {
        assert_eq!(ranges(&[3, 1, 2, 9]), "1–3, 9");
        assert_eq!(ranges(&[4, 5]), "4, 5");
        assert_eq!(ranges(&[7]), "7");
    }
}
