//! What a log holds, as histograms.

use agogic_figures::{Figure, Sample, ShapePanel, Shapes, Width};
use agogic_log::{LONGEST_INTERVAL_MS, Log};

use crate::FigureFileError;

/// People drawn each for themselves; more would hide one another.
const APART: usize = 4;

/// Times of one person or of all.
#[derive(Default)]
struct Times {
    dwell: Vec<f64>,
    interval: Vec<f64>,
    flight: Vec<f64>,
    overlap: Vec<f64>,
}

/// Dwell, interval, flight and overlap of a log; of each participant where there are up to four, of all together
/// where there are more. A quantity without a value is left out.
///
/// # Definition
/// Intervals are those up to [`LONGEST_INTERVAL_MS`], and flights (from a release to the next press, negative in
/// rollover) belong to them. No time is taken across a place where rows are missing.
///
/// # Errors
/// The log holds no press.
pub fn log_figure(log: &Log, name: &str, width: Width) -> Result<Figure, FigureFileError> {
    let people = log.by_participant();
    let mut samples: Vec<(String, Times)> = Vec::new();
    for (participant, sessions) in &people {
        let apart = people.len() <= APART;
        let label = if apart { (*participant).to_owned() } else { format!("all {} participants", people.len()) };
        if samples.last().is_none_or(|(last, _)| *last != label) {
            samples.push((label, Times::default()));
        }
        let times = &mut samples.last_mut().expect("one was pushed").1;
        for run in sessions.iter().flat_map(|session| session.runs()) {
            times.dwell.extend(run.iter().map(|press| press.dwell().ms()));
            for pair in run.windows(2) {
                let interval = pair[1].down.since(pair[0].down).ms();
                if interval > LONGEST_INTERVAL_MS {
                    continue;
                }
                times.interval.push(interval);
                times.flight.push(interval - pair[0].dwell().ms());
                if pair[0].up > pair[1].down {
                    times.overlap.push(pair[0].up.min(pair[1].up).since(pair[1].down).ms());
                }
            }
        }
    }
    let panel = |name: &str, of: &str, values: fn(&Times) -> &Vec<f64>| {
        let samples: Vec<Sample> = samples
            .iter()
            .filter(|(_, times)| !values(times).is_empty())
            .map(|(label, times)| Sample { name: label.clone(), values: values(times).clone() })
            .collect();
        (!samples.is_empty()).then(|| ShapePanel { name: name.into(), unit: "ms".into(), of: of.into(), samples })
    };
    let panels = [
        panel("dwell", "presses", |times| &times.dwell),
        panel("interval", "intervals", |times| &times.interval),
        panel("flight", "intervals", |times| &times.flight),
        panel("overlap", "overlaps", |times| &times.overlap),
    ];
    let (presses, left_out) = (log.report.presses, log.report.rows_refused());
    let figure = Shapes {
        title: format!("Key times in {name}"),
        context: format!(
            "{presses} presses of {} participant{}; {left_out} rows were left out as defects, no value as an outlier",
            people.len(),
            if people.len() == 1 { "" } else { "s" },
        ),
        panels: panels.into_iter().flatten().collect(),
    };
    Ok(figure.draw(width)?)
}
