//! The pages of every kind of result in a headless browser, on a phone, a desktop and a wide screen: what the first screen
//! holds, how long the page is, and that no table is cut.
//!
//! Needs what `page_in_browser` needs, and says so in the same way. `AGOGIC_SHOTS=FOLDER` keeps pictures of what was seen.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use tempfile::TempDir;

use crate::browser::Browser;
use crate::common::agogic;
use crate::page_in_browser::{axe, browser, serious};

/// A study that asks for everything, of two populations, with names and numbers long enough for wide tables.
const SPEC: &str = r#"
name = "every"
seed = 5
question = "Which setting suits whom, and what does another one cost?"
[text]
built_in = "tide-station"
[typists]
populations = ["volunteers", "slow"]
number = 40
keys_each = 300
[floor]
typists = 4
rehearsal_keys = 2000
[inference]
reference = "enclosed"
resamples = 200
limits = { false_holds = 10, tap_delay_p95 = 150 }
margins = { wrong_keys = 5 }
[advice]
objective = "false_holds"
limits = { tap_delay_p95 = 250, missed_holds = 60 }
search_typists = 60
confirm_typists = 100
refinements = 0
shortlist = 3
[robust]
typists = 20
points = 5
figures = ["false_holds", "wrong_keys"]
[sensitivity]
rule = "dwell-cutoff"
rows = 8
typists = 5
over = { cutoff_ms = { from = 120, to = 260 } }
traits = { dwell_ms = { from = 90, to = 130 }, release_ms = { from = 60, to = 160 } }
[[policy]]
rule = "enclosed"
[[policy]]
rule = "enclosed"
guards = { lull_ms = 150, dwell_floor_ms = 80 }
[[policy]]
rule = "first-contact"
guards = { lull_ms = 150, other_hand = true }
[[policy]]
rule = "dwell-cutoff"
values = { cutoff_ms = 220 }
[[policy]]
rule = "evidence"
[[sweep]]
rule = "dwell-cutoff"
design = "grid"
over = { cutoff_ms = { from = 100, to = 250, steps = 4 } }
"#;

const SCREENS: [(u32, u32); 3] = [(400, 800), (1280, 800), (1920, 1000)];
/// Of a page that is folded shut, at 1280 px. The main study has 18 rules and three populations and takes some 7600.
const HEIGHT: f64 = 8000.0;
/// Of the contents on a phone.
const CONTENTS: f64 = 120.0;
/// Signs of the sentence that answers.
const SENTENCE: f64 = 240.0;

/// The kinds of pages, each made by its command in a folder of its own.
fn pages() -> (TempDir, Vec<(&'static str, PathBuf)>) {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("every.toml"), SPEC).unwrap();
    let log = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-synthetic/logs/prompted-volunteer.csv");
    let personal = ["advise", "every.toml", "--log", log.to_str().unwrap(), "--draws", "20", "--out", "personal"];
    let mut all = Vec::new();
    for command in ["run", "advise", "sweep", "robust", "sensitivity"] {
        let (code, out, err) = agogic(place.path(), &[command, "every.toml", "--out", command]);
        assert!(code == 0 || (command == "robust" && code == 1), "{command}: {code} {out}{err}");
        all.push((command, place.path().join(command).join("page.html")));
    }
    let (code, out, err) = agogic(place.path(), &personal);
    assert_eq!(code, 0, "{out}{err}");
    all.push(("personal", place.path().join("personal/page.html")));
    for command in ["fit", "replay"] {
        let page = format!("{command}.html");
        let (code, out, err) =
            agogic(place.path(), &[command, log.to_str().unwrap(), "--spec", "every.toml", "--page", &page]);
        assert!(code == 0 && out.contains(&format!("Page: {page}")), "{out}{err}");
        all.push((command, place.path().join(page)));
    }
    (place, all)
}

fn number(browser: &Browser, script: &str) -> f64 {
    browser.script(&format!("return {script}")).as_f64().unwrap_or_else(|| panic!("{script} gives no number"))
}

/// The lower edge of the first element that a selector finds, from the top of the page.
fn bottom(browser: &Browser, selector: &str) -> f64 {
    number(browser, &format!("document.querySelector('{selector}').getBoundingClientRect().bottom + scrollY"))
}

const OPEN_ALL: &str = "document.querySelectorAll('details').forEach(each => { each.open = true })";

/// What is wrong with a table: it is neither in a frame that it fits nor in one that scrolls beside a first column that
/// stays and covers what passes under it, with a line that says so and with a bar.
const CUT: &str = "
    const faults = [];
    for (const table of document.querySelectorAll('table')) {
        const frame = table.closest('.scroll') || table.parentElement;
        const name = table.getAttribute('aria-labelledby') || 'a table';
        const fault = (what) => faults.push(name + ': ' + what);
        if (table.getBoundingClientRect().width === 0) { fault('is not shown'); continue; }
        if (frame.getBoundingClientRect().right > document.documentElement.clientWidth + 1) fault('its frame leaves the page');
        if (frame.scrollWidth <= frame.clientWidth + 1) {
            if (table.getBoundingClientRect().right > frame.getBoundingClientRect().right + 1) fault('leaves its frame');
            continue;
        }
        if (getComputedStyle(frame).overflowX !== 'auto' && getComputedStyle(frame).overflowX !== 'scroll') fault('is cut');
        const hint = frame.previousElementSibling;
        if (!hint || hint.hidden || !/more column/.test(hint.textContent)
            || hint.getBoundingClientRect().height < 10) fault('nothing says that it scrolls');
        if (frame.tabIndex !== 0) fault('cannot be scrolled with keys');
        frame.scrollLeft = frame.scrollWidth;
        if (frame.scrollLeft === 0) fault('does not scroll');
        const left = frame.getBoundingClientRect().left;
        for (const row of table.rows) {
            const box = row.cells[0].getBoundingClientRect();
            if (Math.abs(box.left - left) > 1) { fault('its first column leaves'); break; }
            const ground = getComputedStyle(row.cells[0]).backgroundColor;
            if (/transparent|, 0\\)/.test(ground)) { fault('its first column can be seen through'); break; }
            const second = row.cells[row.cells.length - 1].getBoundingClientRect();
            if (second.left < box.right - 1 && second.width < frame.clientWidth - box.width) {
                fault('its last column cannot be reached'); break;
            }
        }
        frame.scrollLeft = 0;
    }
    return faults;";

