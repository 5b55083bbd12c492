//! What must hold of everything that was read, whatever the bytes were.

mod blocks;
mod logs;
mod manifests;
mod runs;
mod specs;

pub use blocks::Blocks;
pub use logs::{judge, judge_refused, survives};
pub use manifests::Place;
pub use runs::{judge_rows, runs};
pub use specs::{held, judge_mistakes, judge_study, said};
