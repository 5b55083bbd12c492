//! How long the blocks of a block bootstrap should be.

use crate::sum::compensated_sum;

/// Length of blocks that suits the mean of a series best, by the rule of Politis and White.
///
/// # Definition
/// With autocovariances R(k) = Σ(xᵢ − x̄)(xᵢ₊ₖ − x̄)/N and autocorrelations ρ(k) = R(k)/R(0), m is the
/// first lag from which on five in a row are below 2√(log₁₀N/N) in size, and M = 2m. With the flat-top
/// window λ(t) = min(1, 2(1 − |t|)), G = Σ λ(k/M) |k| R(k) and g = Σ λ(k/M) R(k), sums over
/// |k| ≤ M. For blocks on a circle the length is (2G² / (4/3 g²))^⅓ N^⅓, kept between 1 and
/// min(3√N, N/3).
///
/// # Units
/// Positions of the series; not rounded.
///
/// # Undefined
/// `None` with fewer than nine values, a value that is not finite, or values that are all equal. Where the
/// autocorrelations never settle up to the lag √N + 5, M is that lag. Where g is zero, the length is the
/// largest one.
///
/// # Source
/// Politis & White (2004), Econometric Reviews 23:53, section 3.2 and footnote c on page 59; Patton, Politis &
/// White (2009), Econometric Reviews 28:372, leave the rule for blocks on a circle as it is (the paper's own text
/// counts m from the lag before; the programs in use count as here, which gives longer blocks). Values of the
/// Python package arch are in this file's tests.
pub fn block_length(series: &[f64]) -> Option<f64> {
    const IN_A_ROW: usize = 5;
    let n = series.len();
    if n < 9 || series.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let size = n as f64;
    let mean = compensated_sum(series.iter().copied()) / size;
    let centred: Vec<f64> = series.iter().map(|value| value - mean).collect();
    let covariance = |lag: usize| {
        let products = centred.iter().zip(&centred[lag..]).map(|(a, b)| a * b);
        compensated_sum(products) / size
    };
    let variance = covariance(0);
    let scale = series.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
    // What rounding of the mean leaves over is no spread.
    if variance <= (8.0 * f64::EPSILON * scale).powi(2) {
        return None;
    }
    let last = (size.sqrt().ceil() as usize + IN_A_ROW).min(n - 1);
    let band = 2.0 * (libm::log10(size) / size).sqrt();
    let mut covariances = vec![variance];
    let mut quiet = 0;
    let mut settled = None;
    for lag in 1..=last {
        covariances.push(covariance(lag));
        quiet = if (covariances[lag] / variance).abs() < band { quiet + 1 } else { 0 };
        if quiet == IN_A_ROW {
            settled = Some(lag + 1 - IN_A_ROW);
            break;
        }
    }
    let window = settled.map_or(last, |m| (2 * m).min(last));
    while covariances.len() <= window {
        covariances.push(covariance(covariances.len()));
    }
    let (mut slope, mut level) = (0.0, variance);
    for (lag, covariance) in covariances.iter().enumerate().take(window + 1).skip(1) {
        let weight = (2.0 * (1.0 - lag as f64 / window as f64)).min(1.0);
        slope += 2.0 * weight * lag as f64 * covariance;
        level += 2.0 * weight * covariance;
    }
    let longest = (3.0 * size.sqrt()).min(size / 3.0).ceil();
    let length = libm::cbrt(2.0 * slope * slope / (4.0 / 3.0 * level * level) * size);
    Some(if length.is_finite() { length.clamp(1.0, longest) } else { longest })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A series that other programs make alike: a linear congruential generator and a first-order
    /// autoregression.
    fn autoregression(n: usize, rho: f64) -> Vec<f64> {
        let mut state: u64 = 12345;
        let mut value = 0.0;
        (0..n)
            .map(|_| {
                state = (state * 1_103_515_245 + 12345) % (1 << 31);
                value = rho * value + state as f64 / f64::from(1_u32 << 31) - 0.5;
                value
            })
            .collect()
    }

    #[test]
    fn nothing_to_go_by() {
        assert_eq!(block_length(&[1.0; 8]), None);
        assert_eq!(block_length(&[0.1; 100]), None, "the mean of equal values is not exactly one of them");
        assert_eq!(block_length(&[f64::NAN; 100]), None);
        // Signs that alternate: the sum of covariances nearly vanishes, the length stays in bounds.
        let signs: Vec<f64> = (0..400).map(|i| f64::from(1 - 2 * (i % 2))).collect();
        assert!(block_length(&signs).is_some_and(|length| (1.0..=60.0).contains(&length)));
    }

    #[test]
    fn lengths_are_those_of_arch() {
        // arch 8.0.0 (Python), arch.bootstrap.optimal_block_length(x)["circular"], on the series above and on
        // whether it exceeds 0.4. Its autocorrelations divide by the parts that overlap, which on these series
        // leaves the lag at which they settle where it is.
        for (rho, n, of_values, of_events) in [
            (0.0, 200, 0.6156852552217171, 0.9843454954485085),
            (0.3, 500, 6.3135626593949326, 4.963070145950623),
            (0.5, 1000, 12.770246131623095, 10.103965482796774),
            (0.8, 2000, 31.36787585627034, 26.457226813117362),
            (0.5, 5000, 19.860424245880758, 15.537234923721613),
        ] {
            let values = autoregression(n, rho);
            let events: Vec<f64> = values.iter().map(|value| f64::from(u8::from(*value > 0.4))).collect();
            for (series, expected) in [(values, of_values), (events, of_events)] {
                // Blocks of less than one value are none: arch leaves rounding to its caller.
                let length = block_length(&series).unwrap();
                assert!((length - f64::max(expected, 1.0)).abs() < 1e-9 * expected, "{rho} {n}: {length} {expected}");
            }
        }
    }

    #[test]
    fn more_dependence_asks_for_longer_blocks() {
        let lengths = [0.0, 0.5, 0.9].map(|rho| block_length(&autoregression(2000, rho)).unwrap());
        assert!(lengths[0] < lengths[1] && lengths[1] < lengths[2], "{lengths:?}");
    }
}
