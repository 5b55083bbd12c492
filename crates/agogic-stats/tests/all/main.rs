//! Long runs of what the library claims: coverage, errors of sequences and races, components.

mod bootstrap;
mod components;
mod coverage;
mod race;
mod sequences;
mod simultaneous;
mod timing;
