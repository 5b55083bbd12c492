//! What is typed, kept in memory.

use std::collections::BTreeMap;
use std::time::Instant;

use hyper::body::Bytes;
use serde::{Deserialize, Serialize};

use crate::limits::Limits;
use crate::secret::Secret;

/// A piece of work: what one tab has typed so far.
#[derive(Debug)]
struct Work {
    log: String,
    /// Where the page stands, as it says it.
    place: String,
    touched: Instant,
    /// The last answer, with the question and the length of the log then.
    answer: Option<(usize, Bytes, Bytes)>,
}

/// More of a log.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct More {
    /// Length of the log before, in bytes: what comes twice, or from a second tab with the same work, is noticed.
    pub from: usize,
    /// What was typed since.
    pub log: String,
    /// Where the page stands now.
    pub place: String,
}

/// A piece of work as the page gets it back.
#[derive(Debug, Serialize)]
pub(crate) struct Kept<'a> {
    pub log: &'a str,
    pub place: &'a str,
}

/// A line of the list of pieces of work.
#[derive(Debug, Serialize)]
pub(crate) struct Listed<'a> {
    pub id: &'a str,
    pub bytes: usize,
    pub place: &'a str,
    /// Seconds since it was last added to.
    pub age_s: u64,
}

/// Why work was not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum NotTaken {
    /// There is no such piece.
    Unknown,
    /// The log is not as long as was thought: it is this long.
    Elsewhere(usize),
    /// There are as many pieces as are kept.
    Many,
    /// The log, or all together, would be too long.
    Long,
    /// The system gave no name.
    Nameless,
}

/// All pieces of work.
#[derive(Debug, Default)]
pub(crate) struct Works {
    all: BTreeMap<String, Work>,
    bytes: usize,
}

impl Works {
    /// A new piece; its name.
    pub fn begin(&mut self, limits: &Limits) -> Result<String, NotTaken> {
        if self.all.len() >= limits.works {
            return Err(NotTaken::Many);
        }
        let id = Secret::new().map_err(|_| NotTaken::Nameless)?.as_str().to_owned();
        let work = Work { log: String::new(), place: String::new(), touched: Instant::now(), answer: None };
        self.all.insert(id.clone(), work);
        Ok(id)
    }

    /// Takes more of a piece; how long its log is now.
    pub fn take(&mut self, id: &str, more: More, limits: &Limits) -> Result<usize, NotTaken> {
        let work = self.all.get_mut(id).ok_or(NotTaken::Unknown)?;
        if work.log.len() != more.from {
            return Err(NotTaken::Elsewhere(work.log.len()));
        }
        let bytes = self.bytes + more.log.len();
        if work.log.len() + more.log.len() > limits.log_bytes || bytes > limits.all_bytes {
            return Err(NotTaken::Long);
        }
        self.bytes = bytes;
        work.log.push_str(&more.log);
        work.place = more.place;
        work.touched = Instant::now();
        Ok(work.log.len())
    }

    pub fn kept(&self, id: &str) -> Option<Kept<'_>> {
        self.all.get(id).map(|work| Kept { log: &work.log, place: &work.place })
    }

    /// The log, and the last answer if it was to this question about this log.
    pub fn asked(&self, id: &str, question: &Bytes) -> Option<(Bytes, Option<Bytes>)> {
        let work = self.all.get(id)?;
        let same = |(length, asked, _): &&(usize, Bytes, Bytes)| *length == work.log.len() && asked == question;
        let answer = work.answer.as_ref().filter(same).map(|(.., answer)| answer.clone());
        Some((Bytes::copy_from_slice(work.log.as_bytes()), answer))
    }

    /// Keeps an answer, if the piece is still there.
    pub fn answered(&mut self, id: &str, length: usize, question: Bytes, answer: Bytes) {
        if let Some(work) = self.all.get_mut(id) {
            work.answer = Some((length, question, answer));
        }
    }

    pub fn list(&self) -> Vec<Listed<'_>> {
        self.all
            .iter()
            .map(|(id, work)| Listed {
                id,
                bytes: work.log.len(),
                place: &work.place,
                age_s: work.touched.elapsed().as_secs(),
            })
            .collect()
    }

    /// Forgets everything.
    pub fn forget(&mut self) {
        *self = Self::default();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn more(from: usize, log: &str) -> More {
        More { from, log: log.into(), place: "here".into() }
    }

    #[test]
    fn a_log_grows_only_from_its_end() {
        let limits = Limits::default();
        let mut works = Works::default();
        let id = works.begin(&limits).unwrap();
        assert_eq!(works.take(&id, more(0, "abc"), &limits), Ok(3));
        assert_eq!(works.take(&id, more(0, "abc"), &limits), Err(NotTaken::Elsewhere(3)));
        assert_eq!(works.take(&id, more(3, "de"), &limits), Ok(5));
        assert_eq!(works.kept(&id).unwrap().log, "abcde");
        assert_eq!(works.take("other", more(0, ""), &limits), Err(NotTaken::Unknown));
        works.forget();
        assert!(works.kept(&id).is_none() && works.list().is_empty() && works.bytes == 0);
    }

    #[test]
    fn memory_is_bounded() {
        let limits = Limits { works: 3, log_bytes: 10, all_bytes: 14, ..Limits::default() };
        let mut works = Works::default();
        let ids: Vec<String> = (0..3).map(|_| works.begin(&limits).unwrap()).collect();
        assert_eq!(works.begin(&limits), Err(NotTaken::Many));
        assert_eq!(works.take(&ids[0], more(0, &"x".repeat(11)), &limits), Err(NotTaken::Long));
        assert_eq!(works.take(&ids[0], more(0, &"x".repeat(10)), &limits), Ok(10));
        assert_eq!(works.take(&ids[1], more(0, "xxxxx"), &limits), Err(NotTaken::Long));
        assert_eq!(works.take(&ids[1], more(0, "xxxx"), &limits), Ok(4));
    }

    #[test]
    fn an_answer_is_kept_for_its_log_and_question() {
        let limits = Limits::default();
        let mut works = Works::default();
        let id = works.begin(&limits).unwrap();
        works.take(&id, more(0, "abc"), &limits).unwrap();
        let (one, two) = (Bytes::from_static(b"1"), Bytes::from_static(b"2"));
        works.answered(&id, 3, one.clone(), Bytes::from_static(b"yes"));
        assert_eq!(works.asked(&id, &one).unwrap().1.unwrap(), "yes");
        assert!(works.asked(&id, &two).unwrap().1.is_none());
        works.take(&id, more(3, "d"), &limits).unwrap();
        assert!(works.asked(&id, &one).unwrap().1.is_none());
    }
}
