//! The first screen of a page: one sentence, a few numbers with whom they fail, one picture; the rest folded away.

use agogic_figures::{FigureError, Width};
use agogic_lab::End;
use agogic_stats::{Caution, Estimate};
use serde::Serialize;

use crate::figures::Drawing;
use crate::section::Section;
use crate::sheet::Cell;
use crate::words::{html, listed};

/// Cards that are shown; more would push the picture off the screen of a phone, so they are folded away.
const SHOWN: usize = 4;

/// What a page begins with.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct FirstScreen {
    sentence: String,
    cards: Vec<Card>,
    shown: usize,
    intervals: String,
    assumed: String,
    picture: Option<Picture>,
    /// What follows the cards: the sentences in full, folded.
    #[serde(skip)]
    pub full: Section,
}

/// The answer for some people: a setting, its numbers, whom it fails.
#[derive(Clone, Debug, Default, Serialize)]
pub(crate) struct Card {
    who: String,
    setting: String,
    numbers: Vec<Number>,
    /// A sign beside the words, so that nothing hangs on a colour.
    sign: &'static str,
    fails: String,
    lines: Vec<String>,
    #[serde(skip)]
    cautions: Vec<String>,
}

/// A number that is read first.
#[derive(Clone, Debug, Serialize)]
struct Number {
    value: String,
    /// Its interval, or why it is unknown.
    beside: String,
    what: String,
    unit: String,
}

#[derive(Clone, Debug, Serialize)]
struct Picture {
    svg: String,
    caption: String,
    section: String,
}

impl Card {
    /// A card without numbers. `who` and `setting` may be marked up.
    pub fn new(who: &str, setting: &str) -> Self {
        Self { who: html(who), setting: html(setting), sign: "?", fails: html("not known."), ..Self::default() }
    }

    /// A number with its interval; an unknown one says why.
    pub fn estimate(&mut self, what: &str, unit: &str, estimate: &Estimate, digits: usize) -> &mut Self {
        let text = Cell::estimate(Some(estimate), digits).text();
        let (value, beside) = match text.split_once(" (") {
            Some((value, interval)) => (value.to_owned(), interval.trim_end_matches(')').to_owned()),
            None => (text, estimate.reason.clone().unwrap_or_default()),
        };
        for caution in estimate.cautions.iter().filter(|caution| **caution != Caution::OneText) {
            let said = caution.sentence(&estimate.unit);
            if !self.cautions.contains(&said) {
                self.cautions.push(said);
            }
        }
        self.number(what, unit, &value, &beside)
    }

    /// A number as text, with what stands small beside it.
    pub fn number(&mut self, what: &str, unit: &str, value: &str, beside: &str) -> &mut Self {
        let [value, beside, what, unit] = [value, beside, what, unit].map(str::to_owned);
        self.numbers.push(Number { value, beside, what, unit });
        self
    }

    /// Whom it fails.
    pub fn fails(&mut self, text: &str) -> &mut Self {
        self.sign = "✗";
        self.fails = html(text);
        self
    }

    /// Why nobody knows whom it fails.
    pub fn fails_unknown(&mut self, text: &str) -> &mut Self {
        self.sign = "?";
        self.fails = html(text);
        self
    }

    /// That it fails nobody, and what that stands on.
    pub fn fails_nobody(&mut self, text: &str) -> &mut Self {
        self.sign = "✓";
        self.fails = html(text);
        self
    }

    /// The wrong keys of a setting at both ends of what is assumed of holding; nothing where they were not tried.
    pub fn ends(&mut self, ends: &[End], setting: &str) -> &mut Self {
        let at = |end: &End| Some(format!("{}: {:.0}", end.who(), end.of(setting)?.wrong_keys.value?));
        let said: Vec<String> = ends.iter().filter_map(at).collect();
        if said.is_empty() { self } else { self.line(&format!("Wrong keys of people {}.", said.join(", "))) }
    }

    /// A small line below.
    pub fn line(&mut self, text: &str) -> &mut Self {
        self.lines.push(html(text));
        self
    }
}

