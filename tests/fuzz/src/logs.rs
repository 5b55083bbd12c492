//! What must hold of a log.

use agogic_log::{Log, LogError, LogLayout, read_bytes, write_csv};

use crate::specs::said;

/// Checks a log that was read.
///
/// # Panics
/// Something does not hold.
pub fn judge(log: &Log) {
    let report = &log.report;
    assert!(report.balances(), "{report}");
    report.to_string().lines().for_each(said);
    let presses: usize = log.sessions.iter().map(|session| session.presses.len()).sum();
    assert_eq!(report.presses, presses as u64);
    for session in &log.sessions {
        assert_eq!(session.presses.len(), session.intents.len());
        assert!(session.presses.iter().all(|press| press.up > press.down));
        assert!(session.presses.is_sorted_by_key(|press| press.down));
        assert!(session.breaks.is_sorted() && session.breaks.iter().all(|at| (1..session.presses.len()).contains(at)));
        assert_eq!(session.runs().map(<[_]>::len).sum::<usize>(), session.presses.len());
    }
}

/// Checks why bytes are no log of a layout.
///
/// # Panics
/// It says nothing, or would do something to a terminal.
pub fn judge_refused(refused: &LogError) {
    refused.to_string().lines().for_each(said);
    assert!(!refused.to_string().is_empty());
}

/// Checks that a log survives being written in the published format: the same presses, wherever they were.
///
/// Logs of classes are left out: they let two keys of one class be down at once, which events cannot say.
///
/// # Panics
/// It does not.
pub fn survives(log: &Log) {
    let mut bytes = Vec::new();
    write_csv(&mut bytes, &log.sessions).expect("memory does not fail");
    let again = read_bytes(&bytes, &LogLayout::events()).expect("what we wrote is a log");
    judge(&again);
    assert_eq!(again.report.rows, 2 * log.report.presses, "{}", again.report);
}
