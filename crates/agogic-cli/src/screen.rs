//! What people read: no line wider than their terminal.

use std::io::{IsTerminal, StdoutLock, Write};
use std::sync::OnceLock;

use agogic_report::{Sheet, Style};

/// Narrowest width that is kept to: tables need room for a name and a number.
const LEAST_WIDTH: usize = 40;

static WIDTH: OnceLock<Option<usize>> = OnceLock::new();

static DETAILS: OnceLock<bool> = OnceLock::new();

/// Fixes whether all is told or the answer alone, once.
pub fn set_details(all: bool) {
    let _ = DETAILS.set(all);
}

/// Whether all is told.
pub fn details() -> bool {
    DETAILS.get().copied().unwrap_or_default()
}

/// Fixes how wide lines may be, once: as wide as `COLUMNS` says, else as wide as the terminal. Lines that go to a file or to
/// another program stay whole, as do those of `--wide` and data.
pub fn set_width(whole: bool) {
    let width = (!whole).then(width_there).flatten();
    // The first to fix it is the program; tests of one command after another keep it.
    let _ = WIDTH.set(width.map(|width| width.max(LEAST_WIDTH)));
}

/// How wide `COLUMNS` or the terminal says that lines may be; `None` where neither says it.
pub fn width_there() -> Option<usize> {
    let said = || std::env::var("COLUMNS").ok()?.trim().parse::<usize>().ok();
    let terminal =
        || std::io::stdout().is_terminal().then(terminal_size::terminal_size)?.map(|(width, _)| usize::from(width.0));
    said().or_else(terminal)
}

/// How wide lines may be; `None` for as wide as they are.
pub fn width() -> Option<usize> {
    WIDTH.get().copied().flatten()
}

/// A table for the screen: stacked where it is too wide.
pub fn shown(sheet: &Sheet) -> String {
    match width() {
        Some(width) => sheet.stacked(width),
        None => sheet.text(Style::Screen),
    }
}

/// A table with long cells: stacked where lines may be only so wide, else broken at `usual`.
pub fn shown_broken(sheet: &Sheet, usual: u16) -> String {
    match width() {
        Some(width) => sheet.stacked(width),
        None => sheet.text(Style::Wrapped(Some(usual))),
    }
}

/// Standard output for people: prose is broken between words where a line would be too wide.
pub struct Screen {
    out: StdoutLock<'static>,
    width: Option<usize>,
    line: Vec<u8>,
}

/// Opens the screen.
pub fn screen() -> Screen {
    Screen { out: std::io::stdout().lock(), width: width(), line: Vec::new() }
}

impl Screen {
    fn put(&mut self) -> std::io::Result<()> {
        let line = std::mem::take(&mut self.line);
        match (self.width, std::str::from_utf8(&line)) {
            (Some(width), Ok(text)) => self.out.write_all(broken(text, width).as_bytes()),
            _ => self.out.write_all(&line),
        }
    }
}

impl Write for Screen {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        for part in bytes.split_inclusive(|byte| *byte == b'\n') {
            self.line.extend_from_slice(part);
            if part.ends_with(b"\n") {
                self.put()?;
            }
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.put()?;
        self.out.flush()
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        // Nobody can be told any more; a line without an end is rare.
        let _ = self.flush();
    }
}

/// A line broken between words, what follows as far in as its beginning, or as the text of a list, or as what a name is told
/// of. Items with two spaces between them stay whole. So do words that are too long.
pub fn broken(line: &str, width: usize) -> String {
    let text = line.trim_end_matches('\n');
    if text.chars().count() <= width {
        return line.to_owned();
    }
    let inner = text.trim_start_matches(' ');
    let indent = text.len() - inner.len();
    let items: Vec<&str> = inner.split("  ").map(str::trim).filter(|item| !item.is_empty()).collect();
    let broken = match items[..] {
        // A name, and what it is.
        [name, _] if !name.is_empty() => {
            let start = text.rfind("  ").map_or(0, |at| at + 2);
            let (head, rest) = text.split_at(start);
            let column = head.chars().count();
            if 2 * column > width {
                filled("", indent, &words(inner, width / 2), " ", width)
            } else {
                filled(head, column, &words(rest, width / 2), " ", width)
            }
        }
        [_, _, _, ..] => {
            filled("", indent, &items.iter().map(|item| (*item).to_owned()).collect::<Vec<_>>(), "  ", width)
        }
        _ => {
            let hang = if inner.starts_with("- ") { 2 } else { 0 };
            let (head, rest) = text.split_at(indent + hang);
            filled(head, indent + hang, &words(rest, width / 2), " ", width)
        }
    };
    format!("{broken}{}", &line[text.len()..])
}

/// Words after a beginning, those of further lines `indent` spaces in.
fn filled(head: &str, indent: usize, words: &[String], between: &str, width: usize) -> String {
    let mut out = if head.is_empty() { " ".repeat(indent) } else { head.to_owned() };
    let mut at = indent;
    for (number, word) in words.iter().enumerate() {
        let long = word.chars().count();
        if number > 0 && at + between.len() + long > width {
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            at = indent;
        } else if number > 0 {
            out.push_str(between);
            at += between.len();
        }
        out.push_str(word);
        at += long;
    }
    out
}

/// The words between which a line may be broken: a sign of percent stays with its number, and what stands between backticks
/// together, if it is not longer than `most`.
fn words(text: &str, most: usize) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let mut open = false;
    for word in text.split_whitespace() {
        let ticks = word.matches('`').count();
        match found.last_mut() {
            Some(last) if word.starts_with('%') || (open && last.chars().count() + word.chars().count() < most) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => found.push(word.to_owned()),
        }
        open ^= ticks % 2 == 1;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_broken_between_words_and_keep_their_indent() {
        assert_eq!(broken("  one two three four\n", 11), "  one two\n  three\n  four\n");
        assert_eq!(broken("short\n", 11), "short\n");
        assert_eq!(broken("`a-very-long-word-indeed` and more\n", 12), "`a-very-long-word-indeed`\nand more\n");
        assert_eq!(broken("they are 95 % of all\n", 12), "they are\n95 % of all\n");
        assert_eq!(broken("one two of `rule 200, lull 5` go\n", 40), "one two of `rule 200, lull 5` go\n");
        assert_eq!(broken("one two of the `rule 200` all\n", 24), "one two of the\n`rule 200` all\n");
        assert_eq!(broken("- one two three four\n", 11), "- one two\n  three\n  four\n");
        assert_eq!(broken("  name.c   one two three\n", 22), "  name.c   one two\n           three\n");
        assert_eq!(broken(" a 1 [2, 3]  b 4 [5, 6]  c 7\n", 24), " a 1 [2, 3]  b 4 [5, 6]\n c 7\n");
        // Letters count, not bytes.
        assert_eq!(broken("ääää öööö\n", 9), "ääää öööö\n");
    }
}
