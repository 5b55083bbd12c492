//! The rule as C99: one template, of which a setting takes what it needs.

use agogic_keys::Hand;
use agogic_policy::KeyTable;
use minijinja::{Environment, UndefinedBehavior, context};

use crate::body::Body;
use crate::machine::{Clock, KeyTraits, Machine, NAMED, ROWS, WRITING};
use crate::source_tables::tables;
use crate::words;

const HEADER: &str = include_str!("../templates/agogic.h");
const SOURCE: &str = include_str!("../templates/agogic.c");
const RUNNER: &str = include_str!("../templates/conform.c");

/// Header, source, and a program that runs vectors through them.
pub fn sources(machine: &Machine) -> [(String, String); 3] {
    let render = |template| rendered(machine, template);
    [("agogic.h", render(HEADER)), ("agogic.c", render(SOURCE)), ("conform.c", render(RUNNER))]
        .map(|(name, text)| (name.to_owned(), text))
}

fn rendered(machine: &Machine, template: &str) -> String {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    let text = environment.render_str(&without_tag_lines(template), values(machine));
    format!("{}\n", text.expect("the templates are fixed, and the tests render them for every rule").trim_end())
}

/// A template whose lines that are a tag alone leave nothing behind.
fn without_tag_lines(template: &str) -> String {
    let mut text = String::with_capacity(template.len());
    for line in template.lines() {
        let tag = line.trim();
        if tag.starts_with("{%") && tag.ends_with("%}") && tag.matches("{%").count() == 1 {
            text.push_str(tag);
        } else {
            text.push_str(line);
            text.push('\n');
        }
    }
    text
}

/// What the templates are given.
fn values(machine: &Machine) -> minijinja::Value {
    let body = &machine.body;
    // A time that everything reaches bars nothing.
    let [retap, lull, floor, _] = machine.guards().map(|(_, us)| us.filter(|us| *us > 0));
    let bare = machine.guards()[3].1;
    let is = |name: &str| machine.setting.entry().name == name;
    let learned = body.is_learned();
    let sequential = body.is_sequential();
    let looks_at_downs = learned || is("first-contact");
    let looks_at_ups = learned || is("enclosed") || is("overlap-share") || is("overlap-span");
    let other_hand = machine.setting.guards().other_hand;
    let contacts = looks_at_downs || looks_at_ups;
    let (threshold, bounds) = match body {
        Body::Evidence { threshold, .. } | Body::KeyEvidence { threshold, .. } => (*threshold, None),
        Body::SequentialEvidence { bounds, .. } | Body::SequentialKeyEvidence { bounds, .. } => (0, Some(*bounds)),
        _ => (0, None),
    };
    let share = if let Body::OverlapShare { millionths } = body { *millionths } else { 1 };
    let common = divisor(share, 1_000_000);
    let keyed = body.keys();
    let has = |table| keyed.is_some_and(|keys| keys.of(table).is_some());
    let general = context! {
        version => env!("CARGO_PKG_VERSION"),
        label => machine.setting.label(),
        definition => commented(&words::definition(machine)),
        guards_text => commented(&words::guards(machine)),
        ties => commented(&words::ties(machine)),
        slots => machine.slots,
        dual => machine.dual_keys(),
        ms => machine.clock == Clock::Milliseconds,
        tick_words => machine.clock.words(),
        patience => "a quarter of an hour",
        keys => machine.keys.iter().map(key).collect::<Vec<_>>(),
        retap, lull, floor, bare, other_hand, learned, sequential, looks_at_downs, looks_at_ups, contacts,
        latest => learned || lull.is_some(),
        hands => learned || (other_hand && contacts),
    };
    let rule = context! {
        dwell => is("dwell-cutoff"),
        first => is("first-contact"),
        share => is("overlap-share"),
        span => is("overlap-span"),
        earliest => is("overlap-share") || is("overlap-span"),
        has_rule_deadline => sequential || is("dwell-cutoff") || is("overlap-share") || is("overlap-span"),
        cutoff => if let Body::DwellCutoff { cutoff } = body { *cutoff } else { 0 },
        span_us => if let Body::OverlapSpan { span } = body { *span } else { 0 },
        numerator => 1_000_000 / common,
        denominator => share / common,
        whole => 1_000_000 / share,
        part => 1_000_000 / common % (share / common),
        // So small that the product fits into 32 bits, and a division that is a shift.
        exact => (share / common).is_power_of_two() && 1_000_000 / common % (share / common) < 64,
        fraction => ((1_000_000 / common % (share / common)) << 32) / (share / common),
        threshold,
        hold_bound => bounds.map_or(0, |bounds| bounds.hold),
        tap_bound => bounds.map_or(0, |bounds| bounds.tap),
        end_bound => bounds.map_or(0, |bounds| bounds.end),
        tables => tables(body),
    };
    let of_keys = context! {
        keyed => keyed.is_some(),
        rows => keyed.map_or(0, |keys| keys.rows.len().max(1)),
        pairs => has(KeyTable::OwnContact) || has(KeyTable::OwnPrevious),
        has_contact => has(KeyTable::Contact),
        has_own => has(KeyTable::Own),
        has_previous => has(KeyTable::Previous),
        has_own_contact => has(KeyTable::OwnContact),
        has_own_previous => has(KeyTable::OwnPrevious),
        named => NAMED,
        rows_most => ROWS,
        writing => WRITING,
    };
    context! { ..general, ..context! { ..rule, ..of_keys } }
}

fn key(key: &KeyTraits) -> minijinja::Value {
    let (bits, hand) = match key.hand {
        Hand::Either => (0, ""),
        Hand::Left => (1, ", left"),
        Hand::Right => (2, ", right"),
    };
    let role = if key.dual > 0 { ", two roles" } else { "" };
    context! {
        number => key.number,
        name => key.code.name(),
        traits => bits + 4 * key.dual,
        words => format!("{hand}{role}"),
    }
}

/// Lines of a text as the inside of a C comment.
pub(crate) fn commented(text: &str) -> String {
    let mut lines = Vec::new();
    for paragraph in text.lines() {
        let mut line = String::new();
        for word in paragraph.split_whitespace() {
            if line.len() + word.len() > 116 {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        lines.push(line);
    }
    lines.iter().map(|line| format!(" *   {line}").trim_end().to_owned()).collect::<Vec<_>>().join("\n")
}

/// The greatest common divisor, by Euclid.
fn divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { divisor(b, a % b) }
}
