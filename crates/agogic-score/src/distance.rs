//! Minimum string distance of near-equal texts, by furthest-reaching diagonals.

/// Edits after which a window is closed.
pub(crate) const WINDOW_EDITS: usize = 128;

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
#[derive(Clone, Debug, Default)]
pub(crate) struct Differ {
    /// For each diagonal, how much of `a` is matched with the edits spent so far; −1 where none can be.
    reach: Vec<isize>,
    next: Vec<isize>,
}

impl Differ {
    /// The distance of `a` and `b`.
    pub(crate) fn distance(&mut self, mut a: &[u8], mut b: &[u8]) -> u64 {
        let mut edits = 0;
        loop {
            match self.window(a, b) {
                Ok(last) => return edits + last as u64,
                Err((i, j)) => {
                    edits += WINDOW_EDITS as u64;
                    (a, b) = (&a[i..], &b[j..]);
                }
            }
        }
    }

    /// The distance if it is within a window, or how far the window's edits come.
    fn window(&mut self, a: &[u8], b: &[u8]) -> Result<usize, (usize, usize)> {
        let (n, m) = (a.len() as isize, b.len() as isize);
        let start = common_prefix(a, b) as isize;
        if start == n && n == m {
            return Ok(0);
        }
        // Diagonal k = i − j lies at k + edits in `reach` of that many edits.
        self.reach.clear();
        self.reach.push(start);
        for edits in 1..=WINDOW_EDITS as isize {
            self.next.clear();
            for k in -edits..=edits {
                let before = |k: isize| {
                    let at = k + edits - 1;
                    if at < 0 { -1 } else { self.reach.get(at as usize).copied().unwrap_or(-1) }
                };
                let (deleted, substituted, inserted) = (before(k - 1), before(k), before(k + 1));
                let mut i = inserted;
                if substituted >= 0 {
                    i = i.max(substituted + 1);
                }
                if deleted >= 0 {
                    i = i.max(deleted + 1);
                }
                // Both ends bound the diagonal.
                i = i.min(n).min(m + k);
                if i < 0 || i < k {
                    self.next.push(-1);
                    continue;
                }
                i += common_prefix(&a[i as usize..], &b[(i - k) as usize..]) as isize;
                if i == n && i - k == m {
                    return Ok(edits as usize);
                }
                self.next.push(i);
            }
            std::mem::swap(&mut self.reach, &mut self.next);
        }
        let edits = WINDOW_EDITS as isize;
        let ends =
            self.reach.iter().enumerate().filter(|(_, i)| **i >= 0).map(|(at, &i)| (i, i - (at as isize - edits)));
        let (i, j) = ends.max_by_key(|(i, j)| i + j).expect("the main diagonal is reached");
        Err((i as usize, j as usize))
    }
}

/// How many characters both begin with, eight at a time.
#[inline]
fn common_prefix(a: &[u8], b: &[u8]) -> usize {
    let eights = a.chunks_exact(8).zip(b.chunks_exact(8));
    let mut same = 0;
    for (one, other) in eights {
        let word = |bytes: &[u8]| u64::from_le_bytes(bytes.try_into().expect("eight bytes"));
        let differ = word(one) ^ word(other);
        if differ != 0 {
            return same + (differ.trailing_zeros() / 8) as usize;
        }
        same += 8;
    }
    same + a[same..].iter().zip(&b[same..]).take_while(|(one, other)| one == other).count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    fn plain(a: &[u8], b: &[u8]) -> u64 {
        strsim::generic_levenshtein(&a.to_vec(), &b.to_vec()) as u64
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2_000))]

        #[test]
        fn agrees_with_the_plain_table(
            pairs in vec((vec(b'a'..=b'c', 0..60), vec(b'a'..=b'c', 0..60)), 1..3),
        ) {
            let mut differ = Differ::default();
            for (a, b) in &pairs {
                prop_assert_eq!(differ.distance(a, b), plain(a, b));
            }
        }

        #[test]
        fn the_common_prefix_ends_where_texts_differ(a in vec(0..3_u8, 0..40), b in vec(0..3_u8, 0..40)) {
            let same = a.iter().zip(&b).take_while(|(one, other)| one == other).count();
            prop_assert_eq!(common_prefix(&a, &b), same);
            prop_assert_eq!(common_prefix(&a, &a), a.len());
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
            let mut b = a.clone();
            for (edit, at, letter) in &edits {
                let at = at % b.len();
                match edit {
                    0 => b[at] = *letter,
                    1 => b.insert(at, *letter),
                    _ => { b.remove(at); }
                }
            }
            let (found, least) = (Differ::default().distance(&a, &b), plain(&a, &b));
            prop_assert!(found >= least, "{found} {least}");
            // Where a window ends, a few edits of the kept alignment can be in vain.
            let windows = found / WINDOW_EDITS as u64;
            prop_assert!(found <= least + 4 * windows, "{found} {least}");
        }
    }
}
