//! The commands as a user meets them: output, exit codes, and nothing left behind after a mistake.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use tempfile::TempDir;

const HEAD: &str = "name = \"trial\"\nseed = 3\n";
const TAIL: &str = "[typists]\nnumber = 20\n[[policy]]\nrule = \"enclosed\"\n[[policy]]\nrule = \"dwell-cutoff\"\n";

fn agogic(folder: &Path) -> Command {
    let mut command = Command::cargo_bin("agogic").unwrap();
    command.current_dir(folder);
    command
}

fn with_spec(spec: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), spec).unwrap();
    folder
}

/// Exit code, standard output and standard error.
fn outcome(command: &mut Command) -> (i32, String, String) {
    let output = command.output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (output.status.code().unwrap(), text(&output.stdout), text(&output.stderr))
}

#[test]
fn three_mistakes_are_all_reported_and_nothing_is_written() {
    let folder = with_spec(
        "name = \"trial\"\nseed = 3\ncolour = \"red\"\n[text]\nwords = \"high tide\"\n[[policy]]\n\
         rule = \"dwell-cutoff\"\nvalues = { cutoff_ms = -200 }\n[[policy]]\nrule = \"guesswork\"\n",
    );
    let (code, out, err) = outcome(agogic(folder.path()).args(["run", "my.toml"]));
    assert_eq!((code, out.as_str()), (2, ""));
    for wanted in
        ["3 mistakes", "line 3: `colour`", "line 8: `policy[1].values.cutoff_ms`", "line 10: `policy[2].rule`"]
    {
        assert!(err.contains(wanted), "{wanted} is not in:\n{err}");
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "only the spec is there");
}

#[test]
fn a_text_of_a_hundred_kilobytes_and_a_spec_of_ones_own_work() {
    let folder = with_spec(&format!("{HEAD}[text]\nfile = \"long.txt\"\n{TAIL}"));
    let line = "The harbour light was repaired on Tuesday, and nobody noticed (not even Ines).\n";
    let text = line.repeat(100 * 1024 / line.len() + 1);
    assert!(text.len() >= 100 * 1024);
    fs::write(folder.path().join("long.txt"), text).unwrap();
    let (code, out, err) = outcome(agogic(folder.path()).args(["run", "my.toml"]));
    assert_eq!(code, 0, "{err}");
    // Twenty people are few: the sentence says what was seen, and advises nothing.
    assert!(out.contains("nothing can be advised yet. 20 typists are few"), "{out}");
    assert!(out.contains("intervals over 20 simulated typists") && !out.contains("start from `"), "{out}");
    for file in ["results.parquet", "results.csv", "results.json", "typists.parquet", "advice.json", "manifest.json"] {
        assert!(folder.path().join("results/trial").join(file).is_file(), "{file} is missing");
    }
    let manifest = fs::read_to_string(folder.path().join("results/trial/manifest.json")).unwrap();
    assert!(manifest.contains("\"seed\": 3") && manifest.contains("file long.txt"));
}

#[test]
fn another_alphabet_and_nothing_at_all_are_named() {
    for (text, wanted) in [
        ("прилив и отлив", "line 1, character 1: no key writes `п`"),
        ("", "no character that can be typed"),
        (" \n\n", "no character that can be typed"),
    ] {
        let folder = with_spec(&format!("{HEAD}[text]\nfile = \"t.txt\"\n{TAIL}"));
        fs::write(folder.path().join("t.txt"), text).unwrap();
        let (code, _, err) = outcome(agogic(folder.path()).args(["run", "my.toml"]));
        assert_eq!(code, 2);
        assert!(err.contains(wanted) && err.contains("line 4: `text.file`"), "{err}");
    }
}

#[test]
fn skipped_characters_are_told() {
    let folder = with_spec(&format!("{HEAD}[text]\nwords = \"tide прилив tide\"\nunsupported = \"skip\"\n{TAIL}"));
    let (code, out, _) = outcome(agogic(folder.path()).args(["run", "my.toml"]));
    assert_eq!(code, 0);
    assert!(out.contains("6 characters of the text have no key and were left out"), "{out}");
}

