//! The clock through which events are seen: a keyboard's scan, its debouncing, the host's polling, a browser.

use agogic_keys::{Instant, Purpose, Span, stream};
use rand::RngExt;

use crate::perform::Session;

/// How timestamps are made coarse on their way from the finger to the record.
///
/// # Definition
/// In this order: an edge is delayed by the debounce time of its direction; it is seen at the next scan of
/// the keyboard and then at the next poll of the host, each with a phase drawn per session; a browser rounds
/// it down to its resolution. A span of zero leaves a stage out. The order of presses is kept, and a release
/// stays after its press by at least the coarsest stage.
///
/// # Source
/// Stages: W3C *High Resolution Time* (resolution of browsers: 5 µs isolated, 100 µs otherwise, 1 ms in
/// some; seen in vendors' documentation); USB full-speed polling of 8 ms is common (seen second-hand);
/// keyboards delay key presses by 11–73 ms in all (Shimizu 2002, doi:10.3758/BF03195452, abstract seen).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Clock {
    /// Interval between scans of the keyboard.
    pub scan: Span,
    /// Time by which contact bounce delays the report of a press.
    pub debounce_press: Span,
    /// Time by which contact bounce delays the report of a release.
    pub debounce_release: Span,
    /// Interval between polls of the host.
    pub poll: Span,
    /// Resolution to which a browser rounds down.
    pub clamp: Span,
}

impl Default for Clock {
    /// A keyboard that decides by itself: one scan a millisecond, nothing else.
    fn default() -> Self {
        Self {
            scan: Span(1000),
            debounce_press: Span::ZERO,
            debounce_release: Span::ZERO,
            poll: Span::ZERO,
            clamp: Span::ZERO,
        }
    }
}

impl Clock {
    /// A clock that changes nothing.
    pub const EXACT: Self = Self {
        scan: Span::ZERO,
        debounce_press: Span::ZERO,
        debounce_release: Span::ZERO,
        poll: Span::ZERO,
        clamp: Span::ZERO,
    };

    /// Replaces the times of a session by those this clock shows.
    pub fn show(&self, session: &mut Session, seed: u64, typist: u64, replicate: u64) {
        if *self == Self::EXACT {
            return;
        }
        let mut rng = stream(seed, Purpose::Clock, typist, replicate);
        let scan = (self.scan.0, phase(self.scan, rng.random()));
        let poll = (self.poll.0, phase(self.poll, rng.random()));
        let seen = |at: Instant, debounce: Span| {
            let mut at = next_tick(at.0 + debounce.0, scan);
            at = next_tick(at, poll);
            Instant(if self.clamp.0 > 0 { at - at % self.clamp.0 } else { at })
        };
        let coarsest = self.scan.0.max(self.poll.0).max(self.clamp.0).max(1);
        let mut latest = None;
        for press in &mut session.presses {
            let down = seen(press.down, self.debounce_press);
            let up = seen(press.up, self.debounce_release).max(Instant(down.0 + coarsest));
            // Two presses in one tick keep their order; the later is reported with the next tick.
            press.down = match latest {
                Some(Instant(before)) if down.0 <= before => Instant(before + coarsest),
                _ => down,
            };
            press.up = up.max(Instant(press.down.0 + coarsest));
            latest = Some(press.down);
        }
    }
}

fn phase(interval: Span, share: f64) -> u64 {
    (interval.0 as f64 * share) as u64
}

/// The first tick at or after `at`; `at` itself when there are no ticks.
fn next_tick(at: u64, (interval, phase): (u64, u64)) -> u64 {
    if interval == 0 {
        return at;
    }
    let past = (at + interval - phase) % interval;
    if past == 0 { at } else { at + interval - past }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Press, Truth};

    fn session(times: &[(u64, u64)]) -> Session {
        let code = "KeyA".parse().unwrap();
        let presses = times.iter().map(|&(down, up)| Press { code, down: Instant(down), up: Instant(up) }).collect();
        Session { truths: vec![Truth::default(); times.len()], presses, ..Session::default() }
    }

    #[test]
    fn ticks_are_met_from_below() {
        assert_eq!(next_tick(1000, (1000, 0)), 1000);
        assert_eq!(next_tick(1001, (1000, 0)), 2000);
        assert_eq!(next_tick(1001, (1000, 300)), 1300);
        assert_eq!(next_tick(77, (0, 0)), 77);
    }

    #[test]
    fn a_scan_delays_by_less_than_its_interval() {
        let exact = session(&[(10_123, 95_456), (61_789, 150_001)]);
        let mut shown = exact.clone();
        Clock::default().show(&mut shown, 1, 2, 0);
        for (a, b) in exact.presses.iter().zip(&shown.presses) {
            assert!(b.down.since(a.down).0 < 1000 && b.up.since(a.up).0 < 1000);
            assert!(b.down >= a.down && b.up >= a.up);
        }
        let mut same = exact.clone();
        Clock::EXACT.show(&mut same, 1, 2, 0);
        assert_eq!(same.presses, exact.presses);
    }

    #[test]
    fn coarse_clocks_keep_the_order() {
        let mut shown = session(&[(100, 200), (150, 260), (180, 90_000)]);
        let clock = Clock { poll: Span(8000), clamp: Span(1000), ..Clock::default() };
        clock.show(&mut shown, 1, 2, 0);
        assert!(shown.presses.windows(2).all(|pair| pair[0].down < pair[1].down));
        assert!(shown.presses.iter().all(|press| press.up > press.down));
    }
}
