//! Observers: they know the model and see an encounter, and tell the odds that it is a hold.

use agogic_keys::{Code, Span, TextPlan, Workload};
use agogic_policy::{Encounter, Sight};
use agogic_typist::{Laws, Performer, SessionAddress, Typist};

use crate::language::Language;
use crate::model::Model;
use crate::rehearsal::Rehearsal;
use crate::seen::Seen;

/// Log odds are kept within ± this many nats.
pub const MOST_NATS: f64 = 40.0;

/// Replicate under which a typist rehearses; studies count theirs from zero.
const REHEARSAL: u64 = 1 << 60;

/// What a study asks typists to do, as far as observers need it.
#[derive(Clone, Copy, Debug)]
pub struct Stage<'a> {
    /// Board and dual-role keys.
    pub performer: &'a Performer,
    /// The text.
    pub plan: &'a TextPlan,
    /// What interrupts it.
    pub workload: &'a Workload,
    /// The seed of the study.
    pub seed: u64,
    /// Presses of a rehearsal. The share of holds and the mixture of situations are as good as this is long:
    /// 60 000 presses of prose give the share to about 2 %.
    pub rehearsal: usize,
}

/// How many presses of one key the average key stands for where the share of holds of that key is told: a key that a
/// rehearsal happens not to show held is rarely and not never held.
const SHARE_OF_ALL: f64 = 1.0;

/// The same where what a tap or a hold of that key looks like is told. Both are our choice: with less the observer was
/// surer than it was right, which `tests/all/reliability.rs` finds.
const LOOKS_OF_ALL: f64 = 20.0;

/// One dual-role key of an observer that is told which it is.
struct Keyed {
    key: Code,
    model: Model,
    /// Presses of it in the rehearsal.
    presses: f64,
}

/// Knows the model and the typist's parameters.
pub struct TypistObserver {
    all: Model,
    /// By key, for an observer that is told.
    by_key: Vec<Keyed>,
    /// For an observer that is told the keys around as well.
    language: Option<(Performer, Language)>,
}

impl TypistObserver {
    /// The observer of a typist, who sees so much of the keys.
    pub fn new(stage: &Stage<'_>, typist: &Typist, sight: Sight) -> Self {
        let Stage { performer, plan, workload, seed, rehearsal: keys } = *stage;
        let laws = Laws::of(typist);
        let (session, cues) =
            performer.perform_with_cues(typist, plan, workload, SessionAddress { seed, replicate: REHEARSAL }, keys);
        let assignment = performer.assignment();
        let model = |own: &dyn Fn(Code) -> bool| {
            let mut rehearsal = Rehearsal::default();
            rehearsal.add(performer, laws.lift_us, &session, &cues, own);
            (Model::new(&laws, &rehearsal), rehearsal.presses)
        };
        let keyed = |key: Code| {
            let (model, presses) = model(&|code| code == key);
            Keyed { key, model, presses }
        };
        let by_key = match sight {
            Sight::Timing => Vec::new(),
            Sight::OwnKey | Sight::Keys => assignment.iter().map(|(key, _)| keyed(key)).collect(),
        };
        let (all, _) = model(&|code| assignment.modifier(code).is_some());
        let language = (sight >= Sight::Keys).then(|| (performer.clone(), Language::of(performer, &session)));
        Self { all, by_key, language }
    }

    /// Probabilities of what is seen of `encounter` until `deadline`, with a tap and with a hold.
    ///
    /// # Units
    /// Densities by the µs of every time seen; only their ratio means something.
    pub fn joint(&self, encounter: &Encounter<'_>, deadline: Option<Span>) -> [f64; 2] {
        self.joint_of(encounter, &Seen::new(encounter, deadline), deadline)
    }

    #[cfg(test)]
    pub(crate) fn all(&self) -> &Model {
        &self.all
    }

    fn joint_of(&self, encounter: &Encounter<'_>, seen: &Seen, deadline: Option<Span>) -> [f64; 2] {
        let of_times = self.of_times(encounter, seen);
        let Some((performer, language)) = &self.language else { return of_times };
        let of_keys = language.joint(performer, encounter, deadline);
        std::array::from_fn(|class| of_times[class] * of_keys[class])
    }

    /// Of times and, for an observer that is told, the own key.
    fn of_times(&self, encounter: &Encounter<'_>, seen: &Seen) -> [f64; 2] {
        let all = self.all.joint(seen);
        let Some(Keyed { model, presses, .. }) = self.by_key.iter().find(|keyed| keyed.key == encounter.code) else {
            return all;
        };
        let own = model.joint(seen);
        let shares = |model: &Model| [1.0 - model.holds, model.holds];
        let (of_own, of_all) = (shares(model), shares(&self.all));
        std::array::from_fn(|class| {
            let count = presses * of_own[class];
            let share = (count + SHARE_OF_ALL * of_all[class]) / (presses + SHARE_OF_ALL);
            let weight = LOOKS_OF_ALL / (count + LOOKS_OF_ALL);
            let looks = |joint: f64, share: f64| if share > 0.0 { joint / share } else { 0.0 };
            share * ((1.0 - weight) * looks(own[class], of_own[class]) + weight * looks(all[class], of_all[class]))
        })
    }

    /// Log odds that the press is a hold, given what is seen of it until `deadline` after the press; without
    /// a deadline, to the end of the encounter.
    ///
    /// # Units
    /// Nats, within ±[`MOST_NATS`].
    pub fn log_odds(&self, encounter: &Encounter<'_>, deadline: Option<Span>) -> f64 {
        odds(self.joint(encounter, deadline))
    }
}

/// Knows the model and the population, but not who types.
pub struct PopulationObserver {
    typists: Vec<TypistObserver>,
}

impl PopulationObserver {
    /// An observer that thinks of the typist as one of these.
    ///
    /// # Shape
    /// The more typists, the nearer the population; each costs one likelihood per press.
    pub fn new(typists: Vec<TypistObserver>) -> Self {
        Self { typists }
    }

    /// Log odds that the press is a hold. See [`TypistObserver::log_odds`].
    pub fn log_odds(&self, encounter: &Encounter<'_>, deadline: Option<Span>) -> f64 {
        let seen = Seen::new(encounter, deadline);
        let mut sum = [0.0; 2];
        for typist in &self.typists {
            let joint = typist.joint_of(encounter, &seen, deadline);
            sum = [sum[0] + joint[0], sum[1] + joint[1]];
        }
        odds(sum)
    }
}

fn odds([tap, hold]: [f64; 2]) -> f64 {
    if tap <= 0.0 && hold <= 0.0 {
        // Neither can be; the observer is as good as blind, and says so.
        return 0.0;
    }
    (libm::log(hold.max(0.0)) - libm::log(tap.max(0.0))).clamp(-MOST_NATS, MOST_NATS)
}
