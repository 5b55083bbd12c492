//! The terms of one press adding up to a decision.

use crate::axis::{Axis, Scale};
use crate::figure::Figure;
use crate::ink::Ink;
use crate::panel::{self, Around, Panel};
use crate::reading;
use crate::scene::{Anchor, Part, Rect, Scene, Stroke};
use crate::words::{capital, number, opening, sentences, signed, wrap};
use crate::{FigureError, Width, font};

/// What the picture shows: what a rule that adds up evidence saw of one press, what each of that adds to the log odds of a
/// hold, and how the sum stands to the threshold.
#[derive(Clone, Debug, PartialEq)]
pub struct Terms {
    /// In a few words.
    pub title: String,
    /// Where the press comes from, for the caption.
    pub context: String,
    /// What was meant: a hold (`true`) or a tap; `None` where that is not known.
    pub meant_hold: Option<bool>,
    /// What was seen, in words, and what it adds, in nats; from top to bottom.
    pub terms: Vec<(String, f64)>,
    /// From which sum on the rule says hold, in nats.
    pub threshold: f64,
}

const FIGURE: &str = "the picture of terms";
/// Heights in sizes of the text.
const ROW: f64 = 1.9;
const BAR: f64 = 1.0;
const LINE: f64 = 1.15;

impl Terms {
    /// The sum of the terms, in nats.
    pub fn sum(&self) -> f64 {
        self.terms.iter().map(|(_, nats)| nats).sum()
    }

    /// Whether the sum says hold.
    pub fn is_hold(&self) -> bool {
        self.sum() >= self.threshold
    }

    /// Draws the picture: one row a term, each bar from where the last one ended, and the sum beside the threshold.
    ///
    /// # Errors
    ///
    /// [`FigureError`] if there is no term, or one is not finite.
    pub fn draw(&self, width: Width) -> Result<Figure, FigureError> {
        reading::some(FIGURE, "terms", &self.terms)?;
        self.terms.iter().try_for_each(|(words, nats)| reading::finite(FIGURE, "a term", words, *nats))?;
        reading::finite(FIGURE, "the threshold", "the threshold", self.threshold)?;
        let mut scene = Scene::new(width);
        let text = scene.text;
        let sum = format!("sum: {}", self.says());
        let names = self.terms.iter().map(|(words, _)| words.as_str()).chain([sum.as_str()]);
        let longest = names.map(|name| font::width(name, text, true)).fold(0.0, f64::max);
        let numbers = self.terms.iter().map(|(_, nats)| *nats).chain([self.sum()]);
        let widest = numbers.map(|nats| font::width(&signed(nats, PLACES), text, true)).fold(0.0, f64::max);
        let left = (longest + 8.0).min(scene.width * 0.45);
        let right = scene.width - widest - 8.0;
        let top = text * 1.8;
        // Bold letters are a little wider.
        let all = self.terms.iter().map(|(words, _)| words.as_str()).chain([sum.as_str()]);
        let lines: Vec<Vec<String>> = all.map(|name| wrap(name, text * 1.1, left - 6.0)).collect();
        let height = |lines: &Vec<String>| text * (ROW + LINE * (lines.len() - 1) as f64);
        let bottom = top + lines.iter().map(height).sum::<f64>() + text * 0.2;
        let x = self.axis();
        let below = panel::bottom_room(&scene, &x, right - left, Around::ROWS);
        let frame = Panel::framed_rows(&mut scene, Rect::new(left, top, right, bottom), x);
        scene.words("← for a tap", (left, text), Anchor::Start, Ink::Text);
        scene.words("for a hold →", (right, text), Anchor::End, Ink::Text);
        let mut row_top = top;
        let mut row = |row: usize, (from, to): (f64, f64), bold: bool| {
            let y = row_top + 0.5 * height(&lines[row]);
            row_top += height(&lines[row]);
            for (i, line) in lines[row].iter().enumerate() {
                let base = y + (0.35 + (i as f64 - 0.5 * (lines[row].len() - 1) as f64) * LINE) * text;
                scene.words_in(line, (1.0, base), Anchor::Start, Ink::Text, bold);
            }
            let value_at = (scene.width - 1.0, y + 0.35 * text);
            scene.words_in(signed(to - from, PLACES), value_at, Anchor::End, Ink::Text, bold);
            // The side, the sign of the number and the colour tell the direction; a term of nothing still shows. Right and
            // wrong have colours of their own in the picture of times.
            let ink = if to >= from { Ink::Indigo } else { Ink::Olive };
            let (low, high) = (frame.x_at(from.min(to)), frame.x_at(from.max(to)));
            let half = 0.5 * BAR * text;
            scene.block(frame.part, Rect::new(low, y - half, high.max(low + 0.8), y + half), ink);
        };
        let mut at = 0.0;
        for (place, (_, nats)) in self.terms.iter().enumerate() {
            row(place, (at, at + nats), false);
            at += nats;
        }
        row(self.terms.len(), (0.0, at), true);
        let zero = frame.x_at(0.0);
        scene.line(Part::Frame, vec![(zero, top), (zero, bottom)], Stroke::new(Ink::Rule, 0.7));
        let threshold = frame.x_at(self.threshold);
        scene.line(
            frame.part,
            vec![(threshold, top), (threshold, bottom)],
            Stroke::dashed(Ink::Text, 1.4, &[4.0, 2.0]),
        );
        scene.height = bottom + below + 2.0;
        Ok(Figure { title: capital(&self.title), caption: self.caption(), alt: self.alt(), width, scene })
    }

