//! Block files: damaged ones are refused.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let _ = agogic_lab::read_block(bytes);
    // With a digest that is right, so that what lies behind it is reached.
    let _ = agogic_lab::read_block(&agogic_lab::with_block_digest(bytes));
});
