//! Planted and published values, the calibration, tables of keys, and the texts that state them.

mod calibration;
mod keys;
mod planted;
mod readme;
