//! What was read as a study can be run.

use agogic_lab::{ResultRow, run, run_sweep, sensitivity};
use agogic_sim::Engine;
use agogic_study::{Study, TrainingPlan};

/// Policies, sweeps and points that are run; more only take time.
const MOST: usize = 8;

/// Runs a study on few typists who press few keys.
///
/// # Panics
/// It cannot be run, or gives numbers that are none.
pub fn runs(mut study: Study) {
    if study.policies.len() + study.sweeps.len() > MOST {
        return;
    }
    study.typists = study.typists.min(3);
    study.arms.truncate(2);
    study.arms.iter_mut().for_each(|arm| arm.keys = arm.keys.min(40));
    study.floor.typists = study.floor.typists.min(1);
    study.floor.rehearsal = 2000;
    study.inference.resamples = 200;
    // Runs until it is precise enough, however rare the errors are.
    study.rare = None;
    // Few typists may make no hold, or no tap, to learn from; that is said, and nothing is run.
    study.training = TrainingPlan { typists: 2, keys: 200, prior_typists: 2, ..study.training };
    let Ok(engine) = Engine::new(&study) else { return };
    judge_rows(&run(&engine, &|_| ()).rows);
    if study.sweeps.iter().all(|sweep| sweep.points.len() <= MOST) && !study.sweeps.is_empty() {
        let result = run_sweep(&engine, None, &|_| ());
        assert_eq!(result.arms.len(), study.arms.len());
        for arm in &result.arms {
            assert!(arm.sweeps.iter().map(Vec::len).eq(study.sweeps.iter().map(|sweep| sweep.points.len())));
        }
    }
    if let Some(plan) = &mut study.sensitivity {
        (plan.rows, plan.typists) = (8, 2);
        let Ok(engine) = Engine::new(&study) else { return };
        assert!(sensitivity(&engine, None, &|_| ()).is_some());
    }
}

/// Checks the rows of a result: numbers are numbers, what is unknown says why, and limits are in order.
///
/// # Panics
/// Something does not hold.
pub fn judge_rows(rows: &[ResultRow]) {
    for row in rows {
        let estimate = &row.estimate;
        for number in [estimate.value, estimate.mcse, estimate.lo, estimate.hi].into_iter().flatten() {
            assert!(number.is_finite(), "{row:?}");
        }
        assert!(estimate.value.is_some() || estimate.reason.is_some(), "{row:?}");
        if let (Some(lo), Some(hi)) = (estimate.lo, estimate.hi) {
            assert!(lo <= hi, "{row:?}");
        }
    }
}
