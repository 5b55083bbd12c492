//! The recording page in a headless browser, with real key events, from consent to the saved log.
//!
//! Needs `chromedriver` and `chromium` (Debian's packages chromium and chromium-driver); without them the
//! test says so and passes, unless `AGOGIC_NEED_BROWSER` is 1.

use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use agogic_keys::Code;
use agogic_log::{Format, HoldPrompt, Intent, Limits, Log, LogLayout, RecordPage, Rules, SessionLog, read};
use serde_json::{Value, json};

/// A browser driven over the W3C WebDriver protocol.
struct Browser {
    driver: Child,
    agent: ureq::Agent,
    base: String,
    session: String,
}

impl Browser {
    /// Starts one that saves into `folder`; `None` when the machine has none.
    fn start(folder: &Path) -> Option<Self> {
        let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let driver = Command::new("chromedriver")
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .ok()?;
        let agent: ureq::Agent = ureq::Agent::config_builder().http_status_as_error(false).build().into();
        let mut browser = Self { driver, agent, base: format!("http://127.0.0.1:{port}"), session: String::new() };
        let ready = (0..100).any(|_| {
            std::thread::sleep(Duration::from_millis(50));
            browser.agent.get(format!("{}/status", browser.base)).call().is_ok()
        });
        assert!(ready, "chromedriver started but does not answer");
        let options = json!({
            "args": ["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                "--disable-background-networking", "--disable-component-update", "--disable-sync",
                format!("--user-data-dir={}", folder.join("profile").display())],
            "prefs": { "download.default_directory": folder, "download.prompt_for_download": false },
        });
        let wanted = json!({ "capabilities": { "alwaysMatch": { "goog:chromeOptions": options } } });
        let reply = browser.post("/session", &wanted);
        browser.session = match reply["sessionId"].as_str() {
            Some(id) => format!("/session/{id}"),
            None if reply["message"].as_str().is_some_and(|text| text.contains("binary")) => return None,
            None => panic!("no browser session: {reply}"),
        };
        Some(browser)
    }

    fn post(&self, path: &str, body: &Value) -> Value {
        let mut answer = self.agent.post(format!("{}{path}", self.base)).send_json(body).unwrap();
        answer.body_mut().read_json::<Value>().unwrap()["value"].clone()
    }

    fn call(&self, path: &str, body: Value) -> Value {
        let value = self.post(&format!("{}{path}", self.session), &body);
        assert!(value.get("error").is_none(), "{path}: {value}");
        value
    }

    fn script(&self, script: &str) -> Value {
        self.call("/execute/sync", json!({ "script": script, "args": [] }))
    }

    /// Presses and releases keys; `steps` holds `+k` and `-k` for down and up, and numbers for pauses in ms.
    fn keys(&self, steps: &[&str]) {
        let named = |key: &str| match key {
            "Enter" => "\u{e006}".to_owned(),
            "Shift" => "\u{e008}".to_owned(),
            "Control" => "\u{e009}".to_owned(),
            "Tab" => "\u{e004}".to_owned(),
            "Escape" => "\u{e00c}".to_owned(),
            "Space" => " ".to_owned(),
            other => other.to_owned(),
        };
        let actions: Vec<Value> = steps
            .iter()
            .map(|step| match step.split_at(1) {
                ("+", key) => json!({ "type": "keyDown", "value": named(key) }),
                ("-", key) => json!({ "type": "keyUp", "value": named(key) }),
                _ => json!({ "type": "pause", "duration": step.parse::<u64>().unwrap() }),
            })
            .collect();
        self.call("/actions", json!({ "actions": [{ "type": "key", "id": "keyboard", "actions": actions }] }));
    }

    fn tap(&self, key: &str) {
        self.keys(&[&format!("+{key}"), "20", &format!("-{key}"), "20"]);
    }

    fn focused(&self) -> String {
        self.script("return document.activeElement.id || document.activeElement.tagName").as_str().unwrap().to_owned()
    }

