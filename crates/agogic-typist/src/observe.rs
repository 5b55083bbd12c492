//! What a typing study would report of one typist: moments of the presses, as the literature defines them.

use agogic_keys::{Code, Modifier};

use crate::movement::{Movement, MovementClass};
use crate::session::Session;

/// Moments of one typist's session.
///
/// Fields are `None` where the session holds nothing to take the moment of.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Observed {
    /// Mean interval from press to press, in ms, over all keys; gaps over five seconds left out.
    pub interval_ms: Option<f64>,
    /// SD of those intervals, in ms.
    pub interval_sd_ms: Option<f64>,
    /// SD of the log of those intervals.
    pub interval_log_sd: Option<f64>,
    /// Correlation of successive log intervals.
    pub interval_lag1: Option<f64>,
    /// Mean dwell, in ms.
    pub dwell_ms: Option<f64>,
    /// SD of the dwell, in ms.
    pub dwell_sd_ms: Option<f64>,
    /// Share of presses made while the key before was still down.
    pub rollover: Option<f64>,
    /// Presses made while the key before was still down, per character of text.
    pub rolled_per_character: Option<f64>,
    /// Mean overlap of a press with the key before, in ms, over the presses that have one and follow no
    /// key held on purpose.
    pub overlap_ms: Option<f64>,
    /// Speed in words of five characters a minute, of text got through, from the first to the last press.
    pub words_per_minute: Option<f64>,
    /// Mean interval of letter pairs inside words, by movement class, in ms.
    pub class_ms: [Option<f64>; MovementClass::COUNT],
    /// Mean interval of letter pairs both of the left hand, in ms.
    pub left_ms: Option<f64>,
    /// Mean interval of letter pairs both of the right hand, in ms.
    pub right_ms: Option<f64>,
    /// Mean interval by place in the word, letters only, in ms: first, second, …, eighth letter.
    pub place_ms: [Option<f64>; 8],
    /// Mean interval of letter pairs at least twice as rare as the typical one, in ms.
    pub rare_ms: Option<f64>,
    /// Mean interval of letter pairs more frequent than the typical one, in ms.
    pub frequent_ms: Option<f64>,
    /// Presses per character of text.
    pub keystrokes_per_character: Option<f64>,
    /// Backspaces per character of text.
    pub corrections: Option<f64>,
    /// Slips left in the text, per character.
    pub uncorrected: Option<f64>,
    /// All intervals in ms, for quantiles.
    pub intervals: Vec<f64>,
    /// All dwells in ms, for quantiles.
    pub dwells: Vec<f64>,
}

/// Running mean.
#[derive(Clone, Copy, Default)]
struct Mean {
    n: f64,
    sum: f64,
}

impl Mean {
    fn add(&mut self, value: f64) {
        self.n += 1.0;
        self.sum += value;
    }

    fn get(self) -> Option<f64> {
        (self.n > 0.0).then(|| self.sum / self.n)
    }
}

fn mean_sd(values: &[f64]) -> Option<(f64, f64)> {
    if values.len() < 2 {
        return None;
    }
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let ss: f64 = values.iter().map(|v| (v - mean) * (v - mean)).sum();
    Some((mean, (ss / (n - 1.0)).sqrt()))
}

/// Longest gap that counts as an interval, in ms: the rule of Dhakal et al. 2018.
pub(crate) const LONGEST_INTERVAL_MS: f64 = 5000.0;

/// Twice as rare, on the scale of [`Movement::rarity`].
const RARE: f64 = 0.301;

