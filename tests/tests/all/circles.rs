//! Inside a crate files may use each other in pairs, but no circle is longer: who reads one of three files that need each
//! other has to read all three.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// Longest circle of files that is allowed.
const LONGEST: usize = 2;

/// The sources of a crate by their place below `src`, comments and tests left out.
fn sources(folder: &Path, below: &str, found: &mut BTreeMap<String, String>) {
    for entry in fs::read_dir(folder).unwrap().flatten() {
        let name = entry.file_name().into_string().unwrap();
        let path = entry.path();
        if path.is_dir() {
            sources(&path, &format!("{below}{name}/"), found);
        } else if name.ends_with(".rs") {
            let text = fs::read_to_string(&path).unwrap();
            let text = text.split("#[cfg(test)]\nmod ").next().unwrap();
            let lines = text.lines().map(|line| line.split("//").next().unwrap());
            found.insert(format!("{below}{name}"), lines.collect::<Vec<_>>().join(" "));
        }
    }
}

/// The file of a module.
fn file_of(files: &BTreeMap<String, String>, module: &[String]) -> Option<String> {
    let path = module.join("/");
    let named = if module.is_empty() {
        ["lib.rs".into(), "main.rs".into()]
    } else {
        [format!("{path}.rs"), format!("{path}/mod.rs")]
    };
    named.into_iter().find(|name: &String| files.contains_key(name))
}

/// The module of a file.
fn module_of(file: &str) -> Vec<String> {
    let mut parts: Vec<String> = file.trim_end_matches(".rs").split('/').map(str::to_owned).collect();
    if ["mod", "lib", "main"].contains(&parts.last().unwrap().as_str()) {
        parts.pop();
    }
    parts
}

/// Every name in a list of uses, with the path before it: `a::{b, c::D}` is `[a] b` and `[a, c] D`.
fn spread(text: &str, before: &[String], found: &mut Vec<(Vec<String>, String)>) {
    let mut depth = 0;
    let mut start = 0;
    let mut parts = Vec::new();
    for (at, c) in text.char_indices() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                parts.push(&text[start..at]);
                start = at + 1;
            }
            _ => {}
        }
    }
    parts.push(&text[start..]);
    for part in parts.iter().map(|part| part.trim()).filter(|part| !part.is_empty()) {
        let (path, list) = part.split_once('{').map_or((part, None), |(path, list)| (path, Some(list)));
        let path = path.split(" as ").next().unwrap().trim().trim_end_matches("::");
        let mut names: Vec<String> = before.to_vec();
        names.extend(path.split("::").filter(|name| !name.is_empty()).map(str::to_owned));
        match list {
            Some(list) => spread(list.trim_end().trim_end_matches('}'), &names, found),
            None => {
                let last = names.pop().unwrap();
                found.push((names, last));
            }
        }
    }
}

/// Paths from the root of the crate that a file names in its uses; and those that it passes on.
fn uses(file: &str, text: &str, files: &BTreeMap<String, String>) -> Vec<(bool, Vec<String>, String)> {
    let mut all = Vec::new();
    for statement in text.split(';') {
        let Some((head, body)) = statement.split_once("use ") else { continue };
        if !head.trim_end().ends_with("pub") && !head.trim_end().ends_with(')') && !head.trim_end().is_empty() {
            // A use inside a function counts too, but nothing else may stand before the word on its line.
            if !head.trim_end().ends_with(['{', '}', ']']) {
                continue;
            }
        }
        let public = head.trim_end().ends_with("pub") || head.trim_end().ends_with(')');
        let mut names = Vec::new();
        spread(body, &[], &mut names);
        for (mut path, name) in names {
            let own = module_of(file);
            match path.first().map(String::as_str) {
                Some("crate") => drop(path.remove(0)),
                Some("super") => {
                    let mut above = own.clone();
                    while path.first().is_some_and(|part| part == "super") {
                        path.remove(0);
                        above.pop();
                    }
                    path = [above, path].concat();
                }
                Some(first) if file_of(files, &[own.clone(), vec![first.to_owned()]].concat()).is_some() => {
                    path = [own, path].concat();
                }
                _ => continue,
            }
            all.push((public, path, name));
        }
    }
    all
}

