//! The whole numbers in which tables are kept, and their rows as words.

/// Table entries per nat.
pub const UNITS_PER_NAT: f64 = 256.0;

/// `AloneDwell` as `alone dwell`.
pub(super) fn words(name: &str) -> String {
    let mut words = String::with_capacity(name.len() + 4);
    for (i, c) in name.chars().enumerate() {
        if c.is_ascii_uppercase() && i > 0 {
            words.push(' ');
        }
        words.push(c.to_ascii_lowercase());
    }
    words
}

/// A bound in nats as table units.
pub(crate) fn units(nats: f64) -> i32 {
    libm::round(nats * UNITS_PER_NAT) as i32
}
