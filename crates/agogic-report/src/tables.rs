//! The tables of a study.

use agogic_files::{ArmRecord, KindRecord, Results};
use agogic_lab::{ALL, ResultRow, Statistic};

use crate::sheet::{Cell, Column, Sheet};
use crate::words::capital;

/// A column of estimates.
#[derive(Clone, Copy)]
pub(crate) struct Measure {
    pub estimand: &'static str,
    pub statistic: Statistic,
    pub title: &'static str,
    pub unit: &'static str,
    pub digits: usize,
}

impl Measure {
    /// Whether an arm has rows for it: a study without a floor or a margin has no column for it.
    pub fn is_in(&self, results: &Results, arm: &str) -> bool {
        let of = |row: &ResultRow| row.arm == arm && row.estimand == self.estimand && row.statistic == self.statistic;
        results.rows.iter().any(of)
    }

    fn column(&self) -> Column {
        Column::numbers(self.title, self.unit)
    }

    pub fn cell(&self, results: &Results, arm: &str, policy: &str) -> Cell {
        let estimate = results.row(arm, policy, self.estimand, self.statistic).map(|row| &row.estimate);
        match self.statistic {
            Statistic::Difference | Statistic::DifferenceJoint | Statistic::DifferenceOverTexts => {
                Cell::difference(estimate, self.digits)
            }
            _ => Cell::estimate(estimate, self.digits),
        }
    }
}

/// Columns of the table of policies.
const OF_POLICIES: [Measure; 6] = [
    Measure {
        estimand: "wrong_keys",
        statistic: Statistic::Pooled,
        title: "wrong keys",
        unit: "per 1000 words",
        digits: 1,
    },
    Measure {
        estimand: "false_holds",
        statistic: Statistic::Pooled,
        title: "false holds",
        unit: "per 1000 taps",
        digits: 2,
    },
    Measure {
        estimand: "missed_holds",
        statistic: Statistic::Pooled,
        title: "missed holds",
        unit: "per 100 holds",
        digits: 2,
    },
    Measure { estimand: "harm", statistic: Statistic::Pooled, title: "harm, s", unit: "per 1000 words", digits: 0 },
    Measure { estimand: "tap_delay", statistic: Statistic::Pooled, title: "tap delay", unit: "ms", digits: 0 },
    Measure {
        estimand: "role_loss",
        statistic: Statistic::AboveFloor,
        title: "loss above floor",
        unit: "per 1000 presses",
        digits: 1,
    },
];

/// The columns that fit a page of a paper.
const ON_PAPER: [&str; 4] = ["wrong_keys", "false_holds", "missed_holds", "tap_delay"];

/// Letters, digits and hyphens, for a file name.
pub fn slug(label: &str) -> String {
    label.chars().map(|c| if c.is_ascii_alphanumeric() || c == '-' { c } else { '-' }).collect()
}

pub(crate) fn about(results: &Results, arm: &str) -> String {
    let m = &results.manifest;
    let keys = m.arms.iter().find(|info| info.label == arm).map_or(0, |info| info.keys_each);
    format!(
        "{} simulated typists of `{arm}`, {keys} presses each; {} % intervals, unit of resampling: typist",
        results.judged(arm),
        m.level * 100.0
    )
}

/// What the loss above the floor is, and on how many typists of an arm it stands; `None` in a study without a floor.
pub fn floor_note(results: &Results, arm: &str) -> Option<String> {
    let typists = results.watched(arm);
    (typists > 0).then(|| results.manifest.floor.note(typists))
}

/// What to mind when reading the estimates of an arm, a sentence each.
pub fn caution_notes(results: &Results, arm: &str) -> Vec<String> {
    let own = results.cautions.iter().filter(|note| note.arm == arm);
    own.map(|note| format!("Caution: {}", note.sentence)).collect()
}

/// One row per policy of an arm, in the order of the study: estimates with their intervals.
pub fn policy_table(results: &Results, arm: &str) -> Sheet {
    policies(results, arm, |_| true)
}

