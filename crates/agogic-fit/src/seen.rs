//! What a log shows of the timing model: intervals, dwells and gestures, each with what the model makes of its
//! place in the text.

use std::ops::Range;

use agogic_keys::{Assignment, Board, Code, Hand, Modifier, Press};
use agogic_log::{Intent, SessionLog};
use agogic_typist::{
    Constant, LONG_WORD, MIDDLE_OF_WORD, Movement, MovementClass, Population, RollLaw, USUAL_WORD,
    finger_dwell_effects, planned_beyond_usual,
};

/// Longest interval that is timed; a longer one counts as a hesitation of at least this length.
pub(crate) const LONGEST_INTERVAL_US: f64 = 5e6;

/// A longer dwell is a key held for repeat or for nothing, which the dwells of typing do not describe.
const LONGEST_DWELL_US: f64 = 8e5;

/// How an observation is bounded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Bound {
    /// Its time was seen.
    Seen,
    /// The time is at most the value: a finger that had to lift first.
    AtMost,
    /// The time is at least the value.
    AtLeast,
}

/// An interval and the typist's part in its median.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Interval {
    /// Time in µs; before a key pressed again, from the release.
    pub us: f64,
    pub bound: Bound,
    /// The key before again.
    pub repeat: bool,
    /// Starts a word, or typing after an interruption.
    pub starts: bool,
    pub same_hand: bool,
    pub same_finger: bool,
    /// What constants add to the log median.
    pub offset: f64,
    /// Number of the press in the person's log.
    pub at: u32,
}

/// A dwell and the typist's part in its median.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dwell {
    /// Time in µs: what it would have been without the next press, if that came while the key was down.
    pub us: f64,
    pub bound: Bound,
    /// What constants add to the log median.
    pub offset: f64,
    /// When the press before came up, since this one, if it was still down and not held on purpose: this one may have
    /// waited for it.
    pub behind_us: Option<f64>,
    pub at: u32,
}

/// A time of a hold gesture.
#[derive(Clone, Copy, Debug)]
pub(crate) struct GestureTime {
    pub us: f64,
    /// The held key has two roles.
    pub dual: bool,
    pub at: u32,
}

/// A gesture of one held key and one target that either hand could have held for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Side {
    /// The hand the target lies under.
    pub target: Hand,
    /// That hand held, too.
    pub same: bool,
    pub dual: bool,
    pub at: u32,
}

/// Everything a person's log shows.
#[derive(Clone, Debug, Default)]
pub(crate) struct Seen {
    pub presses: u64,
    pub intervals: Vec<Interval>,
    pub dwells: Vec<Dwell>,
    /// Held key to first target.
    pub leads: Vec<GestureTime>,
    /// Last target to the held key's release.
    pub releases: Vec<GestureTime>,
    pub sides: Vec<Side>,
    /// Intervals before held keys.
    pub lulls: Vec<Interval>,
    /// Letters typed and not taken back.
    pub letters: u64,
    /// Runs of Backspaces.
    pub corrections: u64,
    /// Presses of dual-role keys whose meaning the log does not tell.
    pub unknown: u64,
}

/// What a press was, as far as the log tells.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Role {
    Tap,
    /// Pressed under the held key at this place.
    Target(usize),
    Holder,
    Unknown,
}

/// Reads logs of one person.
pub(crate) struct Reader<'a> {
    board: &'a Board,
    movement: Movement,
    /// What each finger adds to the log dwell.
    fingers: [f64; 11],
    roll: RollLaw,
    assignment: &'a Assignment,
    /// Keys that may be held, by number: those of the assignment, and those for which the log states an intent.
    dual: [bool; Code::COUNT],
    population: &'a Population,
    /// Times closer than this cannot be told apart.
    tolerance: f64,
    /// What the clock ticks in; 1 for a clock that tells every time.
    tick_us: f64,
}

impl<'a> Reader<'a> {
    pub fn new(
        sessions: &[&SessionLog],
        population: &'a Population,
        board: &'a Board,
        assignment: &'a Assignment,
    ) -> Self {
        let resolution = resolution_us(sessions);
        let tolerance = resolution.clamp(1_000, 20_000) as f64 + 1.0;
        let mut dual = [false; Code::COUNT];
        assignment.iter().for_each(|(code, _)| dual[code.index()] = true);
        for session in sessions {
            let stated = session.presses.iter().zip(&session.intents).filter(|(_, intent)| intent.is_some());
            stated.for_each(|(press, _)| dual[press.code.index()] = true);
        }
        Self {
            board,
            movement: Movement::new(board),
            fingers: finger_dwell_effects(|id| population.constant(id)),
            roll: RollLaw::of(|id| population.constant(id)),
            assignment,
            dual,
            population,
            tolerance,
            tick_us: resolution.clamp(1, 20_000) as f64,
        }
    }

