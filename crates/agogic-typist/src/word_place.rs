//! Where in a word a key stands, as far as timing cares: one statement for the performance and for whoever reads a log
//! with its model.

/// Keys of a word at which its first key takes the word-start effect alone. A key after an interruption starts like a
/// word of this length.
pub const USUAL_WORD: u8 = 4;

/// Keys of a word beyond which it is not planned ahead.
pub const LONGEST_PLANNED_WORD: u8 = 8;

/// Keys of a word from which its later keys count as the middle of a word.
pub const LONG_WORD: u8 = 5;

/// Place in such a word, from 0, from which a key counts as its middle.
pub const MIDDLE_OF_WORD: u8 = 2;

/// By how many keys a word is longer than usual, as far as it is planned ahead: what the effect of the length of a word
/// on its first interval is multiplied by.
pub fn planned_beyond_usual(length: usize) -> f64 {
    length.min(usize::from(LONGEST_PLANNED_WORD)) as f64 - f64::from(USUAL_WORD)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_word_is_planned_in_part() {
        assert_eq!([1, 4, 8, 30].map(planned_beyond_usual), [-3.0, 0.0, 4.0, 4.0]);
    }
}
