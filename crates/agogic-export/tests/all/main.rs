//! What holds of every exported rule: its source says what the policy says, tie by tie.

mod common;
mod data;
mod emulated;
mod equal;
mod registry;
mod stranger;