    pub fn read(&self, sessions: &[&SessionLog]) -> Seen {
        let mut seen = Seen::default();
        for session in sessions {
            for range in session.ranges() {
                self.run(session, range, &mut seen);
            }
        }
        seen
    }

    fn c(&self, id: Constant) -> f64 {
        self.population.constant(id)
    }

    /// A run of presses without missing rows.
    fn run(&self, session: &SessionLog, range: Range<usize>, seen: &mut Seen) {
        let first = range.start;
        let presses = &session.presses[range.clone()];
        let roles = self.roles(presses, &session.intents[range]);
        let places = self.places(presses, &roles);
        // When the latest held key came up.
        let mut free_us = 0_u64;
        // Which of the keys typed and not taken back wrote letters.
        let mut written: Vec<bool> = Vec::new();
        for (i, press) in presses.iter().enumerate() {
            let at = seen.presses as u32;
            seen.presses += 1;
            let typed = (first + i) as f64;
            match roles[i] {
                Role::Unknown => seen.unknown += 1,
                Role::Holder => {
                    let steady = i > 0 && roles[i - 1] == Role::Tap && free_us <= presses[i - 1].down.0;
                    if steady && let Some(lull) = self.interval(presses, i, places[i], typed, at) {
                        seen.lulls.push(lull);
                    }
                }
                Role::Target(holder) => {
                    if i > 0 && roles[i - 1] == Role::Holder {
                        let us = press.down.since(presses[i - 1].down).0 as f64;
                        let dual = presses[holder].code.dedicated_modifier().is_none();
                        seen.leads.push(GestureTime { us, dual, at });
                    } else if i > 0 && roles[i - 1] == Role::Target(holder) {
                        seen.intervals.extend(self.interval(presses, i, Place::Plain, typed, at));
                    }
                }
                Role::Tap => {
                    let known = i > 0 && roles[i - 1] == Role::Tap && free_us <= presses[i - 1].down.0;
                    if known {
                        seen.intervals.extend(self.interval(presses, i, places[i], typed, at));
                    }
                    if press.code == Code::BACKSPACE {
                        seen.corrections += u64::from(i == 0 || presses[i - 1].code != Code::BACKSPACE);
                        written.pop();
                    } else {
                        written.push(!is_gap(press.code));
                    }
                }
            }
            if roles[i] == Role::Holder {
                free_us = free_us.max(press.up.0);
            }
            if matches!(roles[i], Role::Tap | Role::Target(_)) {
                seen.dwells.extend(self.dwell(presses, &roles, i, typed, at));
            }
        }
        seen.letters += written.into_iter().filter(|letter| *letter).count() as u64;
        self.gestures(presses, &roles, seen);
    }

    /// What each press was.
    fn roles(&self, presses: &[Press], intents: &[Option<Intent>]) -> Vec<Role> {
        let mut roles: Vec<Role> = Vec::with_capacity(presses.len());
        // The first key held and the latest moment any key is held.
        let mut held: Option<(usize, u64)> = None;
        for (i, press) in presses.iter().enumerate() {
            let holds = match intents[i] {
                Some(Intent::Hold(_)) => true,
                Some(Intent::Tap) => false,
                None => press.code.dedicated_modifier().is_some(),
            };
            let unknown = intents[i].is_none() && self.dual[press.code.index()];
            // A key let go just as its target strikes still holds it; a clock that ticks shows both at once.
            let under = held.filter(|(_, until)| press.down.0 <= *until);
            roles.push(if holds {
                held = Some(under.map_or((i, press.up.0), |(first, until)| (first, until.max(press.up.0))));
                Role::Holder
            } else if unknown {
                Role::Unknown
            } else if let Some((first, _)) = under {
                Role::Target(first)
            } else {
                Role::Tap
            });
        }
        roles
    }

