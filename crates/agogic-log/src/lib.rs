//! Logs of real people's key events: read, judged, summarised, redacted, recorded.
//!
//! *In*: CSV, JSON lines, or rows from elsewhere ([`Intake`]), laid out as published ([`LogLayout::events`])
//! or as a [`LogLayout`] says. *Out*: [`SessionLog`]s of presses, and a [`LogReport`] in which every row is
//! either part of a press or counted under one [`DefectKind`] with its line and what was done.
//!
//! Nothing here prints, and nothing leaves the machine. `PRIVACY.md` says what a log gives away.
//!
//! ```
//! use agogic_log::{DefectKind, LogLayout, read_bytes};
//!
//! let log = "session,participant,t_us,code,edge\n\
//!            1,ada,1000,KeyH,press\n\
//!            1,ada,90000,KeyH,release\n\
//!            1,ada,95000,KeyI,release\n";
//! let log = read_bytes(log.as_bytes(), &LogLayout::events())?;
//! assert_eq!(log.sessions[0].presses[0].dwell().ms(), 89.0);
//! assert_eq!(log.report.defects[&DefectKind::ReleaseWithoutPress].first_lines, [4]);
//! assert!(log.report.balances());
//! # Ok::<(), agogic_log::LogError>(())
//! ```

mod address;
mod cell;
mod classes;
mod defect;
mod error;
mod intake;
mod key_names;
mod layout;
mod layout_toml;
mod likely;
mod limits;
mod lines;
mod pairing;
mod read;
mod read_back;
mod record;
mod redact;
mod report;
mod schema;
mod session;
mod summary;
mod time;
mod write;

pub use cell::Cell;
pub use classes::Classes;
pub use defect::{DefectKind, Fate};
pub use error::LogError;
pub use intake::Intake;
pub use key_names::KeyNames;
pub use layout::{LogLayout, PairEnd, RowShape};
pub use limits::{Limits, Rules};
pub use read::{Format, read, read_bytes};
pub use read_back::{ReadBack, read_back, words_in, words_of};
pub use record::{HoldPrompt, PageError, RECORDING_SCRIPT, RecordPage};
pub use redact::{REDACTED_COLUMNS, RedactedPress, RedactedSession, Redaction, redact, write_redacted_csv};
pub use report::{DefectCount, LogReport};
pub use schema::TABLE_SCHEMA;
pub use session::{Intent, Log, SessionLog};
pub use summary::{
    Across, BLOCK_PRESSES, Histogram, Ink, LONGEST_INTERVAL_MS, Measure, PersonSummary, Quantiles, Summary, summarise,
};
pub use time::{LATEST_US, TimeUnit};
pub use write::{COLUMNS, LogCsv, LogRow, each_row, write_csv};
