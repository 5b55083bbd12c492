//! What a study can ask of the runner beyond rates: a floor, an early stop, rare errors, personal values.

use std::path::Path;

use agogic_lab::{ALL, ResultRow, Statistic, StudyResult, run};
use agogic_sim::Engine;
use agogic_study::Study;

const HEAD: &str = "name = \"runner\"\nseed = 11\n[text]\nbuilt_in = \"seed-library\"\n[workload]\n\
                    shortcuts_per_1000_keys = 10\n";

fn read(rest: &str) -> Study {
    Study::read(&format!("{HEAD}{rest}"), Path::new(".")).unwrap()
}

fn on(study: &Study, threads: usize) -> StudyResult {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .unwrap()
        .install(|| run(&Engine::new(study).unwrap(), &|_| ()))
}

fn find<'r>(result: &'r StudyResult, policy: &str, estimand: &str, statistic: Statistic) -> &'r ResultRow {
    let of = |row: &&ResultRow| {
        row.policy == policy && row.estimand == estimand && row.statistic == statistic && row.group == ALL
    };
    result.rows.iter().find(of).unwrap_or_else(|| panic!("no row {policy}, {estimand}, {statistic:?}"))
}

#[test]
fn a_run_stops_once_it_is_precise_enough_and_at_the_same_typist_whatever_the_threads() {
    let study = read(
        "[typists]\nnumber = 3000\nkeys_each = 600\n[floor]\ntypists = 0\n\
         [stop]\nestimand = \"false_holds\"\nrelative = 0.25\nguarantee = \"asymptotic\"\nblock = 50\nleast = 100\n\
         [[policy]]\nrule = \"first-contact\"\n",
    );
    let (one, three) = (on(&study, 1), on(&study, 3));
    assert_eq!(one.arms, three.arms);
    let n = one.arms[0].typists.len();
    assert!((100..3000).contains(&n) && n.is_multiple_of(50), "stopped after {n}");
    let row = find(&one, "first-contact", "false_holds", Statistic::PooledAnytime);
    let e = &row.estimate;
    let (value, lo, hi) = (e.value.unwrap(), e.lo.unwrap(), e.hi.unwrap());
    assert!(hi - lo <= 2.0 * 0.25 * value && e.method.contains("whenever one looks"), "{e:?}");
    // Limits that allow looking at any time are wider than those of a fixed number.
    let fixed = &find(&one, "first-contact", "false_holds", Statistic::Pooled).estimate;
    assert!(hi - lo > fixed.hi.unwrap() - fixed.lo.unwrap());
}

#[test]
fn errors_too_rare_for_the_run_are_estimated_by_importance_sampling() {
    let study = read(
        "[typists]\nnumber = 40\nkeys_each = 400\n[floor]\ntypists = 0\n\
         [rare]\nprecision = 0.3\nbudget_keys = 12000000\n\
         [[policy]]\nrule = \"dwell-cutoff\"\nvalues = { cutoff_ms = 800 }\n[[policy]]\nrule = \"dwell-cutoff\"\n",
    );
    let result = on(&study, 2);
    let row = find(&result, "dwell-cutoff 800", "false_holds", Statistic::PooledRare);
    let value = row.estimate.value.unwrap_or_else(|| panic!("{:?}", row.estimate));
    // Per 1000 taps: far below what 16 000 presses can show, and not zero.
    assert!(value > 0.0 && value < 1.0, "{:?}", row.estimate);
    assert!(row.estimate.method.contains("presses"), "{}", row.estimate.method);
    let plenty = |row: &&ResultRow| row.policy == "dwell-cutoff 200" && row.statistic == Statistic::PooledRare;
    assert!(!result.rows.iter().filter(plenty).any(|row| row.estimand == "false_holds"));
}

#[test]
fn every_policy_of_a_study_stands_above_the_floor() {
    let spec = |floor: &str| {
        read(&format!(
            "[typists]\nnumber = 30\nkeys_each = 3000\n[floor]\ntypists = 30\n{floor}\
             [[policy]]\nrule = \"enclosed\"\n[[policy]]\nrule = \"first-contact\"\n[[policy]]\nrule = \"evidence\"\n\
             [[policy]]\nrule = \"overlap-share\"\n[policy.personal]\nfits = \"share\"\n\
             [[policy]]\nrule = \"dwell-cutoff\"\nvalues = {{ cutoff_ms = 1 }}\n"
        ))
    };
    let study = spec("");
    let result = on(&study, 2);
    assert_eq!(on(&study, 1).rows, result.rows);
    let loss = |result: &StudyResult, policy: &str| {
        let row = find(result, policy, "role_loss", Statistic::AboveFloor);
        assert_eq!(
            (&*row.unit, row.estimate.n, row.estimate.unit.as_str()),
            ("per 1000 dual-role presses", 30, "typist")
        );
        row.estimate.clone()
    };
    for policy in &study.policies {
        let e = loss(&result, policy);
        // n = 30 typists; five errors are alpha = 3e-7 of a normal and 1e-5 of a t with 29 degrees of freedom, one-sided.
        assert!(e.value.unwrap() >= -5.0 * e.mcse.unwrap(), "{policy}: {e:?}");
    }
    // The floor is no formality: plain rules are far above it, most of all one that makes every press a hold.
    assert!(loss(&result, "enclosed").lo.unwrap() > 5.0);
    assert!(loss(&result, "dwell-cutoff 1").lo.unwrap() > 300.0);
    let curves = &result.arms[0].floor.as_ref().unwrap().curves;
    assert_eq!(curves.len(), 3);
    let fewest = |at: usize| {
        let point = curves[at].fewest_errors();
        curves[at].errors_per_1000(point.false_rate, point.missed_rate)
    };
    assert!(fewest(0) > fewest(1) && fewest(1) > fewest(2), "more time, fewer errors");
    // An observer that sees its own key loses less, so rules stand farther above it; where false holds are dear, so does a
    // rule that makes many.
    let wider = on(&spec("sight = \"own-key\"\nrehearsal_keys = 20000\n"), 2);
    let dear = on(&spec("false_hold_cost = 5\n"), 2);
    for policy in &study.policies {
        assert!(loss(&wider, policy).value > loss(&result, policy).value, "{policy}");
    }
    assert!(loss(&dear, "first-contact").value.unwrap() > 2.0 * loss(&result, "first-contact").value.unwrap());
}

