//! The arrows between the crates point down only.

use std::collections::BTreeMap;
use std::process::Command;

/// Which of our crates each crate may use.
const MAY_USE: &[(&str, &[&str])] = &[
    ("agogic-keys", &[]),
    ("agogic-stats", &[]),
    ("agogic-toml", &["agogic-keys"]),
    ("agogic-typist", &["agogic-keys", "agogic-stats"]),
    ("agogic-policy", &["agogic-keys"]),
    ("agogic-export", &["agogic-keys", "agogic-policy"]),
    ("agogic-score", &["agogic-keys", "agogic-toml", "agogic-policy"]),
    ("agogic-people", &["agogic-keys", "agogic-stats", "agogic-policy", "agogic-log"]),
    ("agogic-personal", &["agogic-keys", "agogic-stats", "agogic-typist", "agogic-policy", "agogic-log", "agogic-fit"]),
    (
        "agogic-literature",
        &[
            "agogic-keys",
            "agogic-stats",
            "agogic-typist",
            "agogic-policy",
            "agogic-people",
            "agogic-log",
            "agogic-fit",
            "agogic-personal",
        ],
    ),
    ("agogic-rare", &["agogic-keys", "agogic-stats", "agogic-typist", "agogic-policy", "agogic-score"]),
    ("agogic-power", &["agogic-keys", "agogic-stats", "agogic-typist", "agogic-policy", "agogic-score"]),
    ("agogic-floor", &["agogic-keys", "agogic-stats", "agogic-typist", "agogic-policy", "agogic-score"]),
    ("agogic-log", &["agogic-keys", "agogic-stats", "agogic-toml"]),
    ("agogic-replay", &["agogic-keys", "agogic-stats", "agogic-policy", "agogic-log"]),
    ("agogic-fit", &["agogic-keys", "agogic-stats", "agogic-typist", "agogic-log"]),
    ("agogic-figures", &["agogic-keys", "agogic-stats"]),
    ("agogic-serve", &[]),
    ("agogic-study", &["agogic-keys", "agogic-stats", "agogic-toml", "agogic-typist", "agogic-policy", "agogic-score"]),
    (
        "agogic-sim",
        &[
            "agogic-study",
            "agogic-keys",
            "agogic-stats",
            "agogic-typist",
            "agogic-policy",
            "agogic-score",
            "agogic-floor",
        ],
    ),
    (
        "agogic-lab",
        &[
            "agogic-study",
            "agogic-sim",
            "agogic-keys",
            "agogic-stats",
            "agogic-typist",
            "agogic-policy",
            "agogic-score",
            "agogic-rare",
            "agogic-power",
            "agogic-floor",
            "agogic-people",
            "agogic-log",
            "agogic-fit",
            "agogic-personal",
        ],
    ),
    (
        "agogic-files",
        &[
            "agogic-lab",
            "agogic-study",
            "agogic-sim",
            "agogic-keys",
            "agogic-stats",
            "agogic-typist",
            "agogic-score",
            "agogic-log",
        ],
    ),
    (
        "agogic-report",
        &[
            "agogic-files",
            "agogic-lab",
            "agogic-personal",
            "agogic-study",
            "agogic-sim",
            "agogic-stats",
            "agogic-figures",
            "agogic-literature",
            "agogic-people",
            "agogic-log",
            "agogic-fit",
            "agogic-typist",
            "agogic-policy",
            "agogic-replay",
        ],
    ),
];

fn dependencies() -> BTreeMap<String, Vec<String>> {
    let manifest = concat!(env!("CARGO_MANIFEST_DIR"), "/../Cargo.toml");
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--no-deps", "--offline", "--manifest-path", manifest])
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    metadata["packages"]
        .as_array()
        .unwrap()
        .iter()
        .map(|package| {
            let uses = package["dependencies"]
                .as_array()
                .unwrap()
                .iter()
                .filter(|d| d["kind"].is_null())
                .map(|d| d["name"].as_str().unwrap().to_owned())
                .collect();
            (package["name"].as_str().unwrap().to_owned(), uses)
        })
        .collect()
}

#[test]
fn crates_use_only_what_lies_below_them() {
    let all = dependencies();
    for (name, allowed) in MAY_USE {
        for used in all[*name].iter().filter(|used| used.starts_with("agogic")) {
            assert!(allowed.contains(&used.as_str()), "{name} must not use {used}");
        }
    }
    for name in all.keys().filter(|name| !["agogic", "agogic-acceptance"].contains(&name.as_str())) {
        assert!(MAY_USE.iter().any(|(known, _)| known == name), "{name} has no place among the arrows");
    }
}

#[test]
fn the_engine_is_free_of_the_server() {
    let of_server =
        |used: &str| ["hyper", "hyper-util", "http-body-util", "tokio", "getrandom", "agogic-serve"].contains(&used);
    for (name, uses) in dependencies() {
        let may: &[&str] = match name.as_str() {
            "agogic-serve" => continue,
            "agogic" => &["agogic-serve"],
            _ => &[],
        };
        let found: Vec<&String> = uses.iter().filter(|used| of_server(used) && !may.contains(&used.as_str())).collect();
        assert!(found.is_empty(), "{name} uses {found:?}: only agogic-serve serves");
    }
}

#[test]
fn files_of_users_are_read_in_one_way() {
    for (name, uses) in dependencies() {
        // The command only writes TOML.
        let may = ["agogic-toml", "agogic", "agogic-acceptance"].contains(&name.as_str());
        assert!(may || !uses.iter().any(|used| used == "toml"), "{name} reads TOML past agogic-toml");
    }
}

#[test]
fn only_files_know_dataframes_and_no_policy_knows_randomness() {
    for (name, uses) in dependencies() {
        assert_eq!(uses.iter().any(|used| used == "polars"), name == "agogic-files", "{name}");
        if name == "agogic-policy" {
            assert!(!uses.iter().any(|used| used.starts_with("rand")), "a policy is free of randomness");
        }
    }
}
