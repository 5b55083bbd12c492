//! From a TOML text to a [`Study`], or to every mistake in it.

mod advice;
mod clock;
mod costs;
mod digraphs;
mod floor;
mod inference;
mod keyboard;
mod letters;
mod pairs;
mod personal;
mod policies;
mod population;
mod robust;
mod sensitivity;
mod stop;
mod sweep;
mod text;
mod training;
mod typists;
mod workload;

#[cfg(test)]
mod letters_tests;
#[cfg(test)]
mod tests;

use std::path::Path;
use std::sync::Arc;

use agogic_policy::{KEYS_CAUTION, RuleEntry, Sight};
use agogic_toml::{Diagnostics, Mistakes, Section};
use agogic_typist::{Clock, Population};

use crate::inputs::{Input, Inputs};
use crate::plans::{SensitivityPlan, TrainedOn, TrainingPlan};
use crate::study::{Arm, Study, text_caution};
use keyboard::Keyboard;
use policies::Draft;
use text::SourceText;
use typists::MOST_KEYS;
use workload::Interruptions;

pub use population::population_of;
pub use text::{BUILT_IN_TEXTS, OTHER_TEXTS, TEXTS_IN_OTHER_LANGUAGES, built_in_text};

/// Arms of a study, at most, and settings in all of them: what is made while a spec is read has to fit into memory.
const MOST_ARMS: usize = 1000;
const MOST_SETTINGS: usize = 20_000;

/// Policies, at most: each block of a run has a table of wrong outcomes for each of them.
const MOST_POLICIES: usize = 500;

/// The spec of the study that runs when no spec is named.
pub const MAIN_STUDY: &str = include_str!("../../data/studies/main-study.toml");

/// The spec of the advice that is given when no spec is named.
pub const DEFAULTS_STUDY: &str = include_str!("../../data/studies/defaults.toml");

/// A small study with comments, to start a study of one's own from. Lines that begin with `#` and no space are settings too.
pub const NEW_STUDY: &str = include_str!("../../data/new-study.toml");

impl Study {
    /// Reads and validates a spec. Relative paths in it start from `folder`.
    ///
    /// # Errors
    /// Every mistake of the spec at once, with line and key.
    pub fn read(spec: &str, folder: &Path) -> Result<Self, Mistakes> {
        Self::read_from(spec, Inputs::in_folder(folder))
    }

    /// Reads a spec whose files are held, as [`Study::inputs`] of an earlier reading gave them.
    ///
    /// # Errors
    /// Every mistake of the spec at once; a file that is not held is one.
    pub fn read_held(spec: &str, inputs: &[Input]) -> Result<Self, Mistakes> {
        Self::read_from(spec, Inputs::held(inputs))
    }

    fn read_from(spec: &str, inputs: Inputs<'_>) -> Result<Self, Mistakes> {
        let mut study = agogic_toml::read(spec, |root| read_root(root, spec, &inputs))?;
        study.inputs = inputs.finish();
        Ok(study)
    }
}

