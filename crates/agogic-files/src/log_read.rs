//! Event logs from disk, whatever their format.

use std::fs::File;
use std::io::{BufRead, BufReader, Read, Seek};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use agogic_log::{Cell, Format, Intake, Limits, Log, LogError, LogLayout, Rules, read};
use polars::io::parquet::read::FileMetadata;
use polars::prelude::{
    ArrowDataType, ChunkCast, DataFrame, DataType, ParallelStrategy, ParquetReader, PolarsError, PolarsResult,
    SerReader, Series, StringChunked,
};

use crate::parquet_footer;
use crate::parquet_pages::{Chunk, check};

/// Why a log could not be read. The texts continue "failed to read the log: …".
#[derive(Debug, thiserror::Error)]
pub enum LogFileError {
    /// The operating system refused.
    #[error("opening {path}: {source}")]
    Open {
        /// The file.
        path: PathBuf,
        /// The answer.
        source: std::io::Error,
    },
    /// The file is no log of this layout.
    #[error("{path}: {source}")]
    Log {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        source: LogError,
    },
    /// The file is of a kind that is not read.
    #[error("{path} {what}")]
    Kind {
        /// The file.
        path: PathBuf,
        /// What it is and what to do.
        what: &'static str,
    },
    /// A column of a Parquet file has a type that no log has.
    #[error("{path}: the column `{column}` holds {found}; write it as text or as numbers")]
    Column {
        /// The file.
        path: PathBuf,
        /// The column.
        column: String,
        /// Its type.
        found: String,
    },
    /// A Parquet file is damaged.
    #[error("{path} is a damaged Parquet file{after}: {message}", after = after(*.rows))]
    Parquet {
        /// The file.
        path: PathBuf,
        /// Rows that were read before.
        rows: u64,
        /// What its reader says.
        message: String,
    },
}

fn after(rows: u64) -> String {
    if rows == 0 { String::new() } else { format!(" (after row {rows})") }
}

/// Reads a log with the usual limits and rules; see [`read_log_within`].
///
/// # Errors
/// As [`read_log_within`].
pub fn read_log(path: &Path, layout: &LogLayout) -> Result<Log, LogFileError> {
    read_log_within(path, layout, Limits::default(), Rules::default())
}

/// Reads a log.
///
/// # Definition
/// A file that begins with the four letters of Parquet is Parquet. Otherwise one named `.jsonl`, `.ndjson` or
/// `.json`, or one whose first sign is an opening brace, is JSON lines. All else is CSV. In a report rows of
/// Parquet are numbered from 1.
///
/// Parquet comes in by stretches of at most 65 536 rows and by the columns that the layout names, so that
/// memory is bounded as for text: by `limits` and one stretch of one row group.
///
/// # Errors
/// The file cannot be opened, is no log of this layout, or is damaged where no row can be told from another.
/// What is wrong with single rows is in the report of the log instead.
pub fn read_log_within(path: &Path, layout: &LogLayout, limits: Limits, rules: Rules) -> Result<Log, LogFileError> {
    let open = |source| LogFileError::Open { path: path.to_owned(), source };
    let mut file = File::open(path).map_err(open)?;
    let mut head = Vec::new();
    (&mut file).take(512).read_to_end(&mut head).map_err(open)?;
    file.rewind().map_err(open)?;
    if head.starts_with(b"PAR1") {
        return read_parquet(path, file, layout, limits, rules);
    }
    read_text(path, &head, BufReader::with_capacity(1 << 16, file), layout, limits, rules)
}

/// Reads a log that comes as text, from standard input say; `name` stands for it in messages.
///
/// # Errors
/// As [`read_log_within`]. Parquet cannot be read so: its end has to be seen first.
pub fn read_log_text(name: &Path, mut text: impl BufRead, layout: &LogLayout) -> Result<Log, LogFileError> {
    let head = text.fill_buf().map_err(|source| LogFileError::Open { path: name.to_owned(), source })?.to_vec();
    if head.starts_with(b"PAR1") {
        return Err(LogFileError::Kind { path: name.to_owned(), what: "is Parquet; name the file itself" });
    }
    read_text(name, &head, text, layout, Limits::default(), Rules::default())
}

