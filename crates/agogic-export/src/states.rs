//! A press of a dual-role key as a diagram of states.

use std::fmt::Write;

use crate::body::Body;
use crate::machine::Machine;
use crate::words::ms;

/// A change of state: from, to, and when it happens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The state before.
    pub from: &'static str,
    /// The state after.
    pub to: &'static str,
    /// What makes it change.
    pub when: String,
}

const PRESS: &str = "press";
const UNDECIDED: &str = "undecided";
const LATE: &str = "up, undecided";
const ALONE: &str = "alone";
const JOINED: &str = "joined";
const NEAR: &str = "joined, near";
const FAR: &str = "joined, opposite";
const INSIDE: &str = "inside";
const CALLED: &str = "hold called";
const TAP: &str = "tap";
const HOLD: &str = "hold";

/// Every change of state of a press under a setting.
pub fn changes(machine: &Machine) -> Vec<Change> {
    let [retap, lull, floor, bare] = machine.guards().map(|(_, us)| us.map(ms));
    let mut changes = Vec::new();
    let first = states(&machine.body)[0];
    let hold = if floor.is_some() { CALLED } else { HOLD };
    let mut add = |from, to, when: String| changes.push(Change { from, to, when });
    if let Some(retap) = &retap {
        add(PRESS, TAP, format!("the same key came up less than {retap} ms before"));
    }
    if let Some(lull) = &lull {
        add(PRESS, TAP, format!("any key went down less than {lull} ms before"));
    }
    let barred = retap.is_some() || lull.is_some();
    add(PRESS, first, if barred { "else, at the press" } else { "at the press" }.to_owned());
    for (from, to, when) in of_rule(&machine.body) {
        add(from, if to == HOLD { hold } else { to }, when);
    }
    for from in states(&machine.body).iter().copied().filter(|from| *from != LATE) {
        if let Some(bare) = &bare {
            add(from, hold, format!("the key is down for {bare} ms"));
        }
        if let Some(floor) = &floor {
            add(from, TAP, format!("own release before {floor} ms"));
        }
    }
    if let Some(floor) = &floor {
        add(CALLED, TAP, format!("own release before {floor} ms"));
        add(CALLED, HOLD, format!("the key has been down for {floor} ms, now or already"));
    }
    changes
}

/// States of a press that is undecided, the first one first.
fn states(body: &Body) -> &'static [&'static str] {
    match body {
        Body::OverlapShare { .. } => &[UNDECIDED, LATE],
        Body::Evidence { .. } | Body::KeyEvidence { .. } => &[ALONE, JOINED],
        Body::SequentialEvidence { .. } | Body::SequentialKeyEvidence { .. } => &[ALONE, NEAR, FAR, INSIDE],
        _ => &[UNDECIDED],
    }
}

fn of_rule(body: &Body) -> Vec<(&'static str, &'static str, String)> {
    let words = |from, to, when: &str| (from, to, when.to_owned());
    match body {
        Body::DwellCutoff { cutoff } => vec![
            (UNDECIDED, HOLD, format!("the key is down for {} ms", ms(*cutoff))),
            words(UNDECIDED, TAP, "own release sooner"),
        ],
        Body::FirstContact => {
            vec![words(UNDECIDED, HOLD, "another key goes down"), words(UNDECIDED, TAP, "own release")]
        }
        Body::Enclosed => vec![words(UNDECIDED, HOLD, "a contact comes up"), words(UNDECIDED, TAP, "own release")],
        Body::OverlapShare { .. } => vec![
            words(UNDECIDED, HOLD, "a contact comes up"),
            words(UNDECIDED, TAP, "own release, and no contact is down"),
            words(UNDECIDED, LATE, "own release, and a contact is down"),
            words(LATE, HOLD, "a contact comes up no later than its deadline"),
            words(LATE, TAP, "the last deadline passes"),
        ],
        Body::OverlapSpan { span } => vec![
            (UNDECIDED, HOLD, format!("a contact and the key are down together for {} ms", ms(*span))),
            words(UNDECIDED, TAP, "own release sooner"),
        ],
        Body::Evidence { .. } | Body::KeyEvidence { .. } => vec![
            words(ALONE, JOINED, "another key goes down"),
            words(ALONE, HOLD, "own release, and the sum reaches the threshold"),
            words(ALONE, TAP, "own release, and it does not"),
            words(JOINED, HOLD, "the first release, own or of a contact, and the sum reaches the threshold"),
            words(JOINED, TAP, "the first release, and it does not"),
        ],
        Body::SequentialEvidence { .. } | Body::SequentialKeyEvidence { .. } => {
            let mut changes = vec![
                words(ALONE, NEAR, "a key of no opposite hand goes down"),
                words(ALONE, FAR, "a key of the opposite hand goes down"),
                words(NEAR, INSIDE, "a contact comes up"),
                words(FAR, INSIDE, "a contact comes up"),
            ];
            for from in [ALONE, NEAR, FAR, INSIDE] {
                changes.push(words(
                    from,
                    HOLD,
                    "the sum reaches the bound of holds, or at the own release that of the end",
                ));
                changes.push(words(
                    from,
                    TAP,
                    "the sum reaches the bound of taps, or the own release does not make it a hold",
                ));
            }
            changes
        }
    }
}

const INK: &str = "#1f2933";
const RULED: &str = "#9aa5b1";
const PAPER: &str = "#ffffff";
const FILL: &str = "#e8eef4";
const WIDTH: f64 = 130.0;
const HEIGHT: f64 = 34.0;
const SHEET: (f64, f64) = (950.0, 370.0);

