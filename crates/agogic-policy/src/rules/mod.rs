//! One rule a file.

mod bounds;
pub(crate) mod dwell_cutoff;
pub(crate) mod enclosed;
pub(crate) mod evidence;
pub(crate) mod first_contact;
pub(crate) mod key_evidence;
pub(crate) mod overlap_share;
pub(crate) mod overlap_span;
pub(crate) mod sequential_evidence;
pub(crate) mod sequential_key_evidence;

pub use dwell_cutoff::DwellCutoff;
pub use enclosed::Enclosed;
pub use evidence::Evidence;
pub use first_contact::FirstContact;
pub use key_evidence::KeyEvidence;
pub use overlap_share::OverlapShare;
pub use overlap_span::OverlapSpan;
pub use sequential_evidence::SequentialEvidence;
pub use sequential_key_evidence::SequentialKeyEvidence;
