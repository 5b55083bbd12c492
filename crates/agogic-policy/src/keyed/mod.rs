//! Times *and* keys as evidence: the cells an encounter falls into, the fit of their entries, and the tables.

mod cells;
mod fit;
mod personal;
mod sample;
mod slots;
mod tables;
mod terms;

pub use personal::PERSONAL_PRIOR_NATS;
pub use sample::{KEY_PRIOR_NATS, KeySample, TIME_PRIOR_NATS};
pub use slots::{KEY_SLOTS, KeySlot};
pub use tables::{EntriesError, FittedSet, KEYS_CAUTION, KeyTable, KeyedTables, TABLE_SETS, TableSet};
pub use terms::Term;

pub(crate) use cells::KeyCells;
pub(crate) use slots::WRITING;
pub(crate) use tables::{Entries, NARROW, NO_ROW};
pub(crate) use terms::terms;
