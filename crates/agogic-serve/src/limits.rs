//! What a server bears.

use std::time::Duration;

/// What a server bears. Whatever goes beyond is refused, and the server goes on.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Bytes of one body.
    pub body_bytes: usize,
    /// Time for the head of a request, also the time that a connection may wait between two requests.
    pub head: Duration,
    /// Time for the body of a request.
    pub body: Duration,
    /// Time after which a connection takes no further request.
    pub connection: Duration,
    /// Connections at once; further ones wait.
    pub connections: usize,
    /// Pieces of work kept.
    pub works: usize,
    /// Bytes of the log of one piece of work.
    pub log_bytes: usize,
    /// Bytes of all logs together.
    pub all_bytes: usize,
    /// Questions that wait while another is answered.
    pub waiting: usize,
    /// Time without a request of the page after which the server ends.
    pub quiet: Duration,
}

impl Default for Limits {
    /// Generous for one person with several tabs, harmless for the machine.
    fn default() -> Self {
        Self {
            body_bytes: 1 << 20,
            head: Duration::from_secs(10),
            body: Duration::from_secs(10),
            connection: Duration::from_secs(120),
            connections: 64,
            works: 32,
            log_bytes: 8 << 20,
            all_bytes: 64 << 20,
            waiting: 8,
            quiet: Duration::from_secs(3600),
        }
    }
}
