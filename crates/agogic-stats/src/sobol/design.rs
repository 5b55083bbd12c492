//! Points at which a model is run for a sensitivity analysis.

use rand::{Rng, RngExt};

use super::{MAX_DIMENSIONS, SobolError, SobolSequence};
use crate::uniform::open_unit;

/// Two samples of the unit cube and their mixtures.
///
/// # Definition
/// Each row has a point A and a point B. For each input i there is a point ABᵢ,
/// which is A with coordinate i taken from B.
///
/// # Shape
/// Points come row by row: A, B, AB₁ to ABₖ; rows × (inputs + 2) in all.
///
/// # Source
/// Saltelli, Annoni, Azzini, Campolongo, Ratto & Tarantola (2010), Computer
/// Physics Communications 181:259, section 3.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    inputs: usize,
    /// Coordinates of A and then of B, row after row.
    rows: Vec<Vec<f64>>,
}

impl Design {
    /// A design from Sobol's sequence; nothing in it is random.
    ///
    /// # Errors
    /// No inputs or more than half of [`MAX_DIMENSIONS`]; fewer than four rows
    /// or a number that is not a power of two, which would spoil the balance.
    pub fn sequence(inputs: usize, rows: usize) -> Result<Self, SobolError> {
        check_inputs(inputs, MAX_DIMENSIONS / 2)?;
        if rows < 4 || !rows.is_power_of_two() || rows >= 1 << 31 {
            return Err(SobolError::Rows(rows));
        }
        Ok(Design { inputs, rows: SobolSequence::new(2 * inputs)?.take(rows).collect() })
    }

    /// A design from a Latin hypercube: each coordinate has one value in each of
    /// `rows` equal slices, in random order and at a random place.
    ///
    /// # Errors
    /// No inputs, or fewer than four rows.
    ///
    /// # Source
    /// McKay, Beckman & Conover (1979), Technometrics 21:239.
    pub fn latin_hypercube<R: Rng + ?Sized>(inputs: usize, rows: usize, rng: &mut R) -> Result<Self, SobolError> {
        check_inputs(inputs, u16::MAX as usize)?;
        if rows < 4 || u32::try_from(rows).is_err() {
            return Err(SobolError::Rows(rows));
        }
        let mut points = vec![vec![0.0; 2 * inputs]; rows];
        let mut order: Vec<usize> = (0..rows).collect();
        for j in 0..2 * inputs {
            // Fisher and Yates, in 32 bits on every platform.
            for last in (1..rows).rev() {
                order.swap(last, rng.random_range(0..=last as u32) as usize);
            }
            for (point, &slice) in points.iter_mut().zip(&order) {
                point[j] = (slice as f64 + open_unit(rng)) / rows as f64;
            }
        }
        Ok(Design { inputs, rows: points })
    }

    /// Number of inputs.
    pub fn inputs(&self) -> usize {
        self.inputs
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.rows.len()
    }

    /// Number of points at which the model is run.
    pub fn len(&self) -> usize {
        self.rows.len() * (self.inputs + 2)
    }

    /// Never: a design has at least four rows.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// All points, in the order in which outputs are wanted.
    pub fn points(&self) -> impl Iterator<Item = Vec<f64>> + '_ {
        self.rows.iter().flat_map(move |row| {
            let (a, b) = row.split_at(self.inputs);
            (0..self.inputs + 2).map(move |place| match place {
                0 => a.to_vec(),
                1 => b.to_vec(),
                _ => {
                    let mut mixed = a.to_vec();
                    mixed[place - 2] = b[place - 2];
                    mixed
                }
            })
        })
    }
}

fn check_inputs(inputs: usize, most: usize) -> Result<(), SobolError> {
    if (1..=most).contains(&inputs) { Ok(()) } else { Err(SobolError::Dimensions { found: inputs, most }) }
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;

    use super::*;

    #[test]
    fn mixtures_differ_in_one_coordinate() {
        let design = Design::sequence(3, 8).unwrap();
        let points: Vec<Vec<f64>> = design.points().collect();
        assert_eq!(points.len(), design.len());
        for row in points.chunks(5) {
            for i in 0..3 {
                for j in 0..3 {
                    assert_eq!(row[2 + i][j], row[usize::from(i == j)][j]);
                }
            }
        }
    }

    #[test]
    fn a_latin_hypercube_fills_every_slice() {
        let mut rng = ChaCha12Rng::seed_from_u64(3);
        let design = Design::latin_hypercube(2, 50, &mut rng).unwrap();
        for j in 0..4 {
            let mut slices: Vec<usize> = design.rows.iter().map(|row| (row[j] * 50.0) as usize).collect();
            assert!(slices.windows(2).any(|pair| pair[0] > pair[1]), "not in order");
            slices.sort_unstable();
            assert_eq!(slices, (0..50).collect::<Vec<_>>());
        }
    }

    #[test]
    fn sizes_are_checked() {
        let mut rng = ChaCha12Rng::seed_from_u64(4);
        assert!(Design::sequence(0, 8).is_err() && Design::sequence(33, 8).is_err());
        assert!(Design::sequence(2, 2).is_err() && Design::sequence(2, 100).is_err());
        assert!(Design::latin_hypercube(2, 3, &mut rng).is_err());
    }
}
