//! A browser driven over the W3C WebDriver protocol.

use std::net::TcpListener;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::{Value, json};

/// A headless browser with one page.
pub struct Browser {
    driver: Child,
    agent: ureq::Agent,
    session: String,
}

impl Browser {
    /// Starts one that keeps its profile in `folder`; `None` when the machine has none.
    pub fn start(folder: &Path) -> Option<Self> {
        let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let mut command = Command::new("chromedriver");
        let driver = command.arg(format!("--port={port}")).stdout(Stdio::null()).stderr(Stdio::null()).spawn().ok()?;
        let agent = ureq::Agent::config_builder().http_status_as_error(false).build().into();
        let mut browser = Self { driver, agent, session: format!("http://127.0.0.1:{port}") };
        let base = browser.session.clone();
        let answers = || browser.agent.get(format!("{base}/status")).call().is_ok();
        let waited = (0..100).any(|_| {
            answers() || {
                std::thread::sleep(Duration::from_millis(50));
                false
            }
        });
        assert!(waited, "chromedriver started but does not answer");
        let profile = format!("--user-data-dir={}", folder.display());
        let args = ["--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync", &profile];
        let wanted = json!({
            "goog:chromeOptions": {
                "args": args,
                "excludeSwitches": ["enable-automation"],
                "prefs": { "download.default_directory": folder, "download.prompt_for_download": false },
            },
            "goog:loggingPrefs": { "browser": "ALL" },
        });
        let reply = browser.post("/session", &json!({ "capabilities": { "alwaysMatch": wanted } }));
        let id = reply["sessionId"].as_str()?;
        browser.session = format!("{base}/session/{id}");
        Some(browser)
    }

    fn post(&self, path: &str, body: &Value) -> Value {
        let mut answer = self.agent.post(format!("{}{path}", self.session)).send_json(body).unwrap();
        answer.body_mut().with_config().limit(64 << 20).read_json::<Value>().unwrap()["value"].take()
    }

    fn call(&self, path: &str, body: Value) -> Value {
        let value = self.post(path, &body);
        assert!(value.get("error").is_none(), "{path}: {value}");
        value
    }

    fn tools(&self, command: &str, params: Value) -> Value {
        self.call("/goog/cdp/execute", json!({ "cmd": command, "params": params }))
    }

    /// Opens a file.
    pub fn open(&self, file: &Path) {
        self.call("/url", json!({ "url": format!("file://{}", file.canonicalize().unwrap().display()) }));
    }

    /// Opens an address.
    pub fn visit(&self, url: &str) {
        self.call("/url", json!({ "url": url }));
    }

    /// Opens another tab and turns to it; its name, and that of the tab before.
    pub fn other_tab(&self) -> [String; 2] {
        let before = self.agent.get(format!("{}/window", self.session)).call().unwrap().body_mut().read_json::<Value>();
        let before = before.unwrap()["value"].as_str().unwrap().to_owned();
        let new = self.call("/window/new", json!({ "type": "tab" }))["handle"].as_str().unwrap().to_owned();
        self.turn_to(&new);
        [new, before]
    }

    /// Turns to a tab.
    pub fn turn_to(&self, tab: &str) {
        self.call("/window", json!({ "handle": tab }));
    }

    /// Waits until a script says yes.
    pub fn wait(&self, script: &str) {
        let there = (0..600).any(|_| {
            self.script(&format!("return Boolean({script})")) == true || {
                std::thread::sleep(Duration::from_millis(50));
                false
            }
        });
        assert!(there, "{script} does not come true: {:?}", self.console());
    }

