//! The page in a headless browser: wide and narrow, light and dark, sorted, printed, and checked by axe-core.
//!
//! Needs `chromedriver` and `chromium` (Debian's packages chromium and chromium-driver) and, for the check of
//! accessibility, `npm`, which brings the package axe-core; without them the test says so and passes, unless
//! `AGOGIC_NEED_BROWSER` or `AGOGIC_NEED_AXE` is set. `AGOGIC_SHOTS=FOLDER` keeps pictures of what was seen.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::browser::Browser;
use serde_json::{Value, json};

/// The version of axe-core that the page was last checked with.
const AXE: &str = "axe-core@4.14.1";

/// The script of axe-core, from the place an earlier test left it in or from npm.
pub fn axe() -> Option<String> {
    let place = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("axe");
    let script = place.join("node_modules/axe-core/axe.min.js");
    if !script.is_file() {
        fs::create_dir_all(&place).unwrap();
        let args = ["install", "--no-save", "--no-audit", "--no-fund", "--ignore-scripts", "--prefix", "."];
        let done = Command::new("npm").args(args).arg(AXE).current_dir(&place).output();
        if !done.is_ok_and(|done| done.status.success()) {
            return None;
        }
    }
    fs::read_to_string(script).ok()
}

/// What axe-core finds serious or critical, as `rule: first place`.
pub fn serious(browser: &Browser) -> Vec<String> {
    let found = browser.script_async(
        "const done = arguments[arguments.length - 1];
         axe.run(document).then(r => done(r.violations.filter(v => ['serious', 'critical'].includes(v.impact))
             .map(v => v.id + ': ' + v.nodes[0].target.join(' ') + ' ' + v.nodes[0].failureSummary)), e => done([String(e)]));",
    );
    found.as_array().unwrap().iter().map(|v| v.as_str().unwrap().to_owned()).collect()
}

/// A browser; `None` where there is none and none is needed.
pub fn browser(profile: &Path) -> Option<Browser> {
    let browser = Browser::start(profile);
    let needed = std::env::var_os("AGOGIC_NEED_BROWSER").is_some();
    assert!(browser.is_some() || !needed, "AGOGIC_NEED_BROWSER is set, but there is no browser");
    if browser.is_none() {
        eprintln!("skipped: no chromedriver with chromium (Debian: chromium, chromium-driver)");
    }
    browser
}

fn number(browser: &Browser, script: &str) -> f64 {
    browser.script(script).as_f64().unwrap_or_else(|| panic!("{script} gives no number"))
}

#[test]
fn the_page_works_for_everybody_everywhere() {
    let profile = tempfile::tempdir().unwrap();
    let Some(browser) = browser(profile.path()) else { return };
    let (_folder, results) = crate::common::study();
    let shots = std::env::var_os("AGOGIC_SHOTS").map(PathBuf::from);
    let shot = |name: &str| {
        if let Some(folder) = &shots {
            fs::create_dir_all(folder).unwrap();
            fs::write(folder.join(name), browser.screenshot()).unwrap();
        }
    };
    browser.open(&results.join("page.html"));
    let axe = axe();
    let needs_axe = std::env::var_os("AGOGIC_NEED_AXE").is_some();
    assert!(axe.is_some() || !needs_axe, "AGOGIC_NEED_AXE is set, but npm does not bring axe-core");
    if axe.is_none() {
        eprintln!("skipped in part: npm does not bring axe-core, so accessibility is not checked");
    }
    for (width, height) in [(1280, 900), (360, 780)] {
        browser.size(width, height);
        for scheme in ["light", "dark"] {
            browser.prefer(scheme);
            let paper = browser.script("return getComputedStyle(document.body).backgroundColor");
            let expected = if scheme == "light" { "rgb(255, 255, 255)" } else { "rgb(21, 23, 27)" };
            assert_eq!(paper, expected, "{scheme}");
            browser.script("document.querySelectorAll('details').forEach(each => { each.open = true })");
            // Only tables scroll sideways, in their own frame.
            let over = number(&browser, "return document.documentElement.scrollWidth");
            assert!(over <= f64::from(width), "{over} px at {width} px");
            let count = number(
                &browser,
                "return [...document.querySelectorAll('svg.figure')].filter(s => s.getBoundingClientRect().width > 0).length",
            );
            let all = number(&browser, "return document.querySelectorAll('figure').length");
            assert!(count == all && all > 5.0, "{count} of {all} figures are shown at {width} px");
            if let Some(axe) = &axe {
                browser.script(axe);
                assert_eq!(serious(&browser), Vec::<String>::new(), "{width} px, {scheme}");
            }
            shot(&format!("page-{width}-{scheme}.png"));
        }
    }
    if axe.is_some() {
        // The gate catches a planted fault.
        browser.script("const i = document.createElement('img'); i.id = 'planted'; document.body.append(i)");
        assert!(serious(&browser).iter().any(|v| v.starts_with("image-alt")), "the planted fault was not found");
        browser.script("document.getElementById('planted').remove()");
    }

    browser.size(1280, 900);
    browser.prefer("light");
    // A table sorts by the number, not by its letters, up and down, and tells those who listen.
    let column = |at: usize| -> Vec<f64> {
        let cells = browser.script(&format!(
            "return [...document.querySelectorAll('#trade-off table')][0].tBodies[0].rows.length && \
             [...[...document.querySelectorAll('#trade-off table')][0].tBodies[0].rows].map(r => Number(r.cells[{at}].dataset.sort))"
        ));
        cells.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
    };
    let press =
        "document.querySelectorAll('#trade-off table')[0].tHead.rows[0].cells[2].querySelector('button').click()";
    browser.script(press);
    assert!(column(2).is_sorted(), "{:?}", column(2));
    browser.script(press);
    assert!(column(2).is_sorted_by(|a, b| a >= b) && !column(2).is_sorted(), "{:?}", column(2));
    let script =
        "return document.querySelectorAll('#trade-off table')[0].tHead.rows[0].cells[2].getAttribute('aria-sort')";
    assert_eq!(browser.script(script), "descending");
    // The switch overrules the system.
    browser.script("document.getElementById('theme').click()");
    assert_eq!(browser.script("return getComputedStyle(document.body).backgroundColor"), "rgb(21, 23, 27)");
    assert_eq!(browser.script("return document.getElementById('theme').textContent"), "Light page");
    // Print is light, whatever the screen is.
    let pdf = browser.print();
    assert!(pdf.starts_with(b"%PDF"));
    if let Some(folder) = &shots {
        fs::write(folder.join("page.pdf"), &pdf).unwrap();
    }
    assert_eq!(number(&browser, "return performance.getEntriesByType('resource').length"), 0.0, "something was loaded");
    let errors: Vec<Value> = browser.console().into_iter().filter(|line| line["level"] == "SEVERE").collect();
    assert_eq!(json!(errors), json!([]));
}
