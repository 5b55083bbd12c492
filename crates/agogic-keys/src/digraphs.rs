//! A language as a table of digraphs, and text drawn from it: for those who have counts of pairs of letters and no text.

use rand::RngExt;

use crate::stream::Stream;

/// How often one letter follows another.
///
/// # Definition
/// A line of the file is `first,second,count`, with that line as its head; the count may be any number that is not
/// negative, such as a share. A letter is one character; `space` and `comma` are written out. Pairs that are not there have
/// the count zero.
#[derive(Clone, Debug, PartialEq)]
pub struct Digraphs {
    letters: Vec<char>,
    /// By the first letter, then the second.
    counts: Vec<Vec<f64>>,
}

/// How text is drawn from a table of digraphs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DigraphDraw {
    /// Letters to draw, spaces included: as long a text the table stands for.
    pub letters: usize,
    /// Letters of a word on average, for a table of pairs within words; `None` where pairs with a space tell.
    pub word_letters: Option<f64>,
    /// Of how many letters the counts are, where they are shares; their sum if absent.
    pub counted: Option<f64>,
    /// Weight of the prior after each letter, in letters.
    pub prior_letters: f64,
    /// Share of words that begin with a capital, for a table that does not tell capitals.
    pub capital_words: f64,
}

/// Why a file is no table of digraphs.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {message}")]
pub struct DigraphError {
    /// The line, from 1.
    pub line: usize,
    /// What is wrong with it, and what would do.
    pub message: String,
}

const HEAD: &str = "first,second,count";

/// Letters of a table, at most: an alphabet, capitals left aside, digits and signs.
const MOST: usize = 200;

impl Digraphs {
    /// The table of a file.
    ///
    /// # Errors
    /// The first line that is none.
    pub fn parse(text: &str) -> Result<Self, DigraphError> {
        let refused = |line: usize, message: String| DigraphError { line: line + 1, message };
        let mut lines = text.lines().enumerate();
        if lines.next().is_none_or(|(_, head)| head.trim() != HEAD) {
            return Err(refused(0, format!("must be the head `{HEAD}`")));
        }
        let mut table = Self { letters: Vec::new(), counts: Vec::new() };
        for (at, line) in lines.filter(|(_, line)| !line.trim().is_empty()) {
            let cells: Vec<&str> = line.split(',').collect();
            let [first, second, count] = cells.as_slice() else {
                return Err(refused(at, format!("has {} cells, not 3; a comma is written `comma`", cells.len())));
            };
            let letter = |cell: &str| letter_of(cell).map_err(|message| refused(at, message));
            let (first, second) = (letter(first)?, letter(second)?);
            let value: f64 =
                count.trim().parse().ok().filter(|value: &f64| value.is_finite() && *value >= 0.0).ok_or_else(
                    || refused(at, format!("`{}` is no count; write a number that is not negative", count.trim())),
                )?;
            let (first, second) = (table.place(first), table.place(second));
            if table.letters.len() > MOST {
                return Err(refused(at, format!("brings letter {} of {MOST} at most", table.letters.len())));
            }
            if table.counts[first][second] > 0.0 {
                return Err(refused(at, "stands for a pair that was there before".into()));
            }
            table.counts[first][second] = value;
        }
        if table.sum() <= 0.0 {
            return Err(refused(0, "has no pair with a count above zero below it".into()));
        }
        Ok(table)
    }

    /// Whether some pair ends or begins a word.
    pub fn knows_words(&self) -> bool {
        let Some(space) = self.letters.iter().position(|letter| *letter == ' ') else { return false };
        self.counts[space].iter().sum::<f64>() > 0.0 && self.counts.iter().any(|row| row[space] > 0.0)
    }