/// `None` only where a mistake was logged.
fn read_root(root: &Section<'_, '_>, spec: &str, inputs: &Inputs<'_>) -> Option<Study> {
    let log = root.diagnostics();
    let name = root.text("name");
    match &name {
        None => root.missing("name", "is missing; give the study a name of letters, digits and hyphens"),
        Some(name) if !is_name(&name.value) => {
            log.at(name, "must be 1-64 letters, digits and hyphens: it names the result folder");
        }
        Some(_) => {}
    }
    let question = root.text("question").map(|found| found.value).unwrap_or_default();
    let seed = root.whole("seed");
    if !root.contains("seed") {
        root.missing("seed", "is missing; results repeat only from a stated seed");
    }
    let costs = costs::read(root.section("harm"), inputs);
    let people = typists::read(root, inputs);
    let training = training::read(root.section("training"), &people.own, inputs);
    let inference = inference::read(root.section("inference"));
    let primary = inference.primary;
    let stop = stop::read(root.section("stop"));
    let rare = stop::read_rare(root.section("rare"));
    let floor = floor::read(root.section("floor"));
    let front = sweep::read_front(root.section("front"));
    let advice = root.section("advice").and_then(advice::read);
    let robust = robust::read(root.section("robust"));
    let parts = Parts {
        keyboards: keyboard::read(root, inputs),
        text: match root.section("text") {
            Some(section) => text::read(section, inputs, seed.as_ref().map_or(0, |found| found.value)),
            None => {
                root.missing(
                    "text",
                    "is missing; name a text: [text] built_in = \"tide-station\", or file, words, several or digraphs",
                );
                None
            }
        },
        interruptions: workload::read(root.section("workload")),
        populations: people.populations.unwrap_or_default(),
        drafts: policies::read(root),
        sweeps: sweep::read(root),
        probe: root.section("sensitivity").and_then(sensitivity::read),
        training,
        seed: seed.as_ref().map(|found| found.value),
        keys: people.keys,
        clock: clock::read(root.section("clock")),
        pairs_note: None,
    };
    let parts = parts.with_pairs(log);
    let arms = parts.arms(root);
    let sweeps = sweep::resolve(log, &parts.sweeps, parts.seed.unwrap_or_default(), people.typists.unwrap_or_default());
    let labels = parts.labels(log);
    let versus: Vec<_> = parts.drafts.iter().map(|draft| draft.versus.clone()).collect();
    let inference = inference.resolve(log, &labels, &versus)?;
    let stop = stop.map(|draft| draft.resolve(log, &labels));
    let mut floor = floor.resolve(log, parts.rules().map(|entry| (entry.name, entry.sight)));
    floor.typists = floor.typists.min(people.typists.unwrap_or_default());
    let notes = parts.notes(arms.as_deref()?);
    Some(Study {
        name: name?.value,
        question,
        seed: seed?.value,
        text_from: parts.text.as_ref()?.from.clone(),
        texts: parts.text?.names,
        primary,
        rates: parts.interruptions.rates,
        shortcuts: parts.interruptions.shortcuts,
        costs: costs?,
        typists: people.typists?,
        ends: people.ends?,
        arms: arms?,
        policies: labels,
        plans: parts.drafts.iter().map(Draft::plan).collect(),
        training: parts.training,
        inference,
        floor,
        stop,
        rare,
        sweeps: sweeps?,
        front,
        advice,
        robust,
        sensitivity: parts.probe,
        spec: spec.to_owned(),
        inputs: Vec::new(),
        notes,
    })
}

/// The parts of a spec from which the arms of a study are made.
struct Parts {
    keyboards: Vec<Keyboard>,
    text: Option<SourceText>,
    interruptions: Interruptions,
    populations: Vec<Population>,
    drafts: Vec<Draft>,
    sweeps: Vec<sweep::Draft>,
    probe: Option<SensitivityPlan>,
    training: TrainingPlan,
    seed: Option<u64>,
    keys: Option<usize>,
    clock: Clock,
    /// What a reader should know of the shares of pairs of letters.
    pairs_note: Option<String>,
}

impl Parts {
    /// The same, with what is known of pairs of letters on every keyboard.
    fn with_pairs(mut self, log: &Diagnostics) -> Self {
        // All keyboards of a study have the same letters.
        if let (Some(text), Some(Keyboard { board, .. })) = (&self.text, self.keyboards.first()) {
            let (pairs, note) = text.pairs(log, board.letters());
            self.pairs_note = note;
            for keyboard in &mut self.keyboards {
                keyboard.board = keyboard.board.clone().with_pairs(pairs.clone());
            }
        }
        self
    }

    /// Every rule of the study.
    fn rules(&self) -> impl Iterator<Item = RuleEntry> {
        let policies = self.drafts.iter().map(|draft| draft.rule.entry);
        let sweeps = self.sweeps.iter().map(|draft| draft.rule.entry);
        policies.chain(sweeps).chain(self.probe.iter().map(|plan| plan.rule.entry))
    }

    fn learns(&self) -> bool {
        self.rules().any(|entry| entry.needs_training)
    }

