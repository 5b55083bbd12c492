//! The errors of every setting on known presses, for a page that moves the values itself.

use std::sync::Arc;

use agogic_keys::{Code, Span};
use agogic_personal::FAMILIES;
use agogic_policy::{Encounter, EvidenceTables, Guards, Setting, Sight};
use serde::Serialize;

/// The steps of a slider between two values of the grid that advice chooses from.
const FINER: f64 = 4.0;

/// Beyond the ends of that grid a slider goes on for this share of its width, as far as the rule takes values.
const BEYOND: f64 = 0.5;

/// Lulls in ms: none, and up to half a second.
const LULL_STEP_MS: f64 = 10.0;
const LULL_MOST_MS: f64 = 500.0;

/// Dwell floors in ms.
const FLOOR_STEP_MS: f64 = 10.0;
const FLOOR_MOST_MS: f64 = 250.0;

/// A value that can be moved.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SliderValue {
    /// Its name in a setting.
    pub name: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// What it does, in a sentence.
    pub about: &'static str,
    /// Where it can stand, ascending.
    pub points: Vec<f64>,
}

/// A rule whose values can be moved.
#[derive(Clone, Debug, Serialize)]
pub struct Slider {
    /// The rule.
    pub rule: &'static str,
    /// What it does, in a sentence.
    pub about: &'static str,
    /// Its value; a rule may have none.
    pub value: Option<SliderValue>,
    /// Whether it decides from tables.
    pub tables: bool,
    /// Whether it can have guards.
    pub guards: bool,
    /// The rule alone, and where it can have guards seeing keys of the other hand only.
    #[serde(skip)]
    sights: Vec<Setting>,
}

/// Rules and guards with all values at which they can stand.
#[derive(Clone, Debug, Serialize)]
pub struct Sliders {
    /// The rules.
    pub rules: Vec<Slider>,
    /// Lulls in ms; 0 is no guard.
    pub lulls_ms: Vec<f64>,
    /// Dwell floors in ms; 0 is no guard.
    pub floors_ms: Vec<f64>,
}

/// Where a setting stands among sliders.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct SliderPlace {
    /// The rule.
    pub rule: usize,
    /// Its value; 0 without one.
    pub value: usize,
    /// The lull.
    pub lull: usize,
    /// The floor.
    pub floor: usize,
    /// Whether keys of the other hand alone count.
    pub other_hand: bool,
}

fn steps(from: f64, to: f64, step: f64) -> Vec<f64> {
    let count = ((to - from) / step).round() as usize;
    (0..=count).map(|at| ((from + step * at as f64) * 1e6).round() / 1e6).collect()
}

fn with_exact(mut points: Vec<f64>, exact: impl Iterator<Item = f64>) -> Vec<f64> {
    points.extend(exact);
    points.sort_by(f64::total_cmp);
    points.dedup();
    points
}

impl Sliders {
    /// Sliders of the rules that advice chooses from, those that learn where there are tables. The values of `exact` are
    /// among their points.
    pub fn new(tables: Option<&Arc<EvidenceTables>>, exact: &[&Setting]) -> Self {
        let rule = |family: &agogic_personal::Family| {
            let setting = match (family.learned, tables) {
                (false, _) => Setting::rule(family.rule, &[]).ok()?,
                (true, Some(tables)) => Setting::trained(family.rule, &[], tables).ok()?,
                (true, None) => return None,
            };
            let same = |other: &&&Setting| other.entry().name == family.rule;
            let value = family.threshold.map(|(name, from, to, step)| {
                let param = setting.threshold(name).expect("the families name values of their rules");
                let more = ((to - from) * BEYOND / step).floor() * step;
                let below = |end: f64| if end - more >= param.min { end - more } else { end };
                let own = exact.iter().filter(same).filter_map(|other| other.value(name).ok().flatten());
                let low = if below(from) > 0.0 || param.min < 0.0 { below(from) } else { from };
                let high = if to + more <= param.max { to + more } else { to };
                let points = with_exact(steps(low, high, step / FINER), own);
                SliderValue { name: param.name, unit: param.unit, about: param.doc, points }
            });
            let guards = setting.entry().sight < Sight::Keys;
            let (rule, about) = (setting.entry().name, setting.entry().summary);
            let other = setting.clone().with_guards(Guards { other_hand: true, ..Guards::default() });
            let sights = if guards { vec![setting, other] } else { vec![setting] };
            Some(Slider { rule, about, value, tables: family.learned, guards, sights })
        };
        let guard = |name: &'static str| exact.iter().filter_map(move |own| own.value(name).ok().flatten());
        Self {
            rules: FAMILIES.iter().filter_map(rule).collect(),
            lulls_ms: with_exact(steps(0.0, LULL_MOST_MS, LULL_STEP_MS), guard("lull_ms")),
            floors_ms: with_exact(steps(0.0, FLOOR_MOST_MS, FLOOR_STEP_MS), guard("dwell_floor_ms")),
        }
    }

