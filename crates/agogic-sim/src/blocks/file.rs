//! A block as bytes: checked by a digest, tied to its study and place.

use std::ops::Range;

use agogic_floor::OddsCounts;
use agogic_score::{Kinds, TypistScore};
use agogic_study::{ESTIMANDS, Study};
use serde::Serialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};

use super::block::Block;
use super::fingerprint::Fingerprint;
use super::plan::{BlockPlace, BlockPlan};
use crate::scores::{ArmScores, TypistSummary};

/// First bytes of a block file.
const MAGIC: &[u8] = b"agogic-block-3\n";

/// Bytes of a SHA-256.
const DIGEST: usize = 32;

/// Why bytes are not the block that was looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BlockFault {
    /// Cut short, changed, or no block file at all.
    #[error("it is damaged or no block file")]
    Damaged,
    /// Of another spec, other files or another build.
    #[error("it belongs to another spec, other input files or another build of agogic")]
    Foreign,
    /// Not what a block of this place holds.
    #[error("it does not hold what its name says")]
    Misplaced,
}

/// Something with its place, as bytes.
///
/// # Shape
/// `agogic-block-3` and a line feed; the fingerprint of the study, 32 bytes; the place and what stands there in the wire
/// format of postcard 1; SHA-256 of all that.
pub(super) fn pack(fingerprint: Fingerprint, place: &impl Serialize, content: &impl Serialize) -> Vec<u8> {
    let mut bytes = MAGIC.to_vec();
    bytes.extend(fingerprint.0);
    let mut bytes = postcard::to_extend(&(place, content), bytes).expect("memory takes our own structs");
    let digest = Sha256::digest(&bytes);
    bytes.extend(digest);
    bytes
}

/// The place of a block in its file: number of the arm, first typist and the one after the last.
type Place = (u64, u64, u64);

/// A block as bytes.
pub(super) fn encode(fingerprint: Fingerprint, place: &BlockPlace, block: &Block) -> Vec<u8> {
    pack(fingerprint, &(place.arm as u64, place.typists.start, place.typists.end), block)
}

/// The block of a place of a study, from its bytes.
pub(super) fn decode(
    bytes: &[u8],
    study: &Study,
    fingerprint: Fingerprint,
    place: &BlockPlace,
) -> Result<Block, BlockFault> {
    let (found, at, block): (_, Place, Block) = unpack(bytes)?;
    if found != fingerprint.0 {
        return Err(BlockFault::Foreign);
    }
    let whole = at == (place.arm as u64, place.typists.start, place.typists.end)
        && are_of(&block.typists, &place.typists, study.policies.len())
        && block.kinds.len() == study.policies.len()
        && block.kinds.iter().flat_map(Kinds::rows).all(|row| row.count <= MOST_PRESSES)
        && block
            .odds
            .iter()
            .flatten()
            .flat_map(OddsCounts::bins)
            .all(|(_, taps, holds)| taps.max(holds) <= MOST_PRESSES)
        && block.odds.len() as u64
            == study.floor.typists.clamp(place.typists.start, place.typists.end) - place.typists.start;
    if whole { Ok(block) } else { Err(BlockFault::Misplaced) }
}

/// Fingerprint, place and content of a file.
pub(super) fn unpack<P: DeserializeOwned, T: DeserializeOwned>(
    bytes: &[u8],
) -> Result<([u8; DIGEST], P, T), BlockFault> {
    let damaged = || BlockFault::Damaged;
    let length = bytes.len().checked_sub(DIGEST).ok_or_else(damaged)?;
    let (content, digest) = bytes.split_at(length);
    let body = content.strip_prefix(MAGIC).ok_or_else(damaged)?;
    if Sha256::digest(content)[..] != *digest {
        return Err(BlockFault::Damaged);
    }
    let (fingerprint, payload) = body.split_first_chunk::<DIGEST>().ok_or_else(damaged)?;
    let ((at, block), rest) = postcard::take_from_bytes(payload).map_err(|_| damaged())?;
    if rest.is_empty() { Ok((*fingerprint, at, block)) } else { Err(BlockFault::Damaged) }
}

