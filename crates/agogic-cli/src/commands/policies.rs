//! `agogic policies`: what can be compared, and what a rule needs of a microcontroller.

use std::io::Write;
use std::process::ExitCode;

use agogic_policy::{GUARDS, KEYS_CAUTION, PERSONAL, Param, RULES, RuleEntry, Sight, TableListing, Work, rule};
use agogic_sim::{ArmRunner, EngineError, train};
use serde_json::json;

use super::study;
use crate::args::{Policies, TableFormat};
use crate::failure::Failure;
use crate::screen::screen;

fn param_json(param: &Param) -> serde_json::Value {
    json!({
        "name": param.name, "unit": param.unit, "default": param.default,
        "min": param.min, "max": param.max, "doc": param.doc,
    })
}

/// Lists rules and guards, or prints one rule's table, memory and work.
pub fn policies(args: &Policies, as_json: bool) -> Result<ExitCode, Failure> {
    let mut screen = screen();
    if let Some(name) = &args.table {
        return table(&mut screen, args, name, as_json);
    }
    if as_json {
        let rules: Vec<_> = RULES
            .iter()
            .map(|r| {
                let params: Vec<_> = r.params.iter().map(param_json).collect();
                json!({
                    "name": r.name, "summary": r.summary, "bare_hold": r.bare_hold, "source": r.source,
                    "values": params,
                })
            })
            .collect();
        let guards: Vec<_> = GUARDS
            .iter()
            .map(|g| {
                json!({
                    "name": g.name, "summary": g.summary, "decides": g.decides, "source": g.source,
                    "value": g.param.as_ref().map(param_json),
                })
            })
            .collect();
        serde_json::to_writer_pretty(&mut screen, &json!({ "rules": rules, "guards": guards }))
            .map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    writeln!(screen, "Rules ([[policy]] rule = NAME, values = {{ ... }}):\n")?;
    for rule in RULES {
        writeln!(screen, "  {}\n      {}", rule.name, rule.summary)?;
        for p in rule.params {
            writeln!(screen, "      value {} = {} ({}, {} to {}): {}", p.name, p.default, p.unit, p.min, p.max, p.doc)?;
        }
        writeln!(screen, "      a bare hold: {}\n      source: {}\n", rule.bare_hold, rule.source)?;
    }
    writeln!(screen, "  {} ([policy.{}])\n      {}", PERSONAL.name, PERSONAL.name, PERSONAL.summary)?;
    for p in PERSONAL.params {
        writeln!(screen, "      value {} = {} ({}, {} to {}): {}", p.name, p.default, p.unit, p.min, p.max, p.doc)?;
    }
    writeln!(
        screen,
        "      fits: the value to fit; guard and guard_values: a guard to fit with it\n      a bare hold: {}\n      \
         source: {}\n",
        PERSONAL.bare_hold, PERSONAL.source
    )?;
    writeln!(screen, "Guards ([[policy]] guards = {{ ... }}), applied in this order from the outside in:\n")?;
    for guard in GUARDS {
        writeln!(screen, "  {}\n      {}", guard.name, guard.summary)?;
        if let Some(p) = guard.param {
            writeln!(screen, "      {} {} to {}, for example {}", p.unit, p.min, p.max, p.default)?;
        }
        writeln!(screen, "      decides: {}\n      source: {}\n", guard.decides, guard.source)?;
    }
    Ok(ExitCode::SUCCESS)
}

fn table(screen: &mut impl Write, args: &Policies, name: &str, as_json: bool) -> Result<ExitCode, Failure> {
    let entry = rule(name).ok_or_else(|| Failure::Name {
        what: "rule",
        name: name.to_owned(),
        known: RULES.iter().map(|entry| entry.name).collect::<Vec<_>>().join(", "),
    })?;
    let mut listing = None;
    if entry.needs_training {
        let study = study(args.spec.as_ref())?;
        let arm = study.arms.first().expect("a study has an arm");
        let learned = train(study.seed, &ArmRunner::new(arm), &study.training, entry.sight >= Sight::Keys);
        let refused = |source| EngineError { arm: arm.label.clone(), source };
        listing = TableListing::within(entry, &learned.map_err(refused)?, args.bytes);
    }
    if as_json {
        let cells = listing.as_ref().map(|listing| {
            listing.cells.iter().map(|c| json!({
                "table": c.table, "row": c.row, "bin": c.bin, "above_ms": c.above_ms, "to_ms": c.to_ms, "units": c.units,
            })).collect::<Vec<_>>()
        });
        let table_sets = listing.as_ref().map(|listing| &listing.table_sets);
        serde_json::to_writer_pretty(
            &mut *screen,
            &json!({ "rule": name, "cost": entry.cost, "cells": cells, "table_sets": table_sets }),
        )
        .map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    match (&listing, args.format) {
        (Some(listing), TableFormat::Csv) => write!(screen, "{}", listing.csv())?,
        (Some(listing), TableFormat::Arrays) => write!(screen, "{}", listing.arrays())?,
        (Some(listing), TableFormat::Markdown) => {
            let what = if entry.sight >= Sight::Keys { "Log odds" } else { "Log-likelihood ratios" };
            writeln!(
                screen,
                "{what} of {name} in 1/256 nat, learned from {} taps and {} holds; above zero speaks for a \
                 hold.\n\n{}",
                listing.taps,
                listing.holds,
                listing.markdown()
            )?;
            if entry.sight >= Sight::Keys {
                writeln!(screen, "{KEYS_CAUTION}\n")?;
            }
            describe(screen, entry, listing.cost.bytes)?;
        }
        (None, _) => {
            writeln!(screen, "{name} decides without a table.")?;
            describe(screen, entry, 0)?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// Keys down with an undecided one in the worst case that is printed: one for each other finger.
const OTHER_KEYS: usize = 9;

fn describe(screen: &mut impl Write, entry: &RuleEntry, bytes: usize) -> std::io::Result<()> {
    let cost = entry.cost;
    let Work { lookups, additions, comparisons, multiplications } = cost.at_once(OTHER_KEYS);
    if let Some(tables) = cost.tables {
        writeln!(
            screen,
            "Table: {} bytes. A whole decision: at most {} look-ups, {} additions and {} comparisons; at most {} \
             look-ups at once.",
            bytes, tables.lookups, tables.additions, tables.comparisons, tables.lookups_at_once
        )?;
    }
    writeln!(
        screen,
        "Memory that changes: {} bytes with one undecided press and one other key down, {} with 8 and {OTHER_KEYS} \
         each. The worst single event, per undecided press with {OTHER_KEYS} other keys down: {lookups} look-ups, \
         {additions} additions, {comparisons} comparisons, {multiplications} multiplications, all of whole numbers.",
        cost.bytes(1, 1),
        cost.bytes(8, OTHER_KEYS)
    )
}
