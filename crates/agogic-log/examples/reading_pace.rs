//! How fast logs are read and summarised: `cargo run --release -p agogic-log --example reading_pace [ROWS]`.

#[path = "../benches/support/mod.rs"]
mod support;

use std::time::Instant;

use agogic_log::{Format, Limits, LogLayout, Rules, read, summarise};
use agogic_stats::Level;

fn main() {
    let rows: u64 = std::env::args().nth(1).and_then(|count| count.parse().ok()).unwrap_or(2_000_000);
    let [csv, json] = support::texts(rows);
    let layout = LogLayout::events();
    for (name, text, format) in [("CSV", csv, Format::Csv), ("JSON lines", json, Format::JsonLines)] {
        let start = Instant::now();
        let log = read(text.as_bytes(), format, &layout, Limits::default(), Rules::default()).expect("a sound log");
        let seconds = start.elapsed().as_secs_f64();
        let held = log.report.held_bytes_max as f64 / 1e6;
        println!(
            "{name}: {:.2} million rows a second, {:.0} MB of text, {held:.0} MB held for rows",
            log.report.rows as f64 / 1e6 / seconds,
            text.len() as f64 / 1e6
        );
        if format == Format::Csv {
            let start = Instant::now();
            let people = summarise(&log, Level::P95).people.len();
            println!("summary of {people} people: {:.1} s", start.elapsed().as_secs_f64());
        }
    }
}
