//! The choice of a setting, and what it gains on presses that had no part in the choice.

use std::ops::Range;
use std::sync::Arc;

use agogic_keys::{Board, Code, Purpose, Span, stream};
use agogic_policy::{EvidenceTables, KeySample, PERSONAL_PRIOR_NATS, Setting};
use agogic_stats::{Estimate, Level, block_mean, variance};
use serde::Serialize;

use crate::grid::Grid;
use crate::known::Known;
use crate::parts::{Part, Usual};
use crate::tally::{Errors, Tally};
use crate::weigh::{Rates, Weighing, Which};

/// Blocks in time; each is judged by what the others choose.
const FOLDS: usize = 5;

/// Resamples behind an interval.
const RESAMPLES: usize = 2000;

/// Fewest known presses, and known holds among them, from which tables of keys are learned.
const LEAST_FOR_TABLES: [u64; 2] = [300, 20];

/// Name of the rule whose tables are the person's own.
pub const OWN_TABLES: &str = "key-evidence, own tables";

/// What is asked about a person.
pub struct Question<'a> {
    /// The settings to choose from.
    pub grid: &'a Grid,
    /// What rules that learn have learned from many; what the person's own tables start from.
    pub tables: Option<&'a Arc<EvidenceTables>>,
    /// The setting in use, if it is known.
    pub now: Option<&'a Setting>,
    /// What a false hold counts, a missed hold being 1.
    pub false_hold: f64,
    /// Presses of known taps and holds that count as much as the model.
    pub even: [f64; 2],
    /// Level of the intervals.
    pub level: Level,
    /// Seed.
    pub seed: u64,
}

/// A row of the advice: a rule, or the choice between several.
#[derive(Clone, Debug, Serialize)]
pub struct Choice {
    /// The rule; of the choice between all rules that need no tables `any without tables`.
    pub rule: &'static str,
    /// Whether tables have to be kept.
    pub tables: bool,
    /// The personal setting.
    pub setting: String,
    /// What is expected of the setting in use, or else of the default.
    pub before: Rates,
    /// What is expected of the personal setting.
    pub after: Rates,
    /// How much less it costs: wrong decisions per 1000 presses of dual-role keys.
    pub gain: Estimate,
}

/// Decisions on one press: whether a hold was meant, and what the setting before and each row decided.
#[derive(Clone, Debug)]
pub(crate) struct Decided {
    pub code: Code,
    pub dwell: Span,
    pub hold: bool,
    pub before: bool,
    /// By row.
    pub after: Vec<bool>,
}

/// The choice of every row.
pub(crate) struct Found {
    pub before: Setting,
    pub rows: Vec<Choice>,
    /// The personal setting of each row.
    pub settings: Vec<Setting>,
    /// Every known press, decided by what the other blocks chose.
    pub decided: Vec<Decided>,
}

/// What is chosen from.
#[derive(Clone, Debug)]
struct Row {
    rule: &'static str,
    tables: bool,
    from: From,
}

#[derive(Clone, Debug)]
enum From {
    /// Families of the grid.
    Families(Vec<usize>),
    /// The person's own tables.
    OwnTables,
    /// The best of the families, with values of its threshold for each hand or finger.
    Parts(Part, Vec<usize>),
}

/// The default for people of a population: the setting without tables that costs them least together.
pub fn default_setting(grid: &Grid, common: &Errors, false_hold: f64) -> usize {
    best_of(grid, common, false_hold, &without_tables(grid))
}

/// The setting among some families of a grid that costs people least together.
///
/// # Panics
/// No family is named.
pub fn best_of(grid: &Grid, people: &Errors, false_hold: f64, families: &[usize]) -> usize {
    let none = Errors { grid: vec![[0.0; 2]; grid.len()], ..Errors::default() };
    let weighing = Weighing { model: people, log: &none, false_hold, even: [1.0; 2] };
    weighing.best(families.iter().flat_map(|family| grid.of_family(*family)))
}

fn without_tables(grid: &Grid) -> Vec<usize> {
    grid.families().enumerate().filter(|(_, family)| !family.learned).map(|(at, _)| at).collect()
}

