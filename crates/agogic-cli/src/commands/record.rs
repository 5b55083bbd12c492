//! `agogic record`: the page on which a participant types.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use agogic_log::RecordPage;
use agogic_sim::disk::write_file;
use serde_json::json;

use super::text;
use crate::args::Record;
use crate::failure::Failure;
use crate::screen::screen;

/// Writes the recording page.
pub fn record(args: &Record, as_json: bool) -> Result<ExitCode, Failure> {
    let mut screen = screen();
    if args.template {
        let page = toml::to_string_pretty(&RecordPage::default()).expect("a page is plain data");
        write!(screen, "{TEMPLATE_HEAD}{page}")?;
        return Ok(ExitCode::SUCCESS);
    }
    let mut page = match &args.page {
        None => RecordPage::default(),
        Some(path) => RecordPage::from_toml(&text("page", path)?)
            .map_err(|mistakes| Failure::PageFile { path: path.clone(), mistakes })?,
    };
    if let Some(path) = &args.consent {
        page.consent = paragraphs(&text("consent text", path)?);
    }
    if let Some(path) = &args.phrases {
        page.phrases = lines(&text("phrases", path)?);
    }
    if let Some(path) = &args.capitals {
        page.capitals = lines(&text("phrases with capitals", path)?);
    }
    if let Some(title) = &args.title {
        page.title.clone_from(title);
    }
    if let Some(minutes) = args.free {
        page.free_minutes = minutes;
    }
    let out = args.out.as_deref().unwrap_or(Path::new("page.html"));
    write_file(out, page.render()?.as_bytes())?;
    if page.consent_is_placeholder() {
        eprintln!(
            "agogic: the consent text still asks to be replaced: look at the page, but let nobody type on it. \
             Give your text with --consent FILE."
        );
    }
    if as_json {
        let all = json!({ "out": out, "minutes": page.minutes(), "phrases": page.phrases.len(),
            "capitals": page.capitals.len(), "shortcuts": page.shortcuts.len(), "holds": page.holds.len(),
            "free_minutes": page.free_minutes, "consent_is_placeholder": page.consent_is_placeholder() });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    let counts = [
        (page.phrases.len(), "phrases"),
        (page.capitals.len(), "phrases with capitals"),
        (page.shortcuts.len(), "shortcuts"),
        (page.holds.len(), "prompted holds"),
        (page.free_minutes as usize, "minutes of free typing"),
    ];
    let tasks: Vec<String> =
        counts.iter().filter(|(count, _)| *count > 0).map(|(count, what)| format!("{count} {what}")).collect();
    let minutes = page.minutes();
    let s = if minutes == 1 { "" } else { "s" };
    writeln!(screen, "{}: {}; about {minutes} minute{s} in all.\n\n{CAUTIONS}", out.display(), tasks.join(", "))?;
    Ok(ExitCode::SUCCESS)
}

const TEMPLATE_HEAD: &str = "\
# What the recording page says and asks. Change it and make the page with
#   agogic record --page THIS-FILE --out page.html
# What is left out takes the value shown here; an empty list leaves a task out. Keys are W3C codes.

";

const CAUTIONS: &str = "\
Open the file in a browser; it needs no network and sends nothing. The participant saves two files at the end: the log \
(CSV), which `agogic inspect` reads, and notes with the step of the browser's clock.

- A study with people needs their informed consent and the review of your local ethics board. Local rules go first.
- A log holds what was typed. Tell people not to type passwords or anything private; keep logs on your machine; \
`agogic redact` says what a redacted log still gives away.
- Nobody should type through pain. Pain in hands or arms that stays is a matter for a clinician.";

/// Paragraphs with empty lines between; the lines of each are joined.
fn paragraphs(text: &str) -> Vec<String> {
    let mut found = vec![String::new()];
    for line in text.trim_start_matches('\u{feff}').lines().map(str::trim) {
        let last = found.last_mut().expect("there is always one");
        match (line.is_empty(), last.is_empty()) {
            (true, false) => found.push(String::new()),
            (true, true) => {}
            (false, true) => last.push_str(line),
            (false, false) => {
                last.push(' ');
                last.push_str(line);
            }
        }
    }
    found.retain(|paragraph| !paragraph.is_empty());
    found
}

/// Lines that are not blank.
fn lines(text: &str) -> Vec<String> {
    let lines = text.trim_start_matches('\u{feff}').lines().map(str::trim);
    lines.filter(|line| !line.is_empty()).map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_cut_where_people_expect_it() {
        assert_eq!(paragraphs("\u{feff}\n\nWe ask\nyou. \r\n\r\n \nThank you.\n\n"), ["We ask you.", "Thank you."]);
        assert_eq!(paragraphs(" \n"), [""; 0]);
        assert_eq!(lines("low tide\r\n\n  high tide \n"), ["low tide", "high tide"]);
    }

    #[test]
    fn the_template_is_the_page() {
        let text = format!("{TEMPLATE_HEAD}{}", toml::to_string_pretty(&RecordPage::default()).unwrap());
        assert_eq!(RecordPage::from_toml(&text).unwrap(), RecordPage::default());
    }
}
