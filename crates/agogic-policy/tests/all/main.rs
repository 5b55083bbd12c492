//! What holds of every rule: conformance, a transcription of each, curves, personal values, pictures.

mod asks;
mod common;
mod conformance;
mod curves;
mod machines;
mod personal;
mod pictures;
mod reference_machine;
