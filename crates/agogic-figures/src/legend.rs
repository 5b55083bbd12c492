//! Keys to marks and lines, in rows that fill the width.

use crate::font;
use crate::ink::Ink;
use crate::mark::Mark;
use crate::scene::{Anchor, Part, Scene, Stroke};
use crate::words::fitted;

/// One entry.
#[derive(Clone, Debug)]
pub(crate) struct Entry {
    pub swatch: Swatch,
    pub text: String,
}

/// What stands before the words.
#[derive(Clone, Debug)]
pub(crate) enum Swatch {
    Mark { mark: Mark, radius: f64, ink: Ink, filled: bool },
    Line(Stroke),
    Both { mark: Mark, stroke: Stroke },
    Area(Ink),
}

impl Swatch {
    fn room(&self) -> f64 {
        match self {
            Self::Mark { radius, .. } => 2.0 * radius.max(3.0) + 1.0,
            Self::Line(_) | Self::Both { .. } => 18.0,
            Self::Area(_) => 11.0,
        }
    }
}

/// Draws entries below `top` and gives the height they took.
pub(crate) fn draw(scene: &mut Scene, entries: &[Entry], left: f64, top: f64, width: f64) -> f64 {
    if entries.is_empty() {
        return 0.0;
    }
    let text = scene.text;
    let tallest = entries.iter().map(|e| if let Swatch::Mark { radius, .. } = e.swatch { radius * 2.0 } else { 0.0 });
    let row = (text * 1.4).max(tallest.fold(0.0, f64::max) + 2.0);
    let (mut x, mut y) = (left, top);
    for entry in entries {
        let room = entry.swatch.room();
        let words = fitted(&entry.text, text, width - room - 4.0);
        let needed = room + 3.0 + font::width(&words, text, false);
        if x > left && x + needed > left + width {
            x = left;
            y += row;
        }
        let middle = y + row / 2.0;
        match &entry.swatch {
            Swatch::Mark { mark, radius, ink, filled } => {
                scene.mark(Part::Frame, *mark, (x + room / 2.0, middle), *radius, *ink, *filled);
            }
            Swatch::Line(stroke) => scene.line(Part::Frame, vec![(x, middle), (x + room, middle)], *stroke),
            Swatch::Both { mark, stroke } => {
                scene.line(Part::Frame, vec![(x, middle), (x + room, middle)], *stroke);
                scene.mark(Part::Frame, *mark, (x + room / 2.0, middle), 2.6, stroke.ink, true);
            }
            Swatch::Area(ink) => {
                let (h, w) = (text * 0.4, room);
                let corners = vec![(x, middle - h), (x + w, middle - h), (x + w, middle + h), (x, middle + h)];
                scene.area(Part::Frame, corners.clone(), *ink, 1.0);
                let mut outline = corners;
                outline.push((x, middle - h));
                scene.line(Part::Frame, outline, Stroke::new(Ink::Rule, 0.4));
            }
        }
        scene.words(words, (x + room + 3.0, middle + 0.36 * text), Anchor::Start, Ink::Text);
        x += needed + 10.0;
    }
    y + row - top
}

/// Writes plain lines below `top` and gives the height they took.
pub(crate) fn notes(scene: &mut Scene, lines: &[String], left: f64, top: f64, width: f64) -> f64 {
    let line = scene.text * 1.3;
    let mut y = top;
    for text in lines {
        for words in crate::words::wrap(text, scene.text, width) {
            let words = fitted(&words, scene.text, width);
            scene.words(words, (left, y + scene.text), Anchor::Start, Ink::Soft);
            y += line;
        }
    }
    y - top
}
