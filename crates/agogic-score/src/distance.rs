//! Minimum string distance of near-equal texts, by furthest-reaching diagonals.

/// Bytes after the end of a text that is compared, as [`Padded::PAD`]: no byte of one padding is a byte of a text or of
/// the other padding, so characters can be compared eight at a time and no match ever runs over an end.
const PAD: usize = 8;

/// Padding of the first and of the second text; texts are ASCII.
const PADS: [u8; 2] = [0xFF, 0xFE];

/// Characters, of both texts together, by which an alignment may stay behind before it is given up.
///
/// An alignment that stays behind wins only where its text can be matched over this length at another shift, which
/// written language hardly allows.
const LAG: i32 = 64;

/// Alignments that are followed at once, where a text repeats itself and none stays behind.
const WIDEST: usize = 256;

/// A text with its padding.
#[derive(Clone, Debug)]
pub(crate) struct Padded {
    bytes: Vec<u8>,
}

impl Padded {
    /// Bytes of the padding.
    pub(crate) const PAD: usize = PAD;

    /// The text that another one is compared with.
    pub(crate) fn first(mut text: Vec<u8>) -> Self {
        text.extend([PADS[0]; PAD]);
        Self { bytes: text }
    }

    /// Characters of the text.
    pub(crate) fn len(&self) -> usize {
        self.bytes.len() - PAD
    }
}

/// Where nothing can be: stays far below zero however many edits are added.
const NOWHERE: i32 = i32::MIN / 4;

/// Compares texts with buffers that are used again.
///
/// # Definition
/// The fewest insertions, deletions and substitutions that turn one text into the other, over all alignments that never
/// stay more than [`LAG`] characters behind the one that has come furthest with as many edits. So the result is never
/// below the distance, and equals it unless a text repeats itself at length. Cost: in proportion to the length, plus a
/// step for each edit and each alignment that is followed.
///
/// # Source
/// Ukkonen 1985, *Algorithms for approximate string matching*; Landau & Vishkin 1989; alignments that stay behind are
/// given up as in Marco-Sola et al. 2021, *Fast gap-affine pairwise alignment using the wavefront algorithm*, under
/// "heuristic wavefront reduction". From memory.
#[derive(Clone, Debug, Default)]
pub(crate) struct Differ {
    /// For each diagonal i − j that is followed, how much of the first text is matched with the edits spent so far.
    reach: Vec<i32>,
    next: Vec<i32>,
    /// The first diagonal that is followed. On either side of all stand two that are not.
    first: i32,
}

impl Differ {
    /// The distance of `a` and `b`. `b` gets its padding for the while.
    ///
    /// # Panics
    /// If a text has more than a thousand million characters.
    pub(crate) fn distance(&mut self, a: &Padded, b: &mut Vec<u8>) -> u64 {
        let ends = (a.len() as i32, b.len() as i32);
        assert!(a.len().max(b.len()) <= 1_000_000_000, "texts of that size are not held in memory");
        b.extend([PADS[1]; PAD]);
        let edits = self.edits(&a.bytes, b, ends);
        b.truncate(ends.1 as usize);
        edits
    }

    fn edits(&mut self, a: &[u8], b: &[u8], (n, m): (i32, i32)) -> u64 {
        let start = matched(a, b, 0, 0);
        if start == n && n == m {
            return 0;
        }
        // Most of the time one alignment is far ahead of all others, and needs no frontier.
        let mut alone = Some((start, 0));
        for edits in 1.. {
            if let Some((i, k)) = alone {
                let j = i - k;
                if i + 1 < n && j + 1 < m {
                    // A character more in the second text, another one, one more in the first.
                    let next = [(i, j + 1), (i + 1, j + 1), (i + 1, j)];
                    let reached = next.map(|(i, j)| i + matched(a, b, i as usize, j as usize));
                    if (-1..).zip(reached).any(|(step, i)| i == n && k + step == n - m) {
                        return edits;
                    }
                    self.next.clear();
                    self.next.extend([NOWHERE, NOWHERE, reached[0], reached[1], reached[2]]);
                    alone = self.follow(k - 1);
                    continue;
                }
                self.reach.clear();
                self.reach.extend([NOWHERE, NOWHERE, i, NOWHERE, NOWHERE]);
                self.first = k;
            }
            if self.step(a, b, (n, m)) {
                return edits;
            }
            alone = self.follow(self.first - 1);
        }
        unreachable!("each edit brings the furthest alignment further")
    }