/// Which file a name comes from, through what is passed on.
fn origin(
    files: &BTreeMap<String, String>,
    passed: &BTreeMap<(String, String), (Vec<String>, String)>,
    path: &[String],
    name: &str,
    depth: usize,
) -> Option<String> {
    if let Some(file) = file_of(files, &[path, &[name.to_owned()]].concat()) {
        return Some(file);
    }
    let file = file_of(files, path)?;
    match passed.get(&(file.clone(), name.to_owned())) {
        Some((path, name)) if depth < 8 => origin(files, passed, path, name, depth + 1),
        _ => Some(file),
    }
}

/// Which files each file uses.
fn graph(files: &BTreeMap<String, String>) -> BTreeMap<String, BTreeSet<String>> {
    let found: Vec<_> = files.iter().map(|(file, text)| (file, uses(file, text, files))).collect();
    let mut passed = BTreeMap::new();
    for (file, uses) in &found {
        for (public, path, name) in uses {
            if *public {
                passed.insert(((*file).clone(), name.clone()), (path.clone(), name.clone()));
            }
        }
    }
    let mut graph = BTreeMap::new();
    for (file, uses) in &found {
        // What is passed on is no use of it.
        let wanted = uses.iter().filter(|(public, ..)| !public);
        let targets = wanted.filter_map(|(_, path, name)| origin(files, &passed, path, name, 0));
        graph.insert((*file).clone(), targets.filter(|target| target != *file).collect());
    }
    graph
}

/// Every file that can be reached from one.
fn reached<'a>(graph: &'a BTreeMap<String, BTreeSet<String>>, from: &'a str) -> BTreeSet<&'a str> {
    let mut seen = BTreeSet::new();
    let mut next = vec![from];
    while let Some(file) = next.pop() {
        for target in &graph[file] {
            if seen.insert(target.as_str()) {
                next.push(target);
            }
        }
    }
    seen
}

fn circles(graph: &BTreeMap<String, BTreeSet<String>>) -> BTreeSet<Vec<&str>> {
    let reach: BTreeMap<&str, BTreeSet<&str>> =
        graph.keys().map(|file| (file.as_str(), reached(graph, file))).collect();
    let of = |file: &str| -> Vec<&str> {
        let back = |other: &&&str| reach[**other].contains(file);
        reach[file].iter().filter(back).copied().collect()
    };
    graph.keys().map(|file| of(file)).filter(|circle| circle.len() > 1).collect()
}

#[test]
fn no_circle_of_files_is_longer_than_two() {
    let crates = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../crates"));
    let mut long = Vec::new();
    let mut arrows = 0;
    for entry in fs::read_dir(crates).unwrap().flatten() {
        let mut files = BTreeMap::new();
        sources(&entry.path().join("src"), "", &mut files);
        let graph = graph(&files);
        arrows += graph.values().map(BTreeSet::len).sum::<usize>();
        let own = circles(&graph);
        long.extend(
            own.into_iter()
                .filter(|circle| circle.len() > LONGEST)
                .map(|circle| format!("{}: {}", entry.file_name().to_string_lossy(), circle.join(", "))),
        );
    }
    assert!(arrows > 500, "the uses are read: {arrows}");
    assert!(long.is_empty(), "{}", long.join("\n"));
}

#[test]
fn a_circle_is_seen_through_what_a_module_passes_on() {
    let texts = [
        ("lib.rs", "mod a; mod b; mod c;"),
        ("a/mod.rs", "mod inner; pub use inner::Thing;"),
        ("a/inner.rs", "use crate::b::Other; pub struct Thing;"),
        ("b.rs", "use crate::c::{Third}; pub struct Other;"),
        ("c.rs", "use crate::a::Thing; pub struct Third;"),
    ];
    let files: BTreeMap<String, String> = texts.map(|(file, text)| (file.to_owned(), text.to_owned())).into();
    let graph = graph(&files);
    assert_eq!(circles(&graph), BTreeSet::from([vec!["a/inner.rs", "b.rs", "c.rs"]]));
}
