//! Specs: whatever is written in one, it is read or its mistakes are listed.
#![no_main]

use std::path::Path;

use agogic_lab::Study;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    // Rules that learn are trained while a spec is read; that is no part of reading and would take all the time.
    if !["evidence", "personal", "sensitivity"].iter().any(|word| text.contains(word)) {
        let _ = Study::read(text, Path::new("/nonexistent"));
    }
});
