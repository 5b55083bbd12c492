//! agogic as a Python module.
use pyo3::prelude::*;

#[pymodule]
mod _agogic {
    use pyo3::prelude::*;
    #[pyfunction]
    fn main(args: Vec<std::ffi::OsString>) -> u8 {
        let code = agogic_cli::main_from(args);
        (0..=255).find(|known| std::process::ExitCode::from(*known) == code).unwrap_or(101)
    }
}
