//! From a text to the keys a typist means to press.

use std::collections::BTreeMap;

use unicode_normalization::UnicodeNormalization;

use crate::texts::Part;
use crate::{Assignment, Board, Code, Letters, Level, Modifier, ModifierSet, Stroke};

/// What to do with a character that no key of the board writes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unsupported {
    /// Refuse the text and name the first such character.
    #[default]
    Refuse,
    /// Leave the character out, and count it.
    Skip,
}

/// One key the typist means to press, with the key to hold for it, if any.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// The key to press.
    pub code: Code,
    /// The key to hold meanwhile.
    pub holder: Option<Code>,
    /// The modifiers the press is meant to carry.
    pub with: ModifierSet,
    /// First key of a word.
    pub word_start: bool,
    /// Place in the word, from 0; 0 between words too.
    pub place: u8,
    /// Keys of the word; 0 between words.
    pub length: u8,
    /// How many targets from this step on one hold could serve, and the key to hold for all of them.
    /// `None` unless this step begins such a run of two or more, as in `USB`.
    pub run: Option<(u8, Code)>,
}

/// Why a text was refused. The texts continue "failed to read the text: …".
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TextError {
    /// Nothing to type.
    #[error("it holds no character that can be typed")]
    Empty,
    /// Characters without a key.
    #[error(
        "line {line}, character {column}: no key writes `{character}` (U+{code_point:04X}); {count} of {total} \
         characters have no key{others}. Use a text in the letters of the board, name other letters as \
         `[keyboard] letters`, or set `unsupported = \"skip\"` to leave such characters out",
        code_point = *.character as u32
    )]
    NoKey {
        /// The first such character.
        character: char,
        /// Its line, from 1.
        line: usize,
        /// Its place in the line, from 1.
        column: usize,
        /// How many characters have no key.
        count: usize,
        /// How many characters there are.
        total: usize,
        /// Which they are and how often each comes, the most frequent first; empty where all are the first one.
        others: String,
    },
    /// A character needs Shift and nothing on the board gives it.
    #[error("nothing on the board can hold Shift for {0}")]
    NoShift(Code),
    /// A character lies on the third level and nothing on the board leads there.
    #[error("nothing on the board leads to the third level for {0}")]
    NoThirdLevel(Code),
}

/// A text as steps, or several texts, computed once per study and shared by all typists.
#[derive(Clone, Debug)]
pub struct TextPlan {
    pub(crate) steps: Vec<Step>,
    /// The texts in the order of their steps; one, but for a plan of several.
    pub(crate) parts: Vec<Part>,
    /// Whether sessions start at any key, or where sentences begin.
    pub(crate) anywhere: bool,
    /// What the keys write.
    pub(crate) letters: Letters,
    pub(crate) words: usize,
    pub(crate) replaced: usize,
    pub(crate) skipped: usize,
}

/// Typographic signs with a plain equivalent on the board.
fn plain(c: char) -> Option<&'static str> {
    Some(match c {
        '\u{2018}' | '\u{2019}' | '\u{201A}' | '\u{2032}' => "'",
        '\u{201C}' | '\u{201D}' | '\u{201E}' | '\u{2033}' | '\u{AB}' | '\u{BB}' => "\"",
        '\u{2010}'..='\u{2012}' | '\u{2212}' => "-",
        '\u{2013}' | '\u{2014}' => " - ",
        '\u{2026}' => "...",
        '\u{A0}' | '\u{202F}' | '\u{2009}' => " ",
        _ => return None,
    })
}

