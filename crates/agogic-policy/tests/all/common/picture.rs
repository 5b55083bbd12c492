//! Timing pictures: what a setting makes of an encounter, drawn from its own decision.

use std::fmt::Write;

use agogic_keys::Code;

use agogic_policy::{Encounter, Role, Setting};

/// One encounter of a sheet, with a name for people.
#[derive(Clone, Copy, Debug)]
pub struct Example<'a> {
    /// What it shows, such as `roll`.
    pub title: &'a str,
    /// The encounter.
    pub encounter: Encounter<'a>,
}

pub(crate) const WIDTH: f64 = 640.0;
const LEFT: f64 = 124.0;
const RIGHT: f64 = 616.0;
const ROW: f64 = 24.0;
const BAR: f64 = 14.0;
const HEAD: f64 = 30.0;
const FOOT: f64 = 34.0;
/// Ink, paper and lines; the sheet has its own paper, so it reads the same on light and dark pages.
pub(crate) const INK: &str = "#1b1b1b";
pub(crate) const PAPER: &str = "#fcfcf8";
pub(crate) const RULED: &str = "#b8b8b0";
/// Colours that people with any kind of colour vision can tell apart: Okabe & Ito 2008. Roles differ in
/// shape and words too.
const OWN: &str = "#56b4e9";
const OTHER: &str = "#b0b0b0";
const OVERLAP: &str = "#f0e442";
pub(crate) const HOLD: &str = "#0072b2";
pub(crate) const TAP: &str = "#b34700";

/// An SVG picture of several encounters under one setting, one below the other.
///
/// Bars are keys, the dual-role key on top; the time both are down is shaded; a line marks the decision,
/// solid with a square for a hold, dashed with a circle for a tap. The picture carries a title and a
/// description for those who listen to it.
pub fn timing_sheet(setting: &Setting, examples: &[Example<'_>]) -> String {
    let label = escaped(&setting.label());
    let id: String = label.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    let top = 34.0;
    let panels: Vec<Panel<'_>> = examples.iter().map(|example| Panel::new(setting, example)).collect();
    let height = top + panels.iter().map(Panel::height).sum::<f64>() + 6.0;
    let words: Vec<String> = panels.iter().map(Panel::words).collect();
    // The opening tag stands alone on its line and no line is empty: so it may stand in Markdown as it is.
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" width=\"{WIDTH}\" role=\"img\" \
         aria-labelledby=\"{id}-title {id}-desc\" font-family=\"sans-serif\" font-size=\"13\">\n\
         <title id=\"{id}-title\">{label}</title>\n<desc id=\"{id}-desc\">{}</desc>\n\
         <rect x=\"0.5\" y=\"0.5\" width=\"{}\" height=\"{}\" rx=\"6\" fill=\"{PAPER}\" stroke=\"{RULED}\"/>\n\
         <text x=\"16\" y=\"24\" font-weight=\"bold\" fill=\"{INK}\">{label}</text>\n",
        words.join(" "),
        WIDTH - 1.0,
        height - 1.0,
    );
    let mut y = top;
    for panel in &panels {
        panel.draw(&mut svg, y);
        y += panel.height();
    }
    svg.push_str("</svg>\n");
    svg
}

/// A key's bar: name, press and release in µs after the dual-role press.
struct Bar {
    code: Code,
    down: i64,
    up: i64,
}

struct Panel<'a> {
    title: &'a str,
    bars: Vec<Bar>,
    role: Role,
    after: i64,
    from: i64,
    to: i64,
}

impl<'a> Panel<'a> {
    fn new(setting: &Setting, example: &Example<'a>) -> Self {
        let encounter = &example.encounter;
        let decision = setting.decide(encounter);
        let after = decision.after.0.min(i64::MAX as u64) as i64;
        let mut bars = vec![Bar { code: encounter.code, down: 0, up: encounter.release() }];
        let others = encounter.carried().chain(encounter.contacts());
        bars.extend(others.map(|contact| Bar { code: contact.code, down: contact.down, up: contact.up }));
        let from = bars.iter().map(|bar| bar.down).min().unwrap_or(0).min(0);
        let to = bars.iter().map(|bar| bar.up).max().unwrap_or(0).max(after).max(from + 1);
        let margin = (to - from) / 20;
        Self { title: example.title, bars, role: decision.role, after, from: from - margin, to: to + margin }
    }

    fn height(&self) -> f64 {
        HEAD + self.bars.len() as f64 * ROW + FOOT
    }

    fn x(&self, us: i64) -> f64 {
        LEFT + (RIGHT - LEFT) * (us - self.from) as f64 / (self.to - self.from) as f64
    }

    fn verdict(&self) -> String {
        let role = if self.role == Role::Hold { "hold" } else { "tap" };
        format!("{role}, decided at {} ms", ms(self.after))
    }

