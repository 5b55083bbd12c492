//! Studies of other languages: the log spells the text, the results do not depend on threads, mistakes are told with their place.

use std::fs;
use std::path::Path;

use agogic_keys::{Code, Letters, Level, Stroke};
use agogic_study::{TEXTS_IN_OTHER_LANGUAGES, built_in_text};
use assert_cmd::Command;

fn agogic(folder: &Path, args: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("agogic").unwrap().current_dir(folder).args(args).output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (output.status.code().unwrap(), text(&output.stdout), text(&output.stderr))
}

fn spec(letters: &str, text: &str) -> String {
    format!(
        "name = \"other\"\nseed = 11\n[text]\nbuilt_in = \"{text}\"\n[keyboard]\nletters = \"{letters}\"\n\
         [workload]\nshortcuts_per_1000_keys = 10\n[typists]\npopulations = [\"sure\"]\nnumber = 20\nkeys_each = 400\n\
         [[population]]\nname = \"sure\"\nbase = \"volunteers\"\n[population.traits.slip_share]\nmedian = 1e-9\nspread = 0\n\
         [training]\ntypists = 20\n[floor]\ntypists = 0\n\
         [[policy]]\nrule = \"enclosed\"\n[[policy]]\nrule = \"key-evidence\"\nvalues = {{ threshold_nats = 1 }}\n"
    )
}

/// A press of a log: its code, when it goes down and up, and whether it was meant as a hold.
struct Row {
    code: Code,
    down: u64,
    up: u64,
    hold: bool,
}

fn rows(log: &str) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for line in log.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (at, code) = (cells[2].parse().unwrap(), cells[3].parse().unwrap());
        if cells[4] == "press" {
            rows.push(Row { code, down: at, up: u64::MAX, hold: cells[5] == "hold" });
        } else {
            rows.iter_mut().rev().find(|row| row.code == code && row.up == u64::MAX).unwrap().up = at;
        }
    }
    rows
}

/// What a log without shortcuts spells on these letters: keys under the right Alt key are of the third level, keys under any
/// other hold of the second.
fn spelled(rows: &[Row], letters: &Letters) -> String {
    let holds = |row: &Row| row.hold || row.code.dedicated_modifier().is_some();
    let under = |row: &Row, right_alt: bool| {
        rows.iter().any(|held| {
            holds(held) && (held.code == Code::ALT_RIGHT) == right_alt && held.down < row.down && row.down < held.up
        })
    };
    let stroke = |row: &Row| {
        let level = match (under(row, true), under(row, false)) {
            (true, _) => Level::Third,
            (_, true) => Level::Second,
            _ => Level::First,
        };
        Stroke { code: row.code, level }
    };
    letters.spell(rows.iter().filter(|row| !holds(row)).map(stroke))
}

#[test]
fn a_log_of_another_language_spells_its_text() {
    for (name, letters) in TEXTS_IN_OTHER_LANGUAGES {
        let folder = tempfile::tempdir().unwrap();
        let spec = spec(letters, name).replace("shortcuts_per_1000_keys = 10\n", "").replace("= 400", "= 6500");
        fs::write(folder.path().join("my.toml"), spec).unwrap();
        let (code, out, err) = agogic(folder.path(), &["simulate", "my.toml", "--out", "log.csv"]);
        assert_eq!(code, 0, "{err}");
        let log = fs::read_to_string(folder.path().join("log.csv")).unwrap();
        let rows = rows(&log);
        assert!(out.starts_with(&format!("{} events", 2 * rows.len())), "{out}");
        let said = spelled(&rows, &Letters::by_name(letters).unwrap());
        let text = built_in_text(name).unwrap().trim_end().replace("\n\n", "\n");
        // The session goes round once and more, from a sentence on.
        assert!(said.chars().count() > text.chars().count(), "{}", said.chars().count());
        assert!(format!("{text} {text} {text}").contains(said.trim_end()), "{name}: {said}");
        // On other letters the same keys spell another text.
        assert!(!format!("{text} {text} {text}").contains(spelled(&rows, &Letters::us()).trim_end()));
    }
}

#[test]
fn a_study_of_another_language_runs_to_the_end_at_any_number_of_threads() {
    for (name, letters) in TEXTS_IN_OTHER_LANGUAGES {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("my.toml"), spec(letters, name)).unwrap();
        for threads in ["1", "3"] {
            let (code, _, err) = agogic(folder.path(), &["run", "my.toml", "--threads", threads, "--out", threads]);
            assert_eq!(code, 0, "{err}");
        }
        let mut compared = 0;
        for entry in fs::read_dir(folder.path().join("1")).unwrap() {
            let path = entry.unwrap().path();
            let named = path.file_name().unwrap().to_owned();
            let bytes = fs::read(&path).unwrap();
            // The manifest says when and on how many threads; the page shows the manifest.
            if path.extension().is_some_and(|end| end == "csv" || end == "parquet") || named == "results.json" {
                assert!(bytes == fs::read(folder.path().join("3").join(&named)).unwrap(), "{named:?}");
                compared += 1;
            }
        }
        assert!(compared >= 5, "{compared}");
        let manifest = fs::read_to_string(folder.path().join("1/manifest.json")).unwrap();
        assert!(manifest.contains(&format!("typed with the letters `{letters}`")), "{manifest}");
        assert!(manifest.contains("counted in the text itself"), "{manifest}");
        let page = fs::read_to_string(folder.path().join("1/page.html")).unwrap();
        assert!(page.contains("the published shares of English do not apply"));
        // What was run can be run again from its folder alone.
        let (code, out, err) = agogic(folder.path(), &["repeat", "1"]);
        assert_eq!(code, 0, "{out}{err}");
    }
}

#[test]
fn mistakes_in_letters_stop_the_run_with_file_line_and_key() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), spec("mine.toml", "klappbruecke")).unwrap();
    let letters =
        "name = \"mine\"\nstarts_from = \"german\"\n[level_1]\nSemicolom = \"ö\"\nKeyQ = \"x\"\nKeyX = \"x\"\n";
    fs::write(folder.path().join("mine.toml"), letters).unwrap();
    let (code, out, err) = agogic(folder.path(), &["run", "my.toml"]);
    assert_eq!((code, out.as_str()), (2, ""));
    for says in [
        "line 6: `keyboard.letters`: the file of letters",
        "line 6: `level_1.KeyX`: KeyQ gives this character on the same level",
        "mine.toml has mistakes: line 4: `level_1.Semicolom`: `Semicolom` is not a W3C key code known here",
        "did you mean `Semicolon`?",
    ] {
        assert!(err.contains(says), "{says} is not in:\n{err}");
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2, "nothing was written");
}
