//! From one simulated person to the numbers the literature speaks of. The only file that knows what
//! [`Observed`] and [`Session`] hold; a measure the model does not have is named in [`missing`].

use agogic_keys::{Code, Hand, Press};
use agogic_stats::{lag1_autocorrelation, mean, quantile, standard_deviation, variance};
use agogic_typist::{Movement, MovementClass, Observed, Session};

use crate::moments::{excess_kurtosis, skewness};
use crate::statistic::{KeyMeasure, Measure};

/// One simulated person.
#[derive(Clone, Debug)]
pub struct Person {
    /// Number of the typist.
    pub number: u64,
    /// The key events and what they meant.
    pub session: Session,
    /// What a study would report.
    pub seen: Observed,
    /// Residuals of fluent letter intervals, in runs.
    pub(crate) fluent: Vec<Vec<f64>>,
}

/// Longest gap kept in the measures of KeyRecs, in ms.
const LONGEST_KEYRECS_MS: f64 = 10_000.0;
/// Longest gap that counts as an interval in Dhakal et al. 2018, in ms.
const LONGEST_INTERVAL_MS: f64 = 5_000.0;

/// Why the model has no value of a measure, if it has none.
pub fn missing(measure: Measure) -> Option<&'static str> {
    match measure {
        Measure::EntropySlope => Some("an interval depends on how frequent a pair is, not on how expected a letter is"),
        _ => None,
    }
}

/// The value of a measure for a person.
///
/// # Undefined
/// `None` where the session holds nothing to compute it from, and for measures that are [`missing`].
pub fn measure(person: &Person, measure: Measure) -> Option<f64> {
    let seen = &person.seen;
    let class = |class: MovementClass| seen.class_ms[class as usize];
    let both = |a: Option<f64>, b: Option<f64>, f: fn(f64, f64) -> f64| Some(f(a?, b?));
    let keys = |key: KeyMeasure| key_values(&person.session, None, key);
    match measure {
        Measure::Interval => seen.interval_ms,
        Measure::IntervalCv => cv(&gaps(&person.session, LONGEST_KEYRECS_MS)),
        Measure::IntervalLogSd => seen.interval_log_sd,
        Measure::IntervalSkewness => skewness(&seen.intervals),
        Measure::LogIntervalKurtosis => excess_kurtosis(&logs(&seen.intervals)),
        Measure::LagOne => lag1_autocorrelation(&seen.intervals),
        Measure::Speed => seen.words_per_minute,
        Measure::MedianSpeed => quantile(&seen.intervals, 0.5).ok().map(|median| 12_000.0 / median),
        Measure::Dwell => seen.dwell_ms,
        Measure::DwellCv => cv(&keys(KeyMeasure::CharacterDwell)),
        Measure::LogDwellKurtosis => excess_kurtosis(&logs(&keys(KeyMeasure::CharacterDwell))),
        Measure::DwellOverInterval => both(seen.dwell_ms, quantile(&seen.intervals, 0.5).ok(), |d, i| d / i),
        Measure::Rollover => seen.rollover,
        Measure::RolledPerCharacter => seen.rolled_per_character,
        Measure::Overlap => seen.overlap_ms,
        Measure::OtherHand => class(MovementClass::OtherHand),
        Measure::SameHand => both(seen.left_ms, seen.right_ms, |l, r| 0.5 * (l + r)),
        Measure::LeftHand => seen.left_ms,
        Measure::RightHand => seen.right_ms,
        Measure::TwoFingers => both(class(MovementClass::Inward), class(MovementClass::Outward), |i, o| 0.5 * (i + o)),
        Measure::SameFinger => class(MovementClass::SameFinger),
        Measure::Repeat => class(MovementClass::Repeat),
        Measure::LetterPair => {
            let pairs = keys(KeyMeasure::LetterLetter);
            mean(&pairs.into_iter().filter(|ms| (30.0..=3000.0).contains(ms)).collect::<Vec<f64>>())
        }
        Measure::PlaceInWord { place, shortest, longest } => place_in_word(&person.session, place, shortest, longest),
        Measure::FluentLagOne => lag_one_of_runs(&person.fluent),
        Measure::FluentLogSd => standard_deviation(&person.fluent.concat()),
        Measure::Lead => quantile(&keys(KeyMeasure::Lead), 0.5).ok(),
        Measure::HoldDwell => quantile(&keys(KeyMeasure::HoldDwell), 0.5).ok(),
        Measure::Lull => quantile(&keys(KeyMeasure::Lull), 0.5).ok(),
        Measure::Enclosed => {
            let tails = keys(KeyMeasure::Tail);
            let enclosed: Vec<f64> = tails.iter().map(|&tail| f64::from(u8::from(tail > 0.0))).collect();
            mean(&enclosed)
        }
        Measure::Corrections => seen.corrections,
        Measure::Uncorrected => seen.uncorrected,
        Measure::KeystrokesPerCharacter => seen.keystrokes_per_character,
        Measure::Substitutions => slips(&person.session, 0),
        Measure::Omissions => slips(&person.session, 1),
        Measure::Insertions => slips(&person.session, 2),
        Measure::RarePairs => both(seen.rare_ms, seen.frequent_ms, |rare, frequent| rare - frequent),
        Measure::EntropySlope => None,
    }
}

