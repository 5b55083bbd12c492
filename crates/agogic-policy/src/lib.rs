//! Rules that decide whether a dual-role key was tapped or held.
//!
//! *In*: an [`Encounter`], one press of a dual-role key with the events around it. *Out*: a [`Decision`]:
//! a role and the time it was taken. A policy is a pure, causal function. It has no clock, no randomness
//! and no way to learn what the typist meant; this crate does not depend on the typist model.
//!
//! One rule a file, one line in [`RULES`]. The command line, the spec reader, the docs and the
//! conformance tests all iterate that registry. Rules that learn decide from [`EvidenceTables`], which are
//! trained here by counting and hold nothing but small whole numbers. Rules that know keys besides times add the terms of
//! [`KeyedTables`], fitted here from a [`KeySample`] within a stated prior and cut to the memory given.
//!
//! What a setting does at *every* value of one of its thresholds follows from one pass: roles exactly from
//! [`CriticalValues`], roles and mean delays on a grid from a [`GridCurve`]. From such curves [`Personal`] fits
//! values to one typist's first presses. What each rule asks of a microcontroller is its [`RuleCost`].
//!
//! ```
//! use agogic_policy::{Contact, Encounter, Role, Setting};
//! use agogic_keys::{Code, Hand, Instant, Span};
//!
//! // F goes down, I follows 60 ms later and is released 40 ms before F: an enclosed key.
//! let f: Code = "KeyF".parse().unwrap();
//! let contacts = [Contact { code: "KeyI".parse().unwrap(), hand: Hand::Right, down: 60_000, up: 140_000 }];
//! let encounter = Encounter::new(f, Hand::Left, Instant(0), Span::from_ms(180.0)).with_contacts(&contacts);
//!
//! let enclosed = Setting::rule("enclosed", &[]).unwrap();
//! let decision = enclosed.decide(&encounter);
//! assert_eq!(decision.role, Role::Hold);
//! assert_eq!(decision.after, Span::from_ms(140.0));
//! ```

pub mod conformance;

mod asks;
mod cost;
mod curve;
mod decision;
mod encounter;
mod encounters;
mod guards;
mod keyed;
mod learned;
mod personal;
mod registry;
mod rules;
mod setting;
mod setting_error;
mod sight;
mod written;

pub use asks::Asks;
pub use cost::{RuleCost, Work};
pub use curve::{CriticalValues, CurveError, Errors, GRID_MOST, GridCurve, GridPoint, Piece, ThresholdCurve, TimeOf};
pub use decision::{Decision, Role};
pub use encounter::{Contact, Encounter, EncounterScan};
pub use encounters::Encounters;
pub use guards::{GUARDS, GuardEntry, Guards};
pub use keyed::{
    EntriesError, FittedSet, KEY_PRIOR_NATS, KEY_SLOTS, KEYS_CAUTION, KeySample, KeySlot, KeyTable, KeyedTables,
    PERSONAL_PRIOR_NATS, TABLE_SETS, TIME_PRIOR_NATS, TableSet, Term,
};
pub use learned::{
    BINS, CourseRow, EvidenceCounts, EvidenceTables, SummaryRow, TableCell, TableCost, TableListing, TableSetRow,
    TrainingError, UNITS_PER_NAT, bin_of, upper_edge,
};
pub use personal::{
    CostsError, ErrorCosts, Fitted, PERSONAL, PairCurves, Personal, PersonalEntry, PersonalError, PersonalSample,
    ThresholdFit, learn_prior_presses,
};
pub use registry::{Build, Monotone, Param, Policy, RULES, RuleEntry, rule};
pub use rules::{
    DwellCutoff, Enclosed, Evidence, FirstContact, KeyEvidence, OverlapShare, OverlapSpan, SequentialEvidence,
    SequentialKeyEvidence,
};
pub use setting::Setting;
pub use setting_error::SettingError;
pub use sight::Sight;
pub use written::WrittenError;
