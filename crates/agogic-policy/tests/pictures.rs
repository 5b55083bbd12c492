//! The committed pictures are what the code draws now.

#[path = "common/scenes.rs"]
mod scenes;

use std::collections::BTreeSet;

#[test]
fn the_committed_pictures_are_up_to_date() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("pictures");
    let mut expected = BTreeSet::new();
    for (name, svg) in scenes::pictures() {
        let committed = std::fs::read_to_string(folder.join(&name)).unwrap();
        assert!(committed == svg, "{name} is out of date; run `cargo run -p agogic-policy --example pictures`");
        expected.insert(name);
    }
    let found: BTreeSet<String> =
        folder.read_dir().unwrap().map(|file| file.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(found, expected, "no picture too many and none too few");
}
