//! Advice for one person.

use agogic_fit::Fit;
use agogic_keys::Board;
use agogic_policy::Setting;
use serde::Serialize;

use crate::choice::{Choice, Question};
use crate::errors_by_key::{KeyErrors, by_key};
use crate::known::Known;
use crate::parts::Part;
use crate::portrait::Portrait;
use crate::tally::{Errors, Tally};
use crate::words;

/// Fewest presses, and fewest holds, of a log that advice is given on.
///
/// # Source
/// Common sense, no source: a share of 20 holds has a standard error of up to 11 in 100, and of 500 presses some 150 are
/// of the resting keys.
pub const LEAST_TO_SAY: [u64; 2] = [500, 20];

/// Whether a change is worth it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PersonalVerdict {
    /// The interval of the gain lies above the least gain.
    Change,
    /// The interval of the gain lies below the least gain: no change is worth it.
    Stay,
    /// It is not known: no change is worth it yet.
    StayUnsure,
    /// The log is too short for any advice.
    NotEnough,
}

/// A rule with its verdict.
#[derive(Clone, Debug, Serialize)]
pub struct Row {
    /// What is chosen, and what it gains.
    #[serde(flatten)]
    pub choice: Choice,
    /// Whether a change to it is worth it.
    pub verdict: PersonalVerdict,
}

/// Advice for one person.
#[derive(Clone, Debug, Serialize)]
pub struct PersonalAdvice {
    /// What a false hold counts, a missed hold being 1.
    pub false_hold: f64,
    /// The gain that nobody would change anything for, in wrong decisions per 1000 presses of dual-role keys.
    pub least_gain: f64,
    /// The people who stand in for what the log leaves unknown.
    pub population: String,
    /// The setting that is compared with.
    pub before: String,
    /// Whether that is the setting in use; else it is the best common setting of the population.
    pub now: bool,
    /// Presses of any key in the log.
    pub presses: u64,
    /// Presses of known meaning: taps and holds.
    pub known: [u64; 2],
    /// One row a rule, the choice between all without tables last.
    pub rules: Vec<Row>,
    /// The choice between all settings without tables.
    pub simple: Row,
    /// The best row with tables; `None` where none was asked for.
    pub tables: Option<Row>,
    /// The best row with a value for each hand or finger; `None` where the log cannot carry one.
    pub parts: Option<Row>,
    /// What is to be done to come to the choice without tables.
    pub changes: Vec<String>,
    /// Where `before` and the choice without tables err, by key; those with most errors first.
    pub keys: Vec<KeyErrors>,
    /// The same by finger.
    pub fingers: Vec<KeyErrors>,
    /// Whom the person resembles.
    pub portrait: Option<Portrait>,
    /// What the log lacks for advice.
    pub lacks: Option<String>,
    /// The whole in plain words.
    pub sentences: Vec<String>,
    /// The setting that is compared with.
    #[serde(skip)]
    pub setting_before: Setting,
    /// The setting of each row of `rules`.
    #[serde(skip)]
    pub settings: Vec<Setting>,
}

/// What is known of a person.
pub struct Evidence<'a> {
    /// Presses of any key.
    pub presses: u64,
    /// Presses of known meaning.
    pub known: &'a Known,
    /// Holds of any key that the log shows: of dual-role keys where their meaning is known, and of Shift.
    pub holds: u64,
    /// Typists who could be this person, under the settings of the grid.
    pub drawn: &'a [Tally],
    /// The person, fitted as one of several populations; the first is the chosen one.
    pub fits: &'a [Fit],
}

/// Chooses for a person, and says what that gains and whether it is worth a change.
pub fn advise(
    question: &Question<'_>,
    common: &Errors,
    evidence: &Evidence<'_>,
    board: &Board,
    (population, least_gain): (&str, f64),
) -> PersonalAdvice {
    let found = question.choose(common, evidence.drawn, evidence.known, board);
    let lacks = lacks(evidence);
    let before = found.before.label();
    let rows: Vec<Row> = found
        .rows
        .iter()
        .map(|choice| {
            let verdict = match lacks {
                Some(_) => PersonalVerdict::NotEnough,
                None => verdict(choice, &before, least_gain),
            };
            Row { choice: choice.clone(), verdict }
        })
        .collect();
    let simple = rows.last().expect("the last is the choice between all").clone();
    let gain = |row: &&Row| row.choice.gain.value.unwrap_or(f64::NEG_INFINITY);
    let tables = rows.iter().filter(|row| row.choice.tables).max_by(|a, b| gain(a).total_cmp(&gain(b))).cloned();
    let is_of_parts = |row: &&Row| Part::ALL.iter().any(|part| part.name() == row.choice.rule);
    let parts = rows.iter().filter(is_of_parts).max_by(|a, b| gain(a).total_cmp(&gain(b))).cloned();
    let (keys, fingers) = by_key(board, &found.decided, rows.len() - 1);
    let mut advice = PersonalAdvice {
        false_hold: question.false_hold,
        least_gain,
        population: population.to_owned(),
        now: question.now.is_some(),
        presses: evidence.presses,
        known: evidence.known.presses(),
        changes: words::changes(&found.before, found.settings.last().expect("one a row")),
        before,
        rules: rows,
        simple,
        tables,
        parts,
        keys,
        fingers,
        portrait: (!evidence.fits.is_empty()).then(|| Portrait::of(evidence.fits)),
        lacks,
        sentences: Vec::new(),
        setting_before: found.before,
        settings: found.settings,
    };
    advice.sentences = words::sentences(&advice);
    advice
}

/// What a log lacks for advice, and what would be enough.
fn lacks(evidence: &Evidence<'_>) -> Option<String> {
    let [presses, holds] = LEAST_TO_SAY;
    let more = |seen: u64, least: u64| least.saturating_sub(seen);
    let (keys, gestures) = (more(evidence.presses, presses), more(evidence.holds, holds));
    let wanted = match (keys, gestures) {
        (0, 0) => return None,
        (keys, 0) => format!("{keys} more presses"),
        (0, gestures) => format!("{gestures} more holds"),
        (keys, gestures) => format!("{keys} more presses and {gestures} more holds"),
    };
    Some(format!(
        "the log has {} presses and {} holds; it takes {wanted} ({presses} and {holds} at least)",
        evidence.presses, evidence.holds
    ))
}

fn verdict(choice: &Choice, before: &str, least_gain: f64) -> PersonalVerdict {
    match (choice.gain.lo, choice.gain.hi) {
        _ if choice.setting == before => PersonalVerdict::Stay,
        (Some(lo), _) if lo > least_gain => PersonalVerdict::Change,
        (_, Some(hi)) if hi <= least_gain => PersonalVerdict::Stay,
        _ => PersonalVerdict::StayUnsure,
    }
}
