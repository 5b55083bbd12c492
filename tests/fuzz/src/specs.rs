//! What must hold of a spec that was read, or refused.

use std::collections::BTreeMap;

use agogic_files::{FolderKind, Manifest, ResultFolder, input_files};
use agogic_sim::Fingerprint;
use agogic_study::{Input, Mistakes, Study};

/// Names of the files that a spec may name, in the order in which they follow it.
const NAMES: [&str; 3] = ["crew.toml", "costs.toml", "words.txt"];

/// Cuts data into a spec and, each after a NUL, the files that it may name.
pub fn held(data: &str) -> (&str, Vec<Input>) {
    let mut parts = data.split('\0');
    let spec = parts.next().unwrap_or_default();
    let file = |(name, text): (&&str, &str)| Input { named: (*name).to_owned(), text: text.to_owned() };
    (spec, NAMES.iter().zip(parts).map(file).collect())
}

/// Checks a message to the user: one line that can be shown on a terminal.
///
/// # Panics
/// It says nothing, or would do something to the terminal.
pub fn said(message: &str) {
    assert!(!message.trim().is_empty());
    assert!(!message.contains(|c: char| c.is_control()), "{message:?}");
}

/// Checks the mistakes of a spec: each says what is wrong, at a line that is there.
///
/// # Panics
/// Something does not hold.
pub fn judge_mistakes(mistakes: &Mistakes, spec: &str) {
    let told = |at: usize| &mistakes.0[..at];
    let lines = 1 + spec.bytes().filter(|&byte| byte == b'\n').count();
    assert!(!mistakes.0.is_empty());
    assert!(mistakes.0.is_sorted_by_key(|mistake| mistake.line));
    for (at, mistake) in mistakes.0.iter().enumerate() {
        // Only a few, since all pairs are many.
        assert!(at > 50 || !told(at).contains(mistake), "{mistake:?} is told twice");
        assert!(mistake.line.is_some_and(|line| (1..=lines).contains(&line)), "{mistake:?} of {lines} lines");
        assert!(!mistake.message.trim().is_empty());
        said(&mistake.to_string());
    }
}

/// Checks a study that was read: it is whole, and what is kept of it in a result folder gives the same study again.
///
/// # Panics
/// Something does not hold.
pub fn judge_study(study: &Study, spec: &str, held: &[Input]) {
    let policies = study.policies.len();
    assert_eq!(study.spec, spec);
    assert!(study.inputs.iter().all(|input| held.contains(input)));
    assert!(!study.arms.is_empty() && policies > 0 && study.typists >= 2 && study.presses() > 0);
    for (at, arm) in study.arms.iter().enumerate() {
        assert!(arm.keys > 0 && !arm.plan.steps().is_empty());
        let written = arm.population.to_draft().build();
        assert_eq!(written.as_ref(), Ok(&arm.population), "as a user would write it");
        assert!(study.arms[..at].iter().all(|other| other.label != arm.label), "two arms `{}`", arm.label);
    }
    assert_eq!(study.plans.len(), policies);
    assert!((1..policies).all(|at| !study.policies[..at].contains(&study.policies[at])));
    let inference = &study.inference;
    assert!(inference.versus.len() == policies && inference.versus.iter().all(|&at| at < policies));
    assert!(inference.limits.iter().chain(&inference.margins).all(|line| line.value > 0.0 && line.value.is_finite()));
    if let Some(stop) = &study.stop {
        assert!(!stop.policies.is_empty() && stop.policies.iter().all(|&at| at < policies));
    }
    for sweep in &study.sweeps {
        assert!(sweep.points.len() >= 2 && !sweep.axes.is_empty());
        for point in &sweep.points {
            assert!(point.len() == sweep.axes.len());
            assert!(point.iter().zip(&sweep.axes).all(|(&value, axis)| axis.param.accepts(value)));
        }
    }
    let stated = Manifest::of(FolderKind::Run, study);
    let mut folder = ResultFolder { manifest: stated.clone(), files: BTreeMap::new() };
    input_files(study).into_iter().for_each(|(name, bytes)| folder.add(name, bytes));
    let (kept, inputs) = folder.spec().expect("our own manifest has a spec");
    let again = Study::read_held(kept, &inputs).expect("it was read before");
    assert!(Manifest::of(FolderKind::Run, &again) == stated && Fingerprint::of(&again) == Fingerprint::of(study));
}
