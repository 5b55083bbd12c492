//! From values to places and back to round numbers.

use crate::words::number;

/// How values are spread over an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Scale {
    Linear,
    /// √v: zero has its place and small values more room. Only from zero up.
    SquareRoot,
    /// asinh(v / knee): linear near zero, logarithmic far beyond the knee. Only from zero up.
    FromZero {
        knee: f64,
    },
}

impl Scale {
    /// A scale from zero on which values of very different size can be told apart: the square root, unless the first
    /// quarter of those above zero lies below a hundredth of the greatest.
    pub(crate) fn from_zero_for(values: impl Iterator<Item = f64>) -> Self {
        let mut values: Vec<f64> = values.filter(|v| *v > 0.0).collect();
        values.sort_by(f64::total_cmp);
        let (Some(quarter), Some(most)) = (values.get(values.len() / 4), values.last()) else {
            return Self::SquareRoot;
        };
        if quarter * 100.0 >= *most { Self::SquareRoot } else { Self::from_zero_knee(*quarter, *most) }
    }

    /// The linear part ends at `knee`, but not below a ten-thousandth of the greatest value.
    pub(crate) fn from_zero_knee(knee: f64, most: f64) -> Self {
        Self::FromZero { knee: knee.max(most * 1e-4).max(f64::MIN_POSITIVE) }
    }

    /// For titles of axes.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::Linear => "",
            Self::SquareRoot => " (square-root scale)",
            Self::FromZero { .. } => " (linear near 0, then logarithmic)",
        }
    }

    fn spread(self, value: f64) -> f64 {
        match self {
            Self::Linear => value,
            Self::SquareRoot => value.max(0.0).sqrt(),
            Self::FromZero { knee } => (value / knee).asinh(),
        }
    }
}

/// One axis of a plot.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Axis {
    pub scale: Scale,
    pub low: f64,
    pub high: f64,
    pub title: String,
    /// Whether numbers above zero carry a plus, as differences do.
    pub signs: bool,
}

impl Axis {
    /// An axis over `low` to `high`; a point becomes a range.
    pub(crate) fn new(scale: Scale, low: f64, high: f64, title: impl Into<String>) -> Self {
        let high = if high > low { high } else { low + if low == 0.0 { 1.0 } else { low.abs() * 0.1 } };
        Self { scale, low, high, title: title.into(), signs: false }
    }

    /// A linear axis over values with a margin on both sides.
    pub(crate) fn around(values: impl Iterator<Item = f64>, title: impl Into<String>) -> Self {
        let (low, high) = span(values).unwrap_or((0.0, 1.0));
        let margin = if high > low { (high - low) * 0.05 } else { (low.abs() * 0.05).max(0.5) };
        Self::new(Scale::Linear, low - margin, high + margin, title)
    }

    /// An axis from zero over values that are zero or more.
    pub(crate) fn from_zero(scale: Scale, values: impl Iterator<Item = f64>, title: impl Into<String>) -> Self {
        let high = values.fold(0.0f64, f64::max);
        let headroom = if matches!(scale, Scale::FromZero { .. }) { 1.25 } else { 1.06 };
        Self::new(scale, 0.0, if high > 0.0 { high * headroom } else { 1.0 }, title)
    }

    /// The same axis with a sign on each number but zero.
    pub(crate) fn with_signs(mut self) -> Self {
        self.signs = true;
        self
    }

    /// The place of a value: 0 at `low`, 1 at `high`.
    pub(crate) fn share(&self, value: f64) -> f64 {
        let (low, high) = (self.scale.spread(self.low), self.scale.spread(self.high));
        (self.scale.spread(value) - low) / (high - low)
    }

    /// Round values and their words, no closer than `gap` as a share of the axis.
    pub(crate) fn ticks(&self, gap: f64) -> Vec<(f64, String)> {
        let mut ticks = match self.scale {
            Scale::Linear => self.linear_ticks(gap),
            _ => self.stretched_ticks(gap),
        };
        // The words, not the value: what is written 0 has no sign.
        for (_, words) in ticks.iter_mut().filter(|(value, words)| self.signs && *value > 0.0 && words != "0") {
            words.insert(0, '+');
        }
        ticks
    }

