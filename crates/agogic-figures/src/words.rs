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

/// How many decimals a number bears: as many as show half the width of its interval, in two figures where these are below 355
/// in three, else in one, or without an interval a tenth of the number, in two.
///
/// # Source
/// Particle Data Group, Review of Particle Physics (2018), Introduction, 5.3 "Rounding", as quoted by others.
pub(crate) fn decimals(value: f64, interval: Option<(f64, f64)>) -> usize {
    let (size, known) = match interval {
        Some((low, high)) if high > low => ((high - low) / 2.0, true),
        _ => (value.abs() * 0.1, false),
    };
    if size <= 0.0 {
        return 1;
    }
    let power = size.log10().floor();
    let figures = if known && size / 10.0_f64.powf(power) >= 3.55 { 1.0 } else { 2.0 };
    (figures - 1.0 - power).clamp(0.0, 6.0) as usize
}

/// A number with exactly so many decimals, with a real minus sign, but not on what rounds to zero.
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let zero = !text.contains(|c: char| ('1'..='9').contains(&c));
    if zero { text.replace('-', "") } else { text.replace('-', "−") }
}

/// The same with a plus before what is above zero.
pub(crate) fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if value > 0.0 && text.contains(|c: char| ('1'..='9').contains(&c)) { format!("+{text}") } else { text }
}

/// The same words with a capital first letter.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A share as a percentage.
pub(crate) fn percent(share: f64) -> String {
    format!("{} %", number(share * 100.0, if share > 0.0 && share < 0.1 { 1 } else { 0 }))
}

/// Breaks words into lines no longer than `width`. A word that is longer is broken after a hyphen, or anywhere.
pub(crate) fn wrap(text: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in unbroken(text).into_iter().flat_map(|word| broken(word, size, width)) {
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

/// The pieces of a word that fit, each but the last with a hyphen at its end.
fn broken(word: String, size: f64, width: f64) -> Vec<String> {
    let fits = |piece: &str| font::width(piece, size, false) <= width;
    let mut pieces = Vec::new();
    let mut rest = word;
    while !fits(&rest) {
        let ends = || rest.char_indices().skip(1).map(|(at, _)| at);
        // After a hyphen, or between a number and its unit.
        let after_hyphen = ends().filter(|at| rest[..*at].ends_with(['-', ' ']) && fits(rest[..*at].trim_end())).last();
        let anywhere = || ends().filter(|at| fits(&format!("{}-", &rest[..*at]))).last();
        let (piece, at) = match (after_hyphen, anywhere()) {
            (Some(at), _) => (rest[..at].trim_end().to_owned(), at),
            (None, Some(at)) => (format!("{}-", &rest[..at]), at),
            // Not even one letter fits.
            (None, None) => break,
        };
        rest.drain(..at);
        pieces.push(piece);
    }
    pieces.push(rest);
    pieces
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

/// How a caption begins: what the figure shows, and of what.
pub(crate) fn opening(title: &str, context: &str) -> String {
    let (title, context) = (capital(title.trim()), context.trim());
    match (context.is_empty(), title.ends_with(['.', '?', '!'])) {
        (true, _) => title,
        (false, true) => format!("{title} {context}"),
        (false, false) => format!("{title}: {context}"),
    }
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
        assert_eq!([fixed(-0.001, 2), fixed(-0.016, 2), fixed(3.0, 1)], ["0.00", "−0.02", "3.0"]);
        assert_eq!(
            [signed(-0.001, 2), signed(0.001, 2), signed(0.016, 2), signed(-5.0, 0)],
            ["0.00", "0.00", "+0.02", "−5"]
        );
        assert_eq!(
            [decimals(415.2, Some((393.0, 437.0))), decimals(0.01, Some((-0.04, 0.26))), decimals(3.0, None)],
            [0, 2, 2]
        );
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
        assert_eq!(wrap("lull 150 ms", 7.0, 30.0), ["lull", "150 ms"]);
        assert_eq!(wrap("lull 150 ms", 7.0, 16.0), ["lull", "150", "ms"]);
        let pieces = wrap("sequential-evidence", 7.0, 40.0);
        assert_eq!(pieces, ["sequential-", "evidence"]);
        let pieces = wrap("antidisestablishment", 7.0, 40.0);
        assert!(pieces.len() > 1 && pieces.iter().all(|l| font::width(l, 7.0, false) <= 40.0), "{pieces:?}");
    }

    #[test]
    fn lists_and_sentences() {
        assert_eq!(listed(&["a", "b", "c"]), "a, b and c");
        assert_eq!(sentences(&["One", "", "Two."]), "One. Two.");
        assert_eq!(opening("what is", "of all"), "What is: of all");
        assert_eq!([opening("What?", "Of all"), opening("what", "")], ["What? Of all", "What"]);
    }
}
