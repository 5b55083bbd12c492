//! Where words and marks lie, measured in the SVG itself and not in the scene it was written from.

use agogic_figures::*;
use proptest::prelude::*;
use resvg::usvg::roxmltree::{Document, Node};

use crate::invented;

/// Left, top, right, bottom.
#[derive(Clone, Copy, Debug)]
pub struct Box4([f64; 4]);

impl Box4 {
    fn meets(self, other: Self) -> bool {
        const HAIR: f64 = 0.05;
        let ([a, b, c, d], [e, f, g, h]) = (self.0, other.0);
        a + HAIR < g && e + HAIR < c && b + HAIR < h && f + HAIR < d
    }

    /// Whether a straight line runs through it (halving until the pieces are short).
    fn is_crossed(self, (x0, y0): (f64, f64), (x1, y1): (f64, f64)) -> bool {
        (0..=400).map(|i| f64::from(i) / 400.0).any(|t| {
            let (x, y) = (x0 + t * (x1 - x0), y0 + t * (y1 - y0));
            x > self.0[0] && x < self.0[2] && y > self.0[1] && y < self.0[3]
        })
    }
}

/// What lies on a picture.
pub struct Laid {
    pub size: (f64, f64),
    /// Words, whether in bold, and where.
    pub words: Vec<(String, bool, Box4)>,
    pub marks: Vec<Box4>,
    /// Undashed straight lines of the strength of bars of the trade-off.
    pub bars: Vec<[(f64, f64); 2]>,
}

fn number(node: &Node<'_, '_>, name: &str) -> Option<f64> {
    node.attribute(name)?.parse().ok()
}

fn points(d: &str) -> Vec<(f64, f64)> {
    let point = |pair: &str| {
        let mut parts = pair.trim_end_matches('Z').split(' ').map(|n| n.parse().unwrap());
        (parts.next().unwrap(), parts.next().unwrap())
    };
    d.split(['M', 'L']).filter(|part| !part.is_empty()).map(point).collect()
}

pub fn laid(svg: &str) -> Laid {
    let document = Document::parse(svg).unwrap();
    let root = document.root_element();
    let view: Vec<f64> = root.attribute("viewBox").unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
    let size = number(&root, "font-size").unwrap();
    let mut laid = Laid { size: (view[2], view[3]), words: vec![], marks: vec![], bars: vec![] };
    for node in root.children().filter(Node::is_element) {
        match node.tag_name().name() {
            "text" => {
                let (x, y) = (number(&node, "x").unwrap(), number(&node, "y").unwrap());
                let length = number(&node, "textLength").unwrap();
                let size = number(&node, "font-size").unwrap_or(size);
                let left = match node.attribute("text-anchor") {
                    Some("middle") => x - length / 2.0,
                    Some("end") => x - length,
                    _ => x,
                };
                // From the top of capitals to the foot of descenders of DejaVu Sans, a little more than 0.73 and 0.21.
                let place = Box4([left, y - 0.76 * size, left + length, y + 0.22 * size]);
                let bold = node.attribute("font-weight") == Some("bold");
                laid.words.push((node.text().unwrap_or_default().to_owned(), bold, place));
            }
            "circle" => {
                let (x, y, r) = (number(&node, "cx"), number(&node, "cy"), number(&node, "r"));
                let (x, y, r) = (x.unwrap(), y.unwrap(), r.unwrap());
                laid.marks.push(Box4([x - r, y - r, x + r, y + r]));
            }
            "path" => {
                let at = points(node.attribute("d").unwrap());
                let filled = node.attribute("fill") != Some("none");
                // Marks alone have both a fill and a rim.
                if filled && node.attribute("stroke").is_some() {
                    let of = |pick: fn(&(f64, f64)) -> f64, fold: fn(f64, f64) -> f64| {
                        at.iter().map(pick).reduce(fold).unwrap()
                    };
                    laid.marks.push(Box4([
                        of(|p| p.0, f64::min),
                        of(|p| p.1, f64::min),
                        of(|p| p.0, f64::max),
                        of(|p| p.1, f64::max),
                    ]));
                } else if at.len() == 2
                    && node.attribute("stroke-width") == Some("0.9")
                    && node.attribute("stroke-dasharray").is_none()
                {
                    laid.bars.push([at[0], at[1]]);
                }
            }
            _ => {}
        }
    }
    laid
}

/// Everything wrong with a picture, in words.
pub fn faults(svg: &str) -> Vec<String> {
    let laid = laid(svg);
    let mut faults = Vec::new();
    for (i, (words, _, place)) in laid.words.iter().enumerate() {
        for (other, _, theirs) in &laid.words[i + 1..] {
            if place.meets(*theirs) {
                faults.push(format!("{words:?} lies on {other:?}"));
            }
        }
        let [left, top, right, bottom] = place.0;
        if left < -0.05 || top < -0.05 || right > laid.size.0 + 0.05 || bottom > laid.size.1 + 0.05 {
            faults.push(format!("{words:?} leaves the picture"));
        }
        if laid.marks.iter().any(|mark| mark.meets(*place)) {
            faults.push(format!("{words:?} lies on a mark"));
        }
        if words.contains('…') {
            faults.push(format!("{words:?} is cut"));
        }
    }
    faults
}

