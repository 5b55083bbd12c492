//! A plot area with its two axes.

use crate::axis::{Axis, Scale};
use crate::font;
use crate::ink::Ink;
use crate::scene::{Anchor, Part, Rect, Scene, Stroke};
use crate::words::wrap;

/// A plot area.
#[derive(Clone, Debug)]
pub(crate) struct Panel {
    pub area: Rect,
    pub x: Axis,
    pub y: Axis,
    pub part: Part,
    /// Room between the axes and their lowest values, so that marks at zero do not lie on numbers.
    pub inset: f64,
}

/// What stands around the plot area.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Around {
    /// Words of the y axis above the plot.
    pub y_title: bool,
    /// Words of the x axis below it.
    pub x_title: bool,
    /// Numbers of the x axis.
    pub x_numbers: bool,
    /// Numbers of the y axis.
    pub y_numbers: bool,
    /// Whether words of the x axis may reach beyond a narrow plot: nothing stands beside them.
    pub alone: bool,
}

impl Around {
    pub(crate) const ALL: Self = Self { y_title: true, x_title: true, x_numbers: true, y_numbers: true, alone: false };
    /// Rows with words of their own.
    pub(crate) const ROWS: Self = Self { y_title: false, alone: true, ..Self::ALL };
}

/// The room that the numbers of a y axis take.
pub(crate) fn left_room(scene: &Scene, y: &Axis, height: f64) -> f64 {
    let widest =
        y.ticks(2.2 * scene.text / height).iter().map(|(_, w)| font::width(w, scene.text, false)).fold(0.0, f64::max);
    widest + 6.0
}

/// The words of the x axis may reach a little beyond the plot, into the margin at its right; where they stand alone, as far
/// as an easy line is long.
fn title_room(scene: &Scene, width: f64, around: Around) -> f64 {
    let own = width + 1.5 * scene.text;
    if around.alone { own.max((28.0 * scene.text).min(scene.width - 2.0)) } else { own }
}

/// The height that the words of the y axis take.
pub(crate) fn top_room(scene: &Scene, y: &Axis, width: f64) -> f64 {
    wrap(&y.title, scene.text, width).len() as f64 * scene.text * 1.25 + 0.5 * scene.text + 1.5
}

/// The height that numbers and words of the x axis take.
pub(crate) fn bottom_room(scene: &Scene, x: &Axis, width: f64, around: Around) -> f64 {
    let numbers = if around.x_numbers { scene.text * 1.35 + 3.0 } else { 3.0 };
    let words = if around.x_title {
        wrap(&x.title, scene.text, title_room(scene, width, around)).len() as f64 * scene.text * 1.25 + 2.0
    } else {
        0.0
    };
    numbers + words
}

impl Panel {
    /// Draws grid, axes, numbers and titles, and gives the panel to draw on.
    pub(crate) fn framed(scene: &mut Scene, area: Rect, x: Axis, y: Axis, around: Around) -> Self {
        Self::framed_apart(scene, area, x, y, around, 0.0)
    }

    /// The same with room between the axes and their lowest values.
    pub(crate) fn framed_apart(scene: &mut Scene, area: Rect, x: Axis, y: Axis, around: Around, inset: f64) -> Self {
        let part = scene.panel(area);
        let panel = Self { area, x, y, part, inset };
        panel.draw_y(scene, around);
        panel.draw_x(scene, around);
        let corner = vec![(area.left, area.top), (area.left, area.bottom), (area.right, area.bottom)];
        scene.line(Part::Frame, corner, Stroke::new(Ink::Rule, 0.7));
        panel
    }

    /// The same for rows with words of their own: no y axis.
    pub(crate) fn framed_rows(scene: &mut Scene, area: Rect, x: Axis) -> Self {
        let part = scene.panel(area);
        let panel = Self { area, x, y: Axis::new(Scale::Linear, 0.0, 1.0, ""), part, inset: 0.0 };
        panel.draw_x(scene, Around::ROWS);
        scene.line(Part::Frame, vec![(area.left, area.bottom), (area.right, area.bottom)], Stroke::new(Ink::Rule, 0.7));
        panel
    }

    fn draw_y(&self, scene: &mut Scene, around: Around) {
        let (panel, area, text) = (self, self.area, scene.text);
        let y_ticks = panel.y.ticks(2.2 * text / area.height());
        for (value, words) in &y_ticks {
            let y = panel.y_at(*value);
            scene.line(Part::Frame, vec![(area.left, y), (area.right, y)], Stroke::new(Ink::Grid, 0.5));
            if around.y_numbers {
                scene.words(words, (area.left - 4.0, y + 0.36 * text), Anchor::End, Ink::Soft);
            }
        }
        if around.y_title {
            let lines = wrap(&panel.y.title, text, area.right);
            for (i, words) in lines.iter().enumerate() {
                let y = area.top - 1.5 - 0.75 * text - (lines.len() - 1 - i) as f64 * text * 1.25;
                scene.words(words, (1.0, y), Anchor::Start, Ink::Text);
            }
        }
    }

