//! What a setting does, in words: for the comments of the source and for the page.

use crate::body::{Body, SumBounds};
use crate::machine::Machine;

/// Milliseconds without needless decimals.
pub(crate) fn ms(us: u64) -> String {
    let text = format!("{:.3}", us as f64 / 1e3);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The rule, a paragraph a line.
pub(crate) fn definition(machine: &Machine) -> String {
    let seen = if machine.setting.guards().other_hand && sees_others(&machine.body) {
        "\nOnly keys of the opposite hand are contacts or carried keys; all other keys are not seen by the rule."
    } else {
        ""
    };
    format!("{}{seen}", rule(&machine.body))
}

fn sees_others(body: &Body) -> bool {
    !matches!(body, Body::DwellCutoff { .. })
}

fn rule(body: &Body) -> String {
    match body {
        Body::DwellCutoff { cutoff } => format!(
            "A hold, decided {} ms after the press, if the key is down for at least so long; else a tap, decided at its \
             release. No other key matters.",
            ms(*cutoff)
        ),
        Body::FirstContact => {
            "A hold, decided at the press of the first contact; a tap, decided at the own release, if \
                               there is none."
                .to_owned()
        }
        Body::Enclosed => {
            "A hold, decided at the first release of a contact that falls no later than the own release; \
                           else a tap, decided at the own release."
                .to_owned()
        }
        Body::OverlapShare { millionths } => format!(
            "For a contact pressed at c and released at u, with the own release at r, the overlap is min(r, u) - c. The \
             contact qualifies if overlap * 1000000 >= {millionths} * (u - c), in whole microseconds. A hold, decided at \
             the first release of a contact that qualifies.\n\
             A contact that is still down after r can qualify until c + (r - c) * 1000000 / {millionths}, rounded down to \
             whole microseconds. When that time has passed for every contact, it is a tap, decided at the latest of these \
             times and r."
        ),
        Body::OverlapSpan { span } => format!(
            "For a contact pressed at c and released at u, with the own release at r, the overlap is min(r, u) - c. A hold, \
             decided at c + {0} ms, for the first contact by press whose overlap is at least {0} ms; else a tap, decided at \
             the own release. Overlaps of several contacts are not added up.",
            ms(*span)
        ),
        Body::Evidence { threshold, .. } => format!(
            "The decision falls at the first release: the own one, or that of a contact that comes no later. The sum of the \
             entries of three tables, lull, lead and overlap, says what it is: a hold if the sum is at least {threshold}, \
             in 1/256 nat, else a tap."
        ),
        Body::KeyEvidence { threshold, .. } => format!(
            "The decision falls at the first release: the own one, or that of a contact that comes no later. A constant and \
             the entries of the tables of times and keys are added up: a hold if the sum is at least {threshold}, in 1/256 \
             nat, else a tap."
        ),
        Body::SequentialEvidence { bounds, .. } => sequential(*bounds, ""),
        Body::SequentialKeyEvidence { bounds, .. } => sequential(
            *bounds,
            "\nAt the press, a constant and the entries of the own key, of the key pressed before and of both are added with \
             that of the lull; with the entry of the first contact, that of its key and that of the own key with it.",
        ),
    }
}

fn sequential(bounds: SumBounds, keys: &str) -> String {
    let SumBounds { hold, tap, end } = bounds;
    format!(
        "A sum starts at the press with the entry of the lull. Each event of the course adds its entry, and so does each \
         bin of time that passes without one. After each addition the sum is looked at: a hold as soon as it is at least \
         {hold}, a tap as soon as it is at most {tap}, in 1/256 nat; the bound of holds first. If the own release comes \
         before either, its entry is added and looked at too, and then it is a hold if the sum is at least {end}, else a \
         tap.{keys}"
    )
}

/// The guards, a line each, from the outside in.
pub(crate) fn guards(machine: &Machine) -> String {
    let guards = machine.setting.guards();
    let mut lines = Vec::new();
    let [retap, lull, floor, bare] = machine.guards().map(|(_, us)| us.map(ms));
    if let Some(retap) = retap {
        lines.push(format!(
            "retap: the same key came up less than {retap} ms before this press: a tap, decided at the press."
        ));
    }
    if let Some(lull) = lull {
        lines.push(format!(
            "lull: any key went down less than {lull} ms before this press: a tap, decided at the press."
        ));
    }
    if let Some(floor) = floor {
        lines.push(format!(
            "floor: no hold unless the key is down for at least {floor} ms. A hold that is called sooner falls {floor} ms \
             after the press, and whatever happens until then but the own release does not change it. A key released sooner \
             is a tap at its release, or when a tap was called, whichever comes first."
        ));
    }
    if let Some(bare) = bare {
        lines.push(format!(
            "bare hold: a key that is down and undecided {bare} ms after its press is a hold then. The floor stands around \
             this guard too."
        ));
    }
    if guards.other_hand {
        lines.push("other hand: the rule sees only keys of the opposite hand. Times of presses and the guards above see every key.".to_owned());
    }
    if lines.is_empty() {
        lines.push("none".to_owned());
    }
    lines.join("\n")
}

/// Ties, a paragraph a line.
pub(crate) fn ties(machine: &Machine) -> String {
    let mut lines = vec![
        "Within one instant, whatever the order in which its events are fed: releases of other keys come first, then the own \
         release, then presses of other keys; a deadline comes after all events of its instant. A value that equals a \
         threshold has reached it."
            .to_owned(),
        "A key pressed at the instant of the own press was down before it if it was fed before it, and is a contact if it was \
         fed after it. A key pressed at the instant of the own release is no contact."
            .to_owned(),
        "A contact that goes down and comes up at one instant comes up after all presses of that instant.".to_owned(),
    ];
    if machine.body.is_learned() {
        let number = if machine.body.keys().is_some() { ", then the one with the lowest number" } else { "" };
        lines.push(format!("Of several contacts at one instant, one of the opposite hand is the first{number}."));
    }
    if machine.setting.guards().bare_hold.is_some() {
        lines.push(
            "At the instant of the bare hold the rule speaks first; a key released at that very instant has been down long \
             enough."
                .to_owned(),
        );
    }
    lines.join("\n")
}
