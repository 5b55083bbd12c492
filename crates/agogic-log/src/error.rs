//! Why a log could not be read at all.

use agogic_toml::Mistakes;

/// Why a log could not be read at all. What is wrong with single rows is in the [`crate::LogReport`].
///
/// The texts continue "failed to read the log: …".
#[derive(Debug, thiserror::Error)]
pub enum LogError {
    /// The file holds nothing.
    #[error("the file is empty; the first line must name the columns, or be a JSON object")]
    Empty,
    /// The header line is no text.
    #[error("line 1 is no UTF-8 text{}", if *.utf16 { "; it looks like UTF-16: save the file as UTF-8" } else { "" })]
    HeaderNotText {
        /// The bytes look like UTF-16.
        utf16: bool,
    },
    /// The header line is too long to be one.
    #[error("line 1 is longer than {0} bytes and cannot be a line of column names")]
    HeaderTooLong(usize),
    /// Needed columns are missing.
    #[error("{}", columns(.missing, .found, .fitting))]
    Columns {
        /// Those that are missing.
        missing: Vec<String>,
        /// Those that the file has.
        found: Vec<String>,
        /// The presets that the file fits.
        fitting: Vec<&'static str>,
    },
    /// The layout has mistakes.
    #[error("the layout has mistakes:\n{0}")]
    Layout(#[from] Mistakes),
    /// The disk or the stream failed.
    #[error("after line {line}: {source}")]
    Io {
        /// The last line that was read.
        line: u64,
        /// What happened.
        source: std::io::Error,
    },
}

fn columns(missing: &[String], found: &[String], fitting: &[&str]) -> String {
    let list = |names: &[String]| {
        let quoted: Vec<String> = names.iter().map(|name| format!("`{}`", name.escape_debug())).collect();
        quoted.join(", ")
    };
    let (s, them) = if missing.len() == 1 { ("", "it") } else { ("s", "them") };
    let mut text = format!("line 1 lacks the column{s} {}; the file has {}", list(missing), list(found));
    if fitting.is_empty() {
        text += &format!(". Name the columns that hold {them} in a layout; ");
        text += "where the file has no line of names, give the names as `header`";
    } else {
        text += &format!(". The file fits the layout {}", fitting.join(" or "));
    }
    text
}
