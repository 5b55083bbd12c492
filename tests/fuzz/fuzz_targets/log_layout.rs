//! A layout in TOML, a NUL, and a log in that layout.

#![no_main]

use agogic_fuzz::{judge, judge_refused, said};
use agogic_log::{LogLayout, read_bytes};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let cut = data.iter().position(|byte| *byte == 0).unwrap_or(data.len());
    let (source, rest) = data.split_at(cut);
    let Ok(source) = std::str::from_utf8(source) else { return };
    match LogLayout::from_toml(source) {
        Ok(layout) => match read_bytes(rest.get(1..).unwrap_or_default(), &layout) {
            Ok(log) => judge(&log),
            Err(refused) => judge_refused(&refused),
        },
        Err(mistakes) => {
            assert!(!mistakes.0.is_empty());
            mistakes.0.iter().for_each(|mistake| said(&mistake.to_string()));
        }
    }
});
