//! How rare a letter pair is in English.
//!
//! # Source
//! P. Norvig, *English Letter Frequency Counts: Mayzner Revisited* (2012): shares of letters and of the fifty
//! most frequent digraphs within words, in percent. The counts were seen in a copy of his tables and come
//! from the Google Books n-grams, licence CC BY 3.0.

/// Share of each letter in percent, a to z.
// One share happens to look like a rounded circle constant.
#[allow(clippy::approx_constant)]
const LETTERS: [f64; 26] = [
    8.04, 1.48, 3.34, 3.82, 12.49, 2.40, 1.87, 5.05, 7.57, 0.16, 0.54, 4.07, 2.51, 7.23, 7.64, 2.14, 0.12, 6.28, 6.51,
    9.28, 2.73, 1.05, 1.68, 0.23, 1.66, 0.09,
];

/// The most frequent digraphs with their share in percent.
const DIGRAPHS: [(&str, f64); 50] = [
    ("th", 3.556),
    ("he", 3.075),
    ("in", 2.433),
    ("er", 2.048),
    ("an", 1.985),
    ("re", 1.854),
    ("on", 1.758),
    ("at", 1.487),
    ("en", 1.454),
    ("nd", 1.352),
    ("ti", 1.343),
    ("es", 1.339),
    ("or", 1.276),
    ("te", 1.205),
    ("of", 1.175),
    ("ed", 1.168),
    ("is", 1.128),
    ("it", 1.123),
    ("al", 1.087),
    ("ar", 1.075),
    ("st", 1.054),
    ("to", 1.041),
    ("nt", 1.041),
    ("ng", 0.953),
    ("se", 0.932),
    ("ha", 0.926),
    ("as", 0.871),
    ("ou", 0.870),
    ("io", 0.835),
    ("le", 0.829),
    ("ve", 0.825),
    ("co", 0.794),
    ("me", 0.793),
    ("de", 0.765),
    ("hi", 0.763),
    ("ri", 0.728),
    ("ro", 0.727),
    ("ic", 0.699),
    ("ne", 0.692),
    ("ea", 0.688),
    ("ra", 0.686),
    ("ce", 0.651),
    ("li", 0.624),
    ("ch", 0.598),
    ("ll", 0.577),
    ("be", 0.576),
    ("ma", 0.565),
    ("si", 0.550),
    ("om", 0.546),
    ("ur", 0.543),
];

/// Share of the digraph in percent; pairs below the fifty share the rest in proportion to their letters.
fn share(first: usize, second: usize) -> f64 {
    let at = |(pair, _): &&(&str, f64)| {
        let bytes = pair.as_bytes();
        usize::from(bytes[0] - b'a') == first && usize::from(bytes[1] - b'a') == second
    };
    if let Some((_, share)) = DIGRAPHS.iter().find(at) {
        return *share;
    }
    let listed: f64 = DIGRAPHS.iter().map(|(_, share)| share).sum();
    let by_letters = |a: usize, b: usize| LETTERS[a] * LETTERS[b] / 1e4;
    let listed_by_letters: f64 = DIGRAPHS
        .iter()
        .map(|(pair, _)| by_letters(usize::from(pair.as_bytes()[0] - b'a'), usize::from(pair.as_bytes()[1] - b'a')))
        .sum();
    (100.0 - listed) * by_letters(first, second) / (1.0 - listed_by_letters)
}

/// How many times rarer than the typical typed digraph a pair is, as a logarithm to base ten. Zero is
/// typical, one is ten times rarer. Typical is the mean over running text.
pub(crate) fn rarities() -> Vec<f64> {
    let shares: Vec<f64> = (0..26 * 26).map(|i| share(i / 26, i % 26)).collect();
    let total: f64 = shares.iter().sum();
    let typical: f64 = shares.iter().map(|s| s / total * libm::log10(*s)).sum();
    shares.iter().map(|s| typical - libm::log10(*s)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_add_up_and_rarity_is_centred_on_running_text() {
        let shares: Vec<f64> = (0..676).map(|i| share(i / 26, i % 26)).collect();
        let total: f64 = shares.iter().sum();
        assert!((total - 100.0).abs() < 0.5, "{total}");
        let rarities = rarities();
        let mean: f64 = rarities.iter().zip(&shares).map(|(r, s)| r * s / total).sum();
        assert!(mean.abs() < 1e-9);
        let at = |a: u8, b: u8| rarities[usize::from(a - b'a') * 26 + usize::from(b - b'a')];
        assert!(at(b't', b'h') < 0.0 && at(b'q', b'z') > 1.0);
    }
}
