//! The settings to choose from.

use agogic_policy::Setting;

/// Values of one rule and of the guard `lull_ms` to choose from.
#[derive(Clone, Copy, Debug)]
pub struct Family {
    /// The rule.
    pub rule: &'static str,
    /// Its value that is chosen: name, from, to, step. A rule may have none.
    pub threshold: Option<(&'static str, f64, f64, f64)>,
    /// Lulls to choose from in ms; 0 is no guard.
    pub lulls_ms: &'static [f64],
}

/// Lulls beside a threshold, and alone.
const FEW: &[f64] = &[0.0, 100.0, 150.0, 200.0];
const MANY: &[f64] = &[0.0, 50.0, 75.0, 100.0, 125.0, 150.0, 175.0, 200.0, 250.0, 300.0];

/// Every family. Rules that learn are left out: they have no value that a person could turn.
pub const FAMILIES: &[Family] = &[
    Family { rule: "dwell-cutoff", threshold: Some(("cutoff_ms", 120.0, 400.0, 20.0)), lulls_ms: FEW },
    Family { rule: "first-contact", threshold: None, lulls_ms: MANY },
    Family { rule: "enclosed", threshold: None, lulls_ms: MANY },
    Family { rule: "overlap-share", threshold: Some(("share", 0.3, 1.0, 0.1)), lulls_ms: FEW },
    Family { rule: "overlap-span", threshold: Some(("span_ms", 20.0, 200.0, 20.0)), lulls_ms: FEW },
];

/// One setting with the place of its family.
#[derive(Debug)]
pub(super) struct Candidate {
    pub family: usize,
    pub setting: Setting,
    pub label: String,
    pub threshold: Option<f64>,
    pub lull_ms: f64,
}

/// Every setting of every family.
pub(super) fn candidates() -> Vec<Candidate> {
    let mut all = Vec::new();
    for (family, own) in FAMILIES.iter().enumerate() {
        let thresholds: Vec<Option<f64>> = match own.threshold {
            None => vec![None],
            Some((_, from, to, step)) => {
                let steps = ((to - from) / step).round() as usize;
                // Counted from the start, and rounded as a person would write it.
                (0..=steps).map(|i| Some(((from + step * i as f64) * 1e3).round() / 1e3)).collect()
            }
        };
        for threshold in thresholds {
            for &lull_ms in own.lulls_ms {
                let values: Vec<(&str, f64)> =
                    own.threshold.iter().zip(threshold).map(|(own, value)| (own.0, value)).collect();
                let mut setting = Setting::rule(own.rule, &values).expect("the families name rules and their values");
                if lull_ms > 0.0 {
                    setting = setting.with_value("lull_ms", lull_ms).expect("a lull of the list");
                }
                let label = setting.label();
                all.push(Candidate { family, setting, label, threshold, lull_ms });
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn families_stand_together_and_differ() {
        let all = candidates();
        assert!(all.windows(2).all(|pair| pair[0].family <= pair[1].family));
        let mut labels: Vec<&str> = all.iter().map(|c| c.label.as_str()).collect();
        let count = labels.len();
        labels.sort_unstable();
        labels.dedup();
        assert_eq!(labels.len(), count);
        assert!(all.iter().any(|c| c.label.starts_with("overlap-share 0.7")));
    }
}
