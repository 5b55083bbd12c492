//! The course of an encounter: what happens, and what does not happen, as time passes.

use std::ops::ControlFlow;

use super::bins::{BINS, bin_of, upper_edge};
use super::summary::First;
use crate::Encounter;

/// A row of the tables that follow an encounter as it happens.
///
/// # Definition
/// An encounter is in one of three states. *Alone*: no other key has gone down; its clock starts at the
/// press. *Joined*: another key is down, and none has come up yet; its clock starts at the first contact,
/// and there is one such state for the opposite hand and one for every other hand (`near`). *Inside*:
/// another key has come up; its clock starts at that release. In each bin of the state's clock either one
/// of the state's events happens or the bin passes. The cell of a passed bin is visited at its upper
/// edge, the cell of an event at the event. The last bin does not pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CourseRow {
    /// Alone: own release.
    AloneRelease,
    /// Alone: first contact, near hand.
    AloneNearContact,
    /// Alone: first contact, opposite hand.
    AloneOppositeContact,
    /// Alone: nothing happened.
    AlonePassed,
    /// Joined by a near hand: own release.
    NearRelease,
    /// Joined by a near hand: another key's release.
    NearOtherRelease,
    /// Joined by a near hand: nothing happened.
    NearPassed,
    /// Joined by the opposite hand: own release.
    OppositeRelease,
    /// Joined by the opposite hand: another key's release.
    OppositeOtherRelease,
    /// Joined by the opposite hand: nothing happened.
    OppositePassed,
    /// Inside: own release.
    InsideRelease,
    /// Inside: nothing happened.
    InsidePassed,
}

impl CourseRow {
    /// Every row, in order of index.
    pub const ALL: [Self; 12] = [
        Self::AloneRelease,
        Self::AloneNearContact,
        Self::AloneOppositeContact,
        Self::AlonePassed,
        Self::NearRelease,
        Self::NearOtherRelease,
        Self::NearPassed,
        Self::OppositeRelease,
        Self::OppositeOtherRelease,
        Self::OppositePassed,
        Self::InsideRelease,
        Self::InsidePassed,
    ];

    /// Rows of one state, as index ranges; the last row of each is the one of bins that passed.
    pub(crate) const STATES: [(usize, usize); 4] = [(0, 4), (4, 7), (7, 10), (10, 12)];
}

/// Visits the cells of an encounter in order of time, as µs after the press, row and bin, until `visit`
/// breaks.
#[inline]
pub(crate) fn course<B>(
    encounter: &Encounter<'_>,
    mut visit: impl FnMut(i64, CourseRow, usize) -> ControlFlow<B>,
) -> ControlFlow<B> {
    use CourseRow as Row;
    let release = encounter.release();
    let first = First::of(encounter);
    let Some((down, opposite, _)) = first.contact else {
        pass(0, release, Row::AlonePassed, &mut visit)?;
        return visit(release, Row::AloneRelease, bin_of(release));
    };
    pass(0, down, Row::AlonePassed, &mut visit)?;
    visit(down, if opposite { Row::AloneOppositeContact } else { Row::AloneNearContact }, bin_of(down))?;
    let (own, other, passed) = if opposite {
        (Row::OppositeRelease, Row::OppositeOtherRelease, Row::OppositePassed)
    } else {
        (Row::NearRelease, Row::NearOtherRelease, Row::NearPassed)
    };
    // At one instant other keys come up before the own key.
    if first.other_up > release {
        pass(down, release, passed, &mut visit)?;
        return visit(release, own, bin_of(release - down));
    }
    let up = first.other_up;
    pass(down, up, passed, &mut visit)?;
    visit(up, other, bin_of(up - down))?;
    pass(up, release, Row::InsidePassed, &mut visit)?;
    visit(release, Row::InsideRelease, bin_of(release - up))
}

/// Visits the bins that pass between the start of a state's clock and the event that ends the state.
#[inline]
fn pass<B>(
    start: i64,
    end: i64,
    row: CourseRow,
    visit: &mut impl FnMut(i64, CourseRow, usize) -> ControlFlow<B>,
) -> ControlFlow<B> {
    for bin in 0..BINS - 1 {
        let Some(edge) = upper_edge(bin).map(|edge| start + edge) else { break };
        if edge >= end {
            break;
        }
        visit(edge, row, bin)?;
    }
    ControlFlow::Continue(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Contact;
    use agogic_keys::{Hand, Instant, Span};

    #[test]
    fn a_chord_is_followed_state_by_state() {
        // Pressed at 0; another key from 9 ms to 20 ms; own release at 29 ms. Edges: 8.192, 10.24 ms, …
        let code = "KeyF".parse().unwrap();
        let contacts = [Contact { code, hand: Hand::Right, down: 9_000, up: 20_000 }];
        let encounter = Encounter::new(code, Hand::Left, Instant(0), Span(29_000)).with_contacts(&contacts);
        let mut seen = Vec::new();
        let _ = course(&encounter, |at, row, bin| {
            seen.push((at, row, bin));
            ControlFlow::<()>::Continue(())
        });
        let expected = [
            (8_192, CourseRow::AlonePassed, 0),
            (9_000, CourseRow::AloneOppositeContact, 1),
            (17_192, CourseRow::OppositePassed, 0),
            (19_240, CourseRow::OppositePassed, 1),
            (20_000, CourseRow::OppositeOtherRelease, 2),
            (28_192, CourseRow::InsidePassed, 0),
            (29_000, CourseRow::InsideRelease, 1),
        ];
        assert_eq!(seen, expected);
    }

    #[test]
    fn an_event_at_an_edge_comes_before_the_bin_has_passed() {
        let code = "KeyF".parse().unwrap();
        let mut seen = Vec::new();
        let _ = course(&Encounter::new(code, Hand::Left, Instant(0), Span(8_192)), |at, row, bin| {
            seen.push((at, row, bin));
            ControlFlow::<()>::Continue(())
        });
        assert_eq!(seen, [(8_192, CourseRow::AloneRelease, 0)]);
    }

    #[test]
    fn rows_are_numbered_in_order() {
        for (i, row) in CourseRow::ALL.into_iter().enumerate() {
            assert_eq!(row as usize, i);
        }
    }
}
