//! Points of Sobol's low-discrepancy sequence.

use super::SobolError;

/// Bits of each coordinate.
const BITS: usize = 32;

/// Coordinates for which direction numbers are kept.
pub const MAX_DIMENSIONS: usize = 64;

/// For each coordinate after the first: a primitive polynomial over GF(2), its
/// coefficients read as bits, and the initial direction numbers.
///
/// Joe & Kuo (2008), SIAM Journal on Scientific Computing 30:2635, the set made
/// for good two-dimensional projections.
const DIRECTIONS: [(u32, &[u32]); MAX_DIMENSIONS - 1] = [
    (3, &[1]),
    (7, &[1, 3]),
    (11, &[1, 3, 1]),
    (13, &[1, 1, 1]),
    (19, &[1, 1, 3, 3]),
    (25, &[1, 3, 5, 13]),
    (37, &[1, 1, 5, 5, 17]),
    (41, &[1, 1, 5, 5, 5]),
    (47, &[1, 1, 7, 11, 19]),
    (55, &[1, 1, 5, 1, 1]),
    (59, &[1, 1, 1, 3, 11]),
    (61, &[1, 3, 5, 5, 31]),
    (67, &[1, 3, 3, 9, 7, 49]),
    (91, &[1, 1, 1, 15, 21, 21]),
    (97, &[1, 3, 1, 13, 27, 49]),
    (103, &[1, 1, 1, 15, 7, 5]),
    (109, &[1, 3, 1, 15, 13, 25]),
    (115, &[1, 1, 5, 5, 19, 61]),
    (131, &[1, 3, 7, 11, 23, 15, 103]),
    (137, &[1, 3, 7, 13, 13, 15, 69]),
    (143, &[1, 1, 3, 13, 7, 35, 63]),
    (145, &[1, 3, 5, 9, 1, 25, 53]),
    (157, &[1, 3, 1, 13, 9, 35, 107]),
    (167, &[1, 3, 1, 5, 27, 61, 31]),
    (171, &[1, 1, 5, 11, 19, 41, 61]),
    (185, &[1, 3, 5, 3, 3, 13, 69]),
    (191, &[1, 1, 7, 13, 1, 19, 1]),
    (193, &[1, 3, 7, 5, 13, 19, 59]),
    (203, &[1, 1, 3, 9, 25, 29, 41]),
    (211, &[1, 3, 5, 13, 23, 1, 55]),
    (213, &[1, 3, 7, 3, 13, 59, 17]),
    (229, &[1, 3, 1, 3, 5, 53, 69]),
    (239, &[1, 1, 5, 5, 23, 33, 13]),
    (241, &[1, 1, 7, 7, 1, 61, 123]),
    (247, &[1, 1, 7, 9, 13, 61, 49]),
    (253, &[1, 3, 3, 5, 3, 55, 33]),
    (285, &[1, 3, 1, 15, 31, 13, 49, 245]),
    (299, &[1, 3, 5, 15, 31, 59, 63, 97]),
    (301, &[1, 3, 1, 11, 11, 11, 77, 249]),
    (333, &[1, 3, 1, 11, 27, 43, 71, 9]),
    (351, &[1, 1, 7, 15, 21, 11, 81, 45]),
    (355, &[1, 3, 7, 3, 25, 31, 65, 79]),
    (357, &[1, 3, 1, 1, 19, 11, 3, 205]),
    (361, &[1, 1, 5, 9, 19, 21, 29, 157]),
    (369, &[1, 3, 7, 11, 1, 33, 89, 185]),
    (391, &[1, 3, 3, 3, 15, 9, 79, 71]),
    (397, &[1, 3, 7, 11, 15, 39, 119, 27]),
    (425, &[1, 1, 3, 1, 11, 31, 97, 225]),
    (451, &[1, 1, 1, 3, 23, 43, 57, 177]),
    (463, &[1, 3, 7, 7, 17, 17, 37, 71]),
    (487, &[1, 3, 1, 5, 27, 63, 123, 213]),
    (501, &[1, 1, 3, 5, 11, 43, 53, 133]),
    (529, &[1, 3, 5, 5, 29, 17, 47, 173, 479]),
    (539, &[1, 3, 3, 11, 3, 1, 109, 9, 69]),
    (545, &[1, 1, 1, 5, 17, 39, 23, 5, 343]),
    (557, &[1, 3, 1, 5, 25, 15, 31, 103, 499]),
    (563, &[1, 1, 1, 11, 11, 17, 63, 105, 183]),
    (601, &[1, 1, 5, 11, 9, 29, 97, 231, 363]),
    (607, &[1, 1, 5, 15, 19, 45, 41, 7, 383]),
    (617, &[1, 3, 7, 7, 31, 19, 83, 137, 221]),
    (623, &[1, 1, 1, 3, 23, 15, 111, 223, 83]),
    (631, &[1, 1, 5, 13, 31, 15, 55, 25, 161]),
    (637, &[1, 1, 3, 13, 25, 47, 39, 87, 257]),
];

