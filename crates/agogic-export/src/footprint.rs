//! What an exported rule costs: memory by its shape, flash and instructions as measured.

use agogic_policy::{BINS, KeyTable};

use crate::body::{Body, KeyTables};
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

/// Bytes of the tables that a rule decides from.
pub fn table_bytes(body: &Body) -> usize {
    let times = |course: bool| 2 * (2 * (BINS + 1) + if course { 12 } else { 9 } * BINS);
    let keys = |keys: &KeyTables| {
        let entries: usize = keys.tables.iter().map(|own| own.entries.len()).sum();
        let pairs = [KeyTable::OwnContact, KeyTable::OwnPrevious].iter().any(|table| keys.of(*table).is_some());
        keys.entry_bytes * entries + if pairs { keys.rows.len().max(1) } else { 0 }
    };
    match body {
        Body::Evidence { .. } => times(false),
        Body::SequentialEvidence { .. } => times(true),
        Body::KeyEvidence { keys: own, .. } => keys(own),
        Body::SequentialKeyEvidence { keys: own, .. } => times(true) + keys(own),
        _ => 0,
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
    /// Instructions of the worst call of `agogic_event`, `agogic_passed`, `agogic_deadline` and `agogic_decision`.
    pub worst: [usize; 4],
}

impl Measured {
    /// First line of the table.
    pub const HEAD: &str = "rule,guards,clock,flash,tables,event,passed,deadline,decision";

    /// The row as a line of the table.
    pub fn line(&self) -> String {
        let Self { rule, guards, clock, flash, tables, worst: [event, passed, deadline, decision] } = self;
        format!("{rule},{guards},{clock},{flash},{tables},{event},{passed},{deadline},{decision}")
    }
}

/// Every measured row.
pub fn measured() -> Vec<Measured> {
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |at: usize| cells[at].parse().expect("the table is ours");
        let [rule, guards, clock] = [0, 1, 2].map(|at| cells[at].to_owned());
        Measured { rule, guards, clock, flash: number(3), tables: number(4), worst: [5, 6, 7, 8].map(number) }
    };
    MEASURED.lines().skip(1).map(row).collect()
}
