//! The minimum of a smooth function of a few parameters.

/// Step for slopes and curvatures. Parameters are scaled so that 1 is a large
/// step: logarithms, or multiples of a standard deviation.
const STEP: f64 = 1e-3;

/// Rounds of the simplex search, each from the best point of the last.
const ROUNDS: usize = 6;

/// A minimum with the inverse of the curvature at it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Optimum<const N: usize> {
    /// Where the minimum is.
    pub(crate) at: [f64; N],
    /// The function there.
    pub(crate) value: f64,
    /// Inverse of the matrix of second derivatives; `None` where that is not
    /// positive definite. For a negative log-likelihood it is the covariance.
    pub(crate) covariance: Option<[[f64; N]; N]>,
}

/// Minimises `f`, which may return infinity where it is not defined.
///
/// A simplex search finds the place, Newton steps with differenced slopes give
/// it its last digits.
///
/// # Source
/// Nelder & Mead (1965), The Computer Journal 7:308.
pub(crate) fn minimise<const N: usize>(start: [f64; N], f: impl Fn(&[f64; N]) -> f64) -> Optimum<N> {
    let f = |x: &[f64; N]| defined(f(x));
    let mut at = start;
    let mut size = 0.25;
    for _ in 0..ROUNDS {
        let next = simplex(at, size, &f);
        let moved = next.iter().zip(&at).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        at = next;
        size = 0.1;
        if moved < 1e-3 {
            break;
        }
    }
    for _ in 0..12 {
        let slope = gradient(&at, &f);
        let Some(inverse) = curvature(&at, &f).and_then(inverse) else { break };
        let next: [f64; N] = std::array::from_fn(|i| at[i] - (0..N).map(|j| inverse[i][j] * slope[j]).sum::<f64>());
        let moved = next.iter().zip(&at).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        // A step that does not improve is rounding, or has left the valley.
        let improves = f(&next) <= f(&at) + 1e-12 * f(&at).abs();
        if !improves || moved >= 0.1 {
            break;
        }
        at = next;
        if moved < 1e-11 {
            break;
        }
    }
    Optimum { at, value: f(&at), covariance: curvature(&at, &f).and_then(inverse) }
}

/// Minimises from the two most promising of several starts and keeps the better
/// result; `None` if the function is finite at neither.
pub(crate) fn minimise_from<const N: usize>(starts: &[[f64; N]], f: impl Fn(&[f64; N]) -> f64) -> Option<Optimum<N>> {
    let mut ranked: Vec<(f64, &[f64; N])> = starts.iter().map(|start| (defined(f(start)), start)).collect();
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
    let found = ranked.iter().take(2).map(|(_, start)| minimise(**start, &f));
    found.min_by(|a, b| a.value.total_cmp(&b.value)).filter(|best| best.value.is_finite())
}

/// Infinity in place of NaN, which has no rank among numbers.
fn defined(value: f64) -> f64 {
    if value.is_nan() { f64::INFINITY } else { value }
}

fn simplex<const N: usize>(start: [f64; N], size: f64, f: &impl Fn(&[f64; N]) -> f64) -> [f64; N] {
    let mut corners: Vec<([f64; N], f64)> = (0..=N)
        .map(|corner| {
            let mut x = start;
            if corner > 0 {
                x[corner - 1] += size;
            }
            (x, f(&x))
        })
        .collect();
    for _ in 0..400 * N {
        corners.sort_by(|a, b| a.1.total_cmp(&b.1));
        let (best, worst) = (corners[0].1, corners[N].1);
        let spread = (0..N).map(|i| (corners[N].0[i] - corners[0].0[i]).abs()).fold(0.0, f64::max);
        if worst - best <= 1e-11 * best.abs() && spread < 1e-5 {
            break;
        }
        let center: [f64; N] = std::array::from_fn(|i| corners[..N].iter().map(|c| c.0[i]).sum::<f64>() / N as f64);
        let along = |factor: f64| {
            let x: [f64; N] = std::array::from_fn(|i| center[i] + factor * (corners[N].0[i] - center[i]));
            (x, f(&x))
        };
        let reflected = along(-1.0);
        let replacement = if reflected.1 < best {
            let expanded = along(-2.0);
            if expanded.1 < reflected.1 { Some(expanded) } else { Some(reflected) }
        } else if reflected.1 < corners[N - 1].1 {
            Some(reflected)
        } else {
            let contracted = if reflected.1 < worst { along(-0.5) } else { along(0.5) };
            (contracted.1 < worst.min(reflected.1)).then_some(contracted)
        };
        match replacement {
            Some(corner) => corners[N] = corner,
            None => {
                let anchor = corners[0].0;
                for corner in &mut corners[1..] {
                    let x: [f64; N] = std::array::from_fn(|i| 0.5 * (anchor[i] + corner.0[i]));
                    *corner = (x, f(&x));
                }
            }
        }
    }
    corners.sort_by(|a, b| a.1.total_cmp(&b.1));
    corners[0].0
}

