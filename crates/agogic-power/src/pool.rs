//! People to draw studies from.

use agogic_keys::{Assignment, Board, Purpose, TextPlan, Workload, stream};
use agogic_policy::{EncounterScan, Setting};
use agogic_stats::Clusters;
use agogic_typist::{Performer, Population, Session, SessionAddress, Typist};
use rand::RngExt;

/// Errors and opportunities of one minute under either policy.
pub type Minute = [(u64, u64); 2];

/// Why a plan cannot be made. The texts continue "failed to plan the study: …".
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// Too few people to draw studies from.
    #[error("the pool holds {0} people; at least 100 are needed to draw studies from")]
    FewPeople(usize),
    /// A person's minutes are not as many as another's.
    #[error("person {person} has {found} minutes where the first has {expected}; all must have as many")]
    Minutes {
        /// Position of the person.
        person: usize,
        /// Minutes found.
        found: usize,
        /// Minutes of the first.
        expected: usize,
    },
    /// More errors than opportunities.
    #[error("person {person} has {errors} errors among {opportunities} opportunities in one minute")]
    Count {
        /// Position of the person.
        person: usize,
        /// Errors given.
        errors: u64,
        /// Opportunities given.
        opportunities: u64,
    },
    /// Sessions longer than simulated.
    #[error("sessions of {asked} minutes are asked for, and the pool has {simulated}; simulate longer ones")]
    Long {
        /// Minutes asked.
        asked: usize,
        /// Minutes in the pool.
        simulated: usize,
    },
    /// A number that cannot be.
    #[error("{what} must lie {wanted}, not {value}")]
    Value {
        /// Of what.
        what: &'static str,
        /// What would be right.
        wanted: &'static str,
        /// What was given.
        value: f64,
    },
    /// A difference larger than the errors there are.
    #[error(
        "a difference of {stated} cannot be stated: the first policy errs at a rate of {rate}, and less than none cannot be"
    )]
    Difference {
        /// The difference stated.
        stated: f64,
        /// Rate of the first policy.
        rate: f64,
    },
}

/// Which errors are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Errors {
    /// False holds among presses meant as taps.
    FalseHolds,
    /// Missed holds among presses meant as holds.
    MissedHolds,
    /// Both among all presses of dual-role keys.
    Both,
}

/// How the two policies are tried by the same people.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Design {
    /// Each person types once; the recording is judged under both policies.
    Replay,
    /// Each person types twice, once under each policy, for the stated minutes each.
    Crossover,
}

/// What a pool is simulated from.
#[derive(Clone, Copy, Debug)]
pub struct PoolSpec<'a> {
    /// The people.
    pub population: &'a Population,
    /// The text.
    pub plan: &'a TextPlan,
    /// What interrupts it.
    pub workload: &'a Workload,
    /// The keyboard.
    pub board: &'a Board,
    /// The dual-role keys.
    pub assignment: &'a Assignment,
    /// The two policies.
    pub settings: [&'a Setting; 2],
    /// What is counted.
    pub errors: Errors,
    /// How both are tried.
    pub design: Design,
    /// Minutes of each session.
    pub minutes: usize,
    /// Seed.
    pub seed: u64,
}

/// People with their errors, minute by minute, under two policies.
#[derive(Debug, Clone, PartialEq)]
pub struct Pool {
    people: Vec<Vec<Minute>>,
}

/// People simulated by [`simulate_person`] do not share streams with those of studies.
const REPLICATES: [u64; 2] = [1 << 50, (1 << 50) + 1];

/// Presses a minute that nobody reaches: room for a session whose length is set by its time.
const KEYS_PER_MINUTE: usize = 1500;

/// Typing goes on for so long after the last minute counted: longer than a key is held.
const AFTERWARDS_US: u64 = 10_000_000;

/// The minutes of person `number`. A pure function, so people may be simulated on any thread.
pub fn simulate_person(spec: &PoolSpec<'_>, number: u64) -> Vec<Minute> {
    let typist = Typist::draw(spec.population, spec.seed, number);
    let performer = Performer::new(spec.board, spec.assignment);
    let mut minutes = vec![[(0, 0); 2]; spec.minutes];
    let sessions = REPLICATES.map(|replicate| {
        (spec.design == Design::Crossover || replicate == REPLICATES[0])
            .then(|| type_for(spec, &performer, &typist, replicate))
    });
    for (side, setting) in spec.settings.iter().enumerate() {
        let session = sessions[side].as_ref().or(sessions[0].as_ref()).expect("the first session is always typed");
        EncounterScan::new().each(
            &session.presses,
            |code| spec.assignment.modifier(code).is_some(),
            |code| performer.movement().hand(code),
            |press, encounter| {
                let meant = session.truths[press].hold;
                let counts = match spec.errors {
                    Errors::FalseHolds => !meant,
                    Errors::MissedHolds => meant,
                    Errors::Both => true,
                };
                let minute = (session.presses[press].down.0 / 60_000_000) as usize;
                if counts && minute < minutes.len() {
                    let (errors, opportunities) = &mut minutes[minute][side];
                    *opportunities += 1;
                    *errors += u64::from(setting.decide(encounter).is_hold() != meant);
                }
            },
        );
    }
    minutes
}

