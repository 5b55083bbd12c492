//! What must hold for every figure, in every width.

mod geometry;
mod invented;

use agogic_figures::*;
use proptest::prelude::*;

fn all() -> impl Iterator<Item = (String, Figure)> {
    Width::ALL.into_iter().flat_map(|width| {
        invented::gallery(width)
            .into_iter()
            .map(move |(name, figure)| (format!("{name} {}", width.name()), figure.expect("invented data are sound")))
    })
}

#[test]
fn no_figure_has_a_flaw() {
    for (name, figure) in all() {
        let flaws: Vec<String> = figure.flaws().iter().map(ToString::to_string).collect();
        assert!(flaws.is_empty(), "{name}: {flaws:?}");
    }
}

#[test]
fn every_svg_is_well_formed_without_nan_and_the_same_on_repeat() {
    for ((name, figure), (_, again)) in all().zip(all()) {
        for svg in [figure.svg(), figure.page_svg("one figure")] {
            let document = resvg::usvg::roxmltree::Document::parse(&svg).unwrap_or_else(|e| panic!("{name}: {e}"));
            let root = document.root_element();
            assert_eq!(root.tag_name().name(), "svg");
            let text = |element: &str| root.children().find(|n| n.tag_name().name() == element).and_then(|n| n.text());
            // Title and description are read out one after the other.
            assert_eq!(text("title"), Some(format!("{}.", figure.title()).as_str()), "{name}");
            assert_eq!(text("desc"), Some(figure.alt_text()), "{name}");
            for node in document.descendants() {
                for attribute in node.attributes().filter(|a| !["id", "aria-labelledby"].contains(&a.name())) {
                    let value = attribute.value();
                    assert!(!value.contains("NaN") && !value.contains("inf"), "{name}: {value}");
                }
            }
        }
        assert_eq!(figure.svg(), again.svg(), "{name}");
    }
}

#[test]
fn the_page_variant_draws_in_variables_that_the_style_sets() {
    let figure = invented::forest().draw(Width::Screen).unwrap();
    let (page, css) = (figure.page_svg("a b"), page_css());
    assert!(page.contains("id=\"a-b-title\"") && page.contains("aria-labelledby=\"a-b-title a-b-desc\""));
    let mut used = 0;
    for part in page.split("var(").skip(1) {
        let name = part.split(',').next().unwrap();
        assert!(css.contains(&format!("{name}:")), "{name}");
        used += 1;
    }
    assert!(used > 50, "{used}");
    assert!(!figure.svg().contains("var("));
}

#[test]
fn a_pdf_is_one_with_an_embedded_font_of_the_right_size_and_the_same_on_repeat() {
    let figure = invented::forest().draw(Width::OneColumn).unwrap();
    let pdf = figure.pdf().unwrap();
    assert!(pdf.starts_with(b"%PDF"));
    let has = |needle: &str| pdf.windows(needle.len()).any(|w| w == needle.as_bytes());
    // ISO 32000-1, 9.9: an embedded font program is named by the font descriptor.
    assert!(has("/FontFile2") || has("/FontFile3"));
    assert!(has("DejaVuSansCondensed"));
    for date in ["/CreationDate", "/ModDate"] {
        assert!(!has(date), "{date}");
    }
    // The page is 88 mm wide: 249.4 points.
    let text = String::from_utf8_lossy(&pdf);
    let page = text.split("/MediaBox").nth(1).unwrap();
    let size: Vec<f32> =
        page.split(['[', ']']).nth(1).unwrap().split_whitespace().map(|n| n.parse().unwrap()).collect();
    assert!((size[2] - 249.45).abs() < 0.1, "{size:?}");
    assert!((f64::from(size[3]) - figure.size_pt().1).abs() < 0.1, "{size:?}");
    for (width, draw) in [(Width::OneColumn, 1), (Width::TwoColumn, 5), (Width::Screen, 6)] {
        let figure = invented::gallery(width).swap_remove(draw).1.unwrap();
        let first = figure.pdf().unwrap();
        assert!((0..4).all(|_| figure.pdf().unwrap() == first), "{}", figure.title());
    }
}

#[test]
fn a_png_has_the_dimensions_of_its_resolution() {
    let figure = invented::forest().draw(Width::OneColumn).unwrap();
    for dpi in [40.0, 72.0] {
        let png = figure.png(dpi).unwrap();
        // PNG specification, 5.2 and 11.2.2: signature, then IHDR with width and height.
        assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n");
        let number = |at: usize| u32::from_be_bytes(png[at..at + 4].try_into().unwrap());
        assert_eq!((number(16), number(20)), figure.pixels(dpi));
        assert_eq!(png, figure.png(dpi).unwrap());
    }
    assert_eq!(figure.pixels(300.0).0, 1039);
    for dpi in [0.0, -1.0, f64::NAN, 1e9] {
        assert!(matches!(figure.png(dpi), Err(FigureError::Resolution { .. })), "{dpi}");
    }
}

#[test]
fn outlines_need_no_font() {
    let outlined = invented::shapes().draw(Width::OneColumn).unwrap().outlined_svg().unwrap();
    assert!(!outlined.contains("<text") && outlined.contains("<path"));
}

