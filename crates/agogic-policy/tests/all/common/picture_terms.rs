//! A picture of one press under a rule that adds up terms: how they come to its decision.

use std::fmt::Write;

use super::picture::{HOLD, INK, PAPER, RULED, TAP, WIDTH, escaped};
use agogic_policy::{Encounter, Setting, Term};

const LEFT: f64 = 260.0;
const RIGHT: f64 = 560.0;
const ROW: f64 = 22.0;
const BAR: f64 = 12.0;
const TOP: f64 = 56.0;
const FOOT: f64 = 40.0;

/// An SVG picture of the terms of one press, one below the other, each from where the last one ended: those that speak for
/// a hold go right, solid; those that speak for a tap go left, hatched by a dashed edge. The last line is their sum beside the
/// threshold.
///
/// # Undefined
/// `None` for a rule whose decision is no sum at one instant.
pub fn terms_picture(setting: &Setting, title: &str, encounter: &Encounter<'_>) -> Option<String> {
    let (terms, threshold) = setting.terms(encounter)?;
    let sum: i32 = terms.iter().map(|term| term.units).sum();
    let axis = Axis::of(&terms, threshold);
    let label = escaped(&format!("{}: {title}", setting.label()));
    let id: String = label.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    let height = TOP + (terms.len() + 1) as f64 * ROW + FOOT;
    let verdict = if sum >= threshold { "a hold" } else { "a tap" };
    let words: Vec<String> =
        terms.iter().map(|term| format!("{} {}", escaped(&term.words), nats(term.units))).collect();
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" width=\"{WIDTH}\" role=\"img\" \
         aria-labelledby=\"{id}-title {id}-desc\" font-family=\"sans-serif\" font-size=\"13\">\n\
         <title id=\"{id}-title\">{label}</title>\n<desc id=\"{id}-desc\">{}; sum {} nats, threshold {}: {verdict}.</desc>\n\
         <rect x=\"0.5\" y=\"0.5\" width=\"{}\" height=\"{}\" rx=\"6\" fill=\"{PAPER}\" stroke=\"{RULED}\"/>\n\
         <text x=\"16\" y=\"24\" font-weight=\"bold\" fill=\"{INK}\">{label}</text>\n\
         <text x=\"{LEFT}\" y=\"44\" font-size=\"11\" fill=\"{TAP}\">← speaks for a tap</text>\n\
         <text x=\"{RIGHT}\" y=\"44\" font-size=\"11\" text-anchor=\"end\" fill=\"{HOLD}\">speaks for a hold →</text>\n",
        words.join(", "),
        nats(sum),
        nats(threshold),
        WIDTH - 1.0,
        height - 1.0,
    );
    let end = TOP + (terms.len() + 1) as f64 * ROW;
    let mut line = |text: String| {
        svg.push_str(&text);
        svg.push('\n');
    };
    for tick in axis.ticks() {
        let x = axis.x(tick * 256);
        line(format!("<path d=\"M{x:.1} {TOP}V{end}\" stroke=\"{RULED}\" stroke-width=\"0.5\"/>"));
        line(format!(
            "<text x=\"{x:.1}\" y=\"{}\" text-anchor=\"middle\" font-size=\"11\" fill=\"{INK}\">{tick}</text>",
            end + 16.0
        ));
    }
    line(format!("<text x=\"16\" y=\"{}\" font-size=\"11\" fill=\"{INK}\">log odds (nats)</text>", end + 16.0));
    let mut at = 0;
    for (row, term) in terms.iter().enumerate() {
        let y = TOP + row as f64 * ROW;
        bar(&mut line, &axis, y, (at, at + term.units), &term.words, term.units, "normal");
        at += term.units;
    }
    bar(&mut line, &axis, TOP + terms.len() as f64 * ROW, (0, sum), &format!("sum: {verdict}"), sum, "bold");
    let x = axis.x(threshold);
    line(format!("<path d=\"M{x:.1} {TOP}V{end}\" stroke=\"{INK}\" stroke-width=\"2\"/>"));
    line(format!(
        "<text x=\"{x:.1}\" y=\"{}\" text-anchor=\"middle\" font-size=\"11\" font-weight=\"bold\" fill=\"{INK}\">threshold {}\
         </text>",
        end + 31.0,
        nats(threshold)
    ));
    svg.push_str("</svg>\n");
    Some(svg)
}

