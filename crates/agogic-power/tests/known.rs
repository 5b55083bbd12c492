//! Numbers of people against the noncentral t distribution, from `reference/make_sample_sizes.py`.

use agogic_keys::{Assignment, Board, Modifier, Purpose, Rates, TextPlan, Unsupported, Workload, stream};
use agogic_policy::Setting;
use agogic_power::{
    Aim, Design, Errors, Minute, PlanError, Pool, PoolSpec, Question, WITHIN, grow, in_words, needed, power,
    simulate_person,
};
use agogic_stats::{Trials, binomial_lower, binomial_upper};
use agogic_typist::Population;
use rand_distr::{Distribution, StandardNormal};
use serde_json::Value;

const REFERENCE: &str = include_str!("reference/sample_sizes.json");

/// Opportunities of each person, and the SD of their difference in errors.
const OPPORTUNITIES: u64 = 1_000_000;
const SPREAD: f64 = 1000.0;

/// People whose rates differ by a normal amount with a mean of `d` SDs, so that the analysis is a paired t test.
fn normal_pool(people: u64, d: f64) -> Pool {
    let person = |number: u64| -> Vec<Minute> {
        let mut rng = stream(4, Purpose::Design, number, 7);
        let z: f64 = StandardNormal.sample(&mut rng);
        let common: f64 = StandardNormal.sample(&mut rng);
        let first = (500_000.0 + 5000.0 * common).round();
        let second = first - (SPREAD * (d + z)).round();
        vec![[(first as u64, OPPORTUNITIES), (second as u64, OPPORTUNITIES)]]
    };
    Pool::new((0..people).map(person).collect()).unwrap()
}

fn rows(name: &str) -> Vec<Value> {
    let reference: Value = serde_json::from_str(REFERENCE).unwrap();
    reference[name].as_array().unwrap().clone()
}

fn number(row: &Value, name: &str) -> f64 {
    row[name].as_f64().unwrap()
}

/// The number of people lies within 15 % and one person of the truth: a pool of 40 000 has the mean difference to
/// 0.005 SD, so n, in proportion to its square, to 2 % at d = 0.5; the line through 500 trial studies a point has n
/// to some 3 %; 15 % are four standard errors. The interval is nominal 95 %: of six it must hold at least three
/// (alpha = 1e-4). A wrong model, a test of the unpaired rates, needs 25 times as many.
#[test]
fn people_needed_are_those_of_the_noncentral_t() {
    let paired = rows("paired").into_iter().filter(|row| number(row, "d") > 0.4);
    let paired = paired.map(|row| (normal_pool(40_000, number(&row, "d")), Aim::Difference, row));
    let equivalence = rows("equivalence").into_iter().filter(|row| number(row, "margin") > 0.5).map(|row| {
        let margin = number(&row, "margin") * SPREAD / OPPORTUNITIES as f64;
        (normal_pool(40_000, 0.0), Aim::Equivalence { margin }, row)
    });
    let (mut held, mut seen) = (0, 0);
    for (pool, aim, row) in paired.chain(equivalence) {
        let question = Question { power: number(&row, "power"), replicates: 500, ..Question::new(aim) };
        let found = needed(&pool, &question, 1).unwrap();
        let (people, truth) = (found.people.unwrap() as f64, number(&row, "people"));
        assert!((people - truth).abs() <= 0.15 * truth + 1.0, "{row}: {people}");
        let (lo, hi) = found.between.unwrap();
        held += u64::from(lo as f64 <= truth && truth <= hi as f64);
        seen += 1;
    }
    assert!(seen == 6 && held >= 3, "{held} of {seen}");
}