#[test]
fn what_cannot_be_drawn_is_refused_with_its_place() {
    let width = Width::OneColumn;
    let mut data = invented::trade_off();
    data.policies[1].false_holds_per_1000_taps = Reading::point(f64::NAN);
    let message = data.draw(width).unwrap_err().to_string();
    assert!(message.contains("dwell-cutoff 200 ms") && message.contains("false holds"), "{message}");
    let mut data = invented::trade_off();
    data.policies[0].missed_holds_per_100_holds = Reading::with_interval(1.0, 2.0, 0.5);
    assert!(matches!(data.draw(width), Err(FigureError::Reversed { .. })));
    let mut data = invented::trade_off();
    data.policies[0].missed_holds_per_100_holds = Reading::point(-1.0);
    assert!(matches!(data.draw(width), Err(FigureError::OutOfRange { .. })));
    let mut data = invented::forest();
    data.rows.clear();
    assert!(matches!(data.draw(width), Err(FigureError::Empty { .. })));
    let mut data = invented::literature(5);
    data.sources[0].rows[0].allowed = None;
    assert!(matches!(data.draw(width), Err(FigureError::OutOfRange { .. })));
    let mut data = invented::curve();
    data.series[0].points.swap(0, 1);
    assert!(matches!(data.draw(width), Err(FigureError::OutOfRange { .. })));
    let mut data = invented::typists();
    data.policies[0].rates.clear();
    assert!(matches!(data.draw(width), Err(FigureError::Empty { .. })));
    let mut data = invented::shapes();
    data.panels[0].samples[0].values[0] = f64::INFINITY;
    assert!(matches!(data.draw(width), Err(FigureError::NotFinite { .. })));
    let mut data = invented::who();
    data.interval.level = 95.0;
    assert!(matches!(data.draw(width), Err(FigureError::OutOfRange { .. })));
}

#[test]
fn markup_in_names_is_text_and_a_sign_without_a_glyph_is_told() {
    let mut data = invented::forest();
    data.rows[0].name = "a < b & \"c\" ]]> \u{1}".into();
    let svg = data.draw(Width::TwoColumn).unwrap().svg();
    let document = resvg::usvg::roxmltree::Document::parse(&svg).unwrap();
    assert!(document.descendants().any(|n| n.text() == Some("a < b & \"c\" ]]> ")));
    data.rows[0].name = "打鍵".into();
    let figure = data.draw(Width::TwoColumn).unwrap();
    assert!(matches!(figure.pdf(), Err(FigureError::NoGlyph { character: '打', .. })));
}

/// What is wrong with sentences that are read out or stand below a figure.
fn badly_told(text: &str) -> Option<&'static str> {
    let letters: Vec<char> = text.chars().collect();
    let digit = |c: Option<&char>| c.is_some_and(char::is_ascii_digit);
    let runs_on = |(i, c): (usize, &char)| {
        ['.', '?', '!'].contains(c)
            && letters.get(i + 1).is_some_and(|next| *next != ' ')
            && !(digit(letters.get(i + 1)) && i > 0 && digit(letters.get(i - 1)))
    };
    match text {
        "" => Some("nothing is said"),
        _ if !text.ends_with('.') => Some("it does not end with a full stop"),
        _ if text.contains("  ") || text.contains(" .") || text.contains(" ,") => Some("a space too many"),
        _ if letters.iter().enumerate().any(runs_on) => Some("sentences run together"),
        _ if letters[0].is_lowercase() => Some("it begins small"),
        _ => None,
    }
}

#[test]
fn sentences_that_run_together_are_found() {
    assert_eq!(badly_told("One is 0.5 ms. Two follows."), None);
    for bad in ["", "One", "One.Two.", "One..", "One .", "One.  Two.", "one.", "0.5.One.", "Really?One."] {
        assert!(badly_told(bad).is_some(), "{bad}");
    }
}

#[test]
fn what_is_read_out_and_captions_are_sentences_apart() {
    // What callers give: with and without full stops, small letters, questions, nothing.
    let mut data = invented::forest();
    data.title = "wrong keys of the short list".into();
    data.context = "against enclosed. Of 400 typists.".into();
    let odd_forest = ("forest with odd words".to_owned(), data.draw(Width::Screen).unwrap());
    let mut data = invented::timing();
    data.title = "Tap or hold?".into();
    data.others.clear();
    data.context = String::new();
    let odd_timing = ("timing without others".to_owned(), data.draw(Width::Screen).unwrap());
    for (name, figure) in all().chain([odd_forest, odd_timing]) {
        assert_eq!(badly_told(figure.alt_text()), None, "{name}: {}", figure.alt_text());
        assert_eq!(badly_told(figure.caption()), None, "{name}: {}", figure.caption());
        // A screen reader reads the title, then the description.
        let svg = figure.svg();
        let document = resvg::usvg::roxmltree::Document::parse(&svg).unwrap();
        let read = |element: &str| {
            document.descendants().find(|n| n.tag_name().name() == element).and_then(|n| n.text()).unwrap().to_owned()
        };
        let both = format!("{} {}", read("title"), read("desc"));
        assert!(
            badly_told(&both).is_none() && !both.contains(&format!("{} {}", figure.title(), read("desc")))
                || figure.title().ends_with('?'),
            "{name}: {both}"
        );
        assert!(figure.caption().len() < 520, "{name}: {} characters: {}", figure.caption().len(), figure.caption());
    }
}