fn cut(browser: &Browser) -> Value {
    browser.script(CUT)
}

#[test]
fn every_page_answers_on_its_first_screen_stays_short_and_cuts_no_table() {
    let profile = tempfile::tempdir().unwrap();
    let Some(browser) = browser(profile.path()) else { return };
    let (_place, pages) = pages();
    let axe = axe();
    let needs_axe = std::env::var_os("AGOGIC_NEED_AXE").is_some();
    assert!(axe.is_some() || !needs_axe, "AGOGIC_NEED_AXE is set, but npm does not bring axe-core");
    let shots = std::env::var_os("AGOGIC_SHOTS").map(PathBuf::from);
    for (kind, page) in &pages {
        for (width, height) in SCREENS {
            let at = format!("{kind} at {width} px");
            browser.size(width, height);
            browser.prefer("light");
            browser.open(page);
            if let Some(folder) = &shots {
                fs::create_dir_all(folder).unwrap();
                fs::write(folder.join(format!("first-{kind}-{width}.png")), browser.screenshot()).unwrap();
            }
            first_screen(&browser, &at, width, f64::from(height));
            let shut = number(&browser, "document.documentElement.scrollHeight");
            assert!(width != 1280 || shut <= HEIGHT, "{at}: {shut} px");
            browser.script(OPEN_ALL);
            let open = number(&browser, "document.documentElement.scrollHeight");
            assert!(open > shut, "{at}: nothing is folded");
            let over = number(&browser, "document.documentElement.scrollWidth");
            assert!(over <= f64::from(width), "{at}: the page is {over} px wide");
            // The lines about columns come with the next frame.
            browser.script_async("const done = arguments[0]; requestAnimationFrame(() => setTimeout(done, 100))");
            assert_eq!(cut(&browser), json!([]), "{at}");
            for scheme in ["light", "dark"] {
                browser.prefer(scheme);
                if let Some(axe) = &axe {
                    browser.script(axe);
                    assert_eq!(serious(&browser), Vec::<String>::new(), "{at}, {scheme}");
                }
            }
        }
    }
    gates(&browser);
    let errors: Vec<Value> = browser.console().into_iter().filter(|line| line["level"] == "SEVERE").collect();
    assert_eq!(json!(errors), json!([]));
}

