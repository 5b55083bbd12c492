//! The file of a shard: read or refused.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let _ = agogic_lab::ShardInfo::read(text);
});