/// Whether scores that were read are those of these typists under so many policies, and what the estimates can take.
pub fn are_of(scores: &ArmScores, typists: &Range<u64>, policies: usize) -> bool {
    let people = scores.people();
    people.iter().map(|person| person.typist).eq(typists.clone())
        && people.iter().all(is_finite)
        && scores.are_sound(policies, is_plausible)
}

fn is_finite(person: &TypistSummary) -> bool {
    let TypistSummary { typist: _, wpm, interval_ms, dwell_ms, rollover, release_ms } = *person;
    [wpm, interval_ms, dwell_ms, rollover, release_ms].iter().all(|number| number.is_finite())
}

/// Largest count in a block that can be: of ten million typists they still add up in 64 bits.
const MOST_PRESSES: u64 = 1 << 40;

/// Largest count, or sum of delays or costs in µs, of a typist that can be: a few of them still add up in 64 bits.
const MOST_OF_A_TYPIST: u64 = 1 << 60;

/// What the estimates take for granted: no number is so large that sums overflow, and no part larger than its whole.
fn is_plausible(score: &TypistScore) -> bool {
    score.largest() <= MOST_OF_A_TYPIST
        && ESTIMANDS.iter().all(|info| {
            let (part, whole) = (info.parts)(score);
            (!info.proportion || part <= whole) && (whole > 0.0 || part == 0.0)
        })
}

/// Reads bytes as any block file; gives the first typist and the one after the last.
///
/// # Errors
/// They are damaged or no block file.
pub fn read_block(bytes: &[u8]) -> Result<(u64, u64), BlockFault> {
    unpack(bytes).map(|(_, (_, from, to), _): (_, Place, Block)| (from, to))
}

/// Bytes with a first line and a digest that are right, whatever lies between: for tests of what is behind them.
#[doc(hidden)]
pub fn with_block_digest(bytes: &[u8]) -> Vec<u8> {
    let content = bytes.strip_prefix(MAGIC).unwrap_or(bytes);
    let content = &content[..content.len().saturating_sub(DIGEST)];
    let mut bytes = [MAGIC, content].concat();
    let digest = Sha256::digest(&bytes);
    bytes.extend(digest);
    bytes
}

/// A block file of a study around any payload: for tests of what is behind fingerprint and digest.
#[doc(hidden)]
pub fn block_around(fingerprint: Fingerprint, payload: &[u8]) -> Vec<u8> {
    with_block_digest(&[MAGIC, &fingerprint.0[..], payload, &[0; DIGEST]].concat())
}

/// Bytes that a study takes up as its block number `at`, written again: for tests of reading.
///
/// # Errors
/// They are not that block.
#[doc(hidden)]
pub fn block_again(study: &Study, at: usize, bytes: &[u8]) -> Result<Vec<u8>, BlockFault> {
    let fingerprint = Fingerprint::of(study);
    let places: Vec<_> = (0..study.arms.len()).flat_map(|arm| BlockPlan::of(study).of_arm(arm)).collect();
    let place = places.get(at).ok_or(BlockFault::Misplaced)?;
    Ok(encode(fingerprint, place, &decode(bytes, study, fingerprint, place)?))
}

