//! Figures of experiments on keys with two meanings, for papers and for a page.
//!
//! In goes a plain struct of numbers and words, such as [`TradeOff`] or [`Forest`]. Out comes a [`Figure`]: title,
//! caption, alt text made from the data, and the picture as SVG, as SVG for a page with a light and a dark theme, as
//! SVG whose letters are outlines, as PDF with its font embedded, and as PNG. This crate knows no other crate of the
//! workspace: whoever has numbers can draw.
//!
//! What is unknown is not drawn as zero: it is listed with its reason. Intervals always say method, level and unit.
//! Colours are those of Okabe & Ito 2008, and whatever a colour tells, a shape, a dash or a word tells too. The same
//! data give the same bytes on every machine: the font is part of the program and nothing asks for the time.
//!
//! ```
//! use agogic_figures::{Forest, ForestRow, IntervalNote, Reading, Width};
//!
//! let forest = Forest {
//!     title: "False holds against first-contact".into(),
//!     quantity: "difference in false holds".into(),
//!     unit: "per 1000 taps".into(),
//!     context: "population volunteers, 400 typists".into(),
//!     rows: vec![
//!         ForestRow::new("enclosed", Reading::with_interval(-31.0, -34.5, -27.5)),
//!         ForestRow::new("lull 150 ms", Reading::unknown("no opportunity")),
//!     ],
//!     signed: true,
//!     reference: Some(0.0),
//!     limits: None,
//!     interval: IntervalNote::new("paired, linearised, t", 0.95, "typist"),
//!     simultaneous: None,
//! };
//! let figure = forest.draw(Width::OneColumn)?;
//! assert!(figure.svg().starts_with("<svg"));
//! assert!(figure.alt_text().contains("enclosed"));
//! assert!(figure.flaws().is_empty());
//! # Ok::<(), agogic_figures::FigureError>(())
//! ```

mod axis;
mod contrast;
mod curve;
mod error;
mod figure;
mod flaws;
mod font;
mod forest;
mod ink;
mod key;
mod labels;
mod legend;
mod literature;
mod mark;
mod naming;
mod panel;
mod reading;
mod scene;
mod shapes;
mod svg;
mod terms;
mod timing;
mod trade_off;
mod typists;
mod who;
mod width;
mod words;

pub use contrast::contrast;
pub use curve::{Curve, CurvePoint, CurveSeries, Setting};
pub use error::FigureError;
pub use figure::Figure;
pub use flaws::Flaw;
pub use forest::{Forest, ForestRow};
pub use ink::{Ink, Theme, page_css};
pub use literature::{Literature, LiteratureRole, LiteratureRow, LiteratureSource, LiteratureVerdict};
pub use reading::{IntervalNote, Reading};
pub use shapes::{Sample, ShapePanel, Shapes};
pub use terms::Terms;
pub use timing::{Timing, TimingPress, TimingVerdict};
pub use trade_off::{Floor, Observer, Stretch, TradeOff, TradeOffPolicy};
pub use typists::{TypistRates, Typists};
pub use who::{Who, WhoBin, WhoPanel};
pub use width::Width;
