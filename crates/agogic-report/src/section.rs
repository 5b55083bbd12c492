//! Parts of the page: sections of paragraphs, figures and tables.

use agogic_figures::{FigureError, Width};
use serde::Serialize;

use crate::figures::Drawing;
use crate::sheet::{Cell, Sheet};
use crate::words::html;

/// A section of the page. Whoever has more to show than a result folder holds adds one of these.
#[derive(Clone, Debug, Serialize)]
pub struct Section {
    id: String,
    title: String,
    blocks: Vec<Block>,
}

/// What a section is made of, as the template wants it.
#[derive(Clone, Debug, Default, Serialize)]
struct Block {
    kind: &'static str,
    /// The line that opens the block, marked up.
    folded: Option<String>,
    lead: bool,
    html: String,
    text: String,
    label: String,
    items: Vec<Item>,
    wide: String,
    narrow: String,
    caption: String,
    /// Whether a row stands out.
    marks: bool,
    columns: Vec<Head>,
    rows: Vec<Line>,
}

#[derive(Clone, Debug, Serialize)]
struct Item {
    id: Option<String>,
    html: String,
}

#[derive(Clone, Debug, Serialize)]
struct Head {
    title: String,
    unit: String,
    numeric: bool,
}

#[derive(Clone, Debug, Serialize)]
struct Line {
    marked: bool,
    cells: Vec<CellView>,
}

#[derive(Clone, Debug, Serialize)]
struct CellView {
    /// The value, or all there is.
    html: String,
    /// The interval, in its brackets; it may stand below the value where a table is wide.
    interval: String,
    numeric: bool,
    sort: Option<f64>,
    why: Option<String>,
}

impl Section {
    /// An empty section. `id` names it in links: letters, digits and hyphens, unique on the page.
    pub fn new(id: &str, title: &str) -> Self {
        Self { id: id.to_owned(), title: title.to_owned(), blocks: Vec::new() }
    }

    /// Whether nothing was put into it.
    pub fn is_empty(&self) -> bool {
        self.blocks.is_empty()
    }

    pub(crate) fn id(&self) -> &str {
        &self.id
    }

    pub(crate) fn title(&self) -> &str {
        &self.title
    }

    /// What it is made of, as the template wants it.
    pub(crate) fn blocks(&self) -> impl Serialize + '_ {
        &self.blocks
    }

    fn push(&mut self, block: Block) -> &mut Self {
        self.blocks.push(block);
        self
    }

    /// A heading within the section.
    pub fn heading(&mut self, text: &str) -> &mut Self {
        self.push(Block { kind: "heading", html: html(text), ..Block::default() })
    }

    /// A paragraph; backticks enclose names, `[@key]` names a source.
    pub fn paragraph(&mut self, text: &str) -> &mut Self {
        self.push(Block { kind: "paragraph", html: html(text), ..Block::default() })
    }

    /// A paragraph that stands out.
    pub fn lead(&mut self, text: &str) -> &mut Self {
        self.push(Block { kind: "paragraph", lead: true, html: html(text), ..Block::default() })
    }

    /// A list of marked-up lines.
    pub fn list<'a>(&mut self, lines: impl IntoIterator<Item = &'a str>) -> &mut Self {
        let items = lines.into_iter().map(|line| Item { id: None, html: html(line) }).collect();
        self.push(Block { kind: "list", items, ..Block::default() })
    }

    /// A list of lines that links can lead to.
    pub(crate) fn linked_list(&mut self, lines: impl IntoIterator<Item = (String, String)>) -> &mut Self {
        let items = lines.into_iter().map(|(id, html)| Item { id: Some(id), html }).collect();
        self.push(Block { kind: "list", items, ..Block::default() })
    }

    /// Text as it is, in a letter of one width.
    pub fn text(&mut self, label: &str, text: &str) -> &mut Self {
        self.push(Block { kind: "text", label: label.into(), text: text.into(), ..Block::default() })
    }

    /// A figure, drawn for a wide page and for a narrow one.
    ///
    /// # Errors
    /// The data cannot be drawn.
    pub fn figure(&mut self, drawing: &Drawing) -> Result<&mut Self, FigureError> {
        let (wide, narrow) = (drawing.draw(Width::Screen)?, drawing.draw(Width::Phone)?);
        Ok(self.push(Block {
            kind: "figure",
            wide: wide.page_svg(&drawing.name),
            narrow: narrow.page_svg(&format!("{}-narrow", drawing.name)),
            caption: wide.caption().to_owned(),
            ..Block::default()
        }))
    }

    /// Figures of one kind, which stand beside one another where the page is wide.
    ///
    /// # Errors
    /// The data cannot be drawn.
    pub(crate) fn figures(&mut self, drawings: impl IntoIterator<Item = Drawing>) -> Result<&mut Self, FigureError> {
        self.push(Block { kind: "row", ..Block::default() });
        for drawing in drawings {
            self.figure(&drawing)?;
        }
        Ok(self.push(Block { kind: "end of row", ..Block::default() }))
    }

    /// A table that can be sorted; the row of `marked` stands out.
    pub fn table(&mut self, sheet: &Sheet, marked: Option<&str>) -> &mut Self {
        let head = |column: &crate::sheet::Column| Head {
            title: column.title.clone(),
            unit: column.unit.clone(),
            numeric: column.numeric,
        };
        let cell = |cell: &Cell, numeric: bool| {
            let why = match cell {
                Cell::Estimate(e, _) | Cell::Difference(e, _) if e.value.is_none() => e.reason.clone(),
                _ => None,
            };
            let (text, sort) = (cell.text(), cell.number());
            let (value, interval) = match (cell, text.find(" (")) {
                (Cell::Estimate(..), Some(at)) => (&text[..at], &text[at + 1..]),
                _ => (&*text, ""),
            };
            let (html, interval) = (html(value), html(interval));
            CellView { html, interval, numeric, sort: sort.filter(|_| numeric), why }
        };
        let line = |row: &Vec<Cell>| {
            let marked = matches!((row.first(), marked), (Some(Cell::Words(name)), Some(wanted)) if name == wanted);
            let cells = row.iter().zip(&sheet.columns).map(|(each, column)| cell(each, column.numeric)).collect();
            Line { marked, cells }
        };
        let rows: Vec<Line> = sheet.rows.iter().map(line).collect();
        self.push(Block {
            kind: "table",
            label: sheet.name.clone(),
            caption: html(&sheet.caption),
            marks: rows.iter().any(|row| row.marked),
            columns: sheet.columns.iter().map(head).collect(),
            rows,
            ..Block::default()
        })
    }

    /// Folds the last part away under a line that opens it.
    pub fn folded(&mut self, line: &str) -> &mut Self {
        if let Some(last) = self.blocks.last_mut() {
            last.folded = Some(html(line));
        }
        self
    }

    /// Folds several parts away under a line that opens them; nothing where none is put in.
    ///
    /// # Errors
    /// What fills it cannot be drawn.
    pub fn fold(
        &mut self,
        line: &str,
        fill: impl FnOnce(&mut Self) -> Result<(), FigureError>,
    ) -> Result<&mut Self, FigureError> {
        let before = self.blocks.len();
        self.push(Block { kind: "fold", html: html(line), ..Block::default() });
        fill(self)?;
        if self.blocks.len() == before + 1 {
            self.blocks.truncate(before);
        } else {
            self.push(Block { kind: "end of fold", ..Block::default() });
        }
        Ok(self)
    }

    /// Puts the parts of another section at the end.
    pub(crate) fn append(&mut self, other: Self) -> &mut Self {
        self.blocks.extend(other.blocks);
        self
    }
}
