//! Made-up stories on which ties, edges and mishaps are common.

use agogic_keys::{Purpose, Stream, stream};
use agogic_policy::{BINS, upper_edge};
use rand::RngExt;

use crate::body::Body;
use crate::machine::Machine;
use crate::story::Line;

/// Draws stories for a machine.
#[derive(Debug)]
pub struct Stories<'a> {
    machine: &'a Machine,
    random: Stream,
    /// Lengths at which something happens, in ticks.
    lengths: Vec<u64>,
    keys: Vec<u8>,
    duals: Vec<u8>,
}

/// How wild a story is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manners {
    /// One key goes down once before it comes up, and time goes on.
    Orderly,
    /// Keys that chatter, releases without a press, time that goes back, keys that do not exist.
    Wild,
}

impl<'a> Stories<'a> {
    /// Stories from an address.
    pub fn new(machine: &'a Machine, seed: u64, number: u64) -> Self {
        let tick = machine.clock.tick();
        let mut lengths: Vec<u64> = machine.guards().iter().filter_map(|(_, us)| *us).collect();
        match &machine.body {
            Body::DwellCutoff { cutoff: own } | Body::OverlapSpan { span: own } => lengths.push(*own),
            _ => {}
        }
        if machine.body.is_learned() {
            lengths.extend((0..BINS).filter_map(upper_edge).map(|edge| edge as u64));
        }
        lengths.extend([20_000, 50_000, 80_000, 100_000, 200_000]);
        let number_of = |name: &str| name.parse::<agogic_keys::Code>().expect("a key").index() as u8;
        let others = ["KeyE", "KeyI", "KeyT", "Space", "Backspace", "F5", "ShiftLeft", "KeyN"].map(number_of);
        let duals: Vec<u8> = machine.keys.iter().filter(|key| key.dual > 0).map(|key| key.number as u8).collect();
        let keys = duals.iter().copied().chain(others.into_iter().filter(|key| !duals.contains(key))).collect();
        Self {
            machine,
            random: stream(seed, Purpose::Vectors, number, 0),
            lengths: lengths.into_iter().map(|us| us / tick).collect(),
            keys,
            duals,
        }
    }

    fn below(&mut self, n: u64) -> u64 {
        self.random.random_range(0..n)
    }

    /// A length in ticks: one at which something happens, or beside it, or any up to a third of a second.
    fn length(&mut self) -> u64 {
        let tick = self.machine.clock.tick();
        match self.below(8) {
            0..3 => {
                let at = self.below(self.lengths.len() as u64) as usize;
                (self.lengths[at] + self.below(3)).saturating_sub(1)
            }
            3 => self.below(40) * 10_000 / tick,
            4 => self.below(30) * 1_000 / tick,
            _ => self.below(330_000 / tick),
        }
    }

    fn key(&mut self, of: usize) -> u8 {
        let most = self.keys.len().min(of) as u64;
        let at = if self.below(2) == 0 { self.below((self.duals.len() as u64).min(most)) } else { self.below(most) };
        self.keys[at as usize]
    }

    /// A story of so many presses, on at most `of` keys, that begins at `start`.
    pub fn draw(&mut self, presses: usize, of: usize, start: u64, manners: Manners) -> Vec<Line> {
        let tick = self.machine.clock.tick();
        let mut events: Vec<(u64, u64, bool, u8)> = Vec::new();
        let mut free = [0_u64; 256];
        let mut times: Vec<u64> = vec![start];
        let mut now = start;
        for at in 0..presses as u64 {
            let key = self.key(of);
            let gap = match self.below(12) {
                0 => 0,
                1..4 => self.length() / 3,
                _ => self.length(),
            };
            now += gap;
            // At the instant of another event, where one is near.
            if self.below(5) == 0 {
                let at = self.below(times.len() as u64) as usize;
                if times[at] >= now {
                    now = times[at];
                }
            }
            let down = now.max(free[usize::from(key)]);
            now = down;
            let mut up = down + self.length() + u64::from(self.below(10) != 0);
            if self.below(4) == 0 {
                let at = self.below(times.len() as u64) as usize;
                if times[at] > down {
                    up = times[at];
                }
            }
            if self.below(60) == 0 {
                up = down;
            }
            free[usize::from(key)] = up;
            times.extend([down, up]);
            // Of one instant in any order, but each key in its own: one that comes up and goes down again is the last.
            let again = down == free[usize::from(key)];
            let order = if again { (1 << 21) + 4 * at } else { self.below(1 << 20) };
            free[usize::from(key)] = up;
            times.extend([down, up]);
            events.push((down, order, true, key));
            events.push((up, if up == down { order + 1 } else { self.below(1 << 20) }, false, key));
        }
        events.sort_unstable();
        if manners == Manners::Wild {
            self.disturb(&mut events);
        }
        let mut lines = Vec::with_capacity(events.len() * 2);
        let mut latest = start;
        for (at, (when, _, down, key)) in events.iter().copied().enumerate() {
            lines.push(if down { Line::Down { key, when } } else { Line::Up { key, when } });
            latest = latest.max(when);
            // The next instant that is seen, time that goes back standing still.
            let next = events.get(at + 1).map(|event| event.0.max(latest));
            if let Some(next) = next.filter(|next| *next > latest)
                && self.below(3) == 0
            {
                latest += self.below(next - latest);
                lines.push(Line::Wait { when: latest });
            }
        }
        lines.push(Line::Wait { when: latest + 8_000_000 / tick });
        lines
    }

    /// Mishaps.
    fn disturb(&mut self, events: &mut Vec<(u64, u64, bool, u8)>) {
        for _ in 0..1 + self.below(6) {
            let at = self.below(events.len() as u64) as usize;
            let mut event = events[at];
            match self.below(5) {
                0 => event.2 = !event.2,
                1 => event.0 = event.0.saturating_sub(1 + self.length()).max(1),
                2 => event.3 = self.key(usize::MAX),
                3 => event.3 = self.machine.keys.len() as u8 + self.below(100) as u8,
                _ => {}
            }
            if self.below(3) == 0 {
                events[at] = event;
            } else {
                events.insert(at + 1, event);
            }
        }
    }
}