fn type_for(spec: &PoolSpec<'_>, performer: &Performer, typist: &Typist, replicate: u64) -> Session {
    let room = (spec.minutes + 1) * KEYS_PER_MINUTE;
    let mut performance =
        performer.start(typist, spec.plan, spec.workload, SessionAddress { seed: spec.seed, replicate }, room);
    // What follows the last presses of the last minute still bears on them.
    let end = spec.minutes as u64 * 60_000_000 + AFTERWARDS_US;
    while !performance.is_over() && performance.so_far().presses.last().is_none_or(|press| press.down.0 < end) {
        performance.advance();
    }
    performance.finish()
}

impl Pool {
    /// A pool of people, each with as many minutes.
    ///
    /// # Errors
    /// Fewer than 100 people; minutes that differ in number; more errors than opportunities.
    pub fn new(people: Vec<Vec<Minute>>) -> Result<Self, PlanError> {
        if people.len() < 100 {
            return Err(PlanError::FewPeople(people.len()));
        }
        let expected = people[0].len();
        for (person, minutes) in people.iter().enumerate() {
            if minutes.len() != expected {
                return Err(PlanError::Minutes { person, found: minutes.len(), expected });
            }
            if let Some(&(errors, opportunities)) = minutes.iter().flatten().find(|(errors, of)| errors > of) {
                return Err(PlanError::Count { person, errors, opportunities });
            }
        }
        Ok(Self { people })
    }

    /// Number of people.
    pub fn len(&self) -> usize {
        self.people.len()
    }

    /// Whether there is nobody.
    pub fn is_empty(&self) -> bool {
        self.people.is_empty()
    }

    /// Minutes of each person.
    pub fn minutes(&self) -> usize {
        self.people[0].len()
    }

    /// Rates under both policies over all people and minutes; `None` without opportunities.
    pub fn rates(&self) -> [Option<f64>; 2] {
        [0, 1].map(|side| {
            let all = self.people.iter().flatten().map(|minute| minute[side]);
            let (errors, opportunities) = all.fold((0, 0), |(e, o), (errors, of)| (e + errors, o + of));
            (opportunities > 0).then(|| errors as f64 / opportunities as f64)
        })
    }

    /// The same people, with a second policy that is `difference` better than the first.
    ///
    /// # Definition
    /// What stands for the second policy becomes the first policy's errors in the second session (the same session
    /// in a replay), each spared with probability difference/rate. So both sides have people alike, and the second
    /// rate is lower by the difference on average. `second` are the minutes of the pool simulated with the first
    /// policy on both sides.
    ///
    /// # Errors
    /// A difference that is not above 0 and at most the rate.
    pub fn with_difference(mut self, difference: f64, seed: u64) -> Result<Self, PlanError> {
        let rate = self.rates()[1].unwrap_or(0.0);
        if !(difference > 0.0 && difference <= rate) {
            return Err(PlanError::Difference { stated: difference, rate });
        }
        let spared = difference / rate;
        for (person, minutes) in self.people.iter_mut().enumerate() {
            let mut rng = stream(seed, Purpose::Design, person as u64, 1);
            for [_, (errors, _)] in minutes {
                *errors = (0..*errors).filter(|_| rng.random::<f64>() >= spared).count() as u64;
            }
        }
        Ok(self)
    }

    /// The totals of each person over the first `minutes`.
    pub(crate) fn totals(&self, minutes: usize) -> Vec<Minute> {
        let add = |total: Minute, minute: &Minute| {
            [0, 1].map(|side| (total[side].0 + minute[side].0, total[side].1 + minute[side].1))
        };
        self.people.iter().map(|person| person[..minutes].iter().fold([(0, 0); 2], add)).collect()
    }
}

/// Both sides of some people, for the analysis.
pub(crate) fn sides(people: impl Iterator<Item = Minute> + Clone) -> [Clusters; 2] {
    [0, 1].map(|side| {
        Clusters::counts("person", people.clone().map(|totals| totals[side])).expect("errors are opportunities")
    })
}
