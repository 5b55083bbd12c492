//! Which typists are for what: ranges of numbers that never meet, so that nobody is judged on what was learned from,
//! chosen on or confirmed with the same person.

/// Numbers in a range; no study asks for so many of a kind.
const RANGE: u64 = 1 << 40;

/// Those a rule learns from. Judged typists count from 0.
pub const TRAINING: u64 = RANGE;

/// The people of a pool for a human study.
pub const POOL: u64 = 2 * RANGE;

/// Those on whom advice searches.
pub const SEARCH: u64 = 3 * RANGE;

/// Those who confirm it.
pub const CONFIRM: u64 = 4 * RANGE;

/// Those who type under other assumptions.
pub const ROBUST: u64 = 5 * RANGE;

/// Draws of a person on whom personal advice confirms.
pub const PERSONAL_CONFIRM: u64 = 6 * RANGE;

/// Draws of a person on whom it searches.
pub const PERSONAL_SEARCH: u64 = 7 * RANGE;

/// People of the population behind the default of personal advice.
pub const PERSONAL_COMMON: u64 = 8 * RANGE;

/// Those on whom rules that know keys are held against other texts.
pub const ELSEWHERE: u64 = 9 * RANGE;

/// Those on whom advice holds rules that learn against rules that do not.
pub const TRANSFER: u64 = 12 * RANGE;

/// Those on whom one default for everybody is looked for.
pub const ONE_SEARCH: u64 = 13 * RANGE;

/// Those on whom it is chosen and stands.
pub const ONE_CONFIRM: u64 = 14 * RANGE;

/// People who are shown beside one person, and whom everybody may look at.
pub const SHOWN: u64 = 20 * RANGE;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_kinds_share_a_typist() {
        let mut starts = [
            0,
            TRAINING,
            POOL,
            SEARCH,
            CONFIRM,
            ROBUST,
            PERSONAL_CONFIRM,
            PERSONAL_SEARCH,
            PERSONAL_COMMON,
            ELSEWHERE,
            TRANSFER,
            SHOWN,
            ONE_SEARCH,
            ONE_CONFIRM,
        ];
        starts.sort_unstable();
        assert!(starts.windows(2).all(|pair| pair[1] - pair[0] >= RANGE));
    }
}
