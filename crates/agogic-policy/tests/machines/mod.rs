//! A machine for every rule, written from the `Definition` and `Ties` of its documentation.

use agogic_keys::Hand;
use agogic_policy::{CourseRow, EvidenceTables, Role, Setting, SummaryRow};

/// What is known at the press.
pub struct AtPress {
    pub lull: Option<i64>,
    pub carried: bool,
}

/// In order of ties: at one instant an earlier variant comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
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
        other => panic!("write a machine for the rule {other}"),
    }
}
