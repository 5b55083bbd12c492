//! What to mind when reading the results of a study, in sentences.

use std::borrow::Cow;

use agogic_stats::Caution;
use agogic_study::EstimandInfo;
use serde::{Deserialize, Serialize};

use super::{ALL, ResultRow, Statistic};

/// A caution that estimates of one arm earned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CautionNote {
    /// Label of the arm.
    pub arm: String,
    /// The caution; of several of one kind the one that weighs most, with the fewest typists.
    pub caution: Caution,
    /// Policy, estimand and statistic of each estimate that earned it, in the order of the results.
    pub estimates: Vec<(String, Cow<'static, str>, Statistic)>,
    /// Estimates of the arm that were looked at.
    pub of: usize,
    /// The whole in plain words.
    pub sentence: String,
}

/// The cautions of a study: one note for each arm and kind, in the order in which they come.
///
/// # Definition
/// The pooled values and differences of the estimands of which more is told than these are looked at, over all typists of an
/// arm; groups have fewer typists by design. Every other estimate carries its own. When
/// an estimate earns a caution is stated by [`Caution`]. That all sessions type one text is a note of the study.
pub fn cautions_of(rows: &[ResultRow]) -> Vec<CautionNote> {
    let looked_at = |row: &&ResultRow| {
        let is_shown = matches!(row.statistic, Statistic::Pooled | Statistic::Difference);
        let whole = row.group == ALL && row.estimate.value.is_some();
        is_shown && whole && EstimandInfo::by_name(&row.estimand).is_some_and(|info| info.spread)
    };
    let mut notes: Vec<CautionNote> = Vec::new();
    for row in rows.iter().filter(looked_at) {
        for caution in row.estimate.cautions.iter().filter(|caution| **caution != Caution::OneText) {
            let earned = (row.policy.clone(), row.estimand.clone(), row.statistic);
            match notes.iter_mut().find(|note| note.arm == row.arm && note.caution.name() == caution.name()) {
                Some(note) => {
                    note.caution = weightier(note.caution, *caution);
                    note.estimates.push(earned);
                }
                None => notes.push(CautionNote {
                    arm: row.arm.clone(),
                    caution: *caution,
                    estimates: vec![earned],
                    of: rows.iter().filter(looked_at).filter(|other| other.arm == row.arm).count(),
                    sentence: String::new(),
                }),
            }
        }
    }
    for note in &mut notes {
        note.sentence = sentence(note);
    }
    notes
}

/// Of two cautions of one kind the one with the fewest typists.
fn weightier(one: Caution, other: Caution) -> Caution {
    match (one, other) {
        (Caution::FewClusters { n: a }, Caution::FewClusters { n: b }) if b < a => other,
        (Caution::FewInformative { n: a }, Caution::FewInformative { n: b }) if b < a => other,
        (Caution::FewDiffering { n: a }, Caution::FewDiffering { n: b }) if b < a => other,
        _ => one,
    }
}

/// Estimates that a sentence names one by one.
const NAMED: usize = 6;

fn sentence(note: &CautionNote) -> String {
    let said = note.caution.sentence("typist");
    let earned = note.estimates.len();
    if earned == note.of {
        return format!("`{}`: {said}", note.arm);
    }
    let mut about: Vec<(String, Vec<String>)> = Vec::new();
    for (policy, estimand, statistic) in &note.estimates {
        let name = estimand.replace('_', " ");
        let what = if *statistic == Statistic::Pooled { name } else { format!("the difference of {name}") };
        match about.iter_mut().find(|(known, _)| *known == what) {
            Some((_, policies)) => policies.push(format!("`{policy}`")),
            None => about.push((what, vec![format!("`{policy}`")])),
        }
    }
    let of: Vec<String> = if earned <= NAMED {
        about.into_iter().map(|(what, policies)| format!("{what} of {}", policies.join(", "))).collect()
    } else {
        about.into_iter().map(|(what, _)| what).collect()
    };
    let many = if earned <= NAMED { String::new() } else { format!("{earned} of {} estimates, ", note.of) };
    format!("`{}`, {many}{}: {said}", note.arm, of.join("; "))
}

#[cfg(test)]
mod tests {
    use agogic_stats::{Estimate, Level};

    use super::*;

    fn row(arm: &str, name: &str, cautions: &[Caution]) -> ResultRow {
        let estimate = Estimate::new(1.0, "m", Level::P95, "typist", 12).with_cautions(cautions.iter().copied());
        ResultRow::of(arm, "enclosed", EstimandInfo::by_name(name).unwrap(), Statistic::Pooled, estimate)
    }

    #[test]
    fn one_note_for_each_arm_and_kind() {
        let few = Caution::FewClusters { n: 12 };
        let events = |n| Caution::FewInformative { n };
        let rows = [
            row("slow", "false_holds", &[few, events(4)]),
            row("slow", "harm", &[few]),
            row("slow", "missed_holds", &[few, events(2)]),
            row("slow", "stray_chords", &[events(1)]),
            row("trained", "harm", &[]),
            ResultRow { group: std::borrow::Cow::Borrowed("slowest third"), ..row("trained", "harm", &[few]) },
        ];
        let notes = cautions_of(&rows);
        assert_eq!(notes.iter().map(|note| note.caution).collect::<Vec<_>>(), [few, events(2)]);
        assert_eq!(notes[0].sentence, "`slow`: 12 typists are few: intervals held their level from 40 typists on.");
        let sentence = &notes[1].sentence;
        assert!(
            sentence.starts_with("`slow`, false holds of `enclosed`; missed holds of `enclosed`: Only 2"),
            "{sentence}"
        );
        // Of stray chords only the rate is told, which carries its own caution.
        assert!(cautions_of(&rows[3..]).is_empty());
    }
}
