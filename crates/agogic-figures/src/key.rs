//! A key below a plot: a number, the mark or line it stands for, and its name, in columns. No name is cut.

use crate::font;
use crate::legend::{self, Swatch};
use crate::scene::{Anchor, Scene};
use crate::words::wrap;

/// One line of a key.
pub(crate) struct KeyEntry {
    /// Empty where the swatch says enough.
    pub number: String,
    pub swatch: Swatch,
    pub text: String,
}

const GAP: f64 = 12.0;

/// Draws entries below `top`, column by column, and gives the height they took.
pub(crate) fn draw(scene: &mut Scene, entries: &[KeyEntry], left: f64, top: f64, width: f64) -> f64 {
    if entries.is_empty() {
        return 0.0;
    }
    let text = scene.text;
    let widest = |of: &dyn Fn(&KeyEntry) -> f64| entries.iter().map(of).fold(0.0, f64::max);
    let numbers = widest(&|e| font::width(&e.number, text, true));
    let swatches = widest(&|e| e.swatch.room());
    let before = if numbers > 0.0 { numbers + 4.0 } else { 0.0 } + swatches + 3.0;
    let needed = before + widest(&|e| font::width(&e.text, text, false));
    let columns = (((width + GAP) / (needed + GAP)).floor() as usize).clamp(1, entries.len());
    let room = (width + GAP) / columns as f64 - GAP - before;
    let wrapped: Vec<Vec<String>> = entries.iter().map(|e| wrap(&e.text, text, room.max(text))).collect();
    let (line, rows) = (text * 1.3, entries.len().div_ceil(columns));
    let mut tallest: f64 = 0.0;
    for (n, part) in entries.chunks(rows).enumerate() {
        let x = left + n as f64 * (room + before + GAP);
        let mut y = top + text * 0.3;
        for (entry, words) in part.iter().zip(&wrapped[n * rows..]) {
            let base = y + line / 2.0 + 0.36 * text;
            scene.bold(entry.number.clone(), (x + numbers, base), Anchor::End, crate::Ink::Text);
            let middle = x + before - 3.0 - swatches / 2.0;
            legend::swatch(scene, &entry.swatch, middle - entry.swatch.room() / 2.0, y + line / 2.0);
            for (i, words) in words.iter().enumerate() {
                scene.words(words.clone(), (x + before, base + i as f64 * line), Anchor::Start, crate::Ink::Text);
            }
            y += line * words.len() as f64;
        }
        tallest = tallest.max(y - top);
    }
    tallest + text * 0.2
}
