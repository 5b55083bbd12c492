//! A table as data, and its forms: for a screen, Markdown, LaTeX, CSV.

use agogic_stats::{Estimate, fixed};
use comfy_table::{CellAlignment, ContentArrangement, Table, presets};

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Name in files and links: letters, digits, hyphens.
    pub name: String,
    /// What it shows, in a sentence or two.
    pub caption: String,
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows, each with a cell a column.
    pub rows: Vec<Vec<Cell>>,
}

/// A column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Heading.
    pub title: String,
    /// Unit, in a second line; may be empty.
    pub unit: String,
    /// Numbers stand to the right.
    pub numeric: bool,
}

impl Column {
    /// A column of words.
    pub fn words(title: &str) -> Self {
        Self { title: title.into(), unit: String::new(), numeric: false }
    }

    /// A column of numbers.
    pub fn numbers(title: &str, unit: &str) -> Self {
        Self { title: title.into(), unit: unit.into(), numeric: true }
    }

    fn heading(&self, between: &str) -> String {
        if self.unit.is_empty() { self.title.clone() } else { format!("{}{between}{}", self.title, self.unit) }
    }
}

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Words.
    Words(String),
    /// A number that is exact, with its decimals.
    Number(f64, usize),
    /// An estimate, with its decimals.
    Estimate(Box<Estimate>, usize),
    /// An estimate of a difference, with its decimals: it carries its sign.
    Difference(Box<Estimate>, usize),
    /// Nothing belongs here.
    Nothing,
}

impl From<String> for Cell {
    fn from(words: String) -> Self {
        Self::Words(words)
    }
}

impl From<&str> for Cell {
    fn from(words: &str) -> Self {
        Self::Words(words.to_owned())
    }
}

impl Cell {
    /// An estimate, where there is one.
    pub fn estimate(estimate: Option<&Estimate>, digits: usize) -> Self {
        estimate.map_or(Self::Nothing, |e| Self::Estimate(Box::new(e.clone()), digits))
    }

    /// An estimate of a difference, where there is one.
    pub fn difference(estimate: Option<&Estimate>, digits: usize) -> Self {
        estimate.map_or(Self::Nothing, |e| Self::Difference(Box::new(e.clone()), digits))
    }

    /// As it is shown to people.
    pub fn text(&self) -> String {
        match self {
            Self::Words(words) => words.clone(),
            Self::Number(value, digits) => fixed(*value, *digits),
            Self::Estimate(e, digits) => of_estimate(e, *digits),
            Self::Difference(e, digits) => e.signed_text(*digits),
            Self::Nothing => String::new(),
        }
    }

    /// What rows are sorted by, where it is a number.
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::Number(value, _) => Some(*value),
            Self::Estimate(e, _) | Self::Difference(e, _) => e.value,
            _ => None,
        }
    }
}

fn of_estimate(e: &Estimate, digits: usize) -> String {
    match e.value {
        // A p-value has no interval and needs no word about it.
        Some(p) if e.reason.as_deref() == Some("a p-value has no interval") => p_value(p),
        _ => e.text(digits),
    }
}

fn p_value(p: f64) -> String {
    if p < 0.001 { "< 0.001".to_owned() } else { format!("{p:.3}") }
}

/// How a table is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// For a terminal.
    Screen,
    /// For a terminal, with long cells broken so that the table is this wide, or as wide as the terminal.
    Wrapped(Option<u16>),
    /// Markdown.
    Markdown,
}

impl Sheet {
    /// A table for a terminal alone: without a name and without a caption.
    pub fn new(columns: Vec<Column>) -> Self {
        Self { name: String::new(), caption: String::new(), columns, rows: Vec::new() }
    }

    /// Adds a row, a cell a column.
    pub fn push<C: Into<Cell>>(&mut self, row: impl IntoIterator<Item = C>) {
        self.rows.push(row.into_iter().map(Into::into).collect());
    }

    /// The table as text, without caption.
    pub fn text(&self, style: Style) -> String {
        let mut table = Table::new();
        table.set_content_arrangement(ContentArrangement::Disabled);
        if let Style::Wrapped(width) = style {
            table.set_content_arrangement(ContentArrangement::Dynamic);
            width.map(|width| table.set_width(width));
        }
        let (look, between) = match style {
            Style::Screen | Style::Wrapped(_) => (presets::NOTHING, "\n"),
            Style::Markdown => (presets::ASCII_MARKDOWN, ", "),
        };
        table.load_style(look);
        table.set_header(self.columns.iter().map(|column| column.heading(between)));
        let cell = |cell: &Cell| match style {
            Style::Screen | Style::Wrapped(_) => cell.text(),
            Style::Markdown => cell.text().replace('|', "\\|"),
        };
        for row in &self.rows {
            table.add_row(row.iter().map(cell));
        }
        for (at, _) in self.columns.iter().enumerate().filter(|(_, column)| column.numeric) {
            if let Some(column) = table.column_mut(at) {
                column.set_cell_alignment(CellAlignment::Right);
            }
        }
        table.trim_fmt()
    }

