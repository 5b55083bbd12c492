//! The place for the results of a command.

use std::path::{Path, PathBuf};

use agogic_files::{Claim, check_target};
use agogic_sim::Store;
use agogic_study::Study;

use crate::failure::Failure;

/// A folder for results that nobody else writes to, and what earlier tries left for it.
pub(super) struct Place {
    pub out: PathBuf,
    pub claim: Claim,
    pub store: Store,
}

impl Place {
    /// Takes the folder that was named, or `results/STUDY` with an ending of the command. Says when there is something
    /// to go on from.
    pub fn take(study: &Study, named: Option<&PathBuf>, ending: &str) -> Result<Self, Failure> {
        let out = Self::of(study, named, ending);
        check_target(&out)?;
        let claim = Claim::new(&out)?;
        let store = Store::open(study, &claim.unfinished())?;
        if !store.is_empty() {
            eprintln!("agogic: going on from {} finished blocks in {}", store.len(), store.folder().display());
        }
        Ok(Self { out, claim, store })
    }

    /// The folder that was named, or `results/STUDY` with an ending of the command.
    pub fn of(study: &Study, named: Option<&PathBuf>, ending: &str) -> PathBuf {
        named.cloned().unwrap_or_else(|| Path::new("results").join(format!("{}{ending}", study.name)))
    }
}
