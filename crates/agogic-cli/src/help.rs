//! Help that fits the terminal: examples are set once, for the width there is.

use clap::Command;

use crate::screen::broken;

/// Widest help: longer lines are hard to read.
const MOST_WIDTH: usize = 100;

/// Indent of what is said of an example under it.
const INDENT: &str = "      ";

/// The same command line with its help set for so many columns; `None` where nobody knows.
pub fn fitted(command: Command, width: Option<usize>) -> Command {
    let width = width.unwrap_or(MOST_WIDTH).min(MOST_WIDTH);
    one(command.mut_subcommands(|sub| one(sub, width)), width)
}

fn one(command: Command, width: usize) -> Command {
    let command = command.term_width(width);
    match command.get_after_help().map(|help| help.to_string()) {
        Some(help) => command.after_help(set(&help, width)),
        None => command,
    }
}

/// An example is `  agogic …`, two spaces or more, and what it does, which may go on in lines far in. One that does not fit
/// gets what it does under it. Everything else stays: paragraphs are broken by whoever prints them.
fn set(help: &str, width: usize) -> String {
    let mut out: Vec<String> = Vec::new();
    let mut lines = help.lines().peekable();
    while let Some(line) = lines.next() {
        let mut block = vec![line.to_owned()];
        if line.starts_with("  agogic") {
            while let Some(more) = lines.next_if(|next| next.starts_with(INDENT)) {
                block.push(more.to_owned());
            }
            if block.iter().any(|line| line.chars().count() > width) {
                block = under(&block, width);
            }
        }
        out.extend(block);
    }
    out.join("\n")
}

/// An example with what it does under it.
fn under(block: &[String], width: usize) -> Vec<String> {
    let first = block[0].trim_start();
    let (example, said) = first.split_once("  ").unwrap_or((first, ""));
    let said: Vec<&str> = std::iter::once(said).chain(block[1..].iter().map(String::as_str)).map(str::trim).collect();
    let said = format!("{INDENT}{}", said.join(" ").trim());
    let lines = broken(&said, width).lines().map(str::to_owned).collect::<Vec<_>>();
    std::iter::once(format!("  {example}")).chain(lines).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_example_that_does_not_fit_gets_its_words_below() {
        let help = "Examples:\n  agogic run          short\n  agogic run my-study.toml      one two three\n                    four\n\nA paragraph.";
        assert_eq!(set(help, 80), help);
        let narrow = "Examples:\n  agogic run          short\n  agogic run my-study.toml\n      one two three four\n\nA paragraph.";
        assert_eq!(set(help, 30), narrow);
    }
}
