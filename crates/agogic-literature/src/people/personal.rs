//! Personal advice held against people: chosen from their earlier sessions, judged on their last ones.

use std::sync::Arc;

use agogic_fit::{FitPlan, fit};
use agogic_keys::{Assignment, Board, Press, Purpose, Span, TextPlan, Unsupported, Workload, stream};
use agogic_log::SessionLog;
use agogic_people::{Crowd, Meant, Training, hand_of, is_dual, meant};
use agogic_personal::{
    Errors, Evidence, Grid, Known, PersonalAdvice, PersonalVerdict, Question, Row, Tally, advise, default_setting,
};
use agogic_policy::{EncounterScan, EvidenceTables, Setting};
use agogic_stats::{Clusters, Estimate, Level, Resamples, block_mean, ratio};
use agogic_typist::{Clock, Performer, Population, SessionAddress, Typist};
use rayon::prelude::*;
use serde::Serialize;

use super::simulated::stepped;

/// Fewest sessions of a person who takes part.
const LEAST_SESSIONS: usize = 3;

/// Fewest taps and holds to judge by.
const LEAST_JUDGED: [u64; 2] = [60, 5];

/// Presses of each drawn typist.
const KEYS: usize = 4000;

/// Drawn typists of each person; the first half chooses.
const DRAWN: u64 = 40;

/// Resamples behind an interval.
const RESAMPLES: usize = 2000;

/// People of the population behind the default.
const COMMON: u64 = 200;

/// How personal advice is held against people.
#[derive(Clone, Debug)]
pub struct ProofPlan<'a> {
    /// The people who stand in for what a log leaves unknown, and whose best common setting is the default.
    pub population: &'a Population,
    /// What these type.
    pub text: &'a str,
    /// The step of the clock that the logs were taken with.
    pub step: Span,
    /// What rules that learn have learned.
    pub tables: Arc<EvidenceTables>,
    /// Presses of known taps and holds that count as much as the model.
    pub even: [f64; 2],
    /// The gain that nobody would change anything for, in wrong decisions per 1000 presses.
    pub least_gain: f64,
    /// Further settings to be judged, one for all.
    pub beside: Vec<Setting>,
    /// Level of the intervals.
    pub level: Level,
    /// Seed.
    pub seed: u64,
}

/// One person's part.
#[derive(Clone, Debug)]
struct PersonProof {
    /// Presses that were judged.
    judged: u64,
    /// Wrong decisions there of each row of the proof.
    wrong: Vec<u64>,
    /// Of the choice without tables, and of the best with tables.
    promises: [Promise; 2],
}

/// What a person was told, what was promised, and what came.
#[derive(Clone, Debug)]
struct Promise {
    verdict: PersonalVerdict,
    promised: Estimate,
    came: Estimate,
}

/// What became of promises to people.
#[derive(Clone, Debug, Serialize)]
pub struct Promises {
    /// People told to change.
    pub told: u64,
    /// Of these, people who gained by it.
    pub gained: u64,
    /// Mean gain promised to those told to change, in wrong decisions per 1000 presses.
    pub mean_promised: Option<f64>,
    /// Mean gain that came to them.
    pub mean_came: Option<f64>,
    /// Whether told or not: people whose promised gain has an interval.
    pub promised: u64,
    /// Of these, people for whom promise and gain differ by no more than both intervals allow: half widths added as squares.
    pub agree: u64,
    /// Gain that came per gain promised: slope of the line of least squares through all people.
    pub slope: Estimate,
    /// People whose log was too short for any advice.
    pub not_enough: u64,
}

/// What became of personal advice.
#[derive(Clone, Debug, Serialize)]
pub struct Proof {
    /// People who take part.
    pub people: u64,
    /// Their presses that were judged.
    pub presses: u64,
    /// What was tried, row by row: see [`PROOF_ROWS`].
    pub rows: Vec<ProofRow>,
    /// The model's default.
    pub default: String,
    /// The setting without tables that would have been best for these people together on what was judged.
    pub best_common: String,
    /// Promises of the choice without tables.
    pub without_tables: Promises,
    /// Promises of the best choice with tables.
    pub with_tables: Promises,
}

