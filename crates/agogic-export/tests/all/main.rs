//! What holds of every exported rule: its source says what the policy says, tie by tie.

mod common;
mod equal;
mod dump_tmp;
