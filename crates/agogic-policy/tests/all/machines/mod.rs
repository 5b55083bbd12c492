//! A machine for every rule, written from the `Definition` and `Ties` of its documentation.

use agogic_keys::{Code, Hand};
use agogic_policy::{CourseRow, EvidenceTables, KeyTable, Role, Setting, SummaryRow};

/// What is known at the press.
pub struct AtPress {
    pub lull: Option<i64>,
    pub carried: bool,
    pub own: Code,
    pub previous: Option<Code>,
    /// Which key each number of the events is.
    pub keys: Vec<Code>,
}

/// In order of ties: at one instant an earlier variant comes first, and of one variant the first in the table of codes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Event {
    /// Another key comes up; keys are numbered, those carried over too.
    OtherUp(usize),
    OwnUp,
    OppositeDown(usize),
    NearDown(usize),
}

pub trait Machine {
    fn start(&mut self, _: &AtPress) -> Option<Role> {
        None
    }
    fn event(&mut self, now: i64, event: Event) -> Option<Role>;
    /// The next deadline.
    fn alarm(&self) -> Option<i64> {
        None
    }
    /// The deadline has come; all events of its instant have been seen.
    fn ring(&mut self, _now: i64) -> Option<Role> {
        None
    }
}

fn pressed(event: Event) -> Option<usize> {
    match event {
        Event::OppositeDown(key) | Event::NearDown(key) => Some(key),
        _ => None,
    }
}

/// Hold, decided at the cutoff, when dwell ≥ cutoff; else tap, decided at the release.
struct DwellCutoff {
    cutoff: i64,
}

impl Machine for DwellCutoff {
    fn event(&mut self, now: i64, event: Event) -> Option<Role> {
        match event {
            Event::OwnUp if now == self.cutoff => Some(Role::Hold),
            Event::OwnUp => Some(Role::Tap),
            _ => None,
        }
    }
    fn alarm(&self) -> Option<i64> {
        Some(self.cutoff)
    }
    fn ring(&mut self, _: i64) -> Option<Role> {
        Some(Role::Hold)
    }
}

/// Hold at the first contact's press; tap at the release when there is none.
struct FirstContact;

impl Machine for FirstContact {
    fn event(&mut self, _: i64, event: Event) -> Option<Role> {
        match event {
            Event::OppositeDown(_) | Event::NearDown(_) => Some(Role::Hold),
            Event::OwnUp => Some(Role::Tap),
            Event::OtherUp(_) => None,
        }
    }
}

/// Hold at the first release of a contact no later than the own release; else tap at the own release.
#[derive(Default)]
struct Enclosed {
    contacts: Vec<usize>,
}

impl Machine for Enclosed {
    fn event(&mut self, _: i64, event: Event) -> Option<Role> {
        self.contacts.extend(pressed(event));
        match event {
            Event::OtherUp(key) if self.contacts.contains(&key) => Some(Role::Hold),
            Event::OwnUp => Some(Role::Tap),
            _ => None,
        }
    }
}

/// A contact qualifies when overlap ≥ share · its dwell; it can do so until its deadline.
struct OverlapShare {
    millionths: i64,
    own_up: Option<i64>,
    down: Vec<(usize, i64)>,
    deadlines: Vec<i64>,
}

impl Machine for OverlapShare {
    fn event(&mut self, now: i64, event: Event) -> Option<Role> {
        if let (Some(key), None) = (pressed(event), self.own_up) {
            self.down.push((key, now));
        }
        match event {
            Event::OwnUp => {
                self.own_up = Some(now);
                // Largest d with overlap ≥ share · d, as whole microseconds.
                let latest = |&(_, c): &(usize, i64)| c + (now - c) * 1_000_000 / self.millionths;
                self.deadlines = self.down.iter().map(latest).collect();
                self.down.is_empty().then_some(Role::Tap)
            }
            Event::OtherUp(key) => {
                let at = self.down.iter().position(|contact| contact.0 == key)?;
                let (_, c) = self.down.remove(at);
                let overlap = self.own_up.unwrap_or(now) - c;
                (overlap * 1_000_000 >= self.millionths * (now - c)).then_some(Role::Hold)
            }
            _ => None,
        }
    }
    fn alarm(&self) -> Option<i64> {
        self.deadlines.iter().copied().max()
    }
    fn ring(&mut self, _: i64) -> Option<Role> {
        Some(Role::Tap)
    }
}

/// Hold at c + span for the first contact that is down together with the key for that long.
struct OverlapSpan {
    span: i64,
    down: Vec<(usize, i64)>,
}

impl OverlapSpan {
    /// The overlap of a contact has ended at `now`: has it reached the span?
    fn ends(&self, now: i64, c: i64) -> Option<Role> {
        (now - c >= self.span).then_some(Role::Hold)
    }
}

