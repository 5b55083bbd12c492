//! Several texts in one plan, and where sessions start in them.

use std::ops::Range;

use rand::RngExt;

use crate::text::stroke;
use crate::{Code, Letters, Purpose, Step, TextPlan, stream};

/// One text of a plan.
#[derive(Clone, Debug)]
pub(crate) struct Part {
    /// Its steps among those of the plan.
    steps: Range<usize>,
    /// Where its sentences begin, counted from its own first step.
    sentences: Vec<usize>,
}

impl Part {
    /// The text that these steps are.
    pub fn of(steps: &[Step], letters: &Letters) -> Self {
        Self { steps: 0..steps.len(), sentences: sentences(steps, letters) }
    }

    fn moved(self, by: usize) -> Self {
        Self { steps: self.steps.start + by..self.steps.end + by, ..self }
    }
}

/// Where sentences begin: at the start, after a line of its own, and at the first word after a full stop, question mark or
/// exclamation mark, with quotes and brackets between.
fn sentences(steps: &[Step], letters: &Letters) -> Vec<usize> {
    let character = |step: &Step| letters.given(step.code, stroke(step).level);
    let mut found = Vec::new();
    let mut ended = true;
    for (at, step) in steps.iter().enumerate() {
        if step.word_start && ended {
            found.push(at);
        }
        ended = match character(step) {
            Some('.' | '!' | '?') => true,
            Some(' ' | '"' | '\'' | ')' | ']') => ended,
            Some(_) => false,
            None => step.code == Code::ENTER || ended,
        };
    }
    found
}

impl TextPlan {
    /// These texts, in this order; `None` for no text.
    pub fn several(plans: impl IntoIterator<Item = Self>) -> Option<Self> {
        plans.into_iter().reduce(|mut all, next| {
            let by = all.steps.len();
            all.steps.extend(next.steps);
            all.parts.extend(next.parts.into_iter().map(|part| part.moved(by)));
            all.words += next.words;
            all.replaced += next.replaced;
            all.skipped += next.skipped;
            all
        })
    }

    /// The same texts, with sessions cut out of them anywhere: each key is as likely as any other to be the first, within
    /// words too.
    ///
    /// # Definition
    /// A session is then a piece of longer typing. No part of a text stands in more sessions than another, and what is
    /// expected of a session hardly depends on its length. From the starts of sentences on, as people type who are prompted
    /// with sentences, short sessions hold more capitals than the text, and from those of words more words.
    pub fn cut_anywhere(self) -> Self {
        Self { anywhere: true, ..self }
    }

    /// The same texts, with sessions that start where sentences begin, as those of people who are prompted with sentences.
    pub fn with_sentence_starts(self) -> Self {
        Self { anywhere: false, ..self }
    }

    /// Where sessions of one text may start, in [`TextPlan::text`]: where its sentences begin, never empty; `None` where they
    /// may start at any key.
    ///
    /// # Panics
    /// There is no such text.
    pub fn starts(&self, at: usize) -> Option<&[usize]> {
        (!self.anywhere).then_some(&self.parts[at].sentences)
    }

    /// How many texts there are; at least one.
    pub fn texts(&self) -> usize {
        self.parts.len()
    }

    /// The steps of one text, from 0; never empty.
    ///
    /// # Panics
    /// There is no such text.
    pub fn text(&self, at: usize) -> &[Step] {
        &self.steps[self.parts[at].steps.clone()]
    }

    /// The plan of one of the texts alone, with sessions that start where they do here. What was replaced and left out is
    /// not told text by text: these counts stay those of all.
    ///
    /// # Panics
    /// There is no such text.
    pub fn only(&self, at: usize) -> Self {
        let steps = self.text(at).to_vec();
        let words = steps.iter().filter(|step| step.word_start).count();
        let parts = vec![Part::of(&steps, &self.letters)];
        Self { parts, steps, words, letters: self.letters.clone(), ..*self }
    }

    /// Which text a session is of.
    ///
    /// # Definition
    /// An addressed draw, each text as likely as any other whatever its length. Typists with their texts are then
    /// independent and alike in law, which intervals over typists and sequences of them take for granted; a turn about
    /// would not be. The sessions of one typist are drawn each for itself.
    pub fn text_of(&self, seed: u64, typist: u64, replicate: u64) -> usize {
        match self.texts() {
            1 => 0,
            texts => stream(seed, Purpose::Text, typist, replicate).random_range(0..texts),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Assignment, Board, Modifier, Unsupported};

    fn plan(text: &str) -> TextPlan {
        let board = Board::row_staggered();
        let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
        TextPlan::new(text, &board, &Assignment::resting(&board, order), Unsupported::Refuse).unwrap()
    }

    #[test]
    fn each_text_keeps_its_steps() {
        let (one, two) = (plan("High tide. Ask Ada"), plan("No boat\u{2014}not today"));
        let both = TextPlan::several([one.clone(), two.clone()]).unwrap();
        assert_eq!((both.texts(), both.words(), both.replaced()), (2, 9, 1));
        for (at, alone) in [one, two].iter().enumerate() {
            assert_eq!(both.text(at), alone.steps());
            let only = both.only(at);
            assert_eq!((only.steps(), only.texts(), only.words()), (alone.steps(), 1, alone.words()));
            assert_eq!(only.starts(0), alone.starts(0));
        }
        assert!(TextPlan::several([]).is_none());
        // "High" and "Ask" begin the sentences of the first, "No" that of the second.
        assert_eq!((both.starts(0), both.starts(1)), (Some(&[0, 11][..]), Some(&[0][..])));
        assert!(both.cut_anywhere().starts(1).is_none());
    }

    /// n = 6000 sessions, alpha = 1e-6 for each of three texts (binomial, 4.9 standard errors); a draw by length of text
    /// (shares 4, 8 and 88 %) is rejected.
    #[test]
    fn texts_are_as_likely_whatever_their_length() {
        let long = "It rained all day and nobody came. ".repeat(10);
        let all =
            TextPlan::several([plan("Low tide at ten"), plan("High tide at four in the wind"), plan(&long)]).unwrap();
        let n = 6000_u64;
        let mut counts = [0.0; 3];
        (0..n).for_each(|typist| counts[all.text_of(7, typist, 0)] += 1.0);
        let (n, p) = (n as f64, 1.0 / 3.0);
        let bound = 4.9 * (n * p * (1.0 - p)).sqrt();
        assert!(counts.iter().all(|count| (count - n * p).abs() < bound), "{counts:?}");
        let by_length = all.parts.iter().map(|part| n * part.steps.len() as f64 / all.steps.len() as f64);
        assert!(by_length.into_iter().all(|count| (count - n * p).abs() > bound));
        let again: Vec<usize> = (0..50).map(|replicate| all.text_of(7, 3, replicate)).collect();
        assert!((0..3).all(|text| again.contains(&text)), "replicates draw anew");
        assert_eq!(plan("Low tide").text_of(7, 3, 1), 0);
    }
}