fn read_text(
    path: &Path,
    head: &[u8],
    text: impl BufRead,
    layout: &LogLayout,
    limits: Limits,
    rules: Rules,
) -> Result<Log, LogFileError> {
    let kind = |what| Err(LogFileError::Kind { path: path.to_owned(), what });
    if head.starts_with(&[0x1f, 0x8b]) || head.starts_with(b"PK\x03\x04") || head.starts_with(b"\x28\xb5\x2f\xfd") {
        return kind("is packed; unpack it first");
    }
    let start = head.strip_prefix(b"\xef\xbb\xbf").unwrap_or(head);
    let first = start.iter().find(|byte| !byte.is_ascii_whitespace());
    let format = match (Format::of_path(path), first) {
        (Format::JsonLines, Some(b'[')) => {
            return kind("is one JSON list; write one object a line, without brackets and commas around them");
        }
        (Format::JsonLines, _) | (_, Some(b'{')) => Format::JsonLines,
        _ => Format::Csv,
    };
    read(text, format, layout, limits, rules).map_err(|source| LogFileError::Log { path: path.to_owned(), source })
}

/// Rows decoded at a time.
const STRETCH: usize = 1 << 16;

fn read_parquet(
    path: &Path,
    mut file: File,
    layout: &LogLayout,
    limits: Limits,
    rules: Rules,
) -> Result<Log, LogFileError> {
    let damaged = |rows: u64, message: String| LogFileError::Parquet { path: path.to_owned(), rows, message };
    let of_log = |source| LogFileError::Log { path: path.to_owned(), source };
    // The decoder panics on some damaged files; nothing of ours is left half done when it does.
    let guarded = |rows: u64, task: &mut dyn FnMut() -> PolarsResult<DataFrame>| {
        catch_unwind(AssertUnwindSafe(task))
            .map_err(|_| damaged(rows, "its pages do not fit together".to_owned()))?
            .map_err(|e: PolarsError| damaged(rows, e.to_string()))
    };
    parquet_footer::check(&mut file).map_err(|message| damaged(0, message))?;
    // What a writer notes about its own types, such as categories or durations, is set aside: the plain texts and
    // numbers under them are what a log is made of.
    let plain = || -> PolarsResult<_> {
        let mut reader = ParquetReader::new(File::open(path)?);
        let metadata = reader.get_metadata()?;
        Ok(FileMetadata { key_value_metadata: None, ..FileMetadata::clone(metadata) })
    };
    let metadata = std::cell::OnceCell::new();
    let reader = || -> PolarsResult<ParquetReader<File>> {
        let mut reader = ParquetReader::new(File::open(path)?).read_parallel(ParallelStrategy::None);
        if metadata.get().is_none() {
            let _ = metadata.set(Arc::new(plain()?));
        }
        reader.set_metadata(metadata.get().expect("it was just set").clone());
        Ok(reader)
    };
    let wanted = layout.columns();
    let mut columns: Vec<String> = Vec::new();
    let mut foreign: Option<(String, String)> = None;
    let mut chunks: Vec<Chunk> = Vec::new();
    guarded(0, &mut || {
        let mut reader = reader()?;
        let schema = reader.schema()?;
        columns = schema.iter_names().map(|name| name.to_string()).collect();
        let field = schema.iter_values().find(|field| wanted.contains(&field.name.as_str()) && !is_plain(&field.dtype));
        foreign = field.map(|field| (field.name.to_string(), format!("{:?}", field.dtype)));
        for group in &reader.get_metadata()?.row_groups {
            for column in group.parquet_columns() {
                let path = &column.descriptor().path_in_schema;
                if path.iter().any(|part| wanted.contains(&part.as_str())) {
                    // What the footer claims twice has to agree.
                    let rows = i64::try_from(group.num_rows()).unwrap_or(i64::MAX);
                    let values = if column.num_values() == rows { rows } else { -1 };
                    chunks.push(Chunk { bytes: column.byte_range(), values });
                }
            }
        }
        Ok(DataFrame::default())
    })?;
    if let Some((column, found)) = foreign {
        return Err(LogFileError::Column { path: path.to_owned(), column, found });
    }
    let size = file.metadata().map_or(0, |meta| meta.len());
    for chunk in &chunks {
        check(&mut file, size, chunk).map_err(|message| damaged(0, message))?;
    }
    let all: Vec<&str> = columns.iter().map(String::as_str).collect();
    // With every column of the file, so that a message about missing ones can name what there is.
    Intake::new(&all, layout, limits, rules).map_err(of_log)?;
    let columns: Vec<&str> = all.into_iter().filter(|column| wanted.contains(column)).collect();
    let names: Vec<String> = columns.iter().map(|&column| column.to_owned()).collect();
    let mut intake = Intake::new(&columns, layout, limits, rules).map_err(of_log)?;
    let mut rows: usize = 0;
    loop {
        let frame = guarded(rows as u64, &mut || {
            reader()?.with_slice(Some((rows, STRETCH))).with_columns(Some(names.clone())).finish()
        })?;
        let height = frame.height();
        let parts: Vec<Part> = frame
            .columns()
            .iter()
            .map(|column| {
                Part::of(column.as_materialized_series()).ok_or_else(|| LogFileError::Column {
                    path: path.to_owned(),
                    column: column.name().to_string(),
                    found: column.dtype().to_string(),
                })
            })
            .collect::<Result<_, _>>()?;
        for row in 0..height {
            let cells: Vec<Cell<'_>> = parts.iter().map(|part| part.cell(row)).collect();
            intake.push((rows + row + 1) as u64, &cells);
        }
        rows += height;
        if height < STRETCH {
            return intake.finish().checked(layout).map_err(of_log);
        }
    }
}