/// The same with the columns that fit the page of a paper.
pub fn policy_table_on_paper(results: &Results, arm: &str) -> Sheet {
    policies(results, arm, |measure| ON_PAPER.contains(&measure.estimand))
}

fn policies(results: &Results, arm: &str, wanted: impl Fn(&Measure) -> bool) -> Sheet {
    let measures: Vec<_> = OF_POLICIES.into_iter().filter(|m| wanted(m) && m.is_in(results, arm)).collect();
    let row = |policy: &String| {
        let cells = measures.iter().map(|measure| measure.cell(results, arm, policy));
        std::iter::once(Cell::Words(policy.clone())).chain(cells).collect()
    };
    let shows_floor = measures.iter().any(|measure| measure.statistic == Statistic::AboveFloor);
    let floor_note = floor_note(results, arm).filter(|_| shows_floor).map_or(String::new(), |note| format!(" {note}"));
    Sheet {
        name: format!("policies-{}", slug(arm)),
        caption: format!("Errors and delay under each policy. {}.{}", about(results, arm), floor_note),
        columns: std::iter::once(Column::words("policy")).chain(measures.iter().map(Measure::column)).collect(),
        rows: results.manifest.policies.iter().map(row).collect(),
    }
}

/// What the name of a group begins with that is of one text.
const TEXT: &str = "text ";

/// Names of the groups in the rows of an arm, in their order; those of texts are no groups of people.
pub(crate) fn groups<'a>(results: &'a Results, arm: &str) -> Vec<&'a str> {
    named_groups(results, arm, false)
}

fn named_groups<'a>(results: &'a Results, arm: &str, of_texts: bool) -> Vec<&'a str> {
    let mut names: Vec<&str> = Vec::new();
    let wanted = |row: &&ResultRow| row.arm == arm && row.group != ALL && row.group.starts_with(TEXT) == of_texts;
    for row in results.rows.iter().filter(wanted) {
        if !names.contains(&&*row.group) {
            names.push(&row.group);
        }
    }
    names
}

/// Wrong keys in the groups at the ends of speed and rollover. `None` with too few typists for groups.
pub fn group_table(results: &Results, arm: &str) -> Option<Sheet> {
    let groups = groups(results, arm);
    if groups.is_empty() {
        return None;
    }
    let cell = |policy: &str, group: &str| {
        let row = results.group_row(arm, policy, "wrong_keys", Statistic::Pooled, group);
        Cell::estimate(row.map(|row| &row.estimate), 1)
    };
    let row = |policy: &String| {
        let all = std::iter::once(&ALL).chain(&groups);
        std::iter::once(Cell::Words(policy.clone())).chain(all.map(|group| cell(policy, group))).collect()
    };
    let mut columns = vec![Column::words("policy"), Column::numbers("all typists", "")];
    columns.extend(groups.iter().map(|group| Column::numbers(group, "")));
    Some(Sheet {
        name: format!("groups-{}", slug(arm)),
        caption: format!("Wrong keys per 1000 words in groups of typists. {}.", about(results, arm)),
        columns,
        rows: results.manifest.policies.iter().map(row).collect(),
    })
}

/// The primary estimand text by text, and with an interval that counts typists and texts. `None` for a study of one text.
pub fn text_table(results: &Results, arm: &str) -> Option<Sheet> {
    let texts = named_groups(results, arm, true);
    if texts.is_empty() {
        return None;
    }
    let m = &results.manifest;
    let primary = m.primary.as_str();
    let cell = |row: Option<&ResultRow>| Cell::estimate(row.map(|row| &row.estimate), 1);
    let row = |policy: &String| {
        let mut cells = vec![Cell::Words(policy.clone())];
        cells.push(cell(results.row(arm, policy, primary, Statistic::Pooled)));
        cells.push(cell(results.row(arm, policy, primary, Statistic::PooledOverTexts)));
        cells.push(cell(results.row(arm, policy, primary, Statistic::DifferenceOverTexts)));
        cells.extend(texts.iter().map(|text| cell(results.group_row(arm, policy, primary, Statistic::Pooled, text))));
        cells
    };
    let mut columns = vec![Column::words("policy")];
    columns.push(Column::numbers("these texts", "interval over typists"));
    columns.push(Column::numbers("texts like these", "interval over texts"));
    columns.push(Column::numbers("difference", "interval over texts"));
    columns.extend(texts.iter().map(|text| Column::numbers(&text[TEXT.len()..], "interval over typists")));
    Some(Sheet {
        name: format!("texts-{}", slug(arm)),
        caption: format!("{} text by text. {}.", capital(&primary.replace('_', " ")), about(results, arm)),
        columns,
        rows: m.policies.iter().map(row).collect(),
    })
}

