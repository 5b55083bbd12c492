//! A block file, and what stands between the fingerprint and the digest of one.

#![no_main]

use std::sync::LazyLock;

use agogic_fuzz::Blocks;
use libfuzzer_sys::fuzz_target;

static BLOCKS: LazyLock<Blocks> = LazyLock::new(Blocks::new);

fuzz_target!(|bytes: &[u8]| BLOCKS.read(bytes));
