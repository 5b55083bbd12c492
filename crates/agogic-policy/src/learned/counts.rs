//! Counting where encounters fall, and the step from counts to tables.

use super::bins::BINS;
use super::course::{CourseRow, course};
use super::summary::{Summary, SummaryRow, lull_cell};
use super::tables::EvidenceTables;
use super::units::UNITS_PER_NAT;
use crate::Encounter;
use std::ops::ControlFlow;

/// Why tables could not be trained. The texts continue "failed to train the evidence tables: …".
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum TrainingError {
    /// A comparison needs both kinds.
    #[error("it takes taps and holds to tell them apart, but the sample has {taps} taps and {holds} holds")]
    OneSided {
        /// Taps seen.
        taps: u64,
        /// Holds seen.
        holds: u64,
    },
}

/// How often encounters of one kind fell into each cell.
#[derive(Clone, Debug)]
struct Counts {
    n: u64,
    lull: [[u64; BINS + 1]; 2],
    summary: [[u64; BINS]; SummaryRow::ALL.len()],
    course: [[u64; BINS]; CourseRow::ALL.len()],
}

impl Counts {
    const NONE: Self = Self {
        n: 0,
        lull: [[0; BINS + 1]; 2],
        summary: [[0; BINS]; SummaryRow::ALL.len()],
        course: [[0; BINS]; CourseRow::ALL.len()],
    };

    fn cells(&mut self) -> impl Iterator<Item = &mut u64> {
        let (summary, course) = (self.summary.iter_mut().flatten(), self.course.iter_mut().flatten());
        std::iter::once(&mut self.n).chain(self.lull.iter_mut().flatten()).chain(summary).chain(course)
    }
}

/// Counts of a training sample: encounters with what they were meant as.
///
/// Counts are whole numbers and only added, so neither the order of the sample nor how it was split and
/// merged can change the tables.
#[derive(Clone, Debug)]
pub struct EvidenceCounts {
    taps: Box<Counts>,
    holds: Box<Counts>,
}

impl Default for EvidenceCounts {
    fn default() -> Self {
        Self { taps: Box::new(Counts::NONE), holds: Box::new(Counts::NONE) }
    }
}

impl EvidenceCounts {
    /// An empty sample.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds one encounter that was meant as a hold or as a tap.
    pub fn add(&mut self, encounter: &Encounter<'_>, is_hold: bool) {
        let counts = if is_hold { &mut self.holds } else { &mut self.taps };
        counts.n += 1;
        let (carried, bin) = lull_cell(encounter);
        counts.lull[carried][bin] += 1;
        let summary = Summary::of(encounter);
        counts.summary[summary.lead.0][summary.lead.1] += 1;
        if let Some((row, bin)) = summary.overlap {
            counts.summary[row][bin] += 1;
        }
        let _ = course(encounter, |_, row, bin| {
            counts.course[row as usize][bin] += 1;
            ControlFlow::<()>::Continue(())
        });
    }

    /// Adds another sample.
    pub fn merge(&mut self, other: &Self) {
        let mut other = other.clone();
        for (mine, theirs) in [(&mut self.taps, &mut other.taps), (&mut self.holds, &mut other.holds)] {
            mine.cells().zip(theirs.cells()).for_each(|(mine, theirs)| *mine += *theirs);
        }
    }

    /// Taps counted.
    pub fn taps(&self) -> u64 {
        self.taps.n
    }

    /// Holds counted.
    pub fn holds(&self) -> u64 {
        self.holds.n
    }

