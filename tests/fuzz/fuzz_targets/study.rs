//! A study as for `spec`: what is read can be run.

#![no_main]

use agogic_fuzz::{held, runs};
use agogic_study::Study;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &str| {
    let (spec, files) = held(data);
    if let Ok(study) = Study::read_held(spec, &files) {
        runs(study);
    }
});
