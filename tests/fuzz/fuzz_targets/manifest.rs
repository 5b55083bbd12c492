//! The manifest of a result folder, in a folder with some files.

#![no_main]

use std::sync::LazyLock;

use agogic_fuzz::Place;
use libfuzzer_sys::fuzz_target;

static PLACE: LazyLock<Place> = LazyLock::new(Place::new);

fuzz_target!(|manifest: &[u8]| PLACE.read(manifest));
