//! What the page is answered: advice on its log, and people to look at.

use std::sync::OnceLock;

use agogic_lab::{Manner, ShownPeople, Sliders, manners_of_people, shown_people, typed};
use agogic_log::{Format, Limits, LogLayout, Rules, read};
use agogic_policy::Setting;
use agogic_report::{PERSONAL_CAUTIONS, personal_page};
use agogic_serve::{Answers, Refusal};
use agogic_study::{Arm, Study};
use agogic_typist::Population;
use serde::Deserialize;
use serde_json::json;

use crate::commands::advise_log::{Prepared, Wishes, in_range, personal_outcome, question};
use crate::commands::left_out;
use crate::failure::Failure;

/// People whom a person is put beside.
const OTHERS: u64 = 100;

/// People of each population to look at.
const SHOWN: u64 = 40;

/// What was asked for on the command line and cannot be changed on the page.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    /// A gain that is not worth a change.
    pub least_gain: f64,
    /// Draws of the person.
    pub draws: u64,
}

/// What the page asks with a log.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Question {
    now: Option<String>,
    false_hold: f64,
}

/// All that can be done before there is a log.
struct Ready {
    prepared: Prepared,
    others: Vec<Manner>,
}

/// The engine behind the page.
pub struct TryAnswers {
    study: Study,
    arm: usize,
    asked: Asked,
    ready: OnceLock<Result<Ready, String>>,
}

impl TryAnswers {
    /// Answers for people of an arm of a study.
    pub fn new(study: Study, arm: usize, asked: Asked) -> Self {
        Self { study, arm, asked, ready: OnceLock::new() }
    }

    fn arm(&self) -> &Arm {
        &self.study.arms[self.arm]
    }

    /// Trains and lets people type, once; whoever asks meanwhile waits.
    fn ready(&self) -> Result<&Ready, Refusal> {
        let made = self.ready.get_or_init(|| {
            let prepared = Prepared::new(&self.study, self.arm()).map_err(|failed| failed.to_string())?;
            Ok(Ready { prepared, others: manners_of_people(self.arm(), self.study.seed, OTHERS) })
        });
        made.as_ref().map_err(|words| Refusal(words.clone()))
    }

    fn advised(&self, log: &[u8], asked: Question) -> Result<Vec<u8>, Failure> {
        in_range("false_hold", asked.false_hold, 0.01)?;
        let ready = self.ready().map_err(|refusal| Failure::Population(refusal.0))?;
        let read = read(log, Format::Csv, &LogLayout::events(), Limits::default(), Rules::default());
        let log = read.map_err(|failed| Failure::Population(format!("failed to read the log: {failed}")))?;
        let Some((participant, sessions)) = log.by_participant().into_iter().next() else {
            return Err(Failure::Population("no key press was typed yet".to_owned()));
        };
        let wishes = Wishes {
            now: asked.now.filter(|text| !text.trim().is_empty()),
            false_hold: asked.false_hold,
            least_gain: self.asked.least_gain,
            draws: self.asked.draws,
        };
        let (outcome, fits) = personal_outcome(&self.study, self.arm(), &ready.prepared, &wishes, &sessions)?;
        let own = typed(self.arm(), &ready.prepared.tables, &outcome, &ready.others, &sessions);
        let page = personal_page(&outcome, participant).map_err(|failed| Failure::Population(failed.to_string()))?;
        let all = json!({
            "study": self.study.name,
            "arm": self.arm().label,
            "population": self.arm().population.name(),
            "people": OTHERS,
            "advice": outcome,
            "fit": fits[0],
            "portrait": outcome.advice.portrait.as_ref().map(|portrait| portrait.sentence()),
            "typed": own,
            "cautions": PERSONAL_CAUTIONS,
            "note": left_out(&log),
            "page": page,
        });
        Ok(serde_json::to_vec(&all).expect("an answer is plain data"))
    }

    /// The default of a population, with the tables of the arm's own people.
    fn default_of(&self, arm: &Arm, ready: &Ready) -> Result<Setting, Failure> {
        let nothing = Wishes { now: None, false_hold: 1.0, least_gain: self.asked.least_gain, draws: self.asked.draws };
        let question = question(&self.study, arm, &ready.prepared.tables, &nothing)?;
        let own = arm.population.name() == self.arm().population.name();
        Ok(match own {
            true => ready.prepared.common.default_setting(&question),
            false => agogic_lab::common_people(&question).default_setting(&question),
        })
    }

    fn shown(&self) -> Result<Vec<u8>, Failure> {
        let ready = self.ready().map_err(|refusal| Failure::Population(refusal.0))?;
        let others = Population::NAMES.iter().filter(|name| **name != self.arm().population.name());
        let others = others.filter_map(|name| Population::by_name(name));
        let worlds: Vec<Arm> = std::iter::once(self.arm().clone())
            .chain(others.map(|population| Arm { population, ..self.arm().clone() }))
            .collect();
        let defaults =
            worlds.iter().map(|arm| self.default_of(arm, ready)).collect::<Result<Vec<Setting>, Failure>>()?;
        let sliders = Sliders::new(Some(&ready.prepared.tables), &defaults.iter().collect::<Vec<_>>());
        let people: Vec<ShownPeople> = worlds
            .iter()
            .zip(&defaults)
            .map(|(arm, default)| shown_people(arm, self.study.seed, SHOWN, &sliders, default))
            .collect();
        let all = json!({ "sliders": sliders, "people": people, "tables_of": self.arm().population.name() });
        Ok(serde_json::to_vec(&all).expect("people are plain data"))
    }
}

fn refusal(failed: Failure) -> Refusal {
    Refusal(failed.to_string())
}

impl Answers for TryAnswers {
    fn answer(&self, log: &[u8], question: &[u8]) -> Result<Vec<u8>, Refusal> {
        let asked =
            serde_json::from_slice(question).map_err(|wrong| Refusal(format!("the question is wrong: {wrong}")))?;
        self.advised(log, asked).map_err(refusal)
    }

    fn explorer(&self) -> Result<Vec<u8>, Refusal> {
        self.shown().map_err(refusal)
    }
}
