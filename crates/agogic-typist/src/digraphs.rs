//! How rare a pair of letters is in a language: English, or one that was counted.
//!
//! # Source
//! P. Norvig, *English Letter Frequency Counts: Mayzner Revisited* (2012): shares of letters and of the fifty
//! most frequent digraphs within words, in percent. The counts were seen in a copy of his tables and come
//! from the Google Books n-grams, licence CC BY 3.0.

use agogic_keys::{CountedPairs, PairShares};

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

/// Shares of pairs of the letters of a language.
struct Shares<'a> {
    letters: &'a [f64],
    /// The most frequent pairs by the places of their letters.
    listed: Vec<(usize, usize, f64)>,
}

impl Shares<'_> {
    /// Share of every pair in percent, by the first letter and then the second; pairs that are not listed share the rest in
    /// proportion to their letters.
    fn all(&self) -> Vec<f64> {
        let n = self.letters.len();
        let listed: f64 = self.listed.iter().map(|(.., share)| share).sum();
        let by_letters = |a: usize, b: usize| self.letters[a] * self.letters[b] / 1e4;
        let listed_by_letters: f64 = self.listed.iter().map(|(a, b, _)| by_letters(*a, *b)).sum();
        let mut shares: Vec<f64> =
            (0..n * n).map(|i| (100.0 - listed) * by_letters(i / n, i % n) / (1.0 - listed_by_letters)).collect();
        for (a, b, share) in &self.listed {
            shares[a * n + b] = *share;
        }
        shares
    }

    /// How many times rarer than the typical typed digraph a pair is, as a logarithm to base ten. Zero is
    /// typical, one is ten times rarer. Typical is the mean over running text.
    fn rarities(&self) -> Vec<f64> {
        let shares = self.all();
        let total: f64 = shares.iter().sum();
        let typical: f64 = shares.iter().map(|s| s / total * libm::log10(*s)).sum();
        shares.iter().map(|s| typical - libm::log10(*s)).collect()
    }
}

fn english() -> Shares<'static> {
    let place = |byte: u8| usize::from(byte - b'a');
    let listed = |(pair, share): &(&str, f64)| {
        let bytes = pair.as_bytes();
        (place(bytes[0]), place(bytes[1]), *share)
    };
    Shares { letters: &LETTERS, listed: DIGRAPHS.iter().map(listed).collect() }
}

fn counted(pairs: &CountedPairs) -> Shares<'_> {
    let place =
        |letter: &char| pairs.letters().binary_search(letter).expect("listed pairs are of letters of the table");
    let listed = |((a, b), share): &((char, char), f64)| (place(a), place(b), *share);
    Shares { letters: pairs.letter_shares(), listed: pairs.listed().iter().map(listed).collect() }
}

/// How rare each pair of letters of a language is.
pub(crate) struct Rarities {
    letters: Vec<char>,
    each: Vec<f64>,
}

impl Rarities {
    /// Those of a language; of an unknown one no pair is rare.
    pub fn of(pairs: &PairShares) -> Self {
        match pairs {
            PairShares::English => Self { letters: ('a'..='z').collect(), each: english().rarities() },
            PairShares::Counted(own) => Self { letters: own.letters().to_vec(), each: counted(own).rarities() },
            PairShares::Unknown => Self { letters: Vec::new(), each: Vec::new() },
        }
    }

    /// The place of a letter, if the language has it.
    pub fn place(&self, letter: char) -> Option<usize> {
        self.letters.iter().position(|own| *own == letter)
    }

    /// How many powers of ten rarer than the typical pair these two letters are, by their places.
    pub fn at(&self, first: usize, second: usize) -> f64 {
        self.each[first * self.letters.len() + second]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_add_up_and_rarity_is_centred_on_running_text() {
        let shares = english().all();
        let total: f64 = shares.iter().sum();
        assert!((total - 100.0).abs() < 0.5, "{total}");
        let rarities = english().rarities();
        let mean: f64 = rarities.iter().zip(&shares).map(|(r, s)| r * s / total).sum();
        assert!(mean.abs() < 1e-9);
        let at = |a: u8, b: u8| rarities[usize::from(a - b'a') * 26 + usize::from(b - b'a')];
        assert!(at(b't', b'h') < 0.0 && at(b'q', b'z') > 1.0);
    }

    /// By hand: eight letters of equal share and 64 pairs, one of them twice as frequent as the others.
    #[test]
    fn a_counted_language_has_rarities_of_its_own() {
        let letters: Vec<char> = "abcdefäö".chars().collect();
        let pairs = letters.iter().flat_map(|a| letters.iter().map(move |b| (*a, *b)));
        let counts = pairs.map(|pair| (pair, if pair == ('ä', 'ö') { 20.0 } else { 10.0 }));
        let own = CountedPairs::of_counts(counts).unwrap();
        let rarities = Rarities::of(&PairShares::Counted(own.clone().into()));
        let at = |a, b| rarities.at(rarities.place(a).unwrap(), rarities.place(b).unwrap());
        assert!((at('a', 'b') - at('ä', 'ö') - libm::log10(2.0)).abs() < 1e-9);
        let shares = counted(&own).all();
        assert!((shares.iter().sum::<f64>() - 100.0).abs() < 0.5);
        let mean: f64 = rarities.each.iter().zip(&shares).map(|(r, s)| r * s).sum::<f64>() / shares.iter().sum::<f64>();
        assert!(mean.abs() < 1e-9, "{mean}");
        assert_eq!(rarities.place('z'), None);
        assert_eq!(Rarities::of(&PairShares::Unknown).place('a'), None);
    }
}
