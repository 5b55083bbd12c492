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

#[cfg(test)]
mod tests {
    use super::*;

    /// What a page may weigh, people to look at left out, in bytes.
    const MOST: usize = 200_000;

    #[test]
    fn the_page_is_light_whole_and_speaks_to_nobody_else() {
        assert!(TRY_PAGE.iter().map(|(.., text)| text.len()).sum::<usize>() < MOST);
        for (path, _, text) in TRY_PAGE {
            // The name of a vocabulary is no address.
            let text = text.replace("http://www.w3.org/2000/svg", "");
            for outside in
                ["http:", "https:", "//cdn", "@import", "url(", "innerHTML", "eval(", " style=", " onclick=\""]
            {
                assert!(!text.contains(outside), "{path}: {outside}");
            }
            for needed in text.split("from \"./").skip(1).filter_map(|rest| rest.split('"').next()) {
                assert!(TRY_PAGE.iter().any(|(path, ..)| *path == needed), "{path} needs {needed}");
            }
        }
        let html = TRY_PAGE[0].2;
        let named = html.split("=\"").skip(1).filter_map(|rest| rest.split('"').next());
        for file in named.filter(|own| [".js", ".css", ".svg"].iter().any(|end| own.ends_with(end))) {
            assert!(file == "recording.js" || TRY_PAGE.iter().any(|(path, ..)| *path == file), "the page needs {file}");
        }
        assert!(html.contains("lang=\"en\"") && html.contains("Never type a password"));
    }
}
