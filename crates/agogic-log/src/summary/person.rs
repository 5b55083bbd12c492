//! What the log of one person shows.

use agogic_keys::{Instant, Press};
use agogic_stats::{Clusters, Estimate, Level, ratio};
use serde::Serialize;

use super::blocks::{UNIT, blocks};
use super::measure::{Measure, Quantiles};
use super::plot::Histogram;
use crate::SessionLog;

/// Longest time from press to press that counts as an interval and not as a lull alone, in ms.
///
/// # Source
/// Dhakal, Feit, Kristensson & Oulasvirta 2018, who leave gaps above five seconds out.
pub const LONGEST_INTERVAL_MS: f64 = 5000.0;

const USUAL: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];
const UPPER: [f64; 5] = [0.5, 0.75, 0.9, 0.95, 0.99];

/// What the log of one person shows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PersonSummary {
    /// The participant.
    pub participant: String,
    /// Sessions and parts of sessions.
    pub sessions: u64,
    /// Presses.
    pub presses: u64,
    /// Presses with a stated intent to hold, and to tap.
    pub intents: (u64, u64),
    /// Dwell: press to own release.
    pub dwell_ms: Quantiles,
    /// Interval: press to next press, up to [`LONGEST_INTERVAL_MS`].
    pub interval_ms: Quantiles,
    /// Lull: time since the press before, whatever its length; only the upper half is of interest.
    pub lull_ms: Quantiles,
    /// How long two keys that roll over are both down.
    pub overlap_ms: Quantiles,
    /// Share of presses made while the key before is still down. Presses that follow a modifier key or a
    /// stated hold are left out: that overlap is meant.
    pub rollover: Estimate,
    /// Presses a minute of typing; lulls over [`LONGEST_INTERVAL_MS`] are no typing.
    pub keys_per_minute: Estimate,
    /// The step of the clock: every time of a session differs from every other by a multiple of it, in µs.
    /// `None` with fewer than two times.
    pub clock_step_us: Option<u64>,
    /// Dwell in classes of equal ratio.
    pub dwell_histogram: Histogram,
    /// Lull in classes of equal ratio.
    pub lull_histogram: Histogram,
}

/// One block, measured.
#[derive(Default)]
struct Measured {
    dwell: Vec<f64>,
    interval: Vec<f64>,
    lull: Vec<f64>,
    overlap: Vec<f64>,
    rolled: u64,
    could_roll: u64,
    minutes: f64,
}

impl PersonSummary {
    /// Of the sessions of one participant.
    pub fn of(participant: &str, sessions: &[&SessionLog], level: Level) -> Self {
        let held = held_instants(sessions);
        let measured: Vec<Measured> =
            blocks(sessions).into_iter().map(|(before, block)| measure(before, block, &held)).collect();
        let quantiles = |measure: Measure, ps: &[f64], of: fn(&Measured) -> &Vec<f64>| {
            let blocks: Vec<Vec<f64>> = measured.iter().map(|block| of(block).clone()).collect();
            Quantiles::of(measure, &blocks, ps, level)
        };
        let rolled = Clusters::counts(UNIT, measured.iter().map(|block| (block.rolled, block.could_roll)));
        let paced = Clusters::ratio(UNIT, measured.iter().map(|block| (block.interval.len() as f64, block.minutes)));
        let stated = |hold: bool| {
            let all = sessions.iter().flat_map(|session| session.intents.iter().flatten());
            all.filter(|intent| matches!(intent, crate::Intent::Hold(_)) == hold).count() as u64
        };
        let pooled = |of: fn(&Measured) -> &Vec<f64>| measured.iter().flat_map(move |block| of(block).iter().copied());
        Self {
            participant: participant.to_owned(),
            sessions: sessions.len() as u64,
            presses: sessions.iter().map(|session| session.presses.len() as u64).sum(),
            intents: (stated(true), stated(false)),
            dwell_ms: quantiles(Measure::Dwell, &USUAL, |block| &block.dwell),
            interval_ms: quantiles(Measure::Interval, &USUAL, |block| &block.interval),
            lull_ms: quantiles(Measure::Lull, &UPPER, |block| &block.lull),
            overlap_ms: quantiles(Measure::Overlap, &USUAL, |block| &block.overlap),
            rollover: ratio(&rolled.expect("part and whole are counted together"), level),
            keys_per_minute: ratio(&paced.expect("times are finite, and none without a count"), level),
            clock_step_us: clock_step_us(sessions),
            dwell_histogram: Histogram::of_ratios(pooled(|block| &block.dwell), 20.0, 1280.0, 12),
            lull_histogram: Histogram::of_ratios(pooled(|block| &block.lull), 20.0, 81_920.0, 12),
        }
    }
}

