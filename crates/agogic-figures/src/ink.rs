//! What a stroke or a letter is drawn in.

/// What a thing is, from which follows its colour on light and on dark paper.
///
/// # Source
///
/// The series are colours of Okabe & Ito 2008, Color Universal Design: how to make figures and presentations that are
/// friendly to colorblind people (hexadecimal values seen in the palette data of the R package khroma). Of its eight
/// colours only those serve that have a contrast of 3 or more to the paper, so on dark paper sky blue takes the place
/// of blue and orange that of vermillion. On light paper five pass; wine, olive and indigo of the muted scheme of Paul Tol
/// and his dark cyan (seen in the same package) go on from there, for which dark paper has the vermillion, yellow and
/// blue of Okabe & Ito and his pink. Brown and the greys are our own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ink {
    /// Words and lines that matter.
    Text,
    /// Words that matter less.
    Soft,
    /// Axes.
    Rule,
    /// Lines across the plot.
    Grid,
    /// The ground.
    Paper,
    /// An area that says something, such as a band of agreement.
    Shade,
    /// The first series: blue.
    Blue,
    /// The second series: vermillion.
    Vermillion,
    /// The third series: bluish green.
    Green,
    /// The fourth series: reddish purple.
    Purple,
    /// The fifth series: wine.
    Wine,
    /// The sixth series: olive.
    Olive,
    /// The seventh series: indigo.
    Indigo,
    /// The eighth series: brown.
    Brown,
    /// The ninth series: a dark cyan, and a light pink on dark paper.
    Slate,
    /// The tenth series: black on light paper.
    Black,
}

/// Light or dark paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// Dark on light.
    Light,
    /// Light on dark.
    Dark,
}

impl Ink {
    /// Every ink.
    pub const ALL: [Self; 16] = [
        Self::Text,
        Self::Soft,
        Self::Rule,
        Self::Grid,
        Self::Paper,
        Self::Shade,
        Self::Blue,
        Self::Vermillion,
        Self::Green,
        Self::Purple,
        Self::Wine,
        Self::Olive,
        Self::Indigo,
        Self::Brown,
        Self::Slate,
        Self::Black,
    ];

    /// The inks of series, in order of use.
    pub const SERIES: [Self; 10] = [
        Self::Blue,
        Self::Vermillion,
        Self::Green,
        Self::Purple,
        Self::Wine,
        Self::Olive,
        Self::Indigo,
        Self::Brown,
        Self::Slate,
        Self::Black,
    ];

    /// The ink of series `n`; after ten they repeat, and marks and dashes tell them apart.
    pub fn series(n: usize) -> Self {
        Self::SERIES[n % Self::SERIES.len()]
    }

    /// The colour, `#rrggbb`.
    pub fn colour(self, theme: Theme) -> &'static str {
        let (light, dark) = match self {
            Self::Text => ("#1b1b1b", "#ececea"),
            Self::Soft => ("#565656", "#b8b8b4"),
            Self::Rule => ("#6e6e6e", "#96969a"),
            Self::Grid => ("#e6e6e2", "#2f3238"),
            Self::Paper => ("#ffffff", "#15171b"),
            Self::Shade => ("#ebebe6", "#2a2d34"),
            Self::Blue => ("#0072b2", "#56b4e9"),
            Self::Vermillion => ("#d55e00", "#e69f00"),
            Self::Green => ("#009e73", "#009e73"),
            Self::Purple => ("#cc79a7", "#cc79a7"),
            Self::Wine => ("#882255", "#d55e00"),
            Self::Olive => ("#999933", "#f0e442"),
            Self::Indigo => ("#332288", "#0072b2"),
            Self::Brown => ("#7a4b1e", "#c8a27a"),
            Self::Slate => ("#225555", "#ffaabb"),
            Self::Black => ("#000000", "#f4f4f0"),
        };
        if theme == Theme::Light { light } else { dark }
    }

    /// The name of its variable in the style of a page, without the leading dashes.
    pub fn variable(self) -> &'static str {
        match self {
            Self::Text => "figure-text",
            Self::Soft => "figure-soft",
            Self::Rule => "figure-rule",
            Self::Grid => "figure-grid",
            Self::Paper => "figure-paper",
            Self::Shade => "figure-shade",
            Self::Blue => "figure-blue",
            Self::Vermillion => "figure-vermillion",
            Self::Green => "figure-green",
            Self::Purple => "figure-purple",
            Self::Wine => "figure-wine",
            Self::Olive => "figure-olive",
            Self::Indigo => "figure-indigo",
            Self::Brown => "figure-brown",
            Self::Slate => "figure-slate",
            Self::Black => "figure-black",
        }
    }
}

/// The style sheet that [`crate::Figure::page_svg`] looks for: once on a page, however many figures it has.
///
/// Light unless the reader's system asks for dark; `data-theme="light"` or `"dark"` on the root element overrules it.
/// On paper it is always light.
pub fn page_css() -> String {
    let block = |theme: Theme| -> String {
        Ink::ALL.iter().map(|ink| format!("--{}:{};", ink.variable(), ink.colour(theme))).collect()
    };
    let (light, dark) = (block(Theme::Light), block(Theme::Dark));
    format!(
        ":root{{{light}}}\n@media (prefers-color-scheme:dark){{:root{{{dark}}}}}\n:root[data-theme=\"light\"]{{{light}}}\n\
         :root[data-theme=\"dark\"]{{{dark}}}\n@media print{{:root,:root[data-theme]{{{light}}}}}\n\
         svg.figure{{max-width:100%;height:auto}}\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::contrast;

    #[test]
    fn words_and_marks_stand_out_on_both_papers() {
        for theme in [Theme::Light, Theme::Dark] {
            let against = |ink: Ink, ground: Ink| contrast(ink.colour(theme), ground.colour(theme)).unwrap();
            for ground in [Ink::Paper, Ink::Shade] {
                for ink in [Ink::Text, Ink::Soft] {
                    assert!(against(ink, ground) >= 4.5, "{ink:?} on {ground:?} {theme:?} {}", against(ink, ground));
                }
            }
            for ink in Ink::SERIES.into_iter().chain([Ink::Rule]) {
                assert!(against(ink, Ink::Paper) >= 3.0, "{ink:?} {theme:?} {}", against(ink, Ink::Paper));
            }
        }
    }

    #[test]
    fn the_gate_would_catch_a_colour_too_pale() {
        // Okabe & Ito's yellow and orange are two that cannot be used on white.
        assert!(contrast("#f0e442", "#ffffff").unwrap() < 3.0);
        assert!(contrast("#e69f00", "#ffffff").unwrap() < 3.0);
    }

    #[test]
    fn no_two_inks_of_series_have_one_colour() {
        for theme in [Theme::Light, Theme::Dark] {
            let mut colours: Vec<&str> = Ink::SERIES.iter().map(|ink| ink.colour(theme)).collect();
            colours.sort_unstable();
            assert!(colours.windows(2).all(|pair| pair[0] != pair[1]), "{colours:?}");
        }
    }

    #[test]
    fn the_page_style_names_every_ink_in_both_themes() {
        let css = page_css();
        for ink in Ink::ALL {
            assert!(css.contains(&format!("--{}:{};", ink.variable(), ink.colour(Theme::Dark))));
            assert!(css.contains(&format!("--{}:{};", ink.variable(), ink.colour(Theme::Light))));
        }
        assert_eq!(css.matches('{').count(), css.matches('}').count());
    }
}