    /// The table as text that is at most so wide: where it is wider, its columns stand in several tables below one another,
    /// each with the first column, or the first two where these are words. A cell that is too long even then is broken.
    pub fn stacked(&self, width: usize) -> String {
        let wide = |text: &str| text.lines().map(|line| line.chars().count()).max().unwrap_or(0);
        let whole = self.text(Style::Screen);
        if wide(&whole) <= width {
            return whole;
        }
        let cells = |row: &Vec<Cell>, columns: &[usize]| -> Vec<Cell> {
            columns.iter().filter_map(|at| row.get(*at).cloned()).collect()
        };
        let of = |columns: &[usize]| Self {
            columns: columns.iter().map(|at| self.columns[*at].clone()).collect(),
            // A row that says nothing but its name is left out.
            rows: self
                .rows
                .iter()
                .map(|row| cells(row, columns))
                .filter(|row| row.iter().skip(1).any(|cell| !cell.text().is_empty()))
                .collect(),
            ..Self::new(Vec::new())
        };
        let fits = |columns: &[usize]| wide(&of(columns).text(Style::Screen)) <= width;
        // What says of whom a row is comes again in every table: a second column of words too, where there is room.
        let second = self.columns.get(1).is_some_and(|column| !column.numeric) && self.columns.len() > 2;
        let leads = wide(&of(&[0, 1]).text(Style::Screen)) <= width / 2;
        let lead: Vec<usize> = if second && leads { vec![0, 1] } else { vec![0] };
        let mut blocks: Vec<Vec<usize>> = Vec::new();
        for at in lead.len()..self.columns.len() {
            let longer = blocks.last().map(|last| last.iter().copied().chain([at]).collect::<Vec<_>>());
            match longer.filter(|longer| fits(longer)) {
                Some(longer) => *blocks.last_mut().expect("there is a last") = longer,
                None => blocks.push(lead.iter().copied().chain([at]).collect()),
            }
        }
        if blocks.is_empty() {
            blocks.push(vec![0]);
        }
        let broken = Style::Wrapped(Some(u16::try_from(width).unwrap_or(u16::MAX)));
        let text = |columns: &Vec<usize>| of(columns).text(if fits(columns) { Style::Screen } else { broken });
        blocks.iter().map(text).collect::<Vec<_>>().join("\n\n")
    }

    /// The table with its caption, as a Markdown file.
    pub fn markdown(&self) -> String {
        format!("{}\n\n{}\n", self.caption, self.text(Style::Markdown))
    }

    /// The table as LaTeX; needs the package `booktabs`.
    pub fn latex(&self) -> String {
        let letters: String = self.columns.iter().map(|column| if column.numeric { 'r' } else { 'l' }).collect();
        let line = |cells: &[String]| format!("{} \\\\\n", cells.join(" & "));
        let titles: Vec<String> = self.columns.iter().map(|column| latex(&column.title)).collect();
        let units: Vec<String> = self.columns.iter().map(|column| latex(&column.unit)).collect();
        let mut out = format!(
            "% needs \\usepackage{{booktabs}}\n\\begin{{table}}\n\\centering\n\\caption{{{}}}\n\\label{{tab:{}}}\n\
             \\scriptsize\n\\setlength{{\\tabcolsep}}{{4pt}}\n\\begin{{tabular}}{{@{{}}{letters}@{{}}}}\n\\toprule\n",
            latex(&self.caption),
            self.name
        );
        out.push_str(&line(&titles));
        if units.iter().any(|unit| !unit.is_empty()) {
            out.push_str(&line(&units));
        }
        out.push_str("\\midrule\n");
        for row in &self.rows {
            out.push_str(&line(&row.iter().map(|cell| latex(&cell.text())).collect::<Vec<_>>()));
        }
        out.push_str("\\bottomrule\n\\end{tabular}\n\\end{table}\n");
        out
    }

    /// The table as CSV: an estimate takes three columns, and nothing is rounded.
    pub fn csv(&self) -> String {
        let mut out = csv::Writer::from_writer(Vec::new());
        let estimates: Vec<bool> = (0..self.columns.len())
            .map(|at| {
                self.rows.iter().any(|row| matches!(row.get(at), Some(Cell::Estimate(..) | Cell::Difference(..))))
            })
            .collect();
        let mut head = Vec::new();
        for (column, estimate) in self.columns.iter().zip(&estimates) {
            let name = column.heading(" ").replace('\n', " ");
            if *estimate {
                head.extend([name.clone(), format!("{name} ci_lo"), format!("{name} ci_hi")]);
            } else {
                head.push(name);
            }
        }
        let number = |value: Option<f64>| value.map_or(String::new(), |v| v.to_string());
        let mut lines = vec![head];
        for row in &self.rows {
            let mut line = Vec::new();
            for (cell, estimate) in row.iter().zip(&estimates) {
                match (cell, estimate) {
                    (Cell::Estimate(e, _) | Cell::Difference(e, _), _) => {
                        line.extend([e.value, e.lo, e.hi].map(number))
                    }
                    (_, true) => line.extend([String::new(), String::new(), String::new()]),
                    (Cell::Number(value, _), _) => line.push(value.to_string()),
                    (other, _) => line.push(other.text()),
                }
            }
            lines.push(line);
        }
        for line in lines {
            out.write_record(line).expect("a vector takes all that is written");
        }
        String::from_utf8(out.into_inner().expect("a vector takes all that is written")).expect("made of text")
    }
}

