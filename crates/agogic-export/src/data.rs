//! The rule as data: what the source holds, for those who write their own.

use agogic_policy::{CourseRow, KeyTable, SummaryRow, upper_edge};
use serde::Serialize;
use serde_json::{Map, Value, json};

use crate::body::{Body, KeyTables, SumBounds};
use crate::machine::{KeyTraits, Machine, NAMED, WRITING};
use crate::words;

/// The number of the form of `rule.json`. It changes when a reader of the old form would misread the new one.
pub const DATA_VERSION: u32 = 1;

/// The JSON Schema (draft 2020-12) of `rule.json`.
pub const SCHEMA: &str = include_str!("../data/rule.schema.json");

#[derive(Serialize)]
struct Data<'a> {
    form: &'static str,
    version: u32,
    made_by: String,
    setting: String,
    tick_us: u64,
    slots: usize,
    rule: Value,
    guards: Value,
    definition: Vec<String>,
    guards_in_words: Vec<String>,
    ties: Vec<String>,
    numbers: Map<String, Value>,
    keys: &'a [KeyTraits],
    #[serde(skip_serializing_if = "Option::is_none")]
    bin_upper_edges_us: Option<Vec<i64>>,
    #[serde(skip_serializing_if = "Map::is_empty")]
    tables: Map<String, Value>,
}

/// `rule.json`.
pub fn data(machine: &Machine) -> String {
    let entry = machine.setting.entry();
    let [retap, lull, floor, bare] = machine.guards().map(|(_, us)| us);
    let paragraphs = |text: String| text.lines().map(str::to_owned).collect();
    let values: Vec<Value> = entry
        .params
        .iter()
        .zip(machine.setting.values())
        .map(|(param, value)| json!({ "name": param.name, "unit": param.unit, "value": value, "doc": param.doc }))
        .collect();
    let learned = machine.body.is_learned();
    let data = Data {
        form: "agogic rule",
        version: DATA_VERSION,
        made_by: format!("agogic {}", env!("CARGO_PKG_VERSION")),
        setting: machine.setting.label(),
        tick_us: machine.clock.tick(),
        slots: machine.slots,
        rule: json!({ "name": entry.name, "summary": entry.summary, "source": entry.source, "values": values }),
        guards: json!({
            "retap_us": retap, "lull_us": lull, "dwell_floor_us": floor, "bare_hold_us": bare,
            "other_hand": machine.setting.guards().other_hand,
        }),
        definition: paragraphs(words::definition(machine)),
        guards_in_words: paragraphs(words::guards(machine)),
        ties: paragraphs(words::ties(machine)),
        numbers: numbers(&machine.body),
        keys: &machine.keys,
        bin_upper_edges_us: learned.then(|| (0..30).filter_map(upper_edge).collect()),
        tables: tables(&machine.body),
    };
    let mut text = serde_json::to_string_pretty(&data).expect("it holds numbers and words alone");
    text.push('\n');
    text
}

/// The numbers of a rule, by names that end in their unit.
fn numbers(body: &Body) -> Map<String, Value> {
    let bounds = |bounds: &SumBounds| {
        vec![
            ("hold_from_256ths_nat", bounds.hold),
            ("tap_from_256ths_nat", bounds.tap),
            ("end_from_256ths_nat", bounds.end),
        ]
    };
    let numbers = match body {
        Body::DwellCutoff { cutoff } => vec![("cutoff_us", *cutoff as i64)],
        Body::FirstContact | Body::Enclosed => vec![],
        Body::OverlapShare { millionths } => vec![("share_millionths", *millionths as i64)],
        Body::OverlapSpan { span } => vec![("span_us", *span as i64)],
        Body::Evidence { threshold, .. } | Body::KeyEvidence { threshold, .. } => {
            vec![("hold_from_256ths_nat", *threshold)]
        }
        Body::SequentialEvidence { bounds: own, .. } | Body::SequentialKeyEvidence { bounds: own, .. } => bounds(own),
    };
    numbers.into_iter().map(|(name, value)| (name.to_owned(), json!(value))).collect()
}

