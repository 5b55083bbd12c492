//! Sweeps against plain runs, typist by typist, and the files they leave.

use std::path::Path;

use agogic_files::{ResultFolder, RunInfo};
use agogic_lab::{run, run_sweep};
use agogic_sim::Engine;
use agogic_study::{EstimandInfo, Study, SweepDesign};

const HEAD: &str = "name = \"swept\"\nseed = 9\n[text]\nwords = \"\"\"The tide turns at Noon. Ask Ada for the LOG, \
                    and tell Finn: a jar of salt, dried kelp, and half a loaf.\"\"\"\n[workload]\n\
                    shortcuts_per_1000_keys = 40\nrepeats_per_1000_keys = 5\nbare_holds_per_1000_keys = 5\n\
                    [typists]\nnumber = 12\nkeys_each = 700\n[floor]\ntypists = 0\n";

fn read(spec: &str) -> Study {
    Study::read(spec, Path::new(".")).unwrap_or_else(|mistakes| panic!("{mistakes}\n{spec}"))
}

/// One sweep as a spec, and how each of its settings is written as a policy.
struct Case {
    rule: &'static str,
    /// Fixed values or guards.
    fixed: &'static str,
    name: &'static str,
    guard: bool,
    range: (f64, f64, usize),
    timed: bool,
}

const CASES: [Case; 6] = [
    case("dwell-cutoff", "guards = { retap_ms = 90, bare_hold_ms = 260 }", "cutoff_ms", false, (90.0, 333.3, 14), true),
    case("overlap-span", "guards = { lull_ms = 90.5, other_hand = true }", "span_ms", false, (1.0, 140.0, 9), true),
    case("overlap-share", "guards = { dwell_floor_ms = 80 }", "share", false, (0.05, 1.0, 8), false),
    case("enclosed", "", "lull_ms", true, (0.0, 300.0, 7), true),
    case("first-contact", "guards = { lull_ms = 60 }", "dwell_floor_ms", true, (0.0, 180.0, 7), true),
    case("enclosed", "guards = { lull_ms = 30 }", "bare_hold_ms", true, (100.0, 400.0, 7), true),
];

const fn case(
    rule: &'static str,
    fixed: &'static str,
    name: &'static str,
    guard: bool,
    range: (f64, f64, usize),
    timed: bool,
) -> Case {
    Case { rule, fixed, name, guard, range, timed }
}

impl Case {
    fn sweep(&self) -> String {
        let (from, to, steps) = self.range;
        format!(
            "[[sweep]]\nlabel = \"{}-{}\"\nrule = \"{}\"\n{}\nover = {{ {} = {{ from = {from}, to = {to}, steps = {steps} }} }}\n",
            self.rule, self.name, self.rule, self.fixed, self.name
        )
    }

    fn policy(&self, value: f64) -> String {
        let (key, value) = (if self.guard { "guards" } else { "values" }, format!("{} = {value}", self.name));
        let fixed = match (self.guard, self.fixed.strip_suffix(" }")) {
            (true, Some(open)) => format!("{open}, {value} }}"),
            _ => format!("{}\n{key} = {{ {value} }}", self.fixed),
        };
        format!("[[policy]]\nrule = \"{}\"\n{fixed}\n", self.rule)
    }
}

#[test]
fn a_curve_in_one_pass_equals_a_run_at_every_threshold() {
    let sweeps: String = CASES.iter().map(Case::sweep).collect();
    let study = read(&format!("{HEAD}{sweeps}[[policy]]\nrule = \"enclosed\"\n"));
    let found = run_sweep(&Engine::new(&study).unwrap(), None, &|_| ());
    for (at, case) in CASES.iter().enumerate() {
        assert_eq!(study.sweeps[at].design, SweepDesign::Curve, "{}", study.sweeps[at].label);
        let points = &found.arms[0].sweeps[at];
        assert_eq!(points.len(), case.range.2);
        let policies: String = points.iter().map(|point| case.policy(point.values[0])).collect();
        let plain = read(&format!("{HEAD}{policies}"));
        let counted = run(&Engine::new(&plain).unwrap(), &|_| ());
        let estimands: &[&str] = if case.timed {
            &["false_holds", "missed_holds", "tap_delay", "hold_delay"]
        } else {
            &["false_holds", "missed_holds"]
        };
        for name in estimands {
            let info = EstimandInfo::by_name(name).unwrap();
            let mut totals = Vec::new();
            for (place, point) in points.iter().enumerate() {
                assert_eq!(point.label, plain.policies[place]);
                let clusters = point.clusters(name).unwrap();
                let expected: Vec<(f64, f64)> =
                    counted.arms[0].typists.iter().map(|row| (info.parts)(&row.scores[place])).collect();
                let pairs = clusters.numerators().iter().zip(clusters.denominators());
                assert_eq!(pairs.map(|(y, x)| (*y, *x)).collect::<Vec<_>>(), expected, "{} {name}", point.label);
                totals.push(clusters.totals());
            }
            // A curve that stood still would pass wherever nothing happens; it must move somewhere.
            let moves = totals.windows(2).any(|pair| pair[0] != pair[1]);
            let still = case.name == "bare_hold_ms" && *name == "false_holds";
            assert!(moves || still, "{} {name} never changes: {totals:?}", points[0].label);
        }
        assert_eq!(points[0].clusters("tap_delay").is_some(), case.timed);
        assert!(points[0].clusters("wrong_keys").is_none(), "what reaches the host takes runs");
    }
}

