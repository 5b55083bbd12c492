//! The trade-off of false holds, missed holds and delay: what is dominated, by what, and how surely.

use agogic_keys::{Purpose, stream};
use agogic_stats::{Clusters, Estimate, Resamples, StudentT, front as non_dominated, holm, hypervolume_3d};
use agogic_study::{EstimandInfo, GOALS, Inference, Study, SweepDesign};
use rand::RngExt;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::swept::{ArmSweep, Swept};
use crate::estimate::rate;

/// Points of a curve that are put on a front: the rest lie between them.
const OF_A_CURVE: usize = 50;

/// Settings × typists × resamples, at most; fewer resamples are drawn for more settings.
const MOST_WORK: usize = 1_000_000_000;

/// Fewest resamples drawn all the same.
const FEWEST: usize = 200;

/// Address of the resamples of fronts; intervals and signs of comparisons have smaller ones.
const ADDRESS: u64 = 20;

/// A setting that is at least as good as another one, with the differences that say so.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Dominator {
    /// Its label.
    pub setting: String,
    /// What it has more than the dominated one in each of [`GOALS`]; plain intervals, each for itself.
    pub more: [Estimate; 3],
    /// p-value of "does not dominate", adjusted for all ordered pairs of settings of the arm (Holm).
    pub p_holm: f64,
    /// Whether the p-value is at most 1 − level.
    pub sure: bool,
}

/// One setting on or behind a front.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FrontPoint {
    /// Label of the sweep it belongs to; `policies` for a policy of the study.
    pub sweep: String,
    /// Label of the setting.
    pub setting: String,
    /// What it has of each of [`GOALS`].
    pub goals: [Estimate; 3],
    /// Whether no other setting has estimates at least as good in all goals and better in one, margins aside.
    pub on_front: bool,
    /// Share of the resamples of typists in which it is on the front.
    pub share_on_front: f64,
    /// The setting that dominates it most surely.
    pub dominated_by: Option<Dominator>,
    /// What it loses above the floor per 1000 dual-role presses, on those of the first typists, as many as its `n` says;
    /// see [`agogic_floor::loss_above_floor`]. `None` without a floor.
    pub above_floor: Option<Estimate>,
}

/// The trade-off in one arm.
///
/// # Definition
/// Setting B dominates A if it is no worse in any goal and better in one. The hypothesis "B does not dominate A"
/// is tested over the same typists by one-sided paired t tests of the differences of ratios: its p-value is the
/// largest of those for "worse" in each goal (intersection–union). Where the spec has a margin for a goal, no worse
/// means worse by no more than it, and better means better by more than it; so no two settings ever dominate each
/// other. "Better in one goal" is then tested as well, with Bonferroni's factor. A goal in which both settings
/// agree for every typist counts as no worse. Holm's method adjusts for all ordered pairs of settings, so the
/// choice of the surest dominator costs nothing.
///
/// # Shape
/// The policies of the study, then the settings of each sweep; of a curve 50 points from end to end.
///
/// # Source
/// Berger 1982, Technometrics 24:295 (intersection–union, from memory); Holm 1979.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Front {
    /// Label of the arm.
    pub arm: String,
    /// The settings.
    pub points: Vec<FrontPoint>,
    /// Ordered pairs of settings for which the p-values are adjusted.
    pub pairs: usize,
    /// Share of the box between nothing wrong and the reference that the front dominates; 1 is perfect.
    pub hypervolume: Estimate,
    /// The reference.
    pub reference: [f64; 3],
    /// What could not be placed, and why.
    pub left_out: Vec<String>,
}

/// A setting with all three goals.
struct Candidate<'a> {
    sweep: &'a str,
    setting: &'a str,
    goals: [&'a Clusters; 3],
}

fn infos() -> [&'static EstimandInfo; 3] {
    GOALS.map(|name| EstimandInfo::by_name(name).expect("names of our own table"))
}

