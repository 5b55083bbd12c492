//! How many people a human study needs, with the people and policies of a study spec.

use agogic_policy::Setting;
use agogic_power::{Design, Errors, Minute, PlanError, Pool, PoolSpec, Question, grow, simulate_person};
use agogic_sim::numbers::POOL;
use agogic_sim::{Decider, TrainedArm};
use agogic_study::Study;
use rayon::prelude::*;

/// What a pool is made of.
#[derive(Clone, Debug)]
pub struct PoolPlan {
    /// Indices of the two policies.
    pub policies: [usize; 2],
    /// Which errors are counted.
    pub errors: Errors,
    /// How both policies are tried by each person.
    pub design: Design,
    /// Minutes of each session asked about; a shorter one is the start of the longest.
    pub minutes: Vec<usize>,
    /// People in the pool, at most.
    pub most: u64,
    /// Difference in rates to be found, if it is stated and not the model's.
    pub difference: Option<f64>,
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

/// Simulates a pool of people of one arm, on all cores, until it answers `question` well enough or is as large as it
/// may be.
///
/// # Errors
/// A personal policy; fewer than 100 people; a question or a difference that cannot be.
pub fn pool(
    study: &Study,
    trained: &TrainedArm<'_>,
    plan: &PoolPlan,
    question: &Question,
    progress: &(dyn Fn(u64) + Sync),
) -> Result<Pool, PoolError> {
    let setting = |at: usize| -> Result<&Setting, PoolError> {
        match &trained.deciders[at] {
            Decider::Common(setting) => Ok(setting),
            Decider::Personal(_) | Decider::OwnTables(_) => Err(PoolError::Personal(study.policies[at].clone())),
        }
    };
    let arm = trained.arm();
    let spec = PoolSpec {
        population: &arm.population,
        plan: &arm.plan,
        workload: &arm.workload,
        board: &arm.board,
        assignment: &arm.assignment,
        settings: [setting(plan.policies[0])?, setting(plan.policies[1])?],
        errors: plan.errors,
        design: plan.design,
        minutes: plan.minutes.iter().copied().max().unwrap_or(1),
        seed: study.seed,
    };
    let simulate = |numbers: std::ops::Range<u64>| -> Vec<Vec<Minute>> {
        let one = |number: u64| {
            let minutes = simulate_person(&spec, POOL + number);
            progress(1);
            minutes
        };
        numbers.into_par_iter().map(one).collect()
    };
    let shape = |pool: Pool| match plan.difference {
        Some(difference) => pool.with_difference(difference, study.seed),
        None => Ok(pool),
    };
    Ok(grow(question, &plan.minutes, plan.most, simulate, shape)?)
}
