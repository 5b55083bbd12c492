//! What is estimated: rates of typists pooled over typists, with the typist as unit of replication.

use agogic_score::TypistScore;
use agogic_stats::{Clusters, Estimate};

/// A quantity estimated for every policy.
#[derive(Clone, Copy, Debug)]
pub struct EstimandInfo {
    /// Name in files.
    pub name: &'static str,
    /// Unit.
    pub unit: &'static str,
    /// What it is, in a sentence.
    pub doc: &'static str,
    /// Numerator and denominator of one typist.
    pub parts: fn(&TypistScore) -> (f64, f64),
    /// Factor from the ratio to the unit.
    pub scale: f64,
    /// The numerator counts a part of the denominator, so the ratio lies between 0 and 1.
    pub proportion: bool,
    /// Its distribution over typists is reported too.
    pub spread: bool,
}

/// Every estimand, in the order of the files.
pub const ESTIMANDS: &[EstimandInfo] = &[
    EstimandInfo {
        name: "false_holds",
        unit: "per 1000 taps",
        doc: "dual-role presses meant as taps and decided as holds",
        parts: |s| (s.counts.false_holds as f64, s.counts.taps as f64),
        scale: 1000.0,
        proportion: true,
        spread: true,
    },
    EstimandInfo {
        name: "missed_holds",
        unit: "per 100 holds",
        doc: "dual-role presses meant as holds and decided as taps",
        parts: |s| (s.counts.missed_holds as f64, s.counts.holds as f64),
        scale: 100.0,
        proportion: true,
        spread: true,
    },
    EstimandInfo {
        name: "wrong_keys",
        unit: "per 1000 words",
        doc: "keys a writer has to mend: letters lost to false holds, letters written by missed holds, keys \
              that arrive with wrong modifiers",
        parts: |s| (s.counts.wrong_keys() as f64, s.counts.words as f64),
        scale: 1000.0,
        proportion: false,
        spread: true,
    },
    EstimandInfo {
        name: "harm",
        unit: "s per 1000 words",
        doc: "expected time of repair under the cost table of the study",
        parts: |s| (s.harm.total_us() as f64, s.counts.words as f64),
        scale: 1e-3,
        proportion: false,
        spread: true,
    },
    EstimandInfo {
        name: "text_errors",
        unit: "per 1000 characters",
        doc: "minimum string distance between the text at the host and the text that was meant, slips of the \
              typist included in both, over the longer of the two",
        parts: |s| (s.text.not_fixed as f64, (s.text.correct + s.text.not_fixed) as f64),
        scale: 1000.0,
        proportion: true,
        spread: true,
    },
    EstimandInfo {
        name: "stray_chords",
        unit: "per 1000 words",
        doc: "keys that reach the host with a modifier nobody meant",
        parts: |s| (s.counts.stray_chords as f64, s.counts.words as f64),
        scale: 1000.0,
        proportion: false,
        spread: false,
    },
    EstimandInfo {
        name: "lost_chords",
        unit: "per 1000 words",
        doc: "keys that reach the host without a modifier that was meant",
        parts: |s| (s.counts.lost_chords as f64, s.counts.words as f64),
        scale: 1000.0,
        proportion: false,
        spread: false,
    },
    EstimandInfo {
        name: "false_holds_by_roll",
        unit: "per 1000 taps",
        doc: "false holds with a key that was pressed before and let go after the own release, as in a roll",
        parts: |s| (s.counts.false_by.by_roll as f64, s.counts.taps as f64),
        scale: 1000.0,
        proportion: true,
        spread: false,
    },
    EstimandInfo {
        name: "false_holds_in_corrections",
        unit: "per 1000 taps",
        doc: "false holds next to a Backspace",
        parts: |s| (s.counts.false_by.by_correction as f64, s.counts.taps as f64),
        scale: 1000.0,
        proportion: true,
        spread: false,
    },
    EstimandInfo {
        name: "false_holds_by_long_dwell",
        unit: "per 1000 taps",
        doc: "false holds without any other key: the key was down for long",
        parts: |s| (s.counts.false_by.by_long_dwell as f64, s.counts.taps as f64),
        scale: 1000.0,
        proportion: true,
        spread: false,
    },
    EstimandInfo {
        name: "missed_enclosed",
        unit: "per 100 such holds",
        doc: "missed holds among gestures whose targets were let go before the held key",
        parts: |s| (s.counts.missed_by.enclosed as f64, s.counts.holds_by.enclosed as f64),
        scale: 100.0,
        proportion: true,
        spread: false,
    },
    EstimandInfo {
        name: "missed_trailing",
        unit: "per 100 such holds",
        doc: "missed holds among gestures whose held key was let go before a target",
        parts: |s| (s.counts.missed_by.trailing as f64, s.counts.holds_by.trailing as f64),
        scale: 100.0,
        proportion: true,
        spread: false,
    },
    EstimandInfo {
        name: "missed_bare",
        unit: "per 100 such holds",
        doc: "missed holds among gestures without a target key",
        parts: |s| (s.counts.missed_by.bare as f64, s.counts.holds_by.bare as f64),
        scale: 100.0,
        proportion: true,
        spread: false,
    },
    EstimandInfo {
        name: "missed_runs",
        unit: "per 100 such holds",
        doc: "missed holds among gestures with several targets under one hold",
        parts: |s| (s.counts.missed_runs as f64, s.counts.runs as f64),
        scale: 100.0,
        proportion: true,
        spread: false,
    },
    EstimandInfo {
        name: "tap_delay",
        unit: "ms",
        doc: "mean time from press to decision of dual-role presses meant as taps",
        parts: |s| (s.counts.tap_delay_us as f64, s.counts.taps as f64),
        scale: 1e-3,
        proportion: false,
        spread: true,
    },
    EstimandInfo {
        name: "tap_delay_p50",
        unit: "ms",
        doc: "mean over typists of each typist's median tap delay",
        parts: |s| per_typist(s.counts.tap_delay_p50_us, s.counts.taps),
        scale: 1e-3,
        proportion: false,
        spread: false,
    },
    EstimandInfo {
        name: "tap_delay_p95",
        unit: "ms",
        doc: "mean over typists of each typist's 95th percentile of the tap delay",
        parts: |s| per_typist(s.counts.tap_delay_p95_us, s.counts.taps),
        scale: 1e-3,
        proportion: false,
        spread: true,
    },
    EstimandInfo {
        name: "tap_delay_p99",
        unit: "ms",
        doc: "mean over typists of each typist's 99th percentile of the tap delay",
        parts: |s| per_typist(s.counts.tap_delay_p99_us, s.counts.taps),
        scale: 1e-3,
        proportion: false,
        spread: false,
    },
    EstimandInfo {
        name: "taps_over_40_ms",
        unit: "per 100 taps",
        doc: "taps decided later than 40 ms after the press",
        parts: |s| (s.counts.taps_over_40_ms as f64, s.counts.taps as f64),
        scale: 100.0,
        proportion: true,
        spread: false,
    },
    EstimandInfo {
        name: "taps_over_100_ms",
        unit: "per 100 taps",
        doc: "taps decided later than 100 ms after the press",
        parts: |s| (s.counts.taps_over_100_ms as f64, s.counts.taps as f64),
        scale: 100.0,
        proportion: true,
        spread: false,
    },
    EstimandInfo {
        name: "hold_delay",
        unit: "ms",
        doc: "mean time from press to decision of dual-role presses meant as holds",
        parts: |s| (s.counts.hold_delay_us as f64, s.counts.holds as f64),
        scale: 1e-3,
        proportion: false,
        spread: false,
    },
    EstimandInfo {
        name: "key_delay",
        unit: "ms",
        doc: "mean time from press to arrival at the host over all keys",
        parts: |s| (s.counts.host_delay_us as f64, s.counts.host_keys as f64),
        scale: 1e-3,
        proportion: false,
        spread: false,
    },
    EstimandInfo {
        name: "key_delay_p95",
        unit: "ms",
        doc: "mean over typists of each typist's 95th percentile of the key delay",
        parts: |s| per_typist(s.counts.key_delay_p95_us, s.counts.host_keys),
        scale: 1e-3,
        proportion: false,
        spread: false,
    },
    EstimandInfo {
        name: "delayed_keys",
        unit: "per 100 keys",
        doc: "keys that had to wait before they reached the host",
        parts: |s| (s.counts.delayed_keys as f64, s.counts.host_keys as f64),
        scale: 100.0,
        proportion: true,
        spread: false,
    },
];

