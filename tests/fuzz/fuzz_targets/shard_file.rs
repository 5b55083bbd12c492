//! The file of a shard, and the study that its folder is merged to.

#![no_main]

use std::path::PathBuf;
use std::sync::LazyLock;

use agogic_fuzz::{Place, judge_mistakes, said};
use agogic_sim::Fingerprint;
use agogic_sim::blocks::{MergeError, SHARD_FILE, Shard, ShardInfo, study_of};
use agogic_study::Study;
use libfuzzer_sys::fuzz_target;

static PLACE: LazyLock<Place> = LazyLock::new(Place::new);

fuzz_target!(|text: &str| {
    let mut info = match ShardInfo::read(text) {
        Ok(info) => info,
        Err(refused) => return said(&refused),
    };
    assert!(Shard::new(info.shard, info.of).is_ok());
    let written = |info: &ShardInfo| serde_json::to_string(info).expect("our own structs serialise");
    assert_eq!(ShardInfo::read(&written(&info)).as_ref(), Ok(&info));
    // Its spec may name files, but of this folder only.
    info.spec_folder = PLACE.path().to_owned();
    let mut mistakes = None;
    match Study::read(&info.spec, &info.spec_folder) {
        // What no input would hit upon.
        Ok(study) => info.fingerprint = Fingerprint::of(&study).hex(),
        Err(found) => {
            judge_mistakes(&found, &info.spec);
            mistakes = Some(found);
        }
    }
    let folder: PathBuf = PLACE.path().to_owned();
    std::fs::write(folder.join(SHARD_FILE), written(&info)).expect("the disk takes a file");
    match (study_of(&[folder.clone()]), info.of) {
        (Ok(study), 1) => assert_eq!(study.spec, info.spec),
        (Err(MergeError::Missing { missing, of }), 2..) => {
            assert!(of == info.of && missing.len() as u32 == of - 1 && !missing.contains(&info.shard));
        }
        (Err(MergeError::Spec { mistakes: found, .. }), 1) => assert_eq!(Some(found), mistakes),
        (unexpected, of) => panic!("{of}: {:?}", unexpected.map(|study| study.name)),
    }
    if info.of > 1 {
        let doubled = study_of(&[folder.clone(), folder]);
        assert!(matches!(doubled, Err(MergeError::Doubled { .. })), "{:?}", doubled.map(|study| study.name));
    }
});
