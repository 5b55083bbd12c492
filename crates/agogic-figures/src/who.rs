//! Whom a policy fails: error against a trait of the typist, a small picture for each policy.

use crate::axis::{Axis, Scale, span};
use crate::figure::Figure;
use crate::ink::Ink;
use crate::mark::Mark;
use crate::panel::{self, Around, Panel};
use crate::reading::{self, IntervalNote, Reading};
use crate::scene::{Anchor, Rect, Scene, Stroke};
use crate::words::{capital, opening, sentences, short, wrap};
use crate::{FigureError, Width};

/// What the picture shows: an error rate by bins of a trait, such as speed or rollover share.
#[derive(Clone, Debug, PartialEq)]
pub struct Who {
    /// In a few words.
    pub title: String,
    /// What is counted, such as `false holds`.
    pub quantity: String,
    /// Its unit, such as `per 1000 taps`.
    pub unit: String,
    /// What the typists differ in, such as `typing speed`.
    pub trait_name: String,
    /// Its unit, such as `words per minute`.
    pub trait_unit: String,
    /// Population, text and number of typists, for the caption.
    pub context: String,
    /// One small picture each; all share their axes.
    pub panels: Vec<WhoPanel>,
    /// What the bars are.
    pub interval: IntervalNote,
}

/// One policy.
#[derive(Clone, Debug, PartialEq)]
pub struct WhoPanel {
    /// Its label.
    pub name: String,
    /// Which colour and mark: the same number means the same in every figure that stands beside this one.
    pub look: usize,
    /// Groups of typists, from low to high.
    pub bins: Vec<WhoBin>,
    /// Single typists as (trait, rate), drawn faint; may be empty.
    pub typists: Vec<(f64, f64)>,
}

/// Typists of about the same trait.
#[derive(Clone, Debug, PartialEq)]
pub struct WhoBin {
    /// Their mean trait.
    pub at: f64,
    /// How many they are.
    pub typists: usize,
    /// Their rate.
    pub rate: Reading,
}

const FIGURE: &str = "the picture of whom a policy fails";

impl Who {
    /// Draws the picture.
    ///
    /// # Errors
    ///
    /// [`FigureError`] if there is no panel, a panel has no bin, or a number is not finite or a rate negative.
    pub fn draw(&self, width: Width) -> Result<Figure, FigureError> {
        self.check()?;
        let mut scene = Scene::new(width);
        let text = scene.text;
        let line = text * 1.3;
        let most = if width.narrow() { 2 } else { 4 };
        let columns = balanced(self.panels.len(), most);
        let title = format!("{} {} (square-root scale)", capital(&self.quantity), self.unit);
        let mut top = 1.0;
        for words in wrap(&title, text, scene.width - 2.0) {
            scene.words(words, (1.0, top + text), Anchor::Start, Ink::Text);
            top += line;
        }
        let plot_height = scene.width * if width.narrow() { 0.34 } else { 0.2 };
        let y = self.y_axis();
        let gap = 7.0;
        let left = panel::left_room(&scene, &y, plot_height);
        let room = (scene.width - 6.0 - left - (columns - 1) as f64 * gap) / columns as f64;
        // Bold letters are a little wider.
        let headings: Vec<Vec<String>> = self.panels.iter().map(|p| wrap(&p.name, text * 1.1, room)).collect();
        let numbers = panel::bottom_room(&scene, &self.x_axis(), room, Around { x_title: false, ..Around::ALL });
        let mut bottom = top;
        for (row, (panels, headings)) in self.panels.chunks(columns).zip(headings.chunks(columns)).enumerate() {
            let lines = headings.iter().map(Vec::len).max().unwrap_or(1);
            let y0 = bottom + if row > 0 { 4.0 } else { 0.0 } + lines as f64 * line + 2.0;
            for (column, (panel, heading)) in panels.iter().zip(headings).enumerate() {
                let x0 = left + column as f64 * (room + gap);
                for (i, words) in heading.iter().rev().enumerate() {
                    scene.bold(words, (x0, y0 - 4.0 - i as f64 * line), Anchor::Start, Ink::Text);
                }
                self.draw_panel(&mut scene, Rect::new(x0, y0, x0 + room, y0 + plot_height), panel, column == 0);
            }
            bottom = y0 + plot_height + numbers;
        }
        for words in wrap(&format!("{} ({})", capital(&self.trait_name), self.trait_unit), text, scene.width - left) {
            scene.words(words, ((left + scene.width - 6.0) / 2.0, bottom + text + 1.0), Anchor::Middle, Ink::Text);
            bottom += line;
        }
        scene.height = bottom + 4.0;
        Ok(Figure { title: capital(&self.title), caption: self.caption(), alt: self.alt(), width, scene })
    }

