//! What a sweep of 1000 thresholds costs, in runs: `cargo run --release -p agogic-lab --example sweep_cost`.
//!
//! Both do all of their work, estimates with intervals included, on the same typists. The run has one policy; the
//! sweep has the same policy and 1000 thresholds of the same rule. The floor of the ideal observer, which a sweep
//! does not take, is left out of the run. Each is timed in turn, and the median of the ratios is printed.

use std::path::Path;
use std::time::Instant;

use agogic_lab::{run, run_sweep};
use agogic_sim::Engine;
use agogic_study::Study;

/// Typists, and repetitions of the timing.
const TYPISTS: u64 = 400;
const TIMES: usize = 7;

const CASES: [(&str, &str, &str); 4] = [
    ("dwell-cutoff", "", "cutoff_ms = { from = 100, to = 599.5, steps = 1000 }"),
    ("overlap-span", "guards = { lull_ms = 120 }", "span_ms = { from = 0.3, to = 300, steps = 1000 }"),
    ("overlap-share", "", "share = { from = 0.05, to = 1, steps = 1000 }"),
    ("enclosed", "", "lull_ms = { from = 0, to = 499.5, steps = 1000 }"),
];

fn study(rest: &str) -> Study {
    let spec = format!(
        "name = \"cost\"\nseed = 1\n[text]\nbuilt_in = \"tide-station\"\n[workload]\nshortcuts_per_1000_keys = 8\n\
         [floor]\ntypists = 0\n[typists]\nnumber = {TYPISTS}\n{rest}"
    );
    Study::read(&spec, Path::new(".")).unwrap_or_else(|mistakes| panic!("{mistakes}"))
}

fn seconds(job: impl FnOnce()) -> f64 {
    let clock = Instant::now();
    job();
    clock.elapsed().as_secs_f64()
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn main() {
    println!("{TYPISTS} typists, {} threads, median of {TIMES}.\n", rayon::current_num_threads());
    println!("| rule | threshold | one run, s | 1000 thresholds, s | ratio (smallest to largest) |");
    println!("|---|---|--:|--:|--:|");
    for (rule, guards, over) in CASES {
        let policy = format!("[[policy]]\nrule = \"{rule}\"\n{guards}\n");
        let plain = study(&policy);
        let swept = study(&format!("{policy}[[sweep]]\nrule = \"{rule}\"\n{guards}\nover = {{ {over} }}\n"));
        assert_eq!(swept.sweeps[0].points.len(), 1000);
        let (plain, swept) = (Engine::new(&plain), Engine::new(&swept));
        let (plain, swept) = (plain.expect("nothing learns"), swept.expect("nothing learns"));
        let (mut runs, mut sweeps, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
        for _ in 0..TIMES {
            runs.push(seconds(|| drop(run(&plain, &|_| ()))));
            sweeps.push(seconds(|| drop(run_sweep(&swept, None, &|_| ()))));
            ratios.push(sweeps[sweeps.len() - 1] / runs[runs.len() - 1]);
        }
        let ratio = median(&mut ratios);
        let name = over.split(' ').next().unwrap_or_default();
        println!(
            "| {rule} | {name} | {:.2} | {:.2} | {ratio:.2} ({:.2} to {:.2}) |",
            median(&mut runs),
            median(&mut sweeps),
            ratios[0],
            ratios[TIMES - 1]
        );
    }
}
