//! The table `[clock]`: how coarse the times are that a policy sees.

use agogic_keys::Span;
use agogic_toml::Section;
use agogic_typist::Clock;

/// Slowest stage accepted, in ms; anything slower is no clock for typing.
const SLOWEST_MS: f64 = 100.0;

pub(super) fn read(section: Option<Section<'_, '_>>) -> Clock {
    let mut clock = Clock::default();
    let Some(section) = section else { return clock };
    if let Some(found) = section.text("like") {
        match found.value.parse() {
            Ok(named) => clock = named,
            Err(refused) => section.diagnostics().at(&found, format!("{refused}")),
        }
    }
    let set = |key: &'static str, stage: &mut Span| {
        let Some(found) = section.number(key) else { return };
        if (0.0..=SLOWEST_MS).contains(&found.value) {
            *stage = Span::from_ms(found.value);
        } else {
            let message = format!("must lie between 0 (none) and {SLOWEST_MS} ms, not {}", found.value);
            section.diagnostics().at(&found, message);
        }
    };
    set("scan_ms", &mut clock.scan);
    set("debounce_press_ms", &mut clock.debounce_press);
    set("debounce_release_ms", &mut clock.debounce_release);
    set("poll_ms", &mut clock.poll);
    set("clamp_ms", &mut clock.clamp);
    section.finish();
    clock
}
