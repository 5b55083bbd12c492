//! The letters: DejaVu Sans Condensed 2.37, part of the program through the crate `dejavu`.
//!
//! Its licence (that of Bitstream Vera, changes in the public domain) allows use, embedding and redistribution; a
//! modified font must be renamed. The condensed cut leaves more room for data.

use std::sync::{Arc, OnceLock};

use resvg::usvg::fontdb::Database;
use ttf_parser::Face;

/// The families to ask for, the first that exists. Words carry their length too, so another font changes the look of
/// letters but not the layout.
pub(crate) const FAMILIES: &str = "DejaVu Sans Condensed, DejaVu Sans, Verdana, Arial, sans-serif";

/// The share of the size that stands above the base line, and below it.
pub(crate) const ABOVE: f64 = 0.78;
pub(crate) const BELOW: f64 = 0.22;

fn face(bold: bool) -> &'static Face<'static> {
    static REGULAR: OnceLock<Face<'static>> = OnceLock::new();
    static BOLD: OnceLock<Face<'static>> = OnceLock::new();
    let (cell, data): (_, fn() -> &'static [u8]) =
        if bold { (&BOLD, dejavu::sans_condensed::bold) } else { (&REGULAR, dejavu::sans_condensed::regular) };
    cell.get_or_init(|| Face::parse(data(), 0).expect("the font is part of the program"))
}

/// The width of words, in units of `size`. An unknown character counts as an m.
pub(crate) fn width(text: &str, size: f64, bold: bool) -> f64 {
    let face = face(bold);
    let advance = |c: char| {
        let glyph = face.glyph_index(c).or_else(|| face.glyph_index('m')).unwrap_or_default();
        f64::from(face.glyph_hor_advance(glyph).unwrap_or(0))
    };
    text.chars().map(advance).sum::<f64>() * size / f64::from(face.units_per_em())
}

/// The first character that the font lacks.
pub(crate) fn missing(text: &str) -> Option<char> {
    text.chars().find(|c| face(false).glyph_index(*c).is_none())
}

/// A store of fonts with ours and no other.
pub(crate) fn database() -> Arc<Database> {
    static FONTS: OnceLock<Arc<Database>> = OnceLock::new();
    let make = || {
        let mut fonts = Database::new();
        fonts.load_font_data(dejavu::sans_condensed::regular().to_vec());
        fonts.load_font_data(dejavu::sans_condensed::bold().to_vec());
        fonts.set_sans_serif_family("DejaVu Sans");
        Arc::new(fonts)
    };
    Arc::clone(FONTS.get_or_init(make))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_grow_with_words_and_size() {
        assert_eq!(width("", 7.0, false), 0.0);
        assert!(width("mm", 7.0, false) > width("m", 7.0, false));
        assert!((width("lull", 14.0, false) - 2.0 * width("lull", 7.0, false)).abs() < 1e-9);
        assert!(width("lull", 7.0, true) > width("lull", 7.0, false));
    }

    #[test]
    fn the_font_has_our_signs_and_says_what_it_lacks() {
        assert_eq!(missing("−0.5 … ≥ ≤ × · – ± ₀ é ß ж α"), None);
        assert_eq!(missing("a\u{4e2d}"), Some('\u{4e2d}'));
    }
}
