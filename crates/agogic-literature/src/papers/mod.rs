//! The published values, one file a paper (four for the largest).
//!
//! A row about people other than the population's own sample is testable only where the statistic does not
//! depend on who was recruited: a shape relative to its own level, a relation between quantities, a value at a
//! given speed, or a dwell, which hardly depends on speed. Levels of speed in other samples are descriptive.

mod conijn2019;
mod crump2019;
mod dhakal2018_errors;
mod dhakal2018_levels;
mod dhakal2018_pairs;
mod dhakal2018_populations;
mod dhakal2018_shapes;
mod dias2023;
mod feit2016;
mod feit2016_touch;
mod gentner1983;
mod gonzalez2021;
mod killourhy2009;
mod klein;
mod kuruvilla2024;
mod logan2016;
mod roeser2021;
mod salthouse;
mod song2001;
mod stockner2025;
mod vanwaes2021;

use crate::people::people_rows;
use crate::row::{Row, Rule, Width};

/// Equivalence margin for a location of the population's own sample.
pub(crate) const LOCATION: Rule = Rule::Margin {
    width: Width::Relative(0.05),
    reason: "with so many people sampling error is nil; 5 % covers another text, the study's clock (10 to 15 ms) and \
             the 2 % between two readings of the same data",
};

/// Equivalence margin for an SD between people of the population's own sample.
pub(crate) const SPREAD: Rule = Rule::Margin {
    width: Width::Relative(0.10),
    reason: "an SD between people depends on who was removed as too slow or too careless; 10 % covers that",
};

/// Equivalence margin for an SD between the people of a tail group.
pub(crate) const TAIL_SPREAD: Rule = Rule::Margin {
    width: Width::Relative(0.15),
    reason: "the SD within a tenth of the people is set by its outer edge, where the study's removal rules cut; 15 %",
};

/// Equivalence margin for a skewness or kurtosis between people.
pub(crate) const MOMENT: Rule = Rule::Margin {
    width: Width::Relative(0.25),
    reason: "third and fourth moments are set by the few most extreme people and the study's removal rules; 25 %",
};

/// Equivalence margin for a correlation of a large sample.
pub(crate) const CORRELATION: Rule = Rule::Margin {
    width: Width::Absolute(0.10),
    reason: "Cohen's convention calls a difference of correlations below 0.10 less than small",
};

/// Equivalence margin for a share of presses.
pub(crate) const SHARE: Rule = Rule::Margin {
    width: Width::Absolute(0.03),
    reason: "printed in whole percents or read with one clock tick of 10 to 15 ms, which moves a press into or out of \
             an overlap; 3 points",
};

/// Equivalence margin for a ratio of two times of one study.
pub(crate) const RATIO: Rule = Rule::Margin {
    width: Width::Relative(0.10),
    reason: "a ratio of two times is free of level and clock, but not of text and trimming; 10 %",
};

/// Equivalence margin for rates of error of the population's own sample.
pub(crate) const RATE: Rule = Rule::Margin {
    width: Width::Relative(0.15),
    reason: "rates of rare events depend on the text and on what counts as one error; 15 %",
};

/// Equivalence margin for tails of pooled times relative to their median.
pub(crate) const TAIL: Rule = Rule::Margin {
    width: Width::Relative(0.15),
    reason: "tails of pooled times mix people and pauses, and studies trim them differently; 15 %",
};

/// Agreement within three standard errors of both sides.
pub(crate) const SAMPLING: Rule = Rule::Standard { k: 3.0 };

/// All rows, in a fixed order.
pub fn rows() -> impl Iterator<Item = &'static Row> {
    let papers: [&'static [Row]; 21] = [
        dhakal2018_levels::ROWS,
        dhakal2018_shapes::ROWS,
        dhakal2018_pairs::ROWS,
        dhakal2018_errors::ROWS,
        dhakal2018_populations::ROWS,
        klein::ROWS,
        dias2023::ROWS,
        crump2019::ROWS,
        roeser2021::ROWS,
        vanwaes2021::ROWS,
        feit2016::ROWS,
        feit2016_touch::ROWS,
        gentner1983::ROWS,
        gonzalez2021::ROWS,
        killourhy2009::ROWS,
        kuruvilla2024::ROWS,
        salthouse::ROWS,
        stockner2025::ROWS,
        logan2016::ROWS,
        song2001::ROWS,
        conijn2019::ROWS,
    ];
    papers.into_iter().flatten().chain(people_rows())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::observables::missing;
    use crate::row::{Role, Status, Width};

    #[test]
    fn rows_are_well_formed() {
        let mut ids = BTreeSet::new();
        for row in rows() {
            let id = row.id;
            assert!(ids.insert(id), "{id} twice");
            let named = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
            assert!(id.starts_with(row.source) && id.chars().all(named), "{id}");
            assert!(row.value.is_finite(), "{id}");
            for text in [row.definition, row.people, row.unit, row.place, row.population] {
                assert!(!text.is_empty(), "{id}");
            }
            match row.rule {
                Rule::Margin { reason, width } => {
                    let (Width::Absolute(w) | Width::Relative(w)) = width;
                    assert!(!reason.is_empty() && w > 0.0 && row.margin().unwrap() > 0.0, "{id}");
                }
                Rule::Factor { most, reason } => assert!(!reason.is_empty() && most > 1.0, "{id}"),
                Rule::Standard { k } => assert!(k > 0.0 && row.standard_error().is_some(), "{id}"),
                Rule::Descriptive { reason } => assert!(!reason.is_empty(), "{id}"),
                Rule::Direction { .. } => {}
            }
        }
    }

    #[test]
    fn what_is_from_memory_proves_nothing() {
        assert!(rows().filter(|row| row.status == Status::FromMemory).all(|row| !row.testable()));
    }

    #[test]
    fn at_least_half_of_the_rows_are_evidence() {
        let all = rows().count();
        let sources: BTreeSet<_> = rows().map(|row| row.source).collect();
        let evidence = rows().filter(|row| row.role == Role::HeldOut && row.testable());
        let (evidence, modelled) = evidence.fold((0, 0), |(n, m), row| {
            (n + 1, m + usize::from(row.measures().into_iter().all(|measure| missing(measure).is_none())))
        });
        assert!(all >= 40 && sources.len() >= 8, "{all} rows of {} sources", sources.len());
        let held_out = rows().filter(|row| row.role == Role::HeldOut).count();
        let testable = rows().filter(|row| row.testable()).count();
        assert!(2 * held_out >= all, "{held_out} of {all} rows are held out");
        assert!(2 * evidence >= testable && modelled >= 40, "{evidence} of {testable}, {modelled} of them modelled");
    }
}
