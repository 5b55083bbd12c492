//! Blocks of successive presses: the unit of one person's typing.

use crate::SessionLog;
use agogic_keys::Press;

/// Presses in a block. Tempo wanders over a few tens of presses, so blocks of fifty are nearly independent
/// (common practice, no source); the rest of a run joins its last block.
pub const BLOCK_PRESSES: usize = 50;

/// The unit, as estimates name it.
pub(crate) const UNIT: &str = "block of 50 presses";

/// Fewer blocks give no interval: the spread between a handful is too uncertain.
pub(crate) const FEWEST: usize = 20;

/// Cuts the runs of sessions into blocks. Every block lies within one run.
///
/// # Shape
/// Each block comes with the press before it in its run, where there is one, so that each press but the
/// first of a run has its interval in exactly one block.
pub(crate) fn blocks<'a>(sessions: &[&'a SessionLog]) -> Vec<(Option<&'a Press>, &'a [Press])> {
    let mut blocks = Vec::new();
    for run in sessions.iter().flat_map(|session| session.runs()) {
        let count = (run.len() / BLOCK_PRESSES).max(1);
        for number in 0..count {
            let start = number * BLOCK_PRESSES;
            let end = if number + 1 == count { run.len() } else { start + BLOCK_PRESSES };
            blocks.push((start.checked_sub(1).map(|before| &run[before]), &run[start..end]));
        }
    }
    blocks
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Code, Instant};

    #[test]
    fn every_press_lies_in_one_block_of_its_run() {
        let presses: Vec<Press> =
            (0..270).map(|i| Press { code: Code::SPACE, down: Instant(i * 100), up: Instant(i * 100 + 50) }).collect();
        let log = SessionLog {
            participant: "p".into(),
            session: "1".into(),
            part: 0,
            intents: vec![None; 270],
            presses,
            breaks: vec![120, 130],
        };
        let found = blocks(&[&log]);
        let sizes: Vec<usize> = found.iter().map(|(_, block)| block.len()).collect();
        assert_eq!(sizes, [50, 70, 10, 50, 90]);
        let before: Vec<bool> = found.iter().map(|(before, _)| before.is_some()).collect();
        assert_eq!(before, [false, true, false, false, true]);
        assert_eq!(found[1].0.unwrap().down.0, 4900);
    }
}
