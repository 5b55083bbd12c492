//! From a TOML text to a [`Study`], or to every mistake in it.

use std::path::Path;
use std::sync::Arc;

use agogic_keys::{Assignment, Board, Code, Modifier, Rates, Shortcut, Span, TextPlan, Unsupported, Workload};
use agogic_policy::{EvidenceTables, GUARDS, Guards, RULES, RuleEntry, Setting, rule};
use agogic_stats::Level;
use agogic_typist::Population;
use toml::de::DeTable;

use crate::reader::{Found, Log, Mistakes, Section, nearest};
use crate::study::{Labelled, Study};
use crate::training;

/// The spec of the study that runs when no spec is named.
pub const MAIN_STUDY: &str = include_str!("../../../experiments/main-study.toml");

/// Names of the texts that come with the program.
pub const BUILT_IN_TEXTS: [&str; 2] = ["tide-station", "seed-library"];

/// A text that comes with the program.
pub fn built_in_text(name: &str) -> Option<&'static str> {
    match name {
        "tide-station" => Some(include_str!("../../../data-synthetic/texts/tide-station.txt")),
        "seed-library" => Some(include_str!("../../../data-synthetic/texts/seed-library.txt")),
        _ => None,
    }
}

/// Largest text accepted, in bytes. More would only be repeated typing.
const LARGEST_TEXT: u64 = 16 * 1024 * 1024;

impl Study {
    /// Reads and validates a spec. Relative paths in it start from `folder`.
    ///
    /// # Errors
    /// Every mistake of the spec at once, with line and key.
    pub fn read(spec: &str, folder: &Path) -> Result<Self, Mistakes> {
        let log = Log::new(spec);
        let (table, faults) = DeTable::parse_recoverable(spec);
        for fault in &faults {
            let line = fault.span().map_or(1, |span| log.line_of(span.start));
            log.add(line, "", format!("this is not TOML: {}", fault.message()));
        }
        if !faults.is_empty() {
            return Err(log.finish().expect_err("faults were logged"));
        }
        let root = Section::root(&table, &log);
        let study = read_root(&root, spec, folder);
        root.finish();
        log.finish()?;
        Ok(study.expect("a spec without mistakes gives a study"))
    }
}

/// `None` only where a mistake was logged.
fn read_root(root: &Section<'_, '_>, spec: &str, folder: &Path) -> Option<Study> {
    let name = root.text("name");
    match &name {
        None => root.missing("name", "is missing; give the study a name of letters, digits and hyphens"),
        Some(name) if !is_name(&name.value) => {
            root.log().at(name, "must be 1-64 letters, digits and hyphens: it names the result folder");
        }
        Some(_) => {}
    }
    let question = root.text("question").map(|found| found.value).unwrap_or_default();
    let seed = root.whole("seed");
    if seed.is_none() {
        root.missing("seed", "is missing or no whole number; results repeat only from a stated seed");
    }
    let (board, assignment) = read_keyboard(root.section("keyboard"));
    let (text_from, plan) = match root.section("text") {
        Some(section) => read_text(section, folder, &board, &assignment),
        None => {
            root.missing("text", "is missing; name a text: [text] built_in = \"tide-station\", or file, or words");
            None
        }
    }
    .unzip();
    let (rates, workload) = read_workload(root.section("workload"), &board, &assignment);
    let (population, typists, keys) = read_typists(root.section("typists"));
    let (level, reference) = read_inference(root.section("inference"));
    let drafts = read_policies(root);
    let mut learned = false;
    let policies = build_policies(root.log(), drafts, || {
        let (seed, population, plan) = (seed.as_ref()?.value, population.as_ref()?, plan.as_ref()?);
        learned = true;
        training::train(seed, population, &board, &assignment, plan, &workload)
            .map_err(|refused| root.missing("policy", format!("failed to train a rule: {refused}")))
            .ok()
    });
    let reference_at = match &reference {
        None => Some(0),
        Some(found) => {
            let at = policies.iter().position(|p| p.label == found.value);
            if at.is_none() && !policies.is_empty() {
                root.log().at(found, format!("no policy has the label `{}`", found.value));
            }
            at
        }
    };
    let plan = plan?;
    let mut notes = Vec::new();
    if plan.replaced() > 0 {
        notes.push(format!("{} characters of the text were typed in a plainer form", plan.replaced()));
    }
    if plan.skipped() > 0 {
        notes.push(format!("{} characters of the text have no key and were left out", plan.skipped()));
    }
    if learned {
        let n = training::TYPISTS;
        notes.push(format!(
            "rules that learn were trained on {n} other typists of the same population, text and workload"
        ));
    }
    if rates.bare_holds == 0.0 {
        notes.push("holds without a target key, as for a mouse click, are not part of this workload".into());
    }
    let once = plan.steps().iter().map(|step| 1 + usize::from(step.holder.is_some())).sum();
    Some(Study {
        name: name?.value,
        question,
        seed: seed?.value,
        text_from: text_from?,
        plan,
        board,
        assignment,
        rates,
        workload,
        population: population?,
        typists: typists?,
        keys: keys.unwrap_or(once),
        level: level?,
        reference: reference_at?,
        policies,
        spec: spec.to_owned(),
        notes,
    })
}