/// Slips of one kind per character, noticed or not.
fn slips(session: &Session, kind: usize) -> Option<f64> {
    (session.characters > 0).then(|| session.slips[kind] as f64 / session.characters as f64)
}

/// A time of a hold gesture: from the press before it, the held key, its first target and its last.
type Gesture = dyn Fn(Option<&Press>, &Press, &Press, &Press) -> Option<f64>;

/// The times of single presses of one person, in ms.
///
/// `movement` tells the hands apart; without it the measures by hand are empty.
pub(crate) fn key_values(session: &Session, movement: Option<&Movement>, key: KeyMeasure) -> Vec<f64> {
    let presses = &session.presses;
    let writes = |i: usize| is_plain(session, i) && presses[i].code.character(false).is_some();
    let letter = |i: usize| is_letter(session, i);
    let space = |i: usize| presses[i].code == Code::SPACE && is_plain(session, i);
    let dwells = |keep: &dyn Fn(usize) -> bool| -> Vec<f64> {
        (0..presses.len()).filter(|&i| keep(i)).map(|i| presses[i].dwell().ms()).collect()
    };
    let pairs = |keep: &dyn Fn(usize, usize) -> bool| -> Vec<f64> {
        (1..presses.len()).filter(|&i| keep(i - 1, i)).filter_map(|i| gap(presses, i, LONGEST_KEYRECS_MS)).collect()
    };
    let hand = |i: usize, hand: Hand| letter(i) && movement.is_some_and(|m| m.hand(presses[i].code) == hand);
    let served = |i: usize| presses.get(i).is_some() && !session.truths[i].with.is_empty();
    let holds = |of: &Gesture| -> Vec<f64> {
        let begun = (0..presses.len()).filter(|&i| session.truths[i].hold && served(i + 1));
        let times = begun.filter_map(|i| {
            let last = (i + 1..).take_while(|&at| served(at)).last()?;
            of(i.checked_sub(1).map(|j| &presses[j]), &presses[i], &presses[i + 1], &presses[last])
        });
        times.collect()
    };
    match key {
        KeyMeasure::Interval => gaps(session, LONGEST_INTERVAL_MS),
        KeyMeasure::Dwell => dwells(&|_| true),
        KeyMeasure::CharacterDwell => dwells(&writes),
        KeyMeasure::CharacterInterval => pairs(&|a, b| writes(a) && writes(b)),
        KeyMeasure::LetterLetter => pairs(&|a, b| letter(a) && letter(b)),
        KeyMeasure::LetterSpace => pairs(&|a, b| letter(a) && space(b)),
        KeyMeasure::SpaceLetter => pairs(&|a, b| space(a) && letter(b)),
        KeyMeasure::SpaceDwell => dwells(&space),
        KeyMeasure::LeftDwell => dwells(&|i| hand(i, Hand::Left)),
        KeyMeasure::RightDwell => dwells(&|i| hand(i, Hand::Right)),
        KeyMeasure::Overlap => presses.windows(2).filter_map(|w| overlap(&w[0], &w[1])).collect(),
        KeyMeasure::Lead => holds(&|_, held, target, _| Some(target.down.since(held.down).ms())),
        KeyMeasure::HoldDwell => holds(&|_, held, _, _| Some(held.dwell().ms())),
        KeyMeasure::Tail => holds(&|_, held, _, target| Some(held.up.signed_since(target.up) as f64 / 1e3)),
        KeyMeasure::Lull => holds(&|before, held, _, _| Some(held.down.since(before?.down).ms())),
    }
}

