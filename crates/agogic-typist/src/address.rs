//! The address of a session.

/// Which of a typist's sessions is meant: what its streams of randomness are found by, together with the typist's number.
///
/// Two sessions of one address, typed by one typist on one keyboard, are the same press for press; of two replicates each
/// is drawn anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct SessionAddress {
    /// The seed of the study.
    pub seed: u64,
    /// Number of the session among those of the typist.
    pub replicate: u64,
}
