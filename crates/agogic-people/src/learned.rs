//! Rules that learn, trained on some people and judged on others.

use agogic_keys::{Code, Hand, Press, Purpose, stream};
use agogic_policy::{EncounterScan, EvidenceCounts, EvidenceTables, KeySample, Setting, TrainingError};
use agogic_stats::{Level, Resamples};
use serde::{Deserialize, Serialize};

use crate::meant::{Meant, is_dual, meant};

/// A training sample of ordinary typing, for the rules that know times and for those that know keys.
#[derive(Clone, Debug, Default)]
pub struct Training {
    counts: EvidenceCounts,
    keys: KeySample,
    presses: u64,
}

impl Training {
    /// An empty sample.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds the encounters of a run.
    pub fn add(&mut self, scan: &mut EncounterScan, run: &[Press], hand: impl Fn(Code) -> Hand) {
        let meant = meant(run);
        self.presses += run.len() as u64;
        scan.each(run, is_dual, hand, |at, encounter| {
            if let Some(meant) = meant[at] {
                self.counts.add(encounter, meant == Meant::Hold);
                self.keys.add(encounter, meant == Meant::Hold);
            }
        });
    }

    /// Adds another sample, after this one.
    pub fn append(&mut self, other: Self) {
        self.counts.merge(&other.counts);
        self.keys.append(other.keys);
        self.presses += other.presses;
    }

    /// The tables of this sample, where all of it is the typing of one text of so many keys over and over, or, without
    /// one, of as many texts as there are runs.
    ///
    /// The own key says nothing here, for only a Shift is ever held: nothing is learned of it.
    ///
    /// # Errors
    /// There is no tap, or no hold.
    pub fn tables(self, keys_of_text: Option<usize>) -> Result<EvidenceTables, TrainingError> {
        let tables = self.counts.tables()?;
        let readings = keys_of_text.map_or(1.0, |keys| self.presses as f64 / keys.max(1) as f64);
        let keyed = self.keys.tables(readings, &tables, false)?;
        Ok(tables.with_keys(keyed))
    }
}

/// The evidence that one person's encounters show, by what they stood for: the thresholds, in 1/256 nat, up to which each
/// would be a hold.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct JudgedPerson {
    /// Of taps.
    pub taps: Vec<i32>,
    /// Of holds.
    pub holds: Vec<i32>,
}

/// The evidence that the encounters of people show.
#[derive(Clone, Debug, Default)]
pub struct Judged {
    people: Vec<JudgedPerson>,
}

/// Missed holds of a rule at the threshold that makes so many false holds.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Missed {
    /// False holds per 1000 taps.
    pub false_holds: f64,
    /// Missed holds per 100 holds.
    pub missed_holds: f64,
    /// The threshold in nats: what shows more is a hold.
    pub above_nats: f64,
    /// 95 % interval of the missed holds, over people; `None` with fewer than three of them, or where it cannot be drawn.
    pub interval: Option<(f64, f64)>,
}

/// Resamples behind an interval.
const RESAMPLES: usize = 1000;

impl Judged {
    /// Nobody.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in the runs of one person under a setting whose first value is a threshold of evidence.
    ///
    /// # Panics
    /// The first value of the setting has no critical value in nats.
    pub fn add<'r>(
        &mut self,
        setting: &Setting,
        scan: &mut EncounterScan,
        runs: impl IntoIterator<Item = &'r [Press]>,
        hand: impl Fn(Code) -> Hand + Copy,
    ) {
        let param = setting.entry().params[0];
        let mut person = JudgedPerson::default();
        for run in runs {
            let meant = meant(run);
            scan.each(run, is_dual, hand, |at, encounter| {
                let value = setting.critical_value(param.name, encounter).expect("a threshold of evidence");
                match meant[at] {
                    Some(Meant::Tap) => person.taps.push(param.to_steps(value) as i32),
                    Some(Meant::Hold) => person.holds.push(param.to_steps(value) as i32),
                    None => {}
                }
            });
        }
        self.people.push(person);
    }

    /// Takes in a person whose evidence is known.
    pub fn push(&mut self, person: JudgedPerson) {
        self.people.push(person);
    }

    /// The evidence of every encounter, in 1/256 nat, and whether it stood for a hold, person by person.
    pub fn values(&self) -> impl Iterator<Item = (i32, bool)> + '_ {
        let of = |person: &'_ JudgedPerson| -> Vec<(i32, bool)> {
            let taps = person.taps.iter().map(|value| (*value, false));
            taps.chain(person.holds.iter().map(|value| (*value, true))).collect()
        };
        self.people.iter().flat_map(of)
    }

    /// People.
    pub fn people(&self) -> usize {
        self.people.len()
    }

    /// False holds per 1000 taps and missed holds per 100 holds where what shows more than so many nats is a hold.
    ///
    /// # Undefined
    /// `None` without taps or holds.
    pub fn errors_above(&self, nats: f64) -> Option<(f64, f64)> {
        let limit = (nats * STEPS).round() as i32;
        let count = |of: fn(&JudgedPerson) -> &Vec<i32>| {
            let all: usize = self.people.iter().map(|person| of(person).len()).sum();
            let held: usize =
                self.people.iter().map(|person| of(person).iter().filter(|value| **value > limit).count()).sum();
            (all as f64, held as f64)
        };
        let ((taps, spurious), (holds, held)) = (count(|person| &person.taps), count(|person| &person.holds));
        (taps > 0.0 && holds > 0.0).then(|| (1000.0 * spurious / taps, 100.0 * (1.0 - held / holds)))
    }
}

