//! An estimate as text.

use agogic_stats::Estimate;

/// A number with its interval, such as `12.3 (11.8 to 12.9)`.
pub fn as_text(estimate: &Estimate, digits: usize) -> String {
    match (estimate.value, estimate.lo, estimate.hi) {
        (Some(value), Some(lo), Some(hi)) => format!("{value:.digits$} ({lo:.digits$} to {hi:.digits$})"),
        (Some(value), ..) => format!("{value:.digits$} (no interval)"),
        (None, ..) => format!("unknown ({})", estimate.reason.as_deref().unwrap_or("no reason given")),
    }
}
