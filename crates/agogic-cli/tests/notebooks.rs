//! The notebooks: every command in them is run, and what it prints is compared.
//!
//! `TRYCMD=overwrite cargo test -p agogic --test notebooks` writes what the commands print today.

#[test]
#[cfg(unix)]
fn every_command_of_the_notebooks_prints_what_they_say() {
    trycmd::TestCases::new()
        .register_bin("agogic", std::path::Path::new(env!("CARGO_BIN_EXE_agogic")))
        .register_bin("cat", std::path::Path::new("/bin/cat"))
        .case("../../notebooks-md/*.md")
        .run();
}