#[test]
fn a_text_that_is_not_utf8_or_not_there_is_named() {
    let folder = with_spec(&format!("{HEAD}[text]\nfile = \"t.txt\"\n{TAIL}"));
    let (code, _, err) = outcome(agogic(folder.path()).args(["run", "my.toml"]));
    assert!(code == 2 && err.contains("failed to open the text file"), "{err}");
    fs::write(folder.path().join("t.txt"), b"fine\nnot \xff fine").unwrap();
    let (code, _, err) = outcome(agogic(folder.path()).args(["run", "my.toml"]));
    assert!(code == 2 && err.contains("not UTF-8 in its line 2"), "{err}");
}

#[test]
fn a_missing_spec_is_a_mistake_of_the_user() {
    let folder = tempfile::tempdir().unwrap();
    let (code, _, err) = outcome(agogic(folder.path()).args(["run", "none.toml"]));
    assert!(code == 2 && err.contains("failed to read the spec none.toml"), "{err}");
}

#[test]
fn foreign_folders_are_not_touched() {
    let folder = with_spec(&format!("{HEAD}[text]\nwords = \"high tide\"\n{TAIL}"));
    fs::create_dir(folder.path().join("mine")).unwrap();
    fs::write(folder.path().join("mine/letter.txt"), "dear").unwrap();
    let (code, _, err) = outcome(agogic(folder.path()).args(["run", "my.toml", "--out", "mine"]));
    assert!(code == 2 && err.contains("is no result folder"), "{err}");
    assert_eq!(fs::read_to_string(folder.path().join("mine/letter.txt")).unwrap(), "dear");
    // A file in the way of the parent folder: the machine refuses.
    let (code, _, err) = outcome(agogic(folder.path()).args(["run", "my.toml", "--out", "my.toml/x"]));
    assert!(code == 3 && err.contains("failed to write results"), "{err}");
}

#[test]
fn running_again_replaces_the_result_by_the_same_bytes() {
    let folder = with_spec(&format!("{HEAD}[text]\nwords = \"The tide turns.\"\n{TAIL}"));
    let results = |threads: &str| {
        let (code, _, err) = outcome(agogic(folder.path()).args(["run", "my.toml", "--threads", threads]));
        assert_eq!(code, 0, "{err}");
        fs::read(folder.path().join("results/trial/results.parquet")).unwrap()
    };
    assert_eq!(results("1"), results("2"));
    assert_eq!(fs::read_dir(folder.path().join("results")).unwrap().count(), 1, "no drafts are left");
}

#[test]
fn json_is_for_machines() {
    let folder = with_spec(&format!("{HEAD}[text]\nwords = \"The tide turns.\"\n{TAIL}"));
    let (code, out, _) = outcome(agogic(folder.path()).args(["run", "my.toml", "--json"]));
    assert_eq!(code, 0);
    let value: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(value["study"], "trial");
    assert_eq!(value["rows"][0]["estimate"]["unit"], "typist");
    // No shortcuts in this workload and one capital a round: holds exist, so the rate is known.
    let rows = value["rows"].as_array().unwrap();
    assert!(rows.iter().any(|row| row["estimand"] == "missed_holds" && row["estimate"]["value"].is_number()));
}

#[test]
fn a_rate_without_opportunities_is_null_with_a_reason() {
    let folder = with_spec(&format!("{HEAD}[text]\nwords = \"the tide turns\"\n{TAIL}"));
    let (_, out, _) = outcome(agogic(folder.path()).args(["run", "my.toml", "--json"]));
    let value: serde_json::Value = serde_json::from_str(&out).unwrap();
    let rows = value["rows"].as_array().unwrap();
    let missed = rows.iter().find(|row| row["estimand"] == "missed_holds").unwrap();
    assert!(missed["estimate"]["value"].is_null());
    assert!(missed["estimate"]["reason"].as_str().is_some_and(|reason| !reason.is_empty()));
}

