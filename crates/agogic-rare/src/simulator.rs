//! One typist simulated: an ordinary session, with a branch at each opportunity.

use std::collections::VecDeque;
use std::ops::Range;

use agogic_keys::{Press, Purpose, stream};
use agogic_policy::{Contact, Encounter, EncounterScan, Setting};
use agogic_typist::{Drawn, Performance, Performer, SessionAddress, Shift, Typist};

use crate::proposal::{Proposal, TraitShift};
use crate::spec::RareSpec;

/// How many typists are simulated at a time.
///
/// `job` is a pure function of the number, so any order on any number of threads gives the same result, as long
/// as the answers come back in the order of the numbers.
pub trait Batch {
    /// `job` of each number, in order.
    fn each<T: Send>(&self, numbers: Range<u64>, job: impl Fn(u64) -> T + Sync) -> Vec<T>;
}

/// One after the other.
#[derive(Clone, Copy, Debug, Default)]
pub struct InOrder;

impl Batch for InOrder {
    fn each<T: Send>(&self, numbers: Range<u64>, job: impl Fn(u64) -> T + Sync) -> Vec<T> {
        numbers.map(job).collect()
    }
}

/// An error found in a branch.
pub(crate) struct Found {
    /// The hardest of the settings tried under which it is one.
    pub level: usize,
    /// Weight of the branch.
    pub weight: f64,
    /// Its tilted noise.
    pub drawn: Vec<Drawn>,
}

/// What one typist gave.
pub(crate) struct Visit {
    /// Coordinates of the typist, and their weight.
    pub at: TraitShift,
    pub weight: f64,
    /// Σ w 1{error} over the branches at even and at odd opportunities, under the last setting.
    pub halves: [f64; 2],
    /// Errors found, as a count.
    pub hits: u64,
    pub opportunities: u64,
    /// Presses simulated, branches included.
    pub keys: u64,
    /// The errors one by one, where asked for.
    pub found: Vec<Found>,
    /// Σ w over branches, to check their mean of 1.
    pub branch_weights: f64,
}

impl Visit {
    /// W Σ w 1{error}.
    pub fn value(&self) -> f64 {
        self.weight * (self.halves[0] + self.halves[1])
    }
}

/// Everything that stays the same from typist to typist.
pub(crate) struct Simulator<'a> {
    pub spec: &'a RareSpec<'a>,
    pub performer: Performer,
}

/// Streams of a stage keep apart from those of a study, which has small replicate numbers.
fn replicate(stage: u64, branch: u64) -> u64 {
    ((stage + 1) << 40) | branch
}

impl<'a> Simulator<'a> {
    pub fn new(spec: &'a RareSpec<'a>) -> Self {
        Self { spec, performer: Performer::new(spec.board, spec.assignment) }
    }

    fn is_opportunity(&self, performance: &Performance<'_>, press: usize) -> bool {
        let session = performance.so_far();
        self.spec.assignment.modifier(session.presses[press].code).is_some()
            && session.truths[press].hold == self.spec.error.among_holds()
    }

    fn is_error(&self, setting: &Setting, encounter: &Encounter<'_>) -> bool {
        setting.decide(encounter).is_hold() != self.spec.error.among_holds()
    }

    /// An ordinary session of typist `number`: opportunities, errors among them, presses.
    pub fn plain(&self, stage: u64, number: u64) -> [u64; 3] {
        let RareSpec { population, plan, workload, seed, .. } = *self.spec;
        let mut rng = stream(seed, Purpose::Tilt, number, replicate(stage, 0));
        let (at, _) = Proposal::nominal().draw_traits(&mut rng);
        let typist = Typist::at(population, number, &at);
        let keys = self.spec.keys_per_typist;
        let session = self.performer.perform(
            &typist,
            plan,
            workload,
            SessionAddress { seed, replicate: replicate(stage, 0) },
            keys,
        );
        let (mut opportunities, mut errors) = (0, 0);
        EncounterScan::new().each(
            &session.presses,
            |code| self.spec.assignment.modifier(code).is_some(),
            |code| self.performer.movement().hand(code),
            |press, encounter| {
                if session.truths[press].hold == self.spec.error.among_holds() {
                    opportunities += 1;
                    errors += u64::from(self.is_error(self.spec.setting, encounter));
                }
            },
        );
        [opportunities, errors, session.presses.len() as u64]
    }

