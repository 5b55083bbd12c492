//! Non-dominated fronts and the volume they dominate.

use thiserror::Error;

/// Why a hypervolume cannot be given.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum HypervolumeError {
    /// A coordinate is not finite.
    #[error("read the coordinate {value} of point {index}: it must be finite")]
    Point {
        /// Position of the point.
        index: usize,
        /// The coordinate.
        value: f64,
    },
    /// A coordinate of the reference is not finite.
    #[error("read the coordinate {0} of the reference point: it must be finite")]
    Reference(f64),
}

/// Positions of the points that no other dominates, all goals minimised.
///
/// # Definition
/// A point dominates another if it is nowhere greater and somewhere less. Equal
/// points do not dominate each other: all are kept.
///
/// # Shape
/// Ascending positions.
///
/// # Errors
/// A coordinate that is not finite.
///
/// # Source
/// Deb (2001), Multi-Objective Optimization Using Evolutionary Algorithms,
/// section 2.4.
pub fn front<const N: usize>(points: &[[f64; N]]) -> Result<Vec<usize>, HypervolumeError> {
    check(points)?;
    let dominates = |a: &[f64; N], b: &[f64; N]| a != b && a.iter().zip(b).all(|(a, b)| a <= b);
    let kept = (0..points.len()).filter(|&i| !points.iter().any(|other| dominates(other, &points[i])));
    Ok(kept.collect())
}

/// Volume dominated by points and bounded by a reference, three goals minimised.
///
/// # Definition
/// The volume of all places that are no less than some point and less than
/// `reference` in every coordinate. Points that are not better than the
/// reference in all of them add nothing. The third coordinate is swept, and
/// between one point and the next the cross-section is the area dominated by
/// those passed.
///
/// # Errors
/// A coordinate that is not finite.
///
/// # Source
/// Zitzler & Thiele (1999), IEEE Transactions on Evolutionary Computation 3:257; Knowles (2002), Local-Search and Hybrid Evolutionary
/// Algorithms for Pareto Optimization, section 4.3, for the slicing.
pub fn hypervolume_3d(points: &[[f64; 3]], reference: [f64; 3]) -> Result<f64, HypervolumeError> {
    check(points)?;
    check_reference(&reference)?;
    let mut inside: Vec<[f64; 3]> =
        points.iter().copied().filter(|p| p.iter().zip(&reference).all(|(p, r)| p < r)).collect();
    inside.sort_by(|a, b| a[2].total_cmp(&b[2]));
    let mut volume = 0.0;
    for (i, point) in inside.iter().enumerate() {
        let next = inside.get(i + 1).map_or(reference[2], |p| p[2]);
        if next > point[2] {
            let passed = inside[..=i].iter().map(|p| [p[0], p[1]]);
            volume += (next - point[2]) * area(passed, [reference[0], reference[1]]);
        }
    }
    Ok(volume)
}

/// Area dominated by points and bounded by a reference, both goals minimised.
fn area(points: impl Iterator<Item = [f64; 2]>, reference: [f64; 2]) -> f64 {
    let mut inside: Vec<[f64; 2]> = points.filter(|p| p[0] < reference[0] && p[1] < reference[1]).collect();
    inside.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let (mut area, mut lowest) = (0.0, reference[1]);
    for [x, y] in inside {
        if y < lowest {
            area += (reference[0] - x) * (lowest - y);
            lowest = y;
        }
    }
    area
}

fn check<const N: usize>(points: &[[f64; N]]) -> Result<(), HypervolumeError> {
    for (index, point) in points.iter().enumerate() {
        if let Some(&value) = point.iter().find(|v| !v.is_finite()) {
            return Err(HypervolumeError::Point { index, value });
        }
    }
    Ok(())
}

fn check_reference(reference: &[f64]) -> Result<(), HypervolumeError> {
    match reference.iter().find(|v| !v.is_finite()) {
        Some(&value) => Err(HypervolumeError::Reference(value)),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dominated_points_are_dropped_and_equal_ones_kept() {
        let points = [[1.0, 0.0], [0.5, 0.5], [0.5, 0.5], [0.6, 0.5], [0.0, 1.0], [2.0, 2.0]];
        assert_eq!(front(&points), Ok(vec![0, 1, 2, 4]));
        assert_eq!(front::<3>(&[]), Ok(Vec::new()));
    }

    #[test]
    fn a_flat_third_goal_is_an_area_times_a_height() {
        let flat = [[1.0, 0.0, 0.5], [0.5, 0.5, 0.5], [0.0, 1.0, 0.5]];
        let plane = flat.map(|[x, y, _]| [x, y]);
        let area = area(plane.into_iter(), [2.0, 2.0]);
        assert!((hypervolume_3d(&flat, [2.0, 2.0, 3.0]).unwrap() - 2.5 * area).abs() < 1e-15);
    }

    #[test]
    fn points_beyond_the_reference_add_nothing() {
        assert_eq!(area([[3.0, 0.0], [2.0, 1.0]].into_iter(), [2.0, 2.0]), 0.0);
        assert_eq!(hypervolume_3d(&[[0.0, 0.0, 4.0]], [2.0, 2.0, 3.0]), Ok(0.0));
        assert_eq!(hypervolume_3d(&[], [2.0; 3]), Ok(0.0));
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(front(&[[f64::NAN, 0.0]]).is_err());
        assert!(hypervolume_3d(&[[0.0, 0.0, f64::INFINITY]], [1.0; 3]).is_err());
        assert!(hypervolume_3d(&[[0.0; 3]], [1.0, 1.0, f64::NAN]).is_err());
    }
}