fn is_name(name: &str) -> bool {
    (1..=64).contains(&name.len())
        && name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
        && !name.starts_with('-')
}

/// The default order of modifiers from little to index finger. Shift, by far the most used, goes to the
/// index finger; it is an assumption that studies of assignments vary.
const DEFAULT_ORDER: [Modifier; 4] = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];

fn read_keyboard(section: Option<Section<'_, '_>>) -> (Board, Assignment) {
    let mut board = Board::row_staggered();
    let Some(section) = section else {
        let assignment = Assignment::resting(&board, DEFAULT_ORDER);
        return (board, assignment);
    };
    let log = section.log();
    if let Some(name) = section.text("board") {
        match Board::by_name(&name.value) {
            Some(found) => board = found,
            None => log.at(&name, format!("no board `{}`; boards: {}", name.value, Board::NAMES.join(", "))),
        }
    }
    let mut assignment = match section.texts("resting") {
        None => Assignment::resting(&board, DEFAULT_ORDER),
        Some(names) if names.value.is_empty() => Assignment::none(),
        Some(names) => {
            let order: Result<Vec<Modifier>, _> = names.value.iter().map(|name| name.parse()).collect();
            match order.map(<[Modifier; 4]>::try_from) {
                Ok(Ok(order)) => Assignment::resting(&board, order),
                Ok(Err(_)) => {
                    log.at(&names, "must name four modifiers, from the little to the index finger, or none ([])");
                    Assignment::none()
                }
                Err(refused) => {
                    log.at(&names, refused.to_string());
                    Assignment::none()
                }
            }
        }
    };
    for entry in section.named_texts("keys") {
        let (code, modifier) = &entry.value;
        let done = code
            .parse::<Code>()
            .map_err(|refused| refused.to_string())
            .and_then(|code| Ok((code, modifier.parse::<Modifier>().map_err(|refused| refused.to_string())?)))
            .and_then(|(code, modifier)| {
                assignment.assign(&board, code, modifier).map_err(|refused| refused.to_string())
            });
        if let Err(refused) = done {
            log.at(&entry, refused);
        }
    }
    section.finish();
    (board, assignment)
}

fn read_text(
    section: Section<'_, '_>,
    folder: &Path,
    board: &Board,
    assignment: &Assignment,
) -> Option<(String, TextPlan)> {
    let log = section.log();
    let unsupported = match section.text("unsupported") {
        None => Unsupported::Refuse,
        Some(found) => match found.value.as_str() {
            "refuse" => Unsupported::Refuse,
            "skip" => Unsupported::Skip,
            _ => {
                log.at(&found, "must be \"refuse\" or \"skip\"");
                Unsupported::Refuse
            }
        },
    };
    let (built_in, file, words) = (section.text("built_in"), section.text("file"), section.text("words"));
    let given = [&built_in, &file, &words].into_iter().flatten().count();
    if given != 1 {
        section.missing("", "must name one text: `built_in`, `file` or `words`, and only one of them");
        section.finish();
        return None;
    }
    let at;
    let (from, text) = if let Some(found) = built_in {
        let text = built_in_text(&found.value).map(str::to_owned);
        if text.is_none() {
            log.at(&found, format!("no text `{}`; texts: {}", found.value, BUILT_IN_TEXTS.join(", ")));
        }
        at = Found { value: (), line: found.line, key: found.key };
        (format!("built-in text {}", found.value), text)
    } else if let Some(found) = file {
        let text = read_file(&folder.join(&found.value));
        at = Found { value: (), line: found.line, key: found.key };
        let text = text.map_err(|refused| log.at(&at, refused)).ok();
        (format!("file {}", found.value), text)
    } else {
        let found = words?;
        at = Found { value: (), line: found.line, key: found.key };
        ("words in the spec".to_owned(), Some(found.value))
    };
    section.finish();
    match TextPlan::new(&text?, board, assignment, unsupported) {
        Ok(plan) => Some((from, plan)),
        Err(refused) => {
            log.at(&at, format!("failed to read the text: {refused}"));
            None
        }
    }
}

