//! Words with their markup: `code` between backticks, and `[@key]` for a source.

use agogic_literature::entry;

use crate::sheet::latex;

/// What nobody has published, in a line. `half` says that all people of the study are half adapted.
pub(crate) fn assumed_line(half: bool) -> String {
    let here = if half { "here they are half adapted to it" } else { "see What is assumed for what stands here" };
    format!("how people hold a key with two meanings is not published; {here}. All people are simulated.")
}

/// The name of a value without its underscores, its unit apart: `cutoff (ms)` for `cutoff_ms`.
pub(crate) fn value_name(name: &str) -> String {
    let units = [("_ms", "ms"), ("_nats", "nats")];
    let found = units.into_iter().find_map(|(ending, unit)| Some((name.strip_suffix(ending)?, unit)));
    match found {
        Some((name, unit)) => format!("{} ({unit})", name.replace('_', " ")),
        None => name.replace('_', " "),
    }
}

/// That something holds of each group of people and keyboards, with a space before it; empty where there is one.
pub(crate) fn in_each_group(groups: usize) -> String {
    if groups == 1 { String::new() } else { format!(" in each of {groups} groups of people and keyboards") }
}

/// Words with commas, and an "and" before the last.
pub(crate) fn listed<S: AsRef<str>>(names: &[S]) -> String {
    match names {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [most @ .., last] => {
            let most: Vec<&str> = most.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", most.join(", "), last.as_ref())
        }
    }
}

/// The same words with a capital first letter.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A piece of marked-up text.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Piece<'a> {
    Plain(&'a str),
    Code(&'a str),
    Sources(Vec<&'a str>),
}

fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut out = Vec::new();
    let mut rest = text;
    loop {
        let code = rest.find('`').and_then(|at| Some((at, at + 1 + rest[at + 1..].find('`')?)));
        let source = rest.find("[@").and_then(|at| Some((at, at + rest[at..].find(']')?)));
        let (at, end, piece) = match (code, source) {
            (Some((at, end)), s) if s.is_none_or(|(other, _)| at < other) => (at, end, Piece::Code(&rest[at + 1..end])),
            (_, Some((at, end))) => {
                let keys = rest[at + 1..end].split("; ").map(|key| key.trim_start_matches('@')).collect();
                (at, end, Piece::Sources(keys))
            }
            _ => break,
        };
        if at > 0 {
            out.push(Piece::Plain(&rest[..at]));
        }
        out.push(piece);
        rest = &rest[end + 1..];
    }
    if !rest.is_empty() {
        out.push(Piece::Plain(rest));
    }
    out
}

/// The keys of the sources that a text names.
pub(crate) fn sources(text: &str) -> Vec<&str> {
    pieces(text)
        .into_iter()
        .flat_map(|piece| if let Piece::Sources(keys) = piece { keys } else { Vec::new() })
        .collect()
}

/// Escaped for HTML.
pub(crate) fn html_text(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    out
}

/// Marked-up text as HTML; everything in it is escaped.
pub(crate) fn html(text: &str) -> String {
    let cited = |key: &&str| {
        let name = cited_as(key);
        format!("<a href=\"#source-{}\">{}</a>", html_text(key), html_text(&name))
    };
    let one = |piece: &Piece<'_>| match piece {
        Piece::Plain(text) => html_text(text),
        Piece::Code(text) => format!("<code>{}</code>", html_text(text)),
        Piece::Sources(keys) => format!("({})", keys.iter().map(cited).collect::<Vec<_>>().join("; ")),
    };
    pieces(text).iter().map(one).collect()
}

/// Marked-up text as LaTeX.
pub(crate) fn latex_text(text: &str) -> String {
    let one = |piece: &Piece<'_>| match piece {
        Piece::Plain(text) => latex(text),
        Piece::Code(text) => format!("\\texttt{{{}}}", latex(text)),
        Piece::Sources(keys) => format!("\\cite{{{}}}", keys.join(",")),
    };
    pieces(text).iter().map(one).collect()
}

/// Family names and year, such as `Morris, White & Crowther 2019`.
fn cited_as(key: &str) -> String {
    let Some(entry) = entry(key) else { return key.to_owned() };
    let family = |author: &str| plain(author.split(',').next().unwrap_or(author));
    let authors: Vec<String> = entry.authors.split(" and ").map(family).collect();
    let names = match authors.as_slice() {
        [one] => one.clone(),
        [one, two] => format!("{one} & {two}"),
        [one, two, three] => format!("{one}, {two} & {three}"),
        [one, ..] => format!("{one} et al."),
        [] => key.to_owned(),
    };
    entry.year.map_or_else(|| names.clone(), |year| format!("{names} {year}"))
}

/// Text of BibTeX without its commands: accents become letters.
pub(crate) fn plain(text: &str) -> String {
    const ACCENTS: [(&str, &str); 12] = [
        ("{\\'a}", "á"),
        ("{\\'e}", "é"),
        ("{\\'i}", "í"),
        ("{\\'o}", "ó"),
        ("{\\'u}", "ú"),
        ("{\\~a}", "ã"),
        ("{\\c{c}}", "ç"),
        ("{\\\"a}", "ä"),
        ("{\\\"o}", "ö"),
        ("{\\\"u}", "ü"),
        ("{\\o}", "ø"),
        ("--", "–"),
    ];
    let mut text = text.to_owned();
    for (command, letter) in ACCENTS {
        text = text.replace(command, letter);
    }
    text.replace(['{', '}'], "").replace("\\_", "_").replace("\\&", "&").replace("$_\\tau$", "τ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_values_lose_their_underscores_and_keep_their_units() {
        assert_eq!(value_name("cutoff_ms"), "cutoff (ms)");
        assert_eq!(value_name("threshold_nats"), "threshold (nats)");
        assert_eq!(value_name("share"), "share");
    }

    #[test]
    fn markup_comes_out_in_each_form_and_nothing_else_does() {
        let text = "A `b_c` <script> & more [@morris2019; @holm1979].";
        assert_eq!(
            html(text),
            "A <code>b_c</code> &lt;script&gt; &amp; more (<a href=\"#source-morris2019\">Morris, White &amp; Crowther \
             2019</a>; <a href=\"#source-holm1979\">Holm 1979</a>)."
        );
        assert_eq!(latex_text(text), "A \\texttt{b\\_c} $<$script$>$ \\& more \\cite{morris2019,holm1979}.");
        assert_eq!(sources(text), ["morris2019", "holm1979"]);
        assert_eq!(html("a lone ` and [@ open"), "a lone ` and [@ open");
    }
}
