//! A spec and, each after a NUL, the files that it may name.

#![no_main]

use agogic_fuzz::{held, judge_mistakes, judge_study};
use agogic_study::Study;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &str| {
    let (spec, files) = held(data);
    match Study::read_held(spec, &files) {
        Ok(study) => judge_study(&study, spec, &files),
        Err(mistakes) => judge_mistakes(&mistakes, spec),
    }
});
