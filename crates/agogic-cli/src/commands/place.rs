//! The place for the results of a command.

use std::path::{Path, PathBuf};

use agogic_files::{Claim, check_target, spec_kept};
use agogic_sim::Store;
use agogic_study::{DEFAULTS_STUDY, MAIN_STUDY, Study};

use crate::failure::Failure;

/// A folder for results that nobody else writes to, and what earlier tries left for it.
pub(super) struct Place {
    pub out: PathBuf,
    pub claim: Claim,
    pub store: Store,
}

impl Place {
    /// Takes the folder that was named, or `results/STUDY` with an ending of the command; results of another spec are
    /// replaced by `force` alone. Says when there is something to go on from.
    pub fn take(study: &Study, named: Option<&PathBuf>, ending: &str, force: bool) -> Result<Self, Failure> {
        let out = Self::free(study, named, ending, force)?;
        let claim = Claim::new(&out)?;
        let store = Store::open(study, &claim.unfinished())?;
        if !store.is_empty() {
            eprintln!("agogic: going on from {} finished blocks in {}", store.len(), store.folder().display());
        }
        Ok(Self { out, claim, store })
    }

    /// That folder, where it may be written to.
    pub fn free(study: &Study, named: Option<&PathBuf>, ending: &str, force: bool) -> Result<PathBuf, Failure> {
        let out = named.cloned().unwrap_or_else(|| Path::new("results").join(format!("{}{ending}", study.name)));
        check_target(&out)?;
        // The same spec gives the same results, so nothing is lost with them. A newer version may bring other studies of its own.
        let own = named.is_none() && [MAIN_STUDY, DEFAULTS_STUDY].contains(&study.spec.as_str());
        if !force && !own && spec_kept(&out).is_some_and(|spec| spec != study.spec) {
            return Err(Failure::OtherResults { folder: out });
        }
        Ok(out)
    }
}