    fn draw_x(&self, scene: &mut Scene, around: Around) {
        let (panel, area, text) = (self, self.area, scene.text);
        let line = text * 1.25;
        for (value, words) in panel.x_ticks(text, scene.width) {
            let x = panel.x_at(value);
            scene.line(Part::Frame, vec![(x, area.top), (x, area.bottom)], Stroke::new(Ink::Grid, 0.5));
            scene.line(Part::Frame, vec![(x, area.bottom), (x, area.bottom + 2.5)], Stroke::new(Ink::Rule, 0.6));
            if around.x_numbers {
                let (at, anchor) = panel.within(x, &words, text, scene.width);
                scene.words(words, (at, area.bottom + 3.0 + 1.1 * text), anchor, Ink::Soft);
            }
        }
        if around.x_title {
            let numbers = if around.x_numbers { 1.35 * text + 3.0 } else { 3.0 };
            for (i, words) in wrap(&panel.x.title, text, title_room(scene, area.width(), around)).iter().enumerate() {
                let y = area.bottom + numbers + text + i as f64 * line;
                let half = font::width(words, text, false) / 2.0;
                let middle = ((area.left + area.right) / 2.0).min(scene.width - 1.0 - half).max(1.0 + half);
                scene.words(words, (middle, y), Anchor::Middle, Ink::Text);
            }
        }
    }

    /// Ticks of the x axis, as many as their words leave room for.
    fn x_ticks(&self, text: f64, width: f64) -> Vec<(f64, String)> {
        // Wide steps look calm, but one number alone gives no scale.
        let calm = self.fitting_ticks(3.0 * text / self.area.width(), text, width);
        if calm.len() > 1 { calm } else { self.fitting_ticks(1.5 * text / self.area.width(), text, width) }
    }

    fn fitting_ticks(&self, mut gap: f64, text: f64, width: f64) -> Vec<(f64, String)> {
        loop {
            let ticks = self.x.ticks(gap);
            let ends = |(value, words): &(f64, String)| {
                let length = font::width(words, text, false);
                let (at, anchor) = self.within(self.x_at(*value), words, text, width);
                let left = match anchor {
                    Anchor::Start => at,
                    Anchor::Middle => at - length / 2.0,
                    Anchor::End => at - length,
                };
                (left, left + length)
            };
            let apart = ticks.windows(2).all(|pair| ends(&pair[1]).0 - ends(&pair[0]).1 >= text * 0.6);
            if apart || ticks.len() < 2 || gap > 1.0 {
                return ticks;
            }
            gap *= 1.2;
        }
    }

    /// Keeps the words of the first and the last tick inside the figure.
    fn within(&self, x: f64, words: &str, text: f64, width: f64) -> (f64, Anchor) {
        let half = font::width(words, text, false) / 2.0;
        if x + half > width - 0.5 {
            (width - 0.5, Anchor::End)
        } else if x - half < 0.5 {
            (0.5, Anchor::Start)
        } else {
            (x, Anchor::Middle)
        }
    }

    pub(crate) fn x_at(&self, value: f64) -> f64 {
        self.area.left + self.inset + self.x.share(value) * (self.area.width() - self.inset)
    }

    pub(crate) fn y_at(&self, value: f64) -> f64 {
        self.area.bottom - self.inset - self.y.share(value) * (self.area.height() - self.inset)
    }

    pub(crate) fn at(&self, x: f64, y: f64) -> (f64, f64) {
        (self.x_at(x), self.y_at(y))
    }

    /// The pieces of a line of values inside the area.
    pub(crate) fn clipped(&self, points: &[(f64, f64)]) -> Vec<Vec<(f64, f64)>> {
        let mut pieces: Vec<Vec<(f64, f64)>> = Vec::new();
        let places: Vec<(f64, f64)> = points.iter().map(|(x, y)| self.at(*x, *y)).collect();
        for pair in places.windows(2) {
            let Some([from, to]) = self.area.clip(pair[0], pair[1]) else { continue };
            match pieces.last_mut() {
                Some(piece) if piece.last() == Some(&from) => piece.push(to),
                _ => pieces.push(vec![from, to]),
            }
        }
        pieces
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_narrow_axis_still_has_two_numbers() {
        let mut scene = Scene::new(crate::Width::Phone);
        let x = Axis::new(Scale::Linear, -35.0, 25.0, "");
        let panel = Panel::framed_rows(&mut scene, Rect::new(100.0, 0.0, 177.0, 100.0), x);
        assert!(panel.x_ticks(scene.text, scene.width).len() > 1);
    }
}
