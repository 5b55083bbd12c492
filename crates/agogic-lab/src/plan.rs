//! How many people a human study needs, with the people and policies of a study spec.

use agogic_plan::{Design, Errors, PlanError, Pool, PoolSpec, simulate_person};
use agogic_policy::Setting;
use rayon::prelude::*;

use crate::decider::Decider;
use crate::study::{Arm, Study};

/// Number of the first person of a pool. Judged and training typists have numbers far from it.
const FIRST: u64 = 1 << 41;

/// What a pool is made of.
#[derive(Clone, Copy, Debug)]
pub struct PoolPlan {
    /// Indices of the two policies.
    pub policies: [usize; 2],
    /// Which errors are counted.
    pub errors: Errors,
    /// How both policies are tried by each person.
    pub design: Design,
    /// Minutes of the longest session.
    pub minutes: usize,
    /// People in the pool.
    pub people: u64,
}

/// Why there is no pool. The texts continue "failed to plan the study: …".
#[derive(Debug, thiserror::Error)]
pub enum PoolError {
    /// A policy that is fitted to each person.
    #[error("the policy `{0}` is fitted to each person; plan with policies that are the same for all")]
    Personal(String),
    /// What the planner refuses.
    #[error(transparent)]
    Plan(#[from] PlanError),
}

/// Simulates a pool of people of one arm, on all cores.
///
/// # Errors
/// A personal policy; fewer than 100 people.
pub fn pool(study: &Study, arm: &Arm, plan: &PoolPlan, progress: &(dyn Fn(u64) + Sync)) -> Result<Pool, PoolError> {
    let setting = |at: usize| -> Result<&Setting, PoolError> {
        match &arm.deciders[at] {
            Decider::Common(setting) => Ok(setting),
            Decider::Personal(_) => Err(PoolError::Personal(study.policies[at].clone())),
        }
    };
    let spec = PoolSpec {
        population: &arm.population,
        plan: &arm.plan,
        workload: &arm.workload,
        board: &arm.board,
        assignment: &arm.assignment,
        settings: [setting(plan.policies[0])?, setting(plan.policies[1])?],
        errors: plan.errors,
        design: plan.design,
        minutes: plan.minutes,
        seed: study.seed,
    };
    let people = (FIRST..FIRST + plan.people)
        .into_par_iter()
        .map(|number| {
            let minutes = simulate_person(&spec, number);
            progress(1);
            minutes
        })
        .collect();
    Ok(Pool::new(people)?)
}