/// Every policy at both ends of what is assumed of holding. `None` where the study asks for no ends.
pub fn ends_table(results: &Results, arm: &str) -> Option<Sheet> {
    let ends = &results.advice.iter().find(|advice| advice.arm == arm)?.ends;
    let typists = ends.first()?.typists;
    let mut columns = vec![Column::words("policy")];
    for end in ends {
        let who = format!("people {}", end.who());
        columns.push(Column::numbers(&format!("wrong keys, {who}"), "per 1000 words"));
        columns.push(Column::numbers(&format!("missed holds, {who}"), "per 100 holds"));
    }
    let row = |policy: &String| {
        let of = |end: &agogic_lab::End| {
            let own = end.of(policy);
            [Cell::estimate(own.map(|own| &own.wrong_keys), 1), Cell::estimate(own.map(|own| &own.missed_holds), 1)]
        };
        std::iter::once(Cell::Words(policy.clone())).chain(ends.iter().flat_map(of)).collect()
    };
    Some(Sheet {
        name: format!("ends-{}", slug(arm)),
        caption: format!(
            "The same typists of `{arm}` holding keys with two roles as they hold Shift, and fully adapted to them; the \
             study lies between. {typists} typists at each end; {} % intervals, unit of resampling: typist.",
            results.manifest.level * 100.0
        ),
        columns,
        rows: results.manifest.policies.iter().map(row).collect(),
    })
}

/// A column of the table of spread: estimand, statistic, limit, title and unit.
type SpreadColumn = (String, Statistic, Option<f64>, String, String);

/// How a rate is spread over typists: median, 90 % and 95 %, and shares within limits. Of rates of trials the noise of
/// finite sessions is taken out; of the others the table is of sessions as long as those of the study.
pub fn spread_table(results: &Results, arm: &str) -> Sheet {
    let keys = results.manifest.arms.iter().find(|info| info.label == arm).map_or(0, |info| info.keys_each);
    let of_sessions = [
        (Statistic::MedianSession, "median session"),
        (Statistic::P90Session, "90 % at most"),
        (Statistic::P95Session, "95 % at most"),
    ];
    let of_typists = [
        (Statistic::MedianTypist, "median typist"),
        (Statistic::P90Typist, "90 % at most"),
        (Statistic::P95Typist, "95 % at most"),
    ];
    let mut wanted: Vec<SpreadColumn> = Vec::new();
    let mut add = |estimand: &str, unit: &str, statistics: [(Statistic, &str); 3]| {
        wanted.extend(statistics.map(|(statistic, title)| {
            (estimand.to_owned(), statistic, None, format!("{}: {title}", estimand.replace('_', " ")), unit.to_owned())
        }));
    };
    add("wrong_keys", &format!("per 1000 words, in {keys} presses"), of_sessions);
    add("false_holds", "per 1000 taps, in the long run", of_typists);
    // A limit on a rate whose noise cannot be taken out is held against sessions.
    let shares = [Statistic::ShareWithinLimit, Statistic::ShareOfSessionsWithinLimit];
    let first = results.manifest.policies.first();
    let limits = results.rows.iter().filter(|row| row.arm == arm && Some(&row.policy) == first && row.group == ALL);
    for row in limits.filter(|row| shares.contains(&row.statistic)) {
        let of_typists = |other: &&ResultRow| {
            other.arm == arm
                && other.estimand == row.estimand
                && other.statistic == shares[0]
                && other.against == row.against
        };
        let (statistic, unit) = if row.statistic == shares[0] {
            (shares[0], "share of typists, in the long run".to_owned())
        } else if results.rows.iter().any(|other| of_typists(&other)) {
            continue;
        } else {
            (shares[1], format!("share of sessions of {keys} presses"))
        };
        let limit = row.against.map_or(String::new(), |limit| limit.to_string());
        let title = format!("{} at most {limit}", row.estimand.replace('_', " "));
        wanted.push((row.estimand.to_string(), statistic, row.against, title, unit));
    }
    let cell = |policy: &String, (estimand, statistic, against, ..): &SpreadColumn| {
        let of = |row: &&ResultRow| {
            row.arm == arm
                && row.policy == *policy
                && row.group == ALL
                && row.estimand == *estimand
                && row.statistic == *statistic
                && row.against == *against
        };
        let digits = if against.is_some() { 2 } else { 1 };
        Cell::estimate(results.rows.iter().find(of).map(|row| &row.estimate), digits)
    };
    let row = |policy: &String| {
        std::iter::once(Cell::Words(policy.clone())).chain(wanted.iter().map(|column| cell(policy, column))).collect()
    };
    let columns = wanted.iter().map(|(_, _, _, title, unit)| Column::numbers(title, unit));
    Sheet {
        name: format!("spread-{}", slug(arm)),
        caption: format!(
            "How errors are spread over typists. In the long run: true rates, what a session of {keys} presses adds by \
             chance taken out. {}.",
            about(results, arm)
        ),
        columns: std::iter::once(Column::words("policy")).chain(columns).collect(),
        rows: results.manifest.policies.iter().map(row).collect(),
    }
}