impl TextPlan {
    /// Plans `text` on a board.
    ///
    /// # Definition
    /// Each character becomes the key that writes it on the letters of the board, or a dead key and another; a capital, a
    /// shifted sign or one of the third level is made by holding the key that [`Assignment::holder`] names. Runs of white
    /// space within a line count as one space; a line break becomes a space, a blank line becomes Enter. Letters and their
    /// marks are composed first (Unicode form C). Typographic quotes, dashes and dots that have no key become their plain
    /// forms, accented letters without a key their base letter; [`TextPlan::replaced`] counts them.
    ///
    /// # Errors
    /// An empty text; characters without a key when `unsupported` is [`Unsupported::Refuse`]; a level that nothing on the board
    /// leads to.
    pub fn new(
        text: &str,
        board: &Board,
        assignment: &Assignment,
        unsupported: Unsupported,
    ) -> Result<Self, TextError> {
        let mut plan = Self {
            steps: Vec::with_capacity(text.len()),
            parts: Vec::new(),
            anywhere: false,
            letters: board.letters().clone(),
            words: 0,
            replaced: 0,
            skipped: 0,
        };
        let mut total = 0;
        let mut first_bad = None;
        let mut without: BTreeMap<char, usize> = BTreeMap::new();
        let mut pending: Option<char> = None;
        let mut breaks = 0;
        let (mut line, mut column) = (1, 0);
        for c in text.trim_start_matches('\u{FEFF}').nfc() {
            if c == '\n' {
                line += 1;
                column = 0;
                breaks += 1;
                pending = Some(if breaks > 1 { '\n' } else { pending.unwrap_or(' ') });
                continue;
            }
            column += 1;
            if c == '\r' {
                continue;
            }
            if c == ' ' || c == '\t' {
                pending = pending.or(Some(' '));
                continue;
            }
            breaks = 0;
            total += 1;
            let written = plan.expand(c, board);
            if written.is_empty() {
                first_bad = first_bad.or(Some((c, line, column)));
                *without.entry(c).or_default() += 1;
                plan.skipped += 1;
                continue;
            }
            if let Some(space) = pending.take()
                && !plan.steps.is_empty()
            {
                plan.push(space, board, assignment)?;
            }
            for c in written {
                plan.push(c, board, assignment)?;
            }
        }
        if let (Some((character, line, column)), Unsupported::Refuse) = (first_bad, unsupported) {
            let others = listed(&without);
            return Err(TextError::NoKey { character, line, column, count: plan.skipped, total, others });
        }
        if plan.steps.is_empty() {
            return Err(TextError::Empty);
        }
        // The text is repeated when a typist types on, so it ends in a space.
        plan.push(' ', board, assignment)?;
        plan.number_places();
        plan.find_runs(board, assignment);
        plan.parts.push(Part::of(&plan.steps, &plan.letters));
        Ok(plan)
    }

    /// Gives each key its place in its word and the word's length.
    fn number_places(&mut self) {
        let mut start = 0;
        for end in 0..=self.steps.len() {
            let gap = self.steps.get(end).is_none_or(|step| is_gap(step.code));
            if gap {
                let length = (end - start).min(255) as u8;
                for (place, step) in self.steps[start..end].iter_mut().enumerate() {
                    step.place = place.min(255) as u8;
                    step.length = length;
                }
                start = end + 1;
            }
        }
    }

    /// Finds runs of targets that one hold could serve: one key that none of their fingers is needed for.
    fn find_runs(&mut self, board: &Board, assignment: &Assignment) {
        let mut at = 0;
        while at < self.steps.len() {
            // One hold gives one level: a run ends where another begins.
            let with = self.steps[at].with;
            let held = self.steps[at..].iter().take_while(|step| step.holder.is_some() && step.with == with).count();
            let mut from = at;
            while from + 1 < at + held {
                let holders: Vec<Code> = (from..at + held).filter_map(|i| self.steps[i].holder).collect();
                let (count, holder) = holders
                    .into_iter()
                    .map(|holder| {
                        let digit = board.place(holder).map(|place| place.digit());
                        let serves = |step: &&Step| {
                            step.code != holder && board.place(step.code).map(|place| place.digit()) != digit
                        };
                        (self.steps[from..at + held].iter().take_while(serves).count(), holder)
                    })
                    // The first of the longest, so that the choice does not depend on the iteration.
                    .rev()
                    .max_by_key(|(count, _)| *count)
                    .expect("a run has holders");
                if count > 1 && gives(assignment, holder, with) {
                    self.steps[from].run = Some((count.min(255) as u8, holder));
                }
                from += count.max(1);
            }
            at += held.max(1);
        }
    }