    /// A weighted visit to typist `number` of a stage. `settings` go from the easiest to the hardest; with
    /// `keep` the errors are handed back one by one.
    pub fn visit(&self, proposal: &Proposal, settings: &[&Setting], stage: u64, number: u64, keep: bool) -> Visit {
        let RareSpec { population, plan, workload, seed, .. } = *self.spec;
        let mut rng = stream(seed, Purpose::Tilt, number, replicate(stage, 0));
        let (at, weight) = proposal.draw_traits(&mut rng);
        let typist = Typist::at(population, number, &at);
        let keys = self.spec.keys_per_typist;
        let mut session = self.performer.start(
            &typist,
            plan,
            workload,
            SessionAddress { seed, replicate: replicate(stage, 0) },
            keys,
        );
        let mut visit = Visit {
            at,
            weight,
            halves: [0.0; 2],
            hits: 0,
            opportunities: 0,
            keys: 0,
            found: Vec::new(),
            branch_weights: 0.0,
        };
        let mut buffers = EncounterBuffers::default();
        // States to branch from: the latest few, each before a step.
        let mut states: VecDeque<Performance<'_>> = VecDeque::new();
        let presses = |state: &Performance<'_>| state.so_far().presses.len();
        while !session.is_over() {
            let from = presses(&session);
            while states.get(1).is_some_and(|state| presses(state) + Shift::OWN <= from) {
                states.pop_front();
            }
            states.push_back(session.clone());
            session.advance();
            let made = from..presses(&session);
            visit.keys += made.len() as u64;
            for press in made {
                if !self.is_opportunity(&session, press) {
                    continue;
                }
                visit.opportunities += 1;
                let mut rng = stream(seed, Purpose::Tilt, number, replicate(stage, visit.opportunities));
                let component = proposal.draw_component(&mut rng);
                // A branch begins before the presses that can hand something on to this one.
                let early = states.iter().rev().find(|state| presses(state) + Shift::OWN <= press);
                let before = early.or(states.front()).expect("a state was kept");
                let mut branch = before.fork(proposal.tilt(), component, press, rng);
                while !branch.is_over() && !branch.is_settled(press) {
                    branch.advance();
                }
                visit.keys += (presses(&branch) - presses(before)) as u64;
                let tilted = branch.tilted().expect("a fork is tilted");
                let weight = tilted.weight();
                visit.branch_weights += weight;
                let encounter =
                    buffers.at(&branch.so_far().presses, press, |code| self.performer.movement().hand(code));
                let levels = settings.iter().take_while(|setting| self.is_error(setting, &encounter)).count();
                if levels == settings.len() {
                    visit.halves[(visit.opportunities % 2) as usize] += weight;
                    visit.hits += 1;
                }
                if let Some(level) = levels.checked_sub(1)
                    && keep
                {
                    visit.found.push(Found { level, weight, drawn: tilted.drawn().to_vec() });
                }
            }
        }
        visit
    }
}

/// Buffers for the encounter of one press.
#[derive(Default)]
pub(crate) struct EncounterBuffers {
    carried: Vec<Contact>,
    contacts: Vec<Contact>,
}

impl EncounterBuffers {
    /// The encounter of `press`, as [`EncounterScan`] would show it.
    pub fn at(
        &mut self,
        presses: &[Press],
        press: usize,
        hand: impl Fn(agogic_keys::Code) -> agogic_keys::Hand,
    ) -> Encounter<'_> {
        let own = &presses[press];
        let contact = |other: &Press| Contact {
            code: other.code,
            hand: hand(other.code),
            down: other.down.signed_since(own.down),
            up: other.up.signed_since(own.down),
        };
        self.carried.clear();
        self.carried.extend(presses[..press].iter().filter(|other| other.up > own.down).map(contact));
        self.contacts.clear();
        self.contacts.extend(presses[press + 1..].iter().take_while(|other| other.down < own.up).map(contact));
        let mut encounter = Encounter::new(own.code, hand(own.code), own.down, own.dwell())
            .with_carried(&self.carried)
            .with_contacts(&self.contacts);
        if let Some(before) = press.checked_sub(1) {
            encounter = encounter.with_lull(own.down.since(presses[before].down)).with_previous(presses[before].code);
        }
        if let Some(same) = presses[..press].iter().rev().find(|other| other.code == own.code) {
            encounter = encounter.with_since_same_key(own.down.since(same.up));
        }
        encounter
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Assignment, Board, Modifier, Rates, TextPlan, Unsupported, Workload};
    use agogic_typist::Population;

    #[test]
    fn a_scene_is_what_a_scan_shows() {
        let board = Board::row_staggered();
        let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
        let assignment = Assignment::resting(&board, order);
        let text = "Ask Ada for the USB log; she fills it in before noon.";
        let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
        let rates = Rates { shortcuts: 30.0, bare_holds: 10.0, repeats: 30.0 };
        let workload = Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).unwrap();
        let performer = Performer::new(&board, &assignment);
        let typist = Typist::draw(&Population::volunteers(), 3, 4);
        let session = performer.perform(&typist, &plan, &workload, SessionAddress { seed: 3, replicate: 0 }, 2000);
        let hand = |code| performer.movement().hand(code);
        let (mut buffers, mut seen) = (EncounterBuffers::default(), 0);
        let dual = |code: agogic_keys::Code| assignment.modifier(code).is_some();
        EncounterScan::new().each(&session.presses, dual, hand, |press, scanned| {
            let shown = buffers.at(&session.presses, press, hand);
            assert_eq!(format!("{scanned:?}"), format!("{shown:?}"));
            seen += 1;
        });
        assert!(seen > 300);
    }
}
