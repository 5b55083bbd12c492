//! `agogic merge`: the shards of a study, and the results of one run from them.

use std::process::ExitCode;

use agogic_files::Claim;
use agogic_lab::merge as merge_shards;
use agogic_sim::Engine;
use agogic_sim::blocks::study_of;

use super::place::Place;
use super::run::{Timer, report};
use crate::args::Merge;
use crate::failure::Failure;

/// Puts shards together and reports as `run` does.
pub fn merge(args: &Merge, as_json: bool) -> Result<ExitCode, Failure> {
    let study = study_of(&args.folders)?;
    let out = Place::free(&study, args.out.as_ref(), "", args.force)?;
    let claim = Claim::new(&out)?;
    let timer = Timer::start();
    let result = merge_shards(&Engine::new(&study)?, &args.folders)?;
    report(&study, result, &claim, &timer, &out, as_json)
}
