//! Power by trial studies, and the number of people that gives the power wanted.

use agogic_keys::{Purpose, Stream, stream};
use agogic_stats::{
    Interval, Level, StudentT, Trials, normal_density, normal_quantile, paired_difference, tost_clusters, wilson,
};
use rand::RngExt;
use serde::Serialize;

use crate::pool::{Minute, PlanError, Pool, sides};

/// Numbers of people tried around the first guess, as multiples of it.
const AROUND: [f64; 7] = [0.5, 0.65, 0.8, 1.0, 1.25, 1.55, 1.9];

/// Groups of the jackknife.
const GROUPS: usize = 50;

/// Fewest people a study may have.
const LEAST: usize = 4;

/// Share of the pool that a trial study may take. Larger ones would be too much alike.
const SHARE: f64 = 0.25;

/// What the study is to show.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Aim {
    /// That the policies differ: the interval of the difference leaves out 0.
    Difference,
    /// That they differ by less than this either way, by two one-sided tests.
    Equivalence {
        /// Largest difference that does not matter, in the unit of the rate.
        margin: f64,
    },
}

/// What is asked of the study.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Question {
    /// What it is to show.
    pub aim: Aim,
    /// Error allowed: two-sided for a difference, of each test for equivalence.
    pub alpha: f64,
    /// Power wanted.
    pub power: f64,
    /// Trial studies for each number of people.
    pub replicates: u64,
    /// Seed.
    pub seed: u64,
}

impl Question {
    /// Power 80 % at an error of 5 %, by 1000 trial studies.
    pub fn new(aim: Aim) -> Self {
        Self { aim, alpha: 0.05, power: 0.8, replicates: 1000, seed: 1 }
    }

    fn check(&self) -> Result<(), PlanError> {
        let within = |what, value: f64, lo: f64, hi: f64, wanted| {
            if value > lo && value < hi { Ok(()) } else { Err(PlanError::Value { what, wanted, value }) }
        };
        within("the error allowed", self.alpha, 0.0, 0.5, "between 0 and 0.5")?;
        within("the power wanted", self.power, self.alpha, 1.0, "between the error allowed and 1")?;
        within("the number of trial studies", self.replicates as f64, 99.0, f64::INFINITY, "at 100 or more")?;
        match self.aim {
            Aim::Equivalence { margin } => within("the margin", margin, 0.0, 1.0, "between 0 and 1"),
            Aim::Difference => Ok(()),
        }
    }
}

/// A share of trial studies with its Wilson interval at 95 %.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Power {
    /// People in each study.
    pub people: usize,
    /// Studies that answered yes.
    pub share: f64,
    /// Lower limit.
    pub lo: f64,
    /// Upper limit.
    pub hi: f64,
}

/// The answer for one length of session.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// Minutes each person types, under each policy in a crossover.
    pub minutes: usize,
    /// People needed; `None` with a reason.
    pub people: Option<usize>,
    /// Interval for it at 95 %, for trial studies and pool together.
    pub between: Option<(usize, usize)>,
    /// How far its upper limit lies above it, as a share of it.
    pub within: Option<f64>,
    /// Why a number is missing.
    pub reason: Option<String>,
    /// Power found at that number, in trial studies of their own.
    pub found: Option<Power>,
    /// The same analysis where there is nothing to find, at that number: labels of the two policies exchanged at
    /// random for a difference; both policies a margin apart for equivalence.
    pub false_positives: Option<Power>,
    /// Rates of the pool under both policies in those minutes.
    pub rates: [f64; 2],
    /// The points the number was read off.
    pub curve: Vec<Power>,
}

/// Streams: one address for each use.
#[derive(Clone, Copy)]
enum Use {
    Curve = 1,
    Found = 2,
    Null = 3,
}

fn rng(question: &Question, usage: Use, people: usize, replicate: u64) -> Stream {
    stream(question.seed, Purpose::Design, people as u64, ((usage as u64) << 40) | replicate)
}

/// `n` different people of `order`, which is put back in order for the next draw.
fn draw(rng: &mut Stream, n: usize, order: &mut [usize]) -> Vec<usize> {
    // The first n places of a shuffle.
    let swaps: Vec<usize> = (0..n)
        .map(|i| {
            let left = order.len() - i;
            let j = i + ((rng.random::<f64>() * left as f64) as usize).min(left - 1);
            order.swap(i, j);
            j
        })
        .collect();
    let drawn = order[..n].to_vec();
    // What was drawn must not depend on earlier draws, and setting up the whole order again is slow.
    for (i, j) in swaps.into_iter().enumerate().rev() {
        order.swap(i, j);
    }
    drawn
}

fn shows(question: &Question, people: impl Iterator<Item = Minute> + Clone, centre: f64) -> bool {
    let [first, second] = sides(people);
    match question.aim {
        Aim::Difference => {
            let level = Level::new(1.0 - question.alpha).expect("checked");
            let found = paired_difference(&first, &second, level).expect("the same people");
            found.mcse.is_some() && found.interval().is_some_and(|interval| !interval.contains(0.0))
        }
        Aim::Equivalence { margin } => {
            let level = Level::new(1.0 - 2.0 * question.alpha).expect("checked");
            let margin = Interval { lo: centre - margin, hi: centre + margin };
            tost_clusters(&first, &second, margin, level).is_ok_and(|found| found.is_equivalent(question.alpha))
        }
    }
}

