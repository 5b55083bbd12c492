//! How somebody types, in four figures, beside others.

use agogic_keys::Press;
use agogic_log::LONGEST_INTERVAL_MS;
use agogic_stats::quantile;
use serde::Serialize;

/// The four: name, unit, what it is.
pub const MEASURES: [(&str, &str, &str); 4] = [
    ("dwell", "ms", "how long a letter key stays down: the median from press to release"),
    ("interval", "ms", "the median time from one letter's press to the next, pauses of over a second left out"),
    ("rolling", "%", "the share of letters pressed while the letter before is still down"),
    ("hold", "ms", "how long a held key stays down: the median from press to release"),
];

/// Fewest times behind a figure.
const FEWEST: usize = 10;

/// How somebody types: the figures of [`MEASURES`], each with how often it was seen; `None` where that is too rare.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Manner {
    /// The figures.
    pub figures: [Option<f64>; 4],
    /// Times behind each.
    pub seen: [usize; 4],
}

impl Manner {
    /// The figures of runs of presses, each with what was meant where that is known.
    ///
    /// # Definition
    /// Letters are taps of keys that write. An interval is from one letter's press to that of the next press, if this is
    /// a letter too and no longer than [`LONGEST_INTERVAL_MS`]; it is rolling if the first is still down at its end.
    /// Holds of dedicated modifiers are left out.
    pub fn of<'a>(runs: impl Iterator<Item = (&'a [Press], &'a [Option<bool>])>) -> Self {
        let (mut dwells, mut intervals, mut holds, mut rolls) = (Vec::new(), Vec::new(), Vec::new(), 0);
        for (presses, meant) in runs {
            let letter = |at: usize| meant[at] == Some(false) && presses[at].code.character(false).is_some();
            for (at, press) in presses.iter().enumerate() {
                if meant[at] == Some(true) && press.code.dedicated_modifier().is_none() {
                    holds.push(press.dwell().ms());
                }
                if !letter(at) {
                    continue;
                }
                dwells.push(press.dwell().ms());
                if at + 1 < presses.len() && letter(at + 1) {
                    let next = presses[at + 1].down;
                    let interval = next.since(press.down).ms();
                    if interval <= LONGEST_INTERVAL_MS {
                        intervals.push(interval);
                        rolls += usize::from(next < press.up);
                    }
                }
            }
        }
        let median = |times: &[f64]| if times.len() < FEWEST { None } else { quantile(times, 0.5).ok() };
        let pairs = intervals.len();
        let rolling = (pairs >= FEWEST).then(|| 100.0 * rolls as f64 / pairs as f64);
        Self {
            figures: [median(&dwells), median(&intervals), rolling, median(&holds)],
            seen: [dwells.len(), pairs, pairs, holds.len()],
        }
    }
}

/// One figure of a person beside those of others.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Beside {
    /// Its name.
    pub name: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// What it is.
    pub about: &'static str,
    /// The person's; `None` where too little was seen.
    pub own: Option<f64>,
    /// How often it was seen.
    pub seen: usize,
    /// Others: the figures below which 10, 25, 50, 75 and 90 in 100 lie.
    pub others: Option<[f64; 5]>,
    /// Of 100 others, so many lie below the person.
    pub below: Option<f64>,
}

/// Puts a person beside others.
pub fn beside(own: &Manner, others: &[Manner]) -> Vec<Beside> {
    let row = |(at, (name, unit, about)): (usize, (&'static str, &'static str, &'static str))| {
        let theirs: Vec<f64> = others.iter().filter_map(|other| other.figures[at]).collect();
        let level = |p: f64| quantile(&theirs, p).ok();
        let levels = [0.1, 0.25, 0.5, 0.75, 0.9].map(level);
        let share = |own: f64| 100.0 * theirs.iter().filter(|other| **other < own).count() as f64 / theirs.len() as f64;
        Beside {
            name,
            unit,
            about,
            own: own.figures[at],
            seen: own.seen[at],
            others: levels.iter().all(Option::is_some).then(|| levels.map(|level| level.expect("all are there"))),
            below: own.figures[at].filter(|_| !theirs.is_empty()).map(share),
        }
    };
    MEASURES.into_iter().enumerate().map(row).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::Instant;

    #[test]
    fn figures_by_hand() {
        // Twelve letters 200 ms apart, each down for 100 ms; every third for 250 ms, and so rolling.
        let press = |at: u64| {
            let (down, dwell) = (200_000 * at, if at.is_multiple_of(3) { 250_000 } else { 100_000 });
            Press { code: "KeyE".parse().unwrap(), down: Instant(down), up: Instant(down + dwell) }
        };
        let presses: Vec<Press> = (0..12).map(press).collect();
        let all = [Some(false); 12];
        let found = Manner::of([(&presses[..], &all[..])].into_iter());
        assert_eq!(found.figures[..2], [Some(100.0), Some(200.0)]);
        assert!((found.figures[2].unwrap() - 100.0 * 4.0 / 11.0).abs() < 1e-9);
        assert_eq!((found.figures[3], found.seen), (None, [12, 11, 11, 0]));
        // Of presses whose meaning is unknown nothing is said.
        assert_eq!(Manner::of([(&presses[..], &[None; 12][..])].into_iter()), Manner::default());
        let people: Vec<Manner> = (0..10)
            .map(|at| Manner { figures: [Some(95.0 + f64::from(at)), None, None, None], ..Manner::default() })
            .collect();
        let rows = beside(&found, &people);
        assert_eq!((rows[0].below, rows[0].others.unwrap()[2]), (Some(50.0), 99.5));
        assert_eq!((rows[1].below, rows[1].others), (None, None));
    }
}