/// One row: wrong decisions per 1000 presses of dual-role keys.
#[derive(Clone, Debug, Serialize)]
pub struct ProofRow {
    /// What was tried.
    pub what: String,
    /// Pooled over people, who are the unit of resampling.
    pub wrong: Estimate,
    /// Its difference from the best common setting.
    pub less: Estimate,
}

/// What is tried.
pub const PROOF_ROWS: [&str; 8] = [
    "the default of the model, one for all",
    "the best common setting in hindsight, one for all",
    "`key-evidence`, one table for all, learned from simulated people",
    "`key-evidence`, one table for all, learned from the others' earlier sessions",
    "personal values without tables, where there is enough to say",
    "the advice without tables followed, where it says change",
    "the advice with tables followed, where it says change",
    "`key-evidence` with own tables, where there is enough",
];

/// Sessions of a person, in the order of the log, parts of one together.
fn by_session<'l>(sessions: &[&'l SessionLog]) -> Vec<Vec<&'l SessionLog>> {
    let mut found: Vec<Vec<&SessionLog>> = Vec::new();
    for session in sessions {
        match found.iter_mut().find(|known| known[0].session == session.session) {
            Some(known) => known.push(session),
            None => found.push(vec![session]),
        }
    }
    found
}

fn known_of(sessions: &[&SessionLog], board: &Board, sides_known: bool) -> Known {
    let hand = hand_of(board, sides_known);
    let mut known = Known::new();
    for run in sessions.iter().flat_map(|session| session.runs()) {
        let holds: Vec<Option<bool>> = meant(run).into_iter().map(|own| own.map(|own| own == Meant::Hold)).collect();
        known.add(run, &holds, is_dual, hand);
    }
    known
}

/// Typists of a population as they would be seen in such logs, under a grid.
struct Drawer<'a> {
    plan: &'a ProofPlan<'a>,
    performer: Performer,
    text: TextPlan,
    clock: Clock,
    grid: &'a Grid,
    board: &'a Board,
    sides_known: bool,
}

impl Drawer<'_> {
    fn presses(&self, population: &Population, number: u64) -> Vec<Press> {
        let address = SessionAddress { seed: self.plan.seed, replicate: 0 };
        let typist = Typist::draw(population, self.plan.seed, number);
        let mut session = self.performer.perform(&typist, &self.text, &Workload::none(), address, KEYS);
        self.clock.show(&mut session, number, address);
        session.presses
    }

    fn tally(&self, population: &Population, number: u64) -> Tally {
        let (hand, mut scan) = (hand_of(self.board, self.sides_known), EncounterScan::new());
        let presses = self.presses(population, number);
        let meant = meant(&presses);
        let mut tally = Tally::new(self.grid, 0);
        scan.each(&presses, is_dual, hand, |at, encounter| {
            if let Some(meant) = meant[at] {
                tally.add(self.grid, &[], encounter, meant == Meant::Hold);
            }
        });
        tally
    }
}

/// One who takes part.
struct Someone<'l> {
    earlier: Vec<&'l SessionLog>,
    known: Known,
    judged: Known,
}