/// Runs of letters of a word that follows a space: (index of the first letter, letters).
fn words(session: &Session) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut at = 1;
    while at < session.presses.len() {
        let starts = session.presses[at - 1].code == Code::SPACE && is_letter(session, at);
        if !starts {
            at += 1;
            continue;
        }
        let length = (at..session.presses.len()).take_while(|&i| is_letter(session, i)).count();
        // A word cut off by the end of the session has no known length.
        if at + length < session.presses.len() {
            found.push((at, length));
        }
        at += length;
    }
    found
}

fn place_in_word(session: &Session, place: u8, shortest: u8, longest: u8) -> Option<f64> {
    let place = usize::from(place);
    let within = usize::from(shortest)..=usize::from(longest);
    let values: Vec<f64> = words(session)
        .into_iter()
        .filter(|(_, length)| within.contains(length) && place <= *length)
        .filter_map(|(start, _)| gap(&session.presses, start + place - 1, LONGEST_INTERVAL_MS))
        .collect();
    mean(&values)
}

/// Runs of (first letter, second letter, log interval) of fluent letter pairs inside words.
///
/// # Definition
/// Pairs from the second letter of a word on. An interval above twice the person's median of such pairs is
/// a hesitation and ends the run: with a log spread of 0.29 it lies 2.4 SD out.
pub(crate) fn fluent_runs(session: &Session) -> Vec<Vec<(Code, Code, f64)>> {
    let pairs: Vec<Vec<(Code, Code, f64)>> = words(session)
        .into_iter()
        .map(|(start, length)| {
            (start + 1..start + length)
                .map(|i| {
                    let (a, b) = (&session.presses[i - 1], &session.presses[i]);
                    (a.code, b.code, b.down.since(a.down).ms())
                })
                .collect()
        })
        .collect();
    let all: Vec<f64> = pairs.iter().flatten().map(|pair| pair.2).collect();
    let Ok(median) = quantile(&all, 0.5) else { return Vec::new() };
    pairs
        .iter()
        .flat_map(|word| word.split(|pair| pair.2 > 2.0 * median))
        .filter(|run| !run.is_empty())
        .map(|run| run.iter().map(|&(a, b, ms)| (a, b, ms.ln())).collect())
        .collect()
}

/// Lag-one correlation within runs: products of neighbours in a run over the pooled variance.
fn lag_one_of_runs(runs: &[Vec<f64>]) -> Option<f64> {
    let all = runs.concat();
    let center = mean(&all)?;
    let variance = variance(&all)?;
    let products: Vec<f64> =
        runs.iter().flat_map(|run| run.windows(2)).map(|w| (w[0] - center) * (w[1] - center)).collect();
    (variance > 0.0).then_some(mean(&products)? / variance)
}

fn is_plain(session: &Session, i: usize) -> bool {
    let truth = &session.truths[i];
    !truth.hold && !truth.shortcut && truth.with.is_empty()
}

fn is_letter(session: &Session, i: usize) -> bool {
    is_plain(session, i) && session.presses[i].code.is_letter()
}

/// Interval up to press `i`, in ms, unless it is longer than `longest`.
fn gap(presses: &[Press], i: usize, longest: f64) -> Option<f64> {
    let ms = presses[i].down.since(presses[i - 1].down).ms();
    (ms <= longest).then_some(ms)
}

/// Time both keys are down, in ms, if they ever are.
fn overlap(before: &Press, press: &Press) -> Option<f64> {
    (before.up > press.down).then(|| before.up.min(press.up).since(press.down).ms())
}

fn gaps(session: &Session, longest: f64) -> Vec<f64> {
    (1..session.presses.len()).filter_map(|i| gap(&session.presses, i, longest)).collect()
}