#[test]
fn simulate_writes_a_log_with_both_edges_in_order() {
    let folder = with_spec(&format!("{HEAD}[text]\nwords = \"The tide turns.\"\n{TAIL}"));
    let args = ["simulate", "my.toml", "--typists", "2", "--out", "log.csv"];
    let (code, out, err) = outcome(agogic(folder.path()).args(args));
    assert_eq!(code, 0, "{err}");
    let log = fs::read_to_string(folder.path().join("log.csv")).unwrap();
    let mut lines = log.lines();
    assert_eq!(lines.next(), Some("session,participant,t_us,code,edge,intent,target"));
    let rows: Vec<Vec<&str>> = lines.map(|line| line.split(',').collect()).collect();
    assert!(out.starts_with(&format!("{} events", rows.len())), "{out}");
    let presses = rows.iter().filter(|row| row[4] == "press").count();
    assert_eq!(2 * presses, rows.len());
    for pair in rows.windows(2).filter(|pair| pair[0][1] == pair[1][1]) {
        assert!(pair[0][2].parse::<u64>().unwrap() <= pair[1][2].parse().unwrap());
    }
    assert!(rows.iter().any(|row| row[5] == "hold" && row[6] == "KeyT"), "the capital T is a hold");
}

#[test]
fn simulate_writes_one_session_by_its_address() {
    let spec = format!("{HEAD}[text]\nwords = \"The tide turns at noon.\"\n{TAIL}");
    let folder = with_spec(&spec);
    let log = |more: &[&str]| {
        let args = [&["simulate", "my.toml", "--out", "log.csv"], more].concat();
        let (code, _, err) = outcome(agogic(folder.path()).args(args));
        (code, err, fs::read_to_string(folder.path().join("log.csv")).unwrap_or_default())
    };
    // Replicate 0 is the session that the study judges, press for press.
    let study = agogic_study::Study::read(&spec, folder.path()).unwrap();
    let runner = agogic_sim::ArmRunner::new(&study.arms[0]);
    let judged = runner.perform(runner.judged(study.seed, 7)).session;
    let (code, err, first) = log(&["--typist", "7"]);
    assert_eq!(code, 0, "{err}");
    let rows = first.lines().skip(1).map(|line| line.split(',').collect::<Vec<_>>());
    let presses: Vec<_> = rows.filter(|row| row[4] == "press").map(|row| (row[2].parse().unwrap(), row[3])).collect();
    let wanted: Vec<_> = judged.presses.iter().map(|press| (press.down.0, press.code.name())).collect();
    assert_eq!(presses, wanted);
    assert!(first.lines().nth(1).unwrap().starts_with("replicate-0,synthetic-7,"), "{first}");
    // Another replicate is another session of the same typist, the same at every call.
    let (_, _, third) = log(&["--typist", "7", "--replicate", "3"]);
    assert!(third.contains("replicate-3,synthetic-7,") && log(&["--typist", "7", "--replicate", "3"]).2 == third);
    let times =
        |log: &str| log.lines().skip(1).map(|line| line.split(',').nth(2).unwrap().to_owned()).collect::<Vec<_>>();
    assert_ne!(times(&third), times(&first));
    for (more, said) in [
        (&["--typist", "20"][..], "`--typist` must be the number of a typist of the study"),
        (&["--typist", "1", "--typists", "2"], "cannot be used with"),
        (&["--replicate", "1"], "--typist"),
    ] {
        let (code, err, _) = log(more);
        assert!(code == 2 && err.contains(said), "{code} {err}");
    }
}

#[test]
fn lists_name_every_rule_guard_and_population() {
    let folder = tempfile::tempdir().unwrap();
    let (code, out, _) = outcome(agogic(folder.path()).arg("policies"));
    assert_eq!(code, 0);
    for rule in agogic_policy::RULES {
        assert!(out.contains(rule.name));
    }
    for guard in agogic_policy::GUARDS {
        assert!(out.contains(guard.name) && out.contains(guard.decides));
    }
    for quoted in ["quoted shares lie between 0.8 and 1", "quoted floors lie between 50 and 100 ms"] {
        assert!(out.contains(quoted), "{quoted} is not in:\n{out}");
    }
    let (_, out, _) = outcome(agogic(folder.path()).args(["populations", "--register"]));
    assert!(out.contains("dwell_ms.median") && out.contains("assumed,"), "{out}");
}

