//! Errors and delays on a grid of thresholds, in one pass and fixed memory.

use serde::Serialize;

use super::piece::{Piece, TimeOf};
use super::steps::Errors;
use crate::registry::{Monotone, Param};
use crate::{Encounter, Role, Setting, SettingError};

/// The most points a grid may have.
pub const GRID_MOST: usize = 1000;

/// Why a grid was refused. The texts continue "failed to set up a curve: …".
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CurveError {
    /// The setting has no such threshold, or the value is out of range.
    #[error(transparent)]
    Setting(#[from] SettingError),
    /// Raising the value makes more holds or waits in a way that neither pieces nor critical values tell.
    #[error("{0} has no curve in one pass; run a setting for each value")]
    NoCurve(&'static str),
    /// No point, or too many.
    #[error("a grid has between 1 and {GRID_MOST} thresholds, not {0}")]
    Points(usize),
    /// Two points are the same once kept, or stand in the wrong order.
    #[error("the thresholds of a grid must rise, also once rounded as they are kept; {0} does not lie above {1}")]
    Order(f64, f64),
}

/// What a setting does at one threshold of a grid. Sums are whole numbers.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct GridPoint {
    /// The threshold, in its own unit, as it is kept.
    pub threshold: f64,
    /// Roles.
    pub errors: Errors,
    /// Sum over presses meant as taps of decision − press, in µs, whatever the decision. `None` where it
    /// cannot be had in one pass.
    pub tap_delay_us: Option<u64>,
    /// The same for presses meant as holds.
    pub hold_delay_us: Option<u64>,
}

/// Sums that change along the grid, kept as differences from point to point.
#[derive(Clone, Debug, PartialEq)]
struct Delays {
    /// Fixed times, in µs.
    fixed: Vec<i64>,
    /// How many times the threshold itself is added.
    lines: Vec<i64>,
}

impl Delays {
    fn new(points: usize) -> Self {
        Self { fixed: vec![0; points + 1], lines: vec![0; points + 1] }
    }

    fn add(&mut self, from: usize, to: usize, after: TimeOf) {
        let (us, line) = match after {
            TimeOf::Fixed(after) => (after.0 as i64, 0),
            TimeOf::Threshold(offset) => (offset.0 as i64, 1),
        };
        self.fixed[from] += us;
        self.fixed[to] -= us;
        self.lines[from] += line;
        self.lines[to] -= line;
    }

    fn merge(&mut self, other: &Self) {
        self.fixed.iter_mut().zip(&other.fixed).for_each(|(mine, theirs)| *mine += theirs);
        self.lines.iter_mut().zip(&other.lines).for_each(|(mine, theirs)| *mine += theirs);
    }
}

/// Counts of one kind of press.
#[derive(Clone, Debug, PartialEq)]
struct Side {
    n: u64,
    /// Presses that are holds, as differences from point to point.
    holds: Vec<i64>,
    delays: Option<Delays>,
}

/// What a setting does on a grid of values of one threshold: roles, and where possible mean delays.
///
/// # Definition
/// At each point exactly what a run of the setting with that value gives. One pass over the encounters
/// serves the whole grid; memory hangs on the grid alone, not on their number.
///
/// # Undefined
/// Delays are `None` for `share` of `overlap-share`; see [`Setting::pieces`]. Quantiles of the delay, and
/// what reaches the host, need a run at each threshold.
#[derive(Clone, Debug, PartialEq)]
pub struct GridCurve {
    name: &'static str,
    /// The grid in steps, rising.
    steps: Vec<i64>,
    steps_per_unit: f64,
    taps: Side,
    holds: Side,
    scratch: Vec<Piece>,
}

impl GridCurve {
    /// An empty curve of `setting` over a grid of values of its threshold `name`.
    ///
    /// # Errors
    /// No such threshold, one without a curve, or a grid that is none.
    pub fn new(setting: &Setting, name: &str, grid: &[f64]) -> Result<Self, CurveError> {
        let param = setting.threshold(name)?;
        let timed = has_pieces(setting, &param);
        if !timed && param.monotone != Some(Monotone::FewerHolds) {
            return Err(CurveError::NoCurve(param.name));
        }
        if !(1..=GRID_MOST).contains(&grid.len()) {
            return Err(CurveError::Points(grid.len()));
        }
        if let Some(&value) = grid.iter().find(|&&value| !param.accepts(value)) {
            let Param { name, min, max, .. } = param;
            return Err(SettingError::OutOfRange { name, value, min, max }.into());
        }
        let steps: Vec<i64> = grid.iter().map(|&value| param.to_steps(value)).collect();
        if let Some(at) = (1..steps.len()).find(|&at| steps[at] <= steps[at - 1]) {
            return Err(CurveError::Order(grid[at], grid[at - 1]));
        }
        let side = || Side { n: 0, holds: vec![0; steps.len() + 1], delays: timed.then(|| Delays::new(steps.len())) };
        let (taps, holds) = (side(), side());
        Ok(Self { name: param.name, steps, steps_per_unit: param.steps_per_unit(), taps, holds, scratch: Vec::new() })
    }

    /// Adds an encounter that was meant as a hold or as a tap. `setting` is the one the curve was made for.
    pub fn add(&mut self, setting: &Setting, encounter: &Encounter<'_>, is_hold: bool) {
        let side = if is_hold { &mut self.holds } else { &mut self.taps };
        side.n += 1;
        match &mut side.delays {
            Some(delays) => {
                let known = setting.pieces(self.name, encounter, &mut self.scratch);
                assert!(known, "the setting is the one the curve was made for");
                let mut from = 0;
                for piece in &self.scratch {
                    let to = from + self.steps[from..].partition_point(|&threshold| threshold <= piece.to);
                    if to > from {
                        delays.add(from, to, piece.after);
                        if piece.role == Role::Hold {
                            side.holds[from] += 1;
                            side.holds[to] -= 1;
                        }
                        from = to;
                    }
                }
            }
            None => {
                let value = setting.critical_value(self.name, encounter).expect("it has critical values");
                let value = libm::round(value * self.steps_per_unit);
                let to = self.steps.partition_point(|&threshold| threshold as f64 <= value);
                side.holds[0] += 1;
                side.holds[to] -= 1;
            }
        }
    }

    /// Adds another curve of the same setting on the same grid, as of another typist.
    ///
    /// # Panics
    /// If the grids differ: the caller mixed up curves.
    pub fn merge(&mut self, other: &Self) {
        assert!(self.name == other.name && self.steps == other.steps, "curves of one grid");
        for (mine, theirs) in [(&mut self.taps, &other.taps), (&mut self.holds, &other.holds)] {
            mine.n += theirs.n;
            mine.holds.iter_mut().zip(&theirs.holds).for_each(|(mine, theirs)| *mine += theirs);
            if let (Some(mine), Some(theirs)) = (&mut mine.delays, &theirs.delays) {
                mine.merge(theirs);
            }
        }
    }

    /// The threshold the curve is about.
    pub fn name(&self) -> &'static str {
        self.name
    }

    /// The points of the grid, in order.
    pub fn points(&self) -> impl Iterator<Item = GridPoint> + '_ {
        let (mut taps, mut holds) = (Running::new(&self.taps), Running::new(&self.holds));
        self.steps.iter().enumerate().map(move |(at, &steps)| {
            let (false_holds, tap_delay_us) = taps.step(at, steps);
            let (true_holds, hold_delay_us) = holds.step(at, steps);
            let errors =
                Errors { taps: self.taps.n, false_holds, holds: self.holds.n, missed_holds: self.holds.n - true_holds };
            GridPoint { threshold: steps as f64 / self.steps_per_unit, errors, tap_delay_us, hold_delay_us }
        })
    }
}

