//! Texts of others as they stand in messages.

use std::borrow::Cow;

/// The text in one line that does nothing to a terminal: control characters are escaped.
pub fn one_line(text: &str) -> Cow<'_, str> {
    if !text.contains(char::is_control) {
        return Cow::Borrowed(text);
    }
    let mut line = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        if c.is_control() { line.extend(c.escape_default()) } else { line.push(c) }
    }
    Cow::Owned(line)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_terminal_would_obey_is_shown_as_text() {
        assert_eq!(one_line("a\nb\u{1b}[2J\u{9b}"), "a\\nb\\u{1b}[2J\\u{9b}");
        assert!(matches!(one_line("Ärger – 5 µs"), Cow::Borrowed(_)));
    }
}
