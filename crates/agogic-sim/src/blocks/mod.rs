//! A run in blocks: what was finished is kept, can be taken up again, and can be made on several machines.
//!
//! Every arm is cut into blocks of typists ([`BlockPlan`]), by the study alone. A [`Block`] is a pure function of the
//! study and its place. A [`Store`] keeps finished ones as files in a folder, each checked by a digest and tied to the
//! spec, the files it names and the sources of this program by a [`Fingerprint`]. An interrupted run loads what is
//! there and makes the rest; a [`Shard`] makes every n-th block; [`merge_blocks`] puts shards together. All three end with the
//! same blocks in the same order, and so with the same bytes. Sweeps, advice and the analyses of robustness and sensitivity
//! keep what they judged under keys of their own.

mod block;
mod file;
mod fingerprint;
mod merge;
mod plan;
mod run;
mod shard;
mod store;

pub use block::Block;
pub use file::{BlockFault, are_of, block_again, block_around, block_of_all, read_block, with_block_digest};
pub use fingerprint::Fingerprint;
pub use merge::{MergeError, merge_blocks, study_of};
pub use plan::{BlockPlace, BlockPlan, Shard, ShardFault, worth_keeping};
pub use run::run_blocks;
pub use shard::{SHARD_FILE, ShardInfo, ShardProgress, run_shard};
pub use store::Store;