    /// Where a setting stands; `None` if it has a guard or a rule without a slider, or a value between two points.
    pub fn place(&self, setting: &Setting) -> Option<SliderPlace> {
        let guards = setting.guards();
        if guards.retap.is_some() || guards.bare_hold.is_some() {
            return None;
        }
        let rule = self.rules.iter().position(|own| own.rule == setting.entry().name)?;
        let at = |points: &[f64], value: f64| points.iter().position(|point| *point == value);
        let value = match &self.rules[rule].value {
            Some(value) => at(&value.points, setting.value(value.name).ok().flatten()?)?,
            None => 0,
        };
        let guard = |points: &[f64], name| at(points, setting.value(name).ok().flatten().unwrap_or(0.0));
        Some(SliderPlace {
            rule,
            value,
            lull: guard(&self.lulls_ms, "lull_ms")?,
            floor: guard(&self.floors_ms, "dwell_floor_ms")?,
            other_hand: guards.other_hand,
        })
    }
}

/// How far values may be raised on each press before a hold becomes a tap.
///
/// # Definition
/// A press is a hold under a setting exactly when each of its values stands before the number that is kept here: of the
/// rule's value ([`Setting::critical_value`]), of the lull and of the floor. A rule without a value keeps 1 for a hold.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Passed {
    /// The keys that `key` counts.
    pub keys: Vec<Code>,
    /// The key of each press.
    pub key: Vec<u16>,
    /// Whether a hold was meant: 1.
    pub hold: Vec<u8>,
    /// Lulls.
    pub lull: Vec<u16>,
    /// Floors.
    pub floor: Vec<u16>,
    /// By rule: with all keys, and with keys of the other hand only.
    pub rules: Vec<Vec<Vec<u16>>>,
}

impl Passed {
    /// None yet.
    pub fn new(sliders: &Sliders) -> Self {
        let rules = sliders.rules.iter().map(|rule| vec![Vec::new(); rule.sights.len()]).collect();
        Self { rules, ..Self::default() }
    }

    /// Takes in a press.
    pub fn add(&mut self, sliders: &Sliders, encounter: &Encounter<'_>, hold: bool) {
        let key = self.keys.iter().position(|key| *key == encounter.code).unwrap_or_else(|| {
            self.keys.push(encounter.code);
            self.keys.len() - 1
        });
        self.key.push(key as u16);
        self.hold.push(u8::from(hold));
        let passed = |points: &[f64], span: Span| points.partition_point(|ms| Span::from_ms(*ms) <= span) as u16;
        let lull = encounter.lull.map_or(sliders.lulls_ms.len() as u16, |lull| passed(&sliders.lulls_ms, lull));
        self.lull.push(lull);
        self.floor.push(passed(&sliders.floors_ms, encounter.dwell));
        for (rule, all) in sliders.rules.iter().zip(&mut self.rules) {
            for (setting, own) in rule.sights.iter().zip(all) {
                own.push(match &rule.value {
                    Some(value) => {
                        let critical = setting.critical_value(value.name, encounter).expect("a threshold of the rule");
                        value.points.partition_point(|point| *point <= critical) as u16
                    }
                    None => u16::from(setting.decide(encounter).is_hold()),
                });
            }
        }
    }

