//! An observer's odds mean what they say: of the presses it gives the probability p, the share p are holds.

use agogic_floor::{PopulationObserver, Sight, Stage, TypistObserver};
use agogic_keys::Span;
use agogic_policy::Encounter;
use agogic_typist::{Constant, Population, Typist};

use crate::common::{TypingTask, observer, tasks};

/// Presses by log odds in steps of two nats: sum of the probabilities, of their variances, and of the holds.
#[derive(Default)]
struct Reliability {
    bins: Vec<[f64; 3]>,
    /// Sums over all presses of holds less probabilities, times the log odds; and of the variance of that.
    slope: [f64; 2],
    presses: f64,
}

impl Reliability {
    fn add(&mut self, log_odds: f64, hold: bool) {
        let p = 1.0 / (1.0 + libm::exp(-log_odds));
        let bin = ((log_odds + 12.0) / 2.0).clamp(0.0, 12.0) as usize;
        self.bins.resize(13, [0.0; 3]);
        let row = &mut self.bins[bin];
        *row = [row[0] + p, row[1] + p * (1.0 - p), row[2] + f64::from(u8::from(hold))];
        // Weights do not depend on what comes out, so the sum has mean zero when the odds are right.
        let weight = log_odds.clamp(-8.0, 8.0);
        self.slope[0] += weight * (f64::from(u8::from(hold)) - p);
        self.slope[1] += weight * weight * p * (1.0 - p);
        self.presses += 1.0;
    }

    /// The largest standardised gap between holds and probabilities: over bins with a variance of nine and
    /// more, in all, and weighted with the log odds, which finds the over- and the under-confident. With it
    /// the number of bins that were used.
    fn worst(&self) -> (f64, usize) {
        let usable: Vec<_> = self.bins.iter().filter(|bin| bin[1] >= 9.0).copied().collect();
        let all = self.bins.iter().fold([0.0; 3], |sum, bin| std::array::from_fn(|k| sum[k] + bin[k]));
        let gap = |bin: &[f64; 3]| (bin[2] - bin[0]).abs() / bin[1].sqrt();
        let slope = self.slope[0].abs() / self.slope[1].sqrt();
        let worst = usable.iter().chain([&all]).map(gap).fold(slope, f64::max);
        (worst, usable.len())
    }
}

/// 5.3 standard deviations of a sum of many: alpha of about 1e-7 for each of some twelve sums, 1e-6 together.
const GATE: f64 = 5.3;

const DEADLINES: [Option<f64>; 4] = [None, Some(0.0), Some(90.0), Some(180.0)];

fn judge(
    task: &TypingTask,
    deadline: Option<f64>,
    of: impl Fn(&TypingTask, u64) -> TypistObserver,
    shift: f64,
) -> Reliability {
    judge_so_many(task, deadline, of, shift, 10)
}

fn judge_so_many(
    task: &TypingTask,
    deadline: Option<f64>,
    of: impl Fn(&TypingTask, u64) -> TypistObserver,
    shift: f64,
    people: u64,
) -> Reliability {
    let mut found = Reliability::default();
    for number in 0..people {
        let observer = of(task, number);
        let session = task.session(&task.typist(number), 12_000);
        task.each(&session, |encounter, hold| {
            found.add(observer.log_odds(encounter, deadline.map(Span::from_ms)) + shift, hold);
        });
    }
    found
}

fn right(task: &TypingTask, number: u64) -> TypistObserver {
    observer(task, &task.typist(number))
}

#[test]
fn who_knows_the_typist_is_right_as_often_as_said() {
    for task in tasks() {
        for deadline in DEADLINES {
            let found = judge(&task, deadline, right, 0.0);
            let (worst, bins) = found.worst();
            assert!(found.presses > 15_000.0 && bins >= 3, "{}", found.presses);
            assert!(worst < GATE, "{} {deadline:?}: {worst:.1}", task.name);
        }
    }
}

