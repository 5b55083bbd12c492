//! The figures of simulated people.

use agogic_keys::{Board, Hand, Press, Span};
use agogic_people::{Figure, Tester, Training, figures, hand_of};
use agogic_policy::EncounterScan;
use agogic_typist::{Clock, Session, SessionAddress};
use rayon::prelude::*;

use super::Runs;
use crate::observables::Person;
use crate::simulate::Sample;

/// The figures of the test bed about the people of a sample.
///
/// # Definition
/// A person's session is cut where their task was, and seen through a clock like those of the people it is held
/// against: of each twenty simulated people thirteen have one of 1 ms, two of 4 ms, four of 8 ms and one of 16 ms, as
/// the steps of dwells were in the calibration half of the sample of Dhakal et al. 2018; where people typed on and on,
/// every other one of 10 and of 15.6 ms, as the steps of times were in the logs of Monaco & Tappert 2018. No hand is
/// told, as in both.
pub fn simulated_figures(sample: &Sample, runs: Runs) -> Vec<Figure> {
    let of = |tester: &mut Tester, person: &Person| {
        let session = seen(sample, person, runs);
        tester.person(&format!("{:08}", person.number), cut(&session, runs), |_| Hand::Either)
    };
    let people: Vec<_> = sample.people.par_iter().map_init(Tester::new, of).collect();
    figures(&people, Tester::new().labels())
}

/// A training sample for rules that learn, from the people of a sample, seen as [`simulated_figures`] sees them; with the
/// hands of keys where `sides_known`, and through a clock of a stated step where one is given.
pub fn simulated_training(sample: &Sample, runs: Runs, sides_known: bool, step: Option<Span>) -> Training {
    let board = Board::row_staggered();
    let hand = hand_of(&board, sides_known);
    let of = |person: &Person| {
        let (mut training, mut scan) = (Training::new(), EncounterScan::new());
        let session = match step {
            None => seen(sample, person, runs),
            Some(step) => through(sample, person, stepped(step)),
        };
        for run in cut(&session, runs) {
            training.add(&mut scan, run, hand);
        }
        training
    };
    // Kept in order of people.
    let each: Vec<Training> = sample.people.par_iter().map(of).collect();
    let mut all = Training::new();
    each.into_iter().for_each(|training| all.append(training));
    all
}

/// The session of a person through a clock like those of the people it is held against.
fn seen(sample: &Sample, person: &Person, runs: Runs) -> Session {
    through(sample, person, clock(person.number, runs))
}

fn through(sample: &Sample, person: &Person, clock: Clock) -> Session {
    let mut session = person.session.clone();
    clock.show(&mut session, person.number, SessionAddress { seed: sample.seed, replicate: 0 });
    session
}

pub(super) fn stepped(step: Span) -> Clock {
    Clock { poll: step, clamp: Span(1000), ..Clock::EXACT }
}

fn clock(number: u64, runs: Runs) -> Clock {
    let us = match (runs, number % 20) {
        (Runs::Sentences, 0..=12) => 1000,
        (Runs::Sentences, 13 | 14) => 4000,
        (Runs::Sentences, 15..=18) => 8000,
        (Runs::Sentences, _) => 16_000,
        (Runs::Whole, n) => [10_000, 15_600][(n % 2) as usize],
    };
    stepped(Span(us))
}

/// The runs of a session in which every neighbour counts.
fn cut(session: &Session, runs: Runs) -> Vec<&[Press]> {
    let presses = &session.presses[..];
    if runs == Runs::Whole {
        return vec![presses];
    }
    let ends = |at: usize| matches!(presses[at].code.name(), "Period" | "Slash" | "Digit1");
    let starts = |at: usize| at > 1 && presses[at - 1].code == agogic_keys::Code::SPACE && ends(at - 2);
    let mut cuts: Vec<usize> = (0..presses.len()).filter(|&at| at == 0 || starts(at)).collect();
    cuts.push(presses.len());
    cuts.windows(2).map(|pair| &presses[pair[0]..pair[1]]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::Instant;

    #[test]
    fn sentences_are_runs_of_their_own() {
        let names = ["KeyA", "Period", "Space", "ShiftLeft", "KeyB", "Space", "KeyC"];
        let press = |(at, name): (usize, &&str)| Press {
            code: name.parse().unwrap(),
            down: Instant(at as u64 * 100),
            up: Instant(at as u64 * 100 + 50),
        };
        let presses: Vec<Press> = names.iter().enumerate().map(press).collect();
        let session = Session { presses, ..Session::default() };
        let lengths = |runs| cut(&session, runs).iter().map(|run| run.len()).collect::<Vec<_>>();
        assert_eq!(lengths(Runs::Sentences), [3, 4]);
        assert_eq!(lengths(Runs::Whole), [7]);
    }
}
