//! Sensitivity analyses against plain runs, and against what is known of a rule beforehand.

use std::path::Path;

use agogic_files::{ResultFolder, RunInfo};
use agogic_lab::{IndexRow, OUTCOMES, run, sensitivity};
use agogic_sim::Engine;
use agogic_study::{EstimandInfo, Study};

const HEAD: &str = "name = \"shares\"\nseed = 4\n[text]\nwords = \"\"\"The tide turns at Noon. Ask Ada for the LOG, \
                    and tell Finn: a jar of salt, dried kelp, and half a loaf.\"\"\"\n[workload]\n\
                    shortcuts_per_1000_keys = 40\n[floor]\ntypists = 0\n[inference]\nresamples = 400\n";

const ASKED: &str = "[[policy]]\nrule = \"enclosed\"\n[sensitivity]\nrule = \"dwell-cutoff\"\nguards = { lull_ms = 40 }\n\
                     rows = 32\ntypists = 6\nover = { cutoff_ms = { from = 120, to = 260 } }\n\
                     traits = { release_ms = { from = 50, to = 120 }, dwell_ms = { from = 90, to = 130 } }\n";

const PEOPLE: &str = "[typists]\nkeys_each = 400\nnumber = 6\npopulation = ";

fn read(spec: &str) -> Study {
    Study::read(spec, Path::new(".")).unwrap_or_else(|mistakes| panic!("{mistakes}\n{spec}"))
}

#[test]
fn a_point_of_the_design_is_a_run_with_its_inputs() {
    let study = read(&format!("{HEAD}{PEOPLE}\"volunteers\"\n{ASKED}"));
    let found = sensitivity(&Engine::new(&study).unwrap(), None, &|_| ()).unwrap();
    assert_eq!(found.points.len(), 32 * 5);
    assert_eq!(
        study.sensitivity.as_ref().unwrap().names().collect::<Vec<_>>(),
        ["cutoff_ms", "dwell_ms", "release_ms"]
    );
    // In each row: A, B, and A with each input of B.
    for at in [0, 1, 2, 3, 4, 93, 159] {
        let point = &found.points[at];
        let [cutoff, dwell, release] = point.inputs[..] else { panic!("three inputs") };
        let plain = read(&format!(
            "{HEAD}{PEOPLE}\"moved\"\n[[population]]\nname = \"moved\"\nbase = \"volunteers\"\n\
             [population.traits.dwell_ms]\nmedian = {dwell}\n[population.traits.release_ms]\nmedian = {release}\n\
             [[policy]]\nrule = \"dwell-cutoff\"\nvalues = {{ cutoff_ms = {cutoff} }}\nguards = {{ lull_ms = 40 }}\n"
        ));
        let result = run(&Engine::new(&plain).unwrap(), &|_| ());
        for (outcome, seen) in OUTCOMES.iter().zip(point.outcomes) {
            let info = EstimandInfo::by_name(outcome).unwrap();
            let parts = result.arms[0].typists.iter().map(|row| (info.parts)(&row.scores[0]));
            let (y, x) = parts.fold((0.0, 0.0), |sum, part| (sum.0 + part.0, sum.1 + part.1));
            assert_eq!(seen, Some(y / x * info.scale), "point {at}: {outcome}");
        }
    }
}

#[test]
fn what_a_rule_looks_at_counts_and_what_it_does_not_see_does_not() {
    let study = read(&format!("{HEAD}{PEOPLE}\"volunteers\"\n{}", ASKED.replace("rows = 32", "rows = 128")));
    let found = sensitivity(&Engine::new(&study).unwrap(), None, &|_| ()).unwrap();
    let index = |outcome: &str, input: &str, index: &str| -> &IndexRow {
        found.indices.iter().find(|row| (&*row.outcome, &*row.input, &*row.index) == (outcome, input, index)).unwrap()
    };
    assert_eq!(found.indices.len(), OUTCOMES.len() * 3 * 2);
    for outcome in ["false_holds", "missed_holds", "tap_delay"] {
        for row in ["first", "total"].map(|kind| index(outcome, "cutoff_ms", kind)) {
            assert!(row.estimate.n == 128 && row.estimate.interval().is_some() && row.of == "policy", "{row:?}");
        }
    }
    // False holds of a cutoff come of dwell against cutoff; how hold gestures end has no part in them.
    assert!(index("false_holds", "cutoff_ms", "total").estimate.lo.unwrap() > 0.2);
    assert!(index("false_holds", "dwell_ms", "total").estimate.lo.unwrap() > 0.02);
    assert!(index("false_holds", "release_ms", "total").estimate.hi.unwrap() < 0.02);
}

#[test]
fn the_folder_is_the_same_whatever_the_number_of_threads() {
    let study = read(&format!("{HEAD}{PEOPLE}\"volunteers\"\n{}", ASKED.replace("rows = 32", "rows = 8")));
    let folder = tempfile::tempdir().unwrap();
    let files = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let out = folder.path().join(format!("with-{threads}"));
        let info = RunInfo::here(0, 0.0, 0);
        pool.install(|| {
            let result = sensitivity(&Engine::new(&study).unwrap(), None, &|_| ()).unwrap();
            ResultFolder::of_sensitivity(&study, &result).unwrap().write(info, &out)
        })
        .unwrap();
        ["indices.csv", "indices.json", "points.csv", "register.json", "manifest.json"]
            .map(|name| std::fs::read(out.join(name)).unwrap())
    };
    let one = files(1);
    assert!(files(3) == one);
    assert_eq!(String::from_utf8(one[2].clone()).unwrap().lines().count(), 1 + 8 * 5);
}

#[test]
fn a_study_that_does_not_ask_has_none_and_mistakes_come_all_at_once() {
    assert!(
        sensitivity(&Engine::new(&read(&format!("{HEAD}[[policy]]\nrule = \"enclosed\"\n"))).unwrap(), None, &|_| ())
            .is_none()
    );
    let spec = format!(
        "{HEAD}[[policy]]\nrule = \"enclosed\"\n[sensitivity]\nrule = \"dwell-cutoff\"\nrows = 100\ntypists = 1\n\
         over = {{ cutoff_ms = {{ from = 0, to = 260, steps = 3 }} }}\n\
         traits = {{ dwel_ms = {{ from = 1, to = 2 }}, slip_share = {{ from = 0.2, to = 1 }}, lead_ms = {{ to = 80 }} }}\n"
    );
    let text = Study::read(&spec, Path::new(".")).unwrap_err().to_string();
    for part in [
        "`sensitivity.rows`: must be a power of two",
        "`sensitivity.typists`: must be between 2 and 100000",
        "`sensitivity.over.cutoff_ms.from`: must lie between",
        "`sensitivity.over.cutoff_ms.steps`: is not a key here",
        "`sensitivity.traits.dwel_ms`: is no trait; did you mean `dwell_ms`?",
        "`sensitivity.traits.slip_share.to`: must be between zero and one",
        "`sensitivity.traits.lead_ms.from`: is missing",
    ] {
        assert!(text.contains(part), "{part} is not in:\n{text}");
    }
    let none = format!("{HEAD}[[policy]]\nrule = \"enclosed\"\n[sensitivity]\nrule = \"enclosed\"\n");
    let text = Study::read(&none, Path::new(".")).unwrap_err().to_string();
    assert!(text.contains("has 0 inputs"), "{text}");
}