/// A study with shortcuts, so that holds are there to learn from.
fn crew() -> String {
    format!(
        "{HEAD}[text]\nbuilt_in = \"seed-library\"\n[workload]\nshortcuts_per_1000_keys = 20\n\
         [floor]\ntypists = 0\n{TAIL}"
    )
}

fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    outcome(agogic(folder).args(arguments))
}

#[test]
fn a_trained_table_and_its_cost_are_printed() {
    let folder = with_spec(&crew());
    let (code, out, err) = run(folder.path(), &["policies", "--table", "evidence", "my.toml"]);
    assert!(code == 0 && out.contains("Table: ") && out.contains("look-ups"), "{out}{err}");
    let (code, out, _) = run(folder.path(), &["policies", "--table", "evidence", "my.toml", "--format", "csv"]);
    assert!(code == 0 && out.starts_with("table,row,bin,above_ms,to_ms,units\n") && out.lines().count() > 50, "{out}");
    let (code, out, _) = run(folder.path(), &["policies", "--table", "enclosed"]);
    assert!(code == 0 && out.contains("decides without a table"), "{out}");
    let (code, _, err) = run(folder.path(), &["policies", "--table", "guesswork"]);
    assert!(code == 2 && err.contains("there is no rule `guesswork`"), "{err}");
}

#[test]
fn a_written_population_can_be_used_in_a_study() {
    let folder = tempfile::tempdir().unwrap();
    let (code, out, _) = run(folder.path(), &["populations", "--write", "trained"]);
    assert!(code == 0 && out.contains("[traits."), "{out}");
    fs::write(folder.path().join("people.toml"), out).unwrap();
    let spec = crew().replace("[typists]\n", "[typists]\npopulations = [\"people.toml\", \"slow\"]\n");
    fs::write(folder.path().join("my.toml"), spec).unwrap();
    let (code, out, err) = run(folder.path(), &["run", "my.toml"]);
    assert!(code == 0 && out.contains("my-trained") && out.contains("slow"), "{out}{err}");
    let (code, _, err) = run(folder.path(), &["populations", "--write", "nobody"]);
    assert!(code == 2 && err.contains("there is no population `nobody`"), "{err}");
}

#[test]
fn a_stopped_run_shows_the_typists_that_ran_and_limits_that_hold_at_any_look() {
    let stop =
        "[stop]\nestimand = \"false_holds\"\nhalf_width = 400\nguarantee = \"asymptotic\"\nblock = 100\nleast = 100\n";
    let spec = format!(
        "{HEAD}[text]\nbuilt_in = \"seed-library\"\n[workload]\nshortcuts_per_1000_keys = 20\n[floor]\ntypists = 0\n{stop}\
         [typists]\nnumber = 700\nkeys_each = 200\n[[policy]]\nrule = \"first-contact\"\n[[policy]]\nrule = \"enclosed\"\n"
    );
    let folder = with_spec(&spec);
    let (code, out, err) = run(folder.path(), &["run", "my.toml", "-v"]);
    assert_eq!(code, 0, "{out}{err}");
    let (ran, _) = out.split_once(" typists (at most 700; the run stopped when it was precise enough)").expect(&out);
    let ran: u64 = ran.lines().last().unwrap().parse().unwrap();
    assert!((100..700).contains(&ran), "{ran}");
    let stopped = format!("stopped at {ran} typists, of 700 at most");
    assert!(out.contains(&stopped) && out.contains("looked at any time"), "{out}");
    assert!(out.contains("wrong keys, per 1000 words"), "{out}");
    let results = fs::read_dir(folder.path().join("results")).unwrap().next().unwrap().unwrap().path();
    let page = fs::read_to_string(results.join("page.html")).unwrap();
    assert!(page.contains(&stopped) && page.contains("looked at any time"));
    let few = spec.replace("least = 100", "least = 40");
    fs::write(folder.path().join("my.toml"), few).unwrap();
    let (code, _, err) = run(folder.path(), &["run", "my.toml"]);
    assert!(code == 2 && err.contains("must be at least 100 with an asymptotic guarantee"), "{err}");
}

