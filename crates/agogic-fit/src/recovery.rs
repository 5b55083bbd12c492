//! How well fits found synthetic people again, and the caution a trait has earned there.

use agogic_stats::{Interval, Level, Trials, clopper_pearson};
use agogic_typist::{TRAITS, Trait};

/// Made by `cargo run --release -p agogic-fit --example recovery -- --write`, with `RECOVERY.md`.
const TABLE: &str = include_str!("../data/recovery.csv");

/// How often the 95 % intervals of a trait held in trials with synthetic people.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recovered {
    /// Presses of each person.
    pub presses: u64,
    /// People fitted.
    pub people: u64,
    /// Of these, people whose trait lay in its interval.
    pub held: u64,
}

impl Recovered {
    /// Share of people whose interval held.
    pub fn coverage(&self) -> f64 {
        self.held as f64 / self.people as f64
    }

    /// Exact (Clopper–Pearson) 95 % interval for that share.
    pub fn limits(&self) -> Interval {
        clopper_pearson(Trials::new(self.held, self.people).expect("no more held than were fitted"), Level::P95)
    }

    /// Whether intervals of 95 % are excluded: too short or too long.
    pub fn is_off(&self) -> bool {
        !self.limits().contains(0.95)
    }

    /// What to know of an interval of this trait; `None` where 95 % is not excluded.
    pub fn caution(&self) -> Option<String> {
        let limits = self.limits();
        let much = if self.coverage() < 0.95 { "short" } else { "long" };
        self.is_off().then(|| {
            format!(
                "intervals are too {much}: in trials with {} people of {} presses those of 95 % held in {:.1} % ({:.1} to {:.1})",
                self.people,
                self.presses,
                100.0 * self.coverage(),
                100.0 * limits.lo,
                100.0 * limits.hi
            )
        })
    }
}

/// The trial of a trait whose length is nearest to `presses` by ratio; `None` for a trait that was left out.
pub fn recovered(id: Trait, presses: u64) -> Option<Recovered> {
    let name = TRAITS[id as usize].name;
    let rows = TABLE.lines().skip(1).filter_map(|line| {
        let mut cells = line.split(',');
        (cells.next()? == name).then_some(())?;
        let mut number = || cells.next()?.parse().ok();
        Some(Recovered { presses: number()?, people: number()?, held: number()? })
    });
    let away = |row: &Recovered| libm::fabs(libm::log(row.presses as f64 / presses.max(1) as f64));
    rows.min_by(|a, b| away(a).total_cmp(&away(b)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_holds_every_trait_but_the_hand() {
        for info in TRAITS {
            let found = recovered(info.id, 1000);
            assert_eq!(found.is_some(), info.id != Trait::HoldingHand, "{}", info.name);
        }
        let lengths = [1, 700, 3000, 1_000_000].map(|presses| recovered(Trait::Dwell, presses).unwrap().presses);
        assert!(lengths.is_sorted() && lengths[0] < lengths[3], "{lengths:?}");
    }

    #[test]
    fn a_trait_is_cautioned_when_95_percent_is_excluded() {
        // Exact limits: 460 of 500 is 89.3 to 94.2 %, 465 of 500 is 90.4 to 95.1 %.
        let of = |held| Recovered { presses: 500, people: 500, held };
        assert!(of(460).caution().unwrap().contains("too short") && of(465).caution().is_none());
        assert!(of(490).caution().unwrap().contains("too long"));
    }

    /// The text names just the traits that the table excludes.
    #[test]
    fn the_report_names_every_trait_that_falls_short() {
        let text = include_str!("../RECOVERY.md");
        for line in TABLE.lines().skip(1) {
            let [name, presses, people, held] = line.split(',').collect::<Vec<_>>()[..] else { panic!("{line}") };
            let [presses, people, held] = [presses, people, held].map(|cell| cell.parse().unwrap());
            let named = text.lines().any(|line| line.starts_with(&format!("- `{name}` at {presses} presses: ")));
            assert_eq!(named, Recovered { presses, people, held }.is_off(), "{line}");
        }
    }
}
