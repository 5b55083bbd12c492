//! Drawn typists and what settings cost them.

use agogic_policy::Setting;
use agogic_sim::numbers::PERSONAL_COMMON;
use agogic_sim::{ArmRunner, Buffers, Trial};
use agogic_study::EstimandInfo;
use agogic_typist::{Population, SessionAddress};
use rayon::prelude::*;

use super::PersonalQuestion;
use super::candidates::candidates;

/// What one setting costs one drawn typist, and its wrong decisions by kind.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Loss {
    /// Numerator and denominator of the objective.
    pub parts: (f64, f64),
    /// False holds and taps, missed holds and holds.
    pub wrong: [f64; 4],
    pub words: f64,
}

impl Loss {
    pub fn add(&mut self, other: &Self) {
        self.parts.0 += other.parts.0;
        self.parts.1 += other.parts.1;
        self.wrong.iter_mut().zip(other.wrong).for_each(|(sum, more)| *sum += more);
        self.words += other.words;
    }

    /// The objective in its unit; `None` without opportunities.
    pub fn value(&self, objective: &EstimandInfo) -> Option<f64> {
        (self.parts.1 > 0.0).then(|| objective.scale * self.parts.0 / self.parts.1)
    }
}

/// Lets typists `first`, `first + 1`, … of `people` type, and judges every setting on the same presses.
///
/// # Shape
/// By typist, by session, by setting. Sessions of a typist are replicates of `keys` presses each.
pub(super) fn judged(
    question: &PersonalQuestion<'_>,
    people: &Population,
    (first, count): (u64, u64),
    sessions: u64,
    settings: &[&Setting],
) -> Vec<Vec<Vec<Loss>>> {
    let runner = ArmRunner::new(question.arm);
    (first..first + count)
        .into_par_iter()
        .map_init(Buffers::default, |buffers, typist| {
            (0..sessions)
                .map(|replicate| {
                    let address = SessionAddress { seed: question.seed, replicate };
                    let trial = Trial { population: people, typist, address, keys: question.keys };
                    let session = runner.perform(trial).session;
                    let mut losses = Vec::with_capacity(settings.len());
                    runner.judge(buffers, &runner.transcript(&session), settings, question.costs, |_, score, _| {
                        let counts = &score.counts;
                        losses.push(Loss {
                            parts: (question.objective.parts)(&score),
                            wrong: [counts.false_holds, counts.taps, counts.missed_holds, counts.holds]
                                .map(|count| count as f64),
                            words: counts.words as f64,
                        });
                    });
                    losses
                })
                .collect()
        })
        .collect()
}

/// Sums over typists and sessions, by setting.
pub(super) fn pooled(judged: &[Vec<Vec<Loss>>], settings: usize) -> Vec<Loss> {
    let mut sums = vec![Loss::default(); settings];
    for losses in judged.iter().flatten() {
        sums.iter_mut().zip(losses).for_each(|(sum, loss)| sum.add(loss));
    }
    sums
}

/// What every candidate costs the people of the population together: the defaults follow from it.
#[derive(Clone, Debug)]
pub struct CommonLosses(pub(super) Vec<Loss>);

/// Lets people of the arm's population type under every candidate.
pub fn common_losses(question: &PersonalQuestion<'_>) -> CommonLosses {
    let all = candidates();
    let settings: Vec<&Setting> = all.iter().map(|candidate| &candidate.setting).collect();
    let people = (PERSONAL_COMMON, question.common_people);
    CommonLosses(pooled(&judged(question, &question.arm.population, people, 1, &settings), settings.len()))
}
