//! A number with everything needed to judge it.

use serde::{Deserialize, Serialize};

use crate::caution::Caution;
use crate::level::Level;

/// A lower and an upper limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Interval {
    /// Lower limit.
    pub lo: f64,
    /// Upper limit.
    pub hi: f64,
}

impl Interval {
    /// Whether the limits enclose `value`, ends included.
    pub fn contains(&self, value: f64) -> bool {
        self.lo <= value && value <= self.hi
    }

    /// Distance between the limits.
    pub fn width(&self) -> f64 {
        self.hi - self.lo
    }
}

/// An estimate with its error, interval, method, level and unit of replication.
///
/// # Shape
/// A missing number is `null`, never zero, and `reason` then says why. Infinities
/// and NaN are never stored. `informative`, `critical`, `critical_mcse` and `cautions`
/// are written only where there is something to say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// The estimate itself.
    pub value: Option<f64>,
    /// Why the value, the error or a limit is missing, or what a bound rests on.
    pub reason: Option<String>,
    /// Standard error of the value over repetitions of the sampling of units.
    ///
    /// In a simulation the units are simulated, so this is the Monte Carlo
    /// standard error.
    pub mcse: Option<f64>,
    /// Lower limit.
    pub lo: Option<f64>,
    /// Upper limit.
    pub hi: Option<f64>,
    /// How the interval was made.
    pub method: String,
    /// Confidence level of the interval.
    pub level: f64,
    /// What is counted in `n` and resampled, such as "typist".
    pub unit: String,
    /// Number of units that carried information.
    pub n: u64,
    /// Units with events (of a proportion the fewer of those with and without), or in
    /// which the two sides of a comparison differ.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub informative: Option<u64>,
    /// Critical value of intervals that hold together, on the standard normal scale,
    /// where it was drawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub critical: Option<f64>,
    /// Its Monte Carlo standard error.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub critical_mcse: Option<f64>,
    /// What to mind when reading the interval.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<Caution>,
}

/// A number with so many decimals; what rounds to nothing has no sign.
pub fn fixed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|byte| matches!(byte, b'0' | b'.')) => rest.to_owned(),
        _ => text,
    }
}

impl Estimate {
    /// Decimals that the error allows, `most` at most.
    ///
    /// # Definition
    /// The error is half the width of the interval, or the shorter arm where the arms differ by a tenth of that or more.
    /// Where its three leading digits lie from 100 to 354 two digits of it are kept, from 355 to 949 one, from 950 on two of
    /// the next power of ten; nothing is rounded left of the point. An interval that does not reach 0 keeps decimals until it
    /// is not shown to. Without an interval there are `most`.
    ///
    /// # Source
    /// Particle Data Group, Review of Particle Physics (Phys. Rev. D 98, 030001, 2018), Introduction, 5.3 "Rounding", as
    /// quoted by others.
    pub fn decimals(&self, most: usize) -> usize {
        let (Some(value), Some(lo), Some(hi)) = (self.value, self.lo, self.hi) else { return most };
        let (below, above) = (value - lo, hi - value);
        let half = 0.5 * (hi - lo);
        let lopsided = libm::fabs(above - below) >= 0.1 * half && below.min(above) > 0.0;
        let error = if lopsided { below.min(above) } else { half };
        if !(error > 0.0 && error.is_finite()) {
            return most;
        }
        let power = libm::floor(libm::log10(error));
        let three = libm::floor(error / libm::pow(10.0, power - 2.0) + 1e-9);
        // From 950 on it is 1000 with two digits: the same place as one digit of it.
        let last = if three < 355.0 { power - 1.0 } else { power };
        let allowed = if last >= 0.0 { 0 } else { (-last) as usize };
        let seems_to_reach_0 = |digits: usize| {
            let nothing = 0.5 * libm::pow(10.0, -(digits as f64));
            (lo > 0.0 && lo < nothing) || (hi < 0.0 && hi > -nothing)
        };
        (allowed.min(most)..most).find(|digits| !seems_to_reach_0(*digits)).unwrap_or(most)
    }