impl FirstScreen {
    /// One that says a sentence and what is assumed.
    pub fn new(sentence: &str, assumed: &str) -> Self {
        Self {
            sentence: html(sentence),
            cards: Vec::new(),
            shown: SHOWN,
            intervals: String::new(),
            assumed: html(assumed),
            picture: None,
            full: Section::new("answer", "Answer"),
        }
    }

    /// Adds a card; its cautions stay on it.
    pub fn card(&mut self, mut card: Card) -> &mut Self {
        let cautions = std::mem::take(&mut card.cautions);
        card.lines.extend(cautions.iter().map(|said| html(&format!("Caution: {said}"))));
        self.cards.push(card);
        self
    }

    /// What kind of intervals the numbers have, taken from one of them.
    pub fn intervals_as(&mut self, estimate: &Estimate) -> &mut Self {
        self.intervals = html(&format!(
            "Beside the numbers: {} % intervals, unit of resampling: {}; of the first: {}.",
            100.0 * estimate.level,
            estimate.unit,
            estimate.method
        ));
        self
    }

    /// A small sentence behind that.
    pub fn beside(&mut self, text: &str) -> &mut Self {
        self.intervals.push_str(&html(&format!(" {text}")));
        self
    }

    /// The same in words of one's own.
    pub fn intervals(&mut self, text: &str) -> &mut Self {
        self.intervals = html(text);
        self
    }

    /// The one picture, as it is drawn for a narrow page; the caption may be marked up, `section` has more of it.
    ///
    /// # Errors
    /// The data cannot be drawn.
    pub fn picture(&mut self, drawing: &Drawing, caption: &str, section: &str) -> Result<&mut Self, FigureError> {
        let svg = drawing.draw(Width::Phone)?.page_svg(&format!("{}-first", drawing.name));
        self.picture = Some(Picture { svg, caption: html(caption), section: section.to_owned() });
        Ok(self)
    }
}

/// For whom which setting is best, in one phrase: `` `a` for x and y, `b` for z ``; for everybody where one is best for all.
pub(crate) fn settings_in_words<'a>(each: impl IntoIterator<Item = (&'a str, &'a str)>) -> String {
    let mut groups: Vec<(&str, Vec<&str>)> = Vec::new();
    for (who, setting) in each {
        match groups.iter_mut().find(|(own, _)| *own == setting) {
            Some((_, people)) => people.push(who),
            None => groups.push((setting, vec![who])),
        }
    }
    let said: Vec<String> =
        groups.iter().map(|(setting, people)| format!("`{setting}` for {}", listed(people))).collect();
    said.join(", ")
}

#[cfg(test)]
mod tests {
    use agogic_stats::{Clusters, Level, ratio_skewed};

    use super::*;

    #[test]
    fn people_with_one_setting_are_named_together() {
        let each = [("volunteers", "a 2"), ("trained", "a 2"), ("slow", "b")];
        assert_eq!(settings_in_words(each), "`a 2` for volunteers and trained, `b` for slow");
        assert_eq!(settings_in_words([("x", "a"), ("y", "a"), ("z", "a")]), "`a` for x, y and z");
    }

    #[test]
    fn what_is_unknown_is_no_zero_and_says_why_and_cautions_stay_on_the_card() {
        let none = ratio_skewed(&Clusters::counts("typist", [(0, 0), (0, 0)]).unwrap(), Level::P95);
        let few = ratio_skewed(&Clusters::counts("typist", [(3, 10), (1, 12)]).unwrap(), Level::P95);
        let mut card = Card::new("`slow`", "`a`");
        card.estimate("missed holds", "per 100 holds", &none, 1).estimate("false holds", "per tap", &few, 2);
        assert_eq!(card.numbers[0].value, "unknown");
        assert_eq!(Some(&card.numbers[0].beside), none.reason.as_ref());
        assert!(!card.numbers[0].beside.is_empty());
        let mut first = FirstScreen::new("So it is.", "nothing");
        first.card(card);
        assert!(first.cards[0].lines.iter().any(|line| line.starts_with("Caution: 2 typists are few")));
    }
}
