use super::*;
use agogic_keys::{Letters, PairShares};

fn spec(keyboard: &str, text: &str) -> String {
    format!("name = \"x\"\nseed = 1\n[keyboard]\n{keyboard}\n[text]\n{text}\n[[policy]]\nrule = \"enclosed\"\n")
}

fn read(keyboard: &str, text: &str) -> Result<Study, Mistakes> {
    Study::read(&spec(keyboard, text), Path::new("."))
}

fn notes(study: &Study, part: &str) -> usize {
    study.notes.iter().filter(|note| note.contains(part)).count()
}

#[test]
fn texts_in_other_languages_have_letters_for_every_character() {
    for (name, letters) in TEXTS_IN_OTHER_LANGUAGES {
        let study = read(&format!("letters = \"{letters}\""), &format!("built_in = \"{name}\"")).unwrap();
        let plan = &study.arms[0].plan;
        assert_eq!((plan.replaced(), plan.skipped()), (0, 0), "{name}");
        // The steps spell the text again, with a line break where a paragraph ends.
        let text = built_in_text(name).unwrap().trim_end().replace("\n\n", "\n");
        assert_eq!(plan.spell(0..plan.steps().len()), format!("{text} "), "{name}");
        assert!((800..1000).contains(&plan.words()), "{name}: {}", plan.words());
        assert_eq!(notes(&study, &format!("letters `{letters}`")), 1);
        // Every dual-role key is tapped and the third level is held.
        for (code, _) in study.arms[0].assignment.iter() {
            assert!(plan.steps().iter().any(|step| step.code == code), "{name}: {code}");
        }
        assert!(plan.steps().iter().any(|step| step.with.has(agogic_keys::Modifier::Layer)), "{name}");
    }
}

#[test]
fn english_shares_are_never_applied_to_another_language_without_a_word() {
    let pairs = |study: &Study| study.arms[0].board.pairs().clone();
    let german = |text: &str| read("letters = \"german\"", text).unwrap();
    let own = german("built_in = \"klappbruecke\"");
    let PairShares::Counted(table) = pairs(&own) else { panic!("{:?}", own.notes) };
    assert!(table.counted() > 3000.0 && table.letters().contains(&'ß'));
    // The most frequent pair of German prose is "en" or "er".
    assert!(["en", "er"].contains(&String::from_iter([table.listed()[0].0.0, table.listed()[0].0.1]).as_str()));
    assert_eq!(notes(&own, "counted in the text itself"), 1);

    let short = german("words = \"Zwei Möwen\"");
    assert!(matches!(pairs(&short), PairShares::Unknown) && notes(&short, "the text tells none of its own") == 1);
    let none = german("built_in = \"klappbruecke\"\npair_shares = \"none\"");
    assert!(matches!(pairs(&none), PairShares::Unknown) && notes(&none, "English do not apply") == 1);
    let english = german("built_in = \"klappbruecke\"\npair_shares = \"english\"");
    assert!(matches!(pairs(&english), PairShares::English) && notes(&english, "as the spec asks") == 1);

    // A German text of the program on the letters of the US is no English either.
    let us = read("", "built_in = \"klappbruecke\"\nunsupported = \"skip\"").unwrap();
    assert!(matches!(pairs(&us), PairShares::Counted(_)));
    // A text of one's own counts as English there, as it always did, but that is told.
    let file = read("", "words = \"Zwei Möwen\"").unwrap();
    assert!(matches!(pairs(&file), PairShares::English) && notes(&file, "letters that English lacks") == 1);
    let plain = read("", "words = \"Two gulls\"").unwrap();
    assert!(matches!(pairs(&plain), PairShares::English) && notes(&plain, "pairs of letters") == 0);
}

#[test]
fn shares_of_pairs_come_from_a_file_with_its_source() {
    let folder = tempfile::tempdir().unwrap();
    let letters: Vec<char> = "abcdefgäöü".chars().collect();
    let rows = letters.iter().flat_map(|a| letters.iter().map(move |b| format!("{a},{b},{}\n", 1 + (*a == 'ä') as u8)));
    std::fs::write(folder.path().join("mine.csv"), format!("first,second,count\n{}", rows.collect::<String>()))
        .unwrap();
    std::fs::write(folder.path().join("few.csv"), "first,second,count\na,b,3\n").unwrap();
    let read =
        |text: &str| Study::read(&spec("letters = \"german\"", &format!("words = \"Möwe\"\n{text}")), folder.path());
    let asked = "pair_shares = \"mine.csv\"\npair_shares_source = \"counted by me\"";
    let study = read(asked).unwrap();
    assert!(matches!(study.arms[0].board.pairs(), PairShares::Counted(_)));
    assert_eq!(notes(&study, "by the shares of mine.csv, not by those of English; their source: counted by me"), 1);
    assert_eq!(study.inputs.len(), 1);
    for (text, says) in [
        ("pair_shares = \"mine.csv\"", "say in a sentence where the counts come from"),
        ("pair_shares = \"mine.csv\"\npair_shares_source = \" \"", "must say where"),
        ("pair_shares = \"few.csv\"\npair_shares_source = \"x\"", "1 different pairs"),
        ("pair_shares = \"lost.csv\"\npair_shares_source = \"x\"", "lost.csv"),
        ("pair_shares = \"text\"", "it has 3 pairs of letters within words"),
        ("pair_shares = \"text\"\npair_shares_source = \"x\"", "other shares need none"),
        ("pair_shares_source = \"x\"", "there is none"),
        ("pair_shares = \"german\"", "must be \"english\", \"text\""),
    ] {
        let mistakes = read(text).unwrap_err().to_string();
        assert!(mistakes.contains(says), "{text}: {mistakes}");
    }
}