/// One line: words, a bar from where the last ended, and the number.
fn bar(
    line: &mut impl FnMut(String),
    axis: &Axis,
    y: f64,
    (from, to): (i32, i32),
    words: &str,
    units: i32,
    weight: &str,
) {
    let text_y = y + ROW / 2.0 + 4.5;
    let words = escaped(words);
    line(format!("<text x=\"16\" y=\"{text_y:.1}\" font-weight=\"{weight}\" fill=\"{INK}\">{words}</text>"));
    let (low, high) = (axis.x(from.min(to)), axis.x(from.max(to)));
    let (fill, edge) = if units >= 0 { (HOLD, "") } else { (PAPER, " stroke-dasharray=\"4 2\"") };
    let stroke = if units >= 0 { HOLD } else { TAP };
    line(format!(
        "<rect x=\"{low:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{BAR}\" fill=\"{fill}\" stroke=\"{stroke}\" \
         stroke-width=\"1.5\"{edge}/>",
        y + (ROW - BAR) / 2.0,
        (high - low).max(0.5)
    ));
    line(format!(
        "<text x=\"{:.1}\" y=\"{text_y:.1}\" text-anchor=\"end\" font-weight=\"{weight}\" fill=\"{stroke}\">{}</text>",
        WIDTH - 16.0,
        nats(units)
    ));
}

/// The axis of log odds: all partial sums and the threshold lie on it.
struct Axis {
    low: f64,
    high: f64,
}

impl Axis {
    fn of(terms: &[Term], threshold: i32) -> Self {
        let (mut at, mut low, mut high) = (0, threshold.min(0), threshold.max(0));
        for term in terms {
            at += term.units;
            low = low.min(at);
            high = high.max(at);
        }
        let margin = f64::from(high - low).max(256.0) / 20.0;
        Self { low: f64::from(low) - margin, high: f64::from(high) + margin }
    }

    fn x(&self, units: i32) -> f64 {
        LEFT + (RIGHT - LEFT) * (f64::from(units) - self.low) / (self.high - self.low)
    }

    /// Whole nats, at most nine.
    fn ticks(&self) -> impl Iterator<Item = i32> {
        let (low, high) = ((self.low / 256.0).ceil() as i32, (self.high / 256.0).floor() as i32);
        let step = [1, 2, 5, 10, 20].into_iter().find(|step| (high - low) / step <= 8).unwrap_or(50);
        (low..=high).filter(move |tick| tick.rem_euclid(step) == 0)
    }
}

/// With a sign and two decimals.
fn nats(units: i32) -> String {
    let mut text = String::new();
    let sign = if units < 0 { "−" } else { "+" };
    let _ = write!(text, "{sign}{:.2}", f64::from(units).abs() / 256.0);
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Code, Hand, Instant, Span};
    use agogic_policy::{KeyTable, KeyedTables};

    #[test]
    fn the_terms_are_told_in_words_and_add_up() {
        let f: Code = "KeyF".parse().unwrap();
        let keyed = KeyedTables::stated(&[f], -3.0, |table, _| if table == KeyTable::Own { 1.5 } else { 0.0 });
        let lone = |us| Encounter::new(f, Hand::Left, Instant(0), Span(us));
        let tables =
            agogic_policy::EvidenceTables::train([(lone(1), true), (lone(2), false)]).unwrap().with_keys(keyed);
        let setting = Setting::trained("key-evidence", &[], &std::sync::Arc::new(tables)).unwrap();
        let svg = terms_picture(&setting, "a < b", &lone(90_000).with_previous(Code::SPACE)).unwrap();
        assert!(svg.contains("own key KeyF +1.50") && svg.contains("sum −1.50 nats, threshold +0.00: a tap."), "{svg}");
        assert!(svg.contains("a &lt; b") && svg.lines().all(|line| !line.trim().is_empty()));
        let enclosed = Setting::rule("enclosed", &[]).unwrap();
        assert_eq!(terms_picture(&enclosed, "", &lone(90_000)), None);
    }
}