/// Reads a text file, or says in one sentence why not.
fn read_file(path: &Path) -> Result<String, String> {
    let shown = path.display();
    let meta = std::fs::metadata(path).map_err(|e| format!("failed to open the text file {shown}: {e}"))?;
    if !meta.is_file() {
        return Err(format!("{shown} is not a file"));
    }
    if meta.len() > LARGEST_TEXT {
        return Err(format!(
            "the text file {shown} has {} MB; the most is {} MB, since typists repeat a text anyway",
            meta.len() / 1_048_576,
            LARGEST_TEXT / 1_048_576
        ));
    }
    let bytes = std::fs::read(path).map_err(|e| format!("failed to read the text file {shown}: {e}"))?;
    String::from_utf8(bytes).map_err(|e| {
        let before = &e.as_bytes()[..e.utf8_error().valid_up_to()];
        let line = 1 + before.iter().filter(|&&b| b == b'\n').count();
        format!("the text file {shown} is not UTF-8 in its line {line}; save it as UTF-8")
    })
}

fn read_workload(section: Option<Section<'_, '_>>, board: &Board, assignment: &Assignment) -> (Rates, Workload) {
    let Some(section) = section else { return (Rates::default(), Workload::none()) };
    let rate = |key: &'static str| section.number(key).map_or(0.0, |found| found.value);
    let rates = Rates {
        shortcuts: rate("shortcuts_per_1000_keys"),
        bare_holds: rate("bare_holds_per_1000_keys"),
        repeats: rate("repeats_per_1000_keys"),
    };
    let listed = section.sections("shortcut");
    let own = !listed.is_empty();
    let mut shortcuts: Vec<Shortcut> = listed.into_iter().filter_map(read_shortcut).collect();
    if !own {
        shortcuts = Workload::example_shortcuts();
    }
    let workload = Workload::new(board, assignment, rates, &shortcuts).unwrap_or_else(|refused| {
        section.missing("", refused.to_string());
        Workload::none()
    });
    section.finish();
    (rates, workload)
}

fn read_shortcut(section: Section<'_, '_>) -> Option<Shortcut> {
    let log = section.log();
    let role = |found: Found<String>| {
        found.value.parse::<Modifier>().map_err(|refused| log.at(&found, refused.to_string())).ok()
    };
    let (modifier, target) = (section.text("modifier"), section.text("target"));
    if modifier.is_none() || target.is_none() {
        section.missing("", "needs a `modifier` and a `target`, such as modifier = \"Control\", target = \"KeyC\"");
    }
    let modifier = modifier.and_then(role);
    let also = section.text("also").map(role);
    let target = target
        .and_then(|found| found.value.parse::<Code>().map_err(|refused| log.at(&found, refused.to_string())).ok());
    let weight = section.number("weight").map_or(1.0, |found| found.value);
    section.finish();
    // An `also` that was refused is a mistake already; the shortcut without it would be another one.
    let also = match also {
        None => None,
        Some(role) => Some(role?),
    };
    Some(Shortcut { modifier: modifier?, also, target: target?, weight })
}

/// Bounds that keep a study finishable; more belongs into shards.
const MOST_TYPISTS: u64 = 10_000_000;
const MOST_KEYS: u64 = 100_000_000;

