//! What is made of a result: the page, the report, the repetition.

mod other_kinds;

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::common::{agogic, study};

fn edit(path: &Path, from: &str, to: &str) {
    let text = fs::read_to_string(path).unwrap();
    assert!(text.contains(from), "{from} is not in {}", path.display());
    fs::write(path, text.replacen(from, to, 1)).unwrap();
}

#[test]
fn a_folder_repeats_by_itself_and_whatever_is_changed_is_named() {
    let (folder, results) = study();
    let place = folder.path();
    // Neither the spec nor its text is needed any more.
    fs::remove_file(place.join("my.toml")).unwrap();
    fs::remove_file(place.join("text.txt")).unwrap();
    let (code, out, err) = agogic(place, &["repeat", "results/trial"]);
    assert_eq!(code, 0, "{out}{err}");
    assert!(out.starts_with("The same: 14 files, byte by byte."), "{out}");
    let (code, out, _) = agogic(place, &["repeat", "results/trial", "--threads", "1", "--json"]);
    assert!(code == 0 && out.contains("\"same\": true"), "{out}");

    let floor = fs::read_to_string(results.join("floor.csv")).unwrap();
    let cell = floor.lines().nth(2).unwrap().rsplit(',').next().unwrap().to_owned();
    let row = floor.lines().nth(2).unwrap();
    edit(&results.join("floor.csv"), row, &row.replace(&cell, "77"));
    let (code, out, _) = agogic(place, &["repeat", "results/trial"]);
    assert_eq!(code, 1);
    let wanted = format!("column missed_holds_per_100_holds: 77 before, {cell} now");
    assert!(out.contains("1 of 14 files differ") && out.contains("row 2 (") && out.contains(&wanted), "{out}");
    assert!(out.contains("floor.csv was edited after the run"), "{out}");

    // Another seed in the manifest: everything differs, and the reason is the edited spec.
    fs::write(results.join("floor.csv"), floor).unwrap();
    edit(&results.join("manifest.json"), "seed = 5", "seed = 6");
    let (code, out, _) = agogic(place, &["repeat", "results/trial"]);
    assert!(code == 1 && out.contains("the spec in manifest.json was edited"), "{out}");
    assert!(out.contains("typists.parquet: row 1 (volunteers, 0"), "{out}");
    edit(&results.join("manifest.json"), "seed = 6", "seed = 5");

    // Another version and other libraries are named, a file that is gone too.
    edit(&results.join("manifest.json"), "\"cargo_lock_sha256\": \"", "\"cargo_lock_sha256\": \"0");
    edit(&results.join("manifest.json"), "\"agogic\": \"", "\"agogic\": \"9.");
    fs::remove_file(results.join("hands.csv")).unwrap();
    let (code, out, _) = agogic(place, &["repeat", "results/trial"]);
    assert_eq!(code, 1);
    for wanted in ["hands.csv: the whole file: missing before", "the version of agogic: 9.", "hash of Cargo.lock"] {
        assert!(out.contains(wanted), "{wanted} is not in\n{out}");
    }
    let (code, _, err) = agogic(place, &["repeat", "."]);
    assert!(code == 2 && err.contains("no manifest.json"), "{err}");
}

#[test]
fn a_manifest_cannot_lead_out_of_its_folder() {
    let (folder, results) = study();
    edit(&results.join("manifest.json"), "\"floor.csv\"", "\"../../../etc/passwd\"");
    let (code, _, err) = agogic(folder.path(), &["report", "results/trial"]);
    assert!(code == 2 && err.contains("leads out of the folder"), "{err}");
}