    fn linear_ticks(&self, gap: f64) -> Vec<(f64, String)> {
        let wanted = ((self.high - self.low) * gap).max(f64::MIN_POSITIVE);
        let power = 10f64.powf(wanted.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0].map(|m| m * power).into_iter().find(|s| *s >= wanted * (1.0 - 1e-9));
        let step = step.unwrap_or(power * 10.0);
        let decimals = decimals(step);
        let first = (self.low / step - 1e-9).ceil() as i64;
        let last = (self.high / step + 1e-9).floor() as i64;
        (first..=last).map(|n| (n as f64 * step, number(n as f64 * step, decimals))).collect()
    }

    /// Zero, then powers of ten from the top, then fives and twos, wherever there is room.
    fn stretched_ticks(&self, gap: f64) -> Vec<(f64, String)> {
        let top = self.high.log10().floor() as i32;
        let bottom = top - 6;
        let mut candidates = vec![0.0];
        for factor in [1.0, 5.0, 2.0] {
            candidates.extend((bottom..=top).rev().map(|p| factor * 10f64.powi(p)));
        }
        // Threes and fours only where a wide stretch would stay empty.
        let rest = [4.0, 3.0].into_iter().flat_map(|f| (bottom..=top).rev().map(move |p| f * 10f64.powi(p)));
        let candidates = candidates.into_iter().map(|v| (v, gap)).chain(rest.map(|v| (v, 2.5 * gap)));
        let mut ticks: Vec<f64> = Vec::new();
        for (value, gap) in candidates.filter(|(v, _)| *v >= self.low && *v <= self.high) {
            if ticks.iter().all(|other| (self.share(*other) - self.share(value)).abs() >= gap) {
                ticks.push(value);
            }
        }
        ticks.sort_by(f64::total_cmp);
        ticks.into_iter().map(|v| (v, number(v, decimals(if v > 0.0 { v } else { 1.0 })))).collect()
    }
}

fn decimals(step: f64) -> usize {
    (-(step.log10() + 1e-9).floor()).clamp(0.0, 9.0) as usize
}

/// The least and the greatest.
pub(crate) fn span(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.fold(None, |so_far, v| Some(so_far.map_or((v, v), |(low, high): (f64, f64)| (low.min(v), high.max(v)))))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(axis: &Axis, gap: f64) -> Vec<String> {
        axis.ticks(gap).into_iter().map(|(_, w)| w).collect()
    }

    #[test]
    fn linear_ticks_are_round() {
        let axis = Axis::new(Scale::Linear, -1.2, 1.1, "");
        assert_eq!(words(&axis, 0.2), ["−1", "−0.5", "0", "0.5", "1"]);
        let axis = Axis::new(Scale::Linear, 0.0, 300.0, "");
        assert_eq!(words(&axis, 0.15), ["0", "50", "100", "150", "200", "250", "300"]);
        let axis = Axis::new(Scale::Linear, 0.0, 0.003, "");
        assert_eq!(words(&axis, 0.3), ["0", "0.001", "0.002", "0.003"]);
    }

    #[test]
    fn numbers_of_differences_carry_their_sign() {
        let axis = Axis::new(Scale::Linear, -1.2, 1.1, "").with_signs();
        assert_eq!(words(&axis, 0.2), ["−1", "−0.5", "0", "+0.5", "+1"]);
    }

    #[test]
    fn stretched_axes_begin_with_zero_and_keep_ticks_apart() {
        for scale in [Scale::SquareRoot, Scale::FromZero { knee: 0.5 }] {
            let axis = Axis::new(scale, 0.0, 320.0, "");
            let ticks = axis.ticks(0.08);
            assert_eq!(ticks[0].1, "0");
            assert!(ticks.len() > 4, "{ticks:?}");
            assert!(ticks.windows(2).all(|w| axis.share(w[1].0) - axis.share(w[0].0) >= 0.08 - 1e-12));
        }
        assert_eq!(Axis::new(Scale::SquareRoot, 0.0, 1.0, "").share(0.25), 0.5);
    }

    #[test]
    fn a_point_becomes_a_range_and_places_are_finite() {
        for at in [0.0, 5.0, -3.0] {
            let axis = Axis::new(Scale::Linear, at, at, "");
            assert!(axis.share(at).is_finite() && axis.high > axis.low);
        }
        let axis = Axis::around([4.0].into_iter(), "");
        assert!(axis.low < 4.0 && axis.high > 4.0);
    }
}
