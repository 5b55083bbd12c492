//! Rules that learn, trained on some people and judged on others.

use std::sync::Arc;

use agogic_keys::{Code, Hand, Press};
use agogic_policy::{EncounterScan, EvidenceCounts, EvidenceTables, Setting};
use serde::Serialize;

use crate::meant::{Meant, is_dual, meant};

/// Adds the encounters of a run to a training sample.
pub fn train(counts: &mut EvidenceCounts, scan: &mut EncounterScan, run: &[Press], hand: impl Fn(Code) -> Hand) {
    let meant = meant(run);
    scan.each(run, is_dual, hand, |at, encounter| {
        if let Some(meant) = meant[at] {
            counts.add(encounter, meant == Meant::Hold);
        }
    });
}

/// The evidence that each encounter of people shows, by what it stood for: at which thresholds it would be a hold.
#[derive(Clone, Debug, Default)]
pub struct Judged {
    taps: Vec<f64>,
    holds: Vec<f64>,
}

/// Missed holds of `evidence` at the threshold that makes so many false holds.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Missed {
    /// False holds per 1000 taps.
    pub false_holds: f64,
    /// Missed holds per 100 holds.
    pub missed_holds: f64,
}

impl Judged {
    /// Takes in a run, with tables that were trained elsewhere.
    ///
    /// # Undefined
    /// Tables of one rule, `evidence`; what the sequential rule does follows from the same tables.
    pub fn add(
        &mut self,
        tables: &Arc<EvidenceTables>,
        scan: &mut EncounterScan,
        run: &[Press],
        hand: impl Fn(Code) -> Hand,
    ) {
        let setting = Setting::trained("evidence", &[], tables).expect("the registry has the rule");
        let threshold = setting.entry().params[0].name;
        let meant = meant(run);
        scan.each(run, is_dual, hand, |at, encounter| {
            let Some(value) = setting.critical_value(threshold, encounter) else { return };
            match meant[at] {
                Some(Meant::Tap) => self.taps.push(value),
                Some(Meant::Hold) => self.holds.push(value),
                None => {}
            }
        });
    }
}

/// The missed holds at the least threshold that makes at most so many false holds per 1000 taps.
///
/// # Undefined
/// `None` without taps or holds.
pub fn missed_at(judged: &Judged, false_holds: f64) -> Option<Missed> {
    let mut taps = judged.taps.clone();
    taps.sort_unstable_by(|a, b| b.total_cmp(a));
    let allowed = (false_holds / 1000.0 * taps.len() as f64) as usize;
    // A press is a hold when the threshold is at most its value: the threshold lies just above this tap's.
    let limit = *taps.get(allowed)?;
    let spurious = taps.iter().filter(|value| **value > limit).count();
    let missed = judged.holds.iter().filter(|value| **value <= limit).count();
    (!judged.holds.is_empty()).then(|| Missed {
        false_holds: spurious as f64 / taps.len() as f64 * 1000.0,
        missed_holds: missed as f64 / judged.holds.len() as f64 * 100.0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_threshold_lies_above_the_taps_it_may_not_hold() {
        let judged = Judged { taps: (0..1000).map(f64::from).collect(), holds: vec![990.0, 994.5, 995.5, 2000.0] };
        // Five taps, 995 to 999, may be held: the limit is the tap at 994.
        let found = missed_at(&judged, 5.0).unwrap();
        assert_eq!(found, Missed { false_holds: 5.0, missed_holds: 25.0 });
        assert_eq!(missed_at(&Judged::default(), 5.0), None);
    }
}
