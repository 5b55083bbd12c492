//! Numbers and sentences as people read them.

use crate::font;

/// A number with at most `decimals` decimals, without needless zeros, and with a real minus sign.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let mut text = format!("{:.*}", decimals, value);
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_owned() } else { text.replace('-', "−") }
}

/// A number with about three figures that count.
pub(crate) fn short(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let size = value.abs();
    let decimals = (2 - size.log10().floor() as i32).clamp(0, 6) as usize;
    number(value, decimals)
}

/// A share as a percentage.
pub(crate) fn percent(share: f64) -> String {
    format!("{} %", number(share * 100.0, if share > 0.0 && share < 0.1 { 1 } else { 0 }))
}

/// Breaks words into lines no longer than `width`. A single word may be longer.
pub(crate) fn wrap(text: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in unbroken(text) {
        match lines.last_mut() {
            Some(line)
                if font::width(line, size, false) + font::width(" ", size, false) + font::width(&word, size, false)
                    <= width =>
            {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

/// Words, a number together with its unit.
fn unbroken(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match words.last_mut() {
            Some(last) if ["%", "ms", "+", "s"].contains(&word) && !last.is_empty() => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// Cuts words to a width, with an ellipsis where something is missing.
pub(crate) fn fitted(text: &str, size: f64, width: f64) -> String {
    if font::width(text, size, false) <= width {
        return text.to_owned();
    }
    let mut kept: Vec<char> = text.chars().collect();
    while !kept.is_empty() {
        kept.pop();
        let cut = format!("{}…", kept.iter().collect::<String>().trim_end());
        if font::width(&cut, size, false) <= width {
            return cut;
        }
    }
    String::new()
}

/// `a, b and c`.
pub(crate) fn listed<S: AsRef<str>>(names: &[S]) -> String {
    match names {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [most @ .., last] => {
            let most: Vec<&str> = most.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", most.join(", "), last.as_ref())
        }
    }
}

/// A sentence with its full stop.
pub(crate) fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.is_empty() || text.ends_with(['.', '?', '!']) { text.to_owned() } else { format!("{text}.") }
}

/// Sentences with a space between them; empty ones drop out.
pub(crate) fn sentences<S: AsRef<str>>(parts: &[S]) -> String {
    let parts: Vec<String> = parts.iter().map(|p| sentence(p.as_ref())).filter(|p| !p.is_empty()).collect();
    parts.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_lose_needless_zeros_and_minus_is_a_minus() {
        assert_eq!(number(-1.50, 2), "−1.5");
        assert_eq!(number(-0.001, 2), "0");
        assert_eq!(number(200.0, 0), "200");
        assert_eq!(short(0.012_34), "0.0123");
        assert_eq!(short(1234.5), "1234");
        assert_eq!(percent(0.004), "0.4 %");
        assert_eq!(percent(0.41), "41 %");
    }

    #[test]
    fn lines_keep_to_their_width() {
        let lines = wrap("one two three four", 7.0, 40.0);
        assert!(lines.len() > 1 && lines.iter().all(|l| font::width(l, 7.0, false) <= 40.0));
        assert_eq!(lines.join(" "), "one two three four");
        assert_eq!(wrap("lull 150 ms", 7.0, 20.0), ["lull", "150 ms"]);
        assert!(font::width(&fitted("a very long name indeed", 7.0, 30.0), 7.0, false) <= 30.0);
        assert_eq!(fitted("short", 7.0, 100.0), "short");
    }

    #[test]
    fn lists_and_sentences() {
        assert_eq!(listed(&["a", "b", "c"]), "a, b and c");
        assert_eq!(sentences(&["One", "", "Two."]), "One. Two.");
    }
}