/// Advises everybody of whom there are enough sessions on all but the last third of these, and judges the advice there.
///
/// # Definition
/// In ordinary typing a press of Shift with a target stands for a hold and a press of a resting key for a tap
/// ([`meant`]). Drawn typists, simulated people of the plan's population and text, make the same two kinds. A person takes
/// part with three sessions, and 60 taps and 5 holds in those that are judged. Nothing of the judged sessions has a say.
pub fn proof(crowd: &Crowd<'_>, plan: &ProofPlan<'_>) -> Option<Proof> {
    let board = Board::row_staggered();
    let sides_known = crowd.sides_known();
    let grid = Grid::new(Some(&plan.tables), sides_known);
    let assignment = Assignment::none();
    let drawer = Drawer {
        plan,
        performer: Performer::new(&board, &assignment),
        text: TextPlan::new(plan.text, &board, &assignment, Unsupported::Refuse).ok()?,
        clock: stepped(plan.step),
        grid: &grid,
        board: &board,
        sides_known,
    };
    let common: Vec<Tally> =
        (1 << 41..(1 << 41) + COMMON).into_par_iter().map(|n| drawer.tally(plan.population, n)).collect();
    let mut sum = Tally::new(&grid, 0);
    common.iter().for_each(|own| sum.merge(own));
    let common = sum.errors(&grid);
    let default = default_setting(&grid, &common, 1.0);
    let people: Vec<Someone<'_>> = crowd.sessions().filter_map(|(_, all)| someone(all, &board, sides_known)).collect();
    if people.len() < 3 {
        return None;
    }
    // In hindsight, on what is judged.
    let mut last = Tally::new(&grid, 0);
    people.iter().for_each(|own| own.judged.each(|_, encounter, hold| last.add(&grid, &[], encounter, hold)));
    let best_common = default_setting(&grid, &last.errors(&grid), 1.0);
    let one_table = Setting::trained("key-evidence", &[("threshold_nats", 0.0)], &plan.tables).ok()?;
    let of_others = others_tables(&people, &board, sides_known);
    let found: Vec<PersonProof> = people
        .par_iter()
        .zip(&of_others)
        .filter_map(|(own, others)| {
            let advice = advised(own, plan, &drawer, &common, &board)?;
            let simple = advice.settings.len() - 1;
            let place = |label: &str| advice.rules.iter().position(|row| row.choice.setting == label);
            let tables = place(&advice.tables.as_ref()?.choice.setting)?;
            let own_tables = place(agogic_personal::OWN_TABLES);
            let default = grid.setting(default);
            let change = PersonalVerdict::Change;
            let enough = advice.simple.verdict != PersonalVerdict::NotEnough;
            let followed = if advice.simple.verdict == change { &advice.settings[simple] } else { &default };
            let told = advice.tables.as_ref().is_some_and(|row| row.verdict == change);
            let settings = [
                &default,
                &grid.setting(best_common),
                &one_table,
                others,
                if enough { &advice.settings[simple] } else { &default },
                followed,
                if told { &advice.settings[tables] } else { followed },
                own_tables.map_or(&one_table, |at| &advice.settings[at]),
            ];
            let promised = [&advice.settings[simple], &advice.settings[tables]];
            let settings: Vec<&Setting> = settings.into_iter().chain(&plan.beside).chain(promised).collect();
            Some(judge(own, &advice, &settings, plan))
        })
        .collect();
    let beside = plan.beside.iter().map(|setting| format!("`{}`, one for all", setting.label()));
    let whats: Vec<String> = PROOF_ROWS.iter().map(|what| (*what).to_owned()).chain(beside).collect();
    let rows = whats.into_iter().enumerate().map(|(at, what)| row(&found, at, what, plan.level)).collect();
    let label = |at: usize| grid.setting(at).label();
    let [without_tables, with_tables] = [0, 1].map(|which| promises(&found, which, plan));
    Some(Proof {
        people: found.len() as u64,
        presses: found.iter().map(|own| own.judged).sum(),
        rows,
        default: label(default),
        best_common: label(best_common),
        without_tables,
        with_tables,
    })
}