    /// The tables of this sample.
    ///
    /// # Definition
    /// The probability of a cell is (count + a) / (sum of the counts it competes with + cells · a). The kind
    /// with fewer encounters has a = ½; the other has a larger in proportion to its number, so a cell that
    /// neither has ever visited says nothing. Each entry is the logarithm of the ratio, hold over tap.
    /// What a cell competes with: for the lull all its cells; for the summary the five rows of dwell and
    /// lead together, and each overlap row by itself; for the course the cells of the same state and bin.
    ///
    /// # Errors
    /// [`TrainingError::OneSided`] when there is no tap or no hold.
    pub fn tables(&self) -> Result<EvidenceTables, TrainingError> {
        let (taps, holds) = (self.taps.n, self.holds.n);
        let fewer = taps.min(holds);
        if fewer == 0 {
            return Err(TrainingError::OneSided { taps, holds });
        }
        let added = |n: u64| 0.5 * n as f64 / fewer as f64;
        let ratio = Ratio { tap: added(taps), hold: added(holds) };
        let (t, h) = (&self.taps, &self.holds);
        let mut tables = EvidenceTables {
            taps,
            holds,
            lull: [[0; BINS + 1]; 2],
            summary: [[0; BINS]; SummaryRow::ALL.len()],
            course: [[0; BINS]; CourseRow::ALL.len()],
            keyed: None,
        };
        ratio.fill(&mut tables.lull, &t.lull, &h.lull);
        for (from, to) in SummaryRow::GROUPS {
            ratio.fill(&mut tables.summary[from..to], &t.summary[from..to], &h.summary[from..to]);
        }
        for (from, to) in CourseRow::STATES {
            for bin in 0..BINS {
                // The last bin cannot pass, so its last row is no cell.
                let to = if bin == BINS - 1 { to - 1 } else { to };
                let of =
                    |counts: &Counts| -> Vec<[u64; 1]> { (from..to).map(|row| [counts.course[row][bin]]).collect() };
                let mut column = vec![[0_i16; 1]; to - from];
                ratio.fill(&mut column, &of(t), &of(h));
                (from..to).zip(column).for_each(|(row, [entry])| tables.course[row][bin] = entry);
            }
        }
        Ok(tables)
    }
}

/// What is added to each count, by kind.
struct Ratio {
    tap: f64,
    hold: f64,
}

impl Ratio {
    /// Fills cells that compete with each other.
    fn fill<const N: usize>(&self, out: &mut [[i16; N]], taps: &[[u64; N]], holds: &[[u64; N]]) {
        let cells = (N * out.len()) as f64;
        let total = |counts: &[[u64; N]]| counts.iter().flatten().sum::<u64>() as f64;
        let (all_taps, all_holds) = (total(taps) + cells * self.tap, total(holds) + cells * self.hold);
        let counted = taps.iter().flatten().zip(holds.iter().flatten());
        for (entry, (&tap, &hold)) in out.iter_mut().flatten().zip(counted) {
            let (tap, hold) = ((tap as f64 + self.tap) / all_taps, (hold as f64 + self.hold) / all_holds);
            let units = libm::round(UNITS_PER_NAT * libm::log(hold / tap));
            *entry = units.clamp(-f64::from(i16::MAX), f64::from(i16::MAX)) as i16;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Hand, Instant, Span};

    fn lone(dwell_ms: f64) -> Encounter<'static> {
        Encounter::new("KeyF".parse().unwrap(), Hand::Left, Instant(0), Span::from_ms(dwell_ms))
    }

    #[test]
    fn entries_are_the_logarithm_of_smoothed_shares() {
        let mut counts = EvidenceCounts::new();
        (0..6).for_each(|_| counts.add(&lone(100.0), false));
        (0..2).for_each(|_| counts.add(&lone(100.0), true));
        counts.add(&lone(400.0), true);
        let tables = counts.tables().unwrap();
        // By hand: 150 cells share the encounters; ½ is added for the 3 holds, 1 for the 6 taps.
        let by_hand = |holds: f64, taps: f64| {
            let ratio = ((holds + 0.5) / (3.0 + 75.0)) / ((taps + 1.0) / (6.0 + 150.0));
            (256.0 * ratio.ln()).round() as i16
        };
        let dwell = tables.summary[SummaryRow::AloneDwell as usize];
        assert_eq!(dwell[super::super::bin_of(100_000)], by_hand(2.0, 6.0));
        assert_eq!(dwell[super::super::bin_of(400_000)], by_hand(1.0, 0.0));
        // Nobody has been there.
        assert_eq!(dwell[0], 0);
        assert_eq!(tables.course[CourseRow::OppositeRelease as usize], [0; BINS]);
    }

    #[test]
    fn passing_time_speaks_for_the_kind_that_stays_down() {
        let mut counts = EvidenceCounts::new();
        for step in 0..50 {
            counts.add(&lone(80.0 + f64::from(step)), false);
            counts.add(&lone(300.0 + f64::from(step)), true);
        }
        let tables = counts.tables().unwrap();
        let passed = tables.course[CourseRow::AlonePassed as usize];
        // Up to 80 ms nobody lets go; then the taps do.
        assert_eq!(passed[super::super::bin_of(50_000)], 0);
        assert!(passed[super::super::bin_of(120_000)] > 256);
        assert_eq!(passed[BINS - 1], 0);
    }

    #[test]
    fn a_sample_of_one_kind_is_refused() {
        let mut counts = EvidenceCounts::new();
        counts.add(&lone(100.0), false);
        assert_eq!(counts.tables().unwrap_err(), TrainingError::OneSided { taps: 1, holds: 0 });
    }
}
