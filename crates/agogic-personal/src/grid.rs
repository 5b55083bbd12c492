//! The settings to choose from: every rule with its values on a grid, under every set of guards.

use std::sync::Arc;

use agogic_policy::{EvidenceTables, Guards, Setting, Sight};

/// Lulls to choose from in ms; the first is no guard.
pub const LULLS_MS: [f64; 9] = [0.0, 50.0, 75.0, 100.0, 125.0, 150.0, 200.0, 250.0, 300.0];

/// Dwell floors to choose from in ms; the first is no guard.
pub const FLOORS_MS: [f64; 4] = [0.0, 60.0, 100.0, 140.0];

/// A rule and the grid of its value.
#[derive(Clone, Copy, Debug)]
pub struct Family {
    /// The rule.
    pub rule: &'static str,
    /// Its value that is chosen: name, from, to, step. A rule may have none.
    pub threshold: Option<(&'static str, f64, f64, f64)>,
    /// Whether it decides from tables that were learned.
    pub learned: bool,
}

const fn plain(rule: &'static str, threshold: Option<(&'static str, f64, f64, f64)>) -> Family {
    Family { rule, threshold, learned: false }
}

/// Every family. A step is one that a person would write down.
pub const FAMILIES: &[Family] = &[
    plain("dwell-cutoff", Some(("cutoff_ms", 120.0, 400.0, 20.0))),
    plain("first-contact", None),
    plain("enclosed", None),
    plain("overlap-share", Some(("share", 0.3, 1.0, 0.1))),
    plain("overlap-span", Some(("span_ms", 20.0, 200.0, 20.0))),
    Family { rule: "evidence", threshold: Some(("threshold_nats", -2.0, 6.0, 0.5)), learned: true },
    Family { rule: "key-evidence", threshold: Some(("threshold_nats", -2.0, 6.0, 0.5)), learned: true },
];

/// One family made ready, without and with the guard `other_hand`.
#[derive(Clone, Debug)]
pub(crate) struct Ready {
    pub family: Family,
    /// Its thresholds, ascending; one blank where the rule has none.
    pub thresholds: Vec<f64>,
    /// The rule alone, and seeing keys of the other hand only.
    pub sights: Vec<Setting>,
    /// Place of its first setting in the grid.
    pub first: usize,
}

/// All settings to choose from.
///
/// # Definition
/// A setting is a family, a threshold, a lull, a dwell floor and whether only keys of the other hand count. Families
/// that learn take part where there are tables; `other_hand` where it is known which hand pressed a key. Rules that
/// know keys stand without guards: their tables have a lull of their own.
#[derive(Clone, Debug)]
pub struct Grid {
    pub(crate) ready: Vec<Ready>,
    len: usize,
}

/// Where a setting of the grid stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Place of its family among those of the grid.
    pub family: usize,
    /// With `other_hand`: 1.
    pub(crate) sight: usize,
    pub(crate) threshold: usize,
    pub(crate) lull: usize,
    pub(crate) floor: usize,
}

impl Grid {
    /// The grid, with the families that learn where there are tables.
    pub fn new(tables: Option<&Arc<EvidenceTables>>, hands_known: bool) -> Self {
        let (mut ready, mut first) = (Vec::new(), 0);
        for &family in FAMILIES {
            let setting = if family.learned {
                let Some(tables) = tables else { continue };
                let keys = tables.keyed.is_some();
                match Setting::trained(family.rule, &[], tables) {
                    Ok(setting) if keys || setting.entry().sight < Sight::Keys => setting,
                    _ => continue,
                }
            } else {
                Setting::rule(family.rule, &[]).expect("the families name rules")
            };
            let thresholds = match family.threshold {
                None => vec![0.0],
                Some((_, from, to, step)) => {
                    let steps = ((to - from) / step).round() as usize;
                    // Counted from the start, and rounded as a person would write it.
                    (0..=steps).map(|i| ((from + step * i as f64) * 1e3).round() / 1e3).collect()
                }
            };
            let hands = hands_known && setting.entry().sight < Sight::Keys;
            let other = setting.clone().with_guards(Guards { other_hand: true, ..Guards::default() });
            let sights = if hands { vec![setting, other] } else { vec![setting] };
            let own = Ready { family, thresholds, sights, first };
            first += own.len();
            ready.push(own);
        }
        Self { ready, len: first }
    }