/// The wrong outcomes that happened most, under one policy.
pub fn kind_table(results: &Results, arm: &str, policy: &str, most: usize) -> Option<Sheet> {
    let mut lines: Vec<_> = results.kinds.iter().filter(|line| line.arm == arm && line.policy == policy).collect();
    lines.sort_by(|a, b| b.count.cmp(&a.count).then_with(|| (&a.key, &a.modifier).cmp(&(&b.key, &b.modifier))));
    if lines.is_empty() {
        return None;
    }
    let all: u64 = lines.iter().map(|line| line.count).sum();
    let row = |line: &&KindRecord| {
        let words = [&line.outcome, &line.modifier, &line.key].map(|word| Cell::Words(word.replace('_', " ")));
        let mut cells = Vec::from(words);
        cells.extend([Cell::Number(line.count as f64, 0), Cell::Number(100.0 * line.count as f64 / all as f64, 1)]);
        cells
    };
    let rows = lines.len().min(most);
    Some(Sheet {
        name: format!("kinds-{}", slug(arm)),
        caption: format!(
            "The {rows} wrong outcomes that happened most under `{policy}`, of {} kinds, over all typists of `{arm}`.",
            lines.len()
        ),
        columns: vec![
            Column::words("outcome"),
            Column::words("modifier"),
            Column::words("key"),
            Column::numbers("count", ""),
            Column::numbers("of all wrong", "%"),
        ],
        rows: lines.iter().take(most).map(row).collect(),
    })
}

/// What each assignment asks of the hands.
pub fn hand_table(results: &Results) -> Option<Sheet> {
    let mut names: Vec<&str> = Vec::new();
    let mut whats: Vec<(&str, &str)> = Vec::new();
    for line in &results.hands {
        if !names.contains(&line.assignment.as_str()) {
            names.push(&line.assignment);
        }
        if !whats.contains(&(line.what.as_str(), line.unit.as_str())) {
            whats.push((&line.what, &line.unit));
        }
    }
    if names.is_empty() {
        return None;
    }
    let row = |(what, unit): &(&str, &str)| {
        let mut cells = vec![Cell::Words((*what).to_owned()), Cell::Words((*unit).to_owned())];
        cells.extend(names.iter().map(|name| {
            let found = results.hands.iter().find(|line| line.assignment == *name && line.what == *what);
            found.map_or(Cell::Nothing, |line| Cell::Number(line.value, 2))
        }));
        cells
    };
    let mut columns = vec![Column::words("what"), Column::words("unit")];
    columns.extend(names.iter().map(|name| Column::numbers(name, "")));
    Some(Sheet {
        name: "hands".into(),
        caption: "What the assignment of modifiers asks of the hands: load of each finger, and reach of the shortcuts."
            .into(),
        columns,
        rows: whats.iter().map(row).collect(),
    })
}

