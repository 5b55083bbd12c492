//! A log as Parquet: the first byte chooses the layout, the rest is the file.

#![no_main]

use agogic_files::read_log;
use agogic_fuzz::{judge, said};
use agogic_log::LogLayout;
use libfuzzer_sys::fuzz_target;

fuzz_target!(
    // The decoder panics on some damaged files, and the reader catches that. A panic of ours, or one that is not
    // caught, still ends the target.
    init: std::panic::set_hook(Box::new(|panic| {
        if panic.location().is_some_and(|place| place.file().contains("agogic") || place.file().contains("fuzz_targets")) {
            eprintln!("{panic}");
            std::process::abort();
        }
    })),
    |data: &[u8]| {
        let Some((choice, bytes)) = data.split_first() else { return };
        let presets: Vec<&str> = LogLayout::presets().map(|(name, _)| name).collect();
        let layout = LogLayout::preset(presets[usize::from(*choice) % presets.len()]).expect("it is in the list");
        let path = std::env::temp_dir().join(format!("agogic-fuzz-{}.parquet", std::process::id()));
        std::fs::write(&path, bytes).expect("the disk takes a file");
        match read_log(&path, &layout) {
            Ok(log) => judge(&log),
            Err(refused) => said(&refused.to_string()),
        }
    }
);
