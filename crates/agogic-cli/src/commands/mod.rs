//! One command a file.

pub mod calibrate;
pub mod check;
pub mod completions;
pub mod costs;
pub mod manual;
pub mod picture;
pub mod plan;
pub mod policies;
pub mod populations;
pub mod repeat;
pub mod report;
pub mod run;
pub mod sensitivity;
pub mod simulate;
pub mod sweep;

use std::path::{Path, PathBuf};

use agogic_lab::{MAIN_STUDY, Study};

use crate::failure::Failure;

/// Reads the study at `path`, or the built-in main study.
fn study(path: Option<&PathBuf>) -> Result<Study, Failure> {
    let (name, spec, folder) = match path {
        None => ("built-in main study".to_owned(), MAIN_STUDY.to_owned(), PathBuf::from(".")),
        Some(path) => {
            let spec = std::fs::read_to_string(path).map_err(|source| Failure::Spec { path: path.clone(), source })?;
            let folder = path.parent().unwrap_or(Path::new(".")).to_owned();
            (path.display().to_string(), spec, folder)
        }
    };
    Study::read(&spec, &folder).map_err(|mistakes| Failure::Mistakes { name, mistakes })
}
