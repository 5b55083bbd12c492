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