/// n = 4000 trial studies, alpha = 1e-6 each way; the power without pairing is rejected.
#[test]
fn power_is_that_of_the_noncentral_t() {
    for row in rows("power_at") {
        let pool = normal_pool(40_000, number(&row, "d"));
        let question = Question { replicates: 4000, ..Question::new(Aim::Difference) };
        let people = number(&row, "people") as usize;
        let found = power(&pool, &question, people, 1).unwrap();
        let yes = Trials::new((found.share * 4000.0).round() as u64, 4000).unwrap();
        // The pool has d to one part in sixty at worst, which moves the power by at most 0.02.
        let truth = number(&row, "power");
        let possible = |p: f64| binomial_lower(yes, p) > 5e-7 && binomial_upper(yes, p) > 5e-7;
        assert!([-0.02, 0.0, 0.02].iter().any(|off| possible(truth + off)), "{row}: {found:?}");
        assert!(!possible(truth - 0.15), "{row}: {found:?}");
    }
}

/// People of 16 minutes whose rates differ by a normal amount with a mean of 0.3 SDs between them, and by as much noise
/// again in each minute: the true number is in proportion to 1 + 1/minutes.
fn minute_by_minute(numbers: std::ops::Range<u64>) -> Vec<Vec<Minute>> {
    let person = |number: u64| {
        let mut rng = stream(5, Purpose::Design, number, 7);
        let mut normal = || -> f64 { StandardNormal.sample(&mut rng) };
        let own = 0.3 + normal();
        let mut minute = || {
            let second = 500_000.0 - (SPREAD * (own + normal())).round();
            [(500_000, OPPORTUNITIES), (second as u64, OPPORTUNITIES)]
        };
        (0..16).map(|_| minute()).collect()
    };
    numbers.map(person).collect()
}

/// A pool grows until the numbers are known well enough, asks for each person once, and then longer sessions need no
/// more people. The first pool alone would not do.
#[test]
fn a_pool_grows_until_the_numbers_are_known() {
    let question = Question { replicates: 400, ..Question::new(Aim::Difference) };
    let asked = std::cell::RefCell::new(Vec::new());
    let simulate = |numbers: std::ops::Range<u64>| {
        asked.borrow_mut().push(numbers.clone());
        minute_by_minute(numbers)
    };
    let pool = grow(&question, &[1, 4, 16], 60_000, simulate, Ok).unwrap();
    let asked = asked.into_inner();
    assert!(asked.len() > 1 && asked.windows(2).all(|pair| pair[0].end == pair[1].start), "{asked:?}");
    assert_eq!((asked[0].start, asked.last().unwrap().end as usize), (0, pool.len()));
    assert!(pool.len() < 60_000, "{}", pool.len());
    let rows = [1, 4, 16].map(|minutes| needed(&pool, &question, minutes).unwrap());
    // The trial studies are fewer than usual, which leaves them a little more than their part.
    assert!(rows.iter().all(|row| row.within.unwrap() < WITHIN + 0.05), "{rows:?}");
    assert!(rows.windows(2).all(|pair| pair[0].people > pair[1].people), "{rows:?}");
    let first = Pool::new(minute_by_minute(0..1600)).unwrap();
    assert!(needed(&first, &question, 1).unwrap().within.is_none_or(|within| within > WITHIN));
    let small = grow(&question, &[1], 300, minute_by_minute, Ok).unwrap();
    assert_eq!(small.len(), 300);
}

#[test]
fn where_there_is_nothing_to_find_it_is_claimed_as_often_as_allowed() {
    let pool = normal_pool(10_000, 1.0);
    let question = Question { replicates: 1500, ..Question::new(Aim::Difference) };
    let none = needed(&pool, &question, 1).unwrap().false_positives.unwrap();
    let yes = Trials::new((none.share * 1500.0).round() as u64, 1500).unwrap();
    // n = 1500, alpha = 1e-6; twice the error allowed is rejected.
    assert!(binomial_upper(yes, 0.05) > 1e-6, "{none:?}");
    assert!(binomial_lower(yes, 0.11) < 1e-6, "{none:?}");
}