#[test]
fn a_plan_says_how_many_people_and_reminds_of_consent() {
    let folder = with_spec(&crew());
    let arguments = ["plan", "my.toml", "--minutes", "2", "--pool", "200", "--trials", "200"];
    let (code, out, err) = run(folder.path(), &arguments);
    assert!(code == 0 && out.contains("people") && out.contains("consent"), "{out}{err}");
    let (code, _, err) = run(folder.path(), &["plan", "my.toml", "--first", "elsewhere"]);
    assert!(code == 2 && err.contains("elsewhere"), "{err}");
}

#[test]
fn the_figure_of_all_rows_takes_the_form_its_ending_names() {
    let folder = tempfile::tempdir().unwrap();
    let (code, _, err) = run(folder.path(), &["check", "--typists", "50", "--figure", "rows.svg"]);
    assert!(code <= 1, "{err}");
    assert!(fs::read_to_string(folder.path().join("rows.svg")).unwrap().contains("<svg"));
    let (code, _, err) = run(folder.path(), &["check", "--typists", "50", "--figure", "rows.doc"]);
    assert!(code == 2 && err.contains(".svg, .pdf and .png"), "{err}");
}

#[test]
fn the_printed_cost_table_can_be_used_in_a_study() {
    let folder = tempfile::tempdir().unwrap();
    let (code, out, _) = run(folder.path(), &["costs"]);
    assert!(code == 0 && out.contains("[[cost]]"), "{out}");
    fs::write(folder.path().join("costs.toml"), out).unwrap();
    let spec = format!("{}[harm]\ncosts = \"costs.toml\"\nlevel = \"high\"\n", crew());
    fs::write(folder.path().join("my.toml"), spec.replace("[harm]", "\n[harm]")).unwrap();
    let (code, _, err) = run(folder.path(), &["run", "my.toml"]);
    assert_eq!(code, 0, "{err}");
    fs::write(folder.path().join("costs.toml"), "[[cost]]\noutcome = \"false-hold\"\n").unwrap();
    let (code, _, err) = run(folder.path(), &["run", "my.toml"]);
    assert!(code == 2 && err.contains("costs.toml"), "{err}");
}

#[test]
fn a_sweep_writes_every_point_and_places_it_on_the_front() {
    let folder = with_spec(&format!(
        "{HEAD}[text]\nwords = \"The tide turns at noon. Ask Ada for the log.\"\n{TAIL}\
         [[sweep]]\nrule = \"dwell-cutoff\"\nover = {{ cutoff_ms = {{ from = 120, to = 320, steps = 21 }} }}\n\
         [[sweep]]\nlabel = \"pairs\"\nrule = \"overlap-share\"\n\
         over = {{ share = {{ from = 0.6, to = 1, steps = 3 }}, lull_ms = {{ from = 0, to = 120, steps = 2 }} }}\n"
    ));
    let (code, out, err) = outcome(agogic(folder.path()).args(["sweep", "my.toml"]));
    assert_eq!(code, 0, "{err}");
    for wanted in ["dwell-cutoff 120", "dwell-cutoff 320", "overlap-share 0.6, lull 120", "settings are on the front"] {
        assert!(out.contains(wanted), "{wanted} is not in:\n{out}");
    }
    let results = folder.path().join("results/trial-sweep");
    let rows = fs::read_to_string(results.join("sweep.csv")).unwrap();
    // Two policies and six pairs with seven estimands, 21 points of a curve with four.
    assert_eq!(rows.lines().count(), 1 + 2 * 7 + 6 * 7 + 21 * 4);
    let front = fs::read_to_string(results.join("front.csv")).unwrap();
    assert_eq!(front.lines().count(), 1 + 2 + 6 + 21);
    let manifest = fs::read_to_string(results.join("manifest.json")).unwrap();
    assert!(manifest.contains("agogic-sweep-1") && results.join("sweep.parquet").is_file());
    // The same spec still runs as a study, and again as a sweep with the same rows.
    assert_eq!(outcome(agogic(folder.path()).args(["run", "my.toml"])).0, 0);
    assert_eq!(outcome(agogic(folder.path()).args(["sweep", "my.toml", "--out", "b", "--threads", "1"])).0, 0);
    assert_eq!(fs::read_to_string(folder.path().join("b/sweep.csv")).unwrap(), rows);
}

