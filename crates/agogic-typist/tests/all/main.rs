//! Populations from files, laws of the dwell, and what emerges from both.

mod dwell_families;
mod emergence;
mod populations;
