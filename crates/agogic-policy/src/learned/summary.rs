//! What is known of an encounter when the first key of it comes up.

use agogic_keys::Code;

use super::bins::bin_of;
use super::units::words;
use crate::Encounter;

/// A row of the tables that describe an encounter at its first release.
///
/// *Rolled*: the own release comes first, with another key down. *Enclosed*: another key's release comes
/// no later. The hand is that of the first contact; `near` is every hand that is not surely opposite.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SummaryRow {
    /// Dwell of a press without any other key.
    AloneDwell,
    /// Press to first contact, rolled, near hand.
    RolledNearLead,
    /// Press to first contact, rolled, opposite hand.
    RolledOppositeLead,
    /// Press to first contact, enclosed, near hand.
    EnclosedNearLead,
    /// Press to first contact, enclosed, opposite hand.
    EnclosedOppositeLead,
    /// First contact to first release, rolled, near hand.
    RolledNearOverlap,
    /// First contact to first release, rolled, opposite hand.
    RolledOppositeOverlap,
    /// First contact to first release, enclosed, near hand.
    EnclosedNearOverlap,
    /// First contact to first release, enclosed, opposite hand.
    EnclosedOppositeOverlap,
}

impl SummaryRow {
    /// Every row, in order of index.
    pub const ALL: [Self; 9] = [
        Self::AloneDwell,
        Self::RolledNearLead,
        Self::RolledOppositeLead,
        Self::EnclosedNearLead,
        Self::EnclosedOppositeLead,
        Self::RolledNearOverlap,
        Self::RolledOppositeOverlap,
        Self::EnclosedNearOverlap,
        Self::EnclosedOppositeOverlap,
    ];

    /// The row in words, such as `alone dwell`.
    pub(crate) fn words(self) -> String {
        words(&format!("{self:?}"))
    }

    /// Rows that share one distribution: an encounter falls into exactly one cell of the first five, and
    /// then, if another key took part, into one cell of the matching overlap row.
    pub(crate) const GROUPS: [(usize, usize); 5] = [(0, 5), (5, 6), (6, 7), (7, 8), (8, 9)];
}

/// The first contact and the first release of an encounter.
#[derive(Clone, Copy, Debug)]
pub(crate) struct First {
    /// When the first contact went down, whether a key of the opposite hand did so then, and which key it was.
    pub contact: Option<(i64, bool, Code)>,
    /// The earliest release of any contact; the end of time when there is none.
    pub other_up: i64,
}

impl First {
    /// Of contacts pressed at one instant a key of the opposite hand counts first, then the first in the table of codes,
    /// whatever their order.
    #[inline]
    pub fn of(encounter: &Encounter<'_>) -> Self {
        let mut first = Self { contact: None, other_up: i64::MAX };
        for contact in encounter.contacts() {
            let opposite = contact.hand.opposite_to(encounter.hand);
            first.contact = match first.contact {
                None => Some((contact.down, opposite, contact.code)),
                Some((down, before, code)) if contact.down == down => Some(match (before, opposite) {
                    (true, false) => (down, true, code),
                    (false, true) => (down, true, contact.code),
                    _ => (down, before, code.min(contact.code)),
                }),
                known => known,
            };
            first.other_up = first.other_up.min(contact.up);
        }
        first
    }
}

/// The cells an encounter falls into at its first release, and when that is.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Summary {
    /// The first release, own or other, in µs after the press.
    pub at: i64,
    /// Row and bin of the dwell or the lead.
    pub lead: (usize, usize),
    /// Row and bin of the overlap, when another key took part.
    pub overlap: Option<(usize, usize)>,
    /// The first contact.
    pub contact: Option<Code>,
}

impl Summary {
    #[inline]
    pub fn of(encounter: &Encounter<'_>) -> Self {
        let release = encounter.release();
        let first = First::of(encounter);
        let Some((down, opposite, code)) = first.contact else {
            return Self { at: release, lead: (0, bin_of(release)), overlap: None, contact: None };
        };
        let enclosed = first.other_up <= release;
        let at = first.other_up.min(release);
        let kind = 2 * usize::from(enclosed) + usize::from(opposite);
        let overlap = Some((5 + kind, bin_of(at - down)));
        Self { at, lead: (1 + kind, bin_of(down)), overlap, contact: Some(code) }
    }
}

/// The cell of what is known at the press: whether another key is still down, and the lull.
#[inline]
pub(crate) fn lull_cell(encounter: &Encounter<'_>) -> (usize, usize) {
    let bin = encounter.lull.map_or(super::BINS, |lull| bin_of(lull.0.min(i64::MAX as u64) as i64));
    (usize::from(encounter.carried().next().is_some()), bin)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Contact;
    use agogic_keys::{Hand, Instant, Span};

    fn summary(dwell: u64, contacts: &[(i64, i64, Hand)]) -> Summary {
        let code = "KeyF".parse().unwrap();
        let contacts: Vec<_> = contacts.iter().map(|&(down, up, hand)| Contact { code, hand, down, up }).collect();
        Summary::of(&Encounter::new(code, Hand::Left, Instant(0), Span(dwell)).with_contacts(&contacts))
    }

    #[test]
    fn each_class_has_its_rows() {
        let row = |s: Summary| (SummaryRow::ALL[s.lead.0], s.overlap.map(|o| SummaryRow::ALL[o.0]), s.at);
        assert_eq!(row(summary(90, &[])), (SummaryRow::AloneDwell, None, 90));
        let rolled = (SummaryRow::RolledNearLead, Some(SummaryRow::RolledNearOverlap), 90);
        assert_eq!(row(summary(90, &[(50, 91, Hand::Either)])), rolled);
        let enclosed = (SummaryRow::EnclosedOppositeLead, Some(SummaryRow::EnclosedOppositeOverlap), 90);
        assert_eq!(row(summary(90, &[(50, 90, Hand::Right)])), enclosed);
    }

    #[test]
    fn contacts_of_one_instant_have_no_order() {
        let (near, far) = ((50, 200, Hand::Left), (50, 300, Hand::Right));
        assert_eq!(summary(90, &[near, far]).lead, summary(90, &[far, near]).lead);
        assert_eq!(SummaryRow::ALL[summary(90, &[near, far]).lead.0], SummaryRow::RolledOppositeLead);
    }

    #[test]
    fn rows_are_numbered_in_order() {
        for (i, row) in SummaryRow::ALL.into_iter().enumerate() {
            assert_eq!(row as usize, i);
        }
    }
}
