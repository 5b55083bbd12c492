//! What a rule sees of the keys around a press, beside their times.

use serde::{Deserialize, Serialize};

/// What a rule or an observer sees of an encounter; each sees all that those before it see.
///
/// # Definition
/// *Times* are those of the dual-role press and its release, of the press before, of the same key's last release, and
/// of the other keys that are down meanwhile. The *hand* of another key is the same as the dual-role key's, the other
/// one, or neither (a thumb). The conformance tests exchange keys, and left for right, and require that a rule decides
/// as it did unless it says that it sees them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sight {
    /// Times and hands, but not which keys they belong to.
    Timing,
    /// And which of the dual-role keys was pressed.
    OwnKey,
    /// And which key was pressed before, and which was the first to come down meanwhile, of any hand or, behind the guard
    /// `other_hand`, of the other hand. Of several at one instant, one of the other hand is the first, then the first in
    /// the table of codes.
    Keys,
}

impl Sight {
    /// All of them, the narrowest first.
    pub const ALL: [Self; 3] = [Self::Timing, Self::OwnKey, Self::Keys];

    /// The name in specs.
    pub fn name(self) -> &'static str {
        ["timing", "own-key", "keys"][self as usize]
    }

    /// The sight of that name.
    pub fn by_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|sight| sight.name() == name)
    }

    /// What is seen, in words that follow "sees only".
    pub fn words(self) -> &'static str {
        match self {
            Self::Timing => "when keys go down and up and by which hand",
            Self::OwnKey => "when keys go down and up, by which hand, and which dual-role key was pressed",
            Self::Keys => {
                "when keys go down and up, by which hand, which dual-role key was pressed, and which key came before it and \
                 which came down first meanwhile"
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_those_of_files() {
        for sight in Sight::ALL {
            assert_eq!(Sight::by_name(sight.name()), Some(sight));
            assert_eq!(serde_json::to_value(sight).unwrap(), sight.name());
        }
        assert_eq!(Sight::by_name("everything"), None);
        assert!(Sight::Timing < Sight::OwnKey && Sight::OwnKey < Sight::Keys);
    }
}