    /// When each held key with a target was let go, and by which hand it was held.
    fn gestures(&self, presses: &[Press], roles: &[Role], seen: &mut Seen) {
        let offset = seen.presses - presses.len() as u64;
        let holds = |i: usize| roles.get(i) == Some(&Role::Holder);
        for (i, press) in presses.iter().enumerate().filter(|(i, _)| holds(*i)) {
            let inside = presses[i + 1..].iter().zip(&roles[i + 1..]).take_while(|(other, _)| other.down <= press.up);
            let targets = inside.filter(|(_, role)| matches!(role, Role::Target(_))).map(|(target, _)| target);
            let (count, last) = targets.fold((0, None), |(count, _), target| (count + 1, Some(target)));
            let Some(target) = last else { continue };
            let (dual, at) = (press.code.dedicated_modifier().is_none(), (offset + i as u64) as u32);
            // A clock that ticks may show both at once; half a tick is the likeliest time then.
            let us = (press.up.since(target.down).0 as f64).max(self.tick_us / 2.0);
            seen.releases.push(GestureTime { us, dual, at });
            // A run is held by one key for all its targets, and two keys need two fingers.
            let alone = count == 1 && !holds(i + 1) && !i.checked_sub(1).is_some_and(holds);
            if alone && self.could_change_hands(press.code, target.code) {
                let hand = self.movement.hand(target.code);
                seen.sides.push(Side { target: hand, same: self.movement.hand(press.code) == hand, dual, at });
            }
        }
    }

    /// Whether another key, under the other hand than `holder`, would have done the same for `target`.
    fn could_change_hands(&self, holder: Code, target: Code) -> bool {
        let other = self.assignment.counterpart(self.board, holder);
        let fits = |other: Code| self.movement.digit(other) != self.movement.digit(target);
        self.movement.hand(target) != Hand::Either && other.is_some_and(fits)
    }

    /// Where in a word each press stands.
    fn places(&self, presses: &[Press], roles: &[Role]) -> Vec<Place> {
        let mut places = vec![Place::Plain; presses.len()];
        let mut from = 0;
        while from < presses.len() {
            let end = presses[from..].iter().position(|press| is_gap(press.code)).map_or(presses.len(), |n| from + n);
            let word = from..end;
            let letter = |i: &usize| roles[*i] != Role::Holder;
            let net: i64 =
                word.clone().filter(letter).map(|i| if presses[i].code == Code::BACKSPACE { -1 } else { 1 }).sum();
            let length = net.max(1) as usize;
            let mut place = 0_usize;
            for i in word {
                let back = presses[i].code == Code::BACKSPACE;
                let after_back = i > 0 && presses[i - 1].code == Code::BACKSPACE;
                places[i] = if roles[i] == Role::Holder && self.modifier(presses[i].code) != Some(Modifier::Shift) {
                    Place::Start(USUAL_WORD.into())
                } else if back {
                    if after_back { Place::Plain } else { Place::Start(USUAL_WORD.into()) }
                } else if place == 0 {
                    Place::Start(length)
                } else if after_back {
                    Place::Start(USUAL_WORD.into())
                } else if length >= LONG_WORD.into() && place >= MIDDLE_OF_WORD.into() {
                    Place::Middle
                } else {
                    Place::Plain
                };
                if back {
                    place = place.saturating_sub(1);
                } else if letter(&i) {
                    place += 1;
                }
            }
            if end < presses.len() && end > 0 && presses[end - 1].code == Code::BACKSPACE {
                places[end] = Place::Start(USUAL_WORD.into());
            }
            from = end + 1;
        }
        places
    }

    fn modifier(&self, code: Code) -> Option<Modifier> {
        self.assignment.modifier(code).or_else(|| self.assignment.dedicated(code))
    }

    /// The time below which the clock's times are called at most `limit`: half a tick above the last of them.
    fn tells_from(&self, limit: f64) -> f64 {
        let tick = self.tick_us.max(1.0);
        ((limit + self.tolerance) / tick).floor() * tick + if self.tick_us > 1.0 { tick / 2.0 } else { 0.0 }
    }

