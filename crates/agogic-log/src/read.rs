//! CSV and JSON lines.

use std::io::BufRead;
use std::path::Path;

use csv_core::ReadRecordResult;
use serde_json::Value;

use crate::lines::{Line, Lines};
use crate::{Cell, DefectKind, Intake, Limits, Log, LogError, LogLayout, Rules};

/// The formats of text that are read here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Fields between delimiters, one row a line; quotes as in RFC 4180, but no line end inside them.
    Csv,
    /// One JSON object a line.
    JsonLines,
}

impl Format {
    /// The format that a file name suggests: `.jsonl`, `.ndjson` and `.json` are JSON lines.
    pub fn of_path(path: &Path) -> Self {
        let extension = path.extension().and_then(|end| end.to_str()).unwrap_or_default().to_ascii_lowercase();
        if ["jsonl", "ndjson", "json"].contains(&extension.as_str()) { Self::JsonLines } else { Self::Csv }
    }
}

/// Reads a log from a stream.
///
/// Memory is bounded by `limits`, whatever the stream holds.
///
/// # Errors
/// The log is empty, its header is wrong, the layout has mistakes, or the stream fails. What is wrong with
/// single rows is in the report of the log instead.
pub fn read(
    input: impl BufRead,
    format: Format,
    layout: &LogLayout,
    limits: Limits,
    rules: Rules,
) -> Result<Log, LogError> {
    let mut lines = Lines::new(input, limits.line_bytes);
    match format {
        Format::Csv => read_csv(&mut lines, layout, limits, rules),
        Format::JsonLines => read_json_lines(&mut lines, layout, limits, rules),
    }
}

/// Reads a log from memory, with small limits and a format told by the first byte: what a fuzzer calls.
///
/// # Errors
/// As [`read`].
pub fn read_bytes(bytes: &[u8], layout: &LogLayout) -> Result<Log, LogError> {
    let limits = Limits { line_bytes: 4096, rows: 100_000, sessions: 1000, name_bytes: 64 };
    let start = bytes.strip_prefix(BYTE_ORDER_MARK).unwrap_or(bytes);
    let json = start.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'{');
    let format = if json { Format::JsonLines } else { Format::Csv };
    read(bytes, format, layout, limits, Rules::default())
}

const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

/// The text of a line, or `None` for bytes that are none.
fn text_of(bytes: &[u8], number: u64) -> Option<&str> {
    let bytes = if number == 1 { bytes.strip_prefix(BYTE_ORDER_MARK).unwrap_or(bytes) } else { bytes };
    std::str::from_utf8(bytes).ok().filter(|text| !text.contains('\0'))
}

/// The next line that is not blank, already told from its defects.
enum Found<'a> {
    Text { text: &'a str, cut: bool },
    Defect(DefectKind),
}

fn next_line<R: BufRead>(lines: &mut Lines<R>) -> Result<Option<(u64, Found<'_>)>, LogError> {
    loop {
        let line = lines.number();
        // The borrow of a line that is passed over must end before the next is read.
        let blank = match lines.next().map_err(|source| LogError::Io { line, source })? {
            None => return Ok(None),
            Some(Line::Overlong) => return Ok(Some((line + 1, Found::Defect(DefectKind::OverlongLine)))),
            Some(Line::Whole { bytes, .. }) => bytes.trim_ascii().is_empty(),
        };
        if !blank {
            let (bytes, cut) = lines.held_line();
            let found = match text_of(bytes, line + 1) {
                Some(text) => Found::Text { text, cut },
                None if cut => Found::Defect(DefectKind::CutOff),
                None => Found::Defect(DefectKind::NotText),
            };
            return Ok(Some((line + 1, found)));
        }
    }
}

