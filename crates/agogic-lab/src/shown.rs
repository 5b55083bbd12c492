//! Texts of others as they stand in our messages.

use std::borrow::Cow;

/// The longest piece of a spec that a message repeats, in characters.
const LONGEST: usize = 120;

/// The text in one line that does nothing to a terminal: control characters are escaped.
pub(crate) fn one_line(text: &str) -> Cow<'_, str> {
    if !text.contains(char::is_control) {
        return Cow::Borrowed(text);
    }
    let mut line = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        if c.is_control() { line.extend(c.escape_default()) } else { line.push(c) }
    }
    Cow::Owned(line)
}

/// The beginning of a text, with a sign where it was cut.
pub(crate) fn cut(text: &str) -> Cow<'_, str> {
    match text.char_indices().nth(LONGEST) {
        None => Cow::Borrowed(text),
        Some((end, _)) => Cow::Owned(format!("{}…", &text[..end])),
    }
}

/// What is wrong with a file in TOML, in one line that begins with the line of the file.
pub(crate) fn toml_refused(text: &str, refused: &toml::de::Error) -> String {
    match refused.span() {
        None => refused.message().to_owned(),
        Some(span) => {
            let before = &text.as_bytes()[..span.start.min(text.len())];
            format!("line {}: {}", 1 + before.iter().filter(|&&byte| byte == b'\n').count(), refused.message())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_terminal_would_obey_is_shown_as_text() {
        assert_eq!(one_line("a\nb\u{1b}[2J\u{9b}"), "a\\nb\\u{1b}[2J\\u{9b}");
        assert!(matches!(one_line("Ärger – 5 µs"), Cow::Borrowed(_)));
    }

    #[test]
    fn long_texts_are_cut_between_characters() {
        assert_eq!(cut(&"é".repeat(120)), "é".repeat(120));
        assert_eq!(cut(&"é".repeat(121)), format!("{}…", "é".repeat(120)));
    }
}
