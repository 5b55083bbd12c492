//! What is held in memory at most, and where typing ends and something else begins.

/// How much of a log is held in memory at most. What exceeds a limit is counted, never dropped unseen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Longest line, in bytes.
    pub line_bytes: usize,
    /// Most rows taken in.
    pub rows: usize,
    /// Most sessions.
    pub sessions: usize,
    /// Longest name of a session or participant, in bytes.
    pub name_bytes: usize,
}

impl Default for Limits {
    /// Lines of 64 KiB, 20 million rows (about 800 MB), 100 000 sessions, names of 128 bytes.
    fn default() -> Self {
        Self { line_bytes: 1 << 16, rows: 20_000_000, sessions: 100_000, name_bytes: 128 }
    }
}

/// Where typing ends and something else begins. All are common practice without a source, chosen so that
/// nothing a typist does falls outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rules {
    /// A longer step back in time means that the clock was set back; a shorter one, that rows were written
    /// out of order.
    pub disorder_us: u64,
    /// Steps back above this share of a session's rows mean that the file is not sorted by time at all, so
    /// that the session is sorted instead of split.
    pub unsorted_share: f64,
    /// A longer step ahead is no lull: keys that were down are dropped and no interval is taken across.
    pub leap_us: u64,
    /// A press of a key that is down, no later than this after the press or repeat before it and with no
    /// other key pressed between, is auto-repeat. The first delay of keyboards goes up to a second.
    pub repeat_us: u64,
    /// A key that seems down for longer has lost edges between.
    pub longest_dwell_us: u64,
}

impl Default for Rules {
    /// 1 s of disorder, one row in twenty, a leap of an hour, repeats within 1.1 s, a dwell of a minute.
    fn default() -> Self {
        Self {
            disorder_us: 1_000_000,
            unsorted_share: 0.05,
            leap_us: 3_600_000_000,
            repeat_us: 1_100_000,
            longest_dwell_us: 60_000_000,
        }
    }
}
