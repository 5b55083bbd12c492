//! What is wrong with a text.

use std::fmt;

use agogic_keys::one_line;

/// One mistake.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mistake {
    /// Line, from 1; `None` for what was not read from a text.
    pub line: Option<usize>,
    /// Dotted path of the key; empty when the text is no TOML.
    pub key: String,
    /// What is wrong and how to mend it.
    pub message: String,
}

impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}: ")?;
        }
        if !self.key.is_empty() {
            write!(f, "`{}`: ", one_line(&self.key))?;
        }
        f.write_str(&one_line(&self.message))
    }
}

/// All mistakes of a text, in the order of their lines; never empty. Written out, each has a line of its own.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", .0.iter().map(Mistake::to_string).collect::<Vec<_>>().join("\n"))]
pub struct Mistakes(pub Vec<Mistake>);

impl Mistakes {
    /// All of them in one line, for a message that names the file.
    pub fn in_one_line(&self) -> String {
        self.0.iter().map(Mistake::to_string).collect::<Vec<_>>().join("; ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_mistake_is_one_line_that_a_terminal_only_shows() {
        let of = |line, key: &str, message: &str| Mistake { line, key: key.into(), message: message.into() };
        let all = Mistakes(vec![of(Some(3), "a\nb", "is \u{1b}[2J"), of(None, "", "is no TOML")]);
        assert_eq!(all.to_string(), "line 3: `a\\nb`: is \\u{1b}[2J\nis no TOML");
        assert_eq!(all.in_one_line(), "line 3: `a\\nb`: is \\u{1b}[2J; is no TOML");
    }
}
