//! Bracketed Newton search for the root of an increasing function.

/// Beyond this a logit or log argument leaves the range of `f64`.
const LIMIT: f64 = 745.0;

/// Newton steps allowed before the search falls back to plain halving.
const NEWTON_STEPS: usize = 60;

/// Steps after which halving has exhausted the digits of `f64`.
const ALL_STEPS: usize = 200;

/// Finds `u` in ±745 where an increasing function changes sign.
///
/// `f` returns the value and the slope at `u`. Newton's step is taken only when
/// it stays inside the bracket, so the search cannot leave it or cycle. If the
/// function has one sign over the whole range, the end of the range is
/// returned. NaN from `f` gives NaN.
pub(crate) fn increasing_root(start: f64, f: impl Fn(f64) -> (f64, f64)) -> f64 {
    let mut u = start.clamp(-LIMIT, LIMIT);
    let (mut lo, mut hi) = match bracket(u, &f) {
        Ok(bracket) => bracket,
        Err(end) => return end,
    };
    if !(u > lo && u < hi) {
        u = 0.5 * (lo + hi);
    }
    for step in 0..ALL_STEPS {
        let (value, slope) = f(u);
        if value == 0.0 {
            return u;
        }
        if value.is_nan() {
            return f64::NAN;
        }
        if value < 0.0 {
            lo = u;
        } else {
            hi = u;
        }
        let newton = u - value / slope;
        let next = if newton > lo && newton < hi && step < NEWTON_STEPS { newton } else { 0.5 * (lo + hi) };
        let resolution = 2.0 * f64::EPSILON * u.abs().max(0.5);
        if (next - u).abs() <= resolution || hi - lo <= resolution {
            return next;
        }
        u = next;
    }
    u
}

/// Widens an interval about `start` until the function changes sign in it.
fn bracket(start: f64, f: &impl Fn(f64) -> (f64, f64)) -> Result<(f64, f64), f64> {
    let first = f(start).0;
    if first.is_nan() {
        return Err(f64::NAN);
    }
    let outward = if first < 0.0 { 1.0 } else { -1.0 };
    let mut inner = start;
    let mut width = 0.5;
    loop {
        let outer = (inner + outward * width).clamp(-LIMIT, LIMIT);
        let value = f(outer).0;
        if value.is_nan() {
            return Err(f64::NAN);
        }
        if value * outward >= 0.0 {
            return Ok((inner.min(outer), inner.max(outer)));
        }
        if outer.abs() >= LIMIT {
            return Err(outer);
        }
        inner = outer;
        width *= 2.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_roots_far_from_the_start() {
        for root in [-700.0, -3.0, 0.0, 0.1, 500.0] {
            let found = increasing_root(1.0, |u| (u - root, 1.0));
            assert!((found - root).abs() <= 1e-13 * root.abs().max(1.0), "{root} {found}");
        }
    }

    #[test]
    fn a_useless_slope_does_not_mislead() {
        let found = increasing_root(0.0, |u| (u.powi(3) - 8.0, 1e-300));
        assert!((found - 2.0).abs() < 1e-14);
    }

    #[test]
    fn one_sign_gives_the_end_and_nan_gives_nan() {
        assert_eq!(increasing_root(0.0, |_| (-1.0, 0.0)), LIMIT);
        assert_eq!(increasing_root(0.0, |_| (1.0, 0.0)), -LIMIT);
        assert!(increasing_root(0.0, |_| (f64::NAN, 0.0)).is_nan());
    }
}
