use super::*;

fn read(spec: &str) -> Result<Study, Mistakes> {
    Study::read(spec, Path::new("."))
}

#[test]
fn the_main_study_has_no_mistakes() {
    let study = read(MAIN_STUDY).unwrap();
    assert!(study.policies.len() >= 8 && study.typists >= 1000 && study.arms[0].plan.words() >= 2000);
}

#[test]
fn three_mistakes_are_three_lines() {
    let spec = "name = \"x\"\nseed = 1\ncolour = \"red\"\n[text]\nwords = \"tide\"\n[[policy]]\n\
                rule = \"dwell-cutoff\"\nvalues = { cutoff_ms = -200 }\n[[policy]]\nrule = \"guesswork\"\n";
    let mistakes = read(spec).unwrap_err().0;
    let places: Vec<_> = mistakes.iter().map(|m| (m.line, m.key.as_str())).collect();
    assert_eq!(places, [(Some(3), "colour"), (Some(8), "policy[1].values.cutoff_ms"), (Some(10), "policy[2].rule")]);
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
    assert_eq!(mistakes[0].line, Some(2));
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

const BASE: &str = "name = \"x\"\nseed = 1\n[text]\nwords = \"The tide turns. Ask Ada.\"\n";

#[test]
fn populations_and_assignments_make_arms() {
    let spec = format!(
        "{BASE}[typists]\npopulations = [\"slow\", \"night-crew\"]\nnumber = 3\nkeys_each = 50\n\
         [[population]]\nname = \"night-crew\"\nbase = \"trained\"\ndwell_family = \"gamma\"\n\
         [population.traits.dwell_ms]\nmedian = 130\n\
         [[assignment]]\nname = \"index-shift\"\nresting = [\"Meta\", \"Alt\", \"Control\", \"Shift\"]\n\
         [[assignment]]\nname = \"little-shift\"\nresting = [\"Shift\", \"Control\", \"Alt\", \"Meta\"]\n\
         [[policy]]\nrule = \"enclosed\"\n"
    );
    let study = read(&spec).unwrap();
    let labels: Vec<&str> = study.arms.iter().map(|arm| arm.label.as_str()).collect();
    assert_eq!(
        labels,
        ["slow / index-shift", "night-crew / index-shift", "slow / little-shift", "night-crew / little-shift"]
    );
    let own = &study.arms[1].population;
    assert_eq!(own.spread_of(agogic_typist::Trait::Dwell).median, 130.0);
    assert_eq!(own.dwell_family(), agogic_stats::timing::Family::Gamma);
}

#[test]
fn mistakes_of_a_population_are_found_where_they_stand() {
    let spec = format!(
        "{BASE}[typists]\npopulation = \"crew\"\n[[population]]\nname = \"crew\"\n\
         [population.traits.dwel_ms]\nmedian = 130\n[population.constants]\ntempo_persistence = 7\n\
         [[policy]]\nrule = \"enclosed\"\n"
    );
    let text = read(&spec).unwrap_err().to_string();
    assert!(
        text.contains("line 9: `population[1].traits.dwel_ms`") && text.contains("did you mean `dwell_ms`"),
        "{text}"
    );
    assert!(text.contains("line 12: `population[1].constants.tempo_persistence`"), "{text}");
}

#[test]
fn impossible_correlations_are_refused_with_the_pairs() {
    let spec = format!(
        "{BASE}[typists]\npopulation = \"crew\"\n[[population]]\nname = \"crew\"\n\
         [population.correlations.interval_ms]\ninterval_spread = 0.95\ndwell_ms = 0.95\n\
         [population.correlations.interval_spread]\ndwell_ms = -0.95\n[[policy]]\nrule = \"enclosed\"\n"
    );
    let text = read(&spec).unwrap_err().to_string();
    assert!(text.contains("population[1]") && text.contains("dwell_ms"), "{text}");
}

#[test]
fn personal_values_are_read_and_joined_with_their_rule() {
    let head = format!("{BASE}[typists]\nnumber = 3\nkeys_each = 100\n");
    let good = format!(
        "{head}[[policy]]\nrule = \"overlap-share\"\n[policy.personal]\nfits = \"share\"\nfirst_presses = 40\n\
         guard = \"lull_ms\"\nguard_values = [0, 100]\n"
    );
    let study = read(&good).unwrap();
    assert_eq!(study.policies, ["personal share and lull_ms of overlap-share 0.8"]);
    assert!(matches!(&study.plans[0].personal, Some(own) if own.first_presses == 40));
    let wrong = format!("{head}[[policy]]\nrule = \"enclosed\"\n[policy.personal]\nfits = \"cutoff_ms\"\n");
    let text = read(&wrong).unwrap_err().to_string();
    assert!(text.contains("policy[1].personal.fits"), "{text}");
}

#[test]
fn tables_of_ones_own_are_for_the_rule_that_has_some() {
    let head = format!("{BASE}[typists]\nnumber = 3\nkeys_each = 100\n");
    let own = "[policy.personal]\nfits = \"tables\"\nfirst_presses = 300\n";
    let study = read(&format!("{head}[[policy]]\nrule = \"key-evidence\"\n{own}")).unwrap();
    assert!(study.policies[0].starts_with("personal tables of key-evidence "), "{:?}", study.policies);
    assert!(matches!(&study.plans[0].own_tables, Some(own) if own.first_presses == 300));
    assert!(study.plans[0].personal.is_none() && study.notes.iter().any(|note| note.contains("tell keys")));
    assert!(study.notes.iter().any(|note| note.contains("the very text")), "{:?}", study.notes);
    assert!(!study.notes.iter().any(|note| note.contains("as the prior")), "nothing is fitted with other typists");
    let text = read(&format!("{head}[[policy]]\nrule = \"enclosed\"\n{own}")).unwrap_err().to_string();
    assert!(text.contains("policy[1].personal.fits") && text.contains("key-evidence"), "{text}");
    let beside = format!("{own}prior_presses = 30\n");
    let text = read(&format!("{head}[[policy]]\nrule = \"key-evidence\"\n{beside}")).unwrap_err().to_string();
    assert!(text.contains("prior_presses"), "{text}");
}

#[test]
fn limits_margins_and_comparisons_name_what_exists() {
    let spec = format!(
        "{BASE}[inference]\nlimits = {{ false_hold = 3 }}\nmargins = {{ wrong_keys = -1 }}\ninterval = \"wald\"\n\
         [[policy]]\nrule = \"enclosed\"\nversus = \"elsewhere\"\n"
    );
    let text = read(&spec).unwrap_err().to_string();
    for part in [
        "did you mean `false_holds`?",
        "must lie above zero",
        "no method `wald`",
        "no policy has the label `elsewhere`",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
}

#[test]
fn the_clock_can_be_named_and_changed() {
    let spec = format!("{BASE}[clock]\nlike = \"browser\"\nscan_ms = 4\n[[policy]]\nrule = \"enclosed\"\n");
    let clock = read(&spec).unwrap().arms[0].clock;
    assert_eq!((clock.scan.0, clock.clamp.0), (4000, 100));
    let wrong = format!("{BASE}[clock]\nlike = \"sundial\"\n[[policy]]\nrule = \"enclosed\"\n");
    assert!(read(&wrong).unwrap_err().to_string().contains("there is no clock `sundial`"));
}

#[test]
fn what_a_terminal_would_obey_is_shown_as_text() {
    let spec = format!("{BASE}\"a\\nb\" = 1\n[clock]\nlike = \"\\u001b[2J\"\n[[policy]]\nrule = \"enclosed\"\n");
    let text = read(&spec).unwrap_err().to_string();
    assert!(text.contains("there is no clock `\\u{1b}[2J`"), "{text}");
    assert_eq!(text.lines().count(), 2, "{text}");
}

#[test]
fn a_mistake_that_several_arms_share_is_told_once() {
    let spec = format!(
        "{BASE}[keyboard]\norders = \"mirrored\"\n[workload]\nshortcuts_per_1000_keys = -1\n[[policy]]\nrule = \
         \"enclosed\"\n"
    );
    assert_eq!(read(&spec).unwrap_err().0.len(), 1);
}

#[test]
fn more_arms_or_settings_than_fit_into_memory_are_refused() {
    let names: Vec<String> = (0..50).map(|at| format!("p{at}")).collect();
    let tables: String = names.iter().map(|name| format!("[[population]]\nname = \"{name}\"\n")).collect();
    let people = |policies: &str| {
        format!("{BASE}[typists]\npopulations = {names:?}\n[keyboard]\norders = \"mirrored\"\n{tables}{policies}")
    };
    let text = read(&people("[[policy]]\nrule = \"enclosed\"\n")).unwrap_err().to_string();
    assert!(text.contains("50 populations × 24 assignments; their product may be 1000 at most"), "{text}");
    let policy = |at| format!("[[policy]]\nrule = \"dwell-cutoff\"\nvalues = {{ cutoff_ms = {at} }}\n");
    let many = |n| -> String { (0..n).map(|at| policy(at + 1)).collect() };
    let text = read(&people(&many(450)).replace("orders = \"mirrored\"", "")).unwrap_err().to_string();
    assert!(text.contains("450 policies and sweeps in each of 50 arms"), "{text}");
    let text = read(&format!("{BASE}{}", many(501))).unwrap_err().to_string();
    assert!(text.contains("`policy`: has 501 entries; it may have 500 at most"), "{text}");
}

#[test]
fn nobody_presses_more_keys_than_fit_into_memory() {
    let policy = "[[policy]]\nrule = \"enclosed\"\n";
    let text = read(&format!("{BASE}[typists]\nkeys_each = 1000001\n{policy}")).unwrap_err().to_string();
    assert!(text.contains("`typists.keys_each`: must lie between 1 and 1000000"), "{text}");
    let words = "tide ".repeat(200_001);
    let long = format!("name = \"x\"\nseed = 1\n[text]\nwords = \"{words}\"\n");
    let text = read(&format!("{long}{policy}")).unwrap_err().to_string();
    assert!(text.contains("`typists.keys_each`: is missing: the longest text has 1000005 keys"), "{text}");
    assert_eq!(read(&format!("{long}[typists]\nkeys_each = 50\n{policy}")).unwrap().arms[0].keys, 50);
}

#[test]
fn a_run_waits_for_at_least_one_policy() {
    let spec = format!("{BASE}[stop]\nrelative = 0.1\npolicies = []\n[[policy]]\nrule = \"enclosed\"\n");
    let text = read(&spec).unwrap_err().to_string();
    assert!(text.contains("`stop.policies`: names no policy"), "{text}");
}

#[test]
fn limits_that_would_start_from_too_few_typists_are_refused() {
    let spec = |stop: &str| format!("{BASE}[stop]\nrelative = 0.1\n{stop}[[policy]]\nrule = \"enclosed\"\n");
    let few = "guarantee = \"asymptotic\"\nleast = 99\n";
    for stop in [few, "estimand = \"wrong_keys\"\nleast = 30\n"] {
        let text = read(&spec(stop)).unwrap_err().to_string();
        assert!(text.contains("`stop.least`: must be at least 100 with an asymptotic guarantee"), "{text}");
    }
    for stop in ["least = 30\n", "guarantee = \"asymptotic\"\nleast = 100\n", "estimand = \"wrong_keys\"\n"] {
        assert!(read(&spec(stop)).unwrap().stop.is_some(), "{stop}");
    }
}

#[test]
fn mistakes_in_files_name_the_line_of_the_file() {
    let held = |named: &str, text: &str| Input { named: named.into(), text: text.into() };
    let spec = format!(
        "{BASE}[typists]\npopulation = \"crew.toml\"\n[harm]\ncosts = \"costs.toml\"\n[[policy]]\nrule = \
         \"enclosed\"\n"
    );
    let crew = "name = \"crew\"\n\nbsae = \"slow\"\n[traits.dwell_ms]\nmedian = \"long\"\n[constants]\ntempo = 1\n";
    let files = [held("crew.toml", crew), held("costs.toml", "\n[[cost]\n")];
    let text = Study::read_held(&spec, &files).unwrap_err().to_string();
    for part in [
        "the population file crew.toml has mistakes: line 3: `bsae`: is not a key here; did you mean `base`?",
        "; line 5: `traits.dwell_ms.median`: must be a number, not the text \"long\"; ",
        "; line 7: `constants.tempo`: there is no constant `tempo`",
    ] {
        assert!(text.contains(part), "{text}");
    }
    assert!(text.contains("the cost table costs.toml has mistakes") && text.contains("line 2: "), "{text}");
    assert_eq!(text.lines().count(), 2, "{text}");
}

#[test]
fn the_observer_is_asked_as_the_spec_says() {
    use agogic_policy::Sight;
    let floor = |table: &str| read(&format!("{BASE}{table}[[policy]]\nrule = \"enclosed\"\n")).map(|study| study.floor);
    let plain = floor("").unwrap();
    assert_eq!((plain.sight, plain.costs.false_hold, plain.costs.missed_hold), (Sight::Timing, 1.0, 1.0));
    let stated = floor("[floor]\nsight = \"own-key\"\nfalse_hold_cost = 3\nmissed_hold_cost = 0.5\n").unwrap();
    assert_eq!((stated.sight, stated.costs.false_hold, stated.costs.missed_hold), (Sight::OwnKey, 3.0, 0.5));
    let wrong = floor("[floor]\nsight = \"own-keys\"\nfalse_hold_cost = -1\n").unwrap_err().to_string();
    assert!(wrong.contains("line 6: `floor.sight`") && wrong.contains("did you mean `own-key`?"), "{wrong}");
    assert!(wrong.contains("line 7: `floor.false_hold_cost`"), "{wrong}");
    let free = floor("[floor]\nfalse_hold_cost = 0\nmissed_hold_cost = 0\n").unwrap_err().to_string();
    assert!(free.contains("one of them above zero"), "{free}");
}

#[test]
fn several_texts_are_named_like_populations() {
    let spec =
        |names: &str| format!("name = \"x\"\nseed = 1\n[text]\nseveral = [{names}]\n[[policy]]\nrule = \"enclosed\"\n");
    let own = Input { named: "mine.txt".into(), text: "High tide at noon. Ask Ada.".into() };
    let study = Study::read_held(&spec("\"night-ferry\", \"mine.txt\""), &[own]).unwrap();
    assert_eq!(study.texts, ["night-ferry", "mine.txt"]);
    assert_eq!((study.arms[0].plan.texts(), study.text_from.as_str()), (2, "2 texts night-ferry, mine.txt"));
    // Sessions are as long as the longest text, each capital pressed with the key that holds for it.
    let longest = study.arms[0].plan.text(0);
    assert_eq!(study.arms[0].keys, longest.len() + longest.iter().filter(|step| step.holder.is_some()).count());
    assert!(study.notes.iter().any(|note| note.starts_with("few texts")), "{:?}", study.notes);
    for (names, words) in [
        ("", "has 0 texts; name 1 to 1000"),
        ("\"night-ferry\", \"night-ferry\"", "names the text `night-ferry` twice"),
        ("\"night-fery\"", "no text `night-fery`; texts: tide-station"),
        ("\"no-such-file.txt\"", "failed to open the text file"),
    ] {
        let text = read(&spec(names)).unwrap_err().to_string();
        assert!(text.contains("line 4: `text.several`: ") && text.contains(words), "{text}");
    }
    let two = spec("\"night-ferry\"").replace("several", "words = \"tide\"\nseveral");
    assert!(read(&two).unwrap_err().to_string().contains("and only one of them"));
    // What has no key is located by the name of its text.
    let own = Input { named: "mine.txt".into(), text: "\u{43f}".into() };
    let text = Study::read_held(&spec("\"night-ferry\", \"mine.txt\""), &[own]).unwrap_err().to_string();
    assert!(text.contains("failed to read the text `mine.txt`: line 1, character 1"), "{text}");
}

#[test]
fn one_estimand_is_the_primary_one() {
    let spec = |primary: &str| format!("{BASE}[inference]\n{primary}\n[[policy]]\nrule = \"enclosed\"\n");
    assert_eq!(read(&spec("")).unwrap().primary.name, "wrong_keys");
    assert_eq!(read(&spec("primary = \"harm\"")).unwrap().primary.name, "harm");
    for (primary, words) in [
        ("primary = \"wrong_kyes\"", "`wrong_kyes` is no estimand; did you mean `wrong_keys`?"),
        ("primary = \"missed_runs\"", "`missed_runs` is part of another estimand; name one of false_holds"),
    ] {
        let text = read(&spec(primary)).unwrap_err().to_string();
        assert!(text.contains("`inference.primary`: ") && text.contains(words), "{text}");
    }
}

#[test]
fn a_mixture_is_of_the_people_it_names() {
    let base = "name = \"x\"\nseed = 1\n[text]\nwords = \"tide\"\n[[policy]]\nrule = \"evidence\"\n";
    let training = |table: &str| read(&format!("{base}[training]\n{table}\n"));
    let shares = |study: &Study| -> Vec<(String, f64)> {
        match &study.training.on {
            TrainedOn::Own => Vec::new(),
            TrainedOn::Mixture(all) => all.iter().map(|(people, weight)| (people.name().to_owned(), *weight)).collect(),
        }
    };
    assert_eq!(read(base).unwrap().training, TrainingPlan::default());
    let plain = training("on = \"mixture\"").unwrap();
    assert!(
        plain.training.over_ranges && plain.notes.iter().any(|note| note.contains("a mixture (weights: volunteers 1"))
    );
    assert_eq!(shares(&plain), [("volunteers", 1.0), ("trained", 1.0), ("slow", 1.0)].map(|(n, w)| (n.to_owned(), w)));
    let weighed = training("on = \"mixture\"\nover_ranges = false\nweights = { slow = 2, volunteers = 0.5 }").unwrap();
    assert!(!weighed.training.over_ranges);
    assert_eq!(shares(&weighed), [("slow".to_owned(), 2.0), ("volunteers".to_owned(), 0.5)]);
}

#[test]
fn mistakes_of_training_are_told_where_they_stand() {
    let base = "name = \"x\"\nseed = 1\n[text]\nwords = \"tide\"\n[[policy]]\nrule = \"evidence\"\n[training]\n";
    for (table, key, says) in [
        ("on = \"all\"", "training.on", "must be \"own\""),
        ("weights = { slow = 1 }", "training.weights.slow", "add on = \"mixture\""),
        ("on = \"mixture\"\nweights = { slwo = 1 }", "training.weights.slwo", "did you mean `slow`?"),
        ("on = \"mixture\"\nweights = { slow = 0 }", "training.weights.slow", "must be above zero"),
        ("typists = 3", "training.typists", "20"),
        ("people = 3", "training.people", ""),
    ] {
        let mistakes = read(&format!("{base}{table}\n")).unwrap_err().0;
        let found: Vec<String> = mistakes.iter().map(|m| format!("{} {}", m.key, m.message)).collect();
        assert!(mistakes.len() == 1 && mistakes[0].key == key && mistakes[0].message.contains(says), "{found:?}");
    }
}

#[test]
fn a_table_of_digraphs_is_a_text() {
    let folder = tempfile::tempdir().unwrap();
    let table = "first,second,count\nt,h,30\nh,e,30\ne,space,20\nspace,t,20\ne,t,10\n";
    std::fs::write(folder.path().join("pairs.csv"), table).unwrap();
    std::fs::write(folder.path().join("within.csv"), "first,second,count\nt,h,30\nh,e,30\n").unwrap();
    let spec = |text: &str| format!("name = \"x\"\nseed = 1\n[text]\n{text}\n[[policy]]\nrule = \"enclosed\"\n");
    let read = |text: &str| Study::read(&spec(text), folder.path());
    let study = read("digraphs = \"pairs.csv\"\nletters = 5000").unwrap();
    // A text that comes round again has a space between its end and its beginning.
    assert!((5000..=5001).contains(&study.arms[0].plan.steps().len()));
    assert!(study.notes.iter().any(|note| note.contains("prior of 1 letters")), "{:?}", study.notes);
    // The table travels with the result, and gives the same text again.
    let again = Study::read_held(&spec("digraphs = \"pairs.csv\"\nletters = 5000"), &study.inputs).unwrap();
    assert!(again.arms[0].plan.steps() == study.arms[0].plan.steps());
    assert!(read("digraphs = \"within.csv\"\nword_letters = 4.5").is_ok());
    for (text, says) in [
        ("digraphs = \"within.csv\"", "add them, or word_letters"),
        ("digraphs = \"pairs.csv\"\nword_letters = 4.5", "tell how long words are"),
        ("digraphs = \"pairs.csv\"\nwords = \"tide\"", "only one of them"),
        ("digraphs = \"pairs.csv\"\nprior_letters = -1", "a weight in letters"),
        ("digraphs = \"pairs.csv\"\nletters = 5", "letters"),
        ("digraphs = \"none.csv\"", "none.csv"),
    ] {
        let mistakes = read(text).unwrap_err().to_string();
        assert!(mistakes.contains(says), "{text}: {mistakes}");
    }
}

#[test]
fn the_study_to_start_from_reads_as_it_is_and_with_all_its_settings() {
    let read = |text: &str| Study::read(text, Path::new("."));
    assert_eq!(read(crate::NEW_STUDY).unwrap().policies.len(), 3);
    let setting = |line: &str| match line.strip_prefix('#') {
        Some(rest) if !rest.starts_with(' ') => rest.to_owned(),
        _ => line.to_owned(),
    };
    let all: Vec<String> = crate::NEW_STUDY.lines().map(setting).collect();
    let full = read(&all.join("\n")).unwrap();
    assert_eq!((full.policies.len(), full.sweeps.len(), full.advice.is_some()), (4, 1, true));
}