    /// Takes in the presses of another.
    pub fn merge(&mut self, other: Self) {
        let keys: Vec<u16> = other
            .keys
            .iter()
            .map(|key| {
                let known = self.keys.iter().position(|own| own == key).unwrap_or_else(|| {
                    self.keys.push(*key);
                    self.keys.len() - 1
                });
                known as u16
            })
            .collect();
        self.key.extend(other.key.iter().map(|key| keys[usize::from(*key)]));
        self.hold.extend(other.hold);
        self.lull.extend(other.lull);
        self.floor.extend(other.floor);
        for (own, other) in self.rules.iter_mut().flatten().zip(other.rules.into_iter().flatten()) {
            own.extend(other);
        }
    }

    /// Presses.
    pub fn len(&self) -> usize {
        self.hold.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.hold.is_empty()
    }

    /// Letters held and holds missed at a place.
    pub fn wrong(&self, place: SliderPlace) -> [u64; 2] {
        let mut wrong = [0, 0];
        let all = &self.rules[place.rule];
        let own = &all[usize::from(place.other_hand).min(all.len() - 1)];
        for (at, meant) in self.hold.iter().enumerate() {
            let before = |place: usize, passed: u16| place < usize::from(passed);
            let hold = before(place.value, own[at])
                && before(place.lull, self.lull[at])
                && before(place.floor, self.floor[at]);
            wrong[usize::from(*meant)] += u64::from(hold != (*meant == 1));
        }
        wrong
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_policy::EncounterScan;
    use agogic_sim::{ArmRunner, Trial, learned};
    use agogic_study::Study;
    use agogic_typist::SessionAddress;

    #[test]
    fn a_page_counts_what_the_settings_decide() {
        let spec = "name = \"m\"\nseed = 3\n[text]\nwords = \"Ask Ada for the log; The tide turns at Lark.\"\n\
                    [typists]\nnumber = 2\n[[policy]]\nrule = \"enclosed\"\n";
        let study = Study::read(spec, std::path::Path::new(".")).unwrap();
        let arm = &study.arms[0];
        let tables = learned(&study, arm, true).unwrap();
        let exact = Setting::written("overlap-share 0.333, lull 77, floor 33, other hand", Some(&tables)).unwrap();
        let sliders = Sliders::new(Some(&tables), &[&exact]);
        let runner = ArmRunner::new(arm);
        let address = SessionAddress { seed: study.seed, replicate: 0 };
        let trial = Trial { population: &arm.population, typist: 0, address, keys: 3000 };
        let session = runner.perform(trial).session;
        let written = [
            "overlap-share 0.333, lull 77, floor 33, other hand",
            "dwell-cutoff 175",
            "dwell-cutoff 200, lull 120, floor 100",
            "first-contact, other hand",
            "enclosed, lull 150",
            "overlap-span 60, floor 60",
            "evidence 1.5, lull 90",
            "key-evidence 0.5",
        ];
        let settings: Vec<Setting> = written.map(|text| Setting::written(text, Some(&tables)).unwrap()).into();
        let (mut passed, mut wanted) = (Passed::new(&sliders), vec![[0, 0]; settings.len()]);
        runner.encounters(&mut EncounterScan::new(), &session.presses, |at, encounter| {
            let hold = session.truths[at].hold;
            passed.add(&sliders, encounter, hold);
            for (setting, wrong) in settings.iter().zip(&mut wanted) {
                wrong[usize::from(hold)] += u64::from(setting.decide(encounter).is_hold() != hold);
            }
        });
        assert!(passed.len() > 100 && passed.hold.contains(&1), "{}", passed.len());
        for (setting, wanted) in settings.iter().zip(&wanted) {
            let place = sliders.place(setting).unwrap_or_else(|| panic!("{} has no place", setting.label()));
            assert_eq!(passed.wrong(place), *wanted, "{}", setting.label());
        }
        assert!(wanted.iter().flatten().any(|wrong| *wrong > 0));
        let guarded = Setting::written("enclosed, retap 90", None).unwrap();
        assert_eq!(sliders.place(&guarded), None, "there is no slider for it");
    }
}