    /// One more edit for all that are followed, into `next`; whether the end of both texts is reached.
    fn step(&mut self, a: &[u8], b: &[u8], (n, m): (i32, i32)) -> bool {
        let Self { reach, next, first } = self;
        next.clear();
        next.extend([NOWHERE; 2]);
        for (k, before) in (*first - 1..).zip(reach.windows(3)) {
            // From the diagonal itself or one of its neighbours. Both ends bound the diagonal.
            let [deleted, substituted, inserted] = *before else { continue };
            let mut i = inserted.max(substituted + 1).max(deleted + 1).min(n).min(m + k);
            if i < k.max(0) {
                next.push(NOWHERE);
                continue;
            }
            // All that matches from there on costs nothing.
            i += matched(a, b, i as usize, (i - k) as usize);
            if i == n && k == n - m {
                return true;
            }
            next.push(i);
        }
        false
    }

    /// Gives up those of `next` that stay behind, from both sides; its first cell lies on diagonal `first`. What is left
    /// is followed on; if that is one alignment, its place is told.
    fn follow(&mut self, mut first: i32) -> Option<(i32, i32)> {
        let next = &mut self.next;
        let furthest = (first..).zip(&next[2..]).map(|(k, i)| 2 * i - k).max().expect("three at least");
        let behind = |k: i32, i: i32| furthest - (2 * i - k);
        let (mut from, mut to) = (2, next.len());
        while behind(first, next[from]) > LAG {
            (from, first) = (from + 1, first + 1);
        }
        let last = |first: i32, from: usize, to: usize| first + (to - 1 - from) as i32;
        while behind(last(first, from, to), next[to - 1]) > LAG {
            to -= 1;
        }
        if to - from == 1 {
            return Some((next[from], first));
        }
        while to - from > WIDEST {
            if behind(first, next[from]) > behind(last(first, from, to), next[to - 1]) {
                (from, first) = (from + 1, first + 1);
            } else {
                to -= 1;
            }
        }
        next.truncate(to);
        next.extend([NOWHERE; 2]);
        next.drain(2..from);
        std::mem::swap(&mut self.reach, next);
        self.first = first;
        None
    }
}

/// How many characters match from place `i` of `a` and place `j` of `b` on, eight at a time. The paddings end it.
#[inline]
fn matched(a: &[u8], b: &[u8], i: usize, j: usize) -> i32 {
    let mut same = 0;
    loop {
        let word = |bytes: &[u8], at: usize| {
            let eight = bytes[at + same..].first_chunk::<PAD>().expect("a place in the text or at its end");
            u64::from_le_bytes(*eight)
        };
        let differ = word(a, i) ^ word(b, j);
        if differ != 0 {
            return (same + (differ.trailing_zeros() / 8) as usize) as i32;
        }
        same += 8;
    }
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
            let mut differ = Differ::default();
            for (a, b) in &pairs {
                let mut text = b.clone();
                prop_assert_eq!(differ.distance(&Padded::first(a.clone()), &mut text), plain(a, b));
                prop_assert_eq!(&text, b);
            }
        }

        #[test]
        fn a_match_ends_where_texts_differ_or_end(a in vec(0..3_u8, 0..40), b in vec(0..3_u8, 0..40)) {
            let same = a.iter().zip(&b).take_while(|(one, other)| one == other).count();
            let padded = |text: &[u8], pad: u8| [text, &[pad; PAD]].concat();
            prop_assert_eq!(matched(&padded(&a, PADS[0]), &padded(&b, PADS[1]), 0, 0), same as i32);
            prop_assert_eq!(matched(&padded(&a, PADS[0]), &padded(&a, PADS[1]), 0, 0), a.len() as i32);
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]

        /// Far more edits than alignments that are followed.
        #[test]
        fn never_finds_less_and_hardly_more(
            a in vec(prop::sample::select(b"  etaoinshrdlu".to_vec()), 1_200),
            edits in vec((0..3_u8, 0..1_200_usize, b'a'..=b'z'), 150..450),
        ) {
            let b = edited(&a, &edits);
            let (found, least) = (Differ::default().distance(&Padded::first(a.clone()), &mut b.clone()), plain(&a, &b));
            prop_assert!(found >= least, "{found} {least}");
            prop_assert!(found <= least + 1, "{found} {least}");
        }
    }
}
