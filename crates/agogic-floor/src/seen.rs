//! What an observer has seen of an encounter.

use agogic_keys::{Hand, Span};
use agogic_policy::Encounter;

/// Hands as seen from the dual-role key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(usize)]
pub(crate) enum Side {
    Same,
    Other,
    Thumb,
}

impl Side {
    pub const COUNT: usize = 3;

    pub fn of(own: Hand, other: Hand) -> Self {
        if other.opposite_to(own) {
            Self::Other
        } else if own == other {
            Self::Same
        } else {
            Self::Thumb
        }
    }
}

/// The end of a press as far as it is seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum End {
    /// Up at this time, in µs after the dual-role press.
    At(f64),
    /// Still down at this time.
    After(f64),
}

impl End {
    fn of(up: i64, until: i64) -> Self {
        if up <= until { Self::At(up as f64) } else { Self::After(until as f64) }
    }

    /// The end seen from `origin`.
    pub fn from(self, origin: f64) -> Self {
        match self {
            Self::At(t) => Self::At(t - origin),
            Self::After(t) => Self::After(t - origin),
        }
    }

    /// When it was last looked at.
    pub fn time(self) -> f64 {
        let (Self::At(t) | Self::After(t)) = self;
        t
    }
}

/// Another key's press.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Other {
    /// Its press; negative when it was down already.
    pub down: f64,
    pub side: Side,
    pub end: End,
}

/// Contacts an observer looks at; later ones are not seen.
const MOST: usize = 6;

/// An encounter as far as it is seen until a deadline.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seen {
    pub lull: Option<f64>,
    pub since: Option<f64>,
    pub carried: Option<Other>,
    pub own: End,
    contacts: [Other; MOST],
    count: usize,
}

impl Seen {
    pub fn new(encounter: &Encounter<'_>, deadline: Option<Span>) -> Self {
        let until = deadline.map_or(i64::MAX, |span| span.0.min(i64::MAX as u64) as i64);
        let other = |contact: &agogic_policy::Contact| Other {
            down: contact.down as f64,
            side: Side::of(encounter.hand, contact.hand),
            end: End::of(contact.up, until),
        };
        let nobody = Other { down: 0.0, side: Side::Thumb, end: End::At(0.0) };
        let mut contacts = [nobody; MOST];
        let mut count = 0;
        for (slot, contact) in contacts.iter_mut().zip(encounter.contacts().take_while(|c| c.down <= until)) {
            *slot = other(contact);
            count += 1;
        }
        Self {
            lull: encounter.lull.map(|span| span.0 as f64),
            since: encounter.since_same_key.map(|span| span.0 as f64),
            carried: encounter.carried().last().map(other),
            own: End::of(encounter.release(), until),
            contacts,
            count,
        }
    }

    pub fn contacts(&self) -> &[Other] {
        &self.contacts[..self.count]
    }

    /// The key before, if it was still down.
    pub fn previous(&self) -> Option<&Other> {
        self.carried.as_ref().filter(|other| -other.down <= self.lull.unwrap_or(0.0))
    }

    /// An older key that was still down though the key before was up.
    pub fn older(&self) -> Option<&Other> {
        self.carried.as_ref().filter(|other| -other.down > self.lull.unwrap_or(0.0))
    }

    /// A first press, with nothing near it.
    #[cfg(test)]
    pub fn alone(own: End) -> Self {
        let nobody = Other { down: 0.0, side: Side::Thumb, end: End::At(0.0) };
        Self { lull: None, since: None, carried: None, own, contacts: [nobody; MOST], count: 0 }
    }
}
