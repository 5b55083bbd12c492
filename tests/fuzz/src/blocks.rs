//! A small study whose first block is anything.

use std::path::Path;

use agogic_lab::StudyResult;
use agogic_sim::blocks::{BlockFault, block_again, block_around, block_of_all, read_block, run_shard};
use agogic_sim::{Engine, Fingerprint};
use agogic_study::Study;

use crate::runs::judge_rows;
use crate::specs::said;

/// Two policies on two typists, the first of them watched by the ideal observer: every part of a block is there.
pub const SPEC: &str = "name = \"trial\"\nseed = 3\n[text]\nwords = \"High tide at noon. Ask Ada.\"\n[typists]\n\
    number = 2\nkeys_each = 60\n[floor]\ntypists = 1\nrehearsal_keys = 2000\n[inference]\nresamples = 200\n\
    [[policy]]\nrule = \"first-contact\"\n[[policy]]\nrule = \"dwell-cutoff\"\nvalues = { cutoff_ms = 220 }\n";

/// The study, and its second block as it should be.
pub struct Blocks {
    study: Study,
    fingerprint: Fingerprint,
    second: Vec<u8>,
}

impl Blocks {
    /// Makes the blocks of the study; where the variable `BLOCK_SEEDS` names a folder, they are written there as seeds.
    ///
    /// # Panics
    /// The disk refuses.
    pub fn new() -> Self {
        let study = Study::read(SPEC, Path::new(".")).expect("it has no mistakes");
        let out = std::env::temp_dir().join(format!("agogic-fuzz-{}", std::process::id()));
        let engine = Engine::new(&study).expect("nothing learns");
        run_shard(&engine, "1/1".parse().expect("it is one"), Path::new("."), &out, &|_| ()).expect("disk");
        let bytes = |name: &str| std::fs::read(out.join(name)).expect("the block was made");
        let (first, second) = (bytes("arm-0-typists-0-1.block"), bytes("arm-0-typists-1-2.block"));
        std::fs::remove_dir_all(&out).expect("the disk lets go of it");
        if let Some(folder) = std::env::var_os("BLOCK_SEEDS") {
            // Whole, and without first line, fingerprint and digest, which `read` puts around what it is given.
            let start = first.iter().position(|&byte| byte == b'\n').expect("it has a first line") + 33;
            for (name, bytes) in [("watched", &first), ("unwatched", &second)] {
                let write = |name: &str, bytes: &[u8]| std::fs::write(Path::new(&folder).join(name), bytes);
                write(name, &bytes[start..bytes.len() - 32]).expect("the disk takes a file");
                write(&format!("{name}-whole"), bytes).expect("the disk takes a file");
            }
        }
        assert_eq!(block_again(&study, 0, &first).as_ref(), Ok(&first));
        Self { fingerprint: Fingerprint::of(&study), study, second }
    }

    /// Reads bytes as a block file, and as what stands between the fingerprint and the digest of one.
    ///
    /// # Panics
    /// Something does not hold: what is taken up is not the same once written, or nothing can be estimated from it.
    pub fn read(&self, bytes: &[u8]) {
        if let Err(refused) = read_block(bytes) {
            said(&refused.to_string());
        }
        let first = block_around(self.fingerprint, bytes);
        let again = match block_again(&self.study, 0, &first) {
            Ok(again) => again,
            Err(refused) => {
                assert_ne!(refused, BlockFault::Foreign);
                return said(&refused.to_string());
            }
        };
        assert_eq!(read_block(&again), Ok((0, 1)));
        assert_eq!(block_again(&self.study, 0, &again).as_ref(), Ok(&again), "written and read again");
        let block = block_of_all(&self.study, &[&again, &self.second]).expect("both are taken up");
        let engine = Engine::new(&self.study).expect("nothing learns");
        let result = StudyResult::of(&engine, vec![block]);
        judge_rows(&result.rows);
    }
}

impl Default for Blocks {
    fn default() -> Self {
        Self::new()
    }
}
