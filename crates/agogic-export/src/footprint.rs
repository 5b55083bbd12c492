//! What an exported rule costs: memory by its shape, flash and instructions as measured.

use crate::machine::Machine;

/// Measured on a Cortex-M0; `examples/footprint.rs` makes it.
const MEASURED: &str = include_str!("../data/footprint.csv");

/// Memory that changes, in bytes, on a processor with 32 bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Memory {
    /// For each press that is followed.
    pub slot: usize,
    /// For each dual-role key: when it came up last, for `retap`.
    pub dual_key: usize,
    /// For all of them together.
    pub shared: usize,
}

impl Memory {
    /// The memory of a machine.
    pub fn of(machine: &Machine) -> Self {
        let body = &machine.body;
        let guards = machine.guards().map(|(_, us)| us.is_some_and(|us| us > 0));
        let latest = body.is_learned() || guards[1];
        let words = 4 + usize::from(latest);
        Self {
            slot: if body.is_learned() { 16 } else { 12 },
            dual_key: if guards[0] { 4 } else { 0 },
            // The words, and a last one for the small numbers.
            shared: 4 * words + 4,
        }
    }

    /// All of it.
    pub fn all(&self, machine: &Machine) -> usize {
        self.shared + machine.slots * self.slot + machine.dual_keys() * self.dual_key
    }
}

/// One measured row.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Measured {
    /// The rule.
    pub rule: String,
    /// `none`, or `all` five guards.
    pub guards: String,
    /// The clock.
    pub clock: String,
    /// Bytes of code and constants, tables among them.
    pub flash: usize,
    /// Bytes of them that are tables of the rule.
    pub tables: usize,
    /// Instructions of the worst event.
    pub event: usize,
    /// Instructions of the worst deadline.
    pub deadline: usize,
}

/// Every measured row.
pub fn measured() -> Vec<Measured> {
    let number = |text: &str| text.parse().expect("the table is ours");
    MEASURED
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            Measured {
                rule: cells[0].to_owned(),
                guards: cells[1].to_owned(),
                clock: cells[2].to_owned(),
                flash: number(cells[3]),
                tables: number(cells[4]),
                event: number(cells[5]),
                deadline: number(cells[6]),
            }
        })
        .collect()
}
