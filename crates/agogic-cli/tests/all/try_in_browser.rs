//! `agogic try` in a headless browser: a synthetic volunteer types through real key events, and the answer on the screen is that
//! of `agogic advise --log` on the log that the page saves.
//!
//! Needs what `page_in_browser` needs, and is skipped like it.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use agogic_log::{Intent, Log, LogLayout};
use serde_json::{Value, json};

use crate::browser::Browser;
use crate::common::agogic;
use crate::page_in_browser::{axe, browser, serious};

/// The command, ended with the test.
struct Serving {
    child: Child,
    address: String,
    begun: Instant,
}

impl Serving {
    fn start(folder: &Path, more: &[&str]) -> Self {
        let begun = Instant::now();
        let mut child = Command::new(env!("CARGO_BIN_EXE_agogic"))
            .current_dir(folder)
            .args(["try", "--no-open", "--json"])
            .args(more)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let told: Value = serde_json::from_str(&line).unwrap();
        Self { child, address: told["address"].as_str().unwrap().to_owned(), begun }
    }
}

impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The times of a synthetic volunteer, one after the other and from the start again.
struct Volunteer {
    dwells: Vec<u64>,
    intervals: Vec<u64>,
    /// Of holds: from the press to the target's, and from there to the release.
    gestures: Vec<(u64, u64)>,
    next: [usize; 3],
}

impl Volunteer {
    fn new() -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-synthetic/logs/prompted-volunteer.csv");
        let log: Log = agogic_log::read(
            BufReader::new(fs::File::open(path).unwrap()),
            agogic_log::Format::Csv,
            &LogLayout::events(),
            agogic_log::Limits::default(),
            agogic_log::Rules::default(),
        )
        .unwrap();
        let session = &log.sessions[0];
        let (mut dwells, mut intervals, mut gestures) = (Vec::new(), Vec::new(), Vec::new());
        for (at, pair) in session.presses.windows(2).enumerate() {
            let interval = pair[1].down.since(pair[0].down).0 / 1000;
            if matches!(session.intents[at], Some(Intent::Hold(Some(_)))) && pair[1].down < pair[0].up {
                gestures.push((interval, pair[0].up.since(pair[1].down).0 / 1000));
            } else if session.intents[at] == Some(Intent::Tap) {
                dwells.push(pair[0].dwell().0 / 1000);
                // Quicker than the volunteer between keys: a test waits for every one.
                intervals.push(interval.min(120));
            }
        }
        assert!(dwells.len() > 300 && gestures.len() > 50, "{} {}", dwells.len(), gestures.len());
        Self { dwells, intervals, gestures, next: [0; 3] }
    }

    fn take<T: Copy>(list: &[T], next: &mut usize) -> T {
        *next += 1;
        list[(*next - 1) % list.len()]
    }

    /// A phrase and Enter. A key is not pressed before it is up.
    fn phrase(&mut self, text: &str) -> Vec<(u64, bool, String)> {
        let (mut edges, mut now, mut last) = (Vec::new(), 20, std::collections::BTreeMap::new());
        for letter in text.chars().map(String::from).chain(["Enter".to_owned()]) {
            if let Some(up) = last.get(&letter) {
                now = now.max(up + 5);
            }
            if letter == "Enter" {
                now = now.max(last.values().max().unwrap() + 20);
            }
            let dwell = Self::take(&self.dwells, &mut self.next[0]).max(5);
            edges.extend([(now, true, letter.clone()), (now + dwell, false, letter.clone())]);
            last.insert(letter, now + dwell);
            now += Self::take(&self.intervals, &mut self.next[1]).max(1);
        }
        edges
    }

    fn hold(&mut self, key: &str, target: &str) -> Vec<(u64, bool, String)> {
        let (lead, release) = Self::take(&self.gestures, &mut self.next[2]);
        let down = 20 + lead;
        let edges = [(20, true, key), (down, true, target), (down + 60, false, target), (down + release, false, key)];
        edges.map(|(at, down, key)| (at, down, key.to_owned())).to_vec()
    }
}

fn text(browser: &Browser, id: &str) -> String {
    browser.script(&format!("return document.getElementById('{id}').innerText")).as_str().unwrap().to_owned()
}

fn tap(browser: &Browser, key: &str) {
    browser.keys(vec![(0, true, key.to_owned()), (30, false, key.to_owned())]);
}

/// Presses a button by keyboard: a browser saves several files only for somebody who asks for each.
fn press(browser: &Browser, id: &str) {
    browser.script(&format!("document.getElementById('{id}').focus()"));
    tap(browser, "Enter");
}

