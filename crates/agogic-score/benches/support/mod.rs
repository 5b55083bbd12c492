//! What the benchmark and the example `pace` judge: eight settings.

use agogic_policy::Setting;

/// Eight settings of five rules.
pub fn eight() -> [Setting; 8] {
    let rule = |name: &str, value: Option<(&str, f64)>| {
        Setting::rule(name, value.as_slice()).expect("a rule of the registry and a value in its range")
    };
    [
        rule("dwell-cutoff", Some(("cutoff_ms", 200.0))),
        rule("dwell-cutoff", Some(("cutoff_ms", 250.0))),
        rule("first-contact", None),
        rule("enclosed", None),
        rule("overlap-share", Some(("share", 0.8))),
        rule("overlap-share", Some(("share", 0.6))),
        rule("overlap-span", Some(("span_ms", 80.0))),
        rule("overlap-span", Some(("span_ms", 40.0))),
    ]
}