/// A page by itself: it loads nothing, says what its figures and tables show, and its links lead somewhere.
fn sound(page: &str) {
    // Nothing is loaded: links go to places on the page, and addresses in the sources are plain words.
    for loads in [" src=", "<link", "@import", "url(", "fetch(", "href=\"http"] {
        assert!(!page.contains(loads), "{loads} loads something");
    }
    // Every figure says what it shows, every table has a caption, and no id stands twice.
    assert_eq!(page.matches("<svg").count(), page.matches("role=\"img\"").count());
    assert_eq!(page.matches("<svg").count(), page.matches("<desc id=").count());
    assert_eq!(page.matches("<table>").count(), page.matches("<caption>").count());
    let mut ids: Vec<&str> = page.split(" id=\"").skip(1).map(|rest| rest.split('"').next().unwrap()).collect();
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all, "an id stands twice");
    for target in page.split("href=\"#").skip(1).map(|rest| rest.split('"').next().unwrap()) {
        assert!(ids.binary_search(&target).is_ok(), "a link leads to #{target}, which is not there");
    }
}

#[test]
fn the_page_says_everything_and_takes_nothing_for_markup() {
    let (_folder, results) = study();
    let page = fs::read_to_string(results.join("page.html")).unwrap();
    assert!(page.len() < 3_000_000, "{} bytes", page.len());
    for wanted in [
        "makes the fewest wrong keys",
        "Do &lt;b&gt;tags&lt;&#x2f;b&gt; &amp; rolls survive?",
        "What each rule gets wrong",
        "Whom it fails",
        "What each change does",
        "ideal observer",
        "Does the model match the literature?",
        "What is assumed",
        "Data-generating mechanism",
        "@article{morris2019",
        "To repeat it",
        "clinician",
    ] {
        assert!(page.contains(wanted), "{wanted} is not on the page");
    }
    assert!(!page.contains("<b>tags"));
    sound(&page);
}

/// The floor is that of a stated observer on stated typists at stated costs, on the screen, on the page and in the files,
/// and what is printed is the statistic of that name.
#[test]
fn the_floor_says_whose_it_is_and_is_one_statistic() {
    let folder = tempfile::tempdir().unwrap();
    let spec = "name = \"f\"\nseed = 1\n[text]\nbuilt_in = \"seed-library\"\n[typists]\nnumber = 9\nkeys_each = 400\n\
                [floor]\ntypists = 4\nrehearsal_keys = 2000\nsight = \"own-key\"\nfalse_hold_cost = 2\n\
                [[policy]]\nrule = \"enclosed\"\n[[policy]]\nrule = \"dwell-cutoff\"\nvalues = { cutoff_ms = 1 }\n";
    fs::write(folder.path().join("f.toml"), spec).unwrap();
    let (code, screen, err) = agogic(folder.path(), &["run", "f.toml", "-v"]);
    assert_eq!(code, 0, "{err}");
    let file = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
    let (page, rows) = (file("results/f/page.html"), file("results/f/results.csv"));
    let sees = "sees only when keys go down and up, by which hand, and which dual-role key was pressed";
    let on = "on the same presses of the first 4 typists, where a false hold costs 2 and a missed hold 1";
    for (place, text) in [("the screen", &screen), ("the page", &page)] {
        for wanted in [sees, on, "loss above floor", "No rule that sees no more is below zero but by chance"] {
            assert!(text.contains(wanted), "{wanted} is not on {place}: {screen}");
        }
        assert!(!text.contains("no rule can come below"), "{place}");
    }
    assert!(page.contains("on 4 typists; it knows the model"), "the figure does not say on whom its floor stands");
    // One statistic: a row for each policy, whose value stands in the last column of the table.
    let of = |policy: &str| {
        let lines: Vec<&str> = rows.lines().filter(|line| line.contains("above_floor")).collect();
        assert_eq!(lines.len(), 2, "{lines:?}");
        let line = lines.iter().find(|line| line.contains(policy)).unwrap();
        assert!(line.contains("role_loss") && line.contains("per 1000 dual-role presses"), "{line}");
        let head = rows.lines().next().unwrap().split(',').position(|name| name == "estimate").unwrap();
        line.split(',').nth(head).unwrap().parse::<f64>().unwrap()
    };
    for policy in ["enclosed", "dwell-cutoff 1"] {
        let printed = screen.lines().find(|line| line.trim_start().starts_with(policy)).unwrap();
        // Rounded to its error.
        let last = printed.rsplit("  ").next().unwrap();
        let shown: f64 = last.split_whitespace().next().unwrap().parse().unwrap();
        assert!((shown - of(policy)).abs() <= 0.5, "{printed}");
    }
    // A rule that makes every tap a hold has lost nearly all there is to lose.
    assert!(of("dwell-cutoff 1") > 500.0);
    assert!(file("results/f/manifest.json").contains("\"sight\": \"own-key\""));

    let (code, screen, err) = agogic(folder.path(), &["sweep", "f.toml"]);
    assert_eq!(code, 0, "{err}");
    assert!(screen.contains(sees) && screen.contains(on) && screen.contains("loss above floor"), "{screen}");
    let front = file("results/f-sweep/front.csv");
    assert!(front.lines().next().unwrap().ends_with("above_floor,above_floor_ci_lo,above_floor_ci_hi,above_floor_n"));
    let places = front.lines().skip(1).all(|line| line.ends_with(",4"));
    let same = front.lines().any(|line| line.contains(&format!(",{},", of("dwell-cutoff 1"))));
    assert!(places && same, "{front}");
}