impl Machine for OverlapSpan {
    fn event(&mut self, now: i64, event: Event) -> Option<Role> {
        match event {
            Event::OppositeDown(key) | Event::NearDown(key) => {
                self.down.push((key, now));
                None
            }
            Event::OtherUp(key) => {
                let at = self.down.iter().position(|contact| contact.0 == key)?;
                let (_, c) = self.down.remove(at);
                self.ends(now, c)
            }
            Event::OwnUp => self.down.iter().find_map(|&(_, c)| self.ends(now, c)).or(Some(Role::Tap)),
        }
    }
    fn alarm(&self) -> Option<i64> {
        self.down.iter().map(|&(_, c)| c + self.span).min()
    }
    fn ring(&mut self, _: i64) -> Option<Role> {
        Some(Role::Hold)
    }
}

/// The edges of the bins: 8.192 ms, then four equal parts to each of seven octaves.
fn edges() -> Vec<i64> {
    let octaves = (0..7).map(|k| 8_192_i64 << k);
    let parts = octaves.flat_map(|start| (1..=4).map(move |part| start + start / 4 * part));
    std::iter::once(8_192).chain(parts).collect()
}

/// A bin contains its upper edge: as many edges as lie below the time.
fn bin(time: i64) -> usize {
    edges().into_iter().filter(|&edge| edge < time).count()
}

fn lull_entry(tables: &EvidenceTables, at: &AtPress) -> i32 {
    let row = if at.carried { tables.lull[1] } else { tables.lull[0] };
    i32::from(at.lull.map_or(row[row.len() - 1], |lull| row[bin(lull)]))
}

/// Sums what is known at the first release.
struct Evidence {
    tables: EvidenceTables,
    threshold: i32,
    sum: i32,
    first: Option<(i64, Hand)>,
    contacts: Vec<usize>,
}

impl Evidence {
    fn add(&mut self, row: SummaryRow, time: i64) {
        self.sum += i32::from(self.tables.summary[row as usize][bin(time)]);
    }
}

impl Machine for Evidence {
    fn start(&mut self, at: &AtPress) -> Option<Role> {
        self.sum = lull_entry(&self.tables, at);
        None
    }
    fn event(&mut self, now: i64, event: Event) -> Option<Role> {
        use SummaryRow as Row;
        match event {
            Event::OppositeDown(key) | Event::NearDown(key) => {
                let hand = if matches!(event, Event::OppositeDown(_)) { Hand::Right } else { Hand::Left };
                self.first = self.first.or(Some((now, hand)));
                self.contacts.push(key);
                return None;
            }
            Event::OtherUp(key) => {
                if !self.contacts.contains(&key) {
                    return None;
                }
                let (c, hand) = self.first.unwrap();
                let (lead, overlap) = match hand {
                    Hand::Right => (Row::EnclosedOppositeLead, Row::EnclosedOppositeOverlap),
                    _ => (Row::EnclosedNearLead, Row::EnclosedNearOverlap),
                };
                self.add(lead, c);
                self.add(overlap, now - c);
            }
            Event::OwnUp => match self.first {
                None => self.add(Row::AloneDwell, now),
                Some((c, hand)) => {
                    let (lead, overlap) = match hand {
                        Hand::Right => (Row::RolledOppositeLead, Row::RolledOppositeOverlap),
                        _ => (Row::RolledNearLead, Row::RolledNearOverlap),
                    };
                    self.add(lead, c);
                    self.add(overlap, now - c);
                }
            },
        }
        Some(if self.sum >= self.threshold { Role::Hold } else { Role::Tap })
    }
}

#[derive(Clone, Copy, PartialEq)]
enum State {
    Alone,
    JoinedNear,
    JoinedOpposite,
    Inside,
}

/// Sums entries as events happen and bins pass, until a bound is reached.
struct SequentialEvidence {
    tables: EvidenceTables,
    hold: i32,
    tap: i32,
    end: i32,
    sum: i32,
    state: State,
    clock: i64,
    /// Bins of the state's clock that have passed; the current one has this number.
    passed: usize,
    contacts: Vec<usize>,
}

impl SequentialEvidence {
    fn add(&mut self, row: CourseRow) -> Option<Role> {
        self.sum += i32::from(self.tables.course[row as usize][self.passed]);
        self.bounds()
    }
    fn bounds(&self) -> Option<Role> {
        if self.sum >= self.hold {
            Some(Role::Hold)
        } else if self.sum <= -self.tap {
            Some(Role::Tap)
        } else {
            None
        }
    }
    fn enter(&mut self, state: State, now: i64) {
        (self.state, self.clock, self.passed) = (state, now, 0);
    }
}

