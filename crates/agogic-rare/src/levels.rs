//! Easier settings on the way to a hard one.

use agogic_keys::Span;
use agogic_policy::{Guards, Monotone, Param, Setting};

use crate::spec::ErrorKind;

/// How far thresholds are eased, from the easiest setting to the setting itself.
pub(crate) const FACTORS: [f64; 16] =
    [0.04, 0.08, 0.12, 0.17, 0.22, 0.28, 0.34, 0.4, 0.46, 0.52, 0.6, 0.68, 0.76, 0.84, 0.92, 1.0];

/// The setting with its thresholds moved by a factor so that the error becomes more frequent.
///
/// # Definition
/// A threshold that makes holds fewer as it rises is multiplied by `factor` when false holds are wanted, and
/// divided by it when missed holds are; one that makes holds more frequent the other way round. Thresholds
/// stay in their ranges, and those without a direction stay as they are. An error under the setting is an
/// error under an easier one, so these levels only serve to find a way; the estimate does not use it.
///
/// # Undefined
/// `None` for rules that learn, whose tables cannot be taken over, and for factors not in 0 to 1.
pub fn easier(setting: &Setting, error: ErrorKind, factor: f64) -> Option<Setting> {
    let entry = setting.entry();
    if entry.needs_training || !(factor > 0.0 && factor <= 1.0) {
        return None;
    }
    let eased = |monotone: Option<Monotone>, value: f64| match (monotone, error) {
        (None, _) => value,
        (Some(Monotone::FewerHolds), ErrorKind::FalseHold) | (Some(Monotone::MoreHolds), ErrorKind::MissedHold) => {
            value * factor
        }
        _ => value / factor,
    };
    let of = |param: &Param, value: f64| eased(param.monotone, value).clamp(param.min, param.max);
    let values: Vec<(&str, f64)> =
        entry.params.iter().zip(setting.values()).map(|(param, &value)| (param.name, of(param, value))).collect();
    let span =
        |span: Option<Span>| span.map(|span| Span::from_ms(eased(Some(Monotone::FewerHolds), span.ms()).min(5000.0)));
    let Guards { lull, retap, dwell_floor, other_hand, bare_hold } = *setting.guards();
    let guards = Guards {
        lull: span(lull),
        retap: span(retap),
        dwell_floor: span(dwell_floor),
        other_hand,
        bare_hold: span(bare_hold),
    };
    Some(Setting::rule(entry.name, &values).ok()?.with_guards(guards))
}
