//! How often letters follow each other within words of a language.

use std::collections::BTreeMap;
use std::sync::Arc;

use unicode_normalization::UnicodeNormalization;

/// How many of the most frequent pairs have a share of their own.
const LISTED: usize = 50;

/// Pairs that have to be counted, at least.
const LEAST: f64 = 1000.0;

/// How often letters follow each other in what is typed on a keyboard: rare pairs take longer.
#[derive(Clone, Debug, Default)]
pub enum PairShares {
    /// Those of English, from published counts.
    #[default]
    English,
    /// Those of another language, counted.
    Counted(Arc<CountedPairs>),
    /// None: no pair takes longer than another for being rare.
    Unknown,
}

/// Shares of letters and of the most frequent pairs, counted within words.
#[derive(Clone, Debug, PartialEq)]
pub struct CountedPairs {
    letters: Vec<char>,
    /// In percent, in the order of the letters.
    shares: Vec<f64>,
    /// The most frequent pairs with their share in percent, the most frequent first.
    listed: Vec<((char, char), f64)>,
    /// Pairs that were counted; of a table of shares their sum.
    counted: f64,
}

/// Why counts tell no shares of pairs.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PairsError {
    /// Too little was counted.
    #[error("it has {counted} pairs of letters within words; shares need {LEAST} at least")]
    Few {
        /// Pairs that were counted.
        counted: u64,
    },
    /// Too few different pairs.
    #[error("it has {pairs} different pairs of letters; shares need more than {LISTED}")]
    Alike {
        /// Different pairs.
        pairs: usize,
    },
}

impl CountedPairs {
    /// The shares of a text.
    ///
    /// # Definition
    /// Pairs are neighbours within words, capitals counted with small letters, letters composed (Unicode form C).
    ///
    /// # Errors
    /// Fewer than 1000 pairs, or no more than 50 different ones.
    pub fn of_text(text: &str) -> Result<Self, PairsError> {
        let mut counts = BTreeMap::new();
        let letters = text.nfc().flat_map(char::to_lowercase).collect::<Vec<char>>();
        for pair in letters.windows(2).filter(|pair| pair.iter().all(|c| c.is_alphabetic())) {
            *counts.entry((pair[0], pair[1])).or_insert(0.0) += 1.0;
        }
        let counted: f64 = counts.values().sum();
        if counted < LEAST {
            return Err(PairsError::Few { counted: counted as u64 });
        }
        Self::of(&counts)
    }

    /// The shares of counts, or of shares of any sum. Pairs with a space or a sign are left out, capitals are counted with
    /// small letters.
    ///
    /// # Definition
    /// The fifty most frequent pairs have the share that was counted; the others divide the rest in proportion to the product
    /// of the shares of their letters. So few counts tell no more than they can, and the shares of another language are made
    /// as those of English are, for which the effect of a rare pair was fitted. Of pairs of equal counts those first in the
    /// order of Unicode are listed.
    ///
    /// # Errors
    /// No more than 50 different pairs.
    pub fn of_counts(counts: impl IntoIterator<Item = ((char, char), f64)>) -> Result<Self, PairsError> {
        let mut own = BTreeMap::new();
        for ((first, second), count) in counts {
            let small = |c: char| c.to_lowercase().next().filter(|c| c.is_alphabetic());
            if let (Some(first), Some(second)) = (small(first), small(second)) {
                *own.entry((first, second)).or_insert(0.0) += count;
            }
        }
        Self::of(&own)
    }

    fn of(counts: &BTreeMap<(char, char), f64>) -> Result<Self, PairsError> {
        let mut pairs: Vec<((char, char), f64)> =
            counts.iter().filter(|(_, count)| **count > 0.0).map(|(pair, count)| (*pair, *count)).collect();
        if pairs.len() <= LISTED {
            return Err(PairsError::Alike { pairs: pairs.len() });
        }
        let counted: f64 = pairs.iter().map(|(_, count)| count).sum();
        let mut letters: BTreeMap<char, f64> = BTreeMap::new();
        for ((first, second), count) in &pairs {
            for c in [first, second] {
                *letters.entry(*c).or_insert(0.0) += 50.0 * count / counted;
            }
        }
        // The sort is stable, and pairs stand in the order of Unicode.
        pairs.sort_by(|(_, one), (_, other)| other.total_cmp(one));
        pairs.truncate(LISTED);
        let listed = pairs.into_iter().map(|(pair, count)| (pair, 100.0 * count / counted)).collect();
        let (letters, shares) = letters.into_iter().unzip();
        Ok(Self { letters, shares, listed, counted })
    }

    /// The letters, in the order of Unicode.
    pub fn letters(&self) -> &[char] {
        &self.letters
    }

    /// The share of each letter in percent.
    pub fn letter_shares(&self) -> &[f64] {
        &self.shares
    }

    /// The most frequent pairs with their share in percent, the most frequent first.
    pub fn listed(&self) -> &[((char, char), f64)] {
        &self.listed
    }

    /// How many pairs were counted; of a table of shares their sum.
    pub fn counted(&self) -> f64 {
        self.counted
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every pair of ten letters, a to j: `ab` 500 times, the others by the product of their places.
    fn counts() -> Vec<((char, char), f64)> {
        let letters: Vec<char> = ('a'..='j').collect();
        let all = letters
            .iter()
            .enumerate()
            .flat_map(|(i, a)| letters.iter().enumerate().map(move |(k, b)| ((*a, *b), ((i + 1) * (k + 1)) as f64)));
        all.map(|(pair, count)| (pair, if pair == ('a', 'b') { 500.0 } else { count })).collect()
    }

    #[test]
    fn the_most_frequent_pairs_have_their_own_share() {
        let table = CountedPairs::of_counts(counts()).unwrap();
        // 55 · 55 is the sum of all products; ab has 500 in place of 2.
        assert_eq!(table.counted(), 3025.0 - 2.0 + 500.0);
        assert_eq!((table.listed().len(), table.listed()[0]), (50, (('a', 'b'), 100.0 * 500.0 / 3523.0)));
        assert_eq!(table.listed()[1].0, ('j', 'j'));
        assert!((table.letter_shares().iter().sum::<f64>() - 100.0).abs() < 1e-9);
        assert_eq!(table.letters().iter().collect::<String>(), "abcdefghij");
    }

    #[test]
    fn capitals_and_composed_letters_count_as_one() {
        let plain =
            "Fünf Übungen täglich für größere Vögel am Ufer der Aare, sonst nichts als Schilf und Wind. Zwei Boote \
                     liegen quer im Kanal, keiner weiß warum. "
                .repeat(20);
        let table = CountedPairs::of_text(&plain).unwrap();
        let apart: String = plain.nfd().collect();
        assert_eq!(CountedPairs::of_text(&apart).unwrap(), table);
        assert_eq!(CountedPairs::of_text(&plain.to_uppercase().replace("SS", "ß")).unwrap(), table);
        assert!(table.letters().contains(&'ü') && !table.letters().contains(&' '));
    }

    #[test]
    fn little_text_tells_no_shares() {
        assert_eq!(CountedPairs::of_text("ab cd"), Err(PairsError::Few { counted: 2 }));
        assert_eq!(CountedPairs::of_text(&"ab".repeat(600)), Err(PairsError::Alike { pairs: 2 }));
        let few = [(('a', 'b'), 3.0), (('A', 'B'), 3.0), (('a', ' '), 3.0), (('b', 'a'), 0.0)];
        assert_eq!(CountedPairs::of_counts(few), Err(PairsError::Alike { pairs: 1 }));
    }
}
