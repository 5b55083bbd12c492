//! Sections that the pages of a sweep, of advice, of robustness and of sensitivity have in common.

use agogic_study::Study;
use agogic_typist::register_of;

use crate::section::Section;
use crate::sheet::{Cell, Column, Sheet};
use crate::words::assumed_line;

/// What is assumed of how people hold, in a line.
pub(crate) fn assumed_in_short(study: &Study) -> String {
    let mut numbers = study.arms.iter().flat_map(|arm| register_of(&arm.population));
    assumed_line(numbers.all(|entry| entry.name != "adaptation" || entry.value == 0.5))
}

/// What is assumed of people.
pub(crate) fn assumed(study: &Study) -> Section {
    let mut section = Section::new("assumptions", "What is assumed");
    let count = |kind: &str| {
        let mut seen: Vec<&str> = Vec::new();
        let mut count = 0;
        for arm in &study.arms {
            if !seen.contains(&arm.population.name()) {
                seen.push(arm.population.name());
                count += register_of(&arm.population).iter().filter(|own| own.provenance.kind() == kind).count();
            }
        }
        count
    };
    section.paragraph(&format!(
        "How people time a hold on a key with two meanings is hardly published: of the numbers of the typist model {} are \
         assumed, {} derived and {} published. `register.json` beside this page says which, with the range of each. \
         `agogic robust` holds conclusions against other assumptions.",
        count("assumed"),
        count("derived"),
        count("published")
    ));
    section
}

/// How to get the same again.
pub(crate) fn to_repeat(study: &Study) -> Section {
    let mut section = Section::new("manifest", "To repeat it");
    section.paragraph(
        "`agogic repeat FOLDER` makes the result again from the files beside this page and compares it byte by byte. \
         `manifest.json` also says on what machine and when it ran.",
    );
    let fact = |what: &str, value: String| vec![Cell::Words(what.to_owned()), Cell::Words(value)];
    let mut rows = vec![
        fact("study", study.name.clone()),
        fact("seed", study.seed.to_string()),
        fact("agogic", env!("CARGO_PKG_VERSION").to_owned()),
        fact("text", study.text_from.to_string()),
    ];
    rows.extend(study.arms.iter().map(|arm| fact(&format!("arm {}", arm.label), format!("{} presses each", arm.keys))));
    let sheet = Sheet {
        name: "manifest".into(),
        caption: "What was run.".into(),
        columns: vec![Column::words("what"), Column::words("value")],
        rows,
    };
    section.table(&sheet, None).folded(&format!("What was run: seed {}, text, presses of each arm", study.seed));
    section.text("Spec of the study", &study.spec).folded("The spec");
    section
}