fn share(question: &Question, totals: &[Minute], n: usize, usage: Use) -> Power {
    let mut order: Vec<usize> = (0..totals.len()).collect();
    // For equivalence the margin is moved so that its end lies on the pool's own difference.
    let centre = match (question.aim, usage) {
        (Aim::Equivalence { margin }, Use::Null) => mean_difference(totals) + margin,
        _ => 0.0,
    };
    let swaps = question.aim == Aim::Difference && matches!(usage, Use::Null);
    let yes = (0..question.replicates)
        .filter(|&replicate| {
            let mut rng = rng(question, usage, n, replicate);
            let drawn = draw(&mut rng, n, &mut order);
            let swapped: Vec<bool> = (0..n).map(|_| swaps && rng.random::<f64>() < 0.5).collect();
            let people = drawn.iter().zip(&swapped).map(|(&at, &swap)| {
                let [first, second] = totals[at];
                if swap { [second, first] } else { [first, second] }
            });
            shows(question, people, centre)
        })
        .count() as u64;
    let trials = Trials::new(yes, question.replicates).expect("a count");
    let Interval { lo, hi } = wilson(trials, Level::P95);
    Power { people: n, share: yes as f64 / question.replicates as f64, lo, hi }
}

fn mean_difference(totals: &[Minute]) -> f64 {
    let [first, second] = sides(totals.iter().copied());
    paired_difference(&first, &second, Level::P95).ok().and_then(|found| found.value).unwrap_or(0.0)
}

/// Power of studies of `people` typing `minutes`.
///
/// # Errors
/// A question out of range, more minutes than the pool has, or people not between 4 and a quarter of the pool.
pub fn power(pool: &Pool, question: &Question, people: usize, minutes: usize) -> Result<Power, PlanError> {
    question.check()?;
    let totals = totals(pool, minutes)?;
    if !(LEAST..=largest(&totals)).contains(&people) {
        let (what, wanted) = ("the number of people", "between 4 and a quarter of the pool");
        return Err(PlanError::Value { what, wanted, value: people as f64 });
    }
    Ok(share(question, &totals, people, Use::Curve))
}

fn totals(pool: &Pool, minutes: usize) -> Result<Vec<Minute>, PlanError> {
    if minutes == 0 || minutes > pool.minutes() {
        return Err(PlanError::Long { asked: minutes, simulated: pool.minutes() });
    }
    Ok(pool.totals(minutes))
}

fn largest(totals: &[Minute]) -> usize {
    (totals.len() as f64 * SHARE) as usize
}

/// The number of people from a pool, with the variance of its logarithm over trial studies.
struct Fit {
    people: f64,
    log_variance: f64,
    curve: Vec<Power>,
}

/// Reads the number of people off a probit line of power over √n.
fn fit(question: &Question, totals: &[Minute], most: usize) -> Result<Fit, String> {
    let guess = guess(question, totals)?;
    // Beyond what the pool can show nothing is tried: a line is read between its points, not far outside them.
    if guess > 1.3 * most as f64 {
        return Err(format!(
            "about {guess:.0} people would be needed, more than the {most} that a pool of {} bears",
            totals.len()
        ));
    }
    let mut tried: Vec<usize> =
        AROUND.iter().map(|factor| ((guess * factor).round() as usize).clamp(LEAST, most)).collect();
    tried.dedup();
    let curve: Vec<Power> = tried.iter().map(|&n| share(question, totals, n, Use::Curve)).collect();
    let r = question.replicates as f64;
    // Weighted least squares on the probit scale, shares of 0 and 1 moved in by half a study.
    let mut sums = [0.0; 5];
    for point in &curve {
        let p = point.share.clamp(0.5 / r, 1.0 - 0.5 / r);
        let y = normal_quantile(p);
        let density = normal_density(y);
        let weight = r * density * density / (p * (1.0 - p));
        let x = libm::sqrt(point.people as f64);
        for (sum, term) in sums.iter_mut().zip([1.0, x, y, x * x, x * y]) {
            *sum += weight * term;
        }
    }
    let [w, wx, wy, wxx, wxy] = sums;
    let determinant = w * wxx - wx * wx;
    let target = normal_quantile(question.power);
    let a_line = determinant > 1e-9 * w * wxx;
    if tried.len() < 2 || !a_line {
        return match curve.first() {
            Some(point) if point.share >= question.power => {
                Ok(Fit { people: point.people as f64, log_variance: 0.0, curve })
            }
            _ => Err("too few numbers of people could be tried; simulate a larger pool".to_owned()),
        };
    }
    let slope = (w * wxy - wx * wy) / determinant;
    let intercept = (wy - slope * wx) / w;
    let rises = slope > 0.0;
    if !rises {
        return Err("power does not rise with the number of people: there is no such difference to find".to_owned());
    }
    let root = ((target - intercept) / slope).max(libm::sqrt(LEAST as f64));
    // Delta method: root = (target − a)/b with the covariance of a and b.
    let (var_a, var_b, cov) = (wxx / determinant, w / determinant, -wx / determinant);
    let variance = (var_a + 2.0 * root * cov + root * root * var_b) / (slope * slope);
    Ok(Fit { people: root * root, log_variance: 4.0 * variance / (root * root), curve })
}