/// Whether TeX is there with what the report asks for; says so where not.
fn tex() -> bool {
    let has = |file: &str| Command::new("kpsewhich").arg(file).output().is_ok_and(|out| !out.stdout.is_empty());
    let there =
        Command::new("pdflatex").arg("--version").output().is_ok() && has("booktabs.sty") && has("graphicx.sty");
    assert!(there || std::env::var_os("AGOGIC_NEED_TEX").is_none(), "AGOGIC_NEED_TEX is set, but there is no TeX");
    if !there {
        eprintln!("skipped: no pdflatex with booktabs (Debian: texlive-latex-base, texlive-latex-recommended)");
    }
    there
}

#[test]
fn a_report_has_figures_tables_methods_and_sources_that_latex_takes() {
    let (folder, results) = study();
    let (code, out, err) = agogic(folder.path(), &["report", "results/trial", "--formats", "pdf,svg"]);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("page.html"), "{out}");
    let report = results.join("report");
    let read = |name: &str| fs::read_to_string(report.join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
    assert_eq!(read("page.html"), fs::read_to_string(results.join("page.html")).unwrap());
    let table = read("tables/policies-volunteers.csv");
    assert!(table.lines().count() == 5 && table.starts_with("policy,wrong keys per 1000 words,"), "{table}");
    // The table says what the rows say.
    let rows = fs::read_to_string(results.join("results.csv")).unwrap();
    let row = rows.lines().find(|row| row.starts_with("volunteers,enclosed,all,wrong_keys,primary,pooled")).unwrap();
    let cells: Vec<&str> = row.split(',').collect();
    assert!(table.lines().any(|line| line.starts_with(&format!("enclosed,{},", cells[9]))), "{row}\n{table}");
    assert!(read("tables/policies-slow.md").contains("| first-contact "));
    assert!(read("methods.md").contains("[@morris2019]"));
    let (methods, sources) = (read("methods.tex"), read("sources.bib"));
    for key in methods.split("\\cite{").skip(1).flat_map(|rest| rest.split('}').next().unwrap().split(',')) {
        assert!(sources.contains(&format!("{{{key},")), "{key} is cited and not in sources.bib");
    }
    let pdf = fs::read(report.join("figures/trade-off-volunteers-one-column.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF"));
    assert!(!report.join("figures/trade-off-volunteers-one-column.png").exists());
    // A report of a report's place is replaced; other folders are not touched.
    assert_eq!(agogic(folder.path(), &["report", "results/trial", "--formats", "svg"]).0, 0);
    assert!(!report.join("figures/trade-off-volunteers-one-column.pdf").exists());
    fs::create_dir(folder.path().join("mine")).unwrap();
    fs::write(folder.path().join("mine/notes.txt"), "keep").unwrap();
    let (code, _, err) = agogic(folder.path(), &["report", "results/trial", "--formats", "svg", "--out", "mine"]);
    assert!(code == 2 && err.contains("no result folder"), "{err}");

    if !tex() {
        return;
    }
    assert_eq!(agogic(folder.path(), &["report", "results/trial", "--formats", "pdf", "--out", "paper"]).0, 0);
    let paper = folder.path().join("paper");
    let latex = |program: &str, args: &[&str]| {
        let done = Command::new(program).args(args).current_dir(&paper).output().unwrap();
        String::from_utf8_lossy(&done.stdout).into_owned()
    };
    let run = ["-interaction=nonstopmode", "-halt-on-error", "example"];
    latex("pdflatex", &run);
    let bibtex = latex("bibtex", &["example"]);
    assert!(!bibtex.contains("error message"), "{bibtex}");
    latex("pdflatex", &run);
    let last = latex("pdflatex", &run);
    assert!(paper.join("example.pdf").is_file(), "{last}");
    assert!(!last.contains("undefined") && !last.contains("\n! "), "{last}");
    // The figure is in it as vectors, with its font.
    let bytes = fs::metadata(paper.join("example.pdf")).unwrap().len();
    assert!(bytes > fs::metadata(paper.join("figures/trade-off-volunteers-one-column.pdf")).unwrap().len(), "{bytes}");
}