/// One sentence, what it assumes, the first numbers and whom that fails; where there is room, the picture as well.
fn first_screen(browser: &Browser, at: &str, width: u32, height: f64) {
    let length = number(browser, "document.querySelector('.verdict').textContent.trim().length");
    assert!(length > 10.0 && length <= SENTENCE, "{at}: a sentence of {length} signs");
    let mut parts = vec![".verdict", ".assumed", ".answer-of dl"];
    if width > 400 {
        parts.extend([".answer-of .fails", ".picture svg"]);
    }
    for part in parts {
        let end = bottom(browser, part);
        assert!(end <= height, "{at}: {part} ends at {end} px of a screen of {height}");
    }
    let count = number(browser, "document.querySelector('.answer-of dl').children.length");
    assert!((2.0..=4.0).contains(&count), "{at}: {count} numbers");
    // Each number has its interval, or what it is compared with, or why it has none; a count needs nothing.
    let bare = "[...document.querySelectorAll('.answer-of dl > div')].filter(each => \
         each.querySelector('.big').textContent === 'unknown' && !each.querySelector('.interval').textContent.trim()).length";
    assert_eq!(number(browser, bare), 0.0, "{at}: a number is unknown and does not say why");
    let fails = browser.script("return [...document.querySelectorAll('.fails')].map(each => each.textContent.trim())");
    for line in fails.as_array().unwrap() {
        let line = line.as_str().unwrap();
        assert!(line.starts_with(['✗', '?', '✓']) && line.len() > 20, "{at}: {line}");
    }
    let contents = number(browser, "document.querySelector('nav').getBoundingClientRect().height");
    assert!(contents <= CONTENTS, "{at}: contents take {contents} px");
    assert!(number(browser, "document.querySelectorAll('nav a').length") >= 4.0, "{at}: hardly any contents");
}

/// The gates catch what they are for.
fn gates(browser: &Browser) {
    browser.size(400, 800);
    browser.script(OPEN_ALL);
    let caught = |style: &str, fault: &str| {
        browser.script(&format!(
            "const s = document.createElement('style'); s.id = 'planted'; s.textContent = `{style}`; document.head.append(s)"
        ));
        let found = cut(browser).to_string();
        assert!(found.contains(fault), "{style} was not caught: {found}");
        browser.script("document.getElementById('planted').remove()");
    };
    caught("tr > :first-child { position: static !important }", "its first column leaves");
    caught("tr > :first-child { background: none !important }", "can be seen through");
    caught(".more { display: none !important }", "nothing says that it scrolls");
    caught(".scroll { overflow-x: hidden !important }", "is cut");
    caught(".scroll { max-width: none !important; width: max-content !important }", "its frame leaves the page");
}

#[test]
fn a_link_opens_what_is_folded_and_paper_shows_everything() {
    let profile = tempfile::tempdir().unwrap();
    let Some(browser) = browser(profile.path()) else { return };
    let (_place, pages) = pages();
    let closed = "document.querySelectorAll('details:not([open])').length";
    for (kind, page) in &pages {
        browser.size(1280, 800);
        browser.open(page);
        // A place inside what is folded twice where there is one, else once.
        let target = browser.script(
            "const all = [...document.querySelectorAll('details:not([open]) [id]')].filter(e => e.tagName !== 'DETAILS'
                 && !e.closest('svg'));
             const deep = all.filter(e => e.closest('details').parentElement.closest('details'));
             const link = document.createElement('a');
             link.id = 'planted'; link.textContent = 'there'; link.href = '#' + (deep[0] || all[0]).id;
             document.body.prepend(link); link.click();
             return (deep[0] || all[0]).id",
        );
        let target = target.as_str().unwrap();
        browser.wait(&format!(
            "(() => {{ const e = document.getElementById('{target}'), box = e.getBoundingClientRect();
             return box.height > 0 && box.top >= 0 && box.top < innerHeight && !e.closest('details:not([open])') }})()"
        ));

        browser.open(page);
        let before = number(&browser, closed);
        assert!(before >= 1.0, "{kind}: {before} folded");
        browser.script(&format!("addEventListener('beforeprint', () => {{ window.atPrint = {closed} }})"));
        assert!(browser.print().starts_with(b"%PDF"));
        assert_eq!(number(&browser, "window.atPrint"), 0.0, "{kind}: something stays folded on paper");
        assert_eq!(number(&browser, closed), before, "{kind}: after printing it is as it was");
        // Without the script the style alone unfolds it; on A4 no table leaves the page.
        browser.size(688, 1000);
        browser.on_paper(true);
        let hidden = "[...document.querySelectorAll('main details table')].filter(t => \
                      t.getBoundingClientRect().height < 5 || t.checkVisibility({ contentVisibilityAuto: true }) === false).length";
        assert_eq!(number(&browser, hidden), 0.0, "{kind}: a folded table is not on paper");
        let wide = "[...document.querySelectorAll('table')].map(t => t.getBoundingClientRect().right).reduce((a, b) => \
                    Math.max(a, b), 0)";
        let right = number(&browser, wide);
        assert!(right <= 690.0, "{kind}: a table ends at {right} px of a sheet of 688");
        browser.on_paper(false);
    }
}