    /// The panel in words.
    fn words(&self) -> String {
        let keys: Vec<String> = self
            .bars
            .iter()
            .map(|bar| format!("{} is down from {} to {} ms", bar.code, ms(bar.down), ms(bar.up)))
            .collect();
        let title = if self.title.is_empty() { String::new() } else { format!("{}: ", escaped(self.title)) };
        format!("{title}{}; {}.", keys.join(", "), self.verdict())
    }

    /// Draws the panel with its upper edge at `top`.
    fn draw(&self, svg: &mut String, top: f64) {
        let first = top + HEAD;
        let end = first + self.bars.len() as f64 * ROW;
        let mut line = |text: String| {
            svg.push_str(&text);
            svg.push('\n');
        };
        let colour = if self.role == Role::Hold { HOLD } else { TAP };
        line(format!("<text x=\"16\" y=\"{}\" fill=\"{INK}\">{}</text>", top + 14.0, escaped(self.title)));
        // Ticks first, so that bars lie on top.
        for at in ticks(self.from, self.to) {
            let x = self.x(at);
            line(format!("<path d=\"M{x:.1} {first}V{end}\" stroke=\"{RULED}\" stroke-width=\"0.5\"/>"));
            line(format!(
                "<text x=\"{x:.1}\" y=\"{}\" text-anchor=\"middle\" font-size=\"11\" fill=\"{INK}\">{}</text>",
                end + 16.0,
                ms(at)
            ));
        }
        let unit_y = end + 16.0;
        line(format!("<text x=\"16\" y=\"{unit_y}\" font-size=\"11\" fill=\"{INK}\">time (ms)</text>"));
        for (i, bar) in self.bars.iter().enumerate() {
            let y = first + i as f64 * ROW + (ROW - BAR) / 2.0;
            let (x, width) = (self.x(bar.down), self.x(bar.up) - self.x(bar.down));
            let fill = if i == 0 { OWN } else { OTHER };
            line(format!("<text x=\"16\" y=\"{:.1}\" fill=\"{INK}\">{}</text>", y + 11.5, bar.code));
            line(format!(
                "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{BAR}\" rx=\"2\" fill=\"{fill}\" \
                 stroke=\"{INK}\" stroke-width=\"0.8\"/>"
            ));
        }
        let own = &self.bars[0];
        for (i, bar) in self.bars.iter().enumerate().skip(1) {
            let (from, to) = (self.x(bar.down.max(own.down)), self.x(bar.up.min(own.up)));
            if to > from {
                // From the upper edge of the own bar to the lower edge of the other one.
                let y = first + (ROW - BAR) / 2.0;
                let height = i as f64 * ROW + BAR;
                line(format!(
                    "<rect x=\"{from:.1}\" y=\"{y:.1}\" width=\"{:.1}\" height=\"{height}\" fill=\"{OVERLAP}\" \
                     fill-opacity=\"0.55\"/>",
                    to - from
                ));
            }
        }
        let (x, y) = (self.x(self.after), top + 18.0);
        let dashes = if self.role == Role::Hold { "" } else { " stroke-dasharray=\"5 3\"" };
        line(format!("<path d=\"M{x:.1} {y}V{end}\" stroke=\"{colour}\" stroke-width=\"2\"{dashes}/>"));
        line(match self.role {
            Role::Hold => {
                format!("<rect x=\"{:.1}\" y=\"{}\" width=\"10\" height=\"10\" fill=\"{HOLD}\"/>", x - 5.0, y - 5.0)
            }
            Role::Tap => format!(
                "<circle cx=\"{x:.1}\" cy=\"{y}\" r=\"5\" fill=\"{PAPER}\" stroke=\"{TAP}\" stroke-width=\"2\"/>"
            ),
        });
        // The words go to the side of the mark where there is room.
        let (anchor, at) = if x > (LEFT + RIGHT) / 2.0 { ("end", x - 10.0) } else { ("start", x + 10.0) };
        line(format!(
            "<text x=\"{at:.1}\" y=\"{}\" text-anchor=\"{anchor}\" font-weight=\"bold\" fill=\"{colour}\">{}</text>",
            y + 4.0,
            self.verdict()
        ));
    }
}

/// Round times between `from` and `to`, at most eight.
pub fn ticks(from: i64, to: i64) -> impl Iterator<Item = i64> {
    let mut step = 1_000;
    // 1, 2, 5, 10, 20, 50, … ms.
    while (to - from) / step > 8 {
        step = if step.to_string().starts_with('2') { step / 2 * 5 } else { step * 2 };
    }
    let start = from.div_euclid(step) + i64::from(from.rem_euclid(step) != 0);
    (start..).map(move |n| n * step).take_while(move |at| *at <= to)
}

/// Milliseconds without needless decimals.
fn ms(us: i64) -> String {
    let mut text = String::new();
    let _ = write!(text, "{:.3}", us as f64 / 1e3);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

pub(crate) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