/// One row per arm of a study of several assignments: what its first policy does there, beside what the
/// assignment asks of the hands. `None` for a study of one assignment.
pub fn assignment_table(results: &Results) -> Option<Sheet> {
    let arms = &results.manifest.arms;
    let policy = results.manifest.policies.first()?;
    let first = arms.first()?;
    if arms.iter().all(|arm| arm.assignment == first.assignment) {
        return None;
    }
    let hand = |assignment: &str, what: &str| {
        results.hands.iter().find(|line| line.assignment == assignment && line.what == what).map(|line| line.value)
    };
    let busiest = |assignment: &str| {
        let holds = results.hands.iter().filter(|line| line.assignment == assignment && line.what.ends_with(": holds"));
        holds.map(|line| line.value).fold(0.0, f64::max)
    };
    let share =
        |value: Option<f64>| value.map_or_else(|| Cell::Words("unknown".into()), |v| Cell::Number(100.0 * v, 0));
    let row = |arm: &ArmRecord| {
        let of = |estimand: &str, digits: usize| {
            Cell::estimate(
                results.row(&arm.label, policy, estimand, Statistic::Pooled).map(|row| &row.estimate),
                digits,
            )
        };
        vec![
            Cell::Words(arm.label.clone()),
            of("false_holds", 2),
            of("harm", 0),
            Cell::Number(busiest(&arm.assignment), 1),
            share(hand(&arm.assignment, "shortcuts held with the hand that presses the target")),
            share(hand(&arm.assignment, "shortcuts the left hand can make alone")),
        ]
    };
    Some(Sheet {
        name: "assignments".into(),
        caption: format!("Under `{policy}`, by population and assignment."),
        columns: vec![
            Column::words("arm"),
            Column::numbers("false holds", "per 1000 taps"),
            Column::numbers("harm, s", "per 1000 words"),
            Column::numbers("busiest holder", "holds per 1000 keys"),
            Column::numbers("same hand", "% of shortcuts"),
            Column::numbers("left alone", "% of shortcuts"),
        ],
        rows: arms.iter().map(row).collect(),
    })
}

/// Every number of the typist model, what is assumed first.
pub fn register_table(results: &Results) -> Sheet {
    let rank = |kind: &str| ["assumed", "stated", "derived", "published"].iter().position(|known| *known == kind);
    let mut entries: Vec<_> = results.register.iter().collect();
    // A stable sort: within a kind the order of the register stays.
    entries.sort_by_key(|entry| rank(entry.provenance.kind()));
    let rows = entries.into_iter().map(|entry| {
        let from = entry.taken_from.as_ref().map_or(String::new(), |from| format!(" (taken over from `{from}`)"));
        vec![
            Cell::Words(entry.provenance.kind().to_owned()),
            Cell::Words(entry.population.clone()),
            Cell::Words(entry.name.clone()),
            Cell::Number(entry.value, decimals(entry.value)),
            Cell::Words(entry.unit.to_string()),
            Cell::Words(entry.doc.to_string()),
            Cell::Words(format!("{}{from}", entry.provenance.words())),
        ]
    });
    Sheet {
        name: "register".into(),
        caption: "Every number of the typist model with its provenance; what is assumed stands first.".into(),
        columns: vec![
            Column::words("kind"),
            Column::words("population"),
            Column::words("number"),
            Column::numbers("value", ""),
            Column::words("unit"),
            Column::words("meaning"),
            Column::words("source, derivation or range"),
        ],
        rows: rows.collect(),
    }
}

/// Decimals that show four digits of a number.
fn decimals(value: f64) -> usize {
    if value == 0.0 { 0 } else { (3 - value.abs().log10().floor() as i32).clamp(0, 6) as usize }
}
