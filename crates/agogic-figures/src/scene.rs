//! What lies on the paper: a flat list of shapes, each with its part, from which files are written and flaws found.

use crate::font;
use crate::ink::Ink;
use crate::mark::Mark;

/// A rectangle, x to the right and y downwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rect {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Rect {
    pub(crate) fn new(left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self { left, top, right, bottom }
    }

    pub(crate) fn around((x, y): (f64, f64), reach: f64) -> Self {
        Self::new(x - reach, y - reach, x + reach, y + reach)
    }

    pub(crate) fn width(&self) -> f64 {
        self.right - self.left
    }

    pub(crate) fn height(&self) -> f64 {
        self.bottom - self.top
    }

    pub(crate) fn grown(&self, by: f64) -> Self {
        Self::new(self.left - by, self.top - by, self.right + by, self.bottom + by)
    }

    pub(crate) fn meets(&self, other: &Self) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    pub(crate) fn holds(&self, (x, y): (f64, f64)) -> bool {
        x >= self.left && x <= self.right && y >= self.top && y <= self.bottom
    }

    pub(crate) fn covers(&self, other: &Self) -> bool {
        self.holds((other.left, other.top)) && self.holds((other.right, other.bottom))
    }

    /// The part of a segment inside, or `None` (Liang & Barsky 1984).
    pub(crate) fn clip(&self, (x0, y0): (f64, f64), (x1, y1): (f64, f64)) -> Option<[(f64, f64); 2]> {
        let (dx, dy) = (x1 - x0, y1 - y0);
        let (mut from, mut to) = (0.0f64, 1.0f64);
        let sides = [(-dx, x0 - self.left), (dx, self.right - x0), (-dy, y0 - self.top), (dy, self.bottom - y0)];
        for (p, q) in sides {
            if p == 0.0 {
                if q < 0.0 {
                    return None;
                }
            } else if p < 0.0 {
                from = from.max(q / p);
            } else {
                to = to.min(q / p);
            }
        }
        (from <= to).then_some([(x0 + from * dx, y0 + from * dy), (x0 + to * dx, y0 + to * dy)])
    }
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stroke {
    pub ink: Ink,
    pub width: f64,
    pub dashes: &'static [f64],
}

impl Stroke {
    pub(crate) fn new(ink: Ink, width: f64) -> Self {
        Self { ink, width, dashes: &[] }
    }

    pub(crate) fn dashed(ink: Ink, width: f64, dashes: &'static [f64]) -> Self {
        Self { ink, width, dashes }
    }
}

/// Where words hang.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A piece of text on one line.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Words {
    pub text: String,
    /// On the base line.
    pub at: (f64, f64),
    pub size: f64,
    pub anchor: Anchor,
    pub ink: Ink,
    pub bold: bool,
}

impl Words {
    pub(crate) fn length(&self) -> f64 {
        font::width(&self.text, self.size, self.bold)
    }

    pub(crate) fn bounds(&self) -> Rect {
        let length = self.length();
        let left = match self.anchor {
            Anchor::Start => self.at.0,
            Anchor::Middle => self.at.0 - length / 2.0,
            Anchor::End => self.at.0 - length,
        };
        let y = self.at.1;
        Rect::new(left, y - font::ABOVE * self.size, left + length, y + font::BELOW * self.size)
    }
}

/// A shape.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Shape {
    Line { points: Vec<(f64, f64)>, stroke: Stroke },
    Area { points: Vec<(f64, f64)>, ink: Ink, opacity: f64 },
    Mark { mark: Mark, at: (f64, f64), radius: f64, ink: Ink, filled: bool },
    Words(Words),
}

/// What a shape is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    /// Axes, grids, legends, words.
    Frame,
    /// Data, which must lie within this panel.
    Data(usize),
}

/// A shape with its part.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Item {
    pub part: Part,
    pub shape: Shape,
}

/// All shapes of a figure, back to front.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Scene {
    pub width: f64,
    pub height: f64,
    /// The plot areas.
    pub panels: Vec<Rect>,
    pub items: Vec<Item>,
    /// The size of its text.
    pub text: f64,
}

impl Scene {
    pub(crate) fn new(width: crate::Width) -> Self {
        let text = width.text_pt();
        Self { width: width.points(), height: 0.0, panels: Vec::new(), items: Vec::new(), text }
    }

    pub(crate) fn panel(&mut self, area: Rect) -> Part {
        self.panels.push(area);
        Part::Data(self.panels.len() - 1)
    }

    pub(crate) fn push(&mut self, part: Part, shape: Shape) {
        self.items.push(Item { part, shape });
    }

    pub(crate) fn line(&mut self, part: Part, points: Vec<(f64, f64)>, stroke: Stroke) {
        self.push(part, Shape::Line { points, stroke });
    }

    pub(crate) fn area(&mut self, part: Part, points: Vec<(f64, f64)>, ink: Ink, opacity: f64) {
        self.push(part, Shape::Area { points, ink, opacity });
    }

    pub(crate) fn block(&mut self, part: Part, area: Rect, ink: Ink) {
        let Rect { left, top, right, bottom } = area;
        self.area(part, vec![(left, top), (right, top), (right, bottom), (left, bottom)], ink, 1.0);
    }

    pub(crate) fn mark(&mut self, part: Part, mark: Mark, at: (f64, f64), radius: f64, ink: Ink, filled: bool) {
        self.push(part, Shape::Mark { mark, at, radius, ink, filled });
    }

    pub(crate) fn words(&mut self, text: impl Into<String>, at: (f64, f64), anchor: Anchor, ink: Ink) {
        self.words_in(text, at, anchor, ink, false);
    }

    pub(crate) fn bold(&mut self, text: impl Into<String>, at: (f64, f64), anchor: Anchor, ink: Ink) {
        self.words_in(text, at, anchor, ink, true);
    }

    /// The one or the other.
    pub(crate) fn words_in(&mut self, text: impl Into<String>, at: (f64, f64), anchor: Anchor, ink: Ink, bold: bool) {
        let text = text.into();
        if !text.is_empty() {
            let size = self.text;
            self.push(Part::Frame, Shape::Words(Words { text, at, size, anchor, ink, bold }));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_segment_is_cut_at_the_sides() {
        let unit = Rect::new(0.0, 0.0, 1.0, 1.0);
        assert_eq!(unit.clip((-1.0, 0.5), (2.0, 0.5)), Some([(0.0, 0.5), (1.0, 0.5)]));
        assert_eq!(unit.clip((0.2, 0.2), (0.4, 0.4)), Some([(0.2, 0.2), (0.4, 0.4)]));
        assert_eq!(unit.clip((2.0, 0.0), (2.0, 1.0)), None);
        assert_eq!(unit.clip((-1.0, 1.5), (0.5, 3.0)), None);
    }
}