fn read_csv<R: BufRead>(
    lines: &mut Lines<R>,
    layout: &LogLayout,
    limits: Limits,
    rules: Rules,
) -> Result<Log, LogError> {
    let mut fields = Fields::new(layout.delimiter as u8, layout.quotes, limits.line_bytes);
    let header: Vec<String> = match &layout.header {
        Some(header) => header.clone(),
        None => match next_line(lines)? {
            None => return Err(LogError::Empty),
            Some((_, Found::Text { text, .. })) => {
                fields.split(text);
                fields.iter().map(|field| field.trim().to_owned()).collect()
            }
            Some((_, Found::Defect(DefectKind::OverlongLine))) => {
                return Err(LogError::HeaderTooLong(limits.line_bytes));
            }
            Some((_, Found::Defect(_))) => {
                let bytes = lines.held_line().0;
                let utf16 = bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff");
                return Err(LogError::HeaderNotText { utf16 });
            }
        },
    };
    let columns: Vec<&str> = header.iter().map(String::as_str).collect();
    let mut intake = Intake::new(&columns, layout, limits, rules)?;
    let mut any = layout.header.is_none();
    while let Some((number, found)) = next_line(lines)? {
        any = true;
        match found {
            Found::Defect(kind) => intake.refuse(kind, number),
            Found::Text { text, cut } => {
                fields.split(text);
                let cells: Vec<Cell<'_>> = fields.iter().map(Cell::Text).collect();
                if cut { intake.push_cut(number, &cells) } else { intake.push(number, &cells) }
            }
        }
    }
    if any { intake.finish().checked(layout) } else { Err(LogError::Empty) }
}

/// Splits one line, in buffers that are used again.
struct Fields {
    parser: csv_core::Reader,
    text: Vec<u8>,
    ends: Vec<usize>,
    count: usize,
}

impl Fields {
    fn new(delimiter: u8, quotes: bool, line_bytes: usize) -> Self {
        // A line holds no line feed, so with that as the only end the parser takes the whole of it.
        let end = csv_core::Terminator::Any(b'\n');
        let parser = csv_core::ReaderBuilder::new().delimiter(delimiter).quoting(quotes).terminator(end).build();
        // Fields are never longer than their line, and there is at most one more of them than bytes.
        Self { parser, text: vec![0; line_bytes + 1], ends: vec![0; line_bytes + 2], count: 0 }
    }

    fn split(&mut self, line: &str) {
        self.parser.reset();
        self.count = 0;
        let (mut input, mut written) = (line.as_bytes(), 0);
        loop {
            let (result, read, wrote, ended) =
                self.parser.read_record(input, &mut self.text[written..], &mut self.ends[self.count..]);
            written += wrote;
            self.count += ended;
            match result {
                // An empty input tells the parser that the line has ended.
                ReadRecordResult::InputEmpty => input = &input[read..],
                ReadRecordResult::Record | ReadRecordResult::End => break,
                ReadRecordResult::OutputFull | ReadRecordResult::OutputEndsFull => {
                    unreachable!("the buffers are longer than any line")
                }
            }
        }
    }

    fn iter(&self) -> impl Iterator<Item = &str> {
        let starts = std::iter::once(0).chain(self.ends[..self.count].iter().copied());
        // Delimiter and quote are ASCII, so fields of a text are texts.
        starts
            .zip(&self.ends[..self.count])
            .map(|(start, end)| std::str::from_utf8(&self.text[start..*end]).unwrap_or_default())
    }
}

fn read_json_lines<R: BufRead>(
    lines: &mut Lines<R>,
    layout: &LogLayout,
    limits: Limits,
    rules: Rules,
) -> Result<Log, LogError> {
    let columns = layout.columns();
    let mut intake = Intake::new(&columns, layout, limits, rules)?;
    let mut any = false;
    while let Some((number, found)) = next_line(lines)? {
        any = true;
        let (text, cut) = match found {
            Found::Defect(kind) => {
                intake.refuse(kind, number);
                continue;
            }
            Found::Text { text, cut } => (text, cut),
        };
        let Ok(Value::Object(object)) = serde_json::from_str(text) else {
            intake.refuse(if cut { DefectKind::CutOff } else { DefectKind::BadJson }, number);
            continue;
        };
        let cells: Vec<Cell<'_>> =
            columns.iter().map(|column| object.get(*column).map_or(Cell::Missing, cell)).collect();
        if cut { intake.push_cut(number, &cells) } else { intake.push(number, &cells) }
    }
    if any { intake.finish().checked(layout) } else { Err(LogError::Empty) }
}

