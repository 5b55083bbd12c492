//! The picture of a log beside simulated groups.

use agogic_figures::{Figure, Forest, ForestRow, IntervalNote, Reading, Width};
use agogic_replay::{PredictedRow, PredictiveCheck};

use crate::figures::FigureFileError;

/// How far beside its interval, in half widths of it, a value is drawn at most; what lies beyond ends in an arrow.
const FARTHEST: f64 = 3.0;

/// Every number of a log on the interval of simulated groups; all intervals are drawn from −1 to 1, so that numbers of any
/// unit stand below one another.
///
/// # Errors
/// No number has an interval, or the figure cannot be drawn.
pub fn predictive_figure(found: &PredictiveCheck, width: Width) -> Result<Figure, FigureFileError> {
    let rows = found.rows.iter().filter_map(|row| {
        let place = place(row)?;
        let (group, name) = match row.estimand {
            Some(estimand) => (row.name.as_str(), estimand.name().replace(['_', '-'], " ")),
            None => ("people", row.name.clone()),
        };
        Some(ForestRow::new(name, Reading::with_interval(place, -1.0, 1.0)).in_group(group))
    });
    let figure = Forest {
        title: "A log beside simulated groups".to_owned(),
        quantity: "place of the log in the interval of the groups".to_owned(),
        unit: "half widths; beyond 1 the log lies outside".to_owned(),
        context: found.sentence(),
        rows: rows.collect(),
        signed: true,
        reference: Some(0.0),
        limits: Some((-FARTHEST, FARTHEST)),
        interval: IntervalNote::new("quantiles of simulated groups", found.level, "group"),
        simultaneous: None,
    };
    Ok(figure.draw(width)?)
}

/// Where the number of the log lies, 0 in the middle of the interval and ±1 at its ends; `None` where that is not known.
fn place(row: &PredictedRow) -> Option<f64> {
    let (observed, [lo, hi]) = (row.observed?, row.limits?);
    let (middle, half) = ((lo + hi) / 2.0, (hi - lo) / 2.0);
    let place = if half > 0.0 {
        (observed - middle) / half
    } else if observed == middle {
        0.0
    } else {
        (observed - middle).signum() * f64::INFINITY
    };
    Some(place.clamp(-FARTHEST, FARTHEST))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(observed: f64, limits: [f64; 2]) -> PredictedRow {
        PredictedRow {
            name: "median dwell".into(),
            estimand: None,
            unit: "ms",
            observed: Some(observed),
            limits: Some(limits),
            share_below: None,
            reason: None,
        }
    }

    #[test]
    fn a_number_stands_where_it_lies_in_the_interval() {
        for (observed, limits, wanted) in [
            (5.0, [0.0, 10.0], 0.0),
            (10.0, [0.0, 10.0], 1.0),
            (-1.0, [0.0, 10.0], -1.2),
            (900.0, [0.0, 10.0], FARTHEST),
            (4.0, [4.0, 4.0], 0.0),
            (3.0, [4.0, 4.0], -FARTHEST),
        ] {
            assert!((place(&row(observed, limits)).unwrap() - wanted).abs() < 1e-12, "{observed} in {limits:?}");
        }
        let found = PredictiveCheck { people: 1, groups: 40, level: 0.95, rows: vec![row(-1.0, [0.0, 10.0])] };
        assert!(predictive_figure(&found, Width::TwoColumn).unwrap().svg().contains("median dwell"));
        let nothing = PredictiveCheck { rows: vec![], ..found };
        assert!(predictive_figure(&nothing, Width::TwoColumn).is_err());
    }
}