/// Names in the plot that a bar of an interval runs through; numbers of a key, in bold, have to bear it.
pub fn on_bars(svg: &str) -> Vec<String> {
    let laid = laid(svg);
    let crossed = |place: Box4| laid.bars.iter().any(|[a, b]| place.is_crossed(*a, *b));
    laid.words.iter().filter(|(_, bold, place)| !bold && crossed(*place)).map(|(words, ..)| words.clone()).collect()
}

/// All words of a picture, one after the other.
fn text(svg: &str) -> String {
    laid(svg).words.into_iter().map(|(words, ..)| words).collect::<Vec<_>>().join(" ")
}

const LONG: [&str; 4] = [
    "sequential-evidence hold 3.5, tap 4, end 2",
    "key-evidence, own tables, lull 125, floor 140, other hand",
    "overlap-share 0.6, lull 150, other hand",
    "enclosed",
];

fn setting(i: usize, x: f64, y: f64, reach: f64) -> TradeOffPolicy {
    let around = |v: f64| Reading::with_interval(v, v * (1.0 - reach), v * (1.0 + reach) + 0.1);
    TradeOffPolicy {
        name: format!("{} #{i}", LONG[i % LONG.len()]),
        family: format!("family {}", i % 7),
        look: i % 7,
        false_holds_per_1000_taps: around(x),
        missed_holds_per_100_holds: around(y),
        mean_delay_ms: Some(50.0 + 10.0 * (i % 20) as f64),
    }
}

/// Heaps that are hard to label.
fn adversaries() -> Vec<(&'static str, TradeOff)> {
    let of = |name, at: &dyn Fn(usize) -> (f64, f64), n: usize, reach: f64| {
        let policies = (0..n).map(|i| setting(i, at(i).0, at(i).1, reach)).collect();
        (name, TradeOff { policies, ..invented::trade_off() })
    };
    vec![
        of("thirty in a heap", &|i| (3.0 + invented::noise(i), 20.0 + 2.0 * invented::noise(i + 90)), 30, 0.02),
        of("thirty at one point", &|_| (3.0, 20.0), 30, 0.1),
        of("all at zero", &|_| (0.0, 0.0), 12, 0.0),
        of("along the border", &|i| if i % 2 == 0 { (0.0, 4.0 * i as f64) } else { (12.0 * i as f64, 0.0) }, 24, 0.05),
        of("two heaps far apart", &|i| if i % 2 == 0 { (0.01, 60.0) } else { (400.0, 0.02) }, 40, 0.3),
        of("a rising line", &|i| (10.0 * i as f64, 3.0 * i as f64), 36, 0.01),
        of("wide intervals in a heap", &|i| (20.0 + i as f64, 20.0 + i as f64 / 2.0), 30, 0.9),
    ]
}

#[test]
fn adversaries_of_the_trade_off_have_no_fault_and_lose_no_name() {
    for width in Width::ALL {
        let found = |(name, data): (&str, TradeOff)| -> usize {
            let figure = data.draw(width).unwrap();
            let svg = figure.svg();
            let faults = faults(&svg);
            for fault in faults.iter().take(3) {
                eprintln!("{name}, {}: {fault}", width.name());
            }
            let text = text(&svg);
            let lost = data.policies.iter().filter(|p| !text.contains(p.name.rsplit(' ').next().unwrap())).count();
            if width == Width::Phone {
                assert_eq!(svg, data.draw(width).unwrap().svg(), "{name}: not the same on repeat");
            }
            faults.len() + lost
        };
        let all: usize = adversaries().into_iter().map(found).sum();
        assert_eq!(all, 0, "faults and lost names at the width {}", width.name());
    }
}

#[test]
fn no_bar_of_an_interval_runs_through_a_name() {
    for width in Width::ALL {
        for (name, data) in [("trade-off", invented::trade_off()), ("heap", invented::heap())] {
            assert_eq!(on_bars(&data.draw(width).unwrap().svg()), Vec::<String>::new(), "{name}, {}", width.name());
        }
    }
}

