//! Minimum string distance of near-equal texts, by furthest-reaching diagonals.

/// Edits after which a window is closed.
pub(crate) const WINDOW_EDITS: usize = 128;

/// Bytes after the end of a text that is compared, as [`Padded::PAD`]: no byte of one padding is a byte of a text or of the other padding,
/// so characters can be compared eight at a time and no match ever runs over an end.
const PAD: usize = 8;

/// Padding of the first and of the second text; texts are ASCII.
const PADS: [u8; 2] = [0xFF, 0xFE];

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

/// Diagonals on either side of the main one, and one more that is never reached.
const REACH: usize = WINDOW_EDITS + 1;

/// Place of the main diagonal.
const MAIN: usize = REACH;

/// Where nothing can be: stays far below zero however many edits are added.
const NOWHERE: i32 = i32::MIN / 2;

/// For each diagonal k = i − j, at [`MAIN`] + k, how much of the first text is matched with the edits spent so far.
type Frontier = [i32; 2 * REACH + 1];

/// Compares texts with buffers that are used again.
///
/// # Definition
/// The fewest insertions, deletions and substitutions that turn one text into the other, as long as there
/// are no more than [`WINDOW_EDITS`]. From there on in windows: when that many edits are spent, the
/// alignment that has come furthest is kept and the rest is compared afresh. Windows can only add edits: the
/// result is never below the distance. Cost: in proportion to the length, plus `WINDOW_EDITS` steps for each
/// edit.
///
/// # Source
/// Ukkonen 1985, *Algorithms for approximate string matching*; Landau & Vishkin 1989. From memory. The
/// windows are our own.
#[derive(Clone, Debug)]
pub(crate) struct Differ {
    reach: Frontier,
    next: Frontier,
}

impl Default for Differ {
    fn default() -> Self {
        Self { reach: [NOWHERE; 2 * REACH + 1], next: [NOWHERE; 2 * REACH + 1] }
    }
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
        let mut edits = 0;
        let mut from = (0, 0);
        let distance = loop {
            match self.window(&a.bytes[from.0 as usize..], &b[from.1 as usize..], (ends.0 - from.0, ends.1 - from.1)) {
                Ok(last) => break edits + last as u64,
                Err((i, j)) => {
                    edits += WINDOW_EDITS as u64;
                    from = (from.0 + i, from.1 + j);
                }
            }
        };
        b.truncate(ends.1 as usize);
        distance
    }

    /// The distance of the first `n` and `m` characters if it is within a window, or how far the window's edits come.
    fn window(&mut self, a: &[u8], b: &[u8], (n, m): (i32, i32)) -> Result<usize, (i32, i32)> {
        let start = matched(a, b, 0, 0);
        if start == n && n == m {
            return Ok(0);
        }
        let (mut reach, mut next) = (&mut self.reach, &mut self.next);
        reach.fill(NOWHERE);
        next.fill(NOWHERE);
        reach[MAIN] = start;
        // The end of both texts lies on one diagonal.
        let last = MAIN as i32 + n - m;
        for edits in 1..=WINDOW_EDITS {
            let lowest = MAIN - edits;
            let diagonals = lowest..MAIN + edits + 1;
            let cells = &mut next[diagonals.clone()];
            // One more edit from the diagonal itself or one of its neighbours. No branches: many diagonals at once.
            let before = reach[lowest - 1..MAIN + edits + 2].windows(3);
            for ((k, cell), before) in (-(edits as i32)..).zip(&mut *cells).zip(before) {
                let [deleted, substituted, inserted] = *before else { continue };
                // Both ends bound the diagonal.
                *cell = inserted.max(substituted + 1).max(deleted + 1).min(n).min(m + k);
            }
            // Then all that matches from there on costs nothing. A place outside of either text is no place at all; its
            // number, below zero or not, has no character.
            for (k, cell) in (-(edits as i32)..).zip(cells) {
                let (i, j) = (*cell as u32 as usize, (*cell - k) as u32 as usize);
                match (a.get(i), b.get(j)) {
                    (Some(one), Some(other)) if one == other => *cell += matched(a, b, i, j),
                    (Some(_), Some(_)) => {}
                    _ => *cell = NOWHERE,
                }
            }
            if diagonals.contains(&(last as usize)) && next[last as usize] == n {
                return Ok(edits);
            }
            std::mem::swap(&mut reach, &mut next);
        }
        let ends = (-(WINDOW_EDITS as i32)..).zip(&reach[MAIN - WINDOW_EDITS..=MAIN + WINDOW_EDITS]);
        let ends = ends.filter(|(_, i)| **i >= 0).map(|(k, &i)| (i, i - k));
        Err(ends.max_by_key(|(i, j)| i + j).expect("the main diagonal is reached"))
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

    fn cell_by_cell(mut a: &[u8], mut b: &[u8]) -> u64 {
        let common = |a: &[u8], b: &[u8]| a.iter().zip(b).take_while(|(one, other)| one == other).count() as isize;
        let mut sum = 0;
        loop {
            let (n, m) = (a.len() as isize, b.len() as isize);
            let mut reach = vec![common(a, b)];
            if reach[0] == n && n == m {
                return sum;
            }
            for edits in 1..=WINDOW_EDITS as isize {
                let before = |k: isize| {
                    let at = k + edits - 1;
                    if at < 0 { -1 } else { reach.get(at as usize).copied().unwrap_or(-1) }
                };
                let mut next = Vec::new();
                for k in -edits..=edits {
                    let mut i = before(k + 1);
                    for other in [before(k), before(k - 1)] {
                        if other >= 0 {
                            i = i.max(other + 1);
                        }
                    }
                    i = i.min(n).min(m + k);
                    if i < 0 || i < k {
                        next.push(-1);
                        continue;
                    }
                    i += common(&a[i as usize..], &b[(i - k) as usize..]);
                    if i == n && i - k == m {
                        return sum + edits as u64;
                    }
                    next.push(i);
                }
                reach = next;
            }
            let ends = (-(WINDOW_EDITS as isize)..).zip(&reach).filter(|(_, i)| **i >= 0).map(|(k, &i)| (i, i - k));
            let (i, j) = ends.max_by_key(|(i, j)| i + j).unwrap();
            sum += WINDOW_EDITS as u64;
            (a, b) = (&a[i as usize..], &b[j as usize..]);
        }
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

        /// The windows as they were first written, cell by cell.
        #[test]
        fn windows_end_where_the_plain_ones_end(
            a in vec(b'a'..=b'd', 0..600),
            edits in vec((0..3_u8, 0..600_usize, b'a'..=b'd'), 0..420),
        ) {
            let b = edited(&a, &edits);
            let mut text = b.clone();
            prop_assert_eq!(Differ::default().distance(&Padded::first(a.clone()), &mut text), cell_by_cell(&a, &b));
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]

        /// Far more edits than fit a window.
        #[test]
        fn windows_never_find_less_and_hardly_more(
            a in vec(prop::sample::select(b"  etaoinshrdlu".to_vec()), 1_200),
            edits in vec((0..3_u8, 0..1_200_usize, b'a'..=b'z'), 150..450),
        ) {
            let b = edited(&a, &edits);
            let (found, least) = (Differ::default().distance(&Padded::first(a.clone()), &mut b.clone()), plain(&a, &b));
            prop_assert!(found >= least, "{found} {least}");
            // Where a window ends, a few edits of the kept alignment can be in vain.
            let windows = found / WINDOW_EDITS as u64;
            prop_assert!(found <= least + 4 * windows, "{found} {least}");
        }
    }
}