/// Text for LaTeX: what it would take as a command is escaped.
pub(crate) fn latex(text: &str) -> String {
    let mut out = String::new();
    let mut code = false;
    for c in text.chars() {
        match c {
            '&' | '%' | '$' | '#' | '_' | '{' | '}' => out.extend(['\\', c]),
            '\\' => out.push_str("\\textbackslash{}"),
            '~' => out.push_str("\\textasciitilde{}"),
            '^' => out.push_str("\\textasciicircum{}"),
            '<' => out.push_str("$<$"),
            '>' => out.push_str("$>$"),
            '≤' => out.push_str("$\\leq$"),
            '≥' => out.push_str("$\\geq$"),
            '×' => out.push_str("$\\times$"),
            '−' => out.push_str("$-$"),
            '±' => out.push_str("$\\pm$"),
            '√' => out.push_str("$\\surd$"),
            '·' => out.push_str("$\\cdot$"),
            'µ' | 'μ' => out.push_str("$\\mu$"),
            'α' => out.push_str("$\\alpha$"),
            '–' => out.push_str("--"),
            '…' => out.push_str("\\ldots{}"),
            '′' => out.push_str("$'$"),
            '’' => out.push('\''),
            '`' => {
                out.push_str(if code { "}" } else { "\\texttt{" });
                code = !code;
            }
            other => out.push(other),
        }
    }
    if code {
        out.push('}');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_stats::Level;

    fn sheet() -> Sheet {
        let level = Level::new(0.95).unwrap();
        let mut e = Estimate::new(1.25, "t", level, "typist", 9);
        (e.lo, e.hi) = (Some(-1.0), Some(3.5));
        Sheet {
            name: "a".into(),
            caption: "Rates, 95 % of `x_1`".into(),
            columns: vec![Column::words("policy"), Column::numbers("false holds", "per 1000 taps")],
            rows: vec![
                vec![Cell::Words("a|b & c".into()), Cell::estimate(Some(&e), 2)],
                vec![
                    Cell::Words("d".into()),
                    Cell::estimate(Some(&Estimate::unknown("none", "t", level, "typist", 0)), 2),
                ],
            ],
        }
    }

    #[test]
    fn a_table_that_is_too_wide_is_stacked() {
        let mut sheet = Sheet::new(vec![
            Column::words("policy"),
            Column::numbers("false holds", "per 1000 taps"),
            Column::numbers("missed holds", "per 100 holds"),
            Column::words("what it is"),
        ]);
        sheet.push(["enclosed", "1.25", "3.50", "another key inside, pressed and let go while it is down"]);
        assert_eq!(sheet.stacked(200), sheet.text(Style::Screen));
        for width in [40, 60, 80] {
            let text = sheet.stacked(width);
            assert!(text.lines().all(|line| line.chars().count() <= width), "{width}:\n{text}");
            assert!(text.matches("policy").count() > 1 && text.contains("3.50") && text.contains("inside"), "{text}");
        }
    }

    #[test]
    fn every_form_says_the_same() {
        let sheet = sheet();
        let latex = sheet.latex();
        for wanted in [
            "\\toprule",
            "\\midrule",
            "\\bottomrule",
            "a|b \\& c & 1.2 (-1.0 to 3.5) \\\\",
            "95 \\% of \\texttt{x\\_1}",
            "unknown",
        ] {
            assert!(latex.contains(wanted), "{wanted} is not in\n{latex}");
        }
        assert!(sheet.markdown().contains("a\\|b & c"));
        assert!(
            sheet.text(Style::Screen).contains("false holds\n") || sheet.text(Style::Screen).contains("per 1000 taps")
        );
        let csv = sheet.csv();
        assert_eq!(
            csv.lines().next().unwrap(),
            "policy,false holds per 1000 taps,false holds per 1000 taps ci_lo,false holds per 1000 taps ci_hi"
        );
        assert_eq!(csv.lines().nth(1).unwrap(), "a|b & c,1.25,-1,3.5");
        // Unknown is an empty field, never zero.
        assert_eq!(csv.lines().nth(2).unwrap(), "d,,,");
    }
}