    /// A text of letters that follow each other as the table says.
    ///
    /// # Definition
    /// A Markov chain of the first order. After a the letter b comes with the probability
    /// (n(a, b) + k s(b)) ⁄ (n(a) + k): n the counts, scaled to the letters they were counted from, s(b) the share of b
    /// among all second letters, and k the weight of the prior. So a pair that was not counted is as rare as its second
    /// letter and the prior make it, and a letter that was not counted never comes. Where the table is of pairs within words,
    /// a word ends after each letter with the probability 1 ⁄ (letters of a word), and the next one begins with a letter by
    /// its share. A capital comes where the table has one, and at the beginning of the stated share of words.
    ///
    /// # Source
    /// Markov's chain of letters; the prior is that of Dirichlet with the shares of letters as its mean (MacKay & Peto
    /// 1995, from memory).
    pub fn text(&self, draw: &DigraphDraw, rng: &mut Stream) -> String {
        let sum = self.sum();
        let scale = draw.counted.map_or(1.0, |counted| counted / sum);
        let mut shares: Vec<f64> = vec![0.0; self.letters.len()];
        for row in &self.counts {
            shares.iter_mut().zip(row).for_each(|(share, count)| *share += count / sum);
        }
        let space = self.letters.iter().position(|letter| *letter == ' ');
        let row = |(first, row): (usize, &Vec<f64>)| -> Vec<f64> {
            // No word is empty, but where somebody counted it.
            let prior = |second: usize| if Some(first) == space && first == second { 0.0 } else { draw.prior_letters };
            let smoothed = row.iter().zip(&shares).enumerate();
            let smoothed: Vec<f64> =
                smoothed.map(|(second, (count, share))| count * scale + prior(second) * share).collect();
            // A letter after which nothing was counted, without a prior: any letter by its share.
            if smoothed.iter().sum::<f64>() > 0.0 { smoothed } else { shares.clone() }
        };
        let rows: Vec<Vec<f64>> = self.counts.iter().enumerate().map(row).collect();
        let mut text = String::with_capacity(draw.letters);
        let mut last: Option<usize> = space.filter(|_| draw.word_letters.is_none());
        for _ in 0..draw.letters {
            let ends = draw.word_letters.is_some_and(|mean| last.is_some() && rng.random::<f64>() < 1.0 / mean);
            if ends {
                text.push(' ');
                last = None;
                continue;
            }
            let at = pick(last.map_or(&shares, |last| &rows[last]), rng);
            let letter = self.letters[at];
            let begins = last == space || last.is_none();
            if begins && draw.capital_words > 0.0 && rng.random::<f64>() < draw.capital_words {
                text.extend(letter.to_uppercase());
            } else {
                text.push(letter);
            }
            last = Some(at);
        }
        text
    }

    /// Every pair that was counted, with its count.
    pub fn pairs(&self) -> impl Iterator<Item = ((char, char), f64)> + '_ {
        let row = |(first, row): (usize, &Vec<f64>)| {
            let of = |(second, count): (usize, &f64)| ((self.letters[first], self.letters[second]), *count);
            row.iter().enumerate().map(of).collect::<Vec<_>>()
        };
        self.counts.iter().enumerate().flat_map(row).filter(|(_, count)| *count > 0.0)
    }

    fn sum(&self) -> f64 {
        self.counts.iter().flatten().sum()
    }

    /// The place of a letter, new or known.
    fn place(&mut self, letter: char) -> usize {
        if let Some(at) = self.letters.iter().position(|known| *known == letter) {
            return at;
        }
        self.letters.push(letter);
        self.counts.iter_mut().for_each(|row| row.push(0.0));
        self.counts.push(vec![0.0; self.letters.len()]);
        self.letters.len() - 1
    }
}

fn letter_of(cell: &str) -> Result<char, String> {
    match cell.trim() {
        "space" => return Ok(' '),
        "comma" => return Ok(','),
        _ => {}
    }
    let mut characters = cell.trim().chars();
    match (characters.next(), characters.next()) {
        (Some(letter), None) => Ok(letter),
        _ => Err(format!("`{}` is no letter; write one character, `space` or `comma`", cell.trim())),
    }
}

