//! `RULE.md`: all there is to the rule, for whoever writes it again.

use std::fmt::Write;

use agogic_keys::Hand;
use agogic_policy::KEYS_CAUTION;

use crate::footprint::{Memory, measured};
use crate::machine::{Clock, Machine};
use crate::page_tables::tables;
use crate::states::changes;
use crate::words;

/// The page.
pub fn page(machine: &Machine) -> String {
    let mut page = String::new();
    let label = machine.setting.label();
    let entry = machine.setting.entry();
    let _ = write!(
        page,
        "# `{label}`\n\nA rule that tells a tap from a hold on dual-role keys: {}. Made by agogic {}. Source of the rule: {}.\n\n\
         This page says all that a program needs to decide as the rule does. `agogic.c` and `agogic.h` are one such program, in \
         C99; `rule.json` holds the same numbers as data; `vectors.txt` holds cases that any program has to pass.\n\n",
        entry.summary,
        env!("CARGO_PKG_VERSION"),
        entry.source
    );
    told(&mut page, machine);
    decided(&mut page, machine);
    mishaps(&mut page, machine);
    if machine.body.is_learned() {
        tables(&mut page, machine);
    }
    keys(&mut page, machine);
    diagram(&mut page, machine);
    cost(&mut page, machine);
    conformance(&mut page);
    cautions(&mut page, machine);
    page
}

fn paragraphs(page: &mut String, text: &str, mark: &str) {
    for line in text.lines() {
        let _ = writeln!(page, "{mark}{line}");
        if mark.is_empty() {
            page.push('\n');
        }
    }
    if !mark.is_empty() {
        page.push('\n');
    }
}

fn told(page: &mut String, machine: &Machine) {
    let (tick, unit) = match machine.clock {
        Clock::Milliseconds => ("a millisecond, 1000 µs", "ms"),
        Clock::Microseconds => ("a microsecond", "µs"),
    };
    let _ = write!(
        page,
        "## What it is told\n\n\
         Events: a key, whether it went down or up, and when. Times are whole ticks of {tick}, kept in 32 bits, so they wrap: \
         after 4294967295 comes 0. Time goes on if the difference to the latest time, modulo 2³², is at most 2147483647 ticks; \
         otherwise it has gone back. Who feeds a machine tells of a longer rest in parts.\n\n\
         All thresholds below are in µs, a tick being {} µs. ",
        machine.clock.tick()
    );
    if machine.clock == Clock::Milliseconds {
        let _ = write!(
            page,
            "An event of tick t happens at 1000 · t µs. A decision that falls between two ticks is told with the earlier one: its \
             time in µs, divided by 1000 and rounded down. A machine may be told that a tick t has passed: then all deadlines up \
             to 1000 · t + 999 µs have come. "
        );
    } else {
        page.push_str("A machine may be told that a time t has passed: then all deadlines up to t have come. ");
    }
    let _ = write!(
        page,
        "No event of a tick that has passed comes later.\n\n\
         It answers with decisions: the key, tap or hold, and when, in {unit}. Decisions of one tick may come in any order.\n\n"
    );
}

fn decided(page: &mut String, machine: &Machine) {
    page.push_str(
        "## Words\n\n\
         - A *press* of a key begins when it goes down and ends at its *release*. Every press of a dual-role key is decided \
         once, and by itself: which role another press gets does not matter.\n\
         - The *dwell* is the time from press to release.\n\
         - A *contact* of a press is a press of any other key that begins while the key is down: at the own press or later, and \
         before the own release. It may end later. Other dual-role keys are contacts like all others.\n\
         - A *carried* key went down before the own press and came up after it.\n\
         - The *lull* is the time from the beginning of the press before, of any key, to the own press.\n\
         - An *instant* is one time in µs.\n\n## The rule\n\n",
    );
    paragraphs(page, &words::definition(machine), "");
    page.push_str("## The guards\n\nFrom the outside in; the first that settles a press has the say.\n\n");
    paragraphs(page, &words::guards(machine), "- ");
    page.push_str("## Ties\n\n");
    paragraphs(page, &words::ties(machine), "- ");
}

fn mishaps(page: &mut String, machine: &Machine) {
    let _ = write!(
        page,
        "## Mishaps\n\n\
         - Time that goes back stands still: the event counts as of the latest time.\n\
         - A press of a key that is down already is not seen, and so is a release of one that is not down. They tell the time.\n\
         - A key with a number of {} or more is not on the keyboard: its events are not seen. They tell the time.\n\
         - There are {} slots. A slot is taken by each key that is down, whatever its roles, and by each press of a dual-role key \
         that came up undecided, through the instant of its decision. A press that a guard decided at its beginning takes one \
         only while the key is down. A press that finds no free slot is not seen at all, nor is its release; no later press has \
         it as a press before, a contact or a carried key. If the key has two roles, it is a tap at its beginning.\n\
         - A key that goes down and comes up at one instant is a press with a dwell of 0.\n\
         - Times that lie further back than 67 s (2²⁶ µs) may count as 67 s back. This changes a decision only under \
         `overlap-share`, and there only for two keys that are down together for so long.\n\n",
        machine.keys.len(),
        machine.slots
    );
}

