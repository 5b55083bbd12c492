//! The page on which somebody types and sees their answer: its files, for whoever serves them.

/// A file of the page: its path, its media type, and what is in it.
pub type PageFile = (&'static str, &'static str, &'static str);

const HTML: &str = "text/html; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";
const STYLE: &str = "text/css; charset=utf-8";

/// The files of the page. It also asks for `recording.js` and `plan.json`, which say how to record and what to type.
pub const TRY_PAGE: [PageFile; 11] = [
    ("", HTML, include_str!("../assets/try/index.html")),
    ("page.css", STYLE, include_str!("../assets/try/page.css")),
    ("icon.svg", "image/svg+xml", include_str!("../assets/try/icon.svg")),
    ("main.js", SCRIPT, include_str!("../assets/try/main.js")),
    ("dom.js", SCRIPT, include_str!("../assets/try/dom.js")),
    ("store.js", SCRIPT, include_str!("../assets/try/store.js")),
    ("typing.js", SCRIPT, include_str!("../assets/try/typing.js")),
    ("mover.js", SCRIPT, include_str!("../assets/try/mover.js")),
    ("moments.js", SCRIPT, include_str!("../assets/try/moments.js")),
    ("answer.js", SCRIPT, include_str!("../assets/try/answer.js")),
    ("explorer.js", SCRIPT, include_str!("../assets/try/explorer.js")),
];