/// An observer that sees its key, from a rehearsal as long as a study asks for; and one that takes holds for 1.6 times as
/// frequent as they are.
#[test]
fn who_knows_the_key_is_right_as_often_as_said() {
    let [task, ..] = tasks();
    // Who sees the keys around is right of whole encounters only; see what is approximate on the front page of the crate.
    let (both, whole): (&[_], &[_]) = (&[None, Some(90.0)], &[None]);
    for (sight, shift, fewest, deadlines) in [(Sight::OwnKey, 0.5, 3, both), (Sight::Keys, KEYS_SHIFT, 2, whole)] {
        let keyed = |task: &TypingTask, number: u64| {
            let stage = Stage { rehearsal: 100_000, ..task.stage() };
            TypistObserver::new(&stage, &task.typist(number), sight)
        };
        for &deadline in deadlines {
            // Many people, for few presses are in doubt once the key is known.
            let found = judge_so_many(&task, deadline, keyed, 0.0, 24);
            let (worst, bins) = found.worst();
            assert!(found.presses > 36_000.0 && bins >= fewest, "{} {bins}", found.presses);
            assert!(worst < GATE, "{sight:?} {deadline:?}: {worst:.1}");
            let (worst, _) = judge_so_many(&task, deadline, keyed, shift, 24).worst();
            assert!(worst > GATE, "prior, {sight:?} {deadline:?}: {worst:.1}");
        }
    }
}

/// Holds taken for 2.7 times as frequent as they are: the fewer presses are in doubt, the less a wrong prior shows.
const KEYS_SHIFT: f64 = 1.0;

#[test]
fn wrong_observers_are_found_out() {
    let [task, ..] = tasks();
    // Holds taken for 1.6 times as frequent as they are.
    for deadline in DEADLINES {
        let (worst, _) = judge(&task, deadline, right, 0.5).worst();
        assert!(worst > GATE, "prior, {deadline:?}: {worst:.1}");
    }
    // Fingers that roll and let go in order, and an observer who thinks that each goes its own way.
    let in_order = |population: Population, share: f64| {
        let population = population.with_constant(Constant::InOrder, share);
        population.and_then(|p| p.with_constant(Constant::InOrderLagMs, 150.0)).unwrap()
    };
    let [_, _, mut quick] = tasks();
    quick.population = in_order(quick.population, 0.9);
    let careless = |task: &TypingTask, number: u64| {
        let population = in_order(task.population.clone(), 0.0);
        observer(task, &Typist::draw(&population, task.seed, number))
    };
    // So many people, for the difference is small: the gap of the wrong one grows by some 0.95 with the root of people.
    let (worst, _) = judge_so_many(&quick, None, right, 0.0, 48).worst();
    assert!(worst < GATE, "in order, right: {worst:.1}");
    let (worst, _) = judge_so_many(&quick, None, careless, 0.0, 48).worst();
    assert!(worst > GATE, "in order, wrong: {worst:.1}");
    // Somebody else.
    let (worst, _) = judge(&task, None, |task, number| right(task, number + 500), 0.0).worst();
    assert!(worst > GATE, "another typist: {worst:.1}");
}

/// The population the observer thinks of is the very set of typists who are judged, as often one as another:
/// then it is right as often as it says without an error of its own sample.
#[test]
fn who_does_not_know_the_typist_is_right_as_often_as_said() {
    let [task, ..] = tasks();
    let crowd = |numbers: std::ops::Range<u64>| {
        let typists = numbers.map(|n| TypistObserver::new(&task.stage(), &task.typist(n), Sight::Timing));
        PopulationObserver::new(typists.collect())
    };
    let judge = |observer: &PopulationObserver, deadline: Option<f64>| {
        let mut found = Reliability::default();
        for number in 0..12 {
            let session = task.session(&task.typist(number), 14_000);
            task.each(&session, |e: &Encounter<'_>, hold| {
                found.add(observer.log_odds(e, deadline.map(Span::from_ms)), hold);
            });
        }
        found.worst().0
    };
    let (own, stranger) = (crowd(0..12), crowd(700..701));
    for deadline in [None, Some(120.0)] {
        let worst = judge(&own, deadline);
        assert!(worst < GATE, "{deadline:?}: {worst:.1}");
        let worst = judge(&stranger, deadline);
        assert!(worst > GATE, "one stranger, {deadline:?}: {worst:.1}");
    }
}