fn cv(values: &[f64]) -> Option<f64> {
    Some(standard_deviation(values)? / mean(values)?)
}

fn logs(values: &[f64]) -> Vec<f64> {
    values.iter().filter(|&&v| v > 0.0).map(|v| v.ln()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Board, Instant, Modifier, ModifierSet, Truth};
    use agogic_typist::observe;

    fn person(rows: &[(&str, u64, u64)], held: &[usize]) -> Person {
        let presses: Vec<Press> = rows
            .iter()
            .map(|&(name, down, up)| Press {
                code: name.parse().unwrap(),
                down: Instant(down * 1000),
                up: Instant(up * 1000),
            })
            .collect();
        let mut truths = vec![Truth::default(); presses.len()];
        for &i in held {
            truths[i].hold = true;
            truths[i + 1].with = ModifierSet::NONE.with(Modifier::Shift);
        }
        let session = Session { presses, truths, words: 1, ..Session::default() };
        let seen = observe(&session, &Movement::new(&Board::row_staggered()));
        Person { number: 0, session, seen, fluent: Vec::new() }
    }

    #[test]
    fn gestures_by_hand() {
        let p = person(
            &[
                ("KeyE", 0, 90),
                ("ShiftLeft", 300, 600),
                ("KeyP", 450, 560),
                ("ShiftLeft", 900, 1100),
                ("KeyO", 1000, 1150),
            ],
            &[1, 3],
        );
        let keys = |key| key_values(&p.session, None, key);
        assert_eq!(keys(KeyMeasure::Lead), [150.0, 100.0]);
        assert_eq!(keys(KeyMeasure::HoldDwell), [300.0, 200.0]);
        assert_eq!(keys(KeyMeasure::Tail), [40.0, -50.0]);
        assert_eq!(keys(KeyMeasure::Lull), [300.0, 450.0]);
        assert_eq!(measure(&p, Measure::Enclosed), Some(0.5));
        // Both overlaps lie under a key held on purpose, which the definition leaves out.
        assert_eq!(measure(&p, Measure::Overlap), None);
    }

    #[test]
    fn places_and_pairs_by_hand() {
        // "a the " with the first word not after a space.
        let p = person(
            &[
                ("KeyA", 0, 80),
                ("Space", 100, 180),
                ("KeyT", 400, 520),
                ("KeyH", 500, 590),
                ("KeyE", 700, 800),
                ("Space", 850, 930),
            ],
            &[],
        );
        let place = |place| measure(&p, Measure::PlaceInWord { place, shortest: 2, longest: 9 });
        assert_eq!([place(1), place(2), place(3), place(4)], [Some(300.0), Some(100.0), Some(200.0), None]);
        let keys = |key| key_values(&p.session, Some(&Movement::new(&Board::row_staggered())), key);
        assert_eq!(keys(KeyMeasure::LetterLetter), [100.0, 200.0]);
        assert_eq!(keys(KeyMeasure::LetterSpace), [100.0, 150.0]);
        assert_eq!(keys(KeyMeasure::SpaceLetter), [300.0]);
        assert_eq!(keys(KeyMeasure::Overlap), [20.0]);
        assert_eq!(keys(KeyMeasure::LeftDwell), [80.0, 120.0, 100.0]);
        assert_eq!(keys(KeyMeasure::RightDwell), [90.0]);
        assert_eq!(fluent_runs(&p.session).len(), 1);
    }

    #[test]
    fn lag_one_keeps_to_its_run() {
        // Within each run the neighbours are equal, across runs they are opposite.
        let runs = vec![vec![1.0, 1.0], vec![-1.0, -1.0]];
        let r = lag_one_of_runs(&runs).unwrap();
        // Mean product 1 over the variance 4/3.
        assert!((r - 0.75).abs() < 1e-12);
    }

    #[test]
    fn nothing_is_unknown_not_zero() {
        let p = person(&[], &[]);
        for m in [Measure::Interval, Measure::Enclosed, Measure::FluentLagOne, Measure::Corrections] {
            assert_eq!(measure(&p, m), None);
        }
    }
}
