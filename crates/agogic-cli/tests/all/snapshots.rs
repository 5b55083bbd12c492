//! What every command prints, at 80 and at 120 columns, is what is kept in `tests/screens`, and none of it is wider.
//!
//! `AGOGIC_SCREENS=write cargo test --workspace --test all snapshots` keeps what they print today. Seconds and places of
//! folders are left out. `try` serves until it is stopped, `calibrate` takes minutes, `conform` needs a program and `people` many logs: their help alone is
//! kept.

use std::fs;
use std::path::{Path, PathBuf};

use crate::common::{SPEC, study};
use assert_cmd::Command;

const SWEEP: &str = "[[sweep]]\nrule = \"dwell-cutoff\"\ndesign = \"grid\"\n\
    over = { cutoff_ms = { from = 150, to = 250, steps = 3 } }\n";

const ADVICE: &str = "[advice]\nobjective = \"false_holds\"\nlimits = { tap_delay_p95 = 150 }\nsearch_typists = 60\n\
    confirm_typists = 60\nrefinements = 0\nshortlist = 3\n[robust]\ntypists = 20\npoints = 5\n";

const SENSITIVITY: &str = "[sensitivity]\nrule = \"dwell-cutoff\"\nrows = 8\ntypists = 5\n\
    over = { cutoff_ms = { from = 120, to = 260 } }\ntraits = { dwell_ms = { from = 90, to = 130 } }\n";

/// The commands in the order in which they run: later ones look at what earlier ones left.
const COMMANDS: &[(&str, &str)] = &[
    ("run", "run my.toml --out again --force"),
    ("run-verbose", "run my.toml --out again --force -v"),
    ("repeat", "repeat results/trial"),
    ("report", "report results/trial --formats svg"),
    ("shard", "shard my.toml 1/1 --out shard"),
    ("merge", "merge shard --out whole --force"),
    ("sweep", "sweep sweep.toml --out swept --force"),
    ("advise", "advise advice.toml --out advised --force"),
    ("advise-verbose", "advise advice.toml --out advised --force -v"),
    ("sensitivity", "sensitivity sensitivity.toml --out sensitive --force"),
    ("robust", "robust advice.toml --out robust --force"),
    ("plan", "plan my.toml --pool 200 --trials 100 --minutes 2,4"),
    ("policies", "policies"),
    ("policies-table", "policies --table enclosed"),
    ("populations", "populations"),
    ("populations-register", "populations --register slow"),
    ("costs", "costs"),
    ("check", "check --typists 50"),
    ("new", "new fresh.toml --force"),
    ("picture", "picture --out picture.svg"),
    ("export", "export dwell-cutoff --spec my.toml --out exported"),
    ("conform-help", "conform --help"),
    ("simulate", "simulate my.toml --out simulated.csv"),
    ("record", "record --out page.html"),
    ("inspect", "inspect log.csv"),
    ("redact", "redact log.csv --out redacted.csv --force"),
    ("fit", "fit log.csv --redraws 0"),
    ("replay", "replay log.csv --spec my.toml"),
    ("replay-by-key", "replay log.csv --spec my.toml --by-key"),
    ("compare", "compare log.csv log.csv --was enclosed --now first-contact"),
    ("advise-log", "advise --log log.csv --draws 20"),
    ("advise-log-verbose", "advise --log log.csv --draws 20 -v"),
    ("people-help", "people --help"),
    ("help", "--help"),
    ("try-help", "try --help"),
    ("calibrate-help", "calibrate --help"),
];

/// What a command prints in a terminal so wide, without what differs from run to run.
fn printed(folder: &Path, line: &str, columns: usize) -> String {
    let mut command = Command::cargo_bin("agogic").unwrap();
    let output =
        command.current_dir(folder).args(line.split(' ')).env("COLUMNS", columns.to_string()).output().unwrap();
    let code = output.status.code().unwrap();
    // A check may find disagreement, and an assumption may break a conclusion.
    assert!(code <= 1, "{line}: {code} {}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    let place = folder.canonicalize().unwrap();
    let text = text.replace(place.to_str().unwrap(), "FOLDER").replace(folder.to_str().unwrap(), "FOLDER");
    format!("exit code {code}\n{}", without_seconds(&text))
}

/// `12.8 s.` at the beginning of a line becomes `SECONDS s.`.
fn without_seconds(text: &str) -> String {
    let line = |line: &str| {
        let digits = line.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
        match digits.strip_prefix(" s.") {
            Some(rest) if digits.len() < line.len() => format!("SECONDS s.{rest}"),
            _ => line.to_owned(),
        }
    };
    text.split('\n').map(line).collect::<Vec<_>>().join("\n")
}

#[test]
fn every_command_prints_what_is_kept_and_fits_the_terminal() {
    let (folder, _) = study();
    let folder = folder.path();
    fs::write(folder.join("sweep.toml"), format!("{SPEC}{SWEEP}")).unwrap();
    fs::write(folder.join("advice.toml"), format!("{SPEC}{ADVICE}{SWEEP}")).unwrap();
    fs::write(folder.join("sensitivity.toml"), format!("{SPEC}{SENSITIVITY}")).unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    fs::copy(root.join("../../data-synthetic/logs/prompted-volunteer.csv"), folder.join("log.csv")).unwrap();
    let kept: PathBuf = root.join("tests/screens");
    let write = std::env::var("AGOGIC_SCREENS").is_ok_and(|how| how == "write");
    let mut wrong = Vec::new();
    for (name, line) in COMMANDS {
        for columns in [80, 120] {
            let text = printed(folder, line, columns);
            // A word of its own line, such as a path, is as long as it is.
            let breakable = |line: &&str| line.trim().contains(' ');
            let widest = text.lines().filter(breakable).max_by_key(|line| line.chars().count()).unwrap_or_default();
            // A file of costs is to be read back, so it stays whole.
            if widest.chars().count() > columns && *name != "costs" {
                wrong.push(format!("{name} at {columns} is wider: {widest}"));
            }
            let file = kept.join(format!("{name}-{columns}.txt"));
            if write {
                fs::create_dir_all(&kept).unwrap();
                fs::write(&file, &text).unwrap();
            }
            let there = fs::read_to_string(&file).unwrap_or_default();
            let differs = there.lines().zip(text.lines()).find(|(a, b)| a != b);
            if there != text {
                wrong.push(format!("{name} at {columns} differs from {}: {differs:?}", file.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Every command that the help lists has its place above.
#[test]
fn no_command_is_left_out() {
    let help = printed(Path::new("."), "--help", 120);
    let listed = help.split("Commands:").nth(1).unwrap().lines().skip(1).take_while(|line| !line.trim().is_empty());
    let names = listed.filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names: Vec<&str> = names.filter_map(|line| line.split_whitespace().next()).collect();
    assert!(names.len() >= 20, "{names:?}");
    let without_screens = ["help", "completions", "manual"];
    for name in names.iter().filter(|name| !without_screens.contains(name)) {
        assert!(COMMANDS.iter().any(|(_, line)| line.split(' ').next() == Some(name)), "{name}");
    }
}
