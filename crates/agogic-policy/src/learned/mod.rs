//! What the learning rules share: binned time, the cells an encounter visits, counting, and the tables.

mod bins;
mod counts;
mod course;
mod listing;
mod summary;
mod tables;
mod units;

pub use bins::{BINS, bin_of, upper_edge};
pub use counts::{EvidenceCounts, TrainingError};
pub use course::CourseRow;
pub use listing::{TableListing, TableSetRow};
pub use summary::SummaryRow;
pub use tables::{EvidenceTables, TableCell, TableCost};

pub(crate) use course::course;
pub(crate) use summary::{First, Summary, lull_cell};
pub use units::UNITS_PER_NAT;
pub(crate) use units::units;
