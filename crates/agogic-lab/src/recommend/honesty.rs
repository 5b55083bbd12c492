//! Whether advice is as sure as it says, on people of whom everything is known.
//!
//! A pool of simulated typists, judged by a dozen settings, is taken for the whole population: each setting's loss and
//! share served are then known exactly. Each repetition draws its search typists and its fresh ones from the pool.

use agogic_keys::{Purpose, stream};
use agogic_sim::{Engine, TypistRow};
use agogic_stats::race::{Race, RaceRules, Tally, confirm};
use agogic_stats::{Clusters, Level, Trials, binomial_upper};
use agogic_study::{AdvicePlan, Study};
use rand::RngExt;

use super::asked::{demands, tally};
use crate::candidates::{Candidate, Judge};

/// Typists of the pool.
const POOL: u64 = 300;

/// Repetitions.
const TIMES: u64 = 500;

/// The share to be served lies between two settings, so that 400 fresh typists mostly tell the better one from it: that
/// serves 74 % of the pool, the next 66 %.
const SPEC: &str = r#"
name = "honesty"
seed = 11
[text]
built_in = "tide-station"
[workload]
shortcuts_per_1000_keys = 20
[typists]
number = 10
keys_each = 600
[advice]
objective = "false_holds"
limits = { missed_holds = 12, tap_delay_p95 = 220 }
served = 0.68
shortlist = 5
refinements = 0
[[policy]]
rule = "enclosed"
[[sweep]]
rule = "dwell-cutoff"
design = "grid"
over = { cutoff_ms = { from = 120, to = 240, steps = 9 } }
[[sweep]]
rule = "overlap-span"
design = "grid"
over = { span_ms = { from = 30, to = 90, steps = 4 } }
"#;

fn of(all: &Tally, drawn: &[usize]) -> Tally {
    let pick = |own: &Clusters| {
        Clusters::proportion("typist", drawn.iter().map(|&i| (own.numerators()[i], own.denominators()[i]))).unwrap()
    };
    Tally { loss: pick(&all.loss), served: drawn.iter().map(|&i| all.served[i]).collect(), limited: Vec::new() }
}

/// n = 500 repetitions; events with a true probability of 1.25 % (a quarter of 5 %) come up more than 21 times with
/// probability below 10⁻⁶.
#[test]
fn claims_about_typists_err_no_more_often_than_they_say() {
    let tail = binomial_upper(Trials::new(22, TIMES).unwrap(), 0.0125);
    assert!(tail < 1e-6);
    let study = Study::read(SPEC, std::path::Path::new(".")).unwrap();
    let plan: &AdvicePlan = study.advice.as_ref().unwrap();
    let engine = Engine::new(&study).unwrap();
    let arm = &engine.arms[0];
    let candidates = Candidate::all(&study, arm);
    let rows: Vec<TypistRow> =
        Judge::new(&study, arm, None, &|_| ()).rows(&candidates.iter().collect::<Vec<_>>(), 0..POOL);
    let pool: Vec<Tally> = (0..candidates.len()).map(|at| tally(plan, &rows, at)).collect();
    let share = |at: usize| {
        let (served, all) = pool[at].served_of();
        served as f64 / all as f64
    };
    let loss = |at: usize| pool[at].loss_value().unwrap();
    let able: Vec<usize> = (0..pool.len()).filter(|&at| share(at) >= plan.served).collect();
    assert!(able.len() >= 2 && able.len() + 2 <= pool.len(), "the limits divide the settings: {able:?}");
    let best = *able.iter().min_by(|&&a, &&b| loss(a).total_cmp(&loss(b))).unwrap();
    let rules = RaceRules { level: Level::P95, candidates: pool.len(), looks: 2, shortlist: 5, fresh: 400 };
    let (mut dropped, mut in_vain, mut missed, mut advised, mut near) = (0, 0, 0, 0, 0);
    for time in 0..TIMES {
        let mut rng = stream(study.seed, Purpose::Resampling, time, 0);
        let mut draw = |n: usize| -> Vec<usize> { (0..n).map(|_| rng.random_range(0..POOL as u32) as usize).collect() };
        let search = draw(200);
        let mut race = Race::new(rules, demands(plan));
        race.enter(pool.iter().map(|own| of(own, &[])));
        for units in [100, 200] {
            let see = |running: &[usize], more: std::ops::Range<u64>| {
                running.iter().map(|&at| of(&pool[at], &search[more.start as usize..more.end as usize])).collect()
            };
            race.run_to(units, see).unwrap();
        }
        dropped += usize::from(race.runners()[best].dropped.is_some());
        let list = race.shortlist().chosen;
        let fresh = draw(400);
        let seen: Vec<Tally> = list.iter().map(|&at| of(&pool[at], &fresh)).collect();
        let found = confirm(&rules, &demands(plan), &seen.iter().collect::<Vec<_>>());
        in_vain += usize::from(found.all.iter().zip(&list).any(|(own, &at)| own.meets && share(at) < plan.served));
        if let Some(chosen) = found.chosen {
            advised += 1;
            near += usize::from(loss(list[chosen]) <= 1.25 * loss(best));
            missed += usize::from(found.all.iter().zip(&list).any(|(own, &at)| {
                let truth = loss(at) - loss(list[chosen]);
                own.more_loss.as_ref().and_then(|gap| gap.interval()).is_some_and(|limits| !limits.contains(truth))
            }));
        }
    }
    assert!(dropped <= 21 && in_vain <= 21 && missed <= 21, "{dropped} {in_vain} {missed}");
    assert!(advised >= 450 && near * 10 >= advised * 8, "advice is given and good: {advised}, {near}");
}