/// The front of an arm.
pub(super) fn front(study: &Study, arm: &ArmSweep) -> Front {
    let above = |candidate: &Candidate<'_>| {
        let floor = arm.floor.as_ref()?;
        let [false_holds, missed_holds, _] = candidate.goals.map(Clusters::numerators);
        // Counts are whole, and kept as such far beyond any session.
        Some(floor.loss(study, false_holds.iter().zip(missed_holds).map(|(&f, &m)| [f as u64, m as u64])))
    };
    let (candidates, left_out) = candidates(study, arm);
    let inference = &study.inference;
    let infos = infos();
    let goals: Vec<[Estimate; 3]> = candidates
        .par_iter()
        .map(|c| std::array::from_fn(|g| infos[g].scaled(rate(c.goals[g], inference, study.seed, infos[g]))))
        .collect();
    let places: Vec<[f64; 3]> = goals.iter().map(|all| all.each_ref().map(|e| e.value.unwrap_or(f64::MAX))).collect();
    let on_front = members(&places);
    let (hypervolume, shares) = resampled(study, &candidates, &places);
    let dominators = dominators(inference, &candidates);
    let pairs = candidates.len() * candidates.len().saturating_sub(1);
    let losses: Vec<Option<Estimate>> = candidates.par_iter().map(above).collect();
    let points = candidates.iter().zip(goals).zip(&on_front).zip(shares).zip(dominators).zip(losses);
    let points = points
        .map(|(((((candidate, goals), &on_front), share_on_front), dominated_by), above_floor)| FrontPoint {
            sweep: candidate.sweep.to_owned(),
            setting: candidate.setting.to_owned(),
            goals,
            on_front,
            share_on_front,
            dominated_by,
            above_floor,
        })
        .collect();
    Front { arm: arm.label.clone(), points, pairs, hypervolume, reference: study.front.reference, left_out }
}

/// All settings that can be placed, and a word on those that cannot.
fn candidates<'a>(study: &'a Study, arm: &'a ArmSweep) -> (Vec<Candidate<'a>>, Vec<String>) {
    let (mut found, mut left_out) = (Vec::new(), Vec::new());
    let mut place = |sweep: &'a str, swept: &'a Swept, left_out: &mut Vec<String>| {
        let goals = GOALS.map(|goal| swept.clusters(goal));
        let [Some(a), Some(b), Some(c)] = goals else { return };
        match [a, b, c].iter().zip(GOALS).find(|(clusters, _)| clusters.totals().1 == 0.0) {
            Some((_, goal)) => {
                left_out.push(format!("{}: {goal} is unknown, for there was no such press", swept.label))
            }
            None => found.push(Candidate { sweep, setting: &swept.label, goals: [a, b, c] }),
        }
    };
    for policy in &arm.policies {
        place("policies", policy, &mut left_out);
    }
    for (plan, points) in study.sweeps.iter().zip(&arm.sweeps) {
        if points.iter().any(|point| point.clusters(GOALS[2]).is_none()) {
            left_out.push(format!("{}: no delay in one pass; design = \"grid\" places it on the front", plan.label));
            continue;
        }
        let most = if plan.design == SweepDesign::Curve { OF_A_CURVE.min(points.len()) } else { points.len() };
        for i in 0..most {
            place(&plan.label, &points[i * (points.len() - 1) / (most - 1).max(1)], &mut left_out);
        }
    }
    (found, left_out)
}

/// Which of the points no other dominates.
fn members(places: &[[f64; 3]]) -> Vec<bool> {
    let front = non_dominated(places).expect("rates are finite");
    let mut is = vec![false; places.len()];
    front.into_iter().for_each(|at| is[at] = true);
    is
}

/// The hypervolume, and the share of resamples in which each candidate is on the front.
fn resampled(study: &Study, candidates: &[Candidate<'_>], places: &[[f64; 3]]) -> (Estimate, Vec<f64>) {
    let infos = infos();
    let (inference, reference) = (&study.inference, study.front.reference);
    let typists = study.typists as usize;
    let work = candidates.len().max(1) * typists;
    let resamples = (MOST_WORK / work).clamp(FEWEST.min(inference.resamples), inference.resamples);
    let each: Vec<(f64, Vec<bool>)> = (0..resamples as u64)
        .into_par_iter()
        .map(|number| {
            // A stream for each resample, so that threads may share them out.
            let mut rng = stream(study.seed, Purpose::Resampling, number, ADDRESS);
            let drawn: Vec<usize> = (0..typists)
                .map(|_| rng.random_range(0..study.typists.min(u64::from(u32::MAX)) as u32) as usize)
                .collect();
            let of = |c: &Candidate<'_>| -> Option<[f64; 3]> {
                let [a, b, d] = c.goals.map(|clusters| clusters.ratio_of(&drawn));
                Some([a? * infos[0].scale, b? * infos[1].scale, d? * infos[2].scale])
            };
            match candidates.iter().map(of).collect::<Option<Vec<_>>>() {
                Some(places) => {
                    let on_front = members(&places);
                    (share_of_box(&places, &on_front, reference), on_front)
                }
                None => (f64::NAN, vec![false; candidates.len()]),
            }
        })
        .collect();
    let observed = share_of_box(places, &members(places), reference);
    let shares = (0..candidates.len())
        .map(|at| each.iter().filter(|(_, on_front)| on_front[at]).count() as f64 / resamples as f64)
        .collect();
    let volumes = each.into_iter().map(|(volume, _)| volume).collect();
    let estimate = match Resamples::from_values(observed, typists, volumes) {
        Ok(drawn) => drawn.percentile(inference.level, "typist"),
        Err(refused) => {
            Estimate::unknown(&format!("failed to {refused}"), "cluster bootstrap", inference.level, "typist", 0)
        }
    };
    let method = format!("{}, {resamples} resamples", estimate.method);
    (Estimate { method, ..estimate }, shares)
}