/// A first guess from the spread of the differences in the pool, as for a paired t test.
fn guess(question: &Question, totals: &[Minute]) -> Result<f64, String> {
    let [first, second] = sides(totals.iter().copied());
    let found = paired_difference(&first, &second, Level::P95).map_err(|error| error.to_string())?;
    let (Some(difference), Some(error)) = (found.value, found.mcse) else {
        return Err("the policies do not differ in any person of the pool".to_owned());
    };
    let variance = error * error * totals.len() as f64;
    let z = |p: f64| normal_quantile(p);
    let (distance, quantiles) = match question.aim {
        Aim::Difference => (difference.abs(), z(1.0 - question.alpha / 2.0) + z(question.power)),
        Aim::Equivalence { margin } => {
            if difference.abs() >= margin {
                return Err(format!("the policies differ by {difference:.2e}, which is not within the margin"));
            }
            // Near no difference both tests can fail.
            (margin - difference.abs(), z(1.0 - question.alpha) + z(0.5 + question.power / 2.0))
        }
    };
    let apart = distance > 0.0;
    if !apart {
        return Err("there is no difference to find".to_owned());
    }
    Ok((variance * quantiles * quantiles / (distance * distance) + 2.0).max(LEAST as f64))
}

/// Variance that the pool leaves in the logarithm of the number of people.
///
/// # Definition
/// Delete-a-group jackknife of the number by formula, as for a paired t test. The number read off trial studies goes in
/// proportion to it, and its own changes from pool to pool would drown in the luck of the trial studies.
fn variance_by_pool(question: &Question, totals: &[Minute]) -> Option<f64> {
    let part = |group: usize| -> Vec<Minute> {
        totals.iter().enumerate().filter(|(person, _)| person % GROUPS != group).map(|(_, totals)| *totals).collect()
    };
    let logs: Vec<f64> = (0..GROUPS).map_while(|group| guess(question, &part(group)).ok()).map(libm::log).collect();
    let g = GROUPS as f64;
    let mean = logs.iter().sum::<f64>() / g;
    let squares: f64 = logs.iter().map(|log| (log - mean) * (log - mean)).sum();
    (logs.len() == GROUPS).then_some((g - 1.0) / g * squares)
}

fn critical() -> f64 {
    StudentT::new(GROUPS as f64 - 1.0).expect("some groups").critical(Level::P95)
}

/// Half-width of the 95 % interval that the pool alone leaves in the logarithm of the number of people; `None` where
/// the pool cannot tell.
pub(crate) fn spread_by_pool(pool: &Pool, question: &Question, minutes: usize) -> Result<Option<f64>, PlanError> {
    question.check()?;
    let totals = totals(pool, minutes)?;
    Ok(variance_by_pool(question, &totals).map(|variance| critical() * libm::sqrt(variance)))
}

/// People needed when each types for `minutes`.
///
/// # Undefined
/// No number, with a reason, where the pool cannot tell.
///
/// # Errors
/// A question out of range, or more minutes than the pool has.
pub fn needed(pool: &Pool, question: &Question, minutes: usize) -> Result<Row, PlanError> {
    question.check()?;
    let totals = totals(pool, minutes)?;
    let most = largest(&totals);
    let rate = |side: usize| {
        let (errors, of) = totals.iter().fold((0, 0), |(e, o), person| (e + person[side].0, o + person[side].1));
        errors as f64 / (of as f64).max(1.0)
    };
    let empty = Row {
        minutes,
        people: None,
        between: None,
        within: None,
        reason: None,
        found: None,
        false_positives: None,
        rates: [rate(0), rate(1)],
        curve: Vec::new(),
    };
    let whole = match fit(question, &totals, most) {
        Ok(whole) => whole,
        Err(reason) => return Ok(Row { reason: Some(reason), ..empty }),
    };
    let people = whole.people.ceil() as usize;
    let half = variance_by_pool(question, &totals).map(|by_pool| critical() * libm::sqrt(whole.log_variance + by_pool));
    let between = half.map(|half| {
        let at = |log: f64| libm::exp(libm::log(whole.people) + log);
        ((at(-half).floor() as usize).max(LEAST), at(half).ceil() as usize)
    });
    let reason = between.is_none().then(|| "parts of the pool gave no number; simulate a larger one".to_owned());
    let at = people.clamp(LEAST, most);
    Ok(Row {
        people: Some(people),
        between,
        within: half.map(libm::expm1),
        reason,
        found: Some(share(question, &totals, at, Use::Found)),
        false_positives: Some(share(question, &totals, at, Use::Null)),
        curve: whole.curve,
        ..empty
    })
}
