//! Key events as a keyboard feeds them, and what the policy makes of them.

use agogic_keys::{Code, Instant, Press, Span};
use agogic_policy::{Decision, EncounterScan};

use crate::machine::Machine;

/// Something that a machine is told. Times are ticks since some start and may exceed 32 bits: who feeds them lets them wrap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// A key went down.
    Down {
        /// Its number.
        key: u8,
        /// The tick.
        when: u64,
    },
    /// A key came up.
    Up {
        /// Its number.
        key: u8,
        /// The tick.
        when: u64,
    },
    /// This tick has passed, and no more events of it will come.
    Wait {
        /// The tick.
        when: u64,
    },
}

impl Line {
    /// When it happens.
    pub fn when(self) -> u64 {
        match self {
            Self::Down { when, .. } | Self::Up { when, .. } | Self::Wait { when } => when,
        }
    }
}

/// A decision as a machine tells it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Told {
    /// The tick it falls in, as 32 bits.
    pub when: u32,
    /// The key.
    pub key: u8,
    /// A hold, or else a tap.
    pub hold: bool,
}

/// What a machine has to say to a story: the policy's decisions, in order of time.
///
/// # Definition
/// Time that goes back stands still. A press of a key that is down, a release of one that is not and an event of a key that the
/// keyboard lacks are not seen. Nor is a press that finds no free slot; a dual-role key's is a tap at once. Of what is left the
/// policy decides every press of a dual-role key; decisions after the last line are not told.
///
/// # Shape
/// The last line is a wait, and no event falls on an instant that a wait has closed, or the policy is not what this is held to.
pub fn expected(machine: &Machine, lines: &[Line]) -> Vec<Told> {
    let tick = machine.clock.tick();
    let mut followed = Followed::new(machine);
    let mut told: Vec<(u64, u8, bool)> = Vec::new();
    // The first event may have any time.
    let first = lines.iter().position(|line| !matches!(line, Line::Wait { .. })).unwrap_or(lines.len());
    let lines = &lines[first..];
    let mut now = lines.first().map_or(0, |line| line.when() * tick);
    for line in lines {
        match *line {
            Line::Wait { when } => now = now.max(when * tick + tick - 1),
            Line::Down { key, when } => {
                now = now.max(when * tick);
                let Some(code) = Code::from_index(usize::from(key)) else { continue };
                if followed.is_down(code) {
                    continue;
                }
                if !followed.has_room(now) {
                    if machine.is_dual(code) {
                        told.push((now, key, false));
                    }
                    continue;
                }
                followed.presses.push(Press { code, down: Instant(now), up: UNKNOWN });
            }
            Line::Up { key, when } => {
                now = now.max(when * tick);
                let Some(code) = Code::from_index(usize::from(key)) else { continue };
                if let Some(press) = followed.down_mut(code) {
                    press.up = Instant(now);
                }
            }
        }
    }
    followed.each(|press, decision, _| {
        let at = (press.down + decision.after).0;
        if at <= now {
            told.push((at, press.code.index() as u8, decision.is_hold()));
        }
    });
    let mut told: Vec<Told> =
        told.into_iter().map(|(at, key, hold)| Told { when: (at / tick) as u32, key, hold }).collect();
    told.sort_unstable();
    told
}

/// A release that has not come yet.
const UNKNOWN: Instant = Instant(1 << 60);

/// The presses that found a slot.
struct Followed<'a> {
    machine: &'a Machine,
    presses: Vec<Press>,
    /// Presses before this one are up and decided.
    done: usize,
}

impl<'a> Followed<'a> {
    fn new(machine: &'a Machine) -> Self {
        Self { machine, presses: Vec::new(), done: 0 }
    }

    fn down_mut(&mut self, code: Code) -> Option<&mut Press> {
        self.presses[self.done..].iter_mut().rev().find(|press| press.code == code && press.up == UNKNOWN)
    }

    fn is_down(&mut self, code: Code) -> bool {
        self.down_mut(code).is_some()
    }

    /// Whether a slot is free for a press at `now`. What is up keeps its slot until it is decided, and
    /// through that instant unless a guard decided it at its press.
    fn has_room(&mut self, now: u64) -> bool {
        let may_hold = |press: &Press, machine: &Machine| press.up == UNKNOWN || machine.is_dual(press.code);
        let most = self.presses[self.done..].iter().filter(|press| may_hold(press, self.machine)).count();
        if most < self.machine.slots {
            return true;
        }
        let mut open = vec![false; self.presses.len()];
        let mut at = 0;
        let duals: Vec<usize> =
            (0..self.presses.len()).filter(|&i| self.machine.is_dual(self.presses[i].code)).collect();
        self.each(|press, decision, at_once| {
            open[duals[at]] = !at_once && (press.down + decision.after).0 >= now;
            at += 1;
        });
        let held = |i: usize| self.presses[i].up == UNKNOWN || open[i];
        while self.done < self.presses.len() && !held(self.done) {
            self.done += 1;
        }
        (self.done..self.presses.len()).filter(|&i| held(i)).count() < self.machine.slots
    }

    /// Shows every press of a dual-role key with its decision, and whether a guard took that at the press itself, before the
    /// instant was over.
    fn each(&self, mut visit: impl FnMut(&Press, Decision, bool)) {
        let mut scan = EncounterScan::new();
        let (machine, presses) = (self.machine, &self.presses);
        scan.each(
            presses,
            |code| machine.is_dual(code),
            |code| machine.hand(code),
            |at, encounter| {
                let sooner = |least: Option<Span>, time: Option<Span>| least.zip(time).is_some_and(|(a, b)| b < a);
                let guards = machine.setting.guards();
                let at_once = sooner(guards.retap, encounter.since_same_key) || sooner(guards.lull, encounter.lull);
                visit(&presses[at], machine.setting.decide(encounter), at_once);
            },
        );
    }
}

/// Key events of presses, in order of time, and a wait at the end; of one instant in the order of presses, releases first.
pub fn lines_of(presses: &[Press], tick: u64, rest: Span) -> Vec<Line> {
    let mut events: Vec<(u64, bool, usize)> = Vec::with_capacity(presses.len() * 2);
    for (at, press) in presses.iter().enumerate() {
        events.push((press.down.0 / tick, true, at));
        events.push((press.up.0 / tick, false, at));
    }
    events.sort_unstable();
    let mut lines: Vec<Line> = events
        .into_iter()
        .map(|(when, down, at)| {
            let key = presses[at].code.index() as u8;
            if down { Line::Down { key, when } } else { Line::Up { key, when } }
        })
        .collect();
    if let Some(last) = lines.last() {
        lines.push(Line::Wait { when: last.when() + rest.0 / tick });
    }
    lines
}