    fn inner_text(&self, id: &str) -> String {
        self.script(&format!("return document.getElementById('{id}').innerText")).as_str().unwrap().to_owned()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if !self.session.is_empty() {
            let _ = self.agent.delete(format!("{}{}", self.base, self.session)).call();
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

fn code(name: &str) -> Code {
    name.parse().unwrap()
}

fn page() -> RecordPage {
    RecordPage {
        phrases: vec!["sea fog".to_owned(), "tin cup".to_owned()],
        capitals: vec!["Ada".to_owned()],
        shortcuts: vec![code("KeyB")],
        holds: vec![
            HoldPrompt { key: code("KeyF"), target: Some(code("KeyJ")) },
            HoldPrompt { key: code("KeyJ"), target: None },
        ],
        free_minutes: 1,
        ..RecordPage::default()
    }
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

fn session<'a>(log: &'a Log, name: &str) -> &'a SessionLog {
    log.sessions.iter().find(|session| session.session == name).unwrap_or_else(|| panic!("no session {name}"))
}

fn names(session: &SessionLog) -> Vec<&str> {
    session.presses.iter().map(|press| press.code.name()).collect()
}

/// A browser, or `None` with a word about it.
fn browser(folder: &Path) -> Option<Browser> {
    let browser = Browser::start(folder);
    if browser.is_none() {
        let needed = std::env::var("AGOGIC_NEED_BROWSER").is_ok_and(|needed| needed == "1");
        assert!(!needed, "chromedriver or chromium is missing");
        eprintln!("skipped: this needs chromedriver and chromium");
    }
    browser
}

#[test]
fn legacy_key_codes_are_those_of_a_browser() {
    let folder = tempfile::tempdir().unwrap();
    let Some(browser) = browser(folder.path()) else { return };
    browser.call("/url", json!({ "url": "about:blank" }));
    browser.script(
        "window.seen = []; addEventListener('keydown', event => { event.preventDefault(); \
         seen.push([event.code, event.keyCode]); });",
    );
    let named = ["Enter", "Shift", "Control", "Space"].map(str::to_owned);
    let others =
        ["\u{e00a}", "\u{e03d}", "\u{e003}", "\u{e00e}", "\u{e010}", "\u{e012}", "\u{e013}", "\u{e017}", "\u{e031}"];
    let plain = "abcdefghijklmnopqrstuvwxyz0123456789-=[]\\;'`,./".chars().map(String::from);
    for key in named.into_iter().chain(others.map(str::to_owned)).chain(plain) {
        browser.tap(&key);
    }
    let seen = browser.script("return window.seen");
    let seen = seen.as_array().unwrap();
    assert!(seen.len() >= 58, "{}", seen.len());
    let layout = LogLayout::preset("pairs-keycode-ms").unwrap();
    for pair in seen {
        let (code, key_code) = (pair[0].as_str().unwrap(), &pair[1]);
        let row = format!("participant,session,keycode,press_ms,release_ms\na,1,{key_code},5,90\n");
        let log = agogic_log::read_bytes(row.as_bytes(), &layout).unwrap();
        assert_eq!(names(&log.sessions[0]), [code], "keyCode {key_code}");
    }
}

#[test]
fn from_consent_to_a_log_by_keyboard_alone() {
    let folder = tempfile::tempdir().unwrap();
    let Some(browser) = browser(folder.path()) else { return };
    let file = folder.path().join("record.html");
    std::fs::write(&file, page().render().unwrap()).unwrap();
    browser.call("/url", json!({ "url": format!("file://{}", file.display()) }));

    // Every control has a name for a screen reader, and what changes is announced.
    let nameless = "return [...document.querySelectorAll('input, textarea, button, progress')].filter(part => \
        !(part.labels && part.labels.length) && !part.innerText && !part.textContent \
        && !part.getAttribute('aria-labelledby')).length";
    assert_eq!(browser.script(nameless), 0);
    assert_eq!(browser.script("return document.querySelectorAll('[aria-live]').length"), 2);
    assert_eq!(browser.script("return document.getElementById('begin').disabled"), true);

    // Keys outside the field, before and after it is there, must not be recorded.
    browser.script("document.getElementById('who').focus(); document.getElementById('who').select()");
    for key in ["a", "d", "a", "1", "Tab", "Space", "Tab"] {
        browser.tap(key);
    }
    assert_eq!(browser.focused(), "begin");
    browser.tap("Enter");
    assert_eq!(browser.focused(), "field");
    assert!(browser.inner_text("where").contains("Task 1 of 5, item 1 of 2"));
    assert_eq!(browser.inner_text("prompt"), "sea fog");

    // Phrase one with rollover: the second key goes down before the first is up.
    browser.keys(&["+s", "60", "+e", "40", "-s", "50", "-e", "30", "+a", "70", "-a", "30", "+Space", "60", "-Space"]);
    for key in ["f", "o", "g", "Enter"] {
        browser.tap(key);
    }
    assert_eq!(browser.inner_text("prompt"), "tin cup");
    // A pause in phrase two: what is typed meanwhile is nobody's business.
    browser.tap("t");
    browser.tap("Escape");
    assert_eq!(browser.focused(), "pause");
    browser.tap("x");
    browser.tap("Enter");
    assert_eq!(browser.focused(), "field");
    for key in ["i", "n", "Enter"] {
        browser.tap(key);
    }

    assert_eq!(browser.inner_text("prompt"), "Ada");
    browser.keys(&["+Shift", "80", "+a", "70", "-a", "40", "-Shift", "30"]);
    for key in ["d", "a", "Enter"] {
        browser.tap(key);
    }

    assert_eq!(browser.inner_text("prompt"), "Hold Control and press B");
    browser.keys(&["+Control", "90", "+b", "60", "-b", "30", "-Control"]);
    assert_eq!(browser.inner_text("prompt"), "Hold F and press J");
    // Let go too early: not a hold, and the page says so.
    browser.keys(&["+f", "50", "-f", "50"]);
    assert!(browser.inner_text("hint").contains("Not yet"));
    browser.keys(&["+f", "120", "+j", "60", "-j", "30", "-f"]);
    assert!(browser.inner_text("prompt").contains("Hold J alone"));
    browser.keys(&["+j", "250", "-j"]);

    assert!(browser.inner_text("where").contains("Task 5 of 5"));
    for key in ["h", "i", "Tab"] {
        browser.tap(key);
    }
    assert_eq!(browser.focused(), "next");
    browser.tap("Enter");
    assert!(browser.inner_text("clock").contains("steps of"));
    // 9 in phrases, 3 after the pause, 5 in capitals, 2, 4 and 2.
    assert!(browser.inner_text("count").starts_with("25 key presses"), "{}", browser.inner_text("count"));
    browser.script("document.getElementById('save').focus()");
    browser.tap("Enter");
    let csv = saved(folder.path(), "ada1-events.csv");
    browser.script("document.getElementById('about').focus()");
    browser.tap("Enter");
    let notes: Value =
        serde_json::from_slice(&std::fs::read(saved(folder.path(), "ada1-notes.json")).unwrap()).unwrap();
    let step_ms = notes["clock_step_ms"].as_f64().unwrap();
    assert!(step_ms > 0.0 && step_ms < 20.0, "{step_ms}");

    let bytes = std::fs::read(csv).unwrap();
    let log = read(&bytes[..], Format::Csv, &LogLayout::events(), Limits::default(), Rules::default()).unwrap();
    assert!(log.report.defects.is_empty(), "{}", log.report);
    assert_eq!((log.report.participants, log.report.presses), (1, 25));
    assert!(log.sessions.iter().all(|session| session.participant == "ada1"));

    let phrases = session(&log, "phrases");
    assert_eq!(names(phrases), ["KeyS", "KeyE", "KeyA", "Space", "KeyF", "KeyO", "KeyG", "Enter", "KeyT"]);
    assert!(phrases.presses[0].up > phrases.presses[1].down, "the rollover is in the log");
    // The browser waits at least as long as it was told.
    assert!(phrases.presses[0].dwell().ms() >= 95.0, "{}", phrases.presses[0].dwell());
    assert_eq!(phrases.intents[0], Some(Intent::Tap));
    assert_eq!(names(session(&log, "phrases-2")), ["KeyI", "KeyN", "Enter"], "the pause is no part of it");

    let capitals = session(&log, "capitals");
    assert_eq!(names(capitals), ["ShiftLeft", "KeyA", "KeyD", "KeyA", "Enter"]);
    assert_eq!(capitals.intents[0], Some(Intent::Hold(Some(code("KeyA")))));
    assert_eq!(session(&log, "shortcuts").intents, [Some(Intent::Hold(Some(code("KeyB")))), Some(Intent::Tap)]);

    let holds = session(&log, "holds");
    assert_eq!(names(holds), ["KeyF", "KeyF", "KeyJ", "KeyJ"]);
    let for_j = Some(Intent::Hold(Some(code("KeyJ"))));
    // The attempt that was let go too early is in the log, but nobody knows what it meant.
    assert_eq!(holds.intents, [None, for_j, Some(Intent::Tap), Some(Intent::Hold(None))]);
    assert!(String::from_utf8_lossy(&bytes).contains("KeyF,press,rejected,\n"));
    assert!(holds.presses[3].dwell().ms() >= 245.0);
    let free = session(&log, "free");
    assert_eq!((names(free), &free.intents[..]), (vec!["KeyH", "KeyI"], &[None, None][..]));
}

#[test]
fn prompts_name_what_the_keys_of_this_keyboard_give() {
    let folder = tempfile::tempdir().unwrap();
    let Some(browser) = browser(folder.path()) else { return };
    let file = folder.path().join("record.html");
    std::fs::write(&file, page().render().unwrap()).unwrap();
    browser.call("/url", json!({ "url": format!("file://{}", file.display()) }));
    // Keyboards whose Y and Z, and whose A and Q, have changed places, and one of another script.
    let of = |script: &str| {
        browser.script(&format!(
            "const board = recording.keyboard(); const learn = (code, key) => board.learn({{ code, key }}); {script}"
        ))
    };
    let german = "learn('KeyY', 'z'); learn('KeyZ', 'y'); ";
    assert_eq!(of(&format!("{german} return [board.shown('KeyZ'), board.keyOf('KeyZ')]")), json!(["Y", "KeyY"]));
    // The shortcut of Z is made with the key that gives z; a hold is made where its key lies.
    let gave = "[board.gave({ code: 'KeyY', key: 'z' }, 'KeyZ'), board.gave({ code: 'KeyZ', key: 'y' }, 'KeyZ')]";
    assert_eq!(of(&format!("{german} return {gave}")), json!([true, false]));
    let french = "learn('KeyQ', 'a'); learn('KeyA', 'q'); ";
    let is = "[board.is({ code: 'KeyA', key: 'q' }, 'KeyA'), board.is({ code: 'KeyQ', key: 'a' }, 'KeyA')]";
    assert_eq!(of(&format!("{french} return [board.shown('KeyA'), ...{is}]")), json!(["Q", true, false]));
    let greek = "learn('KeyF', '\u{3c6}'); ";
    let both = "[board.shown('KeyF'), board.gave({ code: 'KeyF', key: '\u{3c6}' }, 'KeyF')]";
    assert_eq!(of(&format!("{greek} return {both}")), json!(["\u{3a6}", true]));
    assert_eq!(browser.script("return recording.place('KeyA')"), "left little finger, home row");
}
