//! Mistakes as they are collected, and values with their places.

use std::cell::RefCell;
use std::collections::BTreeSet;

use crate::mistakes::{Mistake, Mistakes};

/// A value with the place it was found at.
#[derive(Clone, Debug)]
pub struct Found<T> {
    /// The value.
    pub value: T,
    /// Line, from 1.
    pub line: usize,
    /// Dotted path of the key.
    pub key: String,
}

/// Collects the mistakes of one text.
#[derive(Debug)]
pub struct Diagnostics {
    /// Where each line feed stands: a text of many lines is not counted through again for each of its keys.
    line_feeds: Vec<usize>,
    mistakes: RefCell<Vec<Mistake>>,
}

impl Diagnostics {
    /// None yet, of this text.
    pub fn new(source: &str) -> Self {
        let line_feeds = source.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at).collect();
        Self { line_feeds, mistakes: RefCell::default() }
    }

    /// The line, from 1, of a byte of the text.
    pub(crate) fn line_of(&self, offset: usize) -> usize {
        1 + self.line_feeds.partition_point(|&at| at < offset)
    }

    /// Adds a mistake at a line, from 1, about a dotted key.
    pub fn add(&self, line: usize, key: impl Into<String>, message: impl Into<String>) {
        let mistake = Mistake { line: Some(line), key: key.into(), message: message.into() };
        self.mistakes.borrow_mut().push(mistake);
    }

    /// Adds a mistake about a value.
    pub fn at<T>(&self, found: &Found<T>, message: impl Into<String>) {
        self.add(found.line, found.key.clone(), message);
    }

    /// Mistakes so far.
    pub fn count(&self) -> usize {
        self.mistakes.borrow().len()
    }

    /// The end.
    ///
    /// # Errors
    /// All mistakes in the order of their lines, each once, if there are any.
    pub fn finish(self) -> Result<(), Mistakes> {
        let mut mistakes = self.mistakes.into_inner();
        mistakes.sort_by(|a, b| (a.line, &a.key).cmp(&(b.line, &b.key)));
        // What is wrong with a part that several others share is found in each of them.
        let mut known = BTreeSet::new();
        mistakes.retain(|mistake| known.insert((mistake.line, mistake.key.clone(), mistake.message.clone())));
        if mistakes.is_empty() { Ok(()) } else { Err(Mistakes(mistakes)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mistakes_come_in_the_order_of_lines_and_once_each() {
        let log = Diagnostics::new("a\nb\n");
        assert_eq!([0, 1, 2, 3, 4].map(|at| log.line_of(at)), [1, 1, 2, 2, 3]);
        log.add(2, "b", "is wrong");
        log.add(1, "a", "is wrong");
        log.at(&Found { value: 1, line: 2, key: "b".into() }, "is wrong");
        assert_eq!(log.count(), 3);
        assert_eq!(log.finish().unwrap_err().to_string(), "line 1: `a`: is wrong\nline 2: `b`: is wrong");
        assert_eq!(Diagnostics::new("").finish(), Ok(()));
    }
}