#[test]
fn a_grid_and_a_sequence_equal_runs_of_their_settings() {
    let sweeps = "[[sweep]]\nrule = \"overlap-share\"\ndesign = \"grid\"\n\
                  over = { lull_ms = { from = 0, to = 120, steps = 3 }, share = { from = 0.5, to = 1, steps = 2 } }\n\
                  [[sweep]]\nlabel = \"quasi\"\nrule = \"overlap-share\"\ndesign = \"sobol\"\npoints = 4\n\
                  over = { share = { from = 0.5, to = 1 }, lull_ms = { from = 0, to = 120 } }\n";
    let study = read(&format!("{HEAD}{sweeps}[[policy]]\nrule = \"enclosed\"\n"));
    let found = run_sweep(&Engine::new(&study).unwrap(), None, &|_| ());
    assert_eq!(found.arms[0].sweeps.iter().map(Vec::len).collect::<Vec<_>>(), [6, 4]);
    assert_eq!(study.sweeps[0].points[1], [0.5, 60.0], "values of the rule come before guards");
    for points in &found.arms[0].sweeps {
        let policies: String = points
            .iter()
            .map(|p| {
                format!(
                    "[[policy]]\nrule = \"overlap-share\"\nvalues = {{ share = {} }}\nguards = {{ lull_ms = {} }}\n",
                    p.values[0], p.values[1]
                )
            })
            .collect();
        let counted = run(&Engine::new(&read(&format!("{HEAD}{policies}"))).unwrap(), &|_| ());
        for (place, point) in points.iter().enumerate() {
            for (info, clusters) in &point.found {
                let expected: Vec<(f64, f64)> =
                    counted.arms[0].typists.iter().map(|row| (info.parts)(&row.scores[place])).collect();
                let pairs = clusters.numerators().iter().zip(clusters.denominators());
                assert_eq!(pairs.map(|(y, x)| (*y, *x)).collect::<Vec<_>>(), expected, "{} {}", point.label, info.name);
            }
        }
    }
}

#[test]
fn files_are_the_same_whatever_the_number_of_threads() {
    let sweeps: String = CASES.iter().map(Case::sweep).collect();
    let quasi = "[[sweep]]\nlabel = \"latin\"\nrule = \"overlap-share\"\ndesign = \"latin-hypercube\"\npoints = 5\n\
                 over = { share = { from = 0.5, to = 1 }, lull_ms = { from = 0, to = 120 } }\n";
    let study = read(&format!("{HEAD}[inference]\nresamples = 200\n{sweeps}{quasi}[[policy]]\nrule = \"enclosed\"\n"));
    let folder = tempfile::tempdir().unwrap();
    let files = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let out = folder.path().join(format!("with-{threads}"));
        let info = RunInfo::here(0, 0.0, 0);
        pool.install(|| {
            let result = run_sweep(&Engine::new(&study).unwrap(), None, &|_| ());
            ResultFolder::of_sweep(&study, &result).unwrap().write(info, &out)
        })
        .unwrap();
        let mut files: Vec<(String, Vec<u8>)> = std::fs::read_dir(&out)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .map(|path| (path.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read(&path).unwrap()))
            .collect();
        files.sort();
        files
    };
    let one = files(1);
    let names: Vec<&str> = one.iter().map(|(name, _)| name.as_str()).collect();
    let expected = [
        "floor.csv",
        "front.csv",
        "front.json",
        "manifest.json",
        "register.json",
        "sweep.csv",
        "sweep.json",
        "sweep.parquet",
    ];
    assert_eq!(names, expected);
    for threads in [2, 5] {
        assert!(files(threads) == one, "{threads} threads give other bytes than one");
    }
    // Unknown is null with a reason, never zero: the delay of a curve over `share`.
    let rows = String::from_utf8(one.iter().find(|(name, _)| name == "sweep.csv").unwrap().1.clone()).unwrap();
    let unknown: Vec<&str> = rows.lines().filter(|line| line.contains("cannot be had in one pass")).collect();
    assert_eq!(unknown.len(), 8);
    assert!(unknown.iter().all(|line| line.contains("tap_delay,ms,,,,")), "{unknown:?}");
}

