//! `agogic report` and `agogic repeat` on each kind of result folder but that of a run.

use std::fs;
use std::path::{Path, PathBuf};

use super::sound;
use crate::common::agogic;
use tempfile::TempDir;

/// A study that asks for everything. Up to 150 ms a cutoff keeps everybody within 150 ms; see tests of the lab.
const SPEC: &str = r#"
name = "all"
seed = 5
[text]
built_in = "tide-station"
[typists]
number = 12
keys_each = 400
[floor]
typists = 4
rehearsal_keys = 2000
[inference]
reference = "dwell-cutoff 400"
resamples = 300
[advice]
objective = "false_holds"
limits = { tap_delay_p95 = 150 }
search_typists = 60
confirm_typists = 100
refinements = 0
shortlist = 4
[robust]
typists = 20
points = 5
figures = ["false_holds"]
[sensitivity]
rule = "dwell-cutoff"
rows = 8
typists = 5
over = { cutoff_ms = { from = 120, to = 260 } }
traits = { dwell_ms = { from = 90, to = 130 } }
[[policy]]
rule = "dwell-cutoff"
values = { cutoff_ms = 400 }
[[policy]]
rule = "enclosed"
[[sweep]]
rule = "dwell-cutoff"
design = "grid"
over = { cutoff_ms = { from = 100, to = 150, steps = 3 } }
"#;

/// A folder of that kind, and what its report should have.
struct Case {
    command: &'static str,
    folder: &'static str,
    /// Tables, without endings.
    tables: &'static [&'static str],
    /// Figures, without width and ending.
    figures: &'static [&'static str],
    /// Words of the page.
    words: &'static [&'static str],
}

const CASES: [Case; 4] = [
    Case {
        command: "sweep",
        folder: "all-sweep",
        tables: &["front-volunteers"],
        figures: &[
            "front-volunteers",
            "curve-dwell-cutoff-over-cutoff-ms-false-holds",
            "curve-dwell-cutoff-over-cutoff-ms-missed-holds",
        ],
        words: &["settings are on the front", "ideal observer", "over cutoff", "of the box up to"],
    },
    Case {
        command: "advise",
        folder: "all-advice",
        tables: &["advice", "short-list-volunteers", "rules-volunteers", "whom-volunteers", "turns-volunteers"],
        figures: &["short-list-volunteers"],
        words: &["use `dwell-cutoff 150`", "Whom it serves"],
    },
    Case {
        command: "robust",
        folder: "all-robust",
        tables: &["advice", "short-list-volunteers", "assumptions"],
        figures: &["short-list-volunteers"],
        words: &["What other assumptions do to it", "survives"],
    },
    Case {
        command: "sensitivity",
        folder: "all-sensitivity",
        tables: &["indices-volunteers"],
        figures: &["indices-false-holds-volunteers", "indices-tap-delay-volunteers"],
        words: &["hang most on", "cutoff_ms", "can come out below zero", "Sobol"],
    },
];

fn run_in_folder(command: &str) -> (TempDir, PathBuf) {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("all.toml"), SPEC).unwrap();
    let (code, out, err) = agogic(place.path(), &[command, "all.toml"]);
    assert!(code == 0 || (command == "robust" && code == 1), "{command}: {code} {out}{err}");
    assert!(out.contains("Page: "), "{out}");
    let case = CASES.iter().find(|case| case.command == command).unwrap();
    let folder = place.path().join("results").join(case.folder);
    (place, folder)
}

fn check(command: &str) {
    let case = CASES.iter().find(|case| case.command == command).unwrap();
    let (place, folder) = run_in_folder(command);
    // Nothing but the folder is needed.
    fs::remove_file(place.path().join("all.toml")).unwrap();
    let read = |path: &Path| fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let page = read(&folder.join("page.html"));
    sound(&page);
    for words in case.words {
        let words = words.split('`').collect::<Vec<_>>();
        let found = if words.len() == 3 {
            page.contains(&format!("{}<code>{}</code>", words[0], words[1]))
        } else {
            page.contains(words[0])
        };
        assert!(found, "{words:?} is not on the page of {command}");
    }
    let (code, out, err) = agogic(place.path(), &["repeat", &format!("results/{}", case.folder)]);
    assert!(code == 0 && out.starts_with("The same: "), "{out}{err}");

    let (code, out, err) =
        agogic(place.path(), &["report", &format!("results/{}", case.folder), "--formats", "svg,pdf"]);
    assert!(code == 0 && out.contains("Page: ") && !out.contains("methods.md"), "{out}{err}");
    let report = folder.join("report");
    assert!(read(&report.join("page.html")) == page, "{command}: the report has another page than the folder");
    for table in case.tables {
        let name = |ending: &str| report.join(format!("tables/{table}.{ending}"));
        assert!(read(&name("md")).contains(" | ") && read(&name("csv")).lines().count() > 1, "{table}");
        assert!(read(&name("tex")).contains("\\bottomrule"), "{table}");
    }
    for figure in case.figures {
        let name = |ending: &str| report.join(format!("figures/{figure}-one-column.{ending}"));
        assert!(read(&name("svg")).contains("<desc id="), "{figure}");
        assert!(fs::read(name("pdf")).unwrap().starts_with(b"%PDF"), "{figure}");
        assert!(report.join(format!("figures/{figure}-two-column.svg")).is_file(), "{figure}");
    }
}