#[test]
fn a_sensitivity_needs_its_table_and_explains_negative_indices() {
    let text = "[text]\nwords = \"The tide turns at noon. Ask Ada for the log.\"\n";
    let folder = with_spec(&format!("{HEAD}{text}{TAIL}"));
    let (code, _, err) = outcome(agogic(folder.path()).args(["sensitivity", "my.toml"]));
    assert!(code == 2 && err.contains("no table [sensitivity]") && err.contains("over = {"), "{code} {err}");
    let folder = with_spec(&format!(
        "{HEAD}{text}{TAIL}[sensitivity]\nrule = \"dwell-cutoff\"\nrows = 8\ntypists = 5\n\
         over = {{ cutoff_ms = {{ from = 120, to = 260 }} }}\ntraits = {{ dwell_ms = {{ from = 90, to = 130 }} }}\n"
    ));
    let (code, out, err) = outcome(agogic(folder.path()).args(["sensitivity", "my.toml"]));
    assert_eq!(code, 0, "{err}");
    for wanted in ["cutoff_ms", "dwell_ms", "can come out below zero", "bootstrap over rows"] {
        assert!(out.contains(wanted), "{wanted} is not in:\n{out}");
    }
    let results = folder.path().join("results/trial-sensitivity");
    assert_eq!(fs::read_to_string(results.join("points.csv")).unwrap().lines().count(), 1 + 8 * 4);
    assert_eq!(fs::read_to_string(results.join("indices.csv")).unwrap().lines().count(), 1 + 4 * 2 * 2);
}

/// A study large enough to keep its blocks: a million presses, done in some seconds.
const KEPT: &str = "name = \"kept\"\nseed = 5\n[text]\nbuilt_in = \"tide-station\"\n[typists]\n\
    populations = [\"volunteers\", \"slow\"]\nnumber = 66\nkeys_each = 8000\n[floor]\ntypists = 20\nrehearsal_keys = 2000\n\
    [[policy]]\nrule = \"enclosed\"\n[[policy]]\nrule = \"first-contact\"\n";

/// The bytes of all result files but the manifest, which knows when and how long.
fn results(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap())
        .map(|entry| (entry.file_name().into_string().unwrap(), fs::read(entry.path()).unwrap()))
        .filter(|(name, _)| name != "manifest.json")
        .collect();
    files.sort();
    files
}

/// Runs a command undisturbed, then kills it at some moments, lets it end and compares. Something has to be kept
/// in between.
fn killed_and_taken_up_again(spec: &str, command: &str, waits_ms: &[u64]) {
    let folder = with_spec(spec);
    let path = folder.path();
    let (wanted, _, err) = outcome(agogic(path).args([command, "my.toml", "--out", "whole"]));
    assert!(wanted < 2, "{command}: {err}");
    let program = assert_cmd::cargo::cargo_bin("agogic");
    let (mut killed, mut most) = (0, 0);
    for &wait_ms in waits_ms {
        let mut child = std::process::Command::new(&program)
            .args([command, "my.toml", "--out", "parts"])
            .current_dir(path)
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_millis(wait_ms));
        if child.try_wait().unwrap().is_none() {
            child.kill().unwrap();
            killed += 1;
        }
        child.wait().unwrap();
        let blocks = fs::read_dir(path.join("parts.unfinished")).into_iter().flatten().count();
        most = most.max(blocks);
    }
    assert!(killed > 0 && most > 0, "{command}: {killed} kills, {most} blocks");
    let (code, _, err) = outcome(agogic(path).args([command, "my.toml", "--out", "parts"]));
    assert_eq!(code, wanted, "{command}: {err}");
    assert!(results(&path.join("parts")) == results(&path.join("whole")), "{command}");
    // Nothing is left beside the results, not even hidden files.
    let mut left: Vec<_> = fs::read_dir(path).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    left.sort();
    assert_eq!(left, ["my.toml", "parts", "whole"], "{command}");
}

#[test]
fn a_run_killed_at_any_moment_goes_on_and_ends_with_the_same_bytes() {
    killed_and_taken_up_again(KEPT, "run", &[0, 40, 150, 400, 700, 1000, 1300]);
}

