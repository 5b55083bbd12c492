//! The race on the search typists, with newcomers near the leaders.

use agogic_sim::TrainedArm;
use agogic_sim::numbers::SEARCH;
use agogic_stats::Clusters;
use agogic_stats::race::{Race, RaceRules, Shortlist, Tally};
use agogic_study::{AdvicePlan, EstimandInfo, Study};

use super::asked::demands;
use crate::candidates::{Candidate, Judge};

/// Objectives that are tried as well, to see whether the advice hangs on which one is taken.
pub(super) const OBJECTIVES: [&str; 3] = ["false_holds", "wrong_keys", "harm"];

/// What the search leaves behind.
pub(super) struct Search {
    pub rules: RaceRules,
    /// All that took part, in the order of entry.
    pub candidates: Vec<Candidate>,
    pub race: Race,
    pub list: Shortlist,
    /// The estimands that are held of each search typist.
    pub estimands: Vec<&'static EstimandInfo>,
    /// Their parts, candidate by candidate and typist by typist.
    pub parts: Vec<Vec<Vec<(f64, f64)>>>,
}

impl Search {
    pub fn run(
        study: &Study,
        plan: &AdvicePlan,
        arm: &TrainedArm<'_>,
        judge: &Judge<'_>,
        admits: impl Fn(&Candidate) -> bool,
    ) -> Self {
        let mut candidates = Candidate::all(study, arm);
        // A study of nothing but rules that are not admitted keeps them, with what is said beside the advice.
        if candidates.iter().any(&admits) {
            candidates.retain(&admits);
        }
        let looks = plan.looks();
        let rounds = looks.len() - 1;
        let newcomers = rounds * plan.shortlist * Candidate::most_neighbours(study);
        let rules = RaceRules {
            level: study.inference.level,
            candidates: candidates.len() + newcomers,
            looks: looks.len(),
            shortlist: plan.shortlist,
            fresh: plan.confirm_typists,
        };
        let mut race = Race::new(rules, demands(plan));
        let estimands = estimands(plan);
        let mut parts: Vec<Vec<Vec<(f64, f64)>>> = vec![Vec::new(); candidates.len()];
        race.enter(candidates.iter().map(|_| tally(plan, &estimands, &[])));
        for (round, &typists) in looks.iter().enumerate() {
            let seen = race.run_to(typists, |running, units| {
                let own: Vec<&Candidate> = running.iter().map(|&at| &candidates[at]).collect();
                let found = see(judge, &estimands, &own, units.start..units.end);
                running
                    .iter()
                    .zip(found)
                    .map(|(&at, more)| {
                        let tally = tally(plan, &estimands, &more);
                        parts[at].extend(more);
                        tally
                    })
                    .collect()
            });
            seen.expect("all are typists");
            if round == rounds {
                break;
            }
            let leaders = race.shortlist().chosen;
            let mut entering: Vec<Candidate> = Vec::new();
            for leader in leaders {
                for newcomer in candidates[leader].neighbours(study, arm, round as u32 + 1) {
                    let known = candidates.iter().chain(&entering).any(|own| own.label == newcomer.label);
                    if !known {
                        entering.push(newcomer);
                    }
                }
            }
            // They meet the same typists as the others, from the first one on.
            let found = see(judge, &estimands, &entering.iter().collect::<Vec<_>>(), 0..typists);
            race.enter(found.iter().map(|own| tally(plan, &estimands, own)));
            parts.extend(found);
            candidates.extend(entering);
        }
        let list = race.shortlist();
        let mut search = Self { rules, candidates, race, list, estimands, parts };
        if search.list.chosen.is_empty() {
            // All went home: the ones that came nearest are shown, so that the reader learns by how much they fail.
            search.list.chosen = search.nearest(plan.shortlist, |_| true);
            search.list.promise = vec![0.0; search.list.chosen.len()];
        }
        search
    }

    /// Takes settings off the short list.
    pub fn keep_listed(&mut self, keep: impl Fn(&Candidate) -> bool) {
        let kept: Vec<bool> = self.list.chosen.iter().map(|&at| keep(&self.candidates[at])).collect();
        let mut each = kept.iter().copied();
        self.list.chosen.retain(|_| each.next().expect("one for each"));
        let mut each = kept.iter().copied();
        self.list.promise.retain(|_| each.next().expect("one for each"));
    }

    /// Of the candidates asked for, the ones that served the most typists; of equals those with less loss.
    pub fn nearest(&self, most: usize, among: impl Fn(usize) -> bool) -> Vec<usize> {
        let runners = self.race.runners();
        let key = |at: usize| {
            let tally = &runners[at].tally;
            let (served, all) = tally.served_of();
            (-(served as f64) / all.max(1) as f64, tally.loss_value().unwrap_or(f64::MAX))
        };
        let mut order: Vec<usize> = (0..runners.len()).filter(|&at| among(at)).collect();
        order.sort_by(|&a, &b| key(a).partial_cmp(&key(b)).expect("numbers"));
        order.truncate(most);
        order
    }

    /// Place of an estimand among those of the search.
    pub fn place(&self, name: &str) -> Option<usize> {
        self.estimands.iter().position(|info| info.name == name)
    }
}

/// The objective, then other objectives, then what is limited; each once.
fn estimands(plan: &AdvicePlan) -> Vec<&'static EstimandInfo> {
    let others = OBJECTIVES.iter().filter_map(|name| EstimandInfo::by_name(name));
    let limited = plan.limits.iter().chain(&plan.limits_of_all).map(|line| line.info);
    let mut estimands: Vec<&'static EstimandInfo> = Vec::new();
    for info in std::iter::once(plan.objective).chain(others).chain(limited) {
        if !estimands.iter().any(|known| known.name == info.name) {
            estimands.push(info);
        }
    }
    estimands
}

/// Parts of the estimands: candidate by candidate, typist by typist.
fn see(
    judge: &Judge<'_>,
    estimands: &[&'static EstimandInfo],
    candidates: &[&Candidate],
    units: std::ops::Range<u64>,
) -> Vec<Vec<Vec<(f64, f64)>>> {
    let typists = SEARCH + units.start..SEARCH + units.end;
    let by_typist: Vec<Vec<Vec<(f64, f64)>>> = judge.each(candidates, typists, |row| {
        row.scores.iter().map(|score| estimands.iter().map(|info| (info.parts)(score)).collect()).collect()
    });
    let mut by_candidate: Vec<Vec<Vec<(f64, f64)>>> = vec![Vec::with_capacity(by_typist.len()); candidates.len()];
    for typist in by_typist {
        for (own, parts) in by_candidate.iter_mut().zip(typist) {
            own.push(parts);
        }
    }
    by_candidate
}

/// What typists say, from their parts.
fn tally(plan: &AdvicePlan, estimands: &[&'static EstimandInfo], typists: &[Vec<(f64, f64)>]) -> Tally {
    let place = |info: &EstimandInfo| {
        estimands.iter().position(|own| own.name == info.name).expect("an estimand of the search")
    };
    let gathered = |info: &'static EstimandInfo| -> Clusters {
        let at = place(info);
        info.clusters(typists.iter().map(|parts| parts[at]))
    };
    Tally {
        loss: gathered(plan.objective),
        served: typists.iter().map(|parts| plan.within(|info| parts[place(info)])).collect(),
        limited: plan.limits_of_all.iter().map(|line| gathered(line.info)).collect(),
    }
}
