//! Readers of logs: `cargo bench -p agogic-log`.

#[path = "../../../tests/shared/measure.rs"]
mod measure;
mod support;

use agogic_log::{Format, Limits, LogLayout, Rules, read, summarise};
use agogic_stats::Level;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use measure::CpuTime;

const ROWS: u64 = 20_000;

/// Reading, in bytes of text a second; a summary, in rows a second.
fn log(c: &mut Criterion<CpuTime>) {
    let layout = LogLayout::events();
    let [csv, json] = support::texts(ROWS);
    let parse = |text: &str, format| {
        read(text.as_bytes(), format, &layout, Limits::default(), Rules::default()).expect("a sound log")
    };
    let mut group = c.benchmark_group("read");
    for (name, text, format) in [("CSV", &csv, Format::Csv), ("JSON lines", &json, Format::JsonLines)] {
        group.throughput(Throughput::Bytes(text.len() as u64));
        group.bench_function(name, |b| b.iter(|| parse(text, format)));
    }
    group.finish();
    let log = parse(&csv, Format::Csv);
    let mut group = c.benchmark_group("summarise");
    group.throughput(Throughput::Elements(ROWS));
    group.bench_function("people", |b| b.iter(|| summarise(&log, Level::P95)));
    group.finish();
}

criterion_group! { name = benches; config = measure::short(); targets = log }
criterion_main!(benches);
