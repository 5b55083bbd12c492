//! A look at the finished scene for what a reader would stumble over.

use std::fmt;

use crate::scene::{Part, Rect, Scene, Shape, Words};

/// Something wrong with a picture.
#[derive(Clone, Debug, PartialEq)]
pub enum Flaw {
    /// A coordinate is no finite number.
    NotFinite,
    /// Data lie outside of their plot area, by this many points.
    Outside(f64),
    /// Two pieces of text overlap.
    Overlap(String, String),
    /// Text lies on a data mark.
    OnMark(String),
    /// Text runs over the edge of the figure.
    Cut(String),
    /// Text is smaller than 7 points.
    Small(String, f64),
}

impl fmt::Display for Flaw {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite => write!(f, "a coordinate is no finite number"),
            Self::Outside(by) => write!(f, "data lie {by:.2} pt outside of the plot"),
            Self::Overlap(one, other) => write!(f, "{one:?} overlaps {other:?}"),
            Self::OnMark(text) => write!(f, "{text:?} lies on a mark"),
            Self::Cut(text) => write!(f, "{text:?} runs over the edge"),
            Self::Small(text, size) => write!(f, "{text:?} is set in {size} pt"),
        }
    }
}

/// Lengths below this are rounding.
const HAIR: f64 = 0.05;

pub(crate) fn find(scene: &Scene) -> Vec<Flaw> {
    let mut flaws = Vec::new();
    let page = Rect::new(0.0, 0.0, scene.width, scene.height);
    let mut texts: Vec<(&Words, Rect)> = Vec::new();
    let mut marks = Vec::new();
    for item in &scene.items {
        let points: Vec<(f64, f64)> = match &item.shape {
            Shape::Line { points, .. } | Shape::Area { points, .. } => points.clone(),
            Shape::Mark { at, radius, .. } => {
                if let Part::Data(_) = item.part {
                    marks.push(Rect::around(*at, radius - HAIR));
                }
                vec![*at]
            }
            Shape::Words(words) => {
                texts.push((words, words.bounds()));
                vec![words.at]
            }
        };
        if points.iter().any(|(x, y)| !(x.is_finite() && y.is_finite())) {
            flaws.push(Flaw::NotFinite);
            continue;
        }
        if let Part::Data(panel) = item.part {
            let area = &scene.panels[panel];
            let beyond =
                |(x, y): &(f64, f64)| (area.left - x).max(x - area.right).max(area.top - y).max(y - area.bottom);
            let worst = points.iter().map(beyond).fold(f64::NEG_INFINITY, f64::max);
            if worst > HAIR {
                flaws.push(Flaw::Outside(worst));
            }
        }
    }
    for (i, (words, bounds)) in texts.iter().enumerate() {
        if !page.grown(HAIR).covers(bounds) {
            flaws.push(Flaw::Cut(words.text.clone()));
        }
        if words.size < 7.0 - 1e-9 {
            flaws.push(Flaw::Small(words.text.clone(), words.size));
        }
        let bare = bounds.grown(-HAIR);
        for (other, theirs) in &texts[i + 1..] {
            if bare.meets(&theirs.grown(-HAIR)) {
                flaws.push(Flaw::Overlap(words.text.clone(), other.text.clone()));
            }
        }
        if marks.iter().any(|mark| mark.meets(&bare)) {
            flaws.push(Flaw::OnMark(words.text.clone()));
        }
    }
    flaws
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Width;
    use crate::ink::Ink;
    use crate::mark::Mark;
    use crate::scene::Anchor;

    #[test]
    fn each_flaw_is_found() {
        let mut scene = Scene::new(Width::OneColumn);
        scene.height = 100.0;
        let part = scene.panel(Rect::new(10.0, 10.0, 90.0, 90.0));
        scene.words("left", (20.0, 50.0), Anchor::Start, Ink::Text);
        assert_eq!(find(&scene), []);
        scene.words("over", (22.0, 52.0), Anchor::Start, Ink::Text);
        scene.words("edge", (248.0, 90.0), Anchor::Start, Ink::Text);
        scene.mark(part, Mark::Circle, (95.0, 50.0), 2.0, Ink::Blue, true);
        scene.mark(part, Mark::Circle, (24.0, 48.0), 2.0, Ink::Blue, true);
        scene.mark(part, Mark::Circle, (f64::NAN, 48.0), 2.0, Ink::Blue, true);
        scene.text = 6.0;
        scene.words("small", (150.0, 50.0), Anchor::Start, Ink::Text);
        let flaws = find(&scene);
        for flaw in [
            Flaw::Overlap("left".into(), "over".into()),
            Flaw::Cut("edge".into()),
            Flaw::Outside(5.0),
            Flaw::OnMark("left".into()),
            Flaw::NotFinite,
            Flaw::Small("small".into(), 6.0),
        ] {
            assert!(flaws.contains(&flaw), "{flaw} is not among {flaws:?}");
        }
    }
}