    fn check(&self) -> Result<(), FigureError> {
        reading::some(FIGURE, "panels", &self.panels)?;
        self.interval.check(FIGURE)?;
        for panel in &self.panels {
            reading::some(FIGURE, "bins", &panel.bins)?;
            for bin in &panel.bins {
                reading::finite(FIGURE, "the trait", &panel.name, bin.at)?;
                bin.rate.check_rate(FIGURE, "the rate", &panel.name)?;
            }
            for (at, rate) in &panel.typists {
                reading::finite(FIGURE, "the trait of a typist", &panel.name, *at)?;
                reading::rate(FIGURE, "the rate of a typist", &panel.name, *rate)?;
            }
        }
        Ok(())
    }

    fn x_axis(&self) -> Axis {
        let bins = self.panels.iter().flat_map(|p| p.bins.iter().map(|b| b.at));
        Axis::around(bins.chain(self.panels.iter().flat_map(|p| p.typists.iter().map(|t| t.0))), "")
    }

    fn y_axis(&self) -> Axis {
        let bins = self.panels.iter().flat_map(|p| p.bins.iter().flat_map(|b| b.rate.numbers()));
        Axis::from_zero(
            Scale::SquareRoot,
            bins.chain(self.panels.iter().flat_map(|p| p.typists.iter().map(|t| t.1))),
            "",
        )
    }

    fn draw_panel(&self, scene: &mut Scene, area: Rect, panel: &WhoPanel, first: bool) {
        let around = Around { y_title: false, x_title: false, y_numbers: first, ..Around::ALL };
        let frame = Panel::framed(scene, area, self.x_axis(), self.y_axis(), around);
        let (ink, mark) = (Ink::series(panel.look), Mark::series(panel.look));
        for (at, rate) in &panel.typists {
            let (x, y) = frame.at(*at, *rate);
            let dot = vec![(x - 0.6, y), (x, y - 0.6), (x + 0.6, y), (x, y + 0.6)];
            let inside = dot.into_iter().map(|(x, y)| (x.clamp(area.left, area.right), y.clamp(area.top, area.bottom)));
            scene.area(frame.part, inside.collect(), Ink::Rule, 0.45);
        }
        let known: Vec<(f64, f64)> = panel.bins.iter().filter_map(|b| Some(frame.at(b.at, b.rate.value()?))).collect();
        scene.line(frame.part, known.clone(), Stroke::new(ink, 1.0));
        for bin in &panel.bins {
            if let Some((low, high)) = bin.rate.interval() {
                scene.line(frame.part, vec![frame.at(bin.at, low), frame.at(bin.at, high)], Stroke::new(ink, 1.0));
            }
        }
        for at in known {
            scene.mark(frame.part, mark, at, 2.5, ink, true);
        }
    }

    fn caption(&self) -> String {
        let marks = format!(
            "Marks are groups of typists by {}, with {}; all panels share their axes",
            self.trait_name,
            self.interval.words()
        );
        let dots = self.panels.iter().any(|p| !p.typists.is_empty());
        let dots = if dots { "Dots are single typists" } else { "" };
        sentences(&[&opening(&self.title, &self.context), &marks, dots])
    }

    fn alt(&self) -> String {
        let describe = |panel: &WhoPanel| {
            let known: Vec<&WhoBin> = panel.bins.iter().filter(|b| b.rate.value().is_some()).collect();
            let at = |bin: &WhoBin| format!("{} at {}", bin.rate.words(), short(bin.at));
            match known.as_slice() {
                [] => format!("{}: unknown", panel.name),
                [only] => format!("{}: {}", panel.name, at(only)),
                [low, .., high] => format!("{}: {} and {}", panel.name, at(low), at(high)),
            }
        };
        let traits = self.panels.iter().flat_map(|p| p.bins.iter().map(|b| b.at));
        let (low, high) = span(traits).unwrap_or((0.0, 0.0));
        let first = format!(
            "{} {} by {} from {} to {} {}, a panel for each of {} policies",
            capital(&self.quantity),
            self.unit,
            self.trait_name,
            short(low),
            short(high),
            self.trait_unit,
            self.panels.len()
        );
        sentences(&[first, self.panels.iter().map(describe).collect::<Vec<_>>().join("; ")])
    }
}

/// As few rows as `most` columns allow, and rows of about the same length.
pub(crate) fn balanced(count: usize, most: usize) -> usize {
    count.div_ceil(count.div_ceil(most).max(1)).max(1)
}

#[cfg(test)]
mod tests {
    use super::balanced;

    #[test]
    fn rows_are_of_about_the_same_length() {
        assert_eq!([1, 2, 4, 5, 6, 9].map(|n| balanced(n, 4)), [1, 2, 4, 3, 3, 3]);
        assert_eq!(balanced(3, 2), 2);
    }
}