impl Machine for SequentialEvidence {
    fn start(&mut self, at: &AtPress) -> Option<Role> {
        self.sum = lull_entry(&self.tables, at);
        self.bounds()
    }
    fn event(&mut self, now: i64, event: Event) -> Option<Role> {
        use CourseRow as Row;
        self.contacts.extend(pressed(event));
        match (self.state, event) {
            (State::Alone, Event::OppositeDown(_)) => {
                let said = self.add(Row::AloneOppositeContact);
                self.enter(State::JoinedOpposite, now);
                said
            }
            (State::Alone, Event::NearDown(_)) => {
                let said = self.add(Row::AloneNearContact);
                self.enter(State::JoinedNear, now);
                said
            }
            (State::JoinedNear | State::JoinedOpposite, Event::OtherUp(key)) if self.contacts.contains(&key) => {
                let row =
                    if self.state == State::JoinedNear { Row::NearOtherRelease } else { Row::OppositeOtherRelease };
                let said = self.add(row);
                self.enter(State::Inside, now);
                said
            }
            (state, Event::OwnUp) => {
                let said = self.add(match state {
                    State::Alone => Row::AloneRelease,
                    State::JoinedNear => Row::NearRelease,
                    State::JoinedOpposite => Row::OppositeRelease,
                    State::Inside => Row::InsideRelease,
                });
                said.or(Some(if self.sum >= self.end { Role::Hold } else { Role::Tap }))
            }
            _ => None,
        }
    }
    fn alarm(&self) -> Option<i64> {
        edges().get(self.passed).map(|edge| self.clock + edge)
    }
    fn ring(&mut self, _: i64) -> Option<Role> {
        let said = self.add(match self.state {
            State::Alone => CourseRow::AlonePassed,
            State::JoinedNear => CourseRow::NearPassed,
            State::JoinedOpposite => CourseRow::OppositePassed,
            State::Inside => CourseRow::InsidePassed,
        });
        self.passed += 1;
        said
    }
}

/// Where a key stands in a table of keys: keys that write, those that edit and the modifiers by themselves, then all others,
/// then none.
fn slot(key: Option<Code>) -> usize {
    let Some(key) = key else { return 63 };
    let alone = key.character(false).is_some()
        || matches!(key.name(), "Backspace" | "Delete" | "Escape" | "CapsLock")
        || key.dedicated_modifier().is_some();
    if alone { Code::all().position(|code| code == key).unwrap() } else { 62 }
}

/// Entries of the set of tables that fits into so many bytes, or of the sequential form, looked up as documented.
struct Keys {
    entries: Vec<Vec<i32>>,
    constant: i32,
    rows: Vec<Code>,
    own: Code,
    previous: Option<Code>,
    keys: Vec<Code>,
}

impl Keys {
    fn new(tables: &EvidenceTables, bytes: f64) -> Self {
        let keyed = tables.keyed.as_ref().unwrap();
        let set = keyed.sets.iter().rfind(|set| set.bytes as f64 <= bytes).unwrap();
        let of = |table: &KeyTable| set.entries(*table).iter().map(|entry| i32::from(*entry)).collect();
        Self {
            entries: KeyTable::ALL.iter().map(of).collect(),
            constant: i32::from(set.constant()),
            rows: keyed.rows.clone(),
            own: agogic_keys::Code::SPACE,
            previous: None,
            keys: vec![],
        }
    }
    fn start(&mut self, at: &AtPress) {
        (self.own, self.previous, self.keys) = (at.own, at.previous, at.keys.clone());
    }
    fn entry(&self, table: KeyTable, cell: usize) -> i32 {
        self.entries[table as usize][cell]
    }
    /// Constant, own key, key before, and both.
    fn at_press(&self) -> i32 {
        let previous = slot(self.previous);
        let pair = self.rows.iter().position(|row| *row == self.own);
        self.constant
            + self.entry(KeyTable::Own, slot(Some(self.own)))
            + self.entry(KeyTable::Previous, previous)
            + pair.map_or(0, |row| self.entry(KeyTable::OwnPrevious, row * 64 + previous))
    }
    /// The key of the contact, and the own key with it where it writes.
    fn of_contact(&self, key: usize) -> i32 {
        let code = self.keys[key];
        let row = self.rows.iter().position(|row| *row == self.own).filter(|_| code.character(false).is_some());
        self.entry(KeyTable::Contact, slot(Some(code)))
            + row.map_or(0, |row| self.entry(KeyTable::OwnContact, row * 50 + slot(Some(code))))
    }
}