#[test]
fn captions_say_method_level_and_unit_and_alt_text_says_what_is_shown() {
    for (name, figure) in all() {
        assert!(figure.alt_text().ends_with('.') && figure.alt_text().len() > 40, "{name}: {}", figure.alt_text());
        assert!(figure.caption().starts_with(figure.title()), "{name}");
        if ["trade-off", "forest", "who", "curve"].iter().any(|n| name.starts_with(n)) {
            assert!(
                figure.caption().contains("95 % intervals (") && figure.caption().contains("unit: typist"),
                "{name}"
            );
        }
    }
    let figure = invented::trade_off().draw(Width::Screen).unwrap();
    assert!(figure.alt_text().contains("fewest missed holds with first-contact"));
    assert!(figure.svg().contains("Not drawn: retap (no repeated key in this text)."));
    let figure = invented::literature(150).draw(Width::TwoColumn).unwrap();
    // Every row has its verdict in words.
    let misses = invented::literature(150)
        .sources
        .iter()
        .flat_map(|s| s.rows.clone())
        .filter(|r| r.verdict == LiteratureVerdict::Misses)
        .count();
    assert_eq!(figure.svg().matches(">misses ").count(), misses);
    assert!(misses > 5);
}

/// Policies anywhere, in heaps too.
fn policies() -> impl Strategy<Value = Vec<TradeOffPolicy>> {
    let rate = |most: f64| prop_oneof![Just(0.0), 0.0..most, 0.0..most / 50.0];
    let policy = (rate(400.0), rate(100.0), 0.0..1.0f64, 0usize..5, prop::option::of(0.0..400.0f64));
    prop::collection::vec(policy, 1..16).prop_map(|list| {
        let policy = |(i, (x, y, reach, family, mean_delay_ms)): (usize, (f64, f64, f64, usize, Option<f64>))| {
            let around = |v: f64| Reading::with_interval(v, v * (1.0 - reach), v * (1.0 + reach) + 0.1);
            TradeOffPolicy {
                name: format!("policy-{i:02} with {} ms", 50 * i),
                family: format!("family {family}"),
                look: family,
                false_holds_per_1000_taps: around(x),
                missed_holds_per_100_holds: around(y),
                mean_delay_ms,
            }
        };
        list.into_iter().enumerate().map(policy).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn the_trade_off_has_no_flaw_wherever_policies_lie(policies in policies(), narrow: bool, from_zero: bool) {
        let stretch = if from_zero { Stretch::FromZero } else { Stretch::Auto };
        let data = TradeOff { policies, stretch, ..invented::trade_off() };
        let figure = data.draw(if narrow { Width::OneColumn } else { Width::TwoColumn }).unwrap();
        prop_assert_eq!(figure.flaws(), vec![]);
        // Nobody is lost: a name stands at its mark or below the plot.
        for policy in &data.policies {
            let word = policy.name.split(' ').next().unwrap();
            prop_assert!(figure.svg().contains(word), "{}", policy.name);
        }
    }

    #[test]
    fn the_forest_has_no_flaw_whatever_the_numbers(
        rows in prop::collection::vec((-1e6..1e6f64, 0.0..1e6f64, "[a-z ]{0,40}"), 1..20), narrow: bool
    ) {
        let row = |(value, reach, name): (f64, f64, String)| {
            ForestRow::new(name.trim(), Reading::with_interval(value, value - reach, value + reach))
        };
        let data = Forest { rows: rows.into_iter().map(row).collect(), limits: None, ..invented::forest() };
        let figure = data.draw(if narrow { Width::Phone } else { Width::Screen }).unwrap();
        prop_assert_eq!(figure.flaws(), vec![]);
    }

    #[test]
    fn distributions_have_no_flaw_whatever_the_numbers(
        values in prop::collection::vec(prop_oneof![Just(0.0), 0.0..1e-3, 0.0..1e3], 1..60), narrow: bool
    ) {
        let width = if narrow { Width::OneColumn } else { Width::Screen };
        let rates = TypistRates { name: "one".into(), look: 0, rates: values.clone(), without_opportunity: 0 };
        let typists = Typists { policies: vec![rates], ..invented::typists() };
        prop_assert_eq!(typists.draw(width).unwrap().flaws(), vec![]);
        let sample = Sample { name: "log".into(), values };
        let panel = ShapePanel { name: "dwell".into(), unit: "ms".into(), of: "keys".into(), samples: vec![sample] };
        let shapes = Shapes { panels: vec![panel], ..invented::shapes() };
        prop_assert_eq!(shapes.draw(width).unwrap().flaws(), vec![]);
    }
}