    /// The interval before press `i`; `None` for the first.
    fn interval(&self, presses: &[Press], i: usize, place: Place, typed: f64, at: u32) -> Option<Interval> {
        let (before, press) = (presses.get(i.checked_sub(1)?)?, &presses[i]);
        let class = self.movement.class(before.code, press.code);
        let repeat = class == MovementClass::Repeat;
        let mut offset = match place {
            Place::Start(length) => self.c(Constant::WordLength) * planned_beyond_usual(length),
            Place::Middle if !repeat => self.c(Constant::MidWord),
            _ => 0.0,
        };
        offset += self.c(Constant::DriftInterval) / 1e3 * typed;
        let starts = matches!(place, Place::Start(_));
        let outward = self.c(Constant::Outward) / 2.0;
        if !repeat {
            if !starts {
                offset += self.c(Constant::FrequencyEffect) * self.movement.rarity(before.code, press.code);
            }
            offset += match class {
                MovementClass::Inward => -outward,
                MovementClass::Outward => outward,
                _ => 0.0,
            };
            let left = self.c(Constant::LeftInterval) / 2.0;
            offset += match (class.is_one_hand(), self.movement.hand(press.code)) {
                (true, Hand::Left) => left,
                (true, Hand::Right) => -left,
                _ => 0.0,
            };
        }
        let lift = self.c(Constant::LiftMs) * 1e3;
        let span = press.down.since(before.down).0 as f64;
        let since = if repeat { press.down.0 as f64 - before.up.0 as f64 } else { span };
        let same_finger = class == MovementClass::SameFinger;
        let (gap, turn) = (self.tells_from(lift), self.tells_from(2.0 * lift));
        let (us, bound) = if span > LONGEST_INTERVAL_US {
            (LONGEST_INTERVAL_US, Bound::AtLeast)
        } else if repeat && since <= lift + self.tolerance {
            (gap, Bound::AtMost)
        } else if same_finger && since <= 2.0 * lift + self.tolerance {
            (turn, Bound::AtMost)
        } else {
            (since, Bound::Seen)
        };
        let same_hand = matches!(class, MovementClass::Inward | MovementClass::Outward);
        (span > 0.0).then_some(Interval { us, bound, repeat, starts, same_hand, same_finger, offset, at })
    }

    /// Whether the finger's own next press ended this one in time to lift, whatever else it would have been.
    fn is_cut(&self, presses: &[Press], i: usize) -> bool {
        let (press, digit) = (&presses[i], self.movement.digit(presses[i].code));
        let again = presses[i + 1..].iter().take(8).find(|other| self.movement.digit(other.code) == digit);
        let least = self.c(Constant::LiftMs) * 1e3 + self.tolerance;
        again.is_some_and(|next| next.down.0 as f64 - press.up.0 as f64 <= least)
    }

    fn dwell(&self, presses: &[Press], roles: &[Role], i: usize, typed: f64, at: u32) -> Option<Dwell> {
        let press = &presses[i];
        let mut us = press.dwell().0 as f64;
        if us > LONGEST_DWELL_US {
            return None;
        }
        if let Some(next) = presses.get(i + 1).filter(|next| next.down < press.up) {
            us = next.down.since(press.down).0 as f64 + self.roll.planned(press.up.since(next.down).0 as f64).0;
        }
        let before =
            i.checked_sub(1).filter(|before| presses[*before].up > press.down && roles[*before] != Role::Holder);
        // What this press would have waited for is not known where the finger before left early or may have held its
        // key. That hangs on the press before alone: leaving these out does no harm to the rest.
        if before.is_some_and(|before| roles[before] == Role::Unknown || self.is_cut(presses, before)) {
            return None;
        }
        let behind_us = before.map(|before| presses[before].up.since(press.down).0 as f64);
        let offset = self.fingers[self.movement.digit(press.code)] + self.c(Constant::DriftDwell) / 1e3 * typed;
        let cut = self.is_cut(presses, i);
        // A key pressed again waits for this very dwell, so a cut one tells no bound that is independent of it. How
        // often that happens hangs on the gap alone: leaving these out does no harm to the rest.
        if cut && presses.get(i + 1).is_some_and(|next| next.code == press.code) {
            return None;
        }
        let known = self.board.place(press.code).is_some();
        let bound = if cut { Bound::AtLeast } else { Bound::Seen };
        known.then_some(Dwell { us, bound, offset, behind_us, at })
    }
}

/// Where in a word a key stands, as far as timing cares.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Place {
    /// First key of a word of so many keys, or a key after an interruption.
    Start(usize),
    /// Inside a word near its start, or between words.
    Plain,
    /// Third or later key of a long word.
    Middle,
}

fn is_gap(code: Code) -> bool {
    matches!(code.character(false), Some(' ' | '\n' | '\t'))
}

/// The greatest step of which all differences of times are multiples, in µs.
fn resolution_us(sessions: &[&SessionLog]) -> u64 {
    let mut step = 0_u64;
    for session in sessions {
        for pair in session.presses.windows(2) {
            let (mut a, mut b) = (pair[1].down.since(pair[0].down).0, step);
            while a != 0 {
                (a, b) = (b % a, a);
            }
            step = b;
            if step == 1 {
                return 1;
            }
        }
    }
    step
}