    /// Settings.
    pub fn len(&self) -> usize {
        self.len
    }

    /// Whether there is none; never.
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// Families, in order.
    pub fn families(&self) -> impl ExactSizeIterator<Item = &Family> {
        self.ready.iter().map(|own| &own.family)
    }

    /// The places of the settings of a family.
    pub fn of_family(&self, family: usize) -> std::ops::Range<usize> {
        let own = &self.ready[family];
        own.first..own.first + own.len()
    }

    /// Where the setting at `at` stands.
    pub fn place(&self, at: usize) -> Place {
        let family = self.ready.iter().rposition(|own| own.first <= at).expect("the first family begins at 0");
        let own = &self.ready[family];
        let rest = at - own.first;
        let (lulls, floors) = own.guards();
        let (rest, floor) = (rest / floors, rest % floors);
        let (rest, lull) = (rest / lulls, rest % lulls);
        let (sight, threshold) = (rest / own.thresholds.len(), rest % own.thresholds.len());
        Place { family, sight, threshold, lull, floor }
    }

    /// Name and values of the threshold of the family of `at`; `None` where its rule has none.
    pub(crate) fn thresholds(&self, at: usize) -> Option<(&'static str, &[f64])> {
        let own = &self.ready[self.place(at).family];
        own.family.threshold.map(|(name, ..)| (name, &own.thresholds[..]))
    }

    /// The place of the setting at `at` with another of its thresholds.
    pub(crate) fn with_threshold(&self, at: usize, number: usize) -> usize {
        let place = self.place(at);
        let (lulls, floors) = self.ready[place.family].guards();
        at - place.threshold * lulls * floors + number * lulls * floors
    }

    /// The setting at `at`.
    pub fn setting(&self, at: usize) -> Setting {
        let place = self.place(at);
        let own = &self.ready[place.family];
        let mut setting = own.sights[place.sight].clone();
        let mut set = |name: &str, value: f64| {
            setting = setting.with_value(name, value).expect("values of the grid lie in their ranges");
        };
        if let Some((name, ..)) = own.family.threshold {
            set(name, own.thresholds[place.threshold]);
        }
        if place.lull > 0 {
            set("lull_ms", LULLS_MS[place.lull]);
        }
        if place.floor > 0 {
            set("dwell_floor_ms", FLOORS_MS[place.floor]);
        }
        setting
    }
}

impl Ready {
    /// Lulls and floors that it is tried with.
    pub fn guards(&self) -> (usize, usize) {
        match self.sights[0].entry().sight < Sight::Keys {
            true => (LULLS_MS.len(), FLOORS_MS.len()),
            false => (1, 1),
        }
    }

    pub fn len(&self) -> usize {
        let (lulls, floors) = self.guards();
        self.sights.len() * self.thresholds.len() * lulls * floors
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_setting_has_one_place_and_a_name_of_its_own() {
        let grid = Grid::new(None, true);
        let labels: std::collections::BTreeSet<String> = (0..grid.len()).map(|at| grid.setting(at).label()).collect();
        assert_eq!(labels.len(), grid.len());
        let find = |label: &str| (0..grid.len()).find(|&at| grid.setting(at).label() == label);
        assert_eq!(find("overlap-share 0.7, lull 150, floor 100").map(|at| grid.place(at).family), Some(3));
        assert!(labels.contains("enclosed, lull 75, other hand"), "{:?}", labels.iter().take(80).collect::<Vec<_>>());
        let at = find("overlap-share 0.7, lull 150, floor 100").unwrap();
        assert_eq!(grid.thresholds(at).map(|(name, values)| (name, values[2])), Some(("share", 0.5)));
        assert_eq!(grid.setting(grid.with_threshold(at, 2)).label(), "overlap-share 0.5, lull 150, floor 100");
        let all: usize = (0..grid.families().len()).map(|family| grid.of_family(family).len()).sum();
        assert_eq!(all, grid.len());
        // Without hands there is nothing to tell the other one by.
        assert_eq!(Grid::new(None, false).len() * 2, grid.len());
    }
}
