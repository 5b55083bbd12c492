//! A setting for a keyboard's own processor.
mod body;
mod conform;
mod edges;
mod machine;
mod random;
mod source;
mod story;
mod vectors;
mod words;

pub use body::{Body, KeyEntries, KeyTables, SumBounds};
pub use conform::{ConformError, Conformance, conform};
pub use edges::{RANDOM_CASES, cases};
pub use machine::{Clock, ExportError, KeyTraits, Machine};
pub use random::{Manners, Stories};
pub use source::sources;
pub use story::{Line, Told, expected, lines_of};
pub use vectors::{Case, VectorsError, read_vectors, vectors_text};
