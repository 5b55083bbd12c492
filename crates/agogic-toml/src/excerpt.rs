//! Texts of others as they stand in messages.

use std::borrow::Cow;

/// The longest piece of a text that a message repeats, in characters.
const LONGEST: usize = 120;

/// The beginning of a text, with a sign where it was cut.
pub(crate) fn excerpt(text: &str) -> Cow<'_, str> {
    match text.char_indices().nth(LONGEST) {
        None => Cow::Borrowed(text),
        Some((end, _)) => Cow::Owned(format!("{}…", &text[..end])),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_texts_are_cut_between_characters() {
        assert_eq!(excerpt(&"é".repeat(120)), "é".repeat(120));
        assert_eq!(excerpt(&"é".repeat(121)), format!("{}…", "é".repeat(120)));
    }
}
