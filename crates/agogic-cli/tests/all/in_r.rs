//! Results in R. Where there is no R the test says so and passes, unless `AGOGIC_NEED_R` is 1.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::common::study;

#[test]
fn results_open_in_r_without_loss() {
    let needed = std::env::var("AGOGIC_NEED_R").is_ok_and(|needed| needed == "1");
    if Command::new("Rscript").arg("--version").output().is_err() {
        assert!(!needed, "AGOGIC_NEED_R is 1, but there is no Rscript");
        eprintln!("no R here: results were not opened in it");
        return;
    }
    let (folder, results) = study();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("../agogic-files/r/tests.R");
    let done = Command::new("Rscript")
        .args([&script, &results])
        .arg(folder.path())
        .arg("--some-unknown")
        .env("LC_ALL", "C.UTF-8")
        .output()
        .unwrap();
    let (out, err) = (String::from_utf8_lossy(&done.stdout), String::from_utf8_lossy(&done.stderr));
    assert!(done.status.success() && out.starts_with("ok "), "{out}{err}");
    assert!(std::fs::metadata(folder.path().join("plots.pdf")).unwrap().len() > 3000);
    // R's numbers are those of the folder, bit by bit.
    let rows: Vec<Value> = serde_json::from_slice(&std::fs::read(results.join("results.json")).unwrap()).unwrap();
    let bytes = std::fs::read(folder.path().join("estimates.bin")).unwrap();
    assert_eq!(bytes.len(), 8 * rows.len());
    for (row, bytes) in rows.iter().zip(bytes.chunks_exact(8)) {
        let (ours, theirs) = (row["estimate"]["value"].as_f64(), f64::from_le_bytes(bytes.try_into().unwrap()));
        match ours {
            Some(ours) => assert_eq!(ours.to_bits(), theirs.to_bits(), "{row}"),
            None => assert!(theirs.is_nan(), "{row}"),
        }
    }
}