#[test]
fn a_sweep_has_a_page_a_report_and_repeats() {
    check("sweep");
}

#[test]
fn an_advice_has_a_report_and_repeats() {
    check("advise");
}

#[test]
fn a_robustness_analysis_has_a_report_and_repeats() {
    check("robust");
}

#[test]
fn a_sensitivity_analysis_has_a_page_a_report_and_repeats() {
    check("sensitivity");
}

/// What another rule costs is on the page, in the report and in the files, and it is the same number.
#[test]
fn the_price_of_another_rule_is_shown() {
    let (place, folder) = run_in_folder("advise");
    let (code, out, err) = agogic(place.path(), &["report", "results/all-advice", "--formats", "svg"]);
    assert_eq!(code, 0, "{out}{err}");
    let page = fs::read_to_string(folder.join("page.html")).unwrap();
    let costs = page.split("What another rule costs").nth(1).unwrap();
    assert!(costs.split("</table>").next().unwrap().contains("more than the advised"));
    let table = fs::read_to_string(folder.join("report/tables/rules-volunteers.csv")).unwrap();
    let rows = fs::read_to_string(folder.join("rules.csv")).unwrap();
    assert!(table.lines().next().unwrap().contains("more than the advised"), "{table}");
    // arm, rule, setting, whether it seems to meet, figure, estimate
    let price = rows.lines().find(|line| line.contains(",enclosed,") && line.contains(",more_loss,")).unwrap();
    let price = price.split(',').nth(5).unwrap();
    assert!(price.parse::<f64>().unwrap() != 0.0);
    let row = table.lines().find(|line| line.starts_with("enclosed,")).unwrap_or_else(|| panic!("{table}"));
    assert!(row.split(',').any(|cell| cell == price), "{price} is not in {row}");
}

/// The table of a report says what the rows of the folder say.
#[test]
fn a_report_of_a_sweep_shows_what_its_files_say_and_names_what_it_cannot_read() {
    let (place, folder) = run_in_folder("sweep");
    let report = |format: &str| agogic(place.path(), &["report", "results/all-sweep", "--formats", format]);
    assert_eq!(report("svg").0, 0);
    let table = fs::read_to_string(folder.join("report/tables/front-volunteers.csv")).unwrap();
    let front = fs::read_to_string(folder.join("front.csv")).unwrap();
    let of = |text: &str, row: &str, at: usize| {
        let line = text.lines().find(|line| line.contains(row)).unwrap_or_else(|| panic!("{row} is not in {text}"));
        line.split(',').nth(at).unwrap().to_owned()
    };
    for setting in ["enclosed", "dwell-cutoff 125"] {
        assert_eq!(of(&table, setting, 3), of(&front, setting, 3), "{table}\n{front}");
    }
    // What was changed after the run is shown, and said.
    let path = folder.join("front.json");
    let text = fs::read_to_string(&path).unwrap();
    let label = "\"setting\": \"enclosed\"";
    assert!(text.contains(label));
    fs::write(&path, text.replace(label, "\"setting\": \"renamed\"")).unwrap();
    let (code, out, err) = report("svg");
    assert!(code == 0 && out.contains("Note: front.json was changed after the run"), "{out}{err}");
    assert!(fs::read_to_string(folder.join("report/page.html")).unwrap().contains("renamed"));
    fs::write(&path, "[{}]").unwrap();
    let (code, out, err) = report("svg");
    assert!(code == 2 && out.is_empty() && err.contains("front.json: has another form"), "{err}");
    fs::remove_file(&path).unwrap();
    let (code, _, err) = report("svg");
    assert!(code == 2 && err.contains("front.json: the file is missing"), "{err}");
}

/// A study without advice has a page of its conclusions all the same.
#[test]
fn a_robustness_analysis_without_advice_has_a_page() {
    let place = tempfile::tempdir().unwrap();
    let (before, rest) = SPEC.split_once("[advice]").unwrap();
    let (_, after) = rest.split_once("[robust]").unwrap();
    fs::write(place.path().join("all.toml"), format!("{before}[robust]{after}")).unwrap();
    let (code, out, err) = agogic(place.path(), &["robust", "all.toml"]);
    assert!(code <= 1, "{out}{err}");
    let folder = place.path().join("results/all-robust");
    assert!(!folder.join("advice.json").exists());
    let page = fs::read_to_string(folder.join("page.html")).unwrap();
    sound(&page);
    assert!(page.contains("some assumption surely turns") && page.contains("spoken against by"));
    let (code, out, err) = agogic(place.path(), &["report", "results/all-robust", "--formats", "svg"]);
    assert_eq!(code, 0, "{out}{err}");
    assert_eq!(fs::read_to_string(folder.join("report/page.html")).unwrap(), page);
    assert!(folder.join("report/tables/assumptions.md").is_file());
}
