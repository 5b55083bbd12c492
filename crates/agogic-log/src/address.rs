//! A number for a name, for the address of a random stream.

use sha2::{Digest, Sha256};

/// A number that depends on the names alone, never on their order in a log.
///
/// # Definition
/// The first eight bytes, little-endian, of the SHA-256 of each name with its length before it.
pub(crate) fn address(names: &[&str]) -> u64 {
    let mut hash = Sha256::new();
    for name in names {
        hash.update((name.len() as u64).to_le_bytes());
        hash.update(name);
    }
    let digest = hash.finalize();
    u64::from_le_bytes(digest[..8].try_into().expect("a digest has 32 bytes"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_do_not_run_together() {
        assert_ne!(address(&["ab", "c"]), address(&["a", "bc"]));
        assert_ne!(address(&["ab"]), address(&["ab", ""]));
        assert_eq!(address(&["ada"]), address(&["ada"]));
    }
}
