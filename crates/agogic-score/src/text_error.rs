//! Error of the produced text: minimum string distance, and what was corrected on the way.

use agogic_keys::{Code, Modifier, ModifierSet, Press, Truth};
use rapidfuzz::distance::levenshtein;
use serde::{Deserialize, Serialize};

use crate::emulator::{Decided, Emulator, HostKey};

/// What stands in an edit field after the keys that reached the host.
///
/// # Definition
/// The caret stands at the end and stays there.
/// - A key alone or with Shift writes its character; Enter writes a line break, Tab a tab.
/// - Backspace, alone or with Shift, deletes the last character. On an empty field it deletes nothing, but
///   it is still a fix.
/// - A chord with Control, Alt, Meta or Layer writes nothing and deletes nothing, whatever its key. So a character of the
///   third level ([`agogic_keys::Level`]) is in neither text; without its hold the character under it is one too many.
/// - Delete, arrows and the other keys that write nothing change nothing: there is no text after the caret,
///   and a caret that moved is beyond this model.
///
/// Keys stand for the characters of the US layout, whatever letters lie on them: only which are the same counts. The key
/// between the left Shift and Z has two characters of its own. A dead key counts as a character beside the one after it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Produced {
    /// The text that stands at the end, *T* in the literature.
    pub text: Vec<char>,
    /// Characters that were written and deleted again: the class *IF*, incorrect but fixed.
    pub deleted: u64,
    /// Presses of Backspace: the class *F*, fixes.
    pub fixes: u64,
}

impl Produced {
    /// The text produced by a session under a policy's decisions.
    pub fn of(emulator: &Emulator, presses: &[Press], decided: &[Decided]) -> Self {
        let mut produced = Self::default();
        emulator.each(presses, decided, |key| produced.take(key));
        produced
    }

    /// The text the session was meant to produce: every press as it was meant, corrections included.
    ///
    /// Slips of the typist are in it, so what differs from it was done by decisions alone. To count slips
    /// too, compare with the presented text instead.
    pub fn meant(presses: &[Press], truths: &[Truth]) -> Self {
        let mut produced = Self::default();
        for (press, truth) in presses.iter().zip(truths) {
            if !truth.hold && press.code.dedicated_modifier().is_none() {
                produced.press(press.code, truth.with);
            }
        }
        produced
    }

    /// One more key reaches the host.
    pub fn take(&mut self, key: &HostKey) {
        self.press(key.code, key.with);
    }

    fn press(&mut self, code: Code, with: ModifierSet) {
        match effect(code, with) {
            Effect::Deletes => {
                self.fixes += 1;
                self.deleted += u64::from(self.text.pop().is_some());
            }
            Effect::Writes(byte) => self.text.push(char::from(byte)),
            Effect::None => {}
        }
    }
}

/// What a key does to an edit field: see [`Produced`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Effect {
    /// It writes a character: of ASCII, or one of two above for the key that the US layout lacks.
    Writes(u8),
    /// It deletes the last character.
    Deletes,
    /// Nothing.
    None,
}

/// The effect of a key with these modifiers.
#[inline]
pub(crate) fn effect(code: Code, with: ModifierSet) -> Effect {
    let shift = ModifierSet::NONE.with(Modifier::Shift);
    if !with.minus(shift).is_empty() {
        return Effect::None;
    }
    if code == Code::BACKSPACE {
        return Effect::Deletes;
    }
    match code.character(with.has(Modifier::Shift)) {
        Some(c) if c.is_ascii() => Effect::Writes(c as u8),
        _ if code == Code::BESIDE_SHIFT => Effect::Writes(0xA6 + u8::from(with.has(Modifier::Shift))),
        _ => Effect::None,
    }
}

/// The classes of keystrokes from which error rates follow. Sums; texts add up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TextError {
    /// *C*: max(|P|, |T|) − MSD(P, T).
    pub correct: u64,
    /// *INF*, incorrect and not fixed: the minimum string distance MSD(P, T).
    pub not_fixed: u64,
    /// *IF*, incorrect but fixed: characters that were written and deleted again.
    pub fixed: u64,
    /// *F*: keystrokes that fixed something.
    pub fixes: u64,
}

impl TextError {
    /// Compares what was produced with what was presented.
    pub fn of(presented: &[char], produced: &Produced) -> Self {
        let not_fixed = distance(presented, &produced.text) as u64;
        let longer = presented.len().max(produced.text.len()) as u64;
        Self { correct: longer - not_fixed, not_fixed, fixed: produced.deleted, fixes: produced.fixes }
    }