    /// As people read it, with as many decimals as its [error allows](Self::decimals), `most` at most: `1.25 (0.50–2.00)`, `-0.30 (-1.00 to 0.40)`, `1.25 (no interval)` or
    /// `unknown`.
    pub fn text(&self, most: usize) -> String {
        let digits = self.decimals(most);
        let plain = |value: f64| fixed(value, digits);
        match (self.value, self.lo, self.hi) {
            // A dash before a minus would be misread.
            (Some(value), Some(lo), Some(hi)) if lo < 0.0 => {
                format!("{} ({} to {})", plain(value), plain(lo), plain(hi))
            }
            (Some(value), Some(lo), Some(hi)) => format!("{} ({}–{})", plain(value), plain(lo), plain(hi)),
            (Some(value), ..) => format!("{} (no interval)", plain(value)),
            (None, ..) => "unknown".to_owned(),
        }
    }

    /// As [`Estimate::text`], of a change: with signs, such as `+1.2 (+0.3 to +2.1)`. What rounds to nothing has no sign.
    pub fn signed_text(&self, most: usize) -> String {
        let digits = self.decimals(most);
        let signed = |value: f64| match fixed(value, digits) {
            text if text.starts_with('-') || text.bytes().all(|byte| matches!(byte, b'0' | b'.')) => text,
            text => format!("+{text}"),
        };
        match (self.value, self.lo, self.hi) {
            (Some(value), Some(lo), Some(hi)) => format!("{} ({} to {})", signed(value), signed(lo), signed(hi)),
            (Some(value), ..) => format!("{} (no interval)", signed(value)),
            (None, ..) => "unknown".to_owned(),
        }
    }

    /// As [`Estimate::text`], within a sentence: `12.3 (11.8 to 12.9)`, and why where it is unknown.
    pub fn text_in_sentence(&self, most: usize) -> String {
        let digits = self.decimals(most);
        let plain = |value: f64| fixed(value, digits);
        match (self.value, self.lo, self.hi) {
            (Some(value), Some(lo), Some(hi)) => format!("{} ({} to {})", plain(value), plain(lo), plain(hi)),
            (Some(_), ..) => self.text(most),
            (None, ..) => format!("unknown ({})", self.reason.as_deref().unwrap_or("no reason given")),
        }
    }

    /// An estimate with a value and, for now, no error or interval.
    ///
    /// A value that is not finite becomes missing, with a reason.
    pub fn new(value: f64, method: &str, level: Level, unit: &str, n: u64) -> Self {
        let estimate = Estimate {
            value: None,
            reason: None,
            mcse: None,
            lo: None,
            hi: None,
            method: method.to_owned(),
            level: level.confidence(),
            unit: unit.to_owned(),
            n,
            informative: None,
            critical: None,
            critical_mcse: None,
            cautions: Vec::new(),
        };
        if value.is_finite() {
            Estimate { value: Some(value), ..estimate }
        } else {
            estimate.because("the value is not a finite number")
        }
    }

    /// An estimate whose value is not known, and why.
    pub fn unknown(reason: &str, method: &str, level: Level, unit: &str, n: u64) -> Self {
        Estimate { value: None, ..Estimate::new(0.0, method, level, unit, n) }.because(reason)
    }

    /// Sets the standard error; one that is not finite stays missing.
    pub fn with_mcse(self, mcse: f64) -> Self {
        Estimate { mcse: finite(mcse), ..self }
    }

    /// Sets both limits; limits that are not finite stay missing.
    pub fn with_interval(self, interval: Interval) -> Self {
        Estimate { lo: finite(interval.lo), hi: finite(interval.hi), ..self }
    }

    /// The same in a unit that is `1 / factor` as large; below zero the limits change places.
    pub fn times(mut self, factor: f64) -> Self {
        for field in [&mut self.value, &mut self.lo, &mut self.hi] {
            *field = field.map(|value| value * factor);
        }
        self.mcse = self.mcse.map(|error| error * factor.abs());
        if factor < 0.0 {
            std::mem::swap(&mut self.lo, &mut self.hi);
        }
        self
    }

    /// States why something is missing, or what a bound rests on.
    pub fn because(self, reason: &str) -> Self {
        Estimate { reason: Some(reason.to_owned()), ..self }
    }

    /// Says what to mind, besides what was said before; nothing twice.
    pub fn with_cautions(mut self, cautions: impl IntoIterator<Item = Caution>) -> Self {
        for caution in cautions {
            if !self.cautions.contains(&caution) {
                self.cautions.push(caution);
            }
        }
        self
    }

