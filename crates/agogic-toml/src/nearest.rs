//! The name that was meant.

/// The candidate most like `name`, if one is alike at all.
///
/// # Definition
/// The largest similarity of Jaro and Winkler, where it is above 0.8; of equal ones the last.
///
/// # Source
/// Common practice, no source.
pub fn nearest<'c>(name: &str, candidates: &[&'c str]) -> Option<&'c str> {
    candidates
        .iter()
        .map(|candidate| (strsim::jaro_winkler(name, candidate), *candidate))
        .filter(|(likeness, _)| *likeness > 0.8)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate)
}

/// The end of a message about an unknown name: `; did you mean …?`, or nothing where no candidate is alike.
pub fn hint(name: &str, candidates: &[&str]) -> String {
    nearest(name, candidates).map_or(String::new(), |near| format!("; did you mean `{near}`?"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_of_the_finger_are_understood_and_other_words_are_not() {
        assert_eq!(nearest("kyes", &["unit", "keys", "from"]), Some("keys"));
        assert_eq!(nearest("colour", &["unit", "keys", "from"]), None);
        assert_eq!(nearest("", &[]), None);
        assert_eq!(hint("kyes", &["keys"]), "; did you mean `keys`?");
        assert_eq!(hint("colour", &["keys"]), "");
    }
}