#[test]
fn a_press_is_drawn_from_a_typist_and_from_a_log() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path();
    let (code, out, err) = agogic(place, &["picture", "--out", "roll.svg", "--json"]);
    assert_eq!(code, 0, "{err}");
    let roles: Vec<bool> = out.lines().filter(|l| l.contains("\"hold\"")).map(|l| l.contains("true")).collect();
    assert!(roles.contains(&true) && roles.contains(&false), "the policies agree: {out}");
    let svg = fs::read_to_string(place.join("roll.svg")).unwrap();
    assert!(svg.contains("<desc id=") && svg.contains("is down from 0 to"), "{svg}");
    // Known times by hand: J falls into F by 40 of its 110 ms, and trails it.
    let log = "session,participant,t_us,code,edge,intent,target\n1,a,0,KeyE,press,,\n1,a,60000,KeyE,release,,\n\
               1,a,300000,KeyF,press,tap,\n1,a,380000,KeyJ,press,tap,\n1,a,420000,KeyF,release,,\n\
               1,a,490000,KeyJ,release,,\n";
    fs::write(place.join("log.csv"), log).unwrap();
    let (code, out, err) = agogic(place, &["picture", "--log", "log.csv", "--press", "1", "--out", "1.pdf"]);
    assert_eq!(code, 0, "{err}");
    for wanted in [
        "F is down from 0 to 120 ms, and was meant as a tap",
        "E is down from −300 to −240 ms, outside of the time drawn.",
        "J is down from 80 to 190 ms, 40 ms of it together with F",
        "first-contact says hold at 80 ms, wrong",
        "first-contact, lull 150 says hold at 80 ms, wrong",
        "dwell-cutoff 200 says tap at 120 ms, right",
        "enclosed says tap at 120 ms, right",
    ] {
        assert!(out.contains(wanted), "{wanted} is not in\n{out}");
    }
    assert!(fs::read(place.join("1.pdf")).unwrap().starts_with(b"%PDF"));
    let (code, _, err) = agogic(place, &["picture", "--log", "log.csv", "--press", "3", "--out", "3.svg"]);
    assert!(code == 2 && err.contains("press 3 of a dual-role key was asked for, but there are 2"), "{err}");
    let (code, _, err) = agogic(place, &["picture", "--population", "nobody", "--out", "3.svg"]);
    assert!(code == 2 && err.contains("known: volunteers, trained, slow"), "{err}");
}