#[test]
fn a_front_knows_what_is_dominated_and_by_what() {
    // The first never makes a hold and waits for the release; the second hardly makes one and waits for nothing.
    let policies = "[[policy]]\nlabel = \"asleep\"\nrule = \"dwell-cutoff\"\nvalues = { cutoff_ms = 5000 }\n\
                    [[policy]]\nlabel = \"awake\"\nrule = \"enclosed\"\nguards = { lull_ms = 1500 }\n\
                    [[policy]]\nrule = \"enclosed\"\n[[policy]]\nlabel = \"twin\"\nrule = \"enclosed\"\n";
    let head = HEAD.replace("number = 12", "number = 240");
    let study = read(&format!("{head}{policies}"));
    let front = &run_sweep(&Engine::new(&study).unwrap(), None, &|_| ()).fronts[0];
    assert_eq!((front.points.len(), front.pairs), (4, 12));
    for point in &front.points {
        let on = point.share_on_front;
        assert!((0.0..=1.0).contains(&on) && (!point.on_front || on > 0.0), "{point:?}");
        assert!(!(point.on_front && point.dominated_by.is_some()), "{point:?}");
    }
    // Neither makes a false hold with any of 240 typists, which counts as no worse; the other goals are clear.
    let by = front.points[0].dominated_by.as_ref().expect("it is dominated");
    assert!(by.sure && by.p_holm < 1e-6 && by.setting == "awake" && !front.points[0].on_front, "{by:?}");
    // How much they could differ with others is bounded by some 12 in 1000 taps: where 20 count as no worse, the claim is sure.
    let margin = read(&format!("{}[inference]\nmargins = {{ false_holds = 20 }}\n{policies}", head));
    let lenient = &run_sweep(&Engine::new(&margin).unwrap(), None, &|_| ()).fronts[0];
    let by = lenient.points[0].dominated_by.as_ref().expect("it is dominated");
    assert!(by.sure && by.p_holm < 1e-6 && by.setting == "awake" && !front.points[0].on_front, "{by:?}");
    assert!(by.more[2].hi.is_some_and(|hi| hi < -50.0), "tens of ms sooner: {by:?}");
    // Twins do not dominate each other.
    assert!(front.points[2].on_front == front.points[3].on_front);
    let volume = &front.hypervolume;
    assert!(volume.value.is_some_and(|v| v > 0.0 && v < 1.0) && volume.interval().is_some(), "{volume:?}");
}

#[test]
fn mistakes_in_sweeps_come_all_at_once() {
    let spec = format!(
        "{HEAD}[front]\nfalse_hold = 3\n\
         [[policy]]\nrule = \"enclosed\"\n\
         [[sweep]]\nrule = \"dwell-cutoff\"\nover = {{ cutof_ms = {{ from = 1, to = 2, steps = 2 }} }}\n\
         [[sweep]]\nrule = \"dwell-cutoff\"\nover = {{ cutoff_ms = {{ from = 300, to = 200, steps = 1 }} }}\n\
         [[sweep]]\nrule = \"dwell-cutoff\"\n\
         [[sweep]]\nrule = \"dwell-cutoff\"\nvalues = {{ cutoff_ms = 3 }}\ndesign = \"spiral\"\n\
         over = {{ cutoff_ms = {{ from = 1, to = 200, steps = 3, stride = 3 }} }}\n\
         [[sweep]]\nlabel = \"many\"\nrule = \"overlap-share\"\n\
         over = {{ share = {{ from = 0.5, to = 1, steps = 100 }}, lull_ms = {{ from = 0, to = 100, steps = 100 }} }}\n\
         [[sweep]]\nlabel = \"no points\"\ndesign = \"sobol\"\nrule = \"overlap-share\"\nover = {{ share = {{ from = 0.5, to = 1 }} }}\n\
         [[sweep]]\nlabel = \"no curve\"\ndesign = \"curve\"\nrule = \"overlap-share\"\n\
         over = {{ share = {{ from = 0.5, to = 1, steps = 3 }}, lull_ms = {{ from = 0, to = 100, steps = 3 }} }}\n"
    );
    let text = Study::read(&spec, Path::new(".")).unwrap_err().to_string();
    for part in [
        "`front.false_hold`: is not a key here; did you mean `false_holds`?",
        "`sweep[1].over.cutof_ms`: is no number of dwell-cutoff; did you mean `cutoff_ms`?",
        "`sweep[2].over.cutoff_ms.to`: must lie above `from` (300)",
        "`sweep[2].over.cutoff_ms.steps`: must lie between 2 and 1000",
        "`sweep[3].over`: is missing or empty",
        "`sweep[4].design`: no design `spiral`",
        "`sweep[4].over.cutoff_ms.stride`: is not a key here",
        "`sweep[4].over.cutoff_ms`: is swept over, so take it out",
        "has 10000 points; it may have 2 to 1000",
        "needs `points`",
        "`sweep[7].design`: is for one value, not 2",
    ] {
        assert!(text.contains(part), "{part} is not in:\n{text}");
    }
}
