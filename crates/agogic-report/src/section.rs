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
    folded: Option<String>,
    lead: bool,
    html: String,
    text: String,
    label: String,
    items: Vec<Item>,
    wide: String,
    narrow: String,
    caption: String,
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
    html: String,
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
            let (html, sort) = (html(&cell.text()), cell.number());
            CellView { html, numeric, sort: sort.filter(|_| numeric), why }
        };
        let line = |row: &Vec<Cell>| {
            let marked = matches!((row.first(), marked), (Some(Cell::Words(name)), Some(wanted)) if name == wanted);
            let cells = row.iter().zip(&sheet.columns).map(|(each, column)| cell(each, column.numeric)).collect();
            Line { marked, cells }
        };
        self.push(Block {
            kind: "table",
            label: sheet.name.replace('-', " "),
            caption: html(&sheet.caption),
            columns: sheet.columns.iter().map(head).collect(),
            rows: sheet.rows.iter().map(line).collect(),
            ..Block::default()
        })
    }

    /// Folds the last part away under a line that opens it.
    pub fn folded(&mut self, line: &str) -> &mut Self {
        if let Some(last) = self.blocks.last_mut() {
            last.folded = Some(line.to_owned());
        }
        self
    }
}
