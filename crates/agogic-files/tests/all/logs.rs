//! Logs on disk in every format: what is written is read back, and damage is told.

use std::fs;
use std::path::Path;

use agogic_files::{LogFileError, LogSink, read_log, read_log_within};
use agogic_keys::{Purpose, stream};
use agogic_log::{DefectKind, Limits, Log, LogLayout, Rules, read_bytes};
use polars::prelude::{Column, DataFrame, NamedFrom, ParquetWriter, Series, df};
use rand::RngExt;

const PROMPTED: &[u8] = include_bytes!("../../../../data-synthetic/logs/prompted-volunteer.csv");

fn prompted() -> Log {
    read_bytes_fully(PROMPTED)
}

fn read_bytes_fully(bytes: &[u8]) -> Log {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.csv");
    fs::write(&path, bytes).unwrap();
    read_log(&path, &LogLayout::events()).unwrap()
}

fn write(path: &Path, log: &Log) -> u64 {
    let mut sink = LogSink::new(path).unwrap();
    log.sessions.iter().for_each(|session| sink.add(session).unwrap());
    sink.finish().unwrap()
}

fn parquet(path: &Path, mut frame: DataFrame) {
    ParquetWriter::new(fs::File::create(path).unwrap()).finish(&mut frame).unwrap();
}

#[test]
fn csv_and_parquet_hold_the_same_log() {
    let folder = tempfile::tempdir().unwrap();
    let log = prompted();
    let (csv, table) = (folder.path().join("log.csv"), folder.path().join("log.parquet"));
    assert_eq!((write(&csv, &log), write(&table, &log)), (7200, 7200));
    assert_eq!(fs::read(&csv).unwrap(), PROMPTED, "a log that was read is written as it was");
    let [from_csv, from_table] = [&csv, &table].map(|path| read_log(path, &LogLayout::events()).unwrap());
    assert_eq!(from_csv, from_table);
    assert_eq!(from_table, log);
    // From Parquet to CSV and back again.
    let again = folder.path().join("again.csv");
    write(&again, &from_table);
    assert_eq!(fs::read(&again).unwrap(), PROMPTED);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 3, "no drafts are left");
}

#[test]
fn row_groups_and_stretches_are_joined_without_a_seam() {
    // 40 copies of the session make 288 000 rows: several row groups, several stretches.
    let folder = tempfile::tempdir().unwrap();
    let mut log = prompted();
    let session = log.sessions.remove(0);
    log.sessions = (0..40)
        .map(|number| {
            let mut copy = session.clone();
            copy.session = number.to_string();
            copy
        })
        .collect();
    let table = folder.path().join("log.PARQUET");
    assert_eq!(write(&table, &log), 288_000);
    let read = read_log(&table, &LogLayout::events()).unwrap();
    assert_eq!(read.sessions, log.sessions);
    assert!(read.report.defects.is_empty() && read.report.balances(), "{}", read.report);
    let limits = Limits { rows: 100_000, ..Limits::default() };
    let cut = read_log_within(&table, &LogLayout::events(), limits, Rules::default()).unwrap();
    assert_eq!((cut.report.rows, cut.report.count(DefectKind::TooManyRows)), (288_000, 188_000));
    assert!(cut.report.balances());
}

#[test]
fn an_empty_log_has_columns_in_either_format() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["none.csv", "none.parquet"] {
        let path = folder.path().join(name);
        assert_eq!(LogSink::new(&path).unwrap().finish().unwrap(), 0);
        let log = read_log(&path, &LogLayout::events()).unwrap();
        assert_eq!((log.report.rows, log.sessions.len()), (0, 0), "{name}");
    }
}

#[test]
fn parquet_of_others_is_read_by_its_layout() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("pairs.parquet");
    let frame = df!(
        "who" => [7_i32, 7, 7, 8],
        "letter" => [Some("a"), Some("B"), None, Some("c")],
        "down" => [0.5, 0.75, 1.0, f64::NAN],
        "up" => [0.6, 0.875, 1.1, 2.0],
        "kept apart" => [true, false, true, false],
    );
    parquet(&path, frame.unwrap());
    let layout = "from = \"pairs-s\"\nkeys = \"key\"\n[columns]\nparticipant = \"who\"\nsession = \"\"\n\
                  code = \"letter\"\npress = \"down\"\nrelease = \"up\"\n";
    let log = read_log(&path, &LogLayout::from_toml(layout).unwrap()).unwrap();
    assert_eq!((log.report.rows, log.report.presses), (4, 2), "{}", log.report);
    assert_eq!(log.report.defects[&DefectKind::MissingField].first_lines, [3]);
    assert_eq!(log.report.defects[&DefectKind::BadTime].first_lines, [4]);
    assert_eq!(log.sessions[0].participant, "7");
    assert_eq!(log.sessions[0].presses[1].dwell().ms(), 125.0);
    // Times as unsigned integers beyond all bounds, and a column of a type that no log has.
    let columns = |time: Column| {
        let text = |name: &str, value: &str| Column::new(name.into(), [value]);
        let others = [text("session", "1"), text("participant", "a"), text("code", "KeyA"), text("edge", "press")];
        DataFrame::new(1, [vec![time], others.to_vec()].concat()).unwrap()
    };
    parquet(&path, columns(Column::new("t_us".into(), [u64::MAX])));
    let log = read_log(&path, &LogLayout::events()).unwrap();
    assert_eq!(log.report.count(DefectKind::AbsurdTime), 1, "{}", log.report);
    let list = Column::new("t_us".into(), [Series::new("".into(), [1_i64, 2])]);
    parquet(&path, columns(list));
    let refused = read_log(&path, &LogLayout::events()).unwrap_err();
    assert!(matches!(&refused, LogFileError::Column { column, .. } if column == "t_us"), "{refused}");
}

