//! Lines of bounded length.

use std::io::{self, BufRead};

/// One line of a file.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Line<'a> {
    /// A whole line without its end; `cut` when the file ended before the line did.
    Whole { bytes: &'a [u8], cut: bool },
    /// A line that is longer than the limit. It was read past, not held.
    Overlong,
}

/// Reads line by line and never holds more than `limit` bytes of one.
pub(crate) struct Lines<R> {
    input: R,
    buffer: Vec<u8>,
    limit: usize,
    number: u64,
    cut: bool,
}

impl<R: BufRead> Lines<R> {
    pub fn new(input: R, limit: usize) -> Self {
        Self { input, buffer: Vec::new(), limit, number: 0, cut: false }
    }

    /// The number of the line last read, from 1.
    pub fn number(&self) -> u64 {
        self.number
    }

    /// The next line, or `None` at the end of the file.
    pub fn next(&mut self) -> io::Result<Option<Line<'_>>> {
        self.buffer.clear();
        let (mut any, mut overlong, mut ended) = (false, false, false);
        while !ended {
            let chunk = match self.input.fill_buf() {
                Ok(chunk) => chunk,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            if chunk.is_empty() {
                break;
            }
            any = true;
            let end = chunk.iter().position(|byte| *byte == b'\n');
            let used = end.map_or(chunk.len(), |at| at + 1);
            let part = &chunk[..end.unwrap_or(chunk.len())];
            ended = end.is_some();
            if overlong || self.buffer.len() + part.len() > self.limit {
                overlong = true;
            } else {
                self.buffer.extend_from_slice(part);
            }
            self.input.consume(used);
        }
        if !any {
            return Ok(None);
        }
        self.number += 1;
        if overlong {
            return Ok(Some(Line::Overlong));
        }
        if self.buffer.last() == Some(&b'\r') {
            self.buffer.pop();
        }
        self.cut = !ended;
        Ok(Some(Line::Whole { bytes: &self.buffer, cut: self.cut }))
    }

    /// The line last read, once more.
    pub fn held_line(&self) -> (&[u8], bool) {
        (&self.buffer, self.cut)
    }

    /// Bytes held for the line.
    #[cfg(test)]
    pub fn held(&self) -> usize {
        self.buffer.capacity()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{BufReader, Read};

    fn all(bytes: &[u8], limit: usize, chunk: usize) -> Vec<Option<(Vec<u8>, bool)>> {
        let mut lines = Lines::new(BufReader::with_capacity(chunk, bytes), limit);
        let mut seen = Vec::new();
        while let Some(line) = lines.next().unwrap() {
            seen.push(match line {
                Line::Whole { bytes, cut } => Some((bytes.to_vec(), cut)),
                Line::Overlong => None,
            });
        }
        assert_eq!(lines.number(), seen.len() as u64);
        seen
    }

    #[test]
    fn line_ends_of_both_kinds_and_a_cut_end() {
        for chunk in 1..9 {
            let seen = all(b"a\r\n\nbc\nabcdef\nx", 4, chunk);
            let whole = |text: &str, cut| Some((text.as_bytes().to_vec(), cut));
            assert_eq!(seen, [whole("a", false), whole("", false), whole("bc", false), None, whole("x", true)]);
        }
        assert!(all(b"", 4, 8).is_empty());
    }

    #[test]
    fn an_endless_line_is_not_held() {
        let endless = std::io::repeat(b'x').take(50_000_000).chain(&b"\nok\n"[..]);
        let mut lines = Lines::new(BufReader::new(endless), 1000);
        assert_eq!(lines.next().unwrap(), Some(Line::Overlong));
        assert!(matches!(lines.next().unwrap(), Some(Line::Whole { bytes: b"ok", .. })));
        assert!(lines.held() <= 2000, "{}", lines.held());
    }
}
