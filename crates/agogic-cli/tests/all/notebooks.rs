//! The notebooks: every command in them is run, and what it prints is compared.
//!
//! `TRYCMD=overwrite cargo test -p agogic --test all notebooks` writes what the commands print today.

#[test]
#[cfg(unix)]
fn every_command_of_the_notebooks_prints_what_they_say() {
    trycmd::TestCases::new()
        .register_bin("agogic", std::path::Path::new(env!("CARGO_BIN_EXE_agogic")))
        .register_bin("cat", std::path::Path::new("/bin/cat"))
        .case("../../notebooks-md/*.md")
        .run();
}

/// The figures in the repository are those that the program draws today.
#[test]
#[cfg(unix)]
fn the_figures_of_the_notebooks_are_fresh() {
    let root = std::path::Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."));
    let out = tempfile::tempdir().unwrap();
    let done = std::process::Command::new("bash")
        .arg(root.join("notebooks-md/figures.sh"))
        .arg(out.path())
        .env("AGOGIC", env!("CARGO_BIN_EXE_agogic"))
        .output()
        .unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let mut seen = 0;
    for entry in std::fs::read_dir(out.path()).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap();
        let there = std::fs::read(root.join("notebooks-md/figures").join(name)).unwrap_or_default();
        assert!(
            there == std::fs::read(&path).unwrap(),
            "notebooks-md/figures/{name} is stale; run notebooks-md/figures.sh"
        );
        seen += 1;
    }
    assert!(seen >= 6, "only {seen} figures");
}
