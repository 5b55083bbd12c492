//! Shapes that the logarithm of a density can take on a grid.

/// Points of the grid.
pub(super) const POINTS: usize = 60;

/// Shapes: a slope, a bow, and four departures from these.
pub(super) const SHAPES: usize = 6;

/// The shapes that make up a normal density: slope and bow.
pub(super) const NORMAL: usize = 2;

/// For each grid point its value in each shape.
pub(super) type Basis = Vec<[f64; SHAPES]>;

/// The shapes over an even grid, of length one, at right angles to each other and to the constant.
///
/// # Definition
/// With z from −1 to 1: z, z², and the natural cubic splines with six knots evenly over the grid, made orthonormal in this
/// order (Gram & Schmidt).
///
/// # Source
/// Hastie, Tibshirani & Friedman (2009), The Elements of Statistical Learning, equations 5.4 and 5.5 (from memory).
pub(super) fn basis() -> Basis {
    let z: Vec<f64> = (0..POINTS).map(|i| 2.0 * i as f64 / (POINTS - 1) as f64 - 1.0).collect();
    let knots: [f64; SHAPES] = std::array::from_fn(|k| 2.0 * k as f64 / (SHAPES - 1) as f64 - 1.0);
    let last = knots[SHAPES - 1];
    let cube = |x: f64| x.max(0.0).powi(3);
    let cut = |k: usize, x: f64| (cube(x - knots[k]) - cube(x - last)) / (last - knots[k]);
    let bent = |k: usize, x: f64| cut(k, x) - cut(SHAPES - 2, x);
    let mut columns: Vec<Vec<f64>> = vec![vec![1.0; POINTS], z.clone(), z.iter().map(|x| x * x).collect()];
    columns.extend((0..SHAPES - NORMAL).map(|k| z.iter().map(|x| bent(k, *x)).collect()));
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    for at in 0..columns.len() {
        let (before, rest) = columns.split_at_mut(at);
        let own = &mut rest[0];
        // Twice, since the first pass leaves rounding behind.
        for other in before.iter().chain(before.iter()) {
            let along = dot(own, other);
            own.iter_mut().zip(other).for_each(|(x, y)| *x -= along * y);
        }
        let length = libm::sqrt(dot(own, own));
        own.iter_mut().for_each(|x| *x /= length);
    }
    (0..POINTS).map(|i| std::array::from_fn(|k| columns[k + 1][i])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_stand_at_right_angles() {
        let basis = basis();
        for a in 0..SHAPES {
            assert!(basis.iter().map(|row| row[a]).sum::<f64>().abs() < 1e-12);
            for b in 0..SHAPES {
                let along: f64 = basis.iter().map(|row| row[a] * row[b]).sum();
                assert!((along - f64::from(u8::from(a == b))).abs() < 1e-12, "{a} {b}: {along}");
            }
        }
    }
}