/// All blocks of a study of one arm as one, from their bytes: for tests of what follows reading.
///
/// # Errors
/// Some are not its blocks.
#[doc(hidden)]
pub fn block_of_all(study: &Study, blocks: &[&[u8]]) -> Result<Block, BlockFault> {
    let fingerprint = Fingerprint::of(study);
    let mut bytes = blocks.iter();
    let load = |place: &BlockPlace| decode(bytes.next().ok_or(BlockFault::Misplaced)?, study, fingerprint, place);
    let places = BlockPlan::of(study).of_arm(0);
    let mut all = Block::empty(study.policies.len());
    places.iter().map(load).try_for_each(|block| block.map(|block| all.append(block)))?;
    Ok(all)
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;
    use crate::engine::Engine;
    use crate::runner::Buffers;
    use crate::scores::TypistRow;

    const SPEC: &str = "name = \"trial\"\nseed = 3\n[text]\nwords = \"High tide at noon. Ask Ada.\"\n[typists]\nnumber = 30\n\
        keys_each = 300\n[floor]\ntypists = 20\nrehearsal_keys = 2000\n[[policy]]\nrule = \"enclosed\"\n[[policy]]\n\
        rule = \"first-contact\"\n";

    fn example() -> (Study, BlockPlace, Block) {
        let study = Study::read(SPEC, Path::new(".")).unwrap();
        let place = BlockPlace { arm: 0, typists: 19..23 };
        let engine = Engine::new(&study).unwrap();
        let block = Block::make(&engine, &place, &mut Buffers::default(), &|_| ());
        (study, place, block)
    }

    #[test]
    fn a_block_comes_back_as_it_was() {
        let (study, place, block) = example();
        assert_eq!((block.typists.len(), block.odds.len(), block.kinds.len()), (4, 1, 2));
        let print = Fingerprint::of(&study);
        let bytes = encode(print, &place, &block);
        assert_eq!(decode(&bytes, &study, print, &place), Ok(block));
        assert_eq!(read_block(&bytes), Ok((19, 23)));
    }

    #[test]
    fn every_changed_bit_and_every_cut_is_noticed() {
        let (study, place, block) = example();
        let print = Fingerprint::of(&study);
        let bytes = encode(print, &place, &block);
        for at in 0..bytes.len() {
            let mut wrong = bytes.clone();
            wrong[at] ^= 1 << (at % 8);
            assert_eq!(decode(&wrong, &study, print, &place), Err(BlockFault::Damaged), "byte {at}");
            assert_eq!(decode(&bytes[..at], &study, print, &place), Err(BlockFault::Damaged), "cut at {at}");
        }
    }

    #[test]
    fn other_studies_and_other_places_are_told_apart() {
        let (study, place, block) = example();
        let print = Fingerprint::of(&study);
        let bytes = encode(print, &place, &block);
        let changed = Study::read(&SPEC.replace("seed = 3", "seed = 4"), Path::new(".")).unwrap();
        let other = Fingerprint::of(&changed);
        assert_eq!(decode(&bytes, &changed, other, &place), Err(BlockFault::Foreign));
        for elsewhere in [BlockPlace { arm: 1, typists: 19..23 }, BlockPlace { arm: 0, typists: 19..22 }] {
            assert_eq!(decode(&bytes, &study, print, &elsewhere), Err(BlockFault::Misplaced));
        }
        // A block that says it is another one.
        let elsewhere = BlockPlace { arm: 0, typists: 20..24 };
        let bytes = encode(print, &elsewhere, &block);
        assert_eq!(decode(&bytes, &study, print, &elsewhere), Err(BlockFault::Misplaced));
    }

    /// The block with other scores.
    fn rescored(block: &Block, change: impl Fn(&mut TypistScore)) -> Block {
        let mut rows: Vec<TypistRow> = block.typists.iter().collect();
        rows.iter_mut().for_each(|row| change(&mut row.scores[0]));
        Block { typists: ArmScores::of(block.typists.policies(), &rows), ..block.clone() }
    }

    #[test]
    fn impossible_counts_are_refused() {
        let (study, place, block) = example();
        let print = Fingerprint::of(&study);
        let read = |block: &Block| decode(&encode(print, &place, block), &study, print, &place);
        assert!(read(&rescored(&block, |_| ())).is_ok());
        assert_eq!(
            read(&rescored(&block, |score| score.counts.false_holds = score.counts.taps + 1)),
            Err(BlockFault::Misplaced)
        );
        // What would overflow once it is added up.
        let changes: [fn(&mut TypistScore); 3] = [
            |score| score.counts.stray_chords = u64::MAX,
            |score| score.harm.lost_chords_us = 1 << 61,
            |score| score.text.correct = u64::MAX,
        ];
        for change in changes {
            assert_eq!(read(&rescored(&block, change)), Err(BlockFault::Misplaced));
        }
        let odds = serde_json::to_string(&block.odds[0][0]).unwrap().replacen("[0,0]", "[1099511627777,0]", 1);
        let mut wrong = block.clone();
        wrong.odds[0][0] = serde_json::from_str(&odds).unwrap();
        assert_eq!(read(&wrong), Err(BlockFault::Misplaced));
        let row = r#"[{"outcome":"false-hold","modifier":"Shift","key":"KeyF","count":1099511627777}]"#;
        let mut wrong = block;
        wrong.kinds[0] = serde_json::from_str(row).unwrap();
        assert_eq!(read(&wrong), Err(BlockFault::Misplaced));
    }
}