/// Takes the moments of a session.
///
/// # Definition
/// As in Dhakal et al. 2018 (doi:10.1145/3173574.3174220): intervals from press to press over all keys,
/// gaps above 5 s left out; rollover is the share of presses made while the key before is still down.
/// Letter pairs are pairs of letters inside one word, without modifiers. Letters by place count only
/// presses preceded by their own word's letters or, for the first, by a space.
pub fn observe(session: &Session, movement: &Movement) -> Observed {
    let mut seen = Observed::default();
    let mut rolled = 0_u64;
    let (mut overlap, mut left, mut right) = (Mean::default(), Mean::default(), Mean::default());
    let (mut rare, mut frequent) = (Mean::default(), Mean::default());
    let mut class = [Mean::default(); MovementClass::COUNT];
    let mut place = [Mean::default(); 8];
    let mut letters = 0_usize;
    for (i, press) in session.presses.iter().enumerate() {
        let truth = session.truths[i];
        seen.dwells.push(press.dwell().ms());
        let plain = !truth.hold && !truth.shortcut;
        let letter = plain && truth.with.is_empty() && press.code.is_letter();
        let Some(before) = i.checked_sub(1).map(|j| &session.presses[j]) else {
            letters = usize::from(letter);
            continue;
        };
        let interval = press.down.since(before.down).ms();
        if before.up > press.down {
            rolled += 1;
        }
        if before.up > press.down && !session.truths[i - 1].hold {
            overlap.add(before.up.min(press.up).since(press.down).ms());
        }
        if interval <= LONGEST_INTERVAL_MS {
            seen.intervals.push(interval);
            if letter && letters > 0 {
                let kind = movement.class(before.code, press.code);
                class[kind as usize].add(interval);
                match movement.rarity(before.code, press.code) {
                    rarity if rarity > RARE => rare.add(interval),
                    rarity if rarity < 0.0 => frequent.add(interval),
                    _ => {}
                }
                if matches!(kind, MovementClass::Inward | MovementClass::Outward | MovementClass::SameFinger) {
                    if movement.hand(press.code) == agogic_keys::Hand::Left { &mut left } else { &mut right }
                        .add(interval);
                }
            }
            let after_space = before.code == Code::SPACE;
            if letter && (letters > 0 || after_space) && letters < place.len() {
                place[letters].add(interval);
            }
        }
        // A capital breaks the count: its interval holds the gesture.
        let broken = truth.with.has(Modifier::Shift) || truth.hold;
        letters = if letter && (letters > 0 || before.code == Code::SPACE) && !broken { letters + 1 } else { 0 };
    }
    if let Some((mean, sd)) = mean_sd(&seen.intervals) {
        seen.interval_ms = Some(mean);
        seen.interval_sd_ms = Some(sd);
    }
    let logs: Vec<f64> = seen.intervals.iter().map(|v| v.ln()).collect();
    seen.interval_log_sd = mean_sd(&logs).map(|(_, sd)| sd);
    seen.interval_lag1 = lag_one(&logs);
    if let Some((mean, sd)) = mean_sd(&seen.dwells) {
        seen.dwell_ms = Some(mean);
        seen.dwell_sd_ms = Some(sd);
    }
    let pairs = session.presses.len().saturating_sub(1) as f64;
    seen.rollover = (pairs > 0.0).then(|| rolled as f64 / pairs);
    seen.overlap_ms = overlap.get();
    if let [first, .., last] = session.presses.as_slice() {
        let minutes = last.down.since(first.down).ms() / 60_000.0;
        seen.words_per_minute = (minutes > 0.0).then(|| session.characters.saturating_sub(1) as f64 / 5.0 / minutes);
    }
    if session.characters > 0 {
        let (presses, characters) = (session.presses.len() as f64, session.characters as f64);
        seen.keystrokes_per_character = Some(presses / characters);
        seen.corrections = Some(session.corrections as f64 / characters);
        seen.rolled_per_character = Some(rolled as f64 / characters);
        seen.uncorrected = Some(session.uncorrected as f64 / characters);
    }
    seen.class_ms = class.map(Mean::get);
    seen.place_ms = place.map(Mean::get);
    seen.rare_ms = rare.get();
    seen.frequent_ms = frequent.get();
    seen.left_ms = left.get();
    seen.right_ms = right.get();
    seen
}

fn lag_one(values: &[f64]) -> Option<f64> {
    let (mean, sd) = mean_sd(values)?;
    let products: f64 = values.windows(2).map(|w| (w[0] - mean) * (w[1] - mean)).sum();
    (sd > 0.0).then(|| products / (sd * sd * (values.len() as f64 - 1.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Board, Instant, Press, Truth};

    fn session(rows: &[(&str, u64, u64)]) -> Session {
        let presses: Vec<Press> = rows
            .iter()
            .map(|&(name, down, up)| Press {
                code: name.parse().unwrap(),
                down: Instant(down * 1000),
                up: Instant(up * 1000),
            })
            .collect();
        let characters = presses.len() as u64;
        let truths = vec![Truth::default(); presses.len()];
        Session { truths, presses, words: 1, characters, ..Session::default() }
    }

    #[test]
    fn moments_by_hand() {
        // t-h rolled by 20 ms, h-e apart, space, then a.
        let s = session(&[
            ("KeyT", 0, 120),
            ("KeyH", 100, 190),
            ("KeyE", 250, 350),
            ("Space", 400, 480),
            ("KeyA", 700, 800),
        ]);
        let seen = observe(&s, &Movement::new(&Board::row_staggered()));
        assert_eq!(seen.interval_ms, Some(175.0));
        assert_eq!(seen.rollover, Some(0.25));
        assert_eq!(seen.overlap_ms, Some(20.0));
        assert_eq!(seen.dwell_ms, Some(98.0));
        assert_eq!(seen.class_ms[MovementClass::OtherHand as usize], Some(125.0));
        assert_eq!(seen.place_ms[0], Some(300.0));
        // Four characters after the first in 700 ms.
        let speed = seen.words_per_minute.unwrap();
        assert!((speed - 4.0 / 5.0 / (0.7 / 60.0)).abs() < 1e-9);
    }

    #[test]
    fn nothing_is_unknown_not_zero() {
        let seen = observe(&Session::default(), &Movement::new(&Board::row_staggered()));
        assert_eq!(seen, Observed::default());
    }
}
