//! agogic as a Python module: the compiled half of the package `agogic`.
//!
//! *In*: specs as text, logs as bytes, rules as Python objects. *Out*: the files of result folders as bytes, and JSON; the
//! Python half beside it (`python/agogic`) makes data frames and objects of them. All work runs on a thread of its own with
//! the interpreter released: the calling thread shows progress and answers an interrupt at once.

mod arrays;
mod encounter;
mod folder;
mod job;
mod logs;
mod model;
mod refused;
mod rule;
mod spec;
mod studies;

use pyo3::prelude::*;

#[pymodule]
mod _agogic {
    use std::ffi::OsString;
    use std::process::ExitCode;

    use pyo3::prelude::*;

    #[pymodule_export]
    use crate::arrays::EncounterArrays;
    #[pymodule_export]
    use crate::encounter::{Contact, Encounter};
    #[pymodule_export]
    use crate::folder::{Folder, open_folder};
    #[pymodule_export]
    use crate::logs::{advise_log, fit, log_arrays, log_events, replay, simulate};
    #[pymodule_export]
    use crate::model::{check, plan, population, population_toml};
    #[pymodule_export]
    use crate::rule::check_rule;
    #[pymodule_export]
    use crate::spec::{codes, read_spec, spec_of_json};
    #[pymodule_export]
    use crate::studies::{advise, repeat, run, sweep};

    /// The command `agogic` with these arguments, the first of which is the name of the program; gives the exit code.
    #[pyfunction]
    fn main(py: Python<'_>, args: Vec<OsString>) -> u8 {
        let code = py.detach(|| agogic_cli::main_from(args));
        (0..=u8::MAX).find(|known| ExitCode::from(*known) == code).unwrap_or(101)
    }
}
