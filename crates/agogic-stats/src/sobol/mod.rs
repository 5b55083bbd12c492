//! Variance-based sensitivity: which inputs move an output, and by how much.
//!
//! A [`Design`] lists points of the unit cube. The caller maps them to inputs,
//! runs the model at each and hands the outputs back to [`Design::indices`].
//!
//! An index estimated from a finite design can come out negative, or a first
//! order above its total. That is sampling error about a small index and no
//! mistake: the interval then reaches 0. Cutting it off would bias it.
//!
//! ```
//! use agogic_stats::{Level, sobol::Design};
//! use rand::SeedableRng;
//! use rand_chacha::ChaCha12Rng;
//!
//! let design = Design::sequence(2, 1024)?;
//! let outputs: Vec<f64> = design.points().map(|x| 3.0 * x[0] + x[1]).collect();
//! let mut rng = ChaCha12Rng::seed_from_u64(1);
//! let indices = design.indices(&outputs, Level::P95, 200, &mut rng)?;
//! // The variance is (9 + 1)/12, of which the first input has nine tenths.
//! assert!((indices[0].first.value.unwrap() - 0.9).abs() < 0.01);
//! # Ok::<(), agogic_stats::sobol::SobolError>(())
//! ```

mod design;
mod indices;
mod sequence;

use thiserror::Error;

pub use design::Design;
pub use indices::SobolIndex;
pub use sequence::{MAX_DIMENSIONS, SobolSequence};

/// Why a sensitivity analysis cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum SobolError {
    /// The number of inputs or coordinates is out of range.
    #[error("use {found} dimensions: there must be between 1 and {most}")]
    Dimensions {
        /// Number given.
        found: usize,
        /// Largest number possible.
        most: usize,
    },
    /// The number of rows is out of range.
    #[error("use {0} rows: a design needs at least 4, and a Sobol' sequence a power of two below 2³¹")]
    Rows(usize),
    /// There is not one output for each point.
    #[error("read {found} outputs: the design has {wanted} points")]
    Outputs {
        /// Outputs given.
        found: usize,
        /// Points of the design.
        wanted: usize,
    },
    /// An output is not finite.
    #[error("read the output {value} of point {index}: it must be finite")]
    Output {
        /// Position of the point.
        index: usize,
        /// The output.
        value: f64,
    },
    /// There are too few resamples.
    #[error("draw {0} resamples: at least 2 are needed")]
    Resamples(usize),
}
