//! The binary `agogic`; all it does is in the library beside it.

use std::process::ExitCode;

fn main() -> ExitCode {
    agogic_cli::main_from(std::env::args_os())
}
