//! `agogic policies`: what can be compared.

use std::io::Write;
use std::process::ExitCode;

use agogic_policy::{GUARDS, Param, RULES};
use serde_json::json;

use crate::failure::Failure;

fn param_json(param: &Param) -> serde_json::Value {
    json!({
        "name": param.name, "unit": param.unit, "default": param.default,
        "min": param.min, "max": param.max, "doc": param.doc,
    })
}

/// Lists rules and guards.
pub fn policies(as_json: bool) -> Result<ExitCode, Failure> {
    let mut screen = std::io::stdout().lock();
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
                    "name": g.name, "summary": g.summary, "source": g.source,
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
    writeln!(screen, "Guards ([[policy]] guards = {{ ... }}), applied in this order from the outside in:\n")?;
    for guard in GUARDS {
        writeln!(screen, "  {}\n      {}", guard.name, guard.summary)?;
        if let Some(p) = guard.param {
            writeln!(screen, "      {} {} to {}, for example {}", p.unit, p.min, p.max, p.default)?;
        }
        writeln!(screen, "      source: {}\n", guard.source)?;
    }
    Ok(ExitCode::SUCCESS)
}