/// Half the width and half the height of a box, and its centre.
struct Place {
    x: f64,
    y: f64,
    half: (f64, f64),
}

impl Place {
    /// Ends lie across the sheet, holds at the top and taps at the bottom, so that arrows to them go straight up and down.
    fn of(state: &str) -> Self {
        let at = |x, y| Self { x, y, half: (WIDTH / 2.0, HEIGHT / 2.0) };
        let across = |y| Self { x: SHEET.0 / 2.0, y, half: (SHEET.0 / 2.0 - 20.0, 14.0) };
        match state {
            HOLD => across(34.0),
            CALLED => across(92.0),
            TAP => across(336.0),
            PRESS => at(96.0, 210.0),
            UNDECIDED | ALONE => at(280.0, 210.0),
            JOINED | LATE => at(500.0, 210.0),
            NEAR => at(460.0, 172.0),
            FAR => at(615.0, 250.0),
            _ => at(775.0, 210.0),
        }
    }

    fn is_across(&self) -> bool {
        self.half.0 > WIDTH
    }

    /// Where the line from the centre of this box to a point leaves it.
    fn edge(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let (dx, dy) = (x - self.x, y - self.y);
        let share = (self.half.0 / dx.abs().max(1e-9)).min(self.half.1 / dy.abs().max(1e-9));
        (self.x + share * dx, self.y + share * dy)
    }
}

/// The ends of an arrow.
fn arrow(from: &str, to: &str) -> ((f64, f64), (f64, f64)) {
    let (start, end) = (Place::of(from), Place::of(to));
    if end.is_across() {
        // From one end to another there is room at the right.
        let x = match (start.is_across(), to) {
            (false, _) => start.x,
            (true, HOLD) => 870.0,
            (true, _) => 905.0,
        };
        let down = if end.y > start.y { 1.0 } else { -1.0 };
        return ((x, start.y + down * start.half.1), (x, end.y - down * end.half.1));
    }
    (start.edge((end.x, end.y)), end.edge((start.x, start.y)))
}

/// The diagram: boxes of states, and numbered arrows of changes; several that join the same states share an arrow.
pub fn diagram(machine: &Machine) -> String {
    let changes = changes(machine);
    let label = machine.setting.label();
    let (width, height) = SHEET;
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" role=\"img\" \
         aria-label=\"States of a press under {label}\" font-family=\"sans-serif\" font-size=\"13\">\n<title>States of a \
         press under {label}</title>\n<defs><marker id=\"head\" viewBox=\"0 0 8 8\" refX=\"7\" refY=\"4\" \
         markerWidth=\"7\" markerHeight=\"7\" orient=\"auto\"><path d=\"M0 0L8 4L0 8z\" fill=\"{INK}\"/></marker></defs>\n\
         <rect x=\"0.5\" y=\"0.5\" width=\"{}\" height=\"{}\" rx=\"6\" fill=\"{PAPER}\" stroke=\"{RULED}\"/>\n",
        width - 1.0,
        height - 1.0
    );
    let mut drawn: Vec<(&str, &str, String)> = Vec::new();
    let mut states: Vec<&str> = Vec::new();
    for (at, Change { from, to, .. }) in changes.iter().enumerate() {
        let number = (at + 1).to_string();
        match drawn.iter_mut().find(|own| own.0 == *from && own.1 == *to) {
            Some(own) => own.2.push_str(&format!(", {number}")),
            None => drawn.push((from, to, number)),
        }
        for state in [from, to] {
            if !states.contains(state) {
                states.push(state);
            }
        }
    }
    for (from, to, numbers) in &drawn {
        let (from, to) = arrow(from, to);
        // A slanted arrow crosses others past its middle.
        let share = if (from.0 - to.0).abs() > 1.0 { 0.4 } else { 0.5 };
        let (x, y) = (from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1));
        let wide = 8.0 + 6.5 * numbers.len() as f64;
        let _ = writeln!(
            svg,
            "<path d=\"M{:.1} {:.1}L{:.1} {:.1}\" stroke=\"{INK}\" stroke-width=\"1.2\" marker-end=\"url(#head)\"/>\n\
             <rect x=\"{:.1}\" y=\"{:.1}\" width=\"{wide:.1}\" height=\"16\" rx=\"8\" fill=\"{PAPER}\" \
             stroke=\"{RULED}\"/>\n<text x=\"{x:.1}\" y=\"{:.1}\" font-size=\"11\" text-anchor=\"middle\" \
             fill=\"{INK}\">{numbers}</text>",
            from.0,
            from.1,
            to.0,
            to.1,
            x - wide / 2.0,
            y - 8.0,
            y + 4.0,
        );
    }
    for state in states {
        let Place { x, y, half } = Place::of(state);
        let (weight, stroke) = if [TAP, HOLD].contains(&state) { ("bold", "2") } else { ("normal", "1") };
        let _ = writeln!(
            svg,
            "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" rx=\"6\" fill=\"{FILL}\" stroke=\"{INK}\" \
             stroke-width=\"{stroke}\"/>\n<text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\" \
             font-weight=\"{weight}\" fill=\"{INK}\">{state}</text>",
            x - half.0,
            y - half.1,
            2.0 * half.0,
            2.0 * half.1,
            y + 4.5,
        );
    }
    svg.push_str("</svg>\n");
    svg
}