    /// Presses and releases keys at times in ms, as a keyboard does: each down or up.
    pub fn keys(&self, mut edges: Vec<(u64, bool, String)>) {
        edges.sort_by_key(|(at, ..)| *at);
        let mut now = 0;
        let mut actions = Vec::new();
        for (at, down, key) in edges {
            if at > now {
                actions.push(json!({ "type": "pause", "duration": at - now }));
                now = at;
            }
            let value = match key.as_str() {
                "Enter" => "\u{e006}",
                "Shift" => "\u{e008}",
                "Control" => "\u{e009}",
                "Tab" => "\u{e004}",
                other => other,
            };
            actions.push(json!({ "type": if down { "keyDown" } else { "keyUp" }, "value": value }));
        }
        self.call("/actions", json!({ "actions": [{ "type": "key", "id": "keyboard", "actions": actions }] }));
    }

    /// Presses a letter at a time in seconds since 1970, and lets it go after so many ms: the browser is told both times, so
    /// that neither the driver nor a busy machine moves them.
    pub fn stamped(&self, letter: char, at: f64, dwell_ms: f64) {
        let code = format!("Key{}", letter.to_ascii_uppercase());
        for (kind, timestamp, text) in
            [("keyDown", at, letter.to_string()), ("keyUp", at + dwell_ms / 1e3, String::new())]
        {
            let key = u32::from(letter.to_ascii_uppercase());
            let event = json!({ "type": kind, "code": code, "key": letter.to_string(), "text": text,
                "windowsVirtualKeyCode": key, "timestamp": timestamp });
            self.tools("Input.dispatchKeyEvent", event);
        }
    }

    /// Runs a script.
    pub fn script(&self, script: &str) -> Value {
        self.call("/execute/sync", json!({ "script": script, "args": [] }))
    }

    /// Runs a script that calls its last argument when it is done.
    pub fn script_async(&self, script: &str) -> Value {
        self.call("/execute/async", json!({ "script": script, "args": [] }))
    }

    /// Makes the page as wide and high as a screen, below 600 px as that of a phone.
    pub fn size(&self, width: u32, height: u32) {
        let screen = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600 });
        self.tools("Emulation.setDeviceMetricsOverride", screen);
    }

    /// Lets the system ask for light or dark.
    pub fn prefer(&self, scheme: &str) {
        let features = json!([{ "name": "prefers-color-scheme", "value": scheme }]);
        self.tools("Emulation.setEmulatedMedia", json!({ "features": features }));
    }

    /// Shows the page as it is on paper, or on the screen again, without telling it that it is printed.
    pub fn on_paper(&self, paper: bool) {
        self.tools("Emulation.setEmulatedMedia", json!({ "media": if paper { "print" } else { "" } }));
    }

    /// The whole page as PNG.
    pub fn screenshot(&self) -> Vec<u8> {
        let done = self.tools("Page.captureScreenshot", json!({ "captureBeyondViewport": true }));
        from_base64(done["data"].as_str().unwrap())
    }

    /// The page as PDF.
    pub fn print(&self) -> Vec<u8> {
        from_base64(self.call("/print", json!({})).as_str().unwrap())
    }

    /// What stands in the console.
    pub fn console(&self) -> Vec<Value> {
        self.call("/se/log", json!({ "type": "browser" })).as_array().unwrap().clone()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.agent.delete(&self.session).call();
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

/// Decodes base 64 (RFC 4648, section 4); what is none of its letters is passed over.
fn from_base64(text: &str) -> Vec<u8> {
    let value = |c: u8| match c {
        b'A'..=b'Z' => Some(c - b'A'),
        b'a'..=b'z' => Some(c - b'a' + 26),
        b'0'..=b'9' => Some(c - b'0' + 52),
        b'+' => Some(62),
        b'/' => Some(63),
        _ => None,
    };
    let (mut out, mut bits, mut count) = (Vec::with_capacity(text.len() * 3 / 4), 0u32, 0);
    for six in text.bytes().filter_map(value) {
        bits = bits << 6 | u32::from(six);
        count += 6;
        if count >= 8 {
            count -= 8;
            out.push((bits >> count) as u8);
        }
    }
    out
}