#[test]
fn the_terms_of_a_press_are_told_as_they_add_up() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path();
    let (code, out, err) = agogic(place, &["picture", "--terms", "--out", "terms.svg"]);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("how often keys are held") && out.contains("threshold +0.00"), "{out}");
    let svg = fs::read_to_string(place.join("terms.svg")).unwrap();
    assert!(svg.contains("The sum is") && svg.contains("Log odds of a hold"), "{svg}");
    let (code, out, err) = agogic(place, &["picture", "--terms", "--json", "--out", "terms.svg"]);
    assert_eq!(code, 0, "{err}");
    let found: serde_json::Value = serde_json::from_str(&out).unwrap();
    let sum: f64 = found["terms"][0]["terms"].as_array().unwrap().iter().map(|t| t["nats"].as_f64().unwrap()).sum();
    let hold = found["verdicts"][0]["hold"].as_bool().unwrap();
    assert_eq!(sum >= found["terms"][0]["threshold_nats"].as_f64().unwrap(), hold, "the sum is what decides: {out}");
    fs::write(place.join("times.toml"), "name = \"t\"\nseed = 1\n[text]\nbuilt_in = \"tide-station\"\n[[policy]]\nrule = \"enclosed\"\n[[policy]]\nrule = \"first-contact\"\n").unwrap();
    let (code, _, err) = agogic(place, &["picture", "times.toml", "--terms", "--out", "none.svg"]);
    assert!(code == 2 && err.contains("decides by a sum of terms") && !place.join("none.svg").exists(), "{err}");
}

#[test]
fn help_teaches_by_example_and_comes_as_manual_and_completions_too() {
    let folder = tempfile::tempdir().unwrap();
    let (_, help, _) = agogic(folder.path(), &["--help"]);
    let commands: Vec<&str> = help
        .split("Commands:")
        .nth(1)
        .unwrap()
        .lines()
        .skip(1)
        .take_while(|line| !line.trim().is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|name| *name != "help")
        .collect();
    assert!(commands.len() >= 15, "{commands:?}");
    for name in &commands {
        let (_, help, _) = agogic(folder.path(), &[name, "--help"]);
        assert!(help.contains("Examples:") && help.contains(&format!("agogic {name}")), "{name}:\n{help}");
    }
    let (code, manual, _) = agogic(folder.path(), &["manual"]);
    assert!(code == 0 && manual.contains(".TH agogic 1"), "{manual}");
    assert_eq!(agogic(folder.path(), &["manual", "--out", "man"]).0, 0);
    for name in &commands {
        assert!(folder.path().join(format!("man/agogic-{name}.1")).is_file(), "no page of {name}");
    }
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let (code, text, _) = agogic(folder.path(), &["completions", shell]);
        assert!(code == 0 && text.contains("AGOGIC_COMPLETE") && text.contains("agogic"), "{shell}: {text}");
    }
    // What a shell gets when it asks, as bash does it.
    let asked = |words: &[&str]| {
        let at = words.len().to_string();
        let mut command = Command::new(env!("CARGO_BIN_EXE_agogic"));
        command.env("AGOGIC_COMPLETE", "bash").env("_CLAP_COMPLETE_INDEX", at).env("_CLAP_IFS", "\n");
        let done = command.args(["--", "agogic"]).args(words).output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        String::from_utf8(done.stdout).unwrap()
    };
    let offered = asked(&[""]);
    assert!(commands.iter().all(|name| offered.lines().any(|line| line == *name)), "{offered}");
    assert_eq!(asked(&["fit", "--population", "t"]).trim(), "trained");
    assert_eq!(asked(&["advise", "--now", "enclosed, fl"]).trim_end_matches('\n'), "enclosed, floor ");
}
