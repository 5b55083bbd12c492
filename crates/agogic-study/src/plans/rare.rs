//! The table `rare` without mistakes.

/// When and how rare errors are looked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RarePlan {
    /// Half-width of the interval wanted, over the rate.
    pub precision: f64,
    /// Presses that may be simulated for each rate.
    pub budget_keys: u64,
    /// Rates with fewer events than this are estimated again.
    pub below_events: u64,
}

impl Default for RarePlan {
    /// ±10 %, at most 50 million presses, for rates that rest on fewer than 20 events.
    fn default() -> Self {
        Self { precision: 0.1, budget_keys: 50_000_000, below_events: 20 }
    }
}