    /// Minimum string distance error rate: MSD(P, T) ÷ max(|P|, |T|). `None` when both texts are empty.
    ///
    /// # Source
    /// Soukoreff & MacKenzie 2001, *Measuring errors in text entry tasks*, the error rate beside its
    /// example (from memory; the abstract was seen).
    pub fn msd_rate(&self) -> Option<f64> {
        ratio(self.not_fixed, self.correct + self.not_fixed)
    }

    /// Not corrected error rate: INF ÷ (C + INF + IF).
    ///
    /// # Source
    /// Soukoreff & MacKenzie 2003, *Metrics for text entry research*, the unified error rates (from memory;
    /// the abstract and others' statements of the formulas were seen).
    pub fn uncorrected_rate(&self) -> Option<f64> {
        ratio(self.not_fixed, self.characters())
    }

    /// Corrected error rate: IF ÷ (C + INF + IF).
    ///
    /// # Source
    /// As for [`TextError::uncorrected_rate`].
    pub fn corrected_rate(&self) -> Option<f64> {
        ratio(self.fixed, self.characters())
    }

    /// Total error rate: (INF + IF) ÷ (C + INF + IF).
    ///
    /// # Source
    /// As for [`TextError::uncorrected_rate`].
    pub fn total_rate(&self) -> Option<f64> {
        ratio(self.not_fixed + self.fixed, self.characters())
    }

    /// Keystrokes per character: (C + INF + IF + F) ÷ (C + INF).
    ///
    /// # Source
    /// As for [`TextError::uncorrected_rate`].
    pub fn keystrokes_per_character(&self) -> Option<f64> {
        ratio(self.characters() + self.fixes, self.correct + self.not_fixed)
    }

    fn characters(&self) -> u64 {
        self.correct + self.not_fixed + self.fixed
    }
}

impl std::ops::AddAssign for TextError {
    fn add_assign(&mut self, other: Self) {
        let Self { correct, not_fixed, fixed, fixes } = other;
        self.correct += correct;
        self.not_fixed += not_fixed;
        self.fixed += fixed;
        self.fixes += fixes;
    }
}

fn ratio(part: u64, whole: u64) -> Option<f64> {
    (whole > 0).then(|| part as f64 / whole as f64)
}