/// A study that asks for everything, large enough to keep blocks.
const ASKS_ALL: &str = "[advice]\nobjective = \"wrong_keys\"\nlimits = { tap_delay_p95 = 160 }\nsearch_typists = 160\n\
    confirm_typists = 160\nrefinements = 0\n[robust]\ntypists = 20\npoints = 5\n[sensitivity]\nrule = \"dwell-cutoff\"\n\
    rows = 8\ntypists = 160\nover = { cutoff_ms = { from = 120, to = 260 } }\n[[sweep]]\nrule = \"dwell-cutoff\"\n\
    design = \"grid\"\nover = { cutoff_ms = { from = 120, to = 220, steps = 6 } }\n";

#[test]
fn sweeps_and_analyses_killed_at_any_moment_go_on_too() {
    let spec = KEPT.replace(r#""volunteers", "slow""#, r#""volunteers""#).replace("number = 66", "number = 130");
    killed_and_taken_up_again(&format!("{spec}{ASKS_ALL}"), "sweep", &[100, 300, 900]);
    let spec = spec.replace("keys_each = 8000", "keys_each = 3000");
    for command in ["advise", "robust", "sensitivity"] {
        killed_and_taken_up_again(&format!("{spec}{ASKS_ALL}"), command, &[100, 300, 900]);
    }
}

#[test]
fn shards_merge_to_the_bytes_of_one_run_and_nothing_else_does() {
    let folder = with_spec(KEPT);
    let path = folder.path();
    let run = |args: &[&str]| outcome(agogic(path).args(args));
    assert_eq!(run(&["run", "my.toml", "--out", "whole"]).0, 0);
    for number in 1..=3 {
        let (code, out, err) = run(&["shard", "my.toml", &format!("{number}/3"), "--out", &format!("s/{number}")]);
        assert!(code == 0 && out.contains(&format!("Shard {number}/3")), "{out}{err}");
    }
    let (code, _, err) = run(&["merge", "s/3", "s/1", "s/2", "--out", "merged"]);
    assert_eq!(code, 0, "{err}");
    assert!(results(&path.join("merged")) == results(&path.join("whole")));
    // A finished shard is left as it is.
    let (code, out, _) = run(&["shard", "my.toml", "2/3", "--out", "s/2"]);
    assert!(code == 0 && !out.contains(" 0 of them"), "{out}");

    let refused = |args: &[&str], wanted: &str| {
        let (code, out, err) = run(args);
        assert!(code == 2 && out.is_empty() && err.contains(wanted), "{args:?}: {code} {out}{err}");
    };
    refused(&["merge", "s/1", "s/3", "--out", "no"], "of 3 shards these are missing: 2");
    refused(&["merge", "s/1", "s/2", "s/3", "s/1", "--out", "no"], "shard 1/3 is there twice");
    refused(&["merge", "whole", "--out", "no"], "holds no finished shard");
    refused(&["shard", "my.toml", "1/3", "--out", "s/2"], "holds another shard");
    refused(&["shard", "my.toml", "1/3", "--out", "whole"], "is no result folder");
    fs::write(path.join("other.toml"), KEPT.replace("seed = 5", "seed = 6")).unwrap();
    assert_eq!(run(&["shard", "other.toml", "2/3", "--out", "o/2"]).0, 0);
    refused(&["merge", "s/1", "o/2", "s/3", "--out", "no"], "o/2 is foreign");
    assert_eq!(run(&["shard", "my.toml", "1/70", "--out", "o/1"]).0, 0);
    refused(&["merge", "s/1", "o/1", "--out", "no"], "o/1 is one of 70 shards");
    // A block that was damaged on its way is named, and mended by the same command.
    let block = fs::read_dir(path.join("s/2")).unwrap().map(|e| e.unwrap().path());
    let block = block.filter(|path| path.extension().is_some_and(|e| e == "block")).min().unwrap();
    let mut bytes = fs::read(&block).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(&block, bytes).unwrap();
    refused(&["merge", "s/1", "s/2", "s/3", "--out", "no"], "is missing or damaged");
    assert_eq!(run(&["shard", "my.toml", "2/3", "--out", "s/2"]).0, 0);
    assert_eq!(run(&["merge", "s/1", "s/2", "s/3", "--out", "merged"]).0, 0);
    assert!(results(&path.join("merged")) == results(&path.join("whole")));
    assert!(!path.join("no").exists());
}

#[test]
fn a_place_where_another_run_writes_is_refused() {
    let folder = with_spec(&format!("{HEAD}[text]\nwords = \"High tide at noon.\"\n{TAIL}"));
    let lock = fs::File::create(folder.path().join(".there.lock")).unwrap();
    lock.lock().unwrap();
    for args in [["run", "my.toml", "--out", "there"], ["sweep", "my.toml", "--out", "there"]] {
        let (code, _, err) = outcome(agogic(folder.path()).args(args));
        assert!(code == 2 && err.contains("another run of agogic is writing to there"), "{code} {err}");
    }
    lock.unlock().unwrap();
    let (code, _, err) = outcome(agogic(folder.path()).args(["run", "my.toml", "--out", "there"]));
    assert_eq!(code, 0, "{err}");
}

/// A small question with a known answer: up to 150 ms a cutoff keeps everybody within 150 ms; see tests of the lab.
const ASKED: &str = "name = \"asked\"\nseed = 5\n[text]\nbuilt_in = \"tide-station\"\n[typists]\nnumber = 10\n\
    keys_each = 500\n[advice]\nobjective = \"false_holds\"\nlimits = { tap_delay_p95 = 150 }\nsearch_typists = 60\n\
    confirm_typists = 100\nrefinements = 0\nshortlist = 4\n[robust]\ntypists = 20\npoints = 5\n[[policy]]\n\
    rule = \"dwell-cutoff\"\nvalues = { cutoff_ms = 400 }\n[[sweep]]\nrule = \"dwell-cutoff\"\ndesign = \"grid\"\n\
    over = { cutoff_ms = { from = 100, to = 150, steps = 3 } }\n";

#[test]
fn advice_names_the_setting_writes_its_page_and_repeats() {
    let folder = with_spec(ASKED);
    let (code, out, err) = run(folder.path(), &["advise", "my.toml"]);
    assert_eq!(code, 0, "{err}");
    for part in
        ["Asked for each population: the least false holds", "`dwell-cutoff 150`", "nobody", "`-v` tells", "Page: "]
    {
        assert!(out.contains(part), "{part} is not in:\n{out}");
    }
    assert!(out.lines().count() < 20, "{out}");
    let (code, out, err) = run(folder.path(), &["advise", "my.toml", "-v"]);
    assert_eq!(code, 0, "{err}");
    let parts = ["use `dwell-cutoff 150`", "yes, advised", "slowest third", "lower the cutoff from 150 to", "Page: "];
    for part in parts {
        assert!(out.contains(part), "{part} is not in:\n{out}");
    }
    let results = folder.path().join("results/asked-advice");
    for file in ["advice.json", "listed.csv", "rules.csv", "whom.csv", "knobs.csv", "turns.csv", "page.html"] {
        assert!(results.join(file).is_file(), "{file} is missing");
    }
    let (code, out, err) = run(folder.path(), &["repeat", "results/asked-advice"]);
    assert_eq!(code, 0, "{err}{out}");
    let (code, out, _) = run(folder.path(), &["robust", "my.toml", "--json"]);
    assert_eq!(code, 0);
    let found: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(found["robust"][0]["conclusions"][0]["verdict"], "survives", "{found:#}");
    let (code, out, _) = run(folder.path(), &["repeat", "results/asked-robust"]);
    assert_eq!(code, 0, "{out}");
}

#[test]
fn advice_that_cannot_be_given_exits_with_one_and_a_missing_table_with_two() {
    let folder = with_spec(&ASKED.replace("tap_delay_p95 = 150", "tap_delay_p95 = 20"));
    let (code, out, _) = run(folder.path(), &["advise", "my.toml"]);
    assert!(code == 1 && out.contains("none of 4 settings is sure") && out.contains("Loosen a limit"), "{out}");
    let folder = with_spec(&format!("{HEAD}[text]\nwords = \"high tide\"\n{TAIL}"));
    let (code, out, err) = run(folder.path(), &["advise", "my.toml"]);
    assert!(code == 2 && out.is_empty() && err.contains("[advice] with objective"), "{err}");
}
