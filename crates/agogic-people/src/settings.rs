//! The settings that people are held against.

use agogic_keys::Span;
use agogic_policy::{Guards, Setting};

/// The twelve settings of the test bed with their labels: every rule without training, at values that are quoted
/// for it, and with the guards that look at time.
///
/// # Source
/// The list was fixed before any of them was played to the held-out people. Which values are quoted: common
/// practice, no source. `other_hand` is not among them, since most logs do not say which Shift was pressed.
pub fn settings() -> Vec<(String, Setting)> {
    let plain = |rule: &str, values: &[(&str, f64)]| Setting::rule(rule, values).expect("the registry has the rule");
    let ms = |ms: f64| Some(Span::from_ms(ms));
    let list = [
        plain("dwell-cutoff", &[("cutoff_ms", 150.0)]),
        plain("dwell-cutoff", &[("cutoff_ms", 200.0)]),
        plain("dwell-cutoff", &[("cutoff_ms", 250.0)]),
        plain("first-contact", &[]),
        plain("enclosed", &[]),
        plain("enclosed", &[]).with_guards(Guards { dwell_floor: ms(100.0), ..Guards::default() }),
        plain("overlap-share", &[("share", 0.8)]),
        plain("overlap-share", &[("share", 0.5)]),
        plain("overlap-span", &[("span_ms", 50.0)]),
        plain("overlap-span", &[("span_ms", 80.0)]),
        plain("first-contact", &[]).with_guards(Guards { lull: ms(120.0), ..Guards::default() }),
        plain("first-contact", &[]).with_guards(Guards {
            lull: ms(150.0),
            dwell_floor: ms(100.0),
            ..Guards::default()
        }),
    ];
    list.into_iter().map(|setting| (setting.label(), setting)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twelve_settings_with_names_of_their_own() {
        let labels: std::collections::BTreeSet<String> = settings().into_iter().map(|(label, _)| label).collect();
        assert_eq!(labels.len(), 12);
        assert!(labels.contains("first-contact, lull 150, floor 100"), "{labels:?}");
    }
}