/// Sums what times and keys say at the first release.
struct KeyEvidence {
    keys: Keys,
    threshold: i32,
    sum: i32,
    /// Time, whether it was of the opposite hand, and number of the first contact.
    first: Option<(i64, bool, usize)>,
    contacts: Vec<usize>,
}

impl Machine for KeyEvidence {
    fn start(&mut self, at: &AtPress) -> Option<Role> {
        self.keys.start(at);
        let bin = at.lull.map_or(30, bin);
        self.sum = self.keys.at_press() + self.keys.entry(KeyTable::Lull, 31 * usize::from(at.carried) + bin);
        None
    }
    fn event(&mut self, now: i64, event: Event) -> Option<Role> {
        let enclosed = match event {
            Event::OppositeDown(key) | Event::NearDown(key) => {
                let opposite = matches!(event, Event::OppositeDown(_));
                self.contacts.push(key);
                self.first = self.first.or(Some((now, opposite, key)));
                return None;
            }
            Event::OtherUp(key) if !self.contacts.contains(&key) => return None,
            Event::OtherUp(_) => true,
            Event::OwnUp => false,
        };
        match self.first {
            None => self.sum += self.keys.entry(KeyTable::Lead, bin(now)),
            Some((c, opposite, key)) => {
                // Rolled near, rolled opposite, enclosed near, enclosed opposite.
                let kind = 2 * usize::from(enclosed) + usize::from(opposite);
                self.sum += self.keys.entry(KeyTable::Lead, 30 * (1 + kind) + bin(c))
                    + self.keys.entry(KeyTable::Overlap, 30 * kind + bin(now - c))
                    + self.keys.of_contact(key);
            }
        }
        Some(if self.sum >= self.threshold { Role::Hold } else { Role::Tap })
    }
}

/// The machine of `sequential-evidence`, with what keys say.
struct SequentialKeyEvidence {
    plain: SequentialEvidence,
    keys: Keys,
    /// The key of the contact that the state was entered with, and when.
    first: Option<usize>,
}

impl Machine for SequentialKeyEvidence {
    fn start(&mut self, at: &AtPress) -> Option<Role> {
        self.keys.start(at);
        self.plain.sum = lull_entry(&self.plain.tables, at) + self.keys.at_press();
        self.plain.bounds()
    }
    fn event(&mut self, now: i64, event: Event) -> Option<Role> {
        if self.plain.state == State::Alone
            && let Some(key) = pressed(event)
        {
            // Its term comes with the entry of its time, before the bounds are looked at.
            self.first = Some(key);
            self.plain.sum += self.keys.of_contact(key);
        }
        self.plain.event(now, event)
    }
    fn alarm(&self) -> Option<i64> {
        self.plain.alarm()
    }
    fn ring(&mut self, now: i64) -> Option<Role> {
        self.plain.ring(now)
    }
}

/// The machine of a setting's rule.
pub fn machine(setting: &Setting, tables: EvidenceTables) -> Box<dyn Machine> {
    let us = |at: usize| (setting.values()[at] * 1e3).round() as i64;
    let nats = |at: usize| (setting.values()[at] * 256.0).round() as i32;
    match setting.entry().name {
        "dwell-cutoff" => Box::new(DwellCutoff { cutoff: us(0) }),
        "first-contact" => Box::new(FirstContact),
        "enclosed" => Box::<Enclosed>::default(),
        "overlap-share" => Box::new(OverlapShare {
            millionths: (setting.values()[0] * 1e6).round() as i64,
            own_up: None,
            down: vec![],
            deadlines: vec![],
        }),
        "overlap-span" => Box::new(OverlapSpan { span: us(0), down: vec![] }),
        "evidence" => Box::new(Evidence { tables, threshold: nats(0), sum: 0, first: None, contacts: vec![] }),
        "sequential-evidence" => Box::new(SequentialEvidence {
            tables,
            hold: nats(0),
            tap: nats(1),
            end: nats(2),
            sum: 0,
            state: State::Alone,
            clock: 0,
            passed: 0,
            contacts: vec![],
        }),
        "key-evidence" => Box::new(KeyEvidence {
            keys: Keys::new(&tables, setting.values()[1]),
            threshold: nats(0),
            sum: 0,
            first: None,
            contacts: vec![],
        }),
        "sequential-key-evidence" => {
            // Stated tables: the sequential form has the entries of the set of all narrow ones.
            let keys = Keys::new(&tables, 1502.0);
            let plain = SequentialEvidence {
                tables,
                hold: nats(0),
                tap: nats(1),
                end: nats(2),
                sum: 0,
                state: State::Alone,
                clock: 0,
                passed: 0,
                contacts: vec![],
            };
            Box::new(SequentialKeyEvidence { plain, keys, first: None })
        }
        other => panic!("write a machine for the rule {other}"),
    }
}