/// Promises and what came of them.
fn promises(people: &[PersonProof], which: usize, plan: &ProofPlan<'_>) -> Promises {
    let all: Vec<&Promise> = people.iter().map(|own| &own.promises[which]).collect();
    let told: Vec<&&Promise> = all.iter().filter(|own| own.verdict == PersonalVerdict::Change).collect();
    let value = |estimate: &Estimate| estimate.value.unwrap_or(0.0);
    let mean =
        |of: fn(&Promise) -> &Estimate| agogic_stats::mean(&told.iter().map(|own| value(of(own))).collect::<Vec<_>>());
    let half = |estimate: &Estimate| estimate.lo.zip(estimate.hi).map(|(lo, hi)| 0.5 * (hi - lo));
    let sure: Vec<&&Promise> = all.iter().filter(|own| half(&own.promised).is_some()).collect();
    let agrees = |own: &&&&Promise| {
        let reach = libm::hypot(half(&own.promised).unwrap_or(0.0), half(&own.came).unwrap_or(0.0));
        (value(&own.promised) - value(&own.came)).abs() <= reach
    };
    let points: Vec<(f64, f64)> = all.iter().map(|own| (value(&own.promised), value(&own.came))).collect();
    let mut rng = stream(plan.seed, Purpose::Resampling, which as u64, 3);
    let slope = Resamples::draw(points.len(), RESAMPLES, &mut rng, |drawn: &[usize]| slope(&points, drawn));
    let slope = match slope {
        Ok(drawn) => drawn.percentile(plan.level, "person"),
        Err(refused) => {
            Estimate::unknown(&refused.to_string(), "bootstrap, percentile", plan.level, "person", points.len() as u64)
        }
    };
    Promises {
        told: told.len() as u64,
        gained: told.iter().filter(|own| value(&own.came) > 0.0).count() as u64,
        mean_promised: mean(|own| &own.promised),
        mean_came: mean(|own| &own.came),
        promised: sure.len() as u64,
        agree: sure.iter().filter(agrees).count() as u64,
        slope,
        not_enough: all.iter().filter(|own| own.verdict == PersonalVerdict::NotEnough).count() as u64,
    }
}

/// Slope of the line of least squares through some points; `None` where all have one abscissa.
fn slope(points: &[(f64, f64)], drawn: &[usize]) -> Option<f64> {
    let n = drawn.len() as f64;
    let (x, y) = drawn.iter().fold((0.0, 0.0), |sum, at| (sum.0 + points[*at].0 / n, sum.1 + points[*at].1 / n));
    let (xy, xx) = drawn.iter().fold((0.0, 0.0), |sum, at| {
        let (dx, dy) = (points[*at].0 - x, points[*at].1 - y);
        (sum.0 + dx * dy, sum.1 + dx * dx)
    });
    (xx > 0.0).then(|| xy / xx)
}

fn someone<'l>(all: &[&'l SessionLog], board: &Board, sides_known: bool) -> Option<Someone<'l>> {
    let mut sessions = by_session(all);
    if sessions.len() < LEAST_SESSIONS {
        return None;
    }
    let last = sessions.split_off(sessions.len() - sessions.len() / LEAST_SESSIONS);
    let (earlier, last) = (sessions.concat(), last.concat());
    let judged = known_of(&last, board, sides_known);
    let enough = (0..2).all(|meant| judged.presses()[meant] >= LEAST_JUDGED[meant]);
    enough.then(|| Someone { known: known_of(&earlier, board, sides_known), earlier, judged })
}

/// Groups of people at most; those of a group learn from all others.
const GROUPS: usize = 20;