/// A table of times: its rows in words, each with an entry for every bin.
pub(crate) type Rows = Vec<(String, Vec<i16>)>;

/// Rows of the table of lulls.
pub(crate) const LULL_ROWS: [&str; 2] = ["nothing carried over", "a key still down"];

/// The tables of times of a rule, by name.
pub(crate) fn time_tables(body: &Body) -> Vec<(&'static str, Rows)> {
    let named = |rows: Vec<String>, width: usize, entries: &[i16]| -> Rows {
        rows.into_iter().zip(entries.chunks(width).map(<[i16]>::to_vec)).collect()
    };
    let lull_rows = || LULL_ROWS.map(str::to_owned).to_vec();
    let kinds = |rows: &[SummaryRow]| rows.iter().map(|row| spaced(&format!("{row:?}"))).collect::<Vec<_>>();
    let course_rows = || CourseRow::ALL.iter().map(|row| spaced(&format!("{row:?}"))).collect::<Vec<_>>();
    match body {
        Body::Evidence { lull, summary, .. } => vec![
            ("lull", named(lull_rows(), 31, &lull.concat())),
            ("lead", named(kinds(&SummaryRow::ALL[..5]), 30, &summary[..5].concat())),
            ("overlap", named(kinds(&SummaryRow::ALL[5..]), 30, &summary[5..].concat())),
        ],
        Body::SequentialEvidence { lull, course, .. } | Body::SequentialKeyEvidence { lull, course, .. } => vec![
            ("lull", named(lull_rows(), 31, &lull.concat())),
            ("course", named(course_rows(), 30, &course.concat())),
        ],
        Body::KeyEvidence { keys, .. } => {
            let of = |table: KeyTable| keys.of(table).unwrap_or_default();
            vec![
                ("lull", named(lull_rows(), 31, of(KeyTable::Lull))),
                ("lead", named(kinds(&SummaryRow::ALL[..5]), 30, of(KeyTable::Lead))),
                ("overlap", named(kinds(&SummaryRow::ALL[5..]), 30, of(KeyTable::Overlap))),
            ]
        }
        _ => Vec::new(),
    }
}

/// The tables of keys of a rule that are kept, by name, each in rows of one width; and the own key of each row of a pair.
pub(crate) fn key_tables(keys: &KeyTables) -> Vec<(&'static str, usize, &[i16])> {
    let of = |table: KeyTable, name, width| keys.of(table).map(|entries| (name, width, entries));
    let kept = [
        of(KeyTable::Own, "own", NAMED + 2),
        of(KeyTable::Previous, "previous", NAMED + 2),
        of(KeyTable::Contact, "contact", NAMED + 2),
        of(KeyTable::OwnPrevious, "own_previous", NAMED + 2),
        of(KeyTable::OwnContact, "own_contact", WRITING),
    ];
    kept.into_iter().flatten().collect()
}

fn tables(body: &Body) -> Map<String, Value> {
    let mut tables = Map::new();
    for (name, rows) in time_tables(body) {
        let rows: Vec<Value> = rows.iter().map(|(row, entries)| json!({ "row": row, "entries": entries })).collect();
        tables.insert(name.to_owned(), json!(rows));
    }
    if let Some(keys) = body.keys() {
        tables.insert("constant".to_owned(), json!(keys.constant));
        tables.insert("pair_rows".to_owned(), json!(keys.rows));
        for (name, width, entries) in key_tables(keys) {
            let rows: Vec<&[i16]> = entries.chunks(width).collect();
            let value = if rows.len() == 1 { json!(rows[0]) } else { json!(rows[..keys.rows.len()]) };
            tables.insert(name.to_owned(), value);
        }
    }
    tables
}

/// `AloneDwell` as `alone dwell`.
fn spaced(name: &str) -> String {
    let mut words = String::new();
    for (at, letter) in name.chars().enumerate() {
        if letter.is_ascii_uppercase() && at > 0 {
            words.push(' ');
        }
        words.push(letter.to_ascii_lowercase());
    }
    words
}