/// Every row, the choice between all without tables last.
fn rows(grid: &Grid, own_tables: bool, parts: &[(Part, Vec<usize>)]) -> Vec<Row> {
    let of_family = |(at, family): (usize, &crate::grid::Family)| Row {
        rule: family.rule,
        tables: family.learned,
        from: From::Families(vec![at]),
    };
    let mut rows: Vec<Row> = grid.families().enumerate().map(of_family).collect();
    if own_tables {
        rows.push(Row { rule: OWN_TABLES, tables: true, from: From::OwnTables });
    }
    for (part, families) in parts {
        rows.push(Row { rule: part.name(), tables: false, from: From::Parts(*part, families.clone()) });
    }
    rows.push(Row { rule: "any without tables", tables: false, from: From::Families(without_tables(grid)) });
    rows
}

impl Question<'_> {
    fn weighing<'w>(&self, model: &'w Errors, log: &'w Errors) -> Weighing<'w> {
        Weighing { model, log, false_hold: self.false_hold, even: self.even }
    }

    /// Key tables of many, updated by the known presses outside a block; `None` where there are no tables or too few
    /// presses.
    fn own_tables(&self, known: &Known, without: Option<&Range<usize>>) -> Option<Setting> {
        let tables = self.tables?;
        let keyed = tables.keyed.as_ref()?;
        let mut sample = KeySample::new();
        known.each(|number, encounter, hold| {
            if without.is_none_or(|block| !block.contains(&number)) {
                sample.add(encounter, hold);
            }
        });
        let own = Arc::new((**tables).clone().with_keys(keyed.personal(&sample, PERSONAL_PRIOR_NATS)));
        // The sum is a log odds: a hold is the cheaper guess where its odds are above the cost of a false one.
        let threshold = (4.0 * self.false_hold.ln()).round() / 4.0;
        Setting::trained("key-evidence", &[("threshold_nats", threshold)], &own).ok()
    }

    /// Chooses for a person, and says what that gains.
    ///
    /// `drawn` are typists who could be the person, every one a tally of this grid with `now` beside it; the first half
    /// chooses, the second says what is gained.
    ///
    /// # Definition
    /// *Chosen* is the setting with the least expected cost, by `Weighing::rates`. *Gain* is that of presses which had no
    /// part in the choice. On the log: the known presses are cut into five blocks in time, each is decided by what the
    /// others choose, and the mean difference has an interval from blocks in time (`block_mean`), widened by how much the
    /// gain moves between blocks beyond chance, for it is promised of a session to come. Under the model: the
    /// difference over the drawn typists of the second half, whose spread is what the log leaves unknown. Both are put
    /// together with the weight of the log, their errors as if independent. Tables of one's own are judged on the log
    /// alone: drawn typists do not type this person's words.
    ///
    /// A value for each hand or finger is judged on the log alone too, and has a row where a hand or finger has presses
    /// enough and gets another value than all have.
    pub(crate) fn choose(&self, common: &Errors, drawn: &[Tally], known: &Known, board: &Board) -> Found {
        let grid = self.grid;
        let (search, confirm) = drawn.split_at(drawn.len() / 2);
        let beside: Vec<Setting> = self.now.cloned().into_iter().collect();
        let mut model = Tally::new(grid, beside.len());
        search.iter().for_each(|own| model.merge(own));
        let model = model.errors(grid);
        let blocks = blocks(known.len());
        let mut tallies = vec![Tally::new(grid, beside.len()); blocks.len()];
        known.each(|number, encounter, hold| {
            tallies[block_of(&blocks, number)].add(grid, &beside, encounter, hold);
        });
        let all_but = |left_out: Option<usize>| {
            let mut sum = Tally::new(grid, beside.len());
            tallies.iter().enumerate().filter(|(at, _)| Some(*at) != left_out).for_each(|(_, own)| sum.merge(own));
            sum.errors(grid)
        };
        let log = all_but(None);
        let others: Vec<Errors> = (0..blocks.len()).map(|block| all_but(Some(block))).collect();
        let weighing = self.weighing(&model, &log);
        let default = Which::Grid(default_setting(grid, common, self.false_hold));
        let before = if self.now.is_some() { Which::Beside(0) } else { default };
        let setting_of = |which: Which| match which {
            Which::Grid(at) => grid.setting(at),
            Which::Beside(at) => beside[at].clone(),
        };
        let presses = known.presses();
        let enough = presses[0] + presses[1] >= LEAST_FOR_TABLES[0] && presses[1] >= LEAST_FOR_TABLES[1];
        let own_tables = if enough { self.own_tables(known, None) } else { None };
        let choose = |families: &[usize], log: &Errors| {
            self.weighing(&model, log).best(families.iter().flat_map(|family| grid.of_family(*family)))
        };
        let by_parts = |part: Part, families: &[usize], log: &Errors, without: Option<&Range<usize>>| {
            let usual = self.usual(&self.weighing(&model, log), choose(families, log));
            usual.by_parts(part, board, known, without)
        };
        let with_threshold: Vec<usize> = without_tables(grid)
            .into_iter()
            .filter(|at| grid.families().nth(*at).is_some_and(|own| own.threshold.is_some()))
            .collect();
        let parts = Part::ALL.into_iter().map(|part| (part, with_threshold.clone()));
        let parts: Vec<_> = parts.filter(|(part, list)| by_parts(*part, list, &log, None).is_some()).collect();
        let rows = rows(grid, own_tables.is_some(), &parts);
        let before_setting = setting_of(before);
        let decided = self.decided(known, &blocks, &before_setting, &rows, |row, block| match &row.from {
            From::OwnTables => self.own_tables(known, Some(&blocks[block])).expect("all presses together have tables"),
            From::Families(families) => grid.setting(choose(families, &others[block])),
            From::Parts(part, families) => match by_parts(*part, families, &others[block], Some(&blocks[block])) {
                Some(found) => found.setting,
                None => grid.setting(choose(families, &others[block])),
            },
        });
        let confirmed: Vec<Errors> = confirm.iter().map(|own| own.errors(grid)).collect();
        let of_log = weighing.of_log();
        let mut found = Vec::new();
        let mut settings = Vec::new();
        for (at, row) in rows.iter().enumerate() {
            let on_log = self.gain_on_log(&decided, at, &blocks);
            // Own tables and parts are known on the log alone, and compared with the setting before there.
            let of_log_alone = || [None, Some(at)].map(|row| self.rates_of_decided(&decided, row));
            let (setting, label, [before, after], gain) = match &row.from {
                From::OwnTables => {
                    let own = own_tables.clone().expect("there is such a row");
                    (own, OWN_TABLES.to_owned(), of_log_alone(), on_log)
                }
                From::Parts(part, families) => {
                    let own = by_parts(*part, families, &log, None).expect("there is such a row");
                    (own.setting, own.label, of_log_alone(), on_log)
                }
                From::Families(families) => {
                    let chosen = Which::Grid(choose(families, &log));
                    let gain = if chosen == before {
                        nothing_changes(self.level)
                    } else {
                        let of_draw =
                            |drawn: &Errors| weighing.of_drawn(drawn, before) - weighing.of_drawn(drawn, chosen);
                        let of_model: Vec<f64> = confirmed.iter().map(of_draw).collect();
                        together(on_log, &of_model, of_log, self.level)
                    };
                    let setting = setting_of(chosen);
                    let label = setting.label();
                    (setting, label, [before, chosen].map(|which| weighing.rates(which)), gain)
                }
            };
            found.push(Choice { rule: row.rule, tables: row.tables, setting: label, before, after, gain });
            settings.push(setting);
        }
        Found { before: before_setting, rows: found, settings, decided }
    }

    /// What is expected of a setting of the grid, and of the same with other values of its threshold, for all keys together.
    fn usual(&self, weighing: &Weighing<'_>, at: usize) -> Usual<'_> {
        let (name, thresholds) = self.grid.thresholds(at).expect("a family with a threshold");
        let held = weighing.held();
        let presses = [1.0 - held, held];
        let wrong = |number: usize| {
            let rates = weighing.rates(Which::Grid(self.grid.with_threshold(at, number)));
            [presses[0] * rates.false_holds / 1000.0, presses[1] * rates.missed_holds / 100.0]
        };
        Usual {
            setting: self.grid.setting(at),
            threshold: (name, thresholds),
            all: Errors { presses, grid: (0..thresholds.len()).map(wrong).collect(), ..Errors::default() },
            even: self.even,
            false_hold: self.false_hold,
        }
    }

    /// What the setting before and each row decide on every known press, each block by what the others choose.
    fn decided(
        &self,
        known: &Known,
        blocks: &[Range<usize>],
        before: &Setting,
        rows: &[Row],
        chosen: impl Fn(&Row, usize) -> Setting,
    ) -> Vec<Decided> {
        let settings: Vec<Vec<Setting>> =
            (0..blocks.len()).map(|block| rows.iter().map(|row| chosen(row, block)).collect()).collect();
        let mut decided = Vec::with_capacity(known.len());
        known.each(|number, encounter, hold| {
            let block = block_of(blocks, number);
            decided.push(Decided {
                code: encounter.code,
                dwell: encounter.dwell,
                hold,
                before: before.decide(encounter).is_hold(),
                after: settings[block].iter().map(|setting| setting.decide(encounter).is_hold()).collect(),
            });
        });
        decided
    }

    fn cost(&self, hold: bool, decided: bool) -> f64 {
        match (hold, decided) {
            (false, true) => self.false_hold,
            (true, false) => 1.0,
            _ => 0.0,
        }
    }

    /// The gain of a row on the log, as an interval for a session to come: widened by how much the gain moves from block to
    /// block beyond chance.
    fn gain_on_log(&self, decided: &[Decided], row: usize, blocks: &[Range<usize>]) -> Estimate {
        let gain = |own: &Decided| 1000.0 * (self.cost(own.hold, own.before) - self.cost(own.hold, own.after[row]));
        let series: Vec<f64> = decided.iter().map(gain).collect();
        let mut rng = stream(self.seed, Purpose::Resampling, row as u64, 1);
        let estimate = block_mean(&series, RESAMPLES, self.level, "block of presses", &mut rng);
        let (Some(value), Some(lo), Some(hi)) = (estimate.value, estimate.lo, estimate.hi) else { return estimate };
        let drift = self.level.z().powi(2) * drift(&series, blocks) * (1.0 + 1.0 / blocks.len() as f64);
        let wider = |end: f64| (end - value).signum() * libm::sqrt((end - value).powi(2) + drift);
        Estimate { lo: Some(value + wider(lo)), hi: Some(value + wider(hi)), ..estimate }
    }

    /// Rates of what was decided, of a row or of the setting before.
    fn rates_of_decided(&self, decided: &[Decided], row: Option<usize>) -> Rates {
        let (mut presses, mut wrong, mut cost) = ([0.0_f64; 2], [0.0; 2], 0.0);
        for own in decided {
            let is = row.map_or(own.before, |row| own.after[row]);
            presses[usize::from(own.hold)] += 1.0;
            wrong[usize::from(own.hold)] += f64::from(u8::from(is != own.hold));
            cost += self.cost(own.hold, is);
        }
        let share = |meant: usize| if presses[meant] > 0.0 { wrong[meant] / presses[meant] } else { 0.0 };
        Rates {
            false_holds: 1000.0 * share(0),
            missed_holds: 100.0 * share(1),
            cost: 1000.0 * cost / (decided.len().max(1) as f64),
        }
    }
}