fn click(browser: &Browser, id: &str) {
    browser.script(&format!("document.getElementById('{id}').click()"));
}

fn shown(id: &str) -> String {
    format!("!document.getElementById('{id}').hidden")
}

/// What the log of the page is, from the program.
fn kept(browser: &Browser) -> String {
    let script = "const done = arguments[arguments.length - 1]; \
        fetch('work/' + sessionStorage.getItem('work')).then(r => r.json()).then(work => done(work.log))";
    browser.script_async(script).as_str().unwrap().to_owned()
}

fn saved(folder: &Path, name: &str) -> PathBuf {
    let file = folder.join(name);
    let there = (0..200).any(|_| {
        std::thread::sleep(Duration::from_millis(50));
        file.exists()
    });
    assert!(there, "{name} was not saved");
    file
}

/// A browser writes 1 for 1.0.
fn as_floats(value: &Value) -> Value {
    match value {
        Value::Number(number) => json!(number.as_f64()),
        Value::Array(all) => all.iter().map(as_floats).collect(),
        Value::Object(all) => all.iter().map(|(name, own)| (name.clone(), as_floats(own))).collect(),
        other => other.clone(),
    }
}

/// Types what is prompted until the place says so; gives the presses that were injected, key and dwell.
fn type_until(browser: &Browser, volunteer: &mut Volunteer, injected: &mut Vec<(String, u64)>, done: &str) {
    for _ in 0..80 {
        if browser.script(&format!("return Boolean({done})")) == true {
            return;
        }
        let prompt = text(browser, "prompt");
        let edges = match prompt.strip_prefix("Hold ").and_then(|rest| rest.split_once(" and press ")) {
            Some((key, target)) => volunteer.hold(&key.to_lowercase(), &target.to_lowercase()),
            None => volunteer.phrase(&prompt),
        };
        for (at, down, key) in &edges {
            if *down {
                let up = edges.iter().find(|(later, down, other)| !down && other == key && later > at).unwrap().0;
                injected.push((key.clone(), up - at));
            }
        }
        browser.keys(edges);
    }
    panic!("{done} does not come");
}

