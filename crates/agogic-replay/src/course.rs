//! One participant's presses of dual-role keys in order, with what every policy makes of them.

use agogic_keys::{Assignment, Board, Code, Hand, Instant};
use agogic_log::SessionLog;
use agogic_policy::{Decision, Encounters, Setting};

/// What a press of a dual-role key was meant as, as far as the log says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meant {
    /// A tap.
    Tap,
    /// A hold.
    Hold,
    /// The log does not say.
    Unstated,
}

/// The presses of dual-role keys of one participant, and every policy's decision on each.
///
/// # Shape
/// Presses stand in the order of time within a session, sessions in the order of the log. `holds` and
/// `after_us` have one list per policy, each with one entry per press.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// The participant.
    pub participant: String,
    /// Presses of any key.
    pub keys: u64,
    /// The key of each dual-role press.
    pub codes: Vec<Code>,
    /// When it went down, on the clock of its session.
    pub downs: Vec<Instant>,
    /// What each dual-role press was meant as.
    pub meant: Vec<Meant>,
    /// Whether each policy decided on a hold.
    pub holds: Vec<Vec<bool>>,
    /// When each policy decided, in µs after the press. A decision later than 71 minutes counts as that.
    pub after_us: Vec<Vec<u32>>,
}

impl Course {
    /// Lets every setting decide every press of a dual-role key.
    ///
    /// # Definition
    /// Each run of a session in which every neighbour is known is played by itself: no lull and no overlap
    /// reaches across a place where rows are missing. A key off the board counts as pressed by either hand.
    pub fn of<'s>(
        participant: &str,
        sessions: &[&SessionLog],
        board: &Board,
        assignment: &Assignment,
        settings: impl Iterator<Item = &'s Setting> + Clone,
    ) -> Self {
        let policies = settings.clone().count();
        let mut course = Self {
            participant: participant.to_owned(),
            keys: 0,
            codes: Vec::new(),
            downs: Vec::new(),
            meant: Vec::new(),
            holds: vec![Vec::new(); policies],
            after_us: vec![Vec::new(); policies],
        };
        let (mut encounters, mut decisions) = (Encounters::new(), Vec::new());
        for session in sessions {
            let truths = session.truths(assignment);
            let mut first = 0;
            for run in session.runs() {
                course.keys += run.len() as u64;
                let hand = |code| board.place(code).map_or(Hand::Either, |place| place.hand);
                encounters.fill(run, 0, |code| assignment.modifier(code).is_some(), hand);
                for (press, encounter) in encounters.presses().zip(encounters.iter()) {
                    course.codes.push(encounter.code);
                    course.downs.push(encounter.press);
                    course.meant.push(match truths[first + press] {
                        None => Meant::Unstated,
                        Some(truth) if truth.hold => Meant::Hold,
                        Some(_) => Meant::Tap,
                    });
                }
                for (at, setting) in settings.clone().enumerate() {
                    setting.decide_all(&encounters, &mut decisions);
                    let after = |decision: &Decision| u32::try_from(decision.after.0).unwrap_or(u32::MAX);
                    course.holds[at].extend(decisions.iter().map(|decision| decision.is_hold()));
                    course.after_us[at].extend(decisions.iter().map(after));
                }
                first += run.len();
            }
        }
        course
    }

    /// Presses of dual-role keys.
    pub fn presses(&self) -> usize {
        self.meant.len()
    }

    /// How many were meant so.
    pub fn count(&self, meant: Meant) -> u64 {
        self.meant.iter().filter(|found| **found == meant).count() as u64
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Instant, Modifier, Press};
    use agogic_log::Intent;

    #[test]
    fn runs_are_played_by_themselves_and_intents_stay_with_their_presses() {
        let board = Board::row_staggered();
        let mut assignment = Assignment::none();
        assignment.assign(&board, "KeyF".parse().unwrap(), Modifier::Shift).unwrap();
        let press = |name: &str, down: u64, up: u64| Press {
            code: name.parse().unwrap(),
            down: Instant(1000 * down),
            up: Instant(1000 * up),
        };
        // E is typed 60 ms before each F, but rows are missing before the second.
        let presses =
            vec![press("KeyE", 0, 50), press("KeyF", 60, 400), press("KeyE", 940, 990), press("KeyF", 1000, 1400)];
        let log = SessionLog {
            participant: "ada".into(),
            session: "1".into(),
            part: 0,
            presses,
            intents: vec![None, Some(Intent::Tap), None, None],
            breaks: vec![3],
        };
        let lull = agogic_policy::Guards { lull: Some(agogic_keys::Span::from_ms(150.0)), ..Default::default() };
        let cutoff = Setting::rule("dwell-cutoff", &[("cutoff_ms", 200.0)]).unwrap();
        let settings = [cutoff.clone(), cutoff.with_guards(lull)];
        let course = Course::of("ada", &[&log], &board, &assignment, settings.iter());
        assert_eq!((course.keys, course.presses()), (4, 2));
        assert_eq!(course.meant, [Meant::Tap, Meant::Unstated]);
        assert_eq!(course.holds, [[true, true], [false, true]], "the guard knows no lull across the gap");
        assert_eq!(course.after_us[0], [200_000, 200_000]);
        assert_eq!(course.count(Meant::Tap), 1);
    }
}