/// Sobol's sequence in the unit cube, without its first point, the origin.
///
/// # Definition
/// Coordinate j of point i is the exclusive or of the direction numbers at the
/// bits set in the Gray code of i.
///
/// # Shape
/// Coordinates lie strictly between 0 and 1. The first 2ᵐ points, the origin
/// included, place one in each of 2ᵐ equal slices of every coordinate.
///
/// # Source
/// Antonov & Saleev (1979), USSR Computational Mathematics and Mathematical
/// Physics 19:252; Bratley & Fox (1988), ACM Transactions on Mathematical
/// Software 14:88.
#[derive(Debug, Clone)]
pub struct SobolSequence {
    directions: Vec<[u32; BITS]>,
    state: Vec<u32>,
    index: u32,
}

impl SobolSequence {
    /// Starts the sequence with so many coordinates.
    ///
    /// # Errors
    /// No coordinates, or more than [`MAX_DIMENSIONS`].
    pub fn new(dimensions: usize) -> Result<Self, SobolError> {
        if !(1..=MAX_DIMENSIONS).contains(&dimensions) {
            return Err(SobolError::Dimensions { found: dimensions, most: MAX_DIMENSIONS });
        }
        let directions = (0..dimensions).map(directions).collect();
        Ok(SobolSequence { directions, state: vec![0; dimensions], index: 0 })
    }
}

impl Iterator for SobolSequence {
    type Item = Vec<f64>;

    fn next(&mut self) -> Option<Vec<f64>> {
        // The bit in which the Gray codes of this point and the last differ.
        let bit = self.index.trailing_ones() as usize;
        if bit >= BITS {
            return None;
        }
        self.index += 1;
        for (state, directions) in self.state.iter_mut().zip(&self.directions) {
            *state ^= directions[bit];
        }
        Some(self.state.iter().map(|&s| f64::from(s) / (1u64 << BITS) as f64).collect())
    }
}

/// Direction numbers of one coordinate, with the first in the highest bit.
fn directions(coordinate: usize) -> [u32; BITS] {
    let mut v = [0u32; BITS];
    let Some((polynomial, initial)) = coordinate.checked_sub(1).map(|i| DIRECTIONS[i]) else {
        // The first coordinate is van der Corput's sequence.
        return std::array::from_fn(|i| 1 << (BITS - 1 - i));
    };
    let degree = initial.len();
    for i in 0..BITS {
        v[i] = if i < degree {
            initial[i] << (BITS - 1 - i)
        } else {
            let mut next = v[i - degree] ^ (v[i - degree] >> degree);
            for k in 1..degree {
                if polynomial >> (degree - k) & 1 == 1 {
                    next ^= v[i - k];
                }
            }
            next
        };
    }
    v
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bratley & Fox (1988), section 3: 1/2, 3/4, 1/4, 3/8 … in one dimension.
    #[test]
    fn the_first_coordinate_is_van_der_corput() {
        let first: Vec<f64> = SobolSequence::new(1).unwrap().take(7).map(|p| p[0]).collect();
        assert_eq!(first, [0.5, 0.75, 0.25, 0.375, 0.875, 0.625, 0.125]);
    }

    #[test]
    fn every_slice_of_every_coordinate_holds_one_point() {
        let points: Vec<Vec<f64>> = SobolSequence::new(MAX_DIMENSIONS).unwrap().take(255).collect();
        for j in 0..MAX_DIMENSIONS {
            let mut slices: Vec<u32> = points.iter().map(|p| (p[j] * 256.0) as u32).collect();
            slices.sort_unstable();
            // The origin, which is left out, would be in slice 0.
            assert!(slices.iter().zip(1..).all(|(slice, wanted)| *slice == wanted), "coordinate {j}");
        }
    }

    #[test]
    fn dimensions_are_checked() {
        assert!(SobolSequence::new(0).is_err() && SobolSequence::new(MAX_DIMENSIONS + 1).is_err());
    }
}