/// Steps of evidence in a nat.
const STEPS: f64 = 256.0;

/// Values of all people on one axis, so that a resample is a sum of counts.
struct Axis {
    /// Values from the lowest one on.
    low: i32,
    len: usize,
}

impl Axis {
    fn of(judged: &Judged) -> Option<Self> {
        let all = || judged.people.iter().flat_map(|person| person.taps.iter().chain(&person.holds));
        let (low, high) = (*all().min()?, *all().max()?);
        Some(Self { low, len: (high - low) as usize + 1 })
    }

    /// The rates of the people drawn, and the threshold, at so many false holds per 1000 taps.
    fn missed(&self, people: &[JudgedPerson], drawn: &[usize], false_holds: f64) -> Option<(f64, f64, i32)> {
        let (mut taps, mut holds) = (vec![0_u32; self.len], vec![0_u32; self.len]);
        let (mut all_taps, mut all_holds) = (0_u64, 0_u64);
        for &at in drawn {
            let person = &people[at];
            all_taps += person.taps.len() as u64;
            all_holds += person.holds.len() as u64;
            person.taps.iter().for_each(|value| taps[(value - self.low) as usize] += 1);
            person.holds.iter().for_each(|value| holds[(value - self.low) as usize] += 1);
        }
        if all_taps == 0 || all_holds == 0 {
            return None;
        }
        let allowed = (false_holds / 1000.0 * all_taps as f64) as u64;
        // From the highest value down as far as taps that may be held go; values that equal the next one are not held.
        let (mut spurious, mut held, mut at) = (0, 0, self.len);
        while at > 0 && spurious + u64::from(taps[at - 1]) <= allowed {
            at -= 1;
            spurious += u64::from(taps[at]);
            held += u64::from(holds[at]);
        }
        let limit = self.low + at as i32 - 1;
        let missed = 100.0 * (all_holds - held) as f64 / all_holds as f64;
        Some((1000.0 * spurious as f64 / all_taps as f64, missed, limit))
    }
}

/// The missed holds at the least threshold that makes at most so many false holds per 1000 taps.
///
/// # Definition
/// One threshold for everybody. The interval is the 95 % percentile interval of the bootstrap over people, the threshold
/// found anew in each resample.
///
/// # Undefined
/// `None` without taps or holds.
pub fn missed_at(judged: &Judged, false_holds: f64) -> Option<Missed> {
    let axis = Axis::of(judged)?;
    let everybody: Vec<usize> = (0..judged.people.len()).collect();
    let (found, missed, limit) = axis.missed(&judged.people, &everybody, false_holds)?;
    let statistic = |drawn: &[usize]| axis.missed(&judged.people, drawn, false_holds).map(|(_, missed, _)| missed);
    let interval = if judged.people.len() < 3 {
        None
    } else {
        let mut rng = stream(1, Purpose::Resampling, 0, 0);
        let drawn = Resamples::draw(judged.people.len(), RESAMPLES, &mut rng, statistic).ok();
        drawn
            .and_then(|drawn| drawn.percentile(Level::P95, "person").interval())
            .map(|interval| (interval.lo, interval.hi))
    };
    Some(Missed { false_holds: found, missed_holds: missed, above_nats: f64::from(limit) / STEPS, interval })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn person(taps: impl IntoIterator<Item = i32>, holds: &[i32]) -> JudgedPerson {
        JudgedPerson { taps: taps.into_iter().collect(), holds: holds.to_vec() }
    }

    #[test]
    fn the_threshold_lies_above_the_taps_it_may_not_hold() {
        let mut judged = Judged::new();
        judged.push(person(0..1000, &[990, 994, 995, 2000]));
        // Five taps, 995 to 999, may be held: the limit is the tap at 994.
        let found = missed_at(&judged, 5.0).unwrap();
        let expected = Missed { false_holds: 5.0, missed_holds: 50.0, above_nats: 994.0 / 256.0, interval: None };
        assert_eq!(found, expected);
        assert_eq!(judged.errors_above(found.above_nats), Some((5.0, 50.0)));
        assert_eq!(missed_at(&Judged::default(), 5.0), None);
        // Taps that tie are held together or not at all.
        let mut tied = Judged::new();
        tied.push(person((0..1000).map(|at| if at < 990 { at } else { 995 }), &[995, 996]));
        assert_eq!(missed_at(&tied, 5.0).map(|found| (found.false_holds, found.missed_holds)), Some((0.0, 50.0)));
    }

    #[test]
    fn the_interval_is_over_people() {
        let mut judged = Judged::new();
        // Half of the people miss all of their holds, half none.
        (0..40).for_each(|at| judged.push(person(0..100, &[if at % 2 == 0 { 500 } else { -500 }; 10])));
        let found = missed_at(&judged, 5.0).unwrap();
        let (lo, hi) = found.interval.unwrap();
        // A share of one half of 40 people has a standard error of 7.9 points.
        assert!(
            (found.missed_holds - 50.0).abs() < 1e-9 && (30.0..40.0).contains(&lo) && (60.0..70.0).contains(&hi),
            "{lo} {hi}"
        );
    }
}
