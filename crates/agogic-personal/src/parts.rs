//! A value of its own for each hand or each finger, where a log can carry that.

use std::collections::BTreeMap;
use std::ops::Range;

use agogic_keys::{Board, Code, Hand};
use agogic_policy::{Decision, Encounter, Policy, Setting, Sight};

use crate::known::Known;
use crate::tally::Errors;
use crate::weigh::{Weighing, Which};

/// Fewest known taps, and known holds, of a hand or finger that gets a value of its own.
///
/// # Source
/// Common sense, no source: twice what half of the prior weighs ([`EVEN`](crate::EVEN) is 100 and 30) for the taps, and as
/// many holds as leave a standard error below 16 in 100.
const LEAST_OF_PART: [f64; 2] = [100.0, 10.0];

/// What gets a value of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Hand,
    Finger,
}

impl Part {
    pub const ALL: [Self; 2] = [Self::Hand, Self::Finger];

    /// Name of the row.
    pub fn name(self) -> &'static str {
        match self {
            Self::Hand => "a value a hand",
            Self::Finger => "a value a finger",
        }
    }

    /// The part that presses a key; `None` for a key without a place, or of either hand.
    fn of(self, board: &Board, code: Code) -> Option<String> {
        let place = board.place(code).filter(|place| place.hand != Hand::Either)?;
        Some(match (self, place.hand) {
            (Self::Finger, _) => place.finger_in_words(),
            (Self::Hand, Hand::Left) => "left".to_owned(),
            (Self::Hand, _) => "right".to_owned(),
        })
    }
}

/// A setting with other values of one threshold for some keys.
#[derive(Debug)]
struct ByPart {
    usual: Setting,
    own: BTreeMap<Code, Setting>,
}

impl Policy for ByPart {
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        self.own.get(&encounter.code).unwrap_or(&self.usual).decide(encounter)
    }
}

/// A setting by parts, with its label.
pub(crate) struct ByParts {
    pub setting: Setting,
    pub label: String,
}

/// What the choice of a value for each part starts from.
pub(crate) struct Usual<'a> {
    /// The setting for all.
    pub setting: Setting,
    /// Name and grid of its threshold.
    pub threshold: (&'static str, &'a [f64]),
    /// What is expected of all keys together at each of these.
    pub all: Errors,
    /// Presses of a part that count as much as all together, by meaning.
    pub even: [f64; 2],
    /// What a false hold counts.
    pub false_hold: f64,
}