    /// All partial sums and the threshold lie on it.
    fn axis(&self) -> Axis {
        let mut at = 0.0;
        let (mut low, mut high) = (self.threshold.min(0.0), self.threshold.max(0.0));
        for (_, nats) in &self.terms {
            at += nats;
            low = f64::min(low, at);
            high = f64::max(high, at);
        }
        let margin = 0.05 * (high - low).max(1.0);
        Axis::new(Scale::Linear, low - margin, high + margin, "Log odds of a hold (nats)").with_signs()
    }

    fn says(&self) -> String {
        let word = |hold: bool| if hold { "hold" } else { "tap" };
        let judged = match self.meant_hold {
            Some(meant) if meant == self.is_hold() => ", right",
            Some(_) => ", wrong",
            None => "",
        };
        format!("{}{judged}", word(self.is_hold()))
    }

    fn caption(&self) -> String {
        let bars = "Each bar starts where the one above ends; to the right it speaks for a hold, to the left for a tap";
        let line = format!("The dashed line is the threshold, {} nats", number(self.threshold, 2));
        sentences(&[&opening(&self.title, &self.context), bars, &line])
    }

    fn alt(&self) -> String {
        let terms: Vec<String> =
            self.terms.iter().map(|(words, nats)| format!("{words} {}", signed(*nats, PLACES))).collect();
        let (sum, threshold) = (signed(self.sum(), PLACES), number(self.threshold, 2));
        let sum = format!("The sum is {sum} nats, the threshold {threshold}: {}", self.says());
        sentences(&[capital(&terms.join(", ")), sum])
    }
}

/// Decimals of a term.
const PLACES: usize = 2;

#[cfg(test)]
mod tests {
    use super::*;

    fn terms() -> Terms {
        Terms {
            title: "Terms".into(),
            context: String::new(),
            meant_hold: Some(true),
            terms: vec![
                ("how often keys are held".into(), -2.5),
                ("own key F".into(), 1.5),
                ("T came down".into(), 3.25),
            ],
            threshold: 1.0,
        }
    }

    #[test]
    fn the_alt_text_adds_up() {
        let figure = terms().draw(Width::Screen).unwrap();
        assert_eq!(
            figure.alt_text(),
            "How often keys are held −2.50, own key F +1.50, T came down +3.25. The sum is +2.25 nats, the threshold 1: \
             hold, right."
        );
        assert!(figure.flaws().is_empty(), "{:?}", figure.flaws());
        let wrong = Terms { threshold: 2.5, ..terms() };
        assert!(!wrong.is_hold() && wrong.alt().ends_with("the threshold 2.5: tap, wrong."), "{}", wrong.alt());
    }

    #[test]
    fn it_fits_every_width_and_refuses_what_is_no_number() {
        for width in [Width::OneColumn, Width::TwoColumn, Width::Screen, Width::Phone] {
            assert!(terms().draw(width).unwrap().flaws().is_empty());
        }
        let mut bad = terms();
        bad.terms[1].1 = f64::NAN;
        assert!(bad.draw(Width::Screen).is_err());
        assert!(matches!(Terms { terms: Vec::new(), ..terms() }.draw(Width::Screen), Err(FigureError::Empty { .. })));
    }
}