/// A place by its weight.
fn pick(weights: &[f64], rng: &mut Stream) -> usize {
    let mut left = rng.random::<f64>() * weights.iter().sum::<f64>();
    let found = weights.iter().position(|weight| {
        left -= weight;
        left < 0.0
    });
    // Rounding may leave a little over the last one that has a weight.
    found.or_else(|| weights.iter().rposition(|weight| *weight > 0.0)).expect("some weight is above zero")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Purpose, stream};

    const DRAW: DigraphDraw =
        DigraphDraw { letters: 20_000, word_letters: None, counted: None, prior_letters: 0.0, capital_words: 0.0 };

    fn drawn(table: &str, draw: DigraphDraw) -> String {
        Digraphs::parse(table).unwrap().text(&draw, &mut stream(1, Purpose::Digraphs, 0, 0))
    }

    fn pairs(text: &str, pair: &str) -> usize {
        text.as_bytes().windows(2).filter(|own| *own == pair.as_bytes()).count()
    }

    #[test]
    fn letters_follow_each_other_as_counted() {
        let text = drawn("first,second,count\na,b,3\na,space,1\nb,a,2\nb,space,2\nspace,a,3\n", DRAW);
        assert_eq!(text.chars().count(), 20_000);
        // n is about 7500 of each; 0.75 and 0.5 to within five standard errors of 0.006.
        let share = |pair: &str| pairs(&text, pair) as f64 / text.matches(&pair[..1]).count() as f64;
        assert!(
            (share("ab") - 0.75).abs() < 0.03 && (share("ba") - 0.5).abs() < 0.03,
            "{} {}",
            share("ab"),
            share("ba")
        );
        assert_eq!((pairs(&text, "aa"), pairs(&text, "  "), pairs(&text, " b")), (0, 0, 0), "what was not counted");
        assert_eq!(text, drawn("first,second,count\na,b,3\na,space,1\nb,a,2\nb,space,2\nspace,a,3\n", DRAW));
    }

    #[test]
    fn the_prior_lets_pairs_come_that_were_not_counted() {
        let table = "first,second,count\na,b,30\nb,a,30\na,space,5\nspace,a,5\n";
        assert_eq!(pairs(&drawn(table, DRAW), "aa"), 0);
        let few = pairs(&drawn(table, DigraphDraw { prior_letters: 1.0, ..DRAW }), "aa");
        let many = pairs(&drawn(table, DigraphDraw { prior_letters: 30.0, ..DRAW }), "aa");
        assert!(0 < few && few < many, "{few} {many}");
        // The same counts as shares of many letters: the prior weighs less.
        let sure = DigraphDraw { prior_letters: 30.0, counted: Some(70_000.0), ..DRAW };
        assert!(pairs(&drawn(table, sure), "aa") < many / 10);
    }

    #[test]
    fn words_are_as_long_as_stated_where_no_pair_tells() {
        let table = "first,second,count\na,b,1\nb,a,1\n";
        assert!(!Digraphs::parse(table).unwrap().knows_words());
        let text = drawn(table, DigraphDraw { word_letters: Some(4.0), ..DRAW });
        let words: Vec<usize> = text.trim_end().split(' ').map(str::len).collect();
        let mean = words.iter().sum::<usize>() as f64 / words.len() as f64;
        // Some 4000 words of a geometric law with standard deviation 3.5: five standard errors are 0.28.
        assert!((mean - 4.0).abs() < 0.28 && words.iter().all(|length| *length > 0), "{mean}");
        // A quarter of some 4000 words to within five standard errors of 0.007, and no letter inside a word.
        let text = drawn(table, DigraphDraw { word_letters: Some(4.0), capital_words: 0.25, ..DRAW });
        let words: Vec<&str> = text.trim_end().split(' ').collect();
        let capital = words.iter().filter(|word| word.starts_with(char::is_uppercase)).count() as f64;
        assert!((capital / words.len() as f64 - 0.25).abs() < 0.035, "{capital} of {}", words.len());
        assert!(words.iter().all(|word| !word[1..].contains(char::is_uppercase)));
    }

    #[test]
    fn what_is_wrong_is_told_with_its_line() {
        let told = |table: &str| Digraphs::parse(table).unwrap_err().to_string();
        assert!(told("a,b,1\n").starts_with("line 1: must be the head"));
        assert!(told("first,second,count\nab,c,1\n").starts_with("line 2: `ab` is no letter"));
        assert!(told("first,second,count\na,b,1\na,b,2\n").starts_with("line 3: stands for a pair"));
        assert!(told("first,second,count\na,b,-1\n").contains("`-1` is no count"));
        assert!(told("first,second,count\na,,,1\n").contains("written `comma`"));
        assert!(told("first,second,count\na,b,0\n").contains("above zero"));
    }
}