    /// The characters actually typed for `c`; empty when there is no key for it.
    fn expand(&mut self, c: char, board: &Board) -> Vec<char> {
        let has_key = |c: &char| {
            let strokes = self.letters.strokes(*c);
            strokes.is_some_and(|strokes| strokes.iter().all(|stroke| board.place(stroke.code).is_some()))
        };
        if has_key(&c) {
            return vec![c];
        }
        let instead: Vec<char> = match plain(c) {
            Some(text) if text.chars().all(|c| has_key(&c)) => text.chars().collect(),
            Some(_) => Vec::new(),
            // The base letter of an accented one: its canonical decomposition without the marks.
            None => c.nfd().filter(has_key).collect(),
        };
        if !instead.is_empty() {
            self.replaced += 1;
        }
        instead
    }

    /// Adds the one or two strokes that write `c`.
    fn push(&mut self, c: char, board: &Board, assignment: &Assignment) -> Result<(), TextError> {
        let letters = self.letters.clone();
        let strokes = letters.strokes(c).expect("expand() lets only written characters through");
        strokes.iter().try_for_each(|stroke| self.push_stroke(*stroke, board, assignment))
    }

    fn push_stroke(
        &mut self,
        Stroke { code, level }: Stroke,
        board: &Board,
        assignment: &Assignment,
    ) -> Result<(), TextError> {
        let (holder, with) = match modifier(level) {
            None => (None, ModifierSet::NONE),
            Some(modifier) => {
                let refused =
                    || if level == Level::Second { TextError::NoShift(code) } else { TextError::NoThirdLevel(code) };
                let holder = assignment.holder(board, code, modifier).ok_or_else(refused)?;
                (Some(holder), ModifierSet::NONE.with(modifier))
            }
        };
        let after_gap = self.steps.last().is_none_or(|step| is_gap(step.code));
        let word_start = after_gap && !is_gap(code);
        self.words += usize::from(word_start);
        self.steps.push(Step { code, holder, with, word_start, place: 0, length: 0, run: None });
        Ok(())
    }

    /// The steps of all texts in order; never empty.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// What the steps from `from` on write, so many of them at most.
    pub fn spell(&self, steps: std::ops::Range<usize>) -> String {
        self.letters.spell(self.steps[steps].iter().map(stroke))
    }

    /// Words: runs of keys between Space, Enter and Tab.
    pub fn words(&self) -> usize {
        self.words
    }

    /// Characters that were typed as a plainer form.
    pub fn replaced(&self) -> usize {
        self.replaced
    }

    /// Characters that were left out because no key writes them.
    pub fn skipped(&self) -> usize {
        self.skipped
    }
}

/// Whether holding `holder` gives these modifiers.
fn gives(assignment: &Assignment, holder: Code, with: ModifierSet) -> bool {
    let modifier = assignment.modifier(holder).or(assignment.dedicated(holder));
    modifier.is_some_and(|modifier| ModifierSet::NONE.with(modifier) == with)
}

/// Characters that have no key, where there is more than one, the most frequent first; of many the first ten.
fn listed(without: &BTreeMap<char, usize>) -> String {
    const MOST: usize = 10;
    if without.len() < 2 {
        return String::new();
    }
    let mut all: Vec<(char, usize)> = without.iter().map(|(c, count)| (*c, *count)).collect();
    all.sort_by_key(|(c, count)| (std::cmp::Reverse(*count), *c));
    let each: Vec<String> = all.iter().take(MOST).map(|(c, count)| format!("`{c}` {count}")).collect();
    let more = if all.len() > MOST { format!(" and {} others", all.len() - MOST) } else { String::new() };
    format!(" ({}{more})", each.join(", "))
}

/// The modifier that leads to a level. The third is [`Modifier::Layer`]: another set of characters under the same keys.
fn modifier(level: Level) -> Option<Modifier> {
    match level {
        Level::First => None,
        Level::Second => Some(Modifier::Shift),
        Level::Third => Some(Modifier::Layer),
    }
}

