//! A finished figure and the files it can become.

use krilla::geom::Size;
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla::tagging::{ContentTag, Tag, TagGroup, TagTree};
use krilla::{Document, SerializeSettings};
use krilla_svg::{SurfaceExt, SvgSettings};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg;

use crate::flaws::{self, Flaw};
use crate::font;
use crate::scene::{Scene, Shape};
use crate::svg::{self, Labels, Use};
use crate::{FigureError, Width};

/// A figure: what it shows, in words and as a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    pub(crate) title: String,
    pub(crate) caption: String,
    pub(crate) alt: String,
    pub(crate) width: Width,
    pub(crate) scene: Scene,
}

impl Figure {
    /// What it is about, in a few words.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// What a reader needs to know to read it: the data, the intervals, the marks.
    pub fn caption(&self) -> &str {
        &self.caption
    }

    /// What it shows, in plain sentences, for those who cannot see it.
    pub fn alt_text(&self) -> &str {
        &self.alt
    }

    /// The width it was made for.
    pub fn width(&self) -> Width {
        self.width
    }

    /// Width and height in points.
    pub fn size_pt(&self) -> (f64, f64) {
        (self.scene.width, self.scene.height)
    }

    /// The picture as an SVG file on white paper, its text as text.
    ///
    /// A viewer without DejaVu Sans takes another font and fits it into the same room. Where the letters must look
    /// the same everywhere take [`Figure::outlined_svg`].
    pub fn svg(&self) -> String {
        svg::write(&self.scene, &self.labels(), Use::File { millimetres: self.width.on_paper() })
    }

    /// The picture as part of a page: its colours are variables that [`crate::page_css`] sets for light and dark.
    ///
    /// `id` must be different for each figure of a page; characters other than letters, digits and `-` become `-`.
    pub fn page_svg(&self, id: &str) -> String {
        let id: String = id.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
        svg::write(&self.scene, &self.labels(), Use::Page { id: &id })
    }

    /// The picture as an SVG file whose letters are outlines: it looks the same everywhere and needs no font.
    ///
    /// # Errors
    ///
    /// [`FigureError::NoGlyph`] if the font lacks a character.
    pub fn outlined_svg(&self) -> Result<String, FigureError> {
        let options = usvg::WriteOptions {
            preserve_text: false,
            coordinates_precision: 3,
            transforms_precision: 6,
            ..usvg::WriteOptions::default()
        };
        Ok(self.tree("SVG")?.to_string(&options))
    }

    /// The picture as a PDF page of its size: vectors, with the letters used embedded, tagged with the alt text.
    ///
    /// # Errors
    ///
    /// [`FigureError::NoGlyph`] if the font lacks a character.
    pub fn pdf(&self) -> Result<Vec<u8>, FigureError> {
        let tree = self.tree("PDF")?;
        let failed = |reason: &str| FigureError::Convert { format: "PDF", reason: reason.to_owned() };
        let (width, height) = (self.scene.width as f32, self.scene.height as f32);
        let size = Size::from_wh(width, height).ok_or_else(|| failed("the page has no size"))?;
        // Without metadata of its own the document carries neither a date nor a random identifier.
        let settings = SerializeSettings { xmp_metadata: false, ..SerializeSettings::default() };
        let mut document = Document::new_with(settings);
        let mut page = document.start_page_with(PageSettings::new(size));
        let mut surface = page.surface();
        let drawing = surface.start_tagged(ContentTag::Other);
        let drawn = surface.draw_svg(&tree, size, SvgSettings::default());
        surface.end_tagged();
        surface.finish();
        page.finish();
        drawn.ok_or_else(|| failed("the picture cannot be drawn"))?;
        let mut tags = TagTree::new().with_lang(Some("en".to_owned()));
        tags.push(TagGroup::with_children(Tag::Figure(Some(self.alt.clone())), vec![drawing.into()]));
        document.set_tag_tree(tags);
        document.set_metadata(Metadata::new().title(self.title.clone()).language("en".to_owned()));
        document.finish().map_err(|e| failed(&format!("{e:?}")))
    }

    /// The picture as a PNG on white with `dpi` dots per inch: 300 to 600 for print, 96 for a screen.
    ///
    /// # Errors
    ///
    /// [`FigureError::Resolution`] unless `dpi` is from 10 to 1200; [`FigureError::NoGlyph`] if the font lacks a
    /// character.
    pub fn png(&self, dpi: f64) -> Result<Vec<u8>, FigureError> {
        if !(10.0..=1200.0).contains(&dpi) {
            return Err(FigureError::Resolution { dpi });
        }
        let tree = self.tree("PNG")?;
        let (width, height) = self.pixels(dpi);
        let failed = |reason: String| FigureError::Convert { format: "PNG", reason };
        let mut map = Pixmap::new(width, height).ok_or_else(|| failed(format!("{width} × {height} pixels")))?;
        let size = tree.size();
        let scale = Transform::from_scale(width as f32 / size.width(), height as f32 / size.height());
        resvg::render(&tree, scale, &mut map.as_mut());
        map.encode_png().map_err(|e| failed(e.to_string()))
    }

    /// Width and height in pixels at a resolution.
    pub fn pixels(&self, dpi: f64) -> (u32, u32) {
        let count = |points: f64| (points / 72.0 * dpi).round().max(1.0) as u32;
        (count(self.scene.width), count(self.scene.height))
    }

    /// What is wrong with the picture: data outside of the plot, words that overlap or are cut, text too small.
    /// A figure of sound data has none; the tests of this crate and of its users ask.
    pub fn flaws(&self) -> Vec<Flaw> {
        flaws::find(&self.scene)
    }

    fn labels(&self) -> Labels<'_> {
        Labels { title: &self.title, alt: &self.alt }
    }

    fn tree(&self, format: &'static str) -> Result<usvg::Tree, FigureError> {
        for item in &self.scene.items {
            if let Shape::Words(words) = &item.shape
                && let Some(character) = font::missing(&words.text)
            {
                return Err(FigureError::NoGlyph { text: words.text.clone(), character });
            }
        }
        let options = usvg::Options {
            fontdb: font::database(),
            font_family: "DejaVu Sans".to_owned(),
            ..usvg::Options::default()
        };
        let failed = |e: usvg::Error| FigureError::Convert { format, reason: e.to_string() };
        usvg::Tree::from_str(&self.svg(), &options).map_err(failed)
    }
}
