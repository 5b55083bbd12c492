//! The published schema of the log format.

/// The schema of the published format, as a Table Schema (an open standard of the Data Package project).
///
/// Tested against the reader: what the schema allows is read without a defect, what it forbids is not.
pub const TABLE_SCHEMA: &str = include_str!("../assets/event-log.table-schema.json");

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{COLUMNS, DefectKind, LATEST_US, Limits, Log, LogLayout, read_bytes};
    use agogic_keys::Code;
    use serde_json::Value;

    fn fields() -> Vec<Value> {
        let schema: Value = serde_json::from_str(TABLE_SCHEMA).unwrap();
        schema["fields"].as_array().unwrap().clone()
    }

    fn name(field: &Value) -> &str {
        field["name"].as_str().unwrap()
    }

    fn values(field: &Value) -> Vec<&str> {
        field["constraints"]["enum"].as_array().unwrap().iter().map(|value| value.as_str().unwrap()).collect()
    }

    /// Reads one press, with one column as given, and its release.
    fn with(column: &str, value: &str) -> Log {
        let press = COLUMNS.map(|name| match name {
            _ if name == column => value.to_owned(),
            "session" | "participant" => "x".to_owned(),
            "t_us" => "5".to_owned(),
            "code" => "KeyA".to_owned(),
            "edge" => "press".to_owned(),
            "intent" => "hold".to_owned(),
            _ => String::new(),
        });
        let mut release = press.clone();
        (release[4], release[5], release[6]) = ("release".to_owned(), String::new(), String::new());
        release[2] = "9".to_owned();
        let text = format!("{}\n{}\n{}\n", COLUMNS.join(","), press.join(","), release.join(","));
        read_bytes(text.as_bytes(), &LogLayout::events()).unwrap()
    }

    #[test]
    fn columns_and_keys_are_those_of_the_code() {
        let fields = fields();
        assert_eq!(fields.iter().map(name).collect::<Vec<_>>(), COLUMNS);
        let codes: Vec<&str> = Code::all().map(Code::name).collect();
        for field in &fields {
            match name(field) {
                "code" | "target" => assert_eq!(values(field), codes),
                "t_us" => assert_eq!(field["constraints"]["maximum"], LATEST_US),
                "session" | "participant" => {
                    assert_eq!(field["constraints"]["maxLength"], Limits::default().name_bytes);
                }
                _ => {}
            }
        }
    }

    #[test]
    fn what_the_schema_allows_is_read_without_a_defect() {
        for field in fields().iter().filter(|field| ["code", "target"].contains(&name(field))) {
            for value in values(field) {
                let log = with(name(field), value);
                assert!(log.report.defects.is_empty(), "{value}: {}", log.report);
            }
        }
        assert!(with("intent", "hold").report.defects.is_empty());
        assert!(with("intent", "tap").report.defects.is_empty());
        assert!(with("intent", "rejected").report.defects.is_empty());
        assert_eq!(with("edge", "press").report.presses, 1);
    }

    #[test]
    fn what_the_schema_forbids_is_a_defect() {
        for field in &fields() {
            let column = name(field);
            if field["constraints"]["required"] == true {
                // The release of the pair has a time and an edge of its own.
                let rows = if ["t_us", "edge"].contains(&column) { 1 } else { 2 };
                assert_eq!(with(column, "").report.count(DefectKind::MissingField), rows, "{column}");
            }
            if field["constraints"].get("enum").is_some() {
                let defects = with(column, "Fjord").report.defects;
                assert!(!defects.is_empty(), "{column}");
            }
        }
        for (time, kind) in [("-1", DefectKind::NegativeTime), ("9007199254740993", DefectKind::AbsurdTime)] {
            assert_eq!(with("t_us", time).report.count(kind), 1);
        }
    }
}