/// Blocks of known presses in time.
fn blocks(known: usize) -> Vec<Range<usize>> {
    (0..FOLDS).map(|at| known * at / FOLDS..known * (at + 1) / FOLDS).collect()
}

/// The variance of the gain between blocks beyond what chance within them makes.
///
/// # Source
/// DerSimonian & Laird (1986), Meta-analysis in clinical trials, Controlled Clinical Trials 7:177-188: the paper from memory,
/// the formula as the source of the R package pimeta has it (`tau2h_dl`).
fn drift(series: &[f64], blocks: &[Range<usize>]) -> f64 {
    let of = |block: &Range<usize>| {
        let own = &series[block.clone()];
        let error = variance(own)? / own.len() as f64;
        Some((own.iter().sum::<f64>() / own.len() as f64, error))
    };
    let each: Vec<(f64, f64)> = blocks.iter().filter_map(of).collect();
    // A block without any difference would weigh without end: it takes the mean error of the others.
    let seen: Vec<f64> = each.iter().map(|own| own.1).filter(|error| *error > 0.0).collect();
    if each.len() < 2 || seen.is_empty() {
        return 0.0;
    }
    let usual = seen.iter().sum::<f64>() / seen.len() as f64;
    let weights: Vec<f64> = each.iter().map(|own| 1.0 / if own.1 > 0.0 { own.1 } else { usual }).collect();
    let all: f64 = weights.iter().sum();
    let mean = weights.iter().zip(&each).map(|(w, own)| w * own.0).sum::<f64>() / all;
    let q: f64 = weights.iter().zip(&each).map(|(w, own)| w * (own.0 - mean).powi(2)).sum();
    let scale = all - weights.iter().map(|w| w * w).sum::<f64>() / all;
    ((q - (each.len() as f64 - 1.0)) / scale).max(0.0)
}