const MINE: &str = "name = \"mine\"\nsource = \"made up\"\nstarts_from = \"us\"\n[level_1]\nBracketLeft = \"å\"\n\
                    Quote = \"a\u{308}\"\nMinus = \"\\u0301\"\nBackslash = \"\"\n[level_3]\nKeyE = \"€\"\n";

#[test]
fn letters_come_from_a_file_or_from_the_spec_itself() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("mine.toml"), MINE).unwrap();
    let text = "words = \"Åse är 3 € né\"";
    let study = Study::read(&spec("letters = \"mine.toml\"", text), folder.path()).unwrap();
    let plan = &study.arms[0].plan;
    assert_eq!(plan.spell(0..plan.steps().len()), "Åse är 3 € né ");
    assert_eq!(notes(&study, "typed with the letters `mine`, made up; the right Alt key"), 1);
    // The file travels with the result.
    let again = Study::read_held(&spec("letters = \"mine.toml\"", text), &study.inputs).unwrap();
    assert!(again.arms[0].plan.steps() == plan.steps());
    // The same as tables of the spec.
    let inline = MINE.replace("[level", "[keyboard.letters.level");
    let inline = read(&format!("[keyboard.letters]\n{inline}"), text).unwrap();
    assert!(inline.arms[0].plan.steps() == plan.steps() && inline.inputs.is_empty());
    assert_eq!(inline.arms[0].board.letters(), study.arms[0].board.letters());
    assert!(read("letters = \"us\"", "words = \"tide\"").unwrap().arms[0].board.letters() == &Letters::us());
}

#[test]
fn the_letters_of_the_readme_are_read() {
    let readme = include_str!("../../README.md");
    let block = readme.split("```toml\n").find(|block| block.contains("starts_from")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("mine.toml"), block.split("```").next().unwrap()).unwrap();
    let study = Study::read(&spec("letters = \"mine.toml\"", "words = \"Åse né 3 € \\\"\""), folder.path()).unwrap();
    let plan = &study.arms[0].plan;
    assert_eq!(plan.spell(0..plan.steps().len()), "Åse né 3 € \" ");
}

#[test]
fn mistakes_in_letters_are_told_all_at_once() {
    let bad = "name = \"us\"\nstarts_form = \"us\"\n[level_1]\nKeyAe = \"ä\"\nKeyA = \"ab\"\nKeyB = \"b\"\nKeyC = \"b\"\n\
               Space = \"x\"\n[level_4]\nKeyD = \"d\"\n";
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("bad.toml"), bad).unwrap();
    let told = Study::read(&spec("letters = \"bad.toml\"", "words = \"tide\""), folder.path()).unwrap_err();
    assert_eq!((told.0[0].line, told.0[0].key.as_str()), (Some(4), "keyboard.letters"));
    let told = told.to_string();
    for says in [
        "bad.toml has mistakes: line 1: `name`: must be a name of your own",
        "line 2: `starts_form`: is not a key here; did you mean `starts_from`?",
        "line 4: `level_1.KeyAe`: `KeyAe` is not a W3C key code known here",
        "line 5: `level_1.KeyA`: must be one character, not 2; a dead key is written as its combining mark",
        "line 7: `level_1.KeyC`: KeyB gives this character on the same level; keep one of them",
        "line 8: `level_1.Space`: Space gives what it always gives; leave it out",
        "line 9: `level_4`: is not a key here",
    ] {
        assert!(told.contains(says), "{says}\n{told}");
    }
    for (keyboard, says) in [
        (
            "letters = \"germn\"",
            "no letters `germn`; did you mean `german`?; letters: us, german, swiss-french; or a file",
        ),
        ("letters = \"no-such.toml\"", "failed to open the file of letters"),
        ("letters = 7", "must be a text in quotes, not 7"),
        (
            "[keyboard.letters]\nname = \"x\"\n[keyboard.letters.level_1]\nKeyT = \"t\"",
            "KeyA has two roles, but the letters `x`",
        ),
    ] {
        let told = read(keyboard, "words = \"tide\"").unwrap_err().to_string();
        assert!(told.contains(says), "{keyboard}: {told}");
    }
}

#[test]
fn a_text_that_the_letters_lack_is_refused_with_what_is_missing() {
    let told = read("letters = \"german\"", "words = \"Straße мир, да\"").unwrap_err().to_string();
    assert!(
        told.contains("line 1, character 8: no key writes `м` (U+043C); 5 of 12 characters have no key (`а` 1"),
        "{told}"
    );
    let skipped = read("letters = \"german\"", "words = \"Straße мир\"\nunsupported = \"skip\"").unwrap();
    assert_eq!(notes(&skipped, "3 characters of the text have no key"), 1);
    let told = read("", "built_in = \"klappbrücke\"").unwrap_err().to_string();
    assert!(told.contains("klappbruecke (letters german), refuge (letters swiss-french)"), "{told}");
}

#[test]
fn a_key_that_only_these_letters_have_may_have_two_roles() {
    let study = read("letters = \"german\"\nkeys = { IntlBackslash = \"Layer\" }", "words = \"tide @ noon\"").unwrap();
    let at = study.arms[0].plan.steps().iter().find(|step| step.code.name() == "KeyQ").unwrap();
    // KeyQ and the key beside the left Shift are pressed by one finger: the right Alt key is held.
    assert_eq!(at.holder.unwrap().name(), "AltRight");
    let told = read("keys = { IntlBackslash = \"Layer\" }", "words = \"tide\"").unwrap_err().to_string();
    assert!(told.contains("IntlBackslash"), "{told}");
}
