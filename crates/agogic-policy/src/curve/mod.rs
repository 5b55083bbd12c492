//! Whole curves in one pass: what a setting does at every value of one of its thresholds.

mod grid;
mod of_setting;
mod piece;
mod steps;

pub use grid::{CurveError, GRID_MOST, GridCurve, GridPoint};
pub use piece::{Piece, TimeOf};
pub use steps::{CriticalValues, Errors, ThresholdCurve};
