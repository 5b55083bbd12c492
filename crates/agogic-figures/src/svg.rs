//! A scene as SVG.

use std::fmt::Write;

use xmlwriter::{Indent, Options, XmlWriter};

use crate::font;
use crate::ink::{Ink, Theme};
use crate::mark::Mark;
use crate::scene::{Anchor, Scene, Shape, Stroke};
use crate::words::{number, sentence};

/// What the file is for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Use<'a> {
    /// A file of its own, on paper of its own.
    File { millimetres: bool },
    /// A part of a page, with a prefix for its ids; colours are variables.
    Page { id: &'a str },
}

/// Title and description, for those who listen.
pub(crate) struct Labels<'a> {
    pub title: &'a str,
    pub alt: &'a str,
}

/// Writes a scene.
pub(crate) fn write(scene: &Scene, labels: &Labels<'_>, use_: Use<'_>) -> String {
    let options = Options { indent: Indent::None, attributes_indent: Indent::None, ..Options::default() };
    let mut xml = XmlWriter::new(options);
    let id = if let Use::Page { id } = use_ { id } else { "figure" };
    xml.start_element("svg");
    xml.write_attribute("xmlns", "http://www.w3.org/2000/svg");
    let (width, height) = (coordinate(scene.width), coordinate(scene.height));
    xml.write_attribute("viewBox", &format!("0 0 {width} {height}"));
    match use_ {
        Use::File { millimetres: true } => {
            let mm = |points: f64| format!("{}mm", coordinate(points / 72.0 * 25.4));
            xml.write_attribute("width", &mm(scene.width));
            xml.write_attribute("height", &mm(scene.height));
        }
        _ => {
            // CSS pixels are 1/96 inch.
            xml.write_attribute("width", &coordinate(scene.width / 0.75));
            xml.write_attribute("height", &coordinate(scene.height / 0.75));
        }
    }
    xml.write_attribute("role", "img");
    xml.write_attribute("aria-labelledby", &format!("{id}-title {id}-desc"));
    xml.write_attribute("font-family", font::FAMILIES);
    xml.write_attribute("font-stretch", "condensed");
    xml.write_attribute("font-size", &number(scene.text, 2));
    if let Use::Page { .. } = use_ {
        xml.write_attribute("class", "figure");
    }
    // Both are read out one after the other, so the title ends like a sentence.
    let title = sentence(labels.title);
    for (element, text) in [("title", title.as_str()), ("desc", labels.alt)] {
        xml.start_element(element);
        xml.write_attribute("id", &format!("{id}-{element}"));
        xml.set_preserve_whitespaces(true);
        xml.write_text(&legal(text));
        xml.end_element();
        xml.set_preserve_whitespaces(false);
    }
    let mut writer = Writer { xml, use_ };
    writer.xml.start_element("rect");
    writer.xml.write_attribute("width", &width);
    writer.xml.write_attribute("height", &height);
    writer.paint("fill", Ink::Paper);
    writer.xml.end_element();
    for item in &scene.items {
        writer.shape(&item.shape, scene.text);
    }
    writer.xml.end_element();
    let mut text = writer.xml.end_document();
    text.push('\n');
    text
}

struct Writer<'a> {
    xml: XmlWriter,
    use_: Use<'a>,
}

impl Writer<'_> {
    fn paint(&mut self, attribute: &str, ink: Ink) {
        let colour = ink.colour(Theme::Light);
        match self.use_ {
            Use::File { .. } => self.xml.write_attribute(attribute, colour),
            Use::Page { .. } => self.xml.write_attribute(attribute, &format!("var(--{},{colour})", ink.variable())),
        }
    }

    fn stroke(&mut self, stroke: &Stroke) {
        self.paint("stroke", stroke.ink);
        self.xml.write_attribute("stroke-width", &coordinate(stroke.width));
        if !stroke.dashes.is_empty() {
            let dashes: Vec<String> = stroke.dashes.iter().map(|d| coordinate(*d)).collect();
            self.xml.write_attribute("stroke-dasharray", &dashes.join(" "));
        }
    }

    fn shape(&mut self, shape: &Shape, size: f64) {
        match shape {
            Shape::Line { points, stroke } => {
                self.xml.start_element("path");
                self.xml.write_attribute("d", &path(points, false));
                self.xml.write_attribute("fill", "none");
                self.stroke(stroke);
            }
            Shape::Area { points, ink, opacity } => {
                self.xml.start_element("path");
                self.xml.write_attribute("d", &path(points, true));
                self.paint("fill", *ink);
                if *opacity < 1.0 {
                    self.xml.write_attribute("fill-opacity", &coordinate(*opacity));
                }
            }
            Shape::Mark { mark, at, radius, ink, filled } => {
                if *mark == Mark::Circle {
                    self.xml.start_element("circle");
                    self.xml.write_attribute("cx", &coordinate(at.0));
                    self.xml.write_attribute("cy", &coordinate(at.1));
                    self.xml.write_attribute("r", &coordinate(*radius));
                } else {
                    self.xml.start_element("path");
                    self.xml.write_attribute("d", &path(&mark.corners(*at, *radius), true));
                }
                // A filled mark has a rim of paper, so that neighbours stay apart; an open one is a ring.
                self.paint("fill", if *filled { *ink } else { Ink::Paper });
                self.stroke(&if *filled { Stroke::new(Ink::Paper, 0.6) } else { Stroke::new(*ink, 1.1) });
            }
            Shape::Words(words) => {
                self.xml.start_element("text");
                self.xml.write_attribute("x", &coordinate(words.at.0));
                self.xml.write_attribute("y", &coordinate(words.at.1));
                match words.anchor {
                    Anchor::Start => {}
                    Anchor::Middle => self.xml.write_attribute("text-anchor", "middle"),
                    Anchor::End => self.xml.write_attribute("text-anchor", "end"),
                }
                if words.size != size {
                    self.xml.write_attribute("font-size", &number(words.size, 2));
                }
                if words.bold {
                    self.xml.write_attribute("font-weight", "bold");
                }
                // Where our font is missing, another one is fitted to the same room.
                self.xml.write_attribute("textLength", &coordinate(words.length()));
                self.xml.write_attribute("lengthAdjust", "spacingAndGlyphs");
                self.paint("fill", words.ink);
                self.xml.set_preserve_whitespaces(true);
                self.xml.write_text(&legal(&words.text));
                self.xml.end_element();
                self.xml.set_preserve_whitespaces(false);
                return;
            }
        }
        self.xml.end_element();
    }
}

/// Two decimals of a point: 3.5 µm.
fn coordinate(value: f64) -> String {
    number(value, 2).replace('−', "-")
}

fn path(points: &[(f64, f64)], closed: bool) -> String {
    let mut d = String::with_capacity(points.len() * 12);
    let mut last = None;
    for (x, y) in points {
        let here = (coordinate(*x), coordinate(*y));
        // Points that fall together say nothing new.
        if last.as_ref() != Some(&here) {
            let _ = write!(d, "{}{} {}", if d.is_empty() { 'M' } else { 'L' }, here.0, here.1);
            last = Some(here);
        }
    }
    if closed {
        d.push('Z');
    }
    d
}

/// Drops the characters that XML 1.0 forbids (production 2, Char) and escapes `&` and `>`; the writer escapes `<` and
/// leaves the rest to us.
fn legal(text: &str) -> String {
    let allowed =
        |c: &char| matches!(c, '\t' | '\n' | '\r' | '\u{20}'..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..);
    text.chars().filter(allowed).collect::<String>().replace('&', "&amp;").replace('>', "&gt;")
}
