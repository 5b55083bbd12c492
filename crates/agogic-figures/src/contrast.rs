//! Contrast between two colours.

/// The contrast ratio of two colours, written `#rrggbb`: from 1 for equal ones to 21 for black on white.
///
/// # Definition
///
/// (L₁ + 0.05) / (L₂ + 0.05) with the relative luminance L = 0.2126 R + 0.7152 G + 0.0722 B of the lighter and the
/// darker colour, where each channel c of sRGB becomes c / 12.92 up to 0.03928 and ((c + 0.055) / 1.055)^2.4 above.
///
/// # Undefined
///
/// `None` unless both are `#` and six hexadecimal digits.
///
/// # Source
///
/// Web Content Accessibility Guidelines (WCAG) 2.1, definitions of contrast ratio and relative luminance. Success
/// criterion 1.4.3 asks for 4.5 for text, 1.4.11 for 3 for graphical objects.
pub fn contrast(one: &str, other: &str) -> Option<f64> {
    let (one, other) = (luminance(one)?, luminance(other)?);
    Some((one.max(other) + 0.05) / (one.min(other) + 0.05))
}

fn luminance(colour: &str) -> Option<f64> {
    let digits = colour.strip_prefix('#').filter(|d| d.len() == 6 && d.bytes().all(|b| b.is_ascii_hexdigit()))?;
    let channel = |at: usize| {
        let value = f64::from(u8::from_str_radix(&digits[at..at + 2], 16).ok()?) / 255.0;
        Some(if value <= 0.03928 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) })
    };
    Some(0.2126 * channel(0)? + 0.7152 * channel(2)? + 0.0722 * channel(4)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn black_on_white_is_21_and_equal_colours_are_1() {
        assert!((contrast("#000000", "#ffffff").unwrap() - 21.0).abs() < 1e-12);
        assert_eq!(contrast("#123456", "#123456"), Some(1.0));
        // #767676 is the lightest grey that passes 4.5 on white (common knowledge of the trade, from memory).
        assert!(contrast("#767676", "#ffffff").unwrap() >= 4.5);
        assert!(contrast("#777777", "#ffffff").unwrap() < 4.5);
    }

    #[test]
    fn what_is_no_colour_has_no_contrast() {
        for bad in ["", "#fff", "red", "#12345g", "#1234567", "#é1234"] {
            assert_eq!(contrast(bad, "#ffffff"), None, "{bad}");
        }
    }
}
