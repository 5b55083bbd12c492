//! A spec and, each after a NUL, the files that it may name.

#![no_main]

use agogic_fuzz::{judge_mistakes, judge_study, trains};
use agogic_lab::{Input, Study};
use libfuzzer_sys::fuzz_target;

/// Names of the files, in their order.
const NAMES: [&str; 3] = ["crew.toml", "costs.toml", "words.txt"];

fuzz_target!(|data: &str| {
    let mut parts = data.split('\0');
    let spec = parts.next().unwrap_or_default();
    let held: Vec<Input> =
        NAMES.iter().zip(parts).map(|(name, text)| Input { named: (*name).into(), text: text.into() }).collect();
    if trains(spec) {
        return;
    }
    match Study::read_held(spec, &held) {
        Ok(study) => judge_study(&study, spec, &held),
        Err(mistakes) => judge_mistakes(&mistakes, spec),
    }
});
