//! A layout in TOML, a NUL, and a log in that layout.

#![no_main]

use agogic_fuzz::judge;
use agogic_log::{LogLayout, read_bytes};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let cut = data.iter().position(|byte| *byte == 0).unwrap_or(data.len());
    let (source, rest) = data.split_at(cut);
    let Ok(source) = std::str::from_utf8(source) else { return };
    match LogLayout::from_toml(source) {
        Ok(layout) => match read_bytes(rest.get(1..).unwrap_or_default(), &layout) {
            Ok(log) => judge(&log),
            Err(refused) => assert!(!refused.to_string().is_empty()),
        },
        Err(mistakes) => assert!(!mistakes.0.is_empty() && !mistakes.to_string().is_empty()),
    }
});
