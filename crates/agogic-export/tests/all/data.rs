//! The data of a rule: as its schema says, and the same as its source.

use agogic_export::{Clock, Memory, SCHEMA, data, diagram, page, read_vectors, vectors_text};
use agogic_export::{Machine, cases, changes};
use serde_json::Value;

use crate::common::{machine, settings};

fn machines() -> Vec<Machine> {
    let clocks = [Clock::Microseconds, Clock::Milliseconds];
    settings().iter().enumerate().map(|(at, setting)| machine(setting, clocks[at % 2], 8)).collect()
}

/// What of JSON Schema our schema uses.
fn mistakes(schema: &Value, root: &Value, value: &Value, place: &str, found: &mut Vec<String>) {
    let mut wrong = |what: &str| found.push(format!("{place}: {what}"));
    if let Some(name) = schema["$ref"].as_str() {
        let target = root.pointer(name.trim_start_matches('#')).expect("a definition");
        return mistakes(target, root, value, place, found);
    }
    let is = |kind: &str| match kind {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "integer" => value.is_i64(),
        "number" => value.is_number(),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        other => panic!("unknown type {other}"),
    };
    let kinds: Vec<&str> = match &schema["type"] {
        Value::String(kind) => vec![kind],
        Value::Array(kinds) => kinds.iter().filter_map(Value::as_str).collect(),
        _ => vec![],
    };
    if !kinds.is_empty() && !kinds.iter().any(|kind| is(kind)) {
        wrong(&format!("{value} is none of {kinds:?}"));
    }
    if schema.get("const").is_some_and(|only| only != value) {
        wrong("another constant");
    }
    if schema["enum"].as_array().is_some_and(|known| !known.contains(value)) {
        wrong(&format!("{value} is not listed"));
    }
    let number = value.as_f64();
    if number.zip(schema["minimum"].as_f64()).is_some_and(|(own, least)| own < least)
        || number.zip(schema["maximum"].as_f64()).is_some_and(|(own, most)| own > most)
    {
        wrong(&format!("{value} is out of range"));
    }
    if let Some(items) = value.as_array() {
        let length = items.len() as u64;
        if schema["minItems"].as_u64().is_some_and(|least| length < least)
            || schema["maxItems"].as_u64().is_some_and(|most| length > most)
        {
            wrong(&format!("{length} items"));
        }
        for (at, item) in items.iter().enumerate() {
            mistakes(&schema["items"], root, item, &format!("{place}/{at}"), found);
        }
    }
    if let Some(members) = value.as_object() {
        for name in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
            if !members.contains_key(name) {
                found.push(format!("{place}: {name} is missing"));
            }
        }
        for (name, member) in members {
            match schema["properties"].get(name) {
                Some(own) => mistakes(own, root, member, &format!("{place}/{name}"), found),
                None if schema["additionalProperties"] == Value::Bool(false) => {
                    found.push(format!("{place}: {name} is not in the schema"));
                }
                None => {}
            }
        }
    }
}

#[test]
fn data_are_as_their_schema_says() {
    let schema: Value = serde_json::from_str(SCHEMA).unwrap();
    let check = |value: &Value| {
        let mut found = Vec::new();
        mistakes(&schema, &schema, value, "", &mut found);
        found
    };
    for machine in machines() {
        let value: Value = serde_json::from_str(&data(&machine)).unwrap();
        assert_eq!(check(&value), Vec::<String>::new(), "{}", machine.setting.label());
        // And the check can fail.
        for (name, wrong) in [("tick_us", Value::from(7)), ("version", Value::from(2)), ("keys", Value::from("all"))] {
            let mut value = value.clone();
            value[name] = wrong;
            assert!(!check(&value).is_empty(), "{name}");
        }
        let mut more = value.clone();
        more["colour"] = Value::from("red");
        assert_eq!(check(&more), [": colour is not in the schema"]);
    }
}

#[test]
fn vectors_are_read_as_they_were_written() {
    for machine in machines().iter().step_by(7) {
        let written = cases(machine, 1, 60);
        let read = read_vectors(&vectors_text(machine, &written)).unwrap();
        assert_eq!(read.len(), written.len());
        for (before, after) in written.iter().zip(&read) {
            assert_eq!((&before.name, &before.told), (&after.name, &after.told));
            assert_eq!(before.lines.len(), after.lines.len());
        }
    }
    let refused = |text: &str| read_vectors(text).unwrap_err().to_string();
    assert!(refused("").starts_with("line 1: `nothing` stands where `agogic vectors 1` is due"));
    let head = "agogic vectors 1\n";
    assert_eq!(refused(&format!("{head}down 3 4\n")), "line 2: `down` stands outside of a case");
    assert_eq!(refused(&format!("{head}case a\ndown 3 x\n")), "line 3: `x` is no whole number from 0 to 4294967295");
    assert_eq!(refused(&format!("{head}case a\ndown 300 1\n")), "line 3: `300` is no whole number from 0 to 255");
    assert_eq!(
        refused(&format!("{head}case a\nexpect rest 1 2\n")),
        "line 3: `expect` takes tap or hold, a key and a time"
    );
    assert_eq!(refused(&format!("{head}case a\nup 1 2\n")), "line 4: the last case has no `end`");
}

#[test]
fn the_page_holds_what_the_source_holds() {
    for machine in machines() {
        let (page, label) = (page(&machine), machine.setting.label());
        assert!(page.starts_with(&format!("# `{label}`\n")));
        for (heading, there) in [
            ("## The rule", true),
            ("## Ties", true),
            ("## Mishaps", true),
            ("## Evidence", machine.body.is_learned()),
            ("### Table `lull`", machine.body.is_learned()),
            ("### Table `course`", machine.body.is_sequential()),
            (
                "### Table `own`",
                machine.body.keys().is_some_and(|keys| keys.of(agogic_policy::KeyTable::Own).is_some()),
            ),
        ] {
            assert_eq!(page.contains(heading), there, "{heading} on the page of {label}");
        }
        let svg = diagram(&machine);
        assert!(svg.starts_with("<svg") && svg.ends_with("</svg>\n") && !svg.contains("NaN"));
        let changes = changes(&machine);
        assert!(changes.iter().any(|change| change.to == "hold") && changes.iter().any(|change| change.to == "tap"));
        assert!(changes.iter().all(|change| page.contains(&change.when)));
        assert!(page.contains(&format!("{} in all", Memory::of(&machine).all(&machine))));
    }
}
