//! What is served.

/// A file of the page.
#[derive(Clone, Debug)]
pub struct Asset {
    /// Its path below the secret, such as `page.js`; blank for the page itself.
    pub path: &'static str,
    /// Its media type.
    pub kind: &'static str,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// Why there is no answer, in words for the person at the page.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Refusal(pub String);

/// Whatever answers. All is called away from the server's thread and may take its time.
pub trait Answers: Send + Sync + 'static {
    /// Turns a log that was typed, and a question about it, into an answer in JSON.
    ///
    /// # Errors
    /// Nothing can be said of this log; the words are shown.
    fn answer(&self, log: &[u8], question: &[u8]) -> Result<Vec<u8>, Refusal>;

    /// What the page shows without a log, in JSON: asked for once, when the server starts.
    ///
    /// # Errors
    /// It cannot be made; the words are shown.
    fn explorer(&self) -> Result<Vec<u8>, Refusal>;
}

/// What is served: a page and its answers.
pub struct Site<A> {
    /// The files of the page.
    pub assets: Vec<Asset>,
    /// What answers.
    pub answers: A,
}
