//! Why a log could not be read at all.

use agogic_toml::Mistakes;

use crate::TimeUnit;

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
    #[error("{}", columns(.missing, .found, .fitting, .likely))]
    Columns {
        /// Those that are missing.
        missing: Vec<String>,
        /// Those that the file has.
        found: Vec<String>,
        /// The presets that the file fits.
        fitting: Vec<&'static str>,
        /// Which of those that the file has may be meant, as lines of a layout.
        likely: Vec<String>,
    },
    /// Nearly no row says what the layout calls a press or a release.
    #[error("{}", edges(.column, .word, .wanted, .likely.as_ref()))]
    Edges {
        /// The column.
        column: String,
        /// What stands there.
        word: String,
        /// What the layout calls a press.
        wanted: String,
        /// What may stand for press and release.
        likely: Option<(String, String)>,
    },
    /// The times are in another unit than the layout says.
    #[error(
        "keys would be down for {dwell} (median), which no finger does: the times are not in {now}, as the layout says, but most \
         likely in {likely}; read them with a layout that says unit = \"{likely}\"",
        now = .now.name(),
        likely = .likely.name()
    )]
    Unit {
        /// The median dwell that would come of it.
        dwell: String,
        /// The unit of the layout.
        now: TimeUnit,
        /// The unit that gives dwells of people.
        likely: TimeUnit,
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

fn edges(column: &str, word: &str, wanted: &str, likely: Option<&(String, String)>) -> String {
    let (word, mend) = match likely {
        Some((press, release)) => (word, format!("edges = {{ press = [{press:?}], release = [{release:?}] }}")),
        None => (word, "[edges], which names the words for press and release".to_owned()),
    };
    let word = word.escape_debug();
    format!("the column `{column}` says `{word}` where `{wanted}` is due; read it with a layout that has {mend}")
}

fn columns(missing: &[String], found: &[String], fitting: &[&str], likely: &[String]) -> String {
    let list = |names: &[String]| {
        let quoted: Vec<String> = names.iter().map(|name| format!("`{}`", name.escape_debug())).collect();
        quoted.join(", ")
    };
    let (s, them) = if missing.len() == 1 { ("", "it") } else { ("s", "them") };
    let mut text = format!("line 1 lacks the column{s} {}; the file has {}", list(missing), list(found));
    if fitting.is_empty() && !likely.is_empty() {
        text += &format!(". Most likely a layout with columns = {{ {} }} reads it", likely.join(", "));
    } else if fitting.is_empty() {
        text += &format!(". Name the columns that hold {them} in a layout; ");
        text += "where the file has no line of names, give the names as `header`";
    } else {
        text += &format!(". The file fits the layout {}", fitting.join(" or "));
    }
    text
}
