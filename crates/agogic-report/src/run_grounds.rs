//! What the page of a run stands on: the literature, the register, methods, sources, and how to repeat it.

use agogic_files::Results;
use agogic_literature::{Recorded, recorded};

use crate::methods::{methods, methods_latex, sources_used};
use crate::section::Section;
use crate::sheet::{Cell, Column, Sheet};
use crate::tables;
use crate::words::{capital, html_text, plain};

pub(crate) fn literature(results: &Results) -> Section {
    let mut section = Section::new("literature", "Does the model match the literature?");
    let all = recorded();
    let people: Vec<&str> = results.manifest.arms.iter().map(|arm| arm.population.as_str()).collect();
    let known: Vec<&Recorded> = all.iter().filter(|found| people.contains(&found.row.population)).collect();
    let tally = |held_out: bool| {
        let of: Vec<bool> =
            known.iter().filter(|found| found.held_out() == held_out).filter_map(|found| found.agrees()).collect();
        (of.iter().filter(|agrees| **agrees).count(), of.len())
    };
    let ((held_agree, held), (set_agree, set)) = (tally(true), tally(false));
    if known.is_empty() {
        section.paragraph("No published value is about the populations of this study; they were not checked.");
        return section;
    }
    section.paragraph(&format!(
        "Of the held-out published values about these people, which were never used to set the model, {held_agree} of {held} \
         agree with the simulation; of those that set it, {set_agree} of {set}. This is the comparison recorded for this \
         version, of 2000 typists of each shipped population; `agogic check` makes it afresh."
    ));
    let strangers: Vec<String> = people
        .iter()
        .filter(|name| all.iter().all(|found| found.row.population != **name))
        .map(|name| format!("`{name}`"))
        .collect();
    if !strangers.is_empty() {
        section.paragraph(&format!("Not checked, for no published value is about them: {}.", strangers.join(", ")));
    }
    let row = |found: &&Recorded| {
        let role = if found.held_out() { "held out" } else { "calibration" };
        [
            found.row.definition,
            found.row.population,
            &found.published,
            &found.simulated,
            &found.rule,
            role,
            &found.verdict,
        ]
        .map(|text| Cell::Words(text.to_owned()))
        .into_iter()
        .chain([Cell::Words(format!("[@{}] {}", found.row.source, found.row.place))])
        .collect()
    };
    let sheet = |name: &str, caption: &str, found: Vec<&&Recorded>| Sheet {
        name: name.into(),
        caption: caption.into(),
        columns: ["what", "people", "published", "simulated (mcse)", "rule", "role", "verdict", "source"]
            .map(Column::words)
            .into(),
        rows: found.into_iter().map(row).collect(),
    };
    let misses: Vec<_> = known.iter().filter(|found| found.agrees() == Some(false)).collect();
    if !misses.is_empty() {
        let line = format!("Values that the model misses: {}", misses.len());
        section.table(&sheet("literature-misses", "Values that the model misses.", misses), None).folded(&line);
    }
    let caption =
        "Every published value about these people beside the simulation; `mcse` is the Monte Carlo standard error.";
    section
        .table(&sheet("literature", caption, known.iter().collect()), None)
        .folded(&format!("All {} values", known.len()));
    section
}

pub(crate) fn register(results: &Results) -> Section {
    let mut section = Section::new("assumptions", "What is assumed");
    let count = |kind: &str| results.register.iter().filter(|entry| entry.provenance.kind() == kind).count();
    let (assumed, stated) = (count("assumed"), count("stated"));
    let stated = if stated > 0 { format!(", {stated} stated by whoever made the population") } else { String::new() };
    section.paragraph(&format!(
        "Of {} numbers of the typist model {assumed} are assumed{stated}, {} derived and {} published. A conclusion that \
         hangs on an assumed number should be tried over its range.",
        results.register.len(),
        count("derived"),
        count("published")
    ));
    section
        .table(&tables::register_table(results), None)
        .folded(&format!("The register: all {} numbers", results.register.len()));
    section
}

pub(crate) fn methods_section(results: &Results) -> Section {
    let mut section = Section::new("methods", "How it was found");
    for paragraph in methods(results) {
        section.paragraph(&paragraph.text).folded(paragraph.title);
    }
    section.text("Methods as LaTeX", &methods_latex(results)).folded("The same as LaTeX, to adapt");
    section
}

pub(crate) fn sources(results: &Results) -> Section {
    let mut section = Section::new("sources", "Sources");
    let used = sources_used(results);
    // The literature section names works that neither methods nor register do.
    let mut entries = used.clone();
    for found in recorded() {
        if let Some(entry) = agogic_literature::entry(found.row.source)
            && entries.iter().all(|known| known.key != entry.key)
        {
            entries.push(entry);
        }
    }
    entries.sort_by_key(|entry| entry.key);
    let count = entries.len();
    let works = entries.iter().map(|entry| {
        let year = entry.year.map_or_else(String::new, |year| format!(" {year}."));
        let link = match (entry.doi, entry.url) {
            (Some(doi), _) => format!(" doi:{}", html_text(doi)),
            (None, Some(url)) => format!(" {}", html_text(url)),
            _ => String::new(),
        };
        let authors = plain(entry.authors).replace(" and ", "; ");
        let (title, venue) = (html_text(&plain(entry.title)), html_text(&plain(entry.venue)));
        (
            format!("source-{}", entry.key),
            format!("{}.{year} <cite>{title}</cite>. {venue}.{link}", html_text(&authors)),
        )
    });
    section.linked_list(works).folded(&format!("All {count} works"));
    let bibtex: String = entries.iter().map(|entry| entry.bibtex()).collect::<Vec<_>>().join("\n");
    section.text("Sources as BibTeX", &bibtex).folded("The same as BibTeX");
    section
}

pub(crate) fn manifest(results: &Results) -> Section {
    let m = &results.manifest;
    let mut section = Section::new("manifest", "To repeat it");
    section.paragraph(
        "`agogic repeat FOLDER` runs the study again from the files beside this page and compares the results byte by \
         byte. `manifest.json` also says on what machine and when it ran.",
    );
    let fact = |what: &str, value: String| vec![Cell::Words(what.to_owned()), Cell::Words(value)];
    let mut rows = vec![
        fact("study", m.study.clone()),
        fact("seed", m.seed.to_string()),
        fact("agogic", m.agogic.clone()),
        fact("SHA-256 of the spec", m.spec_sha256.clone()),
        fact("SHA-256 of the versions of all libraries", m.cargo_lock_sha256.clone()),
        fact("text", m.text.clone()),
        fact("primary estimand", m.primary.replace('_', " ")),
    ];
    rows.extend(m.arms.iter().map(|arm| {
        let keys: Vec<String> = arm.dual_role_keys.iter().map(|(code, role)| format!("{code} = {role}")).collect();
        fact(&format!("arm {}", arm.label), format!("{} presses each; {}", arm.keys_each, keys.join(", ")))
    }));
    section.table(
        &Sheet {
            name: "manifest".into(),
            caption: capital("what was run."),
            columns: vec![Column::words("what"), Column::words("value")],
            rows,
        },
        None,
    );
    section
        .folded(&format!("What was run: seed {}, sums of the spec and of all libraries, the keys of each arm", m.seed));
    section.text("Spec of the study", &m.spec).folded("The spec");
    section
}
