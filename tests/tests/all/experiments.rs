//! Every study in `experiments/` is one the reader accepts.

use std::path::Path;

use agogic_study::Study;

#[test]
fn all_studies_are_read_without_a_mistake() {
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../experiments"));
    let mut seen = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "toml") {
            let spec = std::fs::read_to_string(&path).unwrap();
            if let Err(mistakes) = Study::read(&spec, folder) {
                panic!("{}: {mistakes}", path.display());
            }
            seen += 1;
        }
    }
    assert!(seen >= 7, "only {seen} studies");
}

/// The table on the first screen of the README is a part of the results that are kept, and those are today's: see the tests
/// of the commands.
#[test]
fn the_readme_shows_the_results_that_are_kept() {
    let root = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/.."));
    let text = |path: &str| std::fs::read_to_string(root.join(path)).unwrap();
    let readme = text("README.md");
    let table = readme.split(" typists     setting ").nth(1).unwrap().split("\n\n").next().unwrap();
    let (mut arm, mut seen) = (String::new(), 0);
    for line in table.lines().skip(2) {
        let mut words = line.split("  ").map(str::trim).filter(|word| !word.is_empty());
        if !line.starts_with("   ") {
            words.next().unwrap().clone_into(&mut arm);
        }
        let (setting, wrong_keys) = (words.next().unwrap(), words.next().unwrap());
        let kept = text(&format!("experiments/results/main-study/policies-{arm}.md"));
        let row = kept.lines().find(|row| row.split('|').nth(1).is_some_and(|cell| cell.trim() == setting)).unwrap();
        assert_eq!(row.split('|').nth(2).unwrap().trim(), wrong_keys, "{setting} of {arm}");
        seen += 1;
    }
    assert_eq!(seen, 12);
}