/// A figure of each typist, pooled as a mean over those who have one.
fn per_typist(value: u64, events: u64) -> (f64, f64) {
    if events > 0 { (value as f64, 1.0) } else { (0.0, 0.0) }
}

impl EstimandInfo {
    /// The name for a sentence: `wrong keys`, `tap delay (95th percentile)`.
    pub fn words(&self) -> String {
        let name = self.name.replace('_', " ");
        match name.rsplit_once(" p") {
            Some((of, quantile)) if quantile.parse::<u32>().is_ok() => format!("{of} ({quantile}th percentile)"),
            _ => name,
        }
    }

    /// A number of it in a sentence: `12 wrong keys per 1000 words`, `108 s of harm per 1000 words`, `250 ms of tap delay`.
    pub fn said(&self, number: &str) -> String {
        let (name, unit) = (self.words(), self.unit);
        match unit.split_once(' ') {
            _ if unit.starts_with("per ") => format!("{number} {name} {unit}"),
            Some((unit, of)) => format!("{number} {unit} of {name} {of}"),
            None => format!("{number} {unit} of {name}"),
        }
    }

    /// The estimand of that name.
    pub fn by_name(name: &str) -> Option<&'static Self> {
        ESTIMANDS.iter().find(|info| info.name == name)
    }

    /// Numerators and denominators of all typists, in their order.
    pub fn clusters(&self, parts: impl IntoIterator<Item = (f64, f64)>) -> Clusters {
        let clusters =
            if self.proportion { Clusters::proportion("typist", parts) } else { Clusters::ratio("typist", parts) };
        clusters.expect("counts are finite, and a numerator needs its denominator")
    }

    /// The estimate of a ratio in the unit of this estimand.
    pub fn scaled(&self, estimate: Estimate) -> Estimate {
        estimate.times(self.scale)
    }
}
