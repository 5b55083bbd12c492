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
