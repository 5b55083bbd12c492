//! The figures of pages in a headless browser: no words on words or marks, none out of their picture, at the widths of a
//! phone, a desk and a large screen, and what is read out is in sentences.
//!
//! Needs a browser as `page_in_browser` does; without one the test says so and passes, unless `AGOGIC_NEED_BROWSER` is set.

use std::fs;
use std::path::Path;

use crate::browser::Browser;
use crate::common::agogic;
use crate::page_in_browser::browser;
use serde_json::Value;

/// Many settings close together, on two groups of typists, with sweeps over one value and over two.
const SPEC: &str = r#"
name = "crowd"
seed = 7
[text]
built_in = "tide-station"
[typists]
populations = ["volunteers", "trained"]
number = 40
keys_each = 400
[floor]
typists = 4
rehearsal_keys = 2000
[inference]
resamples = 200
reference = "dwell-cutoff 200"
[[sweep]]
rule = "dwell-cutoff"
over = { cutoff_ms = { from = 100, to = 400, steps = 31 } }
[[sweep]]
rule = "overlap-share"
guards = { other_hand = true }
over = { share = { from = 0.4, to = 1, steps = 3 }, lull_ms = { from = 0, to = 200, steps = 3 } }
"#;

fn spec() -> String {
    let mut spec = SPEC.to_owned();
    let mut policy = |rule: &str, values: String, guards: &str| {
        spec.push_str(&format!("[[policy]]\nrule = \"{rule}\"\nvalues = {{ {values} }}\nguards = {{ {guards} }}\n"));
    };
    for cutoff in [180, 200, 220, 250] {
        policy("dwell-cutoff", format!("cutoff_ms = {cutoff}"), "");
        policy("dwell-cutoff", format!("cutoff_ms = {cutoff}"), "lull_ms = 150");
    }
    for guards in ["", "lull_ms = 150", "other_hand = true", "dwell_floor_ms = 100"] {
        policy("first-contact", String::new(), guards);
        policy("enclosed", String::new(), guards);
        policy("overlap-share", "share = 0.8".to_owned(), guards);
    }
    spec
}

/// What lies where it should not in the pictures that are seen. A line of letters is as high as its size, from 0.78 above
/// the base line: boxes of a browser are higher than any letter.
const FAULTS: &str = "
    const found = [];
    for (const svg of document.querySelectorAll('svg.figure')) {
        const page = svg.getBoundingClientRect();
        if (page.width === 0) continue;
        // A picture that is wider or higher than its drawing has it in the middle.
        const drawn = svg.viewBox.baseVal, scale = Math.min(page.width / drawn.width, page.height / drawn.height);
        const top = page.top + (page.height - scale * drawn.height) / 2, name = svg.querySelector('title').id;
        const words = [...svg.querySelectorAll('text')].map(text => {
            const box = text.getBoundingClientRect(), size = scale * parseFloat(text.getAttribute('font-size') ||
                svg.getAttribute('font-size')), base = top + scale * parseFloat(text.getAttribute('y'));
            return { text: text.textContent, left: box.left, right: box.right, top: base - 0.76 * size,
                bottom: base + 0.22 * size };
        });
        const rimmed = mark => mark.getAttribute('fill') !== 'none' && mark.hasAttribute('stroke');
        const marks = [...svg.querySelectorAll('circle, path')].filter(rimmed).map(mark => mark.getBoundingClientRect());
        const meet = (a, b) => a.left + 0.3 < b.right && b.left + 0.3 < a.right && a.top + 0.3 < b.bottom &&
            b.top + 0.3 < a.bottom;
        words.forEach((one, i) => {
            for (const other of words.slice(i + 1)) {
                if (meet(one, other)) found.push(`${name}: \"${one.text}\" lies on \"${other.text}\"`);
            }
            if (marks.some(mark => meet(one, mark))) found.push(`${name}: \"${one.text}\" lies on a mark`);
            if (one.left < page.left - 1 || one.right > page.right + 1 || one.top < page.top - 1 || one.bottom > page.bottom + 1)
                found.push(`${name}: \"${one.text}\" leaves the picture`);
            if (one.text.includes('…')) found.push(`${name}: \"${one.text}\" is cut`);
        });
    }
    return found;";

/// What is read out of pictures, title and description together, and captions, where sentences are not apart.
const BADLY_TOLD: &str = "
    const text = [...document.querySelectorAll('svg.figure')].map(svg => svg.getAttribute('aria-labelledby').split(' ')
        .map(id => document.getElementById(id).textContent).join(' '));
    const captions = [...document.querySelectorAll('figcaption')].map(caption => caption.textContent.trim());
    return text.concat(captions).filter(t => !/[.]$/.test(t) || /[.?!][^ 0-9]/.test(t) || /[^0-9][.][0-9]/.test(t) || /  /.test(t));";

fn list(browser: &Browser, script: &str) -> Vec<String> {
    let found: Value = browser.script(script);
    found.as_array().unwrap().iter().map(|fault| fault.as_str().unwrap().to_owned()).collect()
}

fn look_at(browser: &Browser, page: &Path) -> Vec<String> {
    browser.open(page);
    // Figures of what is folded away are looked at too.
    browser.script("document.querySelectorAll('details').forEach(each => { each.open = true })");
    let mut faults = Vec::new();
    for width in [400, 1280, 1920] {
        browser.size(width, 900);
        let seen = browser.script(
            "return [...document.querySelectorAll('svg.figure')].filter(s => s.getBoundingClientRect().width > 0).length",
        );
        assert!(seen.as_u64().unwrap() > 3, "{seen} figures at {width} px");
        faults.extend(list(browser, FAULTS).into_iter().map(|fault| format!("{width} px: {fault}")));
    }
    faults
}

#[test]
fn no_words_of_a_figure_lie_on_others_at_any_width() {
    let profile = tempfile::tempdir().unwrap();
    let Some(browser) = browser(profile.path()) else { return };
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("crowd.toml"), spec()).unwrap();
    for (command, out) in [("run", "ran"), ("sweep", "swept")] {
        let (code, said, err) = agogic(folder.path(), &[command, "crowd.toml", "--out", out]);
        assert_eq!(code, 0, "{said}{err}");
        assert_eq!(look_at(&browser, &folder.path().join(out).join("page.html")), Vec::<String>::new(), "{command}");
        assert_eq!(list(&browser, BADLY_TOLD), Vec::<String>::new(), "{command}");
    }
    // The measure finds a planted fault of each kind.
    let plant = |at: &str, text: &str| {
        browser.script(&format!(
            "const svg = [...document.querySelectorAll('svg.figure')].find(s => s.getBoundingClientRect().width > 0);
             const of = svg.querySelector('{at}'), text = document.createElementNS('http://www.w3.org/2000/svg', 'text');
             text.textContent = '{text}';
             for (const side of ['x', 'y']) text.setAttribute(side, of.getAttribute(side) || of.getAttribute('c' + side));
             svg.append(text)"
        ));
        list(&browser, FAULTS)
    };
    assert!(plant("text:last-of-type", "planted one").iter().any(|fault| fault.contains("lies on \"planted one\"")));
    assert!(plant("circle", "planted two").iter().any(|fault| fault.contains("\"planted two\" lies on a mark")));
    let long = "planted ".repeat(60);
    assert!(plant("text", &long).iter().any(|fault| fault.ends_with("leaves the picture")));
    browser.script("document.querySelector('svg.figure desc').textContent += 'One.Two.'");
    assert_eq!(list(&browser, BADLY_TOLD).len(), 1);
}