/// The level of a step: which of the characters of its key it gives.
pub(crate) fn stroke(step: &Step) -> Stroke {
    let level = if step.with.has(Modifier::Layer) {
        Level::Third
    } else if step.with.has(Modifier::Shift) {
        Level::Second
    } else {
        Level::First
    };
    Stroke { code: step.code, level }
}

/// Whether a key parts words; these are the same whatever the letters.
fn is_gap(code: Code) -> bool {
    matches!(code.character(false), Some(' ' | '\n' | '\t'))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(text: &str, unsupported: Unsupported) -> Result<TextPlan, TextError> {
        let board = Board::row_staggered();
        let assignment =
            Assignment::resting(&board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
        TextPlan::new(text, &board, &assignment, unsupported)
    }

    fn written(plan: &TextPlan) -> String {
        plan.steps().iter().map(|s| s.code.character(s.with.has(Modifier::Shift)).unwrap()).collect()
    }

    #[test]
    fn what_is_planned_is_what_stands_there() {
        let text = "Rain, 9 mm (\"so far\"). Is it? Yes!";
        let planned = plan(text, Unsupported::Refuse).unwrap();
        assert_eq!(written(&planned), format!("{text} "));
        assert_eq!(planned.words(), 8);
        assert!(planned.steps()[0].word_start && !planned.steps()[1].word_start);
    }

    #[test]
    fn line_breaks_become_spaces_and_blank_lines_enter() {
        let planned = plan("\u{FEFF}  one\r\ntwo \n\n\n  three\n\n", Unsupported::Refuse).unwrap();
        assert_eq!(written(&planned), "one two\nthree ");
    }

    #[test]
    fn typographic_signs_and_accents_are_replaced_and_counted() {
        let planned = plan("“Café”…", Unsupported::Refuse).unwrap();
        assert_eq!(written(&planned), "\"Cafe\"... ");
        assert_eq!(planned.replaced(), 4);
    }

    #[test]
    fn another_alphabet_is_refused_with_the_place() {
        let refused = plan("tide\nприлив", Unsupported::Refuse).unwrap_err();
        assert_eq!(
            refused,
            TextError::NoKey {
                character: 'п',
                line: 2,
                column: 1,
                count: 6,
                total: 10,
                others: " (`и` 2, `в` 1, `л` 1, `п` 1, `р` 1)".into()
            }
        );
        let skipped = plan("tide\nприлив", Unsupported::Skip).unwrap();
        assert_eq!((written(&skipped).as_str(), skipped.skipped()), ("tide ", 6));
    }

    #[test]
    fn places_and_runs_are_numbered() {
        let planned = plan("at USB x", Unsupported::Refuse).unwrap();
        let places: Vec<_> = planned.steps().iter().map(|s| (s.place, s.length)).collect();
        assert_eq!(places, [(0, 2), (1, 2), (0, 0), (0, 3), (1, 3), (2, 3), (0, 0), (0, 1), (0, 0)]);
        let run = planned.steps()[3].run.unwrap();
        // J serves S and B but not U, which its finger presses; F serves U and S but not B.
        assert_eq!((run.0, run.1.name()), (2, "KeyF"));
        assert!(planned.steps()[0].run.is_none() && planned.steps()[4].run.is_none());
    }

    #[test]
    fn nothing_to_type_is_an_error() {
        for (text, unsupported) in
            [("", Unsupported::Refuse), (" \n\t ", Unsupported::Refuse), ("прилив", Unsupported::Skip)]
        {
            assert_eq!(plan(text, unsupported).unwrap_err(), TextError::Empty);
        }
    }

    #[test]
    fn every_capital_is_held_with_the_opposite_hand() {
        let board = Board::row_staggered();
        let planned = plan("ABCDEFGHIJKLMNOPQRSTUVWXYZ", Unsupported::Refuse).unwrap();
        for step in &planned.steps()[..26] {
            let holder = board.place(step.holder.unwrap()).unwrap();
            assert!(holder.hand.opposite_to(board.place(step.code).unwrap().hand), "{}", step.code);
        }
    }
}