/// When presses with a stated intent to hold went down, with their keys; sorted.
fn held_instants(sessions: &[&SessionLog]) -> Vec<(Instant, agogic_keys::Code)> {
    let mut held: Vec<_> = sessions
        .iter()
        .flat_map(|session| session.presses.iter().zip(&session.intents))
        .filter(|(_, intent)| matches!(intent, Some(crate::Intent::Hold(_))))
        .map(|(press, _)| (press.down, press.code))
        .collect();
    held.sort_unstable();
    held
}

fn measure(before: Option<&Press>, block: &[Press], held: &[(Instant, agogic_keys::Code)]) -> Measured {
    let mut found = Measured::default();
    let mut before = before;
    for press in block {
        found.dwell.push(press.dwell().ms());
        if let Some(before) = before {
            let lull = press.down.since(before.down).ms();
            found.lull.push(lull);
            // Two keys at one time are no typing pace.
            if lull <= LONGEST_INTERVAL_MS && lull > 0.0 {
                found.interval.push(lull);
                found.minutes += lull / 60_000.0;
            }
            let meant =
                before.code.dedicated_modifier().is_some() || held.binary_search(&(before.down, before.code)).is_ok();
            if !meant {
                found.could_roll += 1;
                if before.up > press.down {
                    found.rolled += 1;
                    found.overlap.push(before.up.min(press.up).since(press.down).ms());
                }
            }
        }
        before = Some(press);
    }
    found
}

fn clock_step_us(sessions: &[&SessionLog]) -> Option<u64> {
    let mut step = 0;
    for session in sessions {
        let first = session.presses.first()?.down.0;
        for press in &session.presses {
            step = gcd(gcd(step, press.down.0.abs_diff(first)), press.up.0.abs_diff(first));
        }
    }
    (step > 0).then_some(step)
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Intent;

    fn session(presses: &[(&str, u64, u64)]) -> SessionLog {
        let press = |(name, down, up): &(&str, u64, u64)| Press {
            code: name.parse().unwrap(),
            down: Instant(down * 1000),
            up: Instant(up * 1000),
        };
        SessionLog {
            participant: "ada".into(),
            session: "1".into(),
            part: 0,
            presses: presses.iter().map(press).collect(),
            intents: vec![None; presses.len()],
            breaks: vec![],
        }
    }

    #[test]
    fn a_short_session_counted_by_hand() {
        let mut log = session(&[
            ("KeyA", 0, 100),
            ("KeyB", 80, 180),
            ("ShiftLeft", 300, 600),
            ("KeyC", 400, 480),
            ("KeyD", 10_400, 10_520),
            ("KeyE", 10_500, 10_600),
            ("KeyF", 10_550, 10_900),
        ]);
        let person = PersonSummary::of("ada", &[&log], Level::P95);
        assert_eq!((person.presses, person.dwell_ms.count, person.lull_ms.count), (7, 7, 6));
        // The lull of ten seconds is no interval.
        assert_eq!(person.interval_ms.count, 5);
        assert_eq!(person.lull_ms.median(), Some(100.0));
        // B rolls over A, E over D, F over E; C follows Shift and does not count.
        assert_eq!(person.rollover.value, Some(3.0 / 5.0));
        assert_eq!(person.overlap_ms.count, 3);
        assert_eq!(person.keys_per_minute.value, Some(5.0 / (550.0 / 60_000.0)));
        assert_eq!(person.clock_step_us, Some(10_000));
        assert_eq!(person.rollover.unit, UNIT);
        log.intents[4] = Some(Intent::Hold(None));
        log.breaks = vec![6];
        let person = PersonSummary::of("ada", &[&log], Level::P95);
        assert_eq!(person.rollover.value, Some(1.0 / 3.0));
        assert_eq!((person.lull_ms.count, person.intents), (5, (1, 0)));
    }

    #[test]
    fn one_press_shows_a_dwell_and_nothing_else() {
        let person = PersonSummary::of("ada", &[&session(&[("KeyA", 5, 95)])], Level::P95);
        assert_eq!(person.dwell_ms.median(), Some(90.0));
        assert_eq!(
            (person.interval_ms.median(), person.rollover.value, person.keys_per_minute.value),
            (None, None, None)
        );
        assert_eq!(person.clock_step_us, Some(90_000));
    }
}