#[test]
fn the_answer_on_the_screen_is_that_of_the_saved_log() {
    let profile = tempfile::tempdir().unwrap();
    let Some(browser) = browser(profile.path()) else { return };
    let folder = tempfile::tempdir().unwrap();
    let spec = "name = \"one\"\nseed = 3\n[text]\nwords = \"Ask Ada; the tide turns as the fiddler leads.\"\n\
                [workload]\nshortcuts_per_1000_keys = 20\n[typists]\nnumber = 20\n[[policy]]\nrule = \"enclosed\"\n";
    fs::write(folder.path().join("my.toml"), spec).unwrap();
    let now = "enclosed, lull 300";
    let serving = Serving::start(folder.path(), &["--spec", "my.toml", "--now", now]);
    let axe = axe();
    if axe.is_none() {
        assert!(
            std::env::var_os("AGOGIC_NEED_AXE").is_none(),
            "AGOGIC_NEED_AXE is set, but npm does not bring axe-core"
        );
        eprintln!("skipped in part: npm does not bring axe-core, so accessibility is not checked");
    }
    let shots = std::env::var_os("AGOGIC_SHOTS").map(PathBuf::from);
    let check = |name: &str| {
        for (width, scheme) in [(1280, "light"), (320, "dark"), (2560, "light")] {
            browser.size(width, 900);
            browser.prefer(scheme);
            let over = browser.script("return document.documentElement.scrollWidth").as_f64().unwrap();
            assert!(over <= f64::from(width), "{name}: {over} px at {width} px");
            if let Some(axe) = &axe {
                browser.script(axe);
                assert_eq!(serious(&browser), Vec::<String>::new(), "{name}, {width} px, {scheme}");
            }
            if let Some(folder) = &shots {
                fs::create_dir_all(folder).unwrap();
                fs::write(folder.join(format!("try-{name}-{width}.png")), browser.screenshot()).unwrap();
            }
        }
        browser.size(1280, 900);
        browser.prefer("light");
    };

    browser.visit(&serving.address);
    let ready = "document.documentElement.dataset.ready";
    browser.wait(ready);
    check("start");
    // By keyboard alone.
    browser.script("document.getElementById('begin').focus()");
    tap(&browser, "Enter");
    browser.wait(&shown("work"));
    eprintln!(
        "from the command to the prompt: {:.2} s, checks of the start page included",
        serving.begun.elapsed().as_secs_f64()
    );
    assert_eq!(browser.script("return document.activeElement.id"), "field");
    assert!(text(&browser, "needs").contains("500 more presses and 20 more holds"), "{}", text(&browser, "needs"));

    let mut volunteer = Volunteer::new();
    let mut injected = Vec::new();
    // Times that are known: recorded to within a millisecond in the median (the bar of this page).
    let stamps: Vec<(char, f64)> = ('a'..='z').zip((0..).map(|n| 31.25 + 7.5 * f64::from(n))).collect();
    for (letter, dwell) in &stamps {
        let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_secs_f64();
        browser.stamped(*letter, now - 0.25, *dwell);
        injected.push((letter.to_string(), *dwell as u64));
    }
    browser.script("document.getElementById('field').value = ''");
    let item = |number: usize| format!("document.getElementById('progress').value >= {number}");
    type_until(&browser, &mut volunteer, &mut injected, &item(1));
    check("hold");
    browser.script("document.getElementById('field').focus()");
    // Not as asked: the key alone.
    let wrong = text(&browser, "prompt").split(' ').nth(1).unwrap().to_lowercase();
    browser.keys(vec![(0, true, wrong.clone()), (300, false, wrong.clone())]);
    assert!(text(&browser, "hint").contains("Not yet"), "{}", text(&browser, "hint"));
    injected.push((wrong.clone(), 300));
    let rejected = format!("Key{},press,rejected,\n", wrong.to_uppercase());

    type_until(&browser, &mut volunteer, &mut injected, &item(10));
    // A reload in the middle, at once: nothing is lost, and what is needed still is the same.
    let needs = text(&browser, "needs");
    browser.script("location.reload()");
    browser.wait(&format!("{ready} && {}", shown("work")));
    assert_eq!((text(&browser, "needs"), text(&browser, "pause")), (needs, "Go on".to_owned()));
    let log = kept(&browser);
    assert_eq!(log.matches(",press,").count(), injected.len());
    assert!(log.contains(&rejected), "{rejected} is not in the log");
    let known: Vec<f64> = stamps.iter().map(|(_, dwell)| *dwell).collect();
    let error = median_error("stamped", &log, 0, &known);
    assert!(error <= 1.0, "{error} ms");
    let others: Vec<f64> = injected[known.len()..].iter().map(|(_, dwell)| *dwell as f64).collect();
    median_error("driven", &log, known.len(), &others);
    // Another tab goes on with the same work, and then this one does: neither loses anything.
    let [second, first] = browser.other_tab();
    browser.visit(&serving.address);
    browser.wait(ready);
    assert!(text(&browser, "earlier-list").contains(&format!("{} presses", injected.len())));
    browser.script("document.querySelector('#earlier-list button').click()");
    browser.wait(&shown("work"));
    let mut there = Vec::new();
    let prompt = text(&browser, "prompt");
    assert!(prompt.starts_with("Hold "), "{prompt}");
    type_until(&browser, &mut volunteer, &mut there, &item(11));
    browser.wait("new Promise(done => setTimeout(() => done(true), 1500))");
    assert_eq!(kept(&browser).matches(",press,").count(), injected.len() + there.len());
    browser.turn_to(&first);
    click(&browser, "pause");
    type_until(&browser, &mut volunteer, &mut injected, &item(36));
    assert!(text(&browser, "needs").starts_with("Enough"), "{}", text(&browser, "needs"));

    click(&browser, "stop");
    let begun = Instant::now();
    browser.wait(&format!("{} || document.getElementById('wait-head').innerText === 'No answer'", shown("answer")));
    eprintln!("from the last key to the answer: {:.2} s", begun.elapsed().as_secs_f64());
    check("answer");
    let sentences = browser.script("return [...document.querySelectorAll('.sentence')].map(p => p.textContent)");
    press(&browser, "save-log");
    let csv = saved(profile.path(), "agogic-log.csv");
    press(&browser, "save-answer");
    let answer: Value =
        serde_json::from_slice(&fs::read(saved(profile.path(), "agogic-answer.json")).unwrap()).unwrap();
    let file = csv.to_str().unwrap();
    let (code, out, err) = agogic(folder.path(), &["advise", "my.toml", "--log", file, "--now", now]);
    assert_eq!(code, 0, "{err}");
    let said: Vec<&str> = sentences.as_array().unwrap().iter().map(|own| own.as_str().unwrap()).collect();
    assert!(!said.is_empty());
    // The screen shows settings as code in place of backticks.
    let told: Vec<String> = out.split("\n\n").take(said.len()).map(|part| part.replace('`', "")).collect();
    assert_eq!(said, told);
    let (code, out, err) = agogic(folder.path(), &["advise", "my.toml", "--log", file, "--now", now, "--json"]);
    assert_eq!(code, 0, "{err}");
    let advised: Value = serde_json::from_str(&out).unwrap();
    for part in ["advice", "fit"] {
        // Too long to print where they differ.
        assert!(as_floats(&answer[part]) == as_floats(&advised[part]), "{part} of the page is not that of the command");
    }
    assert!(answer["advice"]["verdict"].is_null() && answer["advice"]["known"][1].as_u64().unwrap() >= 20);
    let counts = &answer["typed"]["counts"][0];
    assert_eq!((counts["rule"].as_str(), counts["setting"].as_str()), (Some("before"), Some(now)));

    // The slider stands where the setting in use does, and shows its errors; moved, it shows others.
    let mover = |script: &str| browser.script(&format!("const box = document.querySelector('#own-mover'); {script}"));
    let both = "[...box.querySelectorAll('.both strong')].map(own => own.textContent)";
    let of = |pair: &Value| format!("{} of {}", pair[1], pair[0]);
    assert_eq!(mover(&format!("return {both}")), json!([of(&counts["letters"]), of(&counts["holds"])]));
    let row = answer["typed"]["counts"].as_array().unwrap().iter().find(|own| own["rule"] == "dwell-cutoff").unwrap();
    let place = &row["place"];
    let moved = mover(&format!(
        "const [rule, value, lull, floor, hand] = box.querySelectorAll('select, input'); \
         const set = (input, to, kind) => {{ input.value = to; input.dispatchEvent(new Event(kind, {{ bubbles: true }})); }}; \
         set(rule, 0, 'change'); set(value, {}, 'input'); set(lull, {}, 'input'); set(floor, {}, 'input'); \
         if (hand.checked !== {}) hand.click(); return {both}",
        place["value"], place["lull"], place["floor"], place["other_hand"]
    ));
    assert_eq!(moved, json!([of(&row["letters"]), of(&row["holds"])]));

    // Looked at again, the answer is still there; then everything is forgotten.
    browser.script("location.reload()");
    browser.wait(&format!("{ready} && {}", shown("answer")));
    let again = browser.script("return [...document.querySelectorAll('.sentence')].map(p => p.textContent)");
    assert_eq!(again, sentences);
    browser.script("window.confirm = () => true");
    click(&browser, "forget");
    browser.wait(&format!("{ready} && {}", shown("start")));
    let left = "const done = arguments[arguments.length - 1]; fetch('work').then(r => r.json()).then(done)";
    assert_eq!(browser.script_async(left), json!([]));
    browser.turn_to(&second);
    browser.script("location.reload()");
    browser.wait(&format!("{ready} && {}", shown("start")));

    // Without typing: people, both errors, the default.
    click(&browser, "look");
    browser.wait("document.querySelector('#people-mover .mover')");
    check("explorer");
    assert!(text(&browser, "people-about").contains("The one default"), "{}", text(&browser, "people-about"));
    let others =
        "return performance.getEntriesByType('resource').filter(own => !own.name.startsWith(location.origin)).length";
    assert_eq!(browser.script(others), 0);
    let errors: Vec<Value> = browser.console().into_iter().filter(|line| line["level"] == "SEVERE").collect();
    // Of work that a second tab goes on with, or that was forgotten, a tab learns by a refusal, which the browser lists.
    let refusals = ["409 (Conflict)", "404 (Not Found)"];
    let expected = |line: &&Value| refusals.iter().any(|own| line["message"].as_str().unwrap().contains(own));
    assert_eq!(errors.iter().filter(|line| !expected(line)).collect::<Vec<_>>(), Vec::<&Value>::new());
}

/// How far recorded dwells are from those that were injected, in ms, in the median. Of driven keys it is the error of the
/// driver and of a busy machine too.
fn median_error(kind: &str, log: &str, first: usize, injected: &[f64]) -> f64 {
    let read = agogic_log::read_bytes(log.as_bytes(), &LogLayout::events()).unwrap();
    let presses = read.sessions.iter().flat_map(|own| &own.presses).skip(first);
    let mut errors: Vec<f64> =
        presses.zip(injected).map(|(press, wanted)| (press.dwell().ms() - wanted).abs()).collect();
    errors.sort_by(f64::total_cmp);
    let at = |share: usize| errors[errors.len() * share / 100];
    eprintln!("recorded against injected dwells, {kind}: {:.3} ms in the median, {:.3} at 95 of 100", at(50), at(95));
    at(50)
}
