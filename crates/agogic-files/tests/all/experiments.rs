//! The results in `experiments/results` are those of the studies beside them, made by this version with the numbers
//! that the typist model has today. No study is run: hashes tell. That the code still gives the same results is seen
//! by the notebooks, whose small studies are run.

use std::fs;
use std::path::Path;

use agogic_files::register_json;
use agogic_study::Study;
use serde_json::Value;
use sha2::{Digest, Sha256};

const AGAIN: &str = "run experiments/results.sh";

/// Studies whose results are not kept yet.
const WITHOUT: [&str; 0] = [];

fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[test]
fn every_study_has_results_and_none_is_stale() {
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../../experiments"));
    let mut seen = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "toml") {
            continue;
        }
        let spec = fs::read_to_string(&path).unwrap();
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let results = folder.join("results").join(&name);
        if WITHOUT.contains(&name.as_str()) && !results.exists() {
            continue;
        }
        let manifest = fs::read_to_string(results.join("manifest.json"))
            .unwrap_or_else(|e| panic!("{name} has no results ({e}); {AGAIN}"));
        let manifest: Value = serde_json::from_str(&manifest).unwrap();
        assert_eq!(manifest["spec_sha256"], hash(spec.as_bytes()), "{name}: the spec has changed; {AGAIN}");
        assert_eq!(manifest["agogic"], env!("CARGO_PKG_VERSION"), "{name}: the version has changed; {AGAIN}");
        let study = Study::read(&spec, folder).unwrap();
        let register = hash(&register_json(&study));
        assert_eq!(manifest["files_sha256"]["register.json"], register, "{name}: the model has changed; {AGAIN}");
        let tables = fs::read_dir(&results).unwrap().filter(|e| {
            let path = e.as_ref().unwrap().path();
            path.extension().is_some_and(|ending| ending == "md" || ending == "csv")
        });
        assert!(tables.count() >= 1, "{name} has no table; {AGAIN}");
        seen += 1;
    }
    assert!(seen >= 8 - WITHOUT.len(), "only {seen} studies");
}