#[test]
fn what_the_pool_cannot_tell_is_said() {
    let question = Question { replicates: 200, ..Question::new(Aim::Difference) };
    let small = needed(&normal_pool(200, 0.1), &question, 1).unwrap();
    assert!(small.people.is_none() && small.reason.as_ref().unwrap().contains("more than the 50"), "{small:?}");
    let words = in_words(&question, &[small], ["one", "other"]);
    assert!(words.contains("not known") && words.contains("consent") && words.contains("adapt"));
    let same = Pool::new(vec![vec![[(3, 100), (3, 100)]]; 200]).unwrap();
    assert!(needed(&same, &question, 1).unwrap().reason.is_some());
    let pool = normal_pool(200, 0.5);
    assert!(matches!(needed(&pool, &question, 2), Err(PlanError::Long { asked: 2, simulated: 1 })));
    assert!(power(&pool, &question, 51, 1).is_err() && power(&pool, &question, 3, 1).is_err());
    for bad in [0.0, 0.5, f64::NAN] {
        assert!(needed(&pool, &Question { alpha: bad, ..question }, 1).is_err());
    }
    assert!(needed(&pool, &Question { power: 1.0, ..question }, 1).is_err());
    assert!(needed(&pool, &Question { aim: Aim::Equivalence { margin: -1.0 }, ..question }, 1).is_err());
    assert!(matches!(Pool::new(vec![vec![[(0, 0); 2]]; 99]), Err(PlanError::FewPeople(99))));
    assert!(Pool::new(vec![vec![[(2, 1), (0, 0)]]; 100]).is_err());
}

#[test]
fn simulated_people_type_for_the_minutes_asked() {
    let board = Board::row_staggered();
    let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
    let assignment = Assignment::resting(&board, order);
    let text = "The tide turns at noon. Ask Ada for the log.";
    let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
    let rates = Rates { shortcuts: 20.0, ..Rates::default() };
    let workload = Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).unwrap();
    let [first, second] = [("first-contact", &[][..]), ("overlap-span", &[("span_ms", 60.0)][..])]
        .map(|(name, values)| Setting::rule(name, values).unwrap());
    let population = Population::volunteers();
    let spec = PoolSpec {
        population: &population,
        plan: &plan,
        workload: &workload,
        board: &board,
        assignment: &assignment,
        settings: [&first, &second],
        errors: Errors::FalseHolds,
        design: Design::Replay,
        minutes: 3,
        seed: 2,
    };
    let pool = |spec: &PoolSpec<'_>| Pool::new((0..120).map(|number| simulate_person(spec, number)).collect()).unwrap();
    let replay = pool(&spec);
    // In a replay both policies see the same presses, and each minute has some.
    for number in 0..20 {
        let minutes = simulate_person(&spec, number);
        assert!(minutes.len() == 3 && minutes.iter().all(|[first, second]| first.1 == second.1 && first.1 > 5));
        assert_eq!(minutes, simulate_person(&PoolSpec { minutes: 5, ..spec }, number)[..3]);
    }
    let [a, b] = replay.rates().map(Option::unwrap);
    assert!(a > 1.5 * b, "{a} {b}");
    // In a crossover they are typed apart.
    let crossover = pool(&PoolSpec { design: Design::Crossover, ..spec });
    assert_ne!(crossover, replay);
    let question = Question { replicates: 200, ..Question::new(Aim::Difference) };
    let row = needed(&replay, &question, 3).unwrap();
    assert!(row.people.is_some_and(|people| people < 30), "{row:?}");
    // A stated difference: the same policy twice, with errors spared.
    let twice = pool(&PoolSpec { design: Design::Crossover, settings: [&first, &first], ..spec });
    let [before, _] = twice.rates().map(Option::unwrap);
    let spared = twice.clone().with_difference(0.2 * before, 1).unwrap();
    let [first, second] = spared.rates().map(Option::unwrap);
    // Some 20 000 opportunities: the difference is 0.2 of the rate to a few hundredths.
    assert!(((first - second) / first - 0.2).abs() < 0.08, "{first} {second}");
    for bad in [0.0, -0.1, 0.99, f64::NAN] {
        assert!(twice.clone().with_difference(bad, 1).is_err());
    }
}
