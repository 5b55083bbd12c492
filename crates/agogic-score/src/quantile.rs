//! Quantiles of whole numbers by nearest rank.

/// The rank, from 1, of the smallest value that at least `percent` of `n` values do not exceed.
///
/// Whole numbers throughout: a share such as 0.95 has no exact float, and the rank must not hang on that.
fn rank(n: usize, percent: usize) -> usize {
    (n * percent).div_ceil(100).clamp(1, n)
}

/// The smallest value that at least `percent` of the values do not exceed; zero for none. Reorders `values`.
pub(crate) fn nearest_rank(values: &mut [u64], percent: usize) -> u64 {
    nearest_rank_beside_zeros(0, values, percent)
}

/// The same for several shares, the smallest first.
pub(crate) fn nearest_ranks<const N: usize>(values: &mut [u64], percents: [usize; N]) -> [u64; N] {
    let n = values.len();
    let mut below = 0;
    percents.map(|percent| {
        if n == 0 {
            return 0;
        }
        // What stands before the rank found last is smaller and need not be looked at again.
        let at = rank(n, percent) - 1;
        let value = *values[below..].select_nth_unstable(at - below).1;
        below = at;
        value
    })
}

/// The same for `values` together with `zeros` more values of zero that need not be stored.
pub(crate) fn nearest_rank_beside_zeros(zeros: usize, values: &mut [u64], percent: usize) -> u64 {
    let n = zeros + values.len();
    if n == 0 {
        return 0;
    }
    match rank(n, percent).checked_sub(zeros + 1) {
        None => 0,
        Some(at) => *values.select_nth_unstable(at).1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_rank_takes_an_observed_value() {
        let mut values: Vec<u64> = (1..=20).rev().collect();
        assert_eq!(nearest_rank(&mut values, 95), 19);
        assert_eq!(nearest_rank(&mut values, 50), 10);
        assert_eq!(nearest_rank(&mut [7], 95), 7);
        assert_eq!(nearest_rank(&mut [], 95), 0);
        assert_eq!(nearest_rank(&mut [3, 1, 2], 50), 2);
    }

    #[test]
    fn several_at_once_are_those_one_by_one() {
        for n in 0..240_u64 {
            let values: Vec<u64> = (0..n).map(|i| i * 7919 % 83).collect();
            let all = nearest_ranks(&mut values.clone(), [50, 95, 99]);
            assert_eq!(all, [50, 95, 99].map(|percent| nearest_rank(&mut values.clone(), percent)));
        }
    }

    #[test]
    fn zeros_need_not_be_stored() {
        for zeros in 0..40 {
            for others in 0..25_u64 {
                for percent in [50, 95] {
                    let mut stored: Vec<u64> = (1..=others).rev().collect();
                    let mut all = vec![0; zeros];
                    all.extend(&stored);
                    let beside = nearest_rank_beside_zeros(zeros, &mut stored, percent);
                    assert_eq!(beside, nearest_rank(&mut all, percent), "{zeros} zeros, {others} others");
                }
            }
        }
    }
}
