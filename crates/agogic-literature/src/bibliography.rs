//! The sources of the published values.

use std::fmt::Write as _;

use crate::bibliography_methods::METHODS;

/// One source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Citation key.
    pub key: &'static str,
    /// BibTeX entry type.
    pub kind: &'static str,
    /// Authors in BibTeX form: "Family, Given and …".
    pub authors: &'static str,
    /// Year; `None` where the source bears none.
    pub year: Option<u16>,
    /// Title.
    pub title: &'static str,
    /// Journal, proceedings or publisher, with volume and pages as far as seen.
    pub venue: &'static str,
    /// DOI, without the resolver.
    pub doi: Option<&'static str>,
    /// Address of the text or data used, where it is not the DOI's.
    pub url: Option<&'static str>,
}

impl Entry {
    /// The BibTeX entry.
    pub fn bibtex(&self) -> String {
        let venue = match self.kind {
            "article" => "journal",
            "inproceedings" => "booktitle",
            "book" => "publisher",
            "phdthesis" => "school",
            "techreport" => "institution",
            _ => "howpublished",
        };
        let mut out = format!("@{}{{{},\n", self.kind, self.key);
        let year = self.year.map(|year| year.to_string());
        let fields = [
            ("author", Some(self.authors)),
            ("title", Some(self.title)),
            (venue, Some(self.venue)),
            ("year", year.as_deref()),
            ("doi", self.doi),
            ("url", self.url),
        ];
        for (name, value) in fields {
            if let Some(value) = value {
                writeln!(out, "  {name} = {{{value}}},").expect("a string takes all that is written");
            }
        }
        out.push_str("}\n");
        out
    }
}

/// The entry of a key, of a published value or of a method.
pub fn entry(key: &str) -> Option<&'static Entry> {
    BIBLIOGRAPHY.iter().chain(METHODS).find(|entry| entry.key == key)
}

const ENTRY: Entry =
    Entry { key: "", kind: "article", authors: "", year: None, title: "", venue: "", doi: None, url: None };

