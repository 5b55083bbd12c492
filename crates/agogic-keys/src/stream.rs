//! Random streams with an address instead of an order.
//!
//! A stream is computed from what it is for: the study's seed, the purpose, the typist and the
//! replicate. Two parts of a study therefore never disturb each other, and results do not depend on
//! threads, shards or the order of policies. A policy has no stream: the address has no place for one.

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// The generator behind every stream.
///
/// ChaCha with eight rounds is fast, portable (the same numbers on every platform) and keyed with 256
/// bits, so an address of four 64-bit words *is* the key and no two addresses can collide.
///
/// # Source
/// Bernstein 2008, *ChaCha, a variant of Salsa20*; known answers in this file's tests.
pub type Stream = ChaCha8Rng;

/// What a stream is for. The numbers are part of the address: they never change, and new ones are added.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(u64)]
#[non_exhaustive]
pub enum Purpose {
    /// The parameters of a typist, drawn from the population.
    Typist = 1,
    /// Keystroke timing.
    Timing = 2,
    /// Which shortcuts a typist makes, and where.
    Workload = 3,
    /// Hold gestures: lull, lead, dwell, order of release, tail.
    Gesture = 4,
    /// Slips of the finger and their corrections.
    Slips = 5,
    /// The clock through which the events are seen.
    Clock = 6,
    /// Resampling in the inference.
    Resampling = 7,
    /// Training of policies that learn.
    Training = 8,
    /// Designs over parameters.
    Design = 9,
    /// Noise on the times of a redacted log.
    Redaction = 10,
    /// Times drawn anew from a fitted typist, to judge a fit.
    Refit = 11,
    /// Where in a text a session starts.
    Start = 12,
    /// Which of several texts a session is of.
    Text = 13,
    /// Text drawn from a table of digraphs.
    Digraphs = 14,
    /// Key events that try an exported rule.
    Vectors = 15,
    /// Draws from another distribution than the model's, weighted afterwards.
    Tilt = 20,
}

/// The random stream at an address.
///
/// # Definition
/// ChaCha8 with the 256-bit key `seed ‖ purpose ‖ typist ‖ replicate`, each a little-endian 64-bit word,
/// and counter zero.
pub fn stream(seed: u64, purpose: Purpose, typist: u64, replicate: u64) -> Stream {
    let mut key = [0_u8; 32];
    for (slot, word) in key.chunks_exact_mut(8).zip([seed, purpose as u64, typist, replicate]) {
        slot.copy_from_slice(&word.to_le_bytes());
    }
    ChaCha8Rng::from_seed(key)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::Rng;
    use std::collections::HashSet;

    fn first_bytes<R: Rng>(mut rng: R) -> [u8; 16] {
        let mut bytes = [0; 16];
        rng.fill_bytes(&mut bytes);
        bytes
    }

    #[test]
    fn chacha8_known_answer() {
        // draft-strombergson-chacha-test-vectors-00, TC1, 256-bit key, 8 rounds (from memory).
        let expected = [0x3e, 0x00, 0xef, 0x2f, 0x89, 0x5f, 0x40, 0xd6, 0x7f, 0x5b, 0xb8, 0xe8, 0x1f, 0x09, 0xa5, 0xa1];
        assert_eq!(first_bytes(ChaCha8Rng::from_seed([0; 32])), expected);
    }

    #[test]
    fn chacha20_known_answer() {
        // RFC 8439, appendix A.1, test vector 1.
        let expected = [0x76, 0xb8, 0xe0, 0xad, 0xa0, 0xf1, 0x3d, 0x90, 0x40, 0x5d, 0x6a, 0xe5, 0x53, 0x86, 0xbd, 0x28];
        assert_eq!(first_bytes(rand_chacha::ChaCha20Rng::from_seed([0; 32])), expected);
    }

    #[test]
    fn each_part_of_the_address_matters() {
        let mut seen = HashSet::new();
        for seed in 0..3 {
            for purpose in [Purpose::Typist, Purpose::Timing, Purpose::Workload] {
                for typist in 0..3 {
                    for replicate in 0..3 {
                        assert!(seen.insert(first_bytes(stream(seed, purpose, typist, replicate))));
                    }
                }
            }
        }
    }

    #[test]
    fn the_same_address_gives_the_same_numbers() {
        assert_eq!(first_bytes(stream(7, Purpose::Timing, 3, 0)), first_bytes(stream(7, Purpose::Timing, 3, 0)));
    }
}