    /// The interval, if both limits are known.
    pub fn interval(&self) -> Option<Interval> {
        Some(Interval { lo: self.lo?, hi: self.hi? })
    }
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_rounds_to_nothing_has_no_sign() {
        assert_eq!((fixed(-0.001, 2), fixed(-0.0, 0), fixed(-0.01, 2)), ("0.00".into(), "0".into(), "-0.01".into()));
        let own = Estimate::new(0.001, "t", Level::P95, "typist", 9).with_interval(Interval { lo: -0.004, hi: 0.2 });
        assert_eq!(own.text(2), "0.00 (0.00 to 0.20)");
        assert_eq!(own.signed_text(2), "0.00 (0.00 to +0.20)");
    }

    #[test]
    fn values_are_rounded_to_their_error() {
        let text = |value: f64, lo: f64, hi: f64, most: usize| {
            Estimate::new(value, "t", Level::P95, "typist", 9).with_interval(Interval { lo, hi }).text(most)
        };
        // The worked examples of STAR's guide to the rule of the Particle Data Group, and of the Ruby library pdground.
        for (value, error, shown) in [
            (0.279_008, 0.012_326_1, "0.279 (0.267–0.291)"),
            (0.279_008, 0.076_609_9, "0.28 (0.20–0.36)"),
            // The library prints 12.214: as a binary number 12.2135 is a little less than that.
            (12.2135, 0.032_15, "12.213 (12.181–12.246)"),
            (12.2135, 0.065_15, "12.21 (12.15–12.28)"),
            (12.2135, 0.0999, "12.21 (12.11–12.31)"),
        ] {
            assert_eq!(text(value, value - error, value + error, 6), shown);
        }
        // Lopsided: the shorter arm.
        assert_eq!(text(26.57, 23.43, 30.38, 2), "26.6 (23.4–30.4)");
        // No more than asked for, and nothing left of the point.
        assert_eq!(text(0.279_008, 0.2665, 0.2915, 2), "0.28 (0.27–0.29)");
        assert_eq!(text(1725.4, 1646.3, 1808.2, 2), "1725 (1646–1808)");
        // What does not reach 0 is not shown to.
        assert_eq!(text(0.50, 0.04, 0.96, 2), "0.50 (0.04–0.96)");
        assert_eq!(text(0.0, 0.0, 0.36, 2), "0.00 (0.00–0.36)");
        assert_eq!(Estimate::new(1.25, "t", Level::P95, "typist", 9).text(2), "1.25 (no interval)");
    }

    #[test]
    fn unknown_is_null_with_a_reason() {
        let unknown = Estimate::unknown("no events", "wilson", Level::P95, "typist", 0);
        let json = serde_json::to_value(&unknown).unwrap();
        assert!(json["value"].is_null() && json["lo"].is_null() && json["mcse"].is_null());
        assert_eq!(json["reason"], "no events");
        assert!(json.get("cautions").is_none() && json.get("critical").is_none());
        assert_eq!(serde_json::from_value::<Estimate>(json).unwrap(), unknown);
    }

    #[test]
    fn cautions_are_kept_once_and_read_back() {
        let few = [Caution::FewClusters { n: 3 }, Caution::OneText];
        let estimate = Estimate::new(1.0, "m", Level::P95, "typist", 3).with_cautions(few).with_cautions(few);
        assert_eq!(estimate.cautions, few);
        let json = serde_json::to_string(&estimate).unwrap();
        assert_eq!(serde_json::from_str::<Estimate>(&json).unwrap(), estimate);
    }

    #[test]
    fn what_is_not_finite_is_missing() {
        let nan = Estimate::new(f64::NAN, "m", Level::P95, "typist", 3);
        assert!(nan.value.is_none() && nan.reason.is_some());
        let open = Estimate::new(1.0, "m", Level::P95, "typist", 3)
            .with_mcse(f64::INFINITY)
            .with_interval(Interval { lo: 0.0, hi: f64::INFINITY });
        assert_eq!((open.mcse, open.lo, open.hi), (None, Some(0.0), None));
        assert!(open.interval().is_none());
    }
}
