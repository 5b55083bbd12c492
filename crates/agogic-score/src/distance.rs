//! Minimum string distance of near-equal texts, piece by piece.

use rapidfuzz::distance::levenshtein;

/// A place that belongs together in two texts: characters before it in the first and in the second.
pub(crate) type Anchor = (u32, u32);

/// The fewest insertions, deletions and substitutions that turn `a` into `b`, over all alignments that pass through the
/// anchors, which rise in both texts.
///
/// # Definition
/// The sum of the exact distances of the pieces between anchors. So it is never below the distance of the whole, and
/// equals it where every anchor lies within a piece that is the same in both and longer than what another alignment could
/// save around it.
///
/// # Panics
/// If an anchor lies outside of the texts, or before the one that precedes it.
pub(crate) fn distance(a: &[u8], b: &[u8], anchors: &[Anchor]) -> u64 {
    let ends = (a.len(), b.len());
    let mut from = (0, 0);
    let mut edits = 0;
    for to in anchors.iter().map(|(i, j)| (*i as usize, *j as usize)).chain([ends]) {
        edits += of_piece(&a[from.0..to.0], &b[from.1..to.1]);
        from = to;
    }
    edits
}

/// The distance of two pieces. Most hold one wrong key, which shows once what is the same at both ends is set aside.
fn of_piece(a: &[u8], b: &[u8]) -> u64 {
    let same = alike(a.chunks(WORD).zip(b.chunks(WORD)), a.iter().zip(b));
    let (a, b) = (&a[same..], &b[same..]);
    let same = alike(a.rchunks(WORD).zip(b.rchunks(WORD)), a.iter().rev().zip(b.iter().rev()));
    let (a, b) = (&a[..a.len() - same], &b[..b.len() - same]);
    match (a, b) {
        ([], rest) | (rest, []) => rest.len() as u64,
        ([one], rest) | (rest, [one]) => (rest.len() - usize::from(rest.contains(one))) as u64,
        // The hint only says where the band starts: it doubles until it holds the distance.
        _ => {
            let args = levenshtein::Args::default().score_hint(16);
            levenshtein::distance_with_args(a.iter().copied(), b.iter().copied(), &args) as u64
        }
    }
}

/// Characters that are compared at once.
const WORD: usize = 16;

/// How many characters are the same from the start on: first word by word, then one by one.
fn alike<'a>(
    words: impl Iterator<Item = (&'a [u8], &'a [u8])>,
    characters: impl Iterator<Item = (&'a u8, &'a u8)>,
) -> usize {
    let whole = words.take_while(|(one, other)| one.len() == WORD && one == other).count() * WORD;
    whole + characters.skip(whole).take_while(|(one, other)| one == other).count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    fn plain(a: &[u8], b: &[u8]) -> u64 {
        strsim::generic_levenshtein(&a.to_vec(), &b.to_vec()) as u64
    }

    fn edited(a: &[u8], edits: &[(u8, usize, u8)]) -> Vec<u8> {
        let mut b = a.to_vec();
        for &(edit, at, letter) in edits {
            let at = at % b.len().max(1);
            match edit {
                0 if at < b.len() => b[at] = letter,
                2 if at < b.len() => _ = b.remove(at),
                _ => b.insert(at, letter),
            }
        }
        b
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2_000))]

        #[test]
        fn agrees_with_the_plain_table(
            pairs in vec((vec(b'a'..=b'c', 0..60), vec(b'a'..=b'c', 0..60)), 1..3),
        ) {
            for (a, b) in &pairs {
                prop_assert_eq!(distance(a, b, &[]), plain(a, b));
            }
        }
    }

    /// A text with letters doubled or left out, and the middles of the pieces that stay the same as anchors.
    #[test]
    fn anchors_within_pieces_that_are_the_same_change_nothing() {
        let a: Vec<u8> = (0..4_000_u32).map(|i| b'a' + (i.wrapping_mul(2_654_435_761) >> 24) as u8 % 26).collect();
        for gap in [20, 33, 50] {
            let (mut b, mut anchors) = (Vec::new(), Vec::new());
            for (at, letter) in a.iter().enumerate() {
                match at % gap {
                    0 if at % 2 == 0 => {}
                    0 => b.extend([*letter; 2]),
                    _ => b.push(*letter),
                }
                if at % gap == gap / 2 {
                    anchors.push((at as u32 + 1, b.len() as u32));
                }
            }
            assert_eq!(distance(&a, &b, &anchors), plain(&a, &b));
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]

        #[test]
        fn long_texts_with_many_edits_agree_too(
            a in vec(prop::sample::select(b"  etaoinshrdlu".to_vec()), 1_200),
            edits in vec((0..3_u8, 0..1_200_usize, b'a'..=b'z'), 0..450),
        ) {
            let b = edited(&a, &edits);
            prop_assert_eq!(distance(&a, &b, &[]), plain(&a, &b));
        }
    }
}
