//! Calibration finds planted values, and the shipped values are what it gave.

use agogic_literature::{
    CalibrationPlan, CheckPlan, Evaluator, Group, KeyMeasure, Measure, Moment, Parameter, ParameterScale, Statistic,
    Target, calibrate, four_digits, moments_hash, probe, shipped, simulate, volunteers_parameters,
};
use agogic_typist::{Constant, Population, Provenance, Trait, TraitSpread, register};

const TEXT: &str = include_str!("../../../../data-synthetic/texts/tide-station.txt");

/// Standard errors allowed: alpha about 1e-6 for a normal estimate, two-sided.
const ALLOWED: f64 = 4.9;

/// Upper quantile of chi-square with 3 degrees of freedom (7 moments less 4 parameters) at 1e-6. The residuals'
/// scales hold the noise of both sides, so that J keeps below it under the right model.
const J_LIMIT: f64 = 30.66;

const TRUTH: [f64; 4] = [110.0, 0.5, 84.0, 0.22];

fn parameters() -> Vec<Parameter> {
    let p = |target, scale, lo, start, hi| Parameter { target, scale, lo, start, hi };
    vec![
        p(Target::Median(Trait::Interval), ParameterScale::Log, 50.0, 80.0, 170.0),
        p(Target::Spread(Trait::Interval), ParameterScale::Log, 0.4, 0.7, 1.0),
        p(Target::Median(Trait::Dwell), ParameterScale::Log, 70.0, 110.0, 130.0),
        p(Target::Median(Trait::DwellSpread), ParameterScale::Log, 0.1, 0.4, 0.6),
    ]
}

/// The population the planted moments come from; `rests`, the share of presses on which a finger rests, is no parameter
/// of the fit.
fn planted(rests: f64) -> Population {
    let base = Population::volunteers();
    let spread = |id| base.spread_of(id).spread;
    let with = |p: Population, id, median, spread| p.with_trait(id, TraitSpread { median, spread }).unwrap();
    let p = with(base.clone(), Trait::Interval, TRUTH[0], TRUTH[1]);
    let p = with(p, Trait::Dwell, TRUTH[2], spread(Trait::Dwell));
    let p = with(p, Trait::DwellSpread, TRUTH[3], spread(Trait::DwellSpread));
    p.with_constant(Constant::LongDwellShare, rests).unwrap()
}

fn usual() -> f64 {
    Population::volunteers().constant(Constant::LongDwellShare)
}

/// Moments of 1 500 other people, with their Monte Carlo errors as tolerances.
fn moments(population: &Population) -> Vec<Moment> {
    let statistics = [
        Statistic::PersonMean(Measure::Interval, Group::All),
        Statistic::PersonSd(Measure::Interval, Group::All),
        Statistic::PersonQuantile(Measure::Interval, 0.5),
        Statistic::PersonMean(Measure::Dwell, Group::All),
        Statistic::PersonMean(Measure::Overlap, Group::All),
        Statistic::PersonMean(Measure::Rollover, Group::All),
        Statistic::KeyQuantile(KeyMeasure::Dwell, 0.5, Group::All),
    ];
    let plan = CheckPlan { typists: 1500, keys: 150, seed: 71, resamples: 60, ..CheckPlan::new(TEXT) };
    let sample = simulate(population, &plan).unwrap();
    let mut evaluator = Evaluator::new(&sample);
    let of = |statistic: Statistic| {
        let seen = evaluator.simulate(statistic).unwrap();
        Moment { id: statistic.to_string(), statistic, value: seen.value, tolerance: seen.mcse.unwrap() }
    };
    statistics.map(of).to_vec()
}

fn plan(moments: Vec<Moment>) -> CalibrationPlan<'static> {
    CalibrationPlan {
        population: Population::volunteers(),
        parameters: parameters(),
        moments,
        simulation: CheckPlan { typists: 400, keys: 150, seed: 5, ..CheckPlan::new(TEXT) },
        iterations: 10,
        replicates: 8,
    }
}

