//! Keys to marks and lines, in rows that fill the width. What is too long takes another line; nothing is cut.

use crate::font;
use crate::ink::Ink;
use crate::mark::Mark;
use crate::scene::{Anchor, Part, Scene, Stroke};
use crate::words::wrap;

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
    pub(crate) fn room(&self) -> f64 {
        match self {
            Self::Mark { radius, .. } => 2.0 * radius.max(3.0) + 1.0,
            Self::Line(_) | Self::Both { .. } => 18.0,
            Self::Area(_) => 11.0,
        }
    }
}

/// Draws a swatch from `x` on, around the height `middle`.
pub(crate) fn swatch(scene: &mut Scene, swatch: &Swatch, x: f64, middle: f64) {
    let room = swatch.room();
    match swatch {
        Swatch::Mark { mark, radius, ink, filled } => {
            scene.mark(Part::Frame, *mark, (x + room / 2.0, middle), *radius, *ink, *filled);
        }
        Swatch::Line(stroke) => scene.line(Part::Frame, vec![(x, middle), (x + room, middle)], *stroke),
        Swatch::Both { mark, stroke } => {
            scene.line(Part::Frame, vec![(x, middle), (x + room, middle)], *stroke);
            scene.mark(Part::Frame, *mark, (x + room / 2.0, middle), 2.6, stroke.ink, true);
        }
        Swatch::Area(ink) => {
            let (h, w) = (scene.text * 0.4, room);
            let corners = vec![(x, middle - h), (x + w, middle - h), (x + w, middle + h), (x, middle + h)];
            scene.area(Part::Frame, corners.clone(), *ink, 1.0);
            let mut outline = corners;
            outline.push((x, middle - h));
            scene.line(Part::Frame, outline, Stroke::new(Ink::Rule, 0.4));
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
        let lines = wrap(&entry.text, text, width - room - 4.0);
        let longest = lines.iter().map(|l| font::width(l, text, false)).fold(0.0, f64::max);
        let needed = room + 3.0 + longest;
        if x > left && x + needed > left + width {
            x = left;
            y += row;
        }
        let middle = y + row / 2.0;
        swatch(scene, &entry.swatch, x, middle);
        let more = (lines.len() - 1) as f64 * text * 1.25;
        for (i, words) in lines.into_iter().enumerate() {
            let base = middle + 0.36 * text + i as f64 * text * 1.25;
            scene.words(words, (x + room + 3.0, base), Anchor::Start, Ink::Text);
        }
        // Nothing stands beside an entry of several lines.
        x += if more > 0.0 { width } else { needed + 10.0 };
        y += more;
    }
    y + row - top
}

/// Writes plain lines below `top` and gives the height they took.
pub(crate) fn notes(scene: &mut Scene, lines: &[String], left: f64, top: f64, width: f64) -> f64 {
    let line = scene.text * 1.3;
    let mut y = top;
    for text in lines {
        for words in wrap(text, scene.text, width) {
            scene.words(words, (left, y + scene.text), Anchor::Start, Ink::Soft);
            y += line;
        }
    }
    y - top
}
