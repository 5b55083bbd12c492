//! People from logs.

use std::collections::BTreeMap;

use agogic_keys::{Board, Code, Hand, Press};
use agogic_log::{DefectKind, Log, SessionLog};
use agogic_policy::{EncounterScan, Setting};
use rayon::prelude::*;

use crate::learned::{Judged, Training};
use crate::person::{Person, Tester};

/// People's sessions, each person once.
pub struct Crowd<'l> {
    people: Vec<(&'l str, Vec<&'l SessionLog>)>,
    board: Board,
    sides_known: bool,
}

/// The hand of a key on the usual board; either hand for every key where sides are not known: a Shift of unknown side
/// would otherwise be told from a letter by the lack of a hand.
pub fn hand_of(board: &Board, sides_known: bool) -> impl Fn(Code) -> Hand + Copy + '_ {
    move |code| {
        let place = board.place(code).filter(|_| sides_known);
        place.map_or(Hand::Either, |place| place.hand)
    }
}

impl<'l> Crowd<'l> {
    /// Everybody in some logs, in the order in which these first name them.
    pub fn of(logs: &'l [Log]) -> Self {
        let mut people: Vec<(&str, Vec<&SessionLog>)> = Vec::new();
        let mut places: BTreeMap<&str, usize> = BTreeMap::new();
        for session in logs.iter().flat_map(|log| &log.sessions) {
            let place = *places.entry(&session.participant).or_insert(people.len());
            if place == people.len() {
                people.push((&session.participant, Vec::new()));
            }
            people[place].1.push(session);
        }
        let sides_known = logs.iter().all(|log| log.report.count(DefectKind::SideUnknown) == 0);
        Self { people, board: Board::row_staggered(), sides_known }
    }

    /// Whether the logs say of Shift presses on which side they were.
    pub fn sides_known(&self) -> bool {
        self.sides_known
    }

    /// People.
    pub fn len(&self) -> usize {
        self.people.len()
    }

    /// Whether there is nobody.
    pub fn is_empty(&self) -> bool {
        self.people.is_empty()
    }

    /// Leaves the people for whose name `keep` says so.
    pub fn only(&self, keep: impl Fn(&str) -> bool) -> Self {
        let people = self.people.iter().filter(|(name, _)| keep(name)).cloned().collect();
        Self { people, board: self.board.clone(), sides_known: self.sides_known }
    }

    /// Names and sessions of everybody.
    pub fn sessions(&self) -> impl Iterator<Item = (&'l str, &[&'l SessionLog])> {
        self.people.iter().map(|(name, sessions)| (*name, sessions.as_slice()))
    }

    /// The figures of everybody.
    pub fn people(&self) -> Vec<Person> {
        let hand = hand_of(&self.board, self.sides_known);
        let one =
            |tester: &mut Tester, (id, sessions): &(&str, Vec<&SessionLog>)| tester.person(id, runs(sessions), hand);
        self.people.par_iter().map_init(Tester::new, one).collect()
    }

    /// A training sample for rules that learn, from those who count.
    pub fn training(&self, counted: &[Person]) -> Training {
        let hand = hand_of(&self.board, self.sides_known);
        let (mut all, mut scan) = (Training::new(), EncounterScan::new());
        self.counting(counted).flat_map(runs).for_each(|run| all.add(&mut scan, run, hand));
        all
    }

    /// Those who count, judged under a setting that was trained elsewhere.
    pub fn judged(&self, counted: &[Person], setting: &Setting) -> Judged {
        let hand = hand_of(&self.board, self.sides_known);
        let (mut judged, mut scan) = (Judged::new(), EncounterScan::new());
        self.counting(counted).for_each(|sessions| judged.add(setting, &mut scan, runs(sessions), hand));
        judged
    }

    /// The sessions of those who count.
    fn counting<'s>(&'s self, counted: &'s [Person]) -> impl Iterator<Item = &'s [&'l SessionLog]> + 's {
        let counts: BTreeMap<&str, bool> = counted.iter().map(|person| (person.id.as_str(), person.counts())).collect();
        let known = move |name: &str| counts.get(name).copied().unwrap_or(false);
        self.people.iter().filter(move |(name, _)| known(name)).map(|(_, sessions)| sessions.as_slice())
    }
}

fn runs<'s, 'l>(sessions: &'s [&'l SessionLog]) -> impl Iterator<Item = &'l [Press]> + 's {
    sessions.iter().flat_map(|session| session.runs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_log::{LogLayout, read_bytes};

    #[test]
    fn a_person_of_several_files_is_one() {
        let log = |session: u32| {
            let text = format!(
                "session,participant,code,press_ms,release_ms\n{session},ada,ShiftLeft,0,150\n{session},ada,KeyT,100,200\n\
                 {session},berta,KeyA,0,90\n"
            );
            read_bytes(text.as_bytes(), &LogLayout::preset("pairs-ms").unwrap()).unwrap()
        };
        let logs = [log(1), log(2)];
        let crowd = Crowd::of(&logs);
        assert!(crowd.sides_known() && crowd.len() == 2);
        let people = crowd.people();
        assert_eq!((people[0].id.as_str(), people[0].holds, people[1].taps), ("ada", 2, 2));
        // The left Shift for T, which lies under the left hand too.
        assert_eq!(people[0].gestures[0].near, Some(true));
        let only = crowd.only(|name| name == "berta");
        assert_eq!((only.len(), only.people()[0].holds), (1, 0));
    }
}