/// Every source, in order of key.
pub const BIBLIOGRAPHY: &[Entry] = &[
    Entry {
        key: "conijn2019",
        kind: "inproceedings",
        authors: "Conijn, Rianne and Van Waes, Luuk and Van Zaanen, Menno",
        year: Some(2019),
        title: "Abstract on the corrections in Dutch copy tasks (title not seen)",
        venue: "Computational Linguistics in the Netherlands 29, abstract",
        ..ENTRY
    },
    Entry {
        key: "crump2019",
        authors: "Crump, Matthew J. C. and Lai, Walter and Brosowsky, Nicholaus P.",
        year: Some(2019),
        title: "Instance theory predicts information theory: Episodic uncertainty as a determinant of keystroke \
                dynamics",
        venue: "Canadian Journal of Experimental Psychology 73:203--215",
        url: Some("https://github.com/CrumpLab/EntropyTyping"),
        ..ENTRY
    },
    Entry {
        key: "dhakal2018",
        kind: "inproceedings",
        authors: "Dhakal, Vivek and Feit, Anna Maria and Kristensson, Per Ola and Oulasvirta, Antti",
        year: Some(2018),
        title: "Observations on Typing from 136 Million Keystrokes",
        venue: "Proceedings of the 2018 CHI Conference on Human Factors in Computing Systems",
        doi: Some("10.1145/3173574.3174220"),
        ..ENTRY
    },
    Entry {
        key: "dias2023",
        authors: "Dias, Tiago and Vitorino, Jo{\\~a}o and Maia, Eva and Sousa, Orlando and Pra{\\c{c}}a, Isabel",
        year: Some(2023),
        title: "KeyRecs: A keystroke dynamics and typing pattern recognition dataset",
        venue: "Data in Brief 50:109509",
        doi: Some("10.1016/j.dib.2023.109509"),
        ..ENTRY
    },
    Entry {
        key: "feit2016",
        kind: "inproceedings",
        authors: "Feit, Anna Maria and Weir, Daryl and Oulasvirta, Antti",
        year: Some(2016),
        title: "How We Type: Movement Strategies and Performance in Everyday Typing",
        venue: "Proceedings of the 2016 CHI Conference on Human Factors in Computing Systems",
        doi: Some("10.1145/2858036.2858233"),
        ..ENTRY
    },
    Entry {
        key: "gentner1983",
        authors: "Gentner, Donald R.",
        year: Some(1983),
        title: "The acquisition of typewriting skill",
        venue: "Acta Psychologica 54 (volume from memory)",
        ..ENTRY
    },
    Entry {
        key: "gonzalez2021",
        authors: "Gonz{\\'a}lez, Nahuel and Calot, Enrique P. and Ierache, Jorge S. and Hasperu{\\'e}, Waldo",
        year: Some(2021),
        title: "On the shape of timings distributions in free-text keystroke dynamics profiles",
        venue: "Heliyon 7:e08413",
        doi: Some("10.1016/j.heliyon.2021.e08413"),
        ..ENTRY
    },
    Entry {
        key: "killourhy2009",
        kind: "inproceedings",
        authors: "Killourhy, Kevin S. and Maxion, Roy A.",
        year: Some(2009),
        title: "Comparing Anomaly-Detection Algorithms for Keystroke Dynamics",
        venue: "IEEE/IFIP International Conference on Dependable Systems and Networks",
        doi: Some("10.1109/DSN.2009.5270346"),
        ..ENTRY
    },
    Entry {
        key: "klein",
        kind: "misc",
        authors: "Klein, Arno",
        title: "Process the 136M Keystrokes dataset to analyze bigram and word typing speeds",
        venue: "README of a public analysis",
        url: Some("https://github.com/binarybottle/process_3.5M_keystrokes"),
        ..ENTRY
    },
    Entry {
        key: "kuruvilla2024",
        kind: "inproceedings",
        authors: "Kuruvilla, Alvin and Daley, Rojanaye and Kumar, Rajesh",
        year: Some(2024),
        title: "Spotting Fake Profiles in Social Networks via Keystroke Dynamics",
        venue: "IEEE Consumer Communications \\& Networking Conference",
        doi: Some("10.1109/CCNC51664.2024.10454821"),
        ..ENTRY
    },
    Entry {
        key: "logan2016",
        authors: "Logan, Gordon D. and Ulrich, Jana E. and Lindsey, Dakota R. B.",
        year: Some(2016),
        title: "Different (Key)Strokes for Different Folks: How Standard and Nonstandard Typists Balance Fitts' Law \
                and Hick's Law",
        venue: "Journal of Experimental Psychology: Human Perception and Performance 42:2084--2102",
        doi: Some("10.1037/xhp0000272"),
        ..ENTRY
    },
    Entry {
        key: "monaco2018",
        authors: "Monaco, John V. and Tappert, Charles C.",
        year: Some(2018),
        title: "The partially observable hidden Markov model and its application to keystroke dynamics",
        venue: "Pattern Recognition 76:449--462 (open logs seen; paper not)",
        url: Some("https://github.com/vmonaco/pohmm-keystroke"),
        ..ENTRY
    },
    Entry {
        key: "roeser2021",
        authors: "Roeser, Jens and De Maeyer, Sven and Leijten, Mari{\\\"e}lle and Van Waes, Luuk",
        year: Some(2021),
        title: "Modelling typing disfluencies as finite mixture process",
        venue: "Reading and Writing 37:359--384",
        doi: Some("10.1007/s11145-021-10203-z"),
        ..ENTRY
    },
    Entry {
        key: "salthouse1984",
        authors: "Salthouse, Timothy A.",
        year: Some(1984),
        title: "Effects of Age and Skill in Typing",
        venue: "Journal of Experimental Psychology: General 113:345--371",
        doi: Some("10.1037/0096-3445.113.3.345"),
        ..ENTRY
    },
    Entry {
        key: "salthouse1986",
        authors: "Salthouse, Timothy A.",
        year: Some(1986),
        title: "Perceptual, Cognitive, and Motoric Aspects of Transcription Typing",
        venue: "Psychological Bulletin 99:303--319",
        doi: Some("10.1037/0033-2909.99.3.303"),
        ..ENTRY
    },
    Entry {
        key: "song2001",
        kind: "inproceedings",
        authors: "Song, Dawn Xiaodong and Wagner, David and Tian, Xuqing",
        year: Some(2001),
        title: "Timing Analysis of Keystrokes and Timing Attacks on SSH",
        venue: "10th USENIX Security Symposium",
        ..ENTRY
    },
    Entry {
        key: "stockner2025",
        authors: "Stockner, Mara and Mazzoni, Giuliana and Ian{\\`\\i}, Francesco",
        year: Some(2025),
        title: "Are fluent letter dyads really fluent? An update on objective and subjective motor fluency in an Italian \
                student population",
        venue: "Cognitive Research: Principles and Implications",
        doi: Some("10.1186/s41235-025-00651-4"),
        ..ENTRY
    },
    Entry {
        key: "vanwaes2021",
        authors: "Van Waes, Luuk and Leijten, Mari{\\\"e}lle and Roeser, Jens and Olive, Thierry and Grabowski, Joachim",
        year: Some(2021),
        title: "Measuring and assessing typing skills in writing research",
        venue: "Journal of Writing Research 13(1):107--153",
        doi: Some("10.17239/jowr-2021.13.01.04"),
        url: Some("https://osf.io/y3p4d"),
        ..ENTRY
    },
];

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::papers::rows;

    #[test]
    fn every_key_exists_and_every_entry_is_used() {
        let used: BTreeSet<&str> = rows().map(|row| row.source).collect();
        let listed: Vec<&str> = BIBLIOGRAPHY.iter().map(|entry| entry.key).collect();
        assert!(listed.is_sorted());
        assert_eq!(listed.into_iter().collect::<BTreeSet<_>>(), used);
    }

    #[test]
    fn entries_are_whole() {
        for entry in BIBLIOGRAPHY.iter().chain(METHODS) {
            for text in [entry.authors, entry.title, entry.venue] {
                assert!(!text.is_empty(), "{}", entry.key);
            }
            let text = entry.bibtex();
            let count = |c| text.chars().filter(|&d| d == c).count();
            assert_eq!(count('{'), count('}'), "{}", entry.key);
            assert!(entry.year.is_none_or(|year| (1900..2027).contains(&year)), "{}", entry.key);
            assert!(entry.doi.is_none_or(|doi| doi.starts_with("10.")), "{}", entry.key);
        }
    }

    #[test]
    fn bibtex_reads_as_expected() {
        let text = entry("song2001").unwrap().bibtex();
        assert!(text.starts_with("@inproceedings{song2001,\n  author = {Song, Dawn Xiaodong and"), "{text}");
        assert!(text.contains("  booktitle = {10th USENIX Security Symposium},\n  year = {2001},\n}\n"), "{text}");
    }
}