/// Differences added up again.
struct Running<'a> {
    side: &'a Side,
    holds: i64,
    fixed: i64,
    lines: i64,
}

impl<'a> Running<'a> {
    fn new(side: &'a Side) -> Self {
        Self { side, holds: 0, fixed: 0, lines: 0 }
    }

    fn step(&mut self, at: usize, steps: i64) -> (u64, Option<u64>) {
        self.holds += self.side.holds[at];
        let delay = self.side.delays.as_ref().map(|delays| {
            self.fixed += delays.fixed[at];
            self.lines += delays.lines[at];
            (self.fixed + self.lines * steps) as u64
        });
        (self.holds as u64, delay)
    }
}

/// Whether role and time hang on the threshold in pieces: asked with a press that nothing is known of.
fn has_pieces(setting: &Setting, param: &Param) -> bool {
    use agogic_keys::{Code, Hand, Instant, Span};
    let press = Encounter::new(Code::SPACE, Hand::Either, Instant::ZERO, Span(1));
    setting.pieces(param.name, &press, &mut Vec::new())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrong_grids_are_refused() {
        let setting = Setting::rule("dwell-cutoff", &[]).unwrap();
        let refused = |name: &str, grid: &[f64]| GridCurve::new(&setting, name, grid).unwrap_err();
        assert_eq!(refused("cutoff_ms", &[]), CurveError::Points(0));
        assert_eq!(refused("cutoff_ms", &vec![9.0; 1001]), CurveError::Points(1001));
        assert_eq!(refused("cutoff_ms", &[9.0, 9.0001]), CurveError::Order(9.0001, 9.0));
        assert_eq!(refused("cutoff_ms", &[9.0, 8.0]), CurveError::Order(8.0, 9.0));
        assert!(matches!(refused("share", &[0.5]), CurveError::Setting(SettingError::UnknownValue { .. })));
        for bad in [f64::NAN, 0.0, 1e9] {
            assert!(matches!(refused("cutoff_ms", &[bad]), CurveError::Setting(SettingError::OutOfRange { .. })));
        }
        assert!(GridCurve::new(&setting, "bare_hold_ms", &[0.0, 500.0]).is_ok());
    }
}