/// The share of the box below the reference that the front dominates.
fn share_of_box(places: &[[f64; 3]], on_front: &[bool], reference: [f64; 3]) -> f64 {
    let front: Vec<[f64; 3]> = places.iter().zip(on_front).filter(|(_, on)| **on).map(|(place, _)| *place).collect();
    hypervolume_3d(&front, reference).expect("rates are finite") / reference.iter().product::<f64>()
}

/// For each candidate the one that dominates it most surely.
fn dominators(inference: &Inference, candidates: &[Candidate<'_>]) -> Vec<Option<Dominator>> {
    let margins = infos().map(|info| {
        let line = inference.margins.iter().find(|line| line.info.name == info.name);
        line.map_or(0.0, |line| line.value / info.scale)
    });
    let n = candidates.len();
    // For each candidate, the p-value of each other one as its dominator; 1 where there is nothing to test.
    let p_values: Vec<f64> = (0..n)
        .into_par_iter()
        .flat_map_iter(|a| (0..n).filter(move |&b| b != a).map(move |b| (a, b)))
        .map(|(a, b)| p_of_dominance(inference, &candidates[b], &candidates[a], &margins))
        .collect();
    let adjusted = holm(&p_values).expect("each is a probability");
    (0..n)
        .map(|a| {
            let own = a * (n - 1)..(a + 1) * (n - 1);
            let best = own.min_by(|&i, &j| {
                (adjusted[i], p_values[i]).partial_cmp(&(adjusted[j], p_values[j])).expect("numbers")
            })?;
            if p_values[best] >= 1.0 {
                return None;
            }
            let b = best - a * (n - 1);
            let b = b + usize::from(b >= a);
            let infos = infos();
            let more = std::array::from_fn(|g| {
                infos[g].scaled(difference(inference, candidates[b].goals[g], candidates[a].goals[g]))
            });
            Some(Dominator {
                setting: candidates[b].setting.to_owned(),
                more,
                p_holm: adjusted[best],
                sure: adjusted[best] <= inference.level.alpha(),
            })
        })
        .collect()
}

fn difference(inference: &Inference, first: &Clusters, second: &Clusters) -> Estimate {
    crate::estimate::default_difference(first, second, inference.level)
}

/// p-value of "`by` does not dominate `other`"; 1 where the estimates do not even speak for it.
fn p_of_dominance(inference: &Inference, by: &Candidate<'_>, other: &Candidate<'_>, margins: &[f64; 3]) -> f64 {
    let ratio = |clusters: &Clusters| {
        let (y, x) = clusters.totals();
        y / x
    };
    let gaps: [f64; 3] = std::array::from_fn(|g| ratio(by.goals[g]) - ratio(other.goals[g]));
    let pairs = || gaps.iter().zip(margins);
    if pairs().any(|(gap, margin)| *gap > *margin) || pairs().all(|(gap, margin)| *gap >= -margin) {
        return 1.0;
    }
    let (mut no_worse, mut better) = (0.0_f64, 1.0_f64);
    let mut shown_by_all = false;
    for ((own, theirs), &margin) in by.goals.iter().zip(other.goals).zip(margins) {
        if *own == theirs {
            continue;
        }
        let found = difference(inference, own, theirs);
        let t = found.n.checked_sub(1).and_then(|df| StudentT::new(df as f64).ok());
        let (Some(value), Some(error), Some(t)) = (found.value, found.mcse, t) else { return 1.0 };
        let below = |margin: f64| t.lower((value - margin) / error);
        no_worse = no_worse.max(below(margin));
        better = better.min(below(-margin));
        // Where no margin helps, "no worse" is shown only by being better.
        shown_by_all |= margin == 0.0;
    }
    if shown_by_all { no_worse } else { no_worse.max((GOALS.len() as f64 * better).min(1.0)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_stats::Level;
    use agogic_study::{IntervalMethod, Line};
    use rand_distr::{Distribution, Normal};

    fn inference(margins: Vec<Line>) -> Inference {
        let interval = IntervalMethod::Default;
        Inference { level: Level::P95, versus: Vec::new(), interval, resamples: 400, limits: Vec::new(), margins }
    }

    fn delays(values: &[f64]) -> Clusters {
        Clusters::ratio("typist", values.iter().map(|&value| (value, 1.0))).unwrap()
    }

    /// Extra hours of sleep under two drugs; Student 1908, Biometrika 6:1, table on p. 20 (data set `sleep` of R).
    const DRUG_1: [f64; 10] = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0];
    const DRUG_2: [f64; 10] = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];

    #[test]
    fn one_goal_alone_is_the_paired_t_test() {
        let (rare, other) = (delays(&[1.0; 10]), delays(&[2.0; 10]));
        let (fast, slow) = (delays(&DRUG_1), delays(&DRUG_2));
        let p = |by: &Clusters, than: &Clusters| {
            let by = Candidate { sweep: "", setting: "", goals: [&rare, &other, by] };
            let than = Candidate { sweep: "", setting: "", goals: [&rare, &other, than] };
            p_of_dominance(&inference(Vec::new()), &by, &than, &[0.0; 3])
        };
        // R: t.test(paired = TRUE) on `sleep`: t = -4.0621, df = 9, p = 0.002833 on two sides.
        assert!((p(&fast, &slow) - 0.002833 / 2.0).abs() < 5e-7, "{}", p(&fast, &slow));
        assert_eq!(p(&slow, &fast), 1.0, "the estimates do not even speak for it");
        assert_eq!(p(&fast, &fast), 1.0, "equal settings do not dominate each other");
    }

    #[test]
    fn the_weakest_goal_decides_and_a_margin_helps_it() {
        let (fast, slow) = (delays(&DRUG_1), delays(&DRUG_2));
        // As good on average, and unlike typist by typist.
        let mixed: Vec<f64> = DRUG_1.iter().rev().map(|value| value + 1e-3).collect();
        let (mixed, same) = (delays(&mixed), delays(&[1.0; 10]));
        let by = Candidate { sweep: "", setting: "", goals: [&fast, &fast, &same] };
        let other = Candidate { sweep: "", setting: "", goals: [&slow, &mixed, &same] };
        let strict = p_of_dominance(&inference(Vec::new()), &by, &other, &[0.0; 3]);
        assert!(strict > 0.4, "no difference in the second goal can be shown: {strict}");
        let lenient = p_of_dominance(&inference(Vec::new()), &by, &other, &[0.0, 50.0, 0.0]);
        assert!((lenient - 0.0014165).abs() < 5e-7, "the first goal decides: {lenient}");
        // Better by more than half an hour: t = (1.58 − 0.5) / 0.38896 at 9 degrees of freedom, by numerical integration.
        let all = p_of_dominance(&inference(Vec::new()), &by, &other, &[0.5, 50.0, 50.0]);
        assert!((all - 3.0 * 0.0107592).abs() < 2e-6, "better in one of three: {all}");
        assert_eq!(p_of_dominance(&inference(Vec::new()), &by, &other, &[50.0; 3]), 1.0, "all within the margins");
    }

    /// 2000 studies of 20 typists and 4 settings that are truly alike; alpha 1e-6, fixed seed. A gate at 5 % lets
    /// through 2000 × 0.05 = 100 in the mean; the binomial quantile at 1 − 1e-6 is 150.
    #[test]
    fn settings_that_are_alike_are_seldom_called_dominated() {
        const STUDIES: u64 = 2000;
        const MOST: usize = 150;
        let beyond = agogic_stats::Trials::new(MOST as u64 + 1, STUDIES).unwrap();
        assert!(agogic_stats::binomial_upper(beyond, 0.05) < 1e-6);
        let normal = Normal::new(10.0, 2.0).unwrap();
        let same = delays(&[1.0; 20]);
        let (mut held, mut naive) = (0, 0);
        for study in 0..STUDIES {
            let mut rng = stream(11, Purpose::Design, study, 0);
            let delays: Vec<Clusters> =
                (0..4).map(|_| delays(&(0..20).map(|_| normal.sample(&mut rng)).collect::<Vec<_>>())).collect();
            let candidates: Vec<Candidate<'_>> =
                delays.iter().map(|delay| Candidate { sweep: "", setting: "", goals: [&same, &same, delay] }).collect();
            let found = dominators(&inference(Vec::new()), &candidates);
            held += usize::from(found.iter().flatten().any(|by| by.sure));
            let unadjusted = |a: usize, b: usize| {
                a != b && p_of_dominance(&inference(Vec::new()), &candidates[b], &candidates[a], &[0.0; 3]) <= 0.05
            };
            naive += usize::from((0..4).any(|a| (0..4).any(|b| unadjusted(a, b))));
        }
        assert!(held <= MOST, "{held} of {STUDIES}");
        assert!(held > 0, "the procedure has power at all");
        assert!(naive > MOST, "without Holm's method the gate refuses: {naive} of {STUDIES}");
    }

    #[test]
    fn the_share_of_the_box_is_that_of_its_corner() {
        let share = share_of_box(&[[10.0, 25.0, 150.0], [60.0, 1.0, 1.0]], &[true, true], [50.0, 50.0, 300.0]);
        assert!((share - 0.8 * 0.5 * 0.5).abs() < 1e-12, "a point beyond the reference adds nothing: {share}");
    }
}