fn keys(page: &mut String, machine: &Machine) {
    page.push_str(
        "## Keys\n\nKeys are told by number. Two keys are of opposite hands if one is `left` and the other `right`. Codes are those of \
         W3C UI Events.\n\n| number | code | hand | roles |\n|---|---|---|---|\n",
    );
    for key in &machine.keys {
        let hand = match key.hand {
            Hand::Left => "left",
            Hand::Right => "right",
            Hand::Either => "either",
        };
        let roles = if key.dual > 0 { "two" } else { "one" };
        let _ = writeln!(page, "| {} | {} | {hand} | {roles} |", key.number, key.code);
    }
    page.push('\n');
}

fn diagram(page: &mut String, machine: &Machine) {
    page.push_str("## States of a press\n\n![States of a press](states.svg)\n\n| change | from | to | when |\n|---|---|---|---|\n");
    for (at, change) in changes(machine).iter().enumerate() {
        let _ = writeln!(page, "| {} | {} | {} | {} |", at + 1, change.from, change.to, change.when);
    }
    page.push('\n');
}

fn cost(page: &mut String, machine: &Machine) {
    let memory = Memory::of(machine);
    let _ = write!(
        page,
        "## Cost\n\nMemory that changes, on a processor with 32 bits: {} bytes for each slot{}, and {} shared; {} in all with {} \
         slots and {} dual-role keys. A slot serves one key that is down.\n\n",
        memory.slot,
        if memory.dual_key > 0 {
            format!(", {} for each dual-role key, for retap", memory.dual_key)
        } else {
            String::new()
        },
        memory.shared,
        memory.all(machine),
        machine.slots,
        machine.dual_keys()
    );
    let name = machine.setting.entry().name;
    let rows: Vec<_> = measured().into_iter().filter(|row| row.rule == name).collect();
    if rows.is_empty() {
        return;
    }
    page.push_str(
        "Measured with the values that the rule has by default, compiled for size by GCC for a Cortex-M0; `all` guards are the five \
         there are. Instructions are those of the worst call of a function that was found, with every slot in use and deadlines \
         served in time; tables are part of the flash.\n\n\
         | guards | clock | flash, bytes | of it tables | `agogic_event` | `agogic_passed` | `agogic_deadline` | `agogic_decision` |\n\
         |---|---|---|---|---|---|---|---|\n",
    );
    for row in rows {
        let [event, passed, deadline, decision] = row.worst;
        let _ = writeln!(
            page,
            "| {} | {} | {} | {} | {event} | {passed} | {deadline} | {decision} |",
            row.guards, row.clock, row.flash, row.tables
        );
    }
    page.push('\n');
}

fn conformance(page: &mut String) {
    page.push_str(
        "## Conformance\n\n`agogic conform --vectors vectors.txt PROGRAM` runs any program and gives it lines by standard \
         input:\n\n\
         | line | meaning |\n|---|---|\n\
         | `case NAME` | a machine starts afresh: no key is down, none was pressed before |\n\
         | `down KEY WHEN` | the key with that number went down |\n\
         | `up KEY WHEN` | it came up |\n\
         | `wait WHEN` | this tick has passed |\n\
         | `end` | the case is over |\n\n\
         The first event of a case may have any time; a wait before it tells nothing. The program answers each `case` with the \
         same line, each `end` with `end`, and in between it writes a line `tap KEY WHEN` or `hold KEY WHEN` for each decision \
         that fell by then. It may answer when it likes, as long as it reads on to the end of its input. Lines of `vectors.txt` \
         that begin with `expect` are what it has to say; the program does not see them. Arguments after PROGRAM are its \
         own.\n\n\
         `conform.c` does this with `agogic.c`:\n\n```sh\ncc -std=c99 -O2 agogic.c conform.c -o conform\nagogic conform \
         --vectors vectors.txt ./conform\n```\n\n",
    );
}

fn cautions(page: &mut String, machine: &Machine) {
    page.push_str("## Before you use it\n\n");
    if machine.body.keys().is_some() {
        let _ = write!(page, "{KEYS_CAUTION}\n\n");
    }
    page.push_str("Pain that stays is a matter for a clinician, not for a timing value.\n");
}