/// Whether a column of this type can be part of a log.
fn is_plain(dtype: &ArrowDataType) -> bool {
    use ArrowDataType as D;
    matches!(dtype, D::Null | D::Boolean | D::Utf8 | D::LargeUtf8 | D::Utf8View) || dtype.is_numeric()
}

/// One column of one stretch.
enum Part {
    Text(StringChunked),
    Whole(Vec<Option<i64>>),
    Real(Vec<Option<f64>>),
    Nothing,
}

impl Part {
    /// `None` for a type that no log has.
    fn of(series: &Series) -> Option<Self> {
        let reals = || Some(Self::Real(series.cast(&DataType::Float64).ok()?.f64().ok()?.iter().collect()));
        match series.dtype() {
            DataType::String => Some(Self::Text(series.str().ok()?.rechunk().into_owned())),
            DataType::Null => Some(Self::Nothing),
            DataType::Boolean => {
                Some(Self::Text(series.bool().ok()?.cast(&DataType::String).ok()?.str().ok()?.clone()))
            }
            DataType::Float32 | DataType::Float64 => reals(),
            dtype if dtype.is_integer() => {
                let whole = series.cast(&DataType::Int64).ok()?;
                // Numbers beyond an i64 are beyond any time as well, and as reals they are refused as such.
                if whole.null_count() > series.null_count() {
                    return reals();
                }
                Some(Self::Whole(whole.i64().ok()?.iter().collect()))
            }
            _ => None,
        }
    }

    fn cell(&self, row: usize) -> Cell<'_> {
        match self {
            Self::Text(texts) => texts.get(row).map_or(Cell::Missing, Cell::Text),
            Self::Whole(numbers) => numbers[row].map_or(Cell::Missing, Cell::Whole),
            Self::Real(numbers) => numbers[row].map_or(Cell::Missing, Cell::Real),
            Self::Nothing => Cell::Missing,
        }
    }
}