    /// Every population on every keyboard; `None` only where a mistake was logged.
    fn arms(&self, root: &Section<'_, '_>) -> Option<Vec<Arm>> {
        let log = root.diagnostics();
        let (keyboards, populations) = (self.keyboards.len(), self.populations.len());
        if keyboards * populations > MOST_ARMS {
            let message = format!(
                "asks for {populations} populations × {keyboards} assignments; their product may be {MOST_ARMS} at most"
            );
            root.missing("typists", message);
            return None;
        }
        if self.drafts.len() > MOST_POLICIES {
            let message = format!(
                "has {} entries; it may have {MOST_POLICIES} at most. A [[sweep]] tries more settings of a rule",
                self.drafts.len()
            );
            root.missing("policy", message);
            return None;
        }
        let settings = self.drafts.len() + self.sweeps.len();
        if keyboards * populations * settings > MOST_SETTINGS {
            let message = format!(
                "asks for {settings} policies and sweeps in each of {} arms; their product may be {MOST_SETTINGS} at \
                 most",
                keyboards * populations
            );
            root.missing("policy", message);
            return None;
        }
        let mut arms = Vec::new();
        for keyboard in &self.keyboards {
            let workload = self.interruptions.resolve(log, &keyboard.board, &keyboard.assignment);
            let plan = Arc::new(self.text.as_ref()?.plan(log, &keyboard.board, &keyboard.assignment)?);
            let keys = |text| plan.text(text).iter().map(|step| 1 + usize::from(step.holder.is_some())).sum();
            let once: usize = (0..plan.texts()).map(keys).max().unwrap_or_default();
            if self.keys.is_none() && once as u64 > MOST_KEYS {
                let message = format!(
                    "is missing: the longest text has {once} keys, and a typist may press {MOST_KEYS} at most. State how many \
                     of them each types, or take a shorter text; more typists say more than longer texts"
                );
                root.missing("typists.keys_each", message);
                return None;
            }
            for population in &self.populations {
                let label = match self.keyboards.as_slice() {
                    [_] => population.name().to_owned(),
                    _ => format!("{} / {}", population.name(), keyboard.name),
                };
                arms.push(Arm {
                    label,
                    population: population.clone(),
                    assignment_name: keyboard.name.clone(),
                    board: keyboard.board.clone(),
                    assignment: keyboard.assignment.clone(),
                    plan: Arc::clone(&plan),
                    workload: workload.clone(),
                    keys: self.keys.unwrap_or(once),
                    clock: self.clock,
                });
            }
        }
        Some(arms)
    }

    fn labels(&self, log: &Diagnostics) -> Vec<String> {
        policies::labels(log, &self.drafts, self.drafts.iter().map(|draft| draft.own_label(log)))
    }

    /// What a reader should know about the input.
    fn notes(&self, arms: &[Arm]) -> Vec<String> {
        let mut notes = Vec::new();
        if let Some(Arm { plan, .. }) = arms.first() {
            if plan.replaced() > 0 {
                notes.push(format!("{} characters of the text were typed in a plainer form", plan.replaced()));
            }
            if plan.skipped() > 0 {
                notes.push(format!("{} characters of the text have no key and were left out", plan.skipped()));
            }
        }
        notes.extend(self.text.as_ref().and_then(|text| text.note.clone()));
        notes.extend(self.keyboards.first().and_then(|keyboard| letters::note(keyboard.board.letters())));
        notes.extend(self.pairs_note.clone());
        notes.extend(self.text.as_ref().and_then(|text| text_caution(text.names.len())).map(str::to_owned));
        if self.learns() {
            let whom = self.training.in_full();
            let same = if self.training.on == TrainedOn::Own {
                ", text and workload"
            } else {
                ", on the same text and workload"
            };
            notes.push(format!("rules that learn were trained on {whom}{same}"));
        }
        if self.rules().any(|entry| entry.needs_training && entry.sight >= Sight::Keys) {
            notes.push(
                "rules that know keys learned from the very text and shortcuts that they are judged on, and do worse on \
                 others; the table of rules that learn says by how much"
                    .into(),
            );
        }
        let own_tables = |draft: &Draft| draft.personal.as_ref().is_some_and(|own| own.own_tables().is_some());
        if self.drafts.iter().any(own_tables) {
            notes.push(format!("tables made a typist's own: {KEYS_CAUTION}").trim_end_matches('.').to_owned());
        }
        if self.drafts.iter().any(|draft| draft.personal.is_some() && !own_tables(draft)) {
            let n = self.training.prior_typists;
            notes.push(format!(
                "personal values were fitted to presses of each typist that are not judged, with {n} other typists as \
                 the prior; in life the intents of such presses come from prompted text"
            ));
        }
        if self.interruptions.rates.bare_holds == 0.0 {
            notes.push("holds without a target key, as for a mouse click, are not part of this workload".into());
        }
        notes
    }
}

fn is_name(name: &str) -> bool {
    (1..=64).contains(&name.len())
        && name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
        && !name.starts_with('-')
}