/// A JSON value as a cell. What is neither text nor number becomes text that fits no column.
fn cell(value: &Value) -> Cell<'_> {
    match value {
        Value::Null => Cell::Missing,
        Value::String(text) => Cell::Text(text),
        Value::Number(number) => match (number.as_i64(), number.as_f64()) {
            (Some(whole), _) => Cell::Whole(whole),
            (None, Some(real)) => Cell::Real(real),
            (None, None) => Cell::Missing,
        },
        Value::Bool(true) => Cell::Text("true"),
        Value::Bool(false) => Cell::Text("false"),
        Value::Array(_) => Cell::Text("[…]"),
        Value::Object(_) => Cell::Text("{…}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_are_taken_as_the_layout_says() {
        let mut layout = LogLayout::preset("pairs-ms").unwrap();
        layout.delimiter = '\t';
        layout.quotes = false;
        layout.keys = crate::KeyNames::Key;
        let text = "participant\tsession\tcode\tpress_ms\trelease_ms\tsaid\n\
                    a\t1\t\"\t10\t90\t\"so\n\
                    a\t1\t \t150\t220\tend\"\n";
        let names = |log: &Log| -> Vec<_> { log.sessions[0].presses.iter().map(|press| press.code.name()).collect() };
        let log = read_bytes(text.as_bytes(), &layout).unwrap();
        assert_eq!(names(&log), ["Quote", "Space"]);
        assert!(log.report.defects.is_empty(), "{}", log.report);
        let quoted = "participant,session,code,press_ms,release_ms\n\"a, b\",1,\",\",10,90\na,1,\"\"\"\",10,90\n";
        layout.delimiter = ',';
        layout.quotes = true;
        let log = read_bytes(quoted.as_bytes(), &layout).unwrap();
        assert_eq!((names(&log), log.sessions[0].participant.as_str()), (vec!["Comma"], "a, b"));
        assert_eq!(log.sessions[1].presses[0].code.name(), "Quote");
    }

    #[test]
    fn what_is_no_log_says_so() {
        let events = LogLayout::events();
        let error = |bytes: &[u8]| read_bytes(bytes, &events).unwrap_err().to_string();
        assert!(error(b"").contains("empty"));
        assert!(error(b"\n\n \n").contains("empty"));
        assert!(error(b"\xff\xfes\0e\0").contains("UTF-16"));
        assert!(error(b"\x80\x81\n").contains("no UTF-8"));
        assert!(error(&[b'x'; 5000]).contains("longer than 4096"));
        assert!(error(b"1,ada,0,KeyA,press\n").contains("`header`"));
        let header = b"\xef\xbb\xbfsession,participant,t_us,code,edge\r\n";
        assert_eq!(read_bytes(header, &events).unwrap().report.rows, 0, "a log without a press is one all the same");
    }

    #[test]
    fn a_last_line_that_was_cut_is_told_from_a_broken_one() {
        let events = LogLayout::events();
        let read = |end: &str| {
            let text = format!("session,participant,t_us,code,edge\n1,a,5,KeyA,press\n1,a,9,KeyA,release\n{end}");
            read_bytes(text.as_bytes(), &events).unwrap().report
        };
        assert_eq!(read("1,a,12,Ke").count(DefectKind::CutOff), 1);
        assert_eq!(read("1,a,12,Ke\n").count(DefectKind::FieldCount), 1);
        assert_eq!(read("1,a,12,KeyB,pre").count(DefectKind::CutOff), 1);
        assert_eq!(read("1,a,12,KeyB,press").count(DefectKind::MissingRelease), 1);
    }

    #[test]
    fn json_lines_take_texts_and_numbers() {
        let line = |t: &str, edge: &str| {
            format!("{{\"session\":1,\"participant\":\"a\",\"t_us\":{t},\"code\":\"KeyA\",\"edge\":\"{edge}\"}}\n")
        };
        let text =
            line("5", "press") + &line("\"90\"", "release") + "[1]\n" + &line("{}", "press") + "{\"session\":2}\n";
        let log = read_bytes(text.as_bytes(), &LogLayout::events()).unwrap();
        assert_eq!(log.sessions[0].presses[0].dwell().0, 85);
        for kind in [DefectKind::BadJson, DefectKind::BadTime, DefectKind::MissingField] {
            assert_eq!(log.report.count(kind), 1, "{kind}: {}", log.report);
        }
        assert!(log.report.balances());
        assert_eq!(Format::of_path(Path::new("a/b.JSONL")), Format::JsonLines);
        assert_eq!(Format::of_path(Path::new("b")), Format::Csv);
    }
}