/// Of each person the rule that the earlier sessions of all other groups teach; a group is one person where there are few.
fn others_tables(people: &[Someone<'_>], board: &Board, sides_known: bool) -> Vec<Setting> {
    let hand = hand_of(board, sides_known);
    let groups = people.len().min(GROUPS);
    let of = |left_out: usize| {
        let (mut training, mut scan) = (Training::new(), EncounterScan::new());
        let others = people.iter().enumerate().filter(|(at, _)| at % groups != left_out);
        let runs = others.flat_map(|(_, own)| own.earlier.iter().flat_map(|session| session.runs()));
        runs.for_each(|run| training.add(&mut scan, run, hand));
        let tables = Arc::new(training.tables(None).expect("people make taps and holds"));
        Setting::trained("key-evidence", &[("threshold_nats", 0.0)], &tables).expect("the tables hold those of keys")
    };
    let each: Vec<Setting> = (0..groups).into_par_iter().map(of).collect();
    (0..people.len()).map(|at| each[at % groups].clone()).collect()
}

fn advised(
    own: &Someone<'_>,
    plan: &ProofPlan<'_>,
    drawer: &Drawer<'_>,
    common: &Errors,
    board: &Board,
) -> Option<PersonalAdvice> {
    let none = Assignment::none();
    let fit_plan = FitPlan {
        population: plan.population,
        board,
        assignment: &none,
        level: plan.level,
        seed: plan.seed,
        redraws: 0,
    };
    let fitted = fit(&own.earlier, &fit_plan).ok()?;
    let person = fitted.as_population("the-person", "one person fitted to a log").ok()?;
    let drawn: Vec<Tally> = (0..DRAWN).map(|number| drawer.tally(&person, number)).collect();
    let question = Question {
        grid: drawer.grid,
        tables: Some(&plan.tables),
        now: None,
        false_hold: 1.0,
        even: plan.even,
        level: plan.level,
        seed: plan.seed,
    };
    let evidence = Evidence {
        presses: fitted.evidence.presses,
        known: &own.known,
        holds: own.known.presses()[1],
        drawn: &drawn,
        fits: std::slice::from_ref(&fitted),
    };
    Some(advise(&question, common, &evidence, board, (plan.population.name(), plan.least_gain)))
}

/// The last sessions under each row's setting; the last two settings are the best without and with tables.
fn judge(own: &Someone<'_>, advice: &PersonalAdvice, settings: &[&Setting], plan: &ProofPlan<'_>) -> PersonProof {
    let mut wrong = vec![0; settings.len()];
    let (mut simple, mut tables) = (Vec::new(), Vec::new());
    let before = &advice.setting_before;
    own.judged.each(|_, encounter, hold| {
        let errs = |setting: &Setting| setting.decide(encounter).is_hold() != hold;
        settings.iter().zip(&mut wrong).for_each(|(setting, wrong)| *wrong += u64::from(errs(setting)));
        let gain =
            |setting: &Setting| 1000.0 * (f64::from(u8::from(errs(before))) - f64::from(u8::from(errs(setting))));
        simple.push(gain(settings[settings.len() - 2]));
        tables.push(gain(settings[settings.len() - 1]));
    });
    // The last two are rows of promises, not of the table.
    wrong.truncate(settings.len() - 2);
    let came = |series: &[f64], which: u64| {
        let mut rng = stream(plan.seed, Purpose::Resampling, which, 2);
        block_mean(series, RESAMPLES, plan.level, "block of presses", &mut rng)
    };
    let best = advice.tables.as_ref().expect("there are rows with tables");
    let promise = |row: &Row, came| Promise { verdict: row.verdict, promised: row.choice.gain.clone(), came };
    let judged = own.judged.presses();
    PersonProof {
        judged: judged[0] + judged[1],
        wrong,
        promises: [promise(&advice.simple, came(&simple, 0)), promise(best, came(&tables, 1))],
    }
}

fn row(people: &[PersonProof], at: usize, what: String, level: Level) -> ProofRow {
    let clusters = |of: &dyn Fn(&PersonProof) -> f64| {
        let parts = people.iter().map(|own| (of(own), own.judged as f64));
        Clusters::ratio("person", parts).expect("counts")
    };
    let wrong = clusters(&|own| own.wrong[at] as f64);
    let less = clusters(&|own| own.wrong[1] as f64 - own.wrong[at] as f64);
    ProofRow { what, wrong: ratio(&wrong, level).times(1000.0), less: ratio(&less, level).times(1000.0) }
}