fn read_typists(section: Option<Section<'_, '_>>) -> (Option<Population>, Option<u64>, Option<usize>) {
    let Some(section) = section else { return (Some(Population::volunteers()), Some(1000), None) };
    let log = section.log();
    let population = match section.text("population") {
        None => Some(Population::volunteers()),
        Some(found) => {
            let population = Population::by_name(&found.value);
            if population.is_none() {
                let names = Population::NAMES.join(", ");
                log.at(&found, format!("no population `{}`; populations: {names}", found.value));
            }
            population
        }
    };
    let bounded = |found: Option<Found<u64>>, default: Option<u64>, lo: u64, hi: u64| match found {
        None => default,
        Some(found) if (lo..=hi).contains(&found.value) => Some(found.value),
        Some(found) => {
            log.at(&found, format!("must lie between {lo} and {hi}, not {}", found.value));
            None
        }
    };
    let typists = bounded(section.whole("number"), Some(1000), 2, MOST_TYPISTS);
    let keys = bounded(section.whole("keys_each"), None, 1, MOST_KEYS).map(|keys| keys as usize);
    section.finish();
    (population, typists, keys)
}

fn read_inference(section: Option<Section<'_, '_>>) -> (Option<Level>, Option<Found<String>>) {
    let Some(section) = section else { return (Some(Level::P95), None) };
    let level = match section.number("level") {
        None => Some(Level::P95),
        Some(found) => {
            let level = Level::new(found.value);
            if level.is_err() {
                section.log().at(&found, format!("must lie between 0 and 1, such as 0.95, not {}", found.value));
            }
            level.ok()
        }
    };
    let reference = section.text("reference");
    section.finish();
    (level, reference)
}

/// A policy as it stands in the spec: checked, but not built, since some rules have to be trained first.
struct Draft {
    label: Option<Found<String>>,
    line: usize,
    entry: &'static RuleEntry,
    values: Vec<(String, f64)>,
    guards: Guards,
}

fn read_policies(root: &Section<'_, '_>) -> Vec<Draft> {
    let sections = root.sections("policy");
    if sections.is_empty() {
        root.missing("policy", "is missing; add at least one [[policy]] with a rule (see `agogic policies`)");
    }
    sections.into_iter().filter_map(read_policy).collect()
}

fn read_policy(section: Section<'_, '_>) -> Option<Draft> {
    let log = section.log();
    let (label, name) = (section.text("label"), section.text("rule"));
    let values = section.numbers("values");
    let guards = section.section("guards").map_or(Some(Guards::default()), read_guards);
    let line = section.line();
    if name.is_none() {
        section.missing("rule", "is missing; `agogic policies` lists the rules");
    }
    section.finish();
    let name = name?;
    let Some(entry) = rule(&name.value) else {
        let names: Vec<&str> = RULES.iter().map(|entry| entry.name).collect();
        let hint = nearest(&name.value, &names).map_or(String::new(), |near| format!("; did you mean `{near}`?"));
        log.at(&name, format!("no rule `{}`{hint} (rules: {})", name.value, names.join(", ")));
        return None;
    };
    let mut sound = true;
    for found in &values {
        // One at a time, so that each mistake gets its own line.
        if let Err(refused) = entry.values(&[(found.value.0.as_str(), found.value.1)]) {
            log.at(found, refused.to_string());
            sound = false;
        }
    }
    let (guards, values) = (guards?, values.into_iter().map(|found| found.value).collect());
    sound.then_some(Draft { label, line, entry, values, guards })
}

