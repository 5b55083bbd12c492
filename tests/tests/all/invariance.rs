//! Results are the same bytes whatever the threads and whatever the order of the policies.

use std::collections::BTreeMap;
use std::path::Path;

use agogic_files::{ResultFolder, RunInfo};
use agogic_lab::{Advice, StudyResult, advise, run};
use agogic_sim::Engine;
use agogic_study::Study;

const HEAD: &str = "name = \"invariance\"\nseed = 7\n[text]\nbuilt_in = \"seed-library\"\n[workload]\n\
                    shortcuts_per_1000_keys = 10\n[typists]\nnumber = 60\nkeys_each = 900\n[inference]\n\
                    reference = \"enclosed\"\n";
const POLICIES: [&str; 4] = [
    "[[policy]]\nrule = \"enclosed\"\n",
    "[[policy]]\nrule = \"dwell-cutoff\"\n",
    "[[policy]]\nrule = \"overlap-share\"\nguards = { lull_ms = 100, other_hand = true }\n",
    "[[policy]]\nrule = \"first-contact\"\nguards = { dwell_floor_ms = 80 }\n",
];

fn study(order: [usize; 4]) -> Study {
    let policies: String = order.map(|i| POLICIES[i]).concat();
    Study::read(&format!("{HEAD}{policies}"), Path::new(".")).unwrap()
}

fn run_on(study: &Study, threads: usize) -> StudyResult {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .unwrap()
        .install(|| run(&Engine::new(study).unwrap(), &|_| ()))
}

fn advice(study: &Study, result: &StudyResult) -> Vec<Advice> {
    result.arms.iter().filter_map(|arm| advise(study, arm)).collect()
}

fn bytes(study: &Study, threads: usize) -> BTreeMap<String, Vec<u8>> {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let result = run_on(study, threads);
    let info = RunInfo::here(0, 0.0, 0);
    rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap().install(|| {
        ResultFolder::of_run(study, &result).unwrap().write(info, &out).unwrap();
    });
    std::fs::read_dir(&out)
        .unwrap()
        .map(|entry| entry.unwrap())
        .map(|entry| (entry.file_name().into_string().unwrap(), std::fs::read(entry.path()).unwrap()))
        .collect()
}

#[test]
fn one_thread_and_several_write_the_same_bytes() {
    let study = study([0, 1, 2, 3]);
    let one = bytes(&study, 1);
    assert!(one.len() >= 6, "{:?}", one.keys());
    for threads in [2, 3, 8] {
        assert!(one == bytes(&study, threads), "{threads} threads differ");
    }
}

#[test]
fn the_order_of_policies_changes_no_number() {
    let (a, b) = (study([0, 1, 2, 3]), study([3, 1, 0, 2]));
    let (ra, rb) = (run_on(&a, 2), run_on(&b, 1));
    let sorted = |result: &StudyResult| {
        let mut rows: Vec<String> = result.rows.iter().map(|row| serde_json::to_string(row).unwrap()).collect();
        rows.sort();
        rows
    };
    assert_eq!(sorted(&ra), sorted(&rb));
    assert_eq!(advice(&a, &ra)[0].sentence, advice(&b, &rb)[0].sentence);
}

#[test]
fn another_seed_gives_other_numbers() {
    let a = study([0, 1, 2, 3]);
    let mut b = study([0, 1, 2, 3]);
    b.seed += 1;
    assert_ne!(run_on(&a, 2).arms, run_on(&b, 2).arms);
}

#[test]
fn more_typists_leave_the_first_ones_as_they_were() {
    let a = study([0, 1, 2, 3]);
    let mut b = study([0, 1, 2, 3]);
    b.typists = 75;
    assert!(run_on(&a, 2).arms[0].typists.iter().eq(run_on(&b, 2).arms[0].typists.iter().take(60)));
}