fn shifted<const N: usize>(at: &[f64; N], steps: &[(usize, f64)], f: &impl Fn(&[f64; N]) -> f64) -> f64 {
    let mut x = *at;
    for (i, step) in steps {
        x[*i] += step;
    }
    f(&x)
}

fn gradient<const N: usize>(at: &[f64; N], f: &impl Fn(&[f64; N]) -> f64) -> [f64; N] {
    std::array::from_fn(|i| {
        let near = shifted(at, &[(i, STEP)], f) - shifted(at, &[(i, -STEP)], f);
        let far = shifted(at, &[(i, 2.0 * STEP)], f) - shifted(at, &[(i, -2.0 * STEP)], f);
        (8.0 * near - far) / (12.0 * STEP)
    })
}

/// Second derivatives; `None` if one is not finite.
fn curvature<const N: usize>(at: &[f64; N], f: &impl Fn(&[f64; N]) -> f64) -> Option<[[f64; N]; N]> {
    let center = f(at);
    // Both step sizes together cancel the error in the square of the step.
    let second = |i: usize, j: usize, h: f64| {
        if i == j {
            (shifted(at, &[(i, h)], f) - 2.0 * center + shifted(at, &[(i, -h)], f)) / (h * h)
        } else {
            let side = |a: f64, b: f64| shifted(at, &[(i, a), (j, b)], f);
            (side(h, h) - side(h, -h) - side(-h, h) + side(-h, -h)) / (4.0 * h * h)
        }
    };
    let h = 4.0 * STEP;
    let matrix: [[f64; N]; N] = std::array::from_fn(|i| {
        std::array::from_fn(|j| (4.0 * second(i.min(j), i.max(j), h) - second(i.min(j), i.max(j), 2.0 * h)) / 3.0)
    });
    matrix.iter().flatten().all(|v| v.is_finite()).then_some(matrix)
}

/// Inverse of a symmetric matrix; `None` unless positive definite.
pub(crate) fn inverse<const N: usize>(matrix: [[f64; N]; N]) -> Option<[[f64; N]; N]> {
    let mut a = matrix;
    let mut inverse: [[f64; N]; N] = std::array::from_fn(|i| std::array::from_fn(|j| f64::from(u8::from(i == j))));
    for pivot in 0..N {
        // Elimination without exchange meets the leading minors in order.
        let scale = a[pivot][pivot];
        if scale.is_nan() || scale <= 0.0 {
            return None;
        }
        for j in 0..N {
            a[pivot][j] /= scale;
            inverse[pivot][j] /= scale;
        }
        for row in 0..N {
            if row != pivot {
                let factor = a[row][pivot];
                for j in 0..N {
                    a[row][j] -= factor * a[pivot][j];
                    inverse[row][j] -= factor * inverse[pivot][j];
                }
            }
        }
    }
    Some(inverse)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curved_valley() {
        // Rosenbrock's function: minimum at (1, 1), curvature ((802, −400), (−400, 200)).
        let found = minimise([-1.2, 1.0], |&[x, y]| (1.0 - x).powi(2) + 100.0 * (y - x * x).powi(2));
        assert!((found.at[0] - 1.0).abs() < 1e-9 && (found.at[1] - 1.0).abs() < 1e-9, "{found:?}");
        let covariance = found.covariance.unwrap();
        // Inverse: ((200, 400), (400, 802))/400.
        for (entry, known) in [(covariance[0][0], 0.5), (covariance[0][1], 1.0), (covariance[1][1], 2.005)] {
            assert!((entry / known - 1.0).abs() < 1e-5, "{entry} {known}");
        }
    }

    #[test]
    fn a_wall_is_not_crossed() {
        let found = minimise([0.5], |&[x]| if x > 0.0 { x - libm::log(x) } else { f64::INFINITY });
        assert!((found.at[0] - 1.0).abs() < 1e-9, "{found:?}");
        assert!((found.covariance.unwrap()[0][0] - 1.0).abs() < 1e-5);
        // The same with NaN beyond the wall, of either sign.
        let found = minimise([0.05], |&[x]| if x > 0.0 { x - libm::log(x) } else { -f64::NAN });
        assert!((found.at[0] - 1.0).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn only_positive_definite_matrices_are_inverted() {
        assert_eq!(inverse([[2.0, 0.0], [0.0, 4.0]]), Some([[0.5, 0.0], [0.0, 0.25]]));
        assert_eq!(inverse([[1.0, 2.0], [2.0, 1.0]]), None);
        assert_eq!(inverse([[f64::NAN]]), None);
    }
}
