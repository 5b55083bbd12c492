//! What a block depends on, in one number.

use agogic_study::Study;
use sha2::{Digest, Sha256};

use crate::disk::hex;

/// Digest of all that decides what a block holds: the spec, the files it names, and the sources of this program.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Fingerprint(pub [u8; 32]);

impl Fingerprint {
    /// The sources of this program that have a part in blocks, and its dependencies.
    pub const SOURCES: &'static str = env!("AGOGIC_SOURCE_SHA256");

    /// Digest of the file that pins the dependencies.
    pub const DEPENDENCIES: &'static str = env!("AGOGIC_LOCK_SHA256");

    /// The fingerprint of a study.
    pub fn of(study: &Study) -> Self {
        let mut all = Sha256::new();
        all.update("agogic-block-1");
        all.update(Self::SOURCES);
        all.update(Self::DEPENDENCIES);
        all.update(Sha256::digest(study.spec.as_bytes()));
        for input in &study.inputs {
            all.update(Sha256::digest(input.named.as_bytes()));
            all.update(Sha256::digest(input.text.as_bytes()));
        }
        Self(all.finalize().into())
    }

    /// The same in 64 hexadecimal digits.
    pub fn hex(&self) -> String {
        hex(&self.0)
    }
}

impl std::fmt::Debug for Fingerprint {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.hex())
    }
}