#[test]
fn a_table_that_pandas_wrote_is_the_same_log() {
    // Categories, durations and zstd, written by pandas 3.1.1 with pyarrow 26.0.1; see data/make_pandas_log.py.
    let table = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/pandas.parquet");
    let lines: Vec<&[u8]> = PROMPTED.split_inclusive(|byte| *byte == b'\n').take(61).collect();
    let expected = read_bytes(&lines.concat(), &LogLayout::events()).unwrap();
    assert_eq!(read_log(&table, &LogLayout::events()).unwrap(), {
        // Lines of text begin with the names, rows of a table do not.
        let mut log = expected;
        let places = log.report.defects.values_mut().flat_map(|defect| &mut defect.first_lines);
        places.for_each(|line| *line -= 1);
        log
    });
}

#[test]
fn the_format_is_told_by_the_content_or_the_name() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        fs::write(&path, bytes).unwrap();
        read_log(&path, &LogLayout::events())
    };
    let json = b"{\"session\":1,\"participant\":\"a\",\"t_us\":5,\"code\":\"KeyA\",\"edge\":\"press\"}\n\
                 {\"session\":1,\"participant\":\"a\",\"t_us\":95,\"code\":\"KeyA\",\"edge\":\"release\"}\n";
    for name in ["log.jsonl", "log.txt", "log.csv"] {
        assert_eq!(file(name, json).unwrap().report.presses, 1, "{name}");
    }
    let refuses = |name: &str, bytes: &[u8], wanted: &str| {
        let refused = file(name, bytes).unwrap_err().to_string();
        assert!(refused.contains(wanted) && refused.contains(name), "{refused}");
    };
    refuses("log.json", b" [{}]", "one object a line");
    refuses("log.csv.gz", &[0x1f, 0x8b, 8, 0], "unpack it first");
    refuses("log.xlsx", b"PK\x03\x04", "unpack it first");
    refuses("empty.csv", b"", "the file is empty");
    refuses("columns.csv", b"a,b\n1,2\n", "lacks the columns `session`");
    refuses("short.parquet", b"PAR1", "damaged Parquet");
    let missing = read_log(&folder.path().join("no.csv"), &LogLayout::events()).unwrap_err();
    assert!(missing.to_string().contains("no.csv"), "{missing}");
}

#[test]
fn damaged_parquet_is_refused_or_accounted_for() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.parquet");
    let small = read_bytes(&PROMPTED[..20_000], &LogLayout::events()).unwrap();
    write(&path, &small);
    let sound = fs::read(&path).unwrap();
    // Panics of the decoder are caught; their messages would only bury a failure of this test.
    std::panic::set_hook(Box::new(|_| {}));
    let outcomes: Vec<Result<u64, String>> = (0..400)
        .map(|number| {
            let mut rng = stream(2026, Purpose::Design, number, 2);
            let mut bytes = sound.clone();
            match rng.random_range(0..4) {
                0 => bytes.truncate(rng.random_range(4..bytes.len())),
                1 => {
                    let at = rng.random_range(4..bytes.len());
                    bytes.splice(at..at, (0..rng.random_range(1..200)).map(|_| rng.random::<u8>()).collect::<Vec<_>>());
                }
                // The end of a file says where everything is and how much of it.
                2 => {
                    let end = bytes.len();
                    let at = rng.random_range(end - end.min(800)..end);
                    bytes[at] = rng.random();
                }
                _ => {
                    for _ in 0..rng.random_range(1..20) {
                        let at = rng.random_range(4..bytes.len());
                        bytes[at] = rng.random();
                    }
                }
            }
            fs::write(&path, &bytes).unwrap();
            match read_log(&path, &LogLayout::events()) {
                Ok(log) if log.report.balances() => Ok(log.report.rows),
                Ok(log) => Err(format!("log {number} does not balance: {}", log.report)),
                Err(refused) if refused.to_string().is_empty() => {
                    Err(format!("log {number} is refused without a word"))
                }
                Err(_) => Ok(u64::MAX),
            }
        })
        .collect();
    let _ = std::panic::take_hook();
    let refused = outcomes.iter().filter(|outcome| **outcome == Ok(u64::MAX)).count();
    if let Some(Err(wrong)) = outcomes.iter().find(|outcome| outcome.is_err()) {
        panic!("{wrong}");
    }
    assert!(refused > 100 && refused < 400, "{refused} of 400 refused");
}