#[test]
fn every_figure_with_long_names_has_no_fault() {
    let mut forest = invented::forest();
    forest.rows.iter_mut().enumerate().for_each(|(i, row)| row.name = LONG[i % 4].into());
    forest.rows[2].group = format!("less {}", LONG[1]);
    forest.rows[4].reading = Reading::unknown("no opportunity in the text that these people typed on their keyboards");
    let mut who = invented::who();
    who.panels.iter_mut().enumerate().for_each(|(i, panel)| panel.name = LONG[i % 4].into());
    let mut typists = invented::typists();
    typists.policies.iter_mut().enumerate().for_each(|(i, policy)| policy.name = LONG[i % 4].into());
    let mut curve = invented::curve();
    curve.series.iter_mut().for_each(|series| series.name = format!("{} among volunteers", LONG[1]));
    let mut literature = invented::literature(60);
    let rows = literature.sources.iter_mut().flat_map(|source| &mut source.rows);
    rows.enumerate().for_each(|(i, row)| row.name = format!("{} of {}", row.name, LONG[i % 4]));
    literature.sources[0].name =
        "A work of very many authors and of a longer title than anybody would print 1984".into();
    let mut timing = invented::timing();
    timing.verdicts.iter_mut().enumerate().for_each(|(i, verdict)| verdict.name = LONG[i % 4].into());
    timing.others[2].name = "NumpadParenthesisRightOrSo".into();
    timing.role = "Control of the other hand".into();
    let mut terms = invented::terms();
    terms.terms[0].0 = LONG[1].into();
    let mut shapes = invented::shapes();
    shapes.panels[0].of = "keystrokes of people who typed for a long while".into();
    shapes.panels.iter_mut().for_each(|panel| panel.samples[0].name = LONG[1].into());
    let mut all = 0;
    for width in Width::ALL {
        let figures = [
            ("forest", forest.draw(width)),
            ("who", who.draw(width)),
            ("typists", typists.draw(width)),
            ("curve", curve.draw(width)),
            ("literature", literature.draw(width)),
            ("timing", timing.draw(width)),
            ("terms", terms.draw(width)),
            ("shapes", shapes.draw(width)),
        ];
        let plain = invented::gallery(width);
        for (name, figure) in figures.into_iter().chain(plain) {
            let faults = faults(&figure.unwrap().svg());
            all += faults.len();
            if !faults.is_empty() {
                eprintln!("{name}, {}: {} faults, {:?}", width.name(), faults.len(), &faults[..faults.len().min(3)]);
            }
        }
    }
    assert_eq!(all, 0);
}

#[test]
fn a_planted_fault_is_found() {
    let svg = invented::trade_off().draw(Width::Screen).unwrap().svg();
    assert_eq!(faults(&svg), Vec::<String>::new());
    let planted = |element: &str| svg.replace("</svg>", &format!("{element}</svg>"));
    let word = |x: f64, y: f64| format!("<text x=\"{x}\" y=\"{y}\" textLength=\"40\">planted</text>");
    let (_, _, Box4([left, _, _, bottom])) = laid(&svg).words[3].clone();
    assert!(faults(&planted(&word(left, bottom))).iter().any(|f| f.contains("lies on")));
    assert!(faults(&planted(&word(530.0, 200.0))).iter().any(|f| f.contains("leaves the picture")));
    let Box4([left, _, _, bottom]) = *laid(&svg).marks.last().unwrap();
    assert!(faults(&planted(&word(left, bottom))).iter().any(|f| f.contains("on a mark")));
    let [(x0, y0), (x1, y1)] = laid(&svg).bars[0];
    let (x, y) = ((x0 + x1) / 2.0 - 20.0, (y0 + y1) / 2.0 + 3.0);
    assert!(on_bars(&planted(&word(x, y))).contains(&"planted".to_owned()));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn random_heaps_have_no_fault_and_lose_no_name(
        points in prop::collection::vec((0.0..1.0f64, 0.0..1.0f64), 1..40),
        (heap, reach) in (0.001..1.0f64, 0.0..0.6f64),
        width in prop::sample::select(Width::ALL.to_vec())
    ) {
        let policies = points.iter().enumerate().map(|(i, (x, y))| setting(i, 300.0 * heap * x, 80.0 * heap * y, reach));
        let data = TradeOff { policies: policies.collect(), ..invented::trade_off() };
        let svg = data.draw(width).unwrap().svg();
        prop_assert_eq!(faults(&svg), Vec::<String>::new());
        let text = text(&svg);
        for policy in &data.policies {
            prop_assert!(text.contains(policy.name.rsplit(' ').next().unwrap()), "{}", policy.name);
        }
    }

    #[test]
    fn settings_of_a_curve_have_no_fault_wherever_they_lie(
        at in prop::collection::vec(100.0..420.0f64, 0..9), width in prop::sample::select(Width::ALL.to_vec())
    ) {
        let setting = |(i, at): (usize, f64)| Setting { at, name: ["usual", "common practice", "advised"][i % 3].into() };
        let data = Curve { settings: at.into_iter().enumerate().map(setting).collect(), ..invented::curve() };
        prop_assert_eq!(faults(&data.draw(width).unwrap().svg()), Vec::<String>::new());
    }
}
