//! The methods of a study in words, ready to adapt, and the sources they name.

use std::fmt::Write as _;

use agogic_files::Results;
use agogic_lab::Statistic;
use agogic_literature::{BIBLIOGRAPHY, Entry, METHODS};
use agogic_study::ESTIMANDS;

use crate::comparisons::Comparisons;
use crate::words::{capital, latex_text, listed, sources};

/// A paragraph with its heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Paragraph {
    /// Heading.
    pub title: &'static str,
    /// Text; backticks enclose names, `[@key]` names a source.
    pub text: String,
}

/// Methods as aims, data, estimands, methods and performance (ADEMP).
///
/// # Source
/// Morris, White & Crowther 2019, Using simulation studies to evaluate statistical methods, Statistics in Medicine
/// 38:2074–2102, section 3.
pub fn methods(results: &Results) -> Vec<Paragraph> {
    vec![
        Paragraph { title: "Aims", text: aims(results) },
        Paragraph { title: "Data-generating mechanism", text: data(results) },
        Paragraph { title: "Estimands", text: estimands(results) },
        Paragraph { title: "Methods", text: policies(results) },
        Paragraph { title: "Performance measures", text: performance(results) },
    ]
}

fn aims(results: &Results) -> String {
    let m = &results.manifest;
    let question = if m.question.is_empty() { String::new() } else { format!(" The question was: {}", m.question) };
    format!(
        "We compared {} decision rules that tell a tap from a hold on keys with two meanings, in a simulation study \
         reported as aims, data, estimands, methods and performance [@morris2019].{question}",
        m.policies.len()
    )
}