/// Builds the policies. `train` is called at most once, and only if a rule has to learn; where it gives
/// nothing, such rules are left out, since the mistake behind that is logged already.
fn build_policies(log: &Log<'_>, drafts: Vec<Draft>, train: impl FnOnce() -> Option<EvidenceTables>) -> Vec<Labelled> {
    let tables = if drafts.iter().any(|draft| draft.entry.needs_training) { train().map(Arc::new) } else { None };
    let mut policies: Vec<Labelled> = Vec::new();
    for draft in drafts {
        let given: Vec<(&str, f64)> = draft.values.iter().map(|(name, value)| (name.as_str(), *value)).collect();
        let built = match (&tables, draft.entry.needs_training) {
            (Some(tables), true) => Setting::trained(draft.entry.name, &given, tables),
            (None, true) => continue,
            (_, false) => Setting::rule(draft.entry.name, &given),
        };
        let setting = built.expect("each value was accepted").with_guards(draft.guards);
        let place =
            draft.label.clone().unwrap_or(Found { value: String::new(), line: draft.line, key: "policy".into() });
        let label = draft.label.map_or_else(|| setting.label(), |found| found.value);
        if label.trim().is_empty() || label.len() > 80 {
            log.at(&place, "must be a label of 1-80 characters");
        } else if policies.iter().any(|p| p.label == label) {
            log.at(&place, format!("two policies have the label `{label}`; give one another `label`"));
        } else {
            policies.push(Labelled { label, setting });
        }
    }
    policies
}

fn read_guards(section: Section<'_, '_>) -> Option<Guards> {
    let log = section.log();
    let mut sound = true;
    let mut span = |name: &'static str| -> Option<Span> {
        let found = section.number(name)?;
        let param = GUARDS.iter().find(|guard| guard.name == name)?.param?;
        if !param.accepts(found.value) {
            log.at(&found, format!("must lie between {} and {} ms, not {}", param.min, param.max, found.value));
            sound = false;
            return None;
        }
        Some(Span::from_ms(found.value))
    };
    let guards = Guards {
        retap: span("retap_ms"),
        lull: span("lull_ms"),
        dwell_floor: span("dwell_floor_ms"),
        bare_hold: span("bare_hold_ms"),
        other_hand: section.flag("other_hand").is_some_and(|found| found.value),
    };
    section.finish();
    sound.then_some(guards)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(spec: &str) -> Result<Study, Mistakes> {
        Study::read(spec, Path::new("."))
    }

    #[test]
    fn the_main_study_has_no_mistakes() {
        let study = read(MAIN_STUDY).unwrap();
        assert!(study.policies.len() >= 8 && study.typists >= 1000 && study.plan.words() >= 2000);
    }

    #[test]
    fn three_mistakes_are_three_lines() {
        let spec = "name = \"x\"\nseed = 1\ncolour = \"red\"\n[text]\nwords = \"tide\"\n[[policy]]\n\
                    rule = \"dwell-cutoff\"\nvalues = { cutoff_ms = -200 }\n[[policy]]\nrule = \"guesswork\"\n";
        let mistakes = read(spec).unwrap_err().0;
        let places: Vec<_> = mistakes.iter().map(|m| (m.line, m.key.as_str())).collect();
        assert_eq!(places, [(3, "colour"), (8, "policy[1].values.cutoff_ms"), (10, "policy[2].rule")]);
    }

    #[test]
    fn an_empty_spec_says_what_is_missing() {
        let mistakes = read("").unwrap_err().0;
        let keys: Vec<_> = mistakes.iter().map(|m| m.key.as_str()).collect();
        assert_eq!(keys, ["name", "policy", "seed", "text"]);
    }

    #[test]
    fn broken_toml_is_named_with_its_line() {
        let mistakes = read("name = \"x\"\nseed = = 1\n").unwrap_err().0;
        assert_eq!(mistakes[0].line, 2);
    }

    #[test]
    fn labels_and_references_must_fit() {
        let base = "name = \"x\"\nseed = 1\n[text]\nwords = \"tide\"\n";
        let twice = format!("{base}[[policy]]\nrule = \"enclosed\"\n[[policy]]\nrule = \"enclosed\"\n");
        assert!(read(&twice).unwrap_err().to_string().contains("two policies have the label"));
        let lost = format!("{base}[inference]\nreference = \"y\"\n[[policy]]\nrule = \"enclosed\"\n");
        assert!(read(&lost).unwrap_err().to_string().contains("no policy has the label `y`"));
    }

    #[test]
    fn a_missing_text_file_is_named() {
        let spec = "name = \"x\"\nseed = 1\n[text]\nfile = \"no-such.txt\"\n[[policy]]\nrule = \"enclosed\"\n";
        let mistakes = read(spec).unwrap_err();
        assert!(mistakes.to_string().starts_with("line 4: `text.file`: failed to open the text file"), "{mistakes}");
    }
}