/// Minimum string distance: the fewest insertions, deletions and substitutions that turn one into the other.
///
/// Exact. The hint only says where to start: the band doubles until it holds the distance, so near-equal
/// texts of many thousand characters are compared fast.
fn distance(a: &[char], b: &[char]) -> usize {
    let args = levenshtein::Args::default().score_hint(64);
    levenshtein::distance_with_args(a.iter().copied(), b.iter().copied(), &args)
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::Instant;

    /// Types `stream` into a field; `<` stands for Backspace.
    fn typed(stream: &str) -> Produced {
        let mut produced = Produced::default();
        for c in stream.chars() {
            let (code, shift) = if c == '<' { (Code::BACKSPACE, false) } else { Code::writing(c).unwrap() };
            let with = if shift { ModifierSet::NONE.with(Modifier::Shift) } else { ModifierSet::NONE };
            produced.press(code, with);
        }
        produced
    }

    fn compare(presented: &str, stream: &str) -> TextError {
        TextError::of(&presented.chars().collect::<Vec<_>>(), &typed(stream))
    }

    fn near(rate: Option<f64>, expected: f64) -> bool {
        (rate.unwrap() - expected).abs() < 1e-12
    }

    // Soukoreff & MacKenzie 2001: the example of the distance matrix. From memory; strings and distance
    // were seen in another implementation's tests.
    #[test]
    fn two_letters_swapped_are_two_errors_in_four() {
        let error = compare("abcd", "acbd");
        assert_eq!(error.not_fixed, 2);
        assert!(near(error.msd_rate(), 0.5));
    }

    // MacKenzie & Soukoreff 2002 and Wobbrock & Myers 2006, figures 3 and 4. From memory; strings and
    // distance were seen in two implementations' tests.
    #[test]
    fn the_example_of_the_optimal_alignments() {
        let error = compare("quickly", "qucehkly");
        assert_eq!((error.not_fixed, error.correct), (3, 5));
        assert!(near(error.msd_rate(), 3.0 / 8.0));
    }

    // Seen in a public account of Soukoreff's thesis: one letter left out, "a mere 2 %".
    #[test]
    fn an_omission_does_not_spoil_the_rest_of_the_line() {
        let error =
            compare("The quick brown frog jumped over the lazy fox.", "The quck brown frog jumped over the lazy fox.");
        assert_eq!(error.not_fixed, 1);
        assert!(near(error.msd_rate(), 1.0 / 46.0));
    }

    // Soukoreff & MacKenzie 2003: a corrected error leaves no trace in the text. From memory; the streams
    // and the formula were seen in an encyclopaedia's account.
    #[test]
    fn a_corrected_error_shows_in_the_stream_only() {
        let error = compare("the quick brown", "the quix<ck brown");
        assert_eq!(error, TextError { correct: 15, not_fixed: 0, fixed: 1, fixes: 1 });
        assert!(near(error.msd_rate(), 0.0) && near(error.uncorrected_rate(), 0.0));
        assert!(near(error.corrected_rate(), 1.0 / 16.0) && near(error.total_rate(), 1.0 / 16.0));
        assert!(near(error.keystrokes_per_character(), 17.0 / 15.0));
    }

    #[test]
    fn corrected_and_uncorrected_rates_make_the_total() {
        let error = compare("the quick brown fox", "th quix<ck brpown fox");
        assert_eq!(error, TextError { correct: 17, not_fixed: 2, fixed: 1, fixes: 1 });
        let sum = error.corrected_rate().unwrap() + error.uncorrected_rate().unwrap();
        assert!(near(error.total_rate(), sum) && near(error.total_rate(), 3.0 / 20.0));
    }

    #[test]
    fn chords_write_nothing_and_backspace_stops_at_the_start() {
        let mut produced = typed("<a<<Hi\n");
        assert_eq!(
            (produced.text.iter().collect::<String>().as_str(), produced.deleted, produced.fixes),
            ("Hi\n", 1, 3)
        );
        let before = produced.clone();
        let control = ModifierSet::NONE.with(Modifier::Control);
        for name in ["KeyE", "Enter", "Backspace", "Delete"] {
            produced.press(name.parse().unwrap(), control);
            produced.press(name.parse().unwrap(), control.with(Modifier::Shift));
        }
        for name in ["Escape", "Delete", "ArrowLeft", "F4"] {
            produced.press(name.parse().unwrap(), ModifierSet::NONE);
        }
        assert_eq!(produced, before);
        produced.press(Code::BACKSPACE, ModifierSet::NONE.with(Modifier::Shift));
        assert_eq!(produced.text, ['H', 'i']);
    }

    #[test]
    fn every_character_on_a_key_is_ascii() {
        // Texts are compared as bytes elsewhere.
        let all: String =
            Code::all().flat_map(|code| [code.character(false), code.character(true)]).flatten().collect();
        assert!(all.is_ascii() && all.len() > 90);
    }

    #[test]
    fn empty_texts_have_no_rate() {
        assert_eq!(compare("", "").msd_rate(), None);
        assert_eq!(compare("", "").total_rate(), None);
        assert!(near(compare("abc", "").msd_rate(), 1.0));
        assert!(near(compare("", "abc").msd_rate(), 1.0));
    }

    #[test]
    fn the_key_that_the_us_layout_lacks_writes_two_characters_of_its_own() {
        let shift = ModifierSet::NONE.with(Modifier::Shift);
        let of = |with| effect(Code::BESIDE_SHIFT, with);
        let (Effect::Writes(plain), Effect::Writes(shifted)) = (of(ModifierSet::NONE), of(shift)) else {
            panic!("it writes")
        };
        let known = |byte: u8| byte.is_ascii() || Code::writing(char::from(byte)).is_some();
        assert!(plain != shifted && !known(plain) && !known(shifted));
        assert_eq!(of(ModifierSet::NONE.with(Modifier::Layer)), Effect::None);
    }

    #[test]
    fn what_was_meant_skips_holds_and_dedicated_modifiers() {
        let press =
            |name: &str, down| Press { code: name.parse().unwrap(), down: Instant(down), up: Instant(down + 9) };
        let shifted = Truth { with: ModifierSet::NONE.with(Modifier::Shift), ..Truth::default() };
        let shortcut = Truth { with: ModifierSet::NONE.with(Modifier::Control), shortcut: true, ..Truth::default() };
        let hold = Truth { hold: true, ..Truth::default() };
        let presses = [
            press("KeyF", 0),
            press("KeyI", 5),
            press("ControlLeft", 20),
            press("KeyV", 25),
            press("ShiftLeft", 40),
            press("KeyN", 60),
        ];
        let truths = [hold, shifted, Truth::default(), shortcut, Truth::default(), Truth::default()];
        assert_eq!(Produced::meant(&presses, &truths).text, ['I', 'n']);
    }

    #[test]
    fn text_errors_add_up() {
        let mut sum = compare("abcd", "acbd");
        sum += compare("the", "te<he");
        assert_eq!(sum, TextError { correct: 5, not_fixed: 2, fixed: 1, fixes: 1 });
    }
}
