//! The claim of the floor: nobody is better, and its odds are true.

mod adversary;
mod common;
mod reliability;
#[path = "../../adversary/study.rs"]
mod study;
#[path = "../../adversary/trees.rs"]
mod trees;
mod two_log_normals;
mod unbeaten;