#[test]
fn planted_values_are_found_from_a_wrong_start() {
    let done = calibrate(&plan(moments(&planted(usual()))), &|_| {}).unwrap();
    let mut far = 0;
    for (p, truth) in done.parameters.iter().zip(TRUTH) {
        let error = (p.estimate - truth).abs() / p.standard_error;
        assert!(error <= ALLOWED, "{}: {} ± {}, planted {truth}", p.name, p.estimate, p.standard_error);
        assert!((p.estimate - truth).abs() < (p.start - truth).abs(), "{} was not moved towards the truth", p.name);
        assert!(p.pinned, "{}", p.name);
        far += usize::from((p.start - truth).abs() > ALLOWED * p.standard_error);
    }
    // The gate could have failed: the wrong start would not have passed it.
    assert!(far >= 3, "only {far} starts lie outside the gate");
    assert!(done.objective < 0.01 * done.objective_before, "{} of {}", done.objective, done.objective_before);
    assert!(done.objective < J_LIMIT, "{}", done.objective);
}

#[test]
fn a_model_that_cannot_dwell_that_way_is_told_by_its_objective() {
    // A finger rests on one key in five: no value of the four parameters gives these moments.
    let done = calibrate(&plan(moments(&planted(0.2))), &|_| {}).unwrap();
    assert!(done.objective > J_LIMIT, "{}", done.objective);
}

#[test]
fn the_outcome_does_not_depend_on_threads() {
    let mut small = plan(moments(&planted(usual())));
    small.simulation.typists = 60;
    small.iterations = 2;
    small.replicates = 4;
    let run = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| serde_json::to_string(&calibrate(&small, &|_| {}).unwrap()).unwrap())
    };
    assert_eq!(run(1), run(3));
}

#[test]
fn plans_that_cannot_work_are_refused() {
    let moments = moments(&planted(usual()));
    let refused = |change: &dyn Fn(&mut CalibrationPlan<'static>)| {
        let mut bad = plan(moments.clone());
        change(&mut bad);
        calibrate(&bad, &|_| {}).unwrap_err().to_string()
    };
    assert!(refused(&|p| p.parameters[0].start = 40.0).contains("interval_ms.median"));
    assert!(refused(&|p| p.parameters[0].lo = f64::NAN).contains("bounds"));
    assert!(refused(&|p| p.moments.truncate(3)).contains("3 moments"));
    assert!(refused(&|p| p.iterations = 0).contains("iterations"));
    assert!(refused(&|p| p.simulation.typists = 3).contains("typists"));
}

/// Fails when the list, the rows, the model or the file of values changed after the calibration was made.
#[test]
fn shipped_values_are_the_recorded_calibration() {
    const AGAIN: &str = "run `cargo run --release -p agogic-literature --example calibrate -- --write`";
    let record = shipped();
    let calibration = &record.calibration;
    assert!(calibration.converged, "{}", calibration.termination);
    let rows = Moment::calibration_rows("volunteers");
    assert_eq!(moments_hash(&rows), calibration.moments_hash, "the calibration rows changed: {AGAIN}");
    let list: Vec<_> = volunteers_parameters().iter().map(|p| (p.name(), p.scale, p.lo, p.start, p.hi)).collect();
    let fitted: Vec<_> =
        calibration.parameters.iter().map(|p| (p.name.clone(), p.scale, p.lo, p.start, p.hi)).collect();
    assert_eq!(list, fitted, "the list of parameters changed: {AGAIN}");
    let register = register();
    for p in &calibration.parameters {
        let entry = register.iter().find(|e| e.population == "volunteers" && e.name == p.name).unwrap();
        assert_eq!(entry.value, four_digits(p.estimate), "{}: {AGAIN}", p.name);
        match &entry.provenance {
            Provenance::Derived { how } => {
                assert!(how.starts_with("calibrate: ") && p.pinned, "{} is not pinned", p.name)
            }
            Provenance::Assumed { lo, hi, .. } => {
                assert!(!p.pinned, "{} is pinned, and no longer assumed", p.name);
                assert_eq!((*lo, *hi), (p.lo, p.hi), "{}: its range is not that of the calibration", p.name);
            }
            Provenance::Published { .. } | Provenance::Stated => panic!("{} is fitted, not published", p.name),
        }
    }
    let j: f64 = calibration.moments.iter().map(|m| m.residual_after.powi(2)).sum();
    assert!((j / calibration.objective - 1.0).abs() < 1e-9);
    let now = probe(&Population::volunteers(), TEXT);
    assert_eq!(now.keys().collect::<Vec<_>>(), record.probe.keys().collect::<Vec<_>>());
    for (id, value) in &now {
        let was = record.probe[id];
        assert!((value - was).abs() <= 1e-9 * was.abs(), "the model changed ({id}: {value}, was {was}): {AGAIN}");
    }
}
