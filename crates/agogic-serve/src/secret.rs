//! What cannot be guessed: the secret in the address, and the names of pieces of work.

use std::fmt::Write;

/// Bytes of a secret: 128 bits, which nobody guesses.
const BYTES: usize = 16;

/// A secret in hexadecimal.
#[derive(Clone, Debug)]
pub(crate) struct Secret(String);

impl Secret {
    /// A new one, from the system's source of randomness.
    ///
    /// # Errors
    /// The system has none.
    #[expect(
        clippy::disallowed_methods,
        reason = "a secret must be unpredictable: a stream with an address could be computed by anybody; no result depends on it"
    )]
    pub fn new() -> Result<Self, getrandom::Error> {
        let mut bytes = [0_u8; BYTES];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes.iter().fold(String::with_capacity(2 * BYTES), |mut text, byte| {
            let _ = write!(text, "{byte:02x}");
            text
        })))
    }

    /// Whether `guess` is it, in a time that does not tell how much of it is right.
    pub fn is(&self, guess: &str) -> bool {
        let (own, guess) = (self.0.as_bytes(), guess.as_bytes());
        own.len() == guess.len() && own.iter().zip(guess).fold(0, |sum, (a, b)| sum | (a ^ b)) == 0
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn secrets_differ_and_are_told_apart() {
        let all: std::collections::BTreeSet<String> = (0..100).map(|_| Secret::new().unwrap().0).collect();
        assert_eq!(all.len(), 100);
        let own = Secret("00ff".repeat(8));
        assert!(own.is(&"00ff".repeat(8)));
        assert!(!own.is(&"00fe".repeat(8)) && !own.is("") && !own.is(&"00ff".repeat(9)));
        assert!(all.iter().all(|text| text.len() == 32 && text.bytes().all(|b| b.is_ascii_hexdigit())));
    }
}
