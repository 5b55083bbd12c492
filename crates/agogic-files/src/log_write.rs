//! Event logs on disk, as CSV or Parquet.

use std::fs::File;
use std::io::BufWriter;
use std::path::{Path, PathBuf};

use agogic_log::{COLUMNS, LogCsv, LogRow, SessionLog, each_row};
use agogic_sim::FileError;
use agogic_sim::disk::io;
use polars::io::parquet::write::BatchedWriter;
use polars::prelude::{Column, DataFrame, DataType, Field, ParquetWriter, Schema};
use tempfile::NamedTempFile;

/// Rows of a row group of a Parquet log.
const GROUP: usize = 1 << 16;

/// Writes a log in the published format, session by session: as Parquet where the file ends in `.parquet`, else
/// as CSV.
///
/// The file appears under its name when [`LogSink::finish`] returns, whole or not at all. A Parquet log has the
/// columns of [`COLUMNS`] with `t_us` as 64-bit integer and the others as text, an empty text where CSV has an
/// empty field, and row groups of about 65 000 rows, whatever the number of threads.
pub struct LogSink {
    out: PathBuf,
    draft: NamedTempFile,
    form: Form,
}

enum Form {
    Csv(Box<LogCsv<BufWriter<File>>>),
    Parquet { writer: Box<BatchedWriter<BufWriter<File>>>, held: Rows, rows: u64 },
}

/// Rows that wait for their row group.
#[derive(Default)]
struct Rows {
    t_us: Vec<i64>,
    texts: [Vec<String>; 6],
}

impl LogSink {
    /// Opens a draft beside `out`.
    ///
    /// # Errors
    /// The disk refuses.
    pub fn new(out: &Path) -> Result<Self, FileError> {
        let parent = match out.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        let draft = NamedTempFile::new_in(parent).map_err(io("creating a temporary file in", parent))?;
        let file = BufWriter::new(draft.reopen().map_err(io("writing", out))?);
        let form = if is_parquet(out) {
            let fields = COLUMNS.iter().map(|name| {
                let dtype = if *name == "t_us" { DataType::Int64 } else { DataType::String };
                Field::new((*name).into(), dtype)
            });
            let writer = ParquetWriter::new(file).set_parallel(false).batched(&fields.collect::<Schema>());
            Form::Parquet { writer: Box::new(writer.map_err(refused(out))?), held: Rows::default(), rows: 0 }
        } else {
            Form::Csv(Box::new(LogCsv::new(file).map_err(|e| io("writing", out)(e.into()))?))
        };
        Ok(Self { out: out.to_owned(), draft, form })
    }

    /// Adds a session, with the rows of [`each_row`].
    ///
    /// # Errors
    /// The disk refuses.
    pub fn add(&mut self, log: &SessionLog) -> Result<(), FileError> {
        let out = &self.out;
        match &mut self.form {
            Form::Csv(csv) => csv.add(log).map_err(|e| io("writing", out)(e.into())),
            Form::Parquet { writer, held, rows } => each_row(log, |row| {
                *rows += 1;
                held.push(row);
                if held.t_us.len() < GROUP { Ok(()) } else { held.write(writer).map_err(refused(out)) }
            }),
        }
    }

    /// Moves the draft to its name and returns the number of rows.
    ///
    /// # Errors
    /// The disk refuses.
    pub fn finish(self) -> Result<u64, FileError> {
        let out = &self.out;
        let rows = match self.form {
            Form::Csv(csv) => csv.finish().map_err(|e| io("writing", out)(e.into()))?,
            Form::Parquet { mut writer, mut held, rows } => {
                // A log without a row still has columns.
                if !held.t_us.is_empty() || rows == 0 {
                    held.write(&mut writer).map_err(refused(out))?;
                }
                writer.finish().map_err(refused(out))?;
                rows
            }
        };
        self.draft.as_file().sync_all().map_err(io("writing", out))?;
        self.draft.persist(out).map_err(|e| io("moving the log to", out)(e.error))?;
        Ok(rows)
    }
}

impl Rows {
    fn push(&mut self, row: LogRow<'_>) {
        let LogRow { session, participant, t_us, code, edge, intent, target } = row;
        self.t_us.push(i64::try_from(t_us).unwrap_or(i64::MAX));
        for (column, text) in self.texts.iter_mut().zip([session, participant, code.name(), edge, intent, target]) {
            column.push(text.to_owned());
        }
    }

    fn write(&mut self, writer: &mut BatchedWriter<BufWriter<File>>) -> polars::prelude::PolarsResult<()> {
        let rows = std::mem::take(self);
        let height = rows.t_us.len();
        let mut texts = rows.texts.into_iter();
        let mut times = Some(rows.t_us);
        let columns = COLUMNS.iter().map(|name| match (*name, &mut times) {
            ("t_us", times) => Column::new("t_us".into(), times.take().expect("there is one column of times")),
            (name, _) => Column::new(name.into(), texts.next().expect("all other columns are texts")),
        });
        let frame = DataFrame::new(height, columns.collect())?;
        writer.write_batch(&frame)
    }
}

/// Whether a file name asks for Parquet.
pub(crate) fn is_parquet(path: &Path) -> bool {
    path.extension().is_some_and(|end| end.eq_ignore_ascii_case("parquet"))
}

fn refused(path: &Path) -> impl Fn(polars::prelude::PolarsError) -> FileError {
    let path = path.to_owned();
    move |e| FileError::Table { path: path.clone(), message: e.to_string() }
}
