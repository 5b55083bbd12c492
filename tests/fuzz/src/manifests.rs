//! A result folder on the disk whose manifest is anything.

use std::path::{Path, PathBuf};

use agogic_files::{FolderError, ResultFolder};
use agogic_study::Study;

use crate::specs::{judge_mistakes, judge_study, said};

/// The files of the folder. None of them changes.
const FILES: [(&str, &str); 4] = [
    ("results.csv", "arm,policy\nslow,enclosed\n"),
    ("input-1-words.txt", "High tide at noon. Ask Ada."),
    ("input-2-crew.toml", "name = \"crew\"\nbase = \"slow\"\n"),
    ("input-3-latin.txt", ""),
];

/// What lies beside the folder, where no manifest may lead.
const OUTSIDE: &str = "what lies outside of the folder";

/// A folder beside a file that is none of its.
pub struct Place {
    folder: PathBuf,
}

impl Place {
    /// Makes it in the folder for temporary files.
    ///
    /// # Panics
    /// The disk refuses.
    pub fn new() -> Self {
        let around = std::env::temp_dir().join(format!("agogic-fuzz-{}", std::process::id()));
        let folder = around.join("results");
        std::fs::create_dir_all(folder.join("sub")).expect("the disk takes a folder");
        for (name, text) in FILES {
            std::fs::write(folder.join(name), text).expect("the disk takes a file");
        }
        std::fs::write(folder.join("input-3-latin.txt"), b"caf\xe9").expect("the disk takes a file");
        std::fs::write(around.join("outside.txt"), OUTSIDE).expect("the disk takes a file");
        std::fs::write(folder.join("sub/inside.txt"), OUTSIDE).expect("the disk takes a file");
        Self { folder }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.folder
    }

    /// Reads the folder with this manifest, as a repetition of its run would.
    ///
    /// # Panics
    /// Something does not hold: it is neither refused with a reason nor consistent.
    pub fn read(&self, manifest: &[u8]) {
        std::fs::write(self.folder.join("manifest.json"), manifest).expect("the disk takes a file");
        let folder = match ResultFolder::open(&self.folder) {
            Ok(folder) => folder,
            Err(refused) => return self.refused(&refused),
        };
        let named = &folder.manifest.files_sha256;
        for (name, bytes) in &folder.files {
            assert!(named.contains_key(name) && bytes != OUTSIDE.as_bytes(), "{name}");
            assert_eq!(std::fs::read(self.folder.join(name)).ok().as_ref(), Some(bytes));
        }
        assert!(folder.edited().iter().all(|name| folder.files.contains_key(name)));
        let (spec, inputs) = match folder.spec() {
            Ok(read) => read,
            Err(refused) => return self.refused(&refused),
        };
        assert_eq!(folder.manifest.spec, spec);
        assert!(inputs.iter().all(|input| folder.files.values().any(|bytes| *bytes == input.text.as_bytes())));
        match Study::read_held(spec, &inputs) {
            Ok(study) => judge_study(&study, spec, &inputs),
            Err(mistakes) => judge_mistakes(&mistakes, spec),
        }
    }

    fn refused(&self, refused: &FolderError) {
        said(&refused.to_string());
    }
}

impl Default for Place {
    fn default() -> Self {
        Self::new()
    }
}