/// The block that a press is in.
fn block_of(blocks: &[Range<usize>], number: usize) -> usize {
    blocks.iter().position(|block| block.contains(&number)).expect("blocks cover all")
}

fn nothing_changes(level: Level) -> Estimate {
    Estimate::new(0.0, "the same setting", level, "draw of the person", 0).because("the setting stays")
}

/// The gain on the log and that under the model, put together.
fn together(on_log: Estimate, of_model: &[f64], weight: f64, level: Level) -> Estimate {
    let method = "five blocks in time decided by the others, and the model's draws, by the weight of the log";
    let n = of_model.len();
    let mean = of_model.iter().sum::<f64>() / n.max(1) as f64;
    let spread = variance(of_model).map_or(0.0, f64::sqrt);
    let half = |estimate: &Estimate| Some((estimate.hi? - estimate.lo?) / (2.0 * level.z()));
    let (value, error) = match (on_log.value, half(&on_log)) {
        _ if weight == 0.0 => (mean, Some(spread)),
        (Some(value), Some(error)) => {
            let both = libm::hypot(weight * error, (1.0 - weight) * spread);
            (weight * value + (1.0 - weight) * mean, Some(both))
        }
        // No press of the log was decided differently: at 95 % fewer than 3 in so many would be (the rule of three).
        (Some(0.0), None) if on_log.n >= 20 => {
            let error = 1.5 * 1000.0 / on_log.n as f64;
            ((1.0 - weight) * mean, Some(libm::hypot(weight * error, (1.0 - weight) * spread)))
        }
        (Some(value), None) => (weight * value + (1.0 - weight) * mean, None),
        (None, _) => (mean, Some(spread)),
    };
    let estimate = Estimate::new(value, method, level, "block of presses; draw of the person", n as u64);
    match error {
        Some(error) => Estimate {
            lo: Some(value - level.z() * error),
            hi: Some(value + level.z() * error),
            mcse: Some(spread / (n.max(1) as f64).sqrt()),
            ..estimate
        },
        None => estimate.because(on_log.reason.as_deref().unwrap_or("the log shows no spread")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drift_is_what_blocks_differ_by_beyond_chance() {
        let blocks = blocks(1000);
        assert_eq!((blocks.len(), blocks[4].clone()), (5, 800..1000));
        // The same in every block but for chance.
        let even: Vec<f64> = (0..1000).map(|at| if at % 10 == 0 { 1000.0 } else { 0.0 }).collect();
        assert_eq!(drift(&even, &blocks), 0.0);
        // All of the gain in the last block: its mean is 500, that of the others 0; the variance of five such means is
        // 50 000, less the error of a mean within.
        let moved: Vec<f64> = (0..1000).map(|at| if at >= 800 && at % 2 == 0 { 1000.0 } else { 0.0 }).collect();
        let found = drift(&moved, &blocks);
        assert!((found - 50_000.0).abs() < 2_000.0, "{found}");
        assert_eq!(drift(&[], &super::blocks(0)), 0.0);
    }

    #[test]
    fn log_and_model_are_put_together_by_weight() {
        let level = Level::P95;
        let on_log = Estimate::new(20.0, "blocks", level, "block", 1000);
        let on_log = Estimate { lo: Some(20.0 - 3.0 * level.z()), hi: Some(20.0 + 3.0 * level.z()), ..on_log };
        // Mean 10, standard deviation 4.
        let of_model = [6.0, 10.0, 14.0, 6.0, 10.0, 14.0, 6.0, 10.0, 14.0, 10.0];
        let spread = variance(&of_model).unwrap().sqrt();
        let found = together(on_log.clone(), &of_model, 0.75, level);
        assert!((found.value.unwrap() - 17.5).abs() < 1e-12);
        let half = (found.hi.unwrap() - found.lo.unwrap()) / 2.0 / level.z();
        assert!((half - (2.25_f64.powi(2) + (0.25 * spread).powi(2)).sqrt()).abs() < 1e-9, "{half}");
        // Without a known press the model speaks alone.
        let none = Estimate::unknown("nothing", "blocks", level, "block", 0);
        assert_eq!(together(none, &of_model, 0.0, level).value, Some(10.0));
        // No difference in 300 presses is not none at all.
        let same = Estimate::new(0.0, "blocks", level, "block", 300);
        let found = together(same, &[0.0, 0.0], 1.0, level);
        assert!((found.hi.unwrap() - 5.0 * level.z()).abs() < 1e-9);
    }
}
