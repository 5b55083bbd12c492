//! agogic as a whole: closed forms, known answers, arrows between crates.

mod arrows;
mod circles;
mod closed_forms;
mod experiments;
mod invariance;
mod layout;
mod python;
mod runner;
mod stats_binomial;
mod stats_bootstrap;
mod stats_components;
mod stats_fixture;
mod stats_moments;
mod stats_multiplicity;
mod stats_oracles;
mod stats_ratio;
mod stats_sensitivity;
mod stats_special;
mod stats_timing;
