//! The clock through which events are seen: a keyboard's scan, its debouncing, the host's polling, a browser.

use agogic_keys::{Instant, Purpose, Span, stream};
use rand::RngExt;

use crate::address::SessionAddress;
use crate::session::Session;

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

/// A clock with a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClockPreset {
    /// Name in study files.
    pub name: &'static str,
    /// What it stands for.
    pub about: &'static str,
    /// Where its spans come from.
    pub source: &'static str,
    /// The clock.
    pub clock: Clock,
}

/// Every named clock, from fine to coarse.
pub const CLOCKS: &[ClockPreset] = &[
    ClockPreset {
        name: "exact",
        about: "times as the fingers made them",
        source: "by definition",
        clock: Clock::EXACT,
    },
    ClockPreset {
        name: "keyboard",
        about: "a keyboard that decides by itself: one scan a millisecond",
        source: "assumed; scans of 0.1 to 5 ms are thought possible",
        clock: Clock { scan: Span(1000), ..Clock::EXACT },
    },
    ClockPreset {
        name: "host",
        about: "a program on the computer: a scan of 1 ms, 5 ms of debouncing at either edge, a poll each 10 ms",
        source: "poll: Dhakal et al. 2018 name 10 ms as the standard of USB (seen quoted); scan and debouncing assumed, \
                 0 to 30 ms are thought possible",
        clock: HOST,
    },
    ClockPreset {
        name: "browser",
        about: "a page in a browser: as the host, rounded down to 0.1 ms",
        source: "W3C High Resolution Time: 100 µs without cross-origin isolation (seen in the documentation of browsers)",
        clock: Clock { clamp: Span(100), ..HOST },
    },
    ClockPreset {
        name: "browser-coarse",
        about: "a page in a browser that guards against fingerprinting: as the host, rounded down to 2 ms",
        source: "documentation of browsers: one rounds event times to 2 ms as it comes (seen)",
        clock: Clock { clamp: Span(2000), ..HOST },
    },
];

/// The host's clock, on which those of browsers build.
const HOST: Clock = Clock {
    scan: Span(1000),
    debounce_press: Span(5000),
    debounce_release: Span(5000),
    poll: Span(10_000),
    clamp: Span::ZERO,
};

impl Default for Clock {
    /// The clock `keyboard`.
    fn default() -> Self {
        CLOCKS[1].clock
    }
}

/// The name of a clock was not understood.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("there is no clock `{given}`; clocks: {}", Clock::names().join(", "))]
pub struct UnknownClock {
    /// What was given.
    pub given: String,
}

impl std::str::FromStr for Clock {
    type Err = UnknownClock;

    /// Reads the name of one of the [`CLOCKS`].
    fn from_str(text: &str) -> Result<Self, UnknownClock> {
        let found = CLOCKS.iter().find(|preset| preset.name == text);
        found.map(|preset| preset.clock).ok_or_else(|| UnknownClock { given: text.to_owned() })
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

    /// Names of the [`CLOCKS`].
    pub fn names() -> Vec<&'static str> {
        CLOCKS.iter().map(|preset| preset.name).collect()
    }

    /// The session of a typist, by number, and an address as this clock shows it; what each press was meant to be is the same, press for press.
    pub fn observe(&self, session: &Session, typist: u64, address: SessionAddress) -> Session {
        let mut seen = session.clone();
        self.show(&mut seen, typist, address);
        seen
    }

    /// Replaces the times of the session of a typist, by number, and an address by those this clock shows.
    pub fn show(&self, session: &mut Session, typist: u64, address: SessionAddress) {
        if *self == Self::EXACT {
            return;
        }
        let mut rng = stream(address.seed, Purpose::Clock, typist, address.replicate);
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
        let mut seen = exact.clone();
        Clock::default().show(&mut seen, 2, SessionAddress { seed: 1, replicate: 0 });
        for (a, b) in exact.presses.iter().zip(&seen.presses) {
            assert!(b.down.since(a.down).0 < 1000 && b.up.since(a.up).0 < 1000);
            assert!(b.down >= a.down && b.up >= a.up);
        }
        let mut same = exact.clone();
        Clock::EXACT.show(&mut same, 2, SessionAddress { seed: 1, replicate: 0 });
        assert_eq!(same.presses, exact.presses);
    }

    #[test]
    fn coarse_clocks_keep_the_order() {
        let mut seen = session(&[(100, 200), (150, 260), (180, 90_000)]);
        let clock = Clock { poll: Span(8000), clamp: Span(1000), ..Clock::default() };
        clock.show(&mut seen, 2, SessionAddress { seed: 1, replicate: 0 });
        assert!(seen.presses.windows(2).all(|pair| pair[0].down < pair[1].down));
        assert!(seen.presses.iter().all(|press| press.up > press.down));
    }

    #[test]
    fn named_clocks_are_read_and_keep_what_is_true() {
        let mut exact = session(&[(100, 90_200), (40_150, 100_260), (130_180, 190_000)]);
        exact.truths[1].hold = true;
        for preset in CLOCKS {
            assert_eq!(preset.name.parse(), Ok(preset.clock), "{}", preset.name);
            let seen = preset.clock.observe(&exact, 4, SessionAddress { seed: 3, replicate: 5 });
            assert_eq!(seen.truths, exact.truths);
            assert_eq!(seen.presses.len(), exact.presses.len());
            let clock = preset.clock;
            let late = clock.scan.0 + clock.poll.0 + clock.debounce_press.0;
            for (a, b) in exact.presses.iter().zip(&seen.presses) {
                assert_eq!(a.code, b.code);
                assert!(b.down.0 <= a.down.0 + late && b.down.0 + clock.clamp.0 >= a.down.0, "{}", preset.name);
                assert!(clock.clamp.0 == 0 || b.down.0 % clock.clamp.0 == 0, "{}", preset.name);
            }
            assert_eq!(seen.presses == exact.presses, preset.name == "exact");
            assert_eq!(seen.presses, clock.observe(&exact, 4, SessionAddress { seed: 3, replicate: 5 }).presses);
        }
        assert_eq!(Clock::default(), "keyboard".parse().unwrap());
        let refused = "sundial".parse::<Clock>().unwrap_err().to_string();
        assert!(refused.contains("`sundial`") && refused.contains("browser-coarse"), "{refused}");
    }
}
