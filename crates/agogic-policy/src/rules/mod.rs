//! One rule a file.

pub(crate) mod dwell_cutoff;
pub(crate) mod enclosed;
pub(crate) mod first_contact;
pub(crate) mod overlap_share;

pub use dwell_cutoff::DwellCutoff;
pub use enclosed::Enclosed;
pub use first_contact::FirstContact;
pub use overlap_share::OverlapShare;