fn data(results: &Results) -> String {
    let m = &results.manifest;
    let mut names: Vec<String> = Vec::new();
    for arm in &m.arms {
        let name = format!("`{}`", arm.population);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let keys: Vec<u64> = m.arms.iter().map(|arm| arm.keys_each).collect();
    let (least, most) = (keys.iter().min().copied().unwrap_or(0), keys.iter().max().copied().unwrap_or(0));
    let keys = if least == most { most.to_string() } else { format!("{least} to {most}") };
    let judged: Vec<usize> = m.arms.iter().map(|arm| results.judged(&arm.label)).collect();
    let (fewest, greatest) = (judged.iter().min().copied().unwrap_or(0), judged.iter().max().copied().unwrap_or(0));
    let judged = if fewest == greatest { greatest.to_string() } else { format!("{fewest} to {greatest}") };
    let stopped = if (fewest as u64) < m.typists {
        format!(" The plan allowed {} typists and a stated rule for stopping earlier.", m.typists)
    } else {
        String::new()
    };
    let assumed = results.register.iter().filter(|entry| entry.provenance.kind() == "assumed").count();
    let words = m.words.map_or(String::new(), |words| format!(" ({words} words once through)"));
    let text = match m.texts.len() {
        1 => format!("the {}{words}", m.text),
        _ => format!("one of the {}{words}, drawn for each typist, each as likely as any other,", m.text),
    };
    let dual = m.arms.first().map_or(0, |arm| arm.dual_role_keys.len());
    format!(
        "Typists of {} were drawn from multivariate distributions of timing traits; each typed {text} {keys} \
         presses in all from some place in it on, with {} shortcuts per 1000 keys on a keyboard with {dual} keys of two meanings. {judged} typists \
         were simulated in each arm.{stopped} Key events follow from intervals, dwells and hold gestures; overlap of keys \
         is not drawn but emerges. The model was set from published values [@dhakal2018] and gestures computed from \
         public logs [@kuruvilla2024], and held against published values that were not used to set it. Of {} numbers of \
         the model {assumed} are assumed; the register states each with its range. All randomness flows from the seed \
         {}, through streams addressed by purpose and typist, so results do not depend on the number of threads.",
        listed(&names),
        m.shortcuts_per_1000_keys,
        results.register.len(),
        m.seed
    )
}

fn estimands(results: &Results) -> String {
    let present = ESTIMANDS.iter().filter(|info| {
        ["false_holds", "missed_holds", "wrong_keys", "harm", "tap_delay"].contains(&info.name)
            && results.rows.iter().any(|row| row.estimand == info.name)
    });
    let definitions = present.map(|info| format!("{} ({}): {}", info.name.replace('_', " "), info.unit, info.doc));
    let definitions: Vec<String> = definitions.collect();
    format!(
        "The primary estimand, named before the study ran, is {}; all others are secondary. {}. Each is a ratio over all presses or words of all typists of an arm; its distribution over typists is \
         reported beside it. A rate without opportunities is unknown, not zero.",
        results.manifest.primary.replace('_', " "),
        capital(&definitions.join("; "))
    )
}

fn policies(results: &Results) -> String {
    let m = &results.manifest;
    let names: Vec<String> = m.policies.iter().map(|policy| format!("`{policy}`")).collect();
    let notes: String = m.notes.iter().map(|note| format!(" {}.", capital(note))).collect();
    let floor = if results.floor.is_empty() {
        String::new()
    } else {
        let costs = m.floor.costs;
        format!(
            " On the presses of the first {} typists of each arm the rules were held against {}: at each rate of false \
             holds it misses the least holds that any rule could that sees no more [@neyman1933]. The loss of a rule above \
             it is what its false holds, at {} each, and its missed holds, at {} each, cost more than those of the \
             observer at these costs.",
            m.arms.iter().map(|arm| results.watched(&arm.label)).max().unwrap_or_default(),
            m.floor.observer(),
            costs.false_hold,
            costs.missed_hold
        )
    };
    format!("The rules were {}. Every rule saw the same presses and no intent.{notes}{floor}", listed(&names))
}

/// A word in the name of a method, and its source.
const SOURCES: [(&str, &str); 12] = [
    ("korn", "korn1998"),
    ("Hall", "hall1992"),
    ("Satterthwaite", "satterthwaite1946"),
    ("normal draws", "hothorn2008"),
    ("Holm", "holm1979"),
    ("two one-sided", "schuirmann1987"),
    ("bootstrap", "efron1993"),
    ("order statistics", "david2003"),
    ("exact", "clopper1934"),
    ("betting", "waudbysmith2024"),
    ("g-modelling", "efron2016"),
    ("over texts", "cameron2011"),
];

fn performance(results: &Results) -> String {
    let m = &results.manifest;
    let mut used: Vec<(&str, String)> = Vec::new();
    let wanted = [
        (Statistic::Pooled, "rates"),
        (Statistic::Difference, "differences"),
        (Statistic::DifferenceJoint, "several differences at once"),
        (Statistic::PHolm, "tests"),
        (Statistic::PNotWorse, "tests of no worse"),
        (Statistic::P95Typist, "quantiles and shares of true rates over typists"),
        (Statistic::P95Session, "quantiles over sessions"),
        (Statistic::PooledOverTexts, "texts like these"),
        (Statistic::AboveFloor, "losses above the floor"),
        (Statistic::PooledAnytime, "estimates of a run that may stop early"),
        (Statistic::PooledRare, "rare errors"),
    ];
    for (statistic, what) in wanted {
        let mut methods: Vec<&str> = Vec::new();
        for row in results.rows.iter().filter(|row| row.statistic == statistic) {
            if !methods.contains(&row.estimate.method.as_str()) {
                methods.push(&row.estimate.method);
            }
        }
        if !methods.is_empty() {
            let keys: Vec<String> = SOURCES
                .iter()
                .filter(|(word, _)| methods.iter().any(|method| method.contains(word)))
                .map(|(_, key)| format!("@{key}"))
                .collect();
            let cited = if keys.is_empty() { String::new() } else { format!(" [{}]", keys.join("; ")) };
            used.push((what, format!("{}{cited}", methods.join(" or "))));
        }
    }
    let used: Vec<String> = used.into_iter().map(|(what, how)| format!("for {what}: {how}")).collect();
    format!(
        "Intervals are of level {} %, their unit of resampling is the typist, and each estimate carries its Monte Carlo \
         standard error. Methods were, {}. Differences are paired, since every rule saw the same presses. An interval \
         says how sure the simulation is of its own population, not how well that population stands for other people. {}",
        m.level * 100.0,
        used.join("; "),
        Comparisons::of(results).words(m.level)
    )
}

/// The methods as Markdown, with sources as `[@key]`.
pub fn methods_markdown(results: &Results) -> String {
    let mut out = format!("# Methods: {}\n\n", results.manifest.study);
    for Paragraph { title, text } in methods(results) {
        writeln!(out, "**{title}.** {text}\n").expect("a string takes all that is written");
    }
    out.push_str(&format!(
        "Made with agogic {} (versions of all libraries: SHA-256 {}); spec: SHA-256 {}.\n",
        results.manifest.agogic, results.manifest.cargo_lock_sha256, results.manifest.spec_sha256
    ));
    out
}

/// The methods as LaTeX, with sources as `\cite{key}`.
pub fn methods_latex(results: &Results) -> String {
    let mut out = String::new();
    for Paragraph { title, text } in methods(results) {
        writeln!(out, "\\paragraph{{{title}.}} {}\n", latex_text(&text)).expect("a string takes all that is written");
    }
    out
}

/// The sources that the methods and the register of a study name, in order of key.
pub fn sources_used(results: &Results) -> Vec<&'static Entry> {
    let methods = methods(results);
    let cited: Vec<&str> = methods.iter().flat_map(|paragraph| sources(&paragraph.text)).collect();
    let register: Vec<String> = results.register.iter().map(|entry| entry.provenance.words()).collect();
    let mut used: Vec<&Entry> = BIBLIOGRAPHY
        .iter()
        .chain(METHODS)
        .filter(|entry| cited.contains(&entry.key) || register.iter().any(|text| text.contains(entry.key)))
        .collect();
    used.sort_by_key(|entry| entry.key);
    used
}

/// The sources as BibTeX.
pub fn bibtex(results: &Results) -> String {
    sources_used(results).iter().map(|entry| entry.bibtex()).collect::<Vec<_>>().join("\n")
}
