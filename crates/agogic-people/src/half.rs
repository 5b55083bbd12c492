//! Which people may set the model, and which are kept to judge it.

use sha2::{Digest, Sha256};

/// A half of the people of a data set.
///
/// # Definition
/// A person belongs to the calibration half when the first byte of SHA-256 of `DATA_SET/PERSON` is below 128. The
/// rule was fixed before anything of the people was looked at, and does not depend on how many there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Half {
    /// May be used to set numbers of the model.
    Calibration,
    /// Never used to set anything.
    HeldOut,
}

impl Half {
    /// The half of a person, by the names of the data set and the person.
    pub fn of(data_set: &str, person: &str) -> Self {
        let digest = Sha256::digest(format!("{data_set}/{person}"));
        if digest[0] < 128 { Self::Calibration } else { Self::HeldOut }
    }

    /// The name in files and on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Calibration => "calibration",
            Self::HeldOut => "held-out",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Known answers from the program `sha256sum`: first bytes 0xd5 and 0x27.
    #[test]
    fn halves_are_those_of_the_digest() {
        assert_eq!(Half::of("set", "ada"), Half::HeldOut);
        assert_eq!(Half::of("set", "berta"), Half::Calibration);
        let n = (0..4000).filter(|i| Half::of("set", &i.to_string()) == Half::Calibration).count();
        // 4.9 standard errors of a half.
        assert!((n as f64 - 2000.0).abs() < 4.9 * 4000.0_f64.sqrt() / 2.0, "{n}");
    }
}