impl Usual<'_> {
    /// Chooses a value for each part that has presses enough; `None` where none of them gets another than all have.
    ///
    /// # Definition
    /// A part stands to all keys together as a log to the model (`Weighing::rates`). The threshold with the least expected
    /// cost is the part's; of equals the one that is nearest to that for all.
    pub fn by_parts(
        &self,
        part: Part,
        board: &Board,
        known: &Known,
        without: Option<&Range<usize>>,
    ) -> Option<ByParts> {
        let (name, thresholds) = self.threshold;
        let mut parts: BTreeMap<String, Errors> = BTreeMap::new();
        let mut keys: BTreeMap<Code, String> = BTreeMap::new();
        known.each(|number, encounter, hold| {
            if without.is_some_and(|block| block.contains(&number)) {
                return;
            }
            let Some(own) = part.of(board, encounter.code) else { return };
            keys.entry(encounter.code).or_insert_with(|| own.clone());
            let nothing = || Errors { grid: vec![[0.0; 2]; thresholds.len()], ..Errors::default() };
            let counts = parts.entry(own).or_insert_with(nothing);
            let value = self.setting.critical_value(name, encounter).expect("a threshold of the rule");
            counts.presses[usize::from(hold)] += 1.0;
            for (threshold, wrong) in thresholds.iter().zip(&mut counts.grid) {
                wrong[usize::from(hold)] += f64::from(u8::from((*threshold <= value) != hold));
            }
        });
        let usual = self.setting.value(name).ok().flatten()?;
        let enough = |own: &Errors| (0..2).all(|meant| own.presses[meant] >= LEAST_OF_PART[meant]);
        let chosen: BTreeMap<&String, f64> =
            parts.iter().filter(|(_, own)| enough(own)).map(|(part, own)| (part, self.best(own, usual))).collect();
        if chosen.values().all(|value| *value == usual) {
            return None;
        }
        let with = |value: f64| self.setting.with_value(name, value).expect("values of the grid lie in their ranges");
        let own: BTreeMap<Code, Setting> =
            keys.iter().filter_map(|(code, part)| Some((*code, with(*chosen.get(part)?)))).collect();
        let others = chosen.iter().filter(|(_, value)| **value != usual);
        let values: Vec<String> = others.map(|(part, value)| format!("{part} {value}")).collect();
        let label = format!("{}, but {}", self.setting.label(), values.join(", "));
        let rule = ByPart { usual: self.setting.clone(), own };
        Some(ByParts { setting: Setting::own(part.name(), Sight::Keys, rule), label })
    }

    fn best(&self, own: &Errors, usual: f64) -> f64 {
        let weighing = Weighing { model: &self.all, log: own, false_hold: self.false_hold, even: self.even };
        let thresholds = self.threshold.1;
        let cost = |at: usize| weighing.rates(Which::Grid(at)).cost;
        let far = |at: usize| (thresholds[at] - usual).abs();
        let ranked = |a: &usize, b: &usize| cost(*a).total_cmp(&cost(*b)).then(far(*a).total_cmp(&far(*b)));
        thresholds[(0..thresholds.len()).min_by(ranked).expect("a threshold has a grid")]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Instant, Press};

    /// Letters of F last 180 to 219 ms and of J 80 to 119; whoever holds does so for 300 ms.
    fn known() -> Known {
        let mut known = Known::new();
        let (mut presses, mut holds) = (Vec::new(), Vec::new());
        for at in 0..1200_u64 {
            let (hold, left) = (at % 10 == 0, at % 4 < 2);
            let ms = match (hold, left) {
                (true, _) => 300,
                (false, true) => 180 + at % 40,
                (false, false) => 80 + at % 40,
            };
            let code = if left { "KeyF" } else { "KeyJ" };
            presses.push(Press {
                code: code.parse().unwrap(),
                down: Instant(1_000_000 * at),
                up: Instant(1_000_000 * at + 1000 * ms),
            });
            holds.push(Some(hold));
        }
        known.add(&presses, &holds, |_| true, |_| Hand::Left);
        known
    }

    fn usual(even: [f64; 2], thresholds: &[f64]) -> Usual<'_> {
        // One press of ten a hold.
        let wrong = |ms: &f64| if *ms < 200.0 { [0.5 * 0.9, 0.0] } else { [0.1 * 0.9, 0.1 * ms / 1000.0] };
        let all = Errors { presses: [0.9, 0.1], grid: thresholds.iter().map(wrong).collect(), ..Errors::default() };
        let setting = Setting::rule("dwell-cutoff", &[("cutoff_ms", 200.0)]).unwrap();
        Usual { setting, threshold: ("cutoff_ms", thresholds), all, even, false_hold: 1.0 }
    }

    #[test]
    fn a_hand_that_rests_gets_a_value_of_its_own() {
        let (known, board) = (known(), Board::row_staggered());
        let thresholds = [100.0, 150.0, 200.0, 250.0];
        let found = usual([10.0, 3.0], &thresholds).by_parts(Part::Hand, &board, &known, None).unwrap();
        // The right hand errs at neither 150 nor 200 of its own, and all keys together say that 200 is best.
        assert_eq!(found.label, "dwell-cutoff 200, but left 250");
        let press = |code: &str, ms: u64| {
            let encounter = Encounter::new(code.parse().unwrap(), Hand::Left, Instant(0), agogic_keys::Span(1000 * ms));
            found.setting.decide(&encounter).is_hold()
        };
        assert!(press("KeyJ", 220) && !press("KeyF", 220) && press("KeyF", 260) && press("Semicolon", 220));
        let by_finger = usual([10.0, 3.0], &thresholds).by_parts(Part::Finger, &board, &known, None).unwrap();
        assert_eq!(by_finger.label, "dwell-cutoff 200, but left index 250");
    }

    #[test]
    fn little_evidence_leaves_the_value_that_all_have() {
        let (known, board) = (known(), Board::row_staggered());
        let thresholds = [100.0, 150.0, 200.0, 250.0];
        // What all keys say, that 200 is best, outweighs the log by far.
        assert!(usual([1e7, 1e7], &thresholds).by_parts(Part::Hand, &board, &known, None).is_none());
        // All but the first 20 presses left out: too few of either hand.
        let few = usual([10.0, 3.0], &thresholds).by_parts(Part::Hand, &board, &known, Some(&(20..1200)));
        assert!(few.is_none());
    }
}
