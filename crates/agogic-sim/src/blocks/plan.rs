//! Which typists stand in which block, and which blocks in which shard.

use std::ops::Range;
use std::str::FromStr;

use agogic_study::Study;

/// Presses in a block: about a second of work under twenty policies, so that little is lost when a run is killed.
const BLOCK_PRESSES: u64 = 250_000;

/// Blocks that even a small study has, so that every core finds work.
const LEAST_BLOCKS: u64 = 64;

/// Judged presses, each counted once for each setting that judged it, from which finished work is kept in files: fewer
/// are done in a moment.
const LEAST_PRESSES_TO_STORE: u64 = 2_000_000;

/// Whether so many judged presses are worth files: the one rule of every analysis.
pub fn worth_keeping(judged: u64) -> bool {
    judged >= LEAST_PRESSES_TO_STORE
}

/// The place of a block in a study.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BlockPlace {
    /// Number of the arm.
    pub arm: usize,
    /// The typists.
    pub typists: Range<u64>,
}

/// How a study is cut into blocks.
///
/// # Definition
/// Blocks have so many typists that they come to about 250 000 presses, but fewer where the study would have less
/// than 64 blocks. A study that may stop early is looked at after windows of typists; no block reaches over the end
/// of a window. Nothing but the study has a say.
#[derive(Clone, Debug)]
pub struct BlockPlan {
    /// Typists of a block, and of a window.
    size: u64,
    window: u64,
    typists: u64,
    arms: usize,
    is_kept: bool,
}

impl BlockPlan {
    /// How this study is cut.
    pub fn of(study: &Study) -> Self {
        let keys = study.arms.iter().map(|arm| arm.keys as u64).max().unwrap_or(1).max(1);
        let all = study.typists * study.arms.len() as u64;
        let size = (BLOCK_PRESSES / keys).min(all / LEAST_BLOCKS).max(1);
        let window = study.stop.as_ref().map_or(study.typists, |stop| stop.block).max(1);
        let is_kept = worth_keeping(study.presses() * study.policies.len() as u64) && !study.is_more_than_its_spec();
        Self { size, window, typists: study.typists, arms: study.arms.len(), is_kept }
    }

    /// Whether a run of this size keeps its blocks.
    pub fn is_kept(&self) -> bool {
        self.is_kept
    }

    /// The windows of typists after which a run looks whether it may stop.
    pub fn windows(&self) -> impl Iterator<Item = Range<u64>> + use<> {
        let (window, typists) = (self.window, self.typists);
        (0..typists.div_ceil(window)).map(move |i| i * window..((i + 1) * window).min(typists))
    }

    /// The blocks of a window of an arm, in order.
    pub fn blocks(&self, arm: usize, window: Range<u64>) -> Vec<BlockPlace> {
        let starts = (window.start..window.end).step_by(self.size as usize);
        starts.map(|from| BlockPlace { arm, typists: from..(from + self.size).min(window.end) }).collect()
    }

    /// Every block of an arm, in order.
    pub fn of_arm(&self, arm: usize) -> Vec<BlockPlace> {
        self.windows().flat_map(|window| self.blocks(arm, window)).collect()
    }

    /// The blocks of a shard: every n-th one, counted through all arms.
    pub fn of_shard(&self, shard: Shard) -> Vec<BlockPlace> {
        let all = (0..self.arms).flat_map(|arm| self.of_arm(arm));
        all.skip(shard.number as usize - 1).step_by(shard.of as usize).collect()
    }
}

/// One of several equal parts of a study, such as `3/8`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shard {
    number: u32,
    of: u32,
}

/// Why something is no shard.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no shard; write its number and how many there are, such as 3/8, with 1 ≤ number ≤ all ≤ 1000000")]
pub struct ShardFault(pub String);

impl Shard {
    /// Shards a study can have.
    const MOST: u32 = 1_000_000;

    /// Shard `number`, from 1, of `of`.
    ///
    /// # Errors
    /// There is no such shard.
    pub fn new(number: u32, of: u32) -> Result<Self, ShardFault> {
        let sound = 1 <= number && number <= of && of <= Self::MOST;
        if sound { Ok(Self { number, of }) } else { Err(ShardFault(format!("{number}/{of}"))) }
    }

    /// Its number, from 1.
    pub fn number(self) -> u32 {
        self.number
    }

    /// How many there are.
    pub fn of(self) -> u32 {
        self.of
    }
}

impl FromStr for Shard {
    type Err = ShardFault;

    fn from_str(text: &str) -> Result<Self, ShardFault> {
        let fault = || ShardFault(text.to_owned());
        let (number, of) = text.split_once('/').ok_or_else(fault)?;
        let whole = |text: &str| text.trim().parse().map_err(|_| fault());
        Self::new(whole(number)?, whole(of)?).map_err(|_| fault())
    }
}

impl std::fmt::Display for Shard {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}/{}", self.number, self.of)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(size: u64, window: u64, typists: u64, arms: usize) -> BlockPlan {
        BlockPlan { size, window, typists, arms, is_kept: true }
    }

    #[test]
    fn blocks_cover_every_typist_once_and_respect_windows() {
        for (size, window, typists) in [(3, 10, 31), (4, 4, 9), (7, 100, 20), (1, 1, 3)] {
            let plan = plan(size, window, typists, 1);
            let blocks = plan.of_arm(0);
            let all: Vec<u64> = blocks.iter().flat_map(|block| block.typists.clone()).collect();
            assert_eq!(all, (0..typists).collect::<Vec<_>>());
            assert!(blocks.iter().all(|b| b.typists.start / window == (b.typists.end - 1) / window));
        }
    }

    #[test]
    fn shards_share_out_all_blocks() {
        let plan = plan(3, 10, 31, 3);
        for of in [1, 2, 5, 40] {
            let mut all: Vec<_> = (1..=of).flat_map(|number| plan.of_shard(Shard::new(number, of).unwrap())).collect();
            all.sort_by_key(|block| (block.arm, block.typists.start));
            let whole: Vec<_> = (0..3).flat_map(|arm| plan.of_arm(arm)).collect();
            assert_eq!(all, whole);
        }
    }

    #[test]
    fn shards_are_read_and_wrong_ones_named() {
        assert_eq!("3/8".parse(), Shard::new(3, 8));
        assert_eq!("3/8".parse::<Shard>().unwrap().to_string(), "3/8");
        for wrong in ["0/8", "9/8", "8", "a/b", "1/0", "", "-1/3", "1/1000001", "1/2/3"] {
            let said = wrong.parse::<Shard>().unwrap_err().to_string();
            assert!(said.contains(&format!("`{wrong}`")), "{said}");
        }
    }
}
