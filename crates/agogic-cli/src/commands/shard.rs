//! `agogic shard`: one part of a study, for a machine among several.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use agogic_files::Claim;
use agogic_sim::Engine;
use agogic_sim::blocks::run_shard;
use serde_json::json;

use super::study;
use crate::args::MakeShard;
use crate::failure::Failure;
use crate::progress;
use crate::screen::screen;

/// Makes a shard, or what is missing of it.
pub fn shard(args: &MakeShard, as_json: bool) -> Result<ExitCode, Failure> {
    let study = study(Some(&args.spec))?;
    let _claim = Claim::new(&args.out)?;
    let spec_folder = match args.spec.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    };
    let bar = progress::spinner("typists");
    bar.set_message(format!("shard {}", args.shard));
    let done = run_shard(&Engine::new(&study)?, args.shard, &spec_folder, &args.out, &|done| bar.inc(done))?;
    bar.finish_and_clear();
    let mut screen = screen();
    let out: &Path = &args.out;
    if as_json {
        let all = json!({
            "study": study.name, "shard": args.shard.number(), "of": args.shard.of(), "blocks": done.blocks,
            "found": done.found, "folder": out,
        });
        writeln!(screen, "{all}")?;
    } else {
        writeln!(
            screen,
            "Shard {} of `{}`: {} blocks, {} of them found finished. Folder: {}",
            args.shard,
            study.name,
            done.blocks,
            done.found,
            out.display()
        )?;
    }
    Ok(ExitCode::SUCCESS)
}
