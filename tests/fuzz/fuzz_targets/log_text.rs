//! Bytes as a log: the first byte chooses the layout, the rest is the file.

#![no_main]

use agogic_fuzz::{judge, judge_refused, survives};
use agogic_log::{LogLayout, read_bytes};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let Some((choice, bytes)) = data.split_first() else { return };
    let presets: Vec<&str> = LogLayout::presets().map(|(name, _)| name).collect();
    let name = presets[usize::from(*choice) % presets.len()];
    let layout = LogLayout::preset(name).expect("it is in the list");
    match read_bytes(bytes, &layout) {
        Ok(log) => {
            judge(&log);
            if name != "redacted" {
                survives(&log);
            }
        }
        Err(refused) => judge_refused(&refused),
    }
});