#[test]
fn personal_values_serve_their_typists_better_than_one_value_for_all() {
    let study = read(
        "[typists]\nnumber = 120\nkeys_each = 2000\n[floor]\ntypists = 0\n\
         [[policy]]\nrule = \"dwell-cutoff\"\n[[policy]]\nlabel = \"own\"\nrule = \"dwell-cutoff\"\n\
         [policy.personal]\nfits = \"cutoff_ms\"\nfirst_presses = 300\n",
    );
    let result = on(&study, 2);
    let wrong = |at: usize| -> Vec<f64> {
        let roles = |row: agogic_sim::TypistRow| {
            (row.scores[at].counts.false_holds + row.scores[at].counts.missed_holds) as f64
        };
        result.arms[0].typists.iter().map(roles).collect()
    };
    let gains: Vec<f64> = wrong(0).iter().zip(wrong(1)).map(|(all, own)| all - own).collect();
    let n = gains.len() as f64;
    let mean = gains.iter().sum::<f64>() / n;
    let variance = gains.iter().map(|g| (g - mean) * (g - mean)).sum::<f64>() / (n - 1.0);
    // n = 120 typists, alpha = 1e-6 one-sided: 4.8 standard errors.
    assert!(mean > 4.8 * (variance / n).sqrt(), "mean gain {mean}, SD {}", variance.sqrt());
}

#[test]
fn a_study_of_several_texts_shows_each_and_counts_them() {
    let rest = "[typists]\nnumber = 120\nkeys_each = 400\nat_the_ends = 0\n[floor]\ntypists = 0\n[inference]\n\
                primary = \"missed_holds\"\nlimits = { false_holds = 10, tap_delay = 150 }\n\
                [[policy]]\nrule = \"dwell-cutoff\"\n[[policy]]\nrule = \"enclosed\"\n";
    let names = ["tide-station", "seed-library", "night-ferry", "bread-class", "parish-minutes", "lost-parcel"];
    let named = |texts: &[&str]| {
        let list: Vec<String> = texts.iter().map(|name| format!("\"{name}\"")).collect();
        let spec = format!("name = \"runner\"\nseed = 11\n[text]\nseveral = [{}]\n{rest}", list.join(", "));
        Study::read(&spec, Path::new(".")).unwrap()
    };
    let study = named(&names);
    let result = on(&study, 1);
    assert_eq!(on(&study, 3).rows, result.rows);
    let pooled = &find(&result, "enclosed", "missed_holds", Statistic::Pooled).estimate;
    let over = &find(&result, "enclosed", "missed_holds", Statistic::PooledOverTexts).estimate;
    assert_eq!((over.value, over.n, over.unit.as_str()), (pooled.value, 6, "text"));
    let difference = &find(&result, "enclosed", "missed_holds", Statistic::DifferenceOverTexts).estimate;
    assert_eq!(difference.value, find(&result, "enclosed", "missed_holds", Statistic::Difference).estimate.value);
    // Each typist counts in one text.
    let each = result
        .rows
        .iter()
        .filter(|row| row.group.starts_with("text ") && row.policy == "enclosed" && row.estimand == "missed_holds");
    assert_eq!(each.map(|row| row.estimate.n).sum::<u64>(), 120);
    // What the study is about is marked, and nothing else.
    for row in &result.rows {
        let primary = row.estimand == "missed_holds" && row.group == ALL;
        assert_eq!(row.role.name(), if primary { "primary" } else { "secondary" }, "{row:?}");
    }
    // True rates where the noise of sessions can be taken out, else sessions by their length.
    assert!(find(&result, "enclosed", "false_holds", Statistic::ShareWithinLimit).estimate.value.is_some());
    let session = &find(&result, "enclosed", "tap_delay", Statistic::ShareOfSessionsWithinLimit).estimate;
    assert!(session.method.ends_with("per session of 400 presses"), "{session:?}");
    let of = |statistic| find(&result, "enclosed", "missed_holds", statistic).estimate.value.unwrap();
    let shares = of(Statistic::ShareLess) + of(Statistic::ShareMore) + of(Statistic::ShareTied);
    assert!((shares - 1.0).abs() < 1e-12, "{shares}");
    // Few texts: a reason instead of limits.
    let few = on(&named(&names[..3]), 2);
    let over = &find(&few, "enclosed", "missed_holds", Statistic::PooledOverTexts).estimate;
    assert!(over.value.is_none() && over.reason.as_deref().unwrap().starts_with("3 texts are too few"), "{over:?}");
}
