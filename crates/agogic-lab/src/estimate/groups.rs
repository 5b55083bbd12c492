//! Groups of typists: whom a policy serves, and whom it fails.

use agogic_sim::TypistSummary;
use agogic_stats::Clusters;

/// Fewest typists in a group; with fewer, thirds say nothing.
const FEWEST: usize = 10;

/// Groups by speed and by rollover, each with the positions of its members in the order of their numbers.
///
/// # Definition
/// Thirds of the typists of the arm in the order of their speed (words per minute) and, apart from that, of
/// their share of rollover. Equal values keep the order of the typists' numbers. The middle thirds are left
/// out: what a policy does to people shows at the ends.
///
/// # Undefined
/// No groups with fewer than 30 typists.
pub(crate) fn all(people: &[TypistSummary]) -> Vec<(&'static str, Vec<usize>)> {
    let third = people.len() / 3;
    if third < FEWEST {
        return Vec::new();
    }
    let sorted = |of: &dyn Fn(&TypistSummary) -> f64| {
        let mut order: Vec<usize> = (0..people.len()).collect();
        order.sort_by(|&a, &b| of(&people[a]).total_cmp(&of(&people[b])));
        order
    };
    let (speed, rollover) = (sorted(&|person| person.wpm), sorted(&|person| person.rollover));
    let by_number = |part: &[usize]| {
        let mut members = part.to_vec();
        members.sort_unstable();
        members
    };
    let ends = |order: &[usize]| (by_number(&order[..third]), by_number(&order[order.len() - third..]));
    let ((slow, fast), (few, many)) = (ends(&speed), ends(&rollover));
    vec![
        ("slowest third", slow),
        ("fastest third", fast),
        ("third with least rollover", few),
        ("third with most rollover", many),
    ]
}

/// The clusters of some typists only, which come in the order of their numbers.
pub(crate) fn only(all: &Clusters, members: &[usize]) -> Clusters {
    let pairs = members.iter().map(|&i| (all.numerators()[i], all.denominators()[i]));
    let clusters =
        if all.is_proportion() { Clusters::proportion(all.unit(), pairs) } else { Clusters::ratio(all.unit(), pairs) };
    clusters.expect("a part of clusters that were accepted")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typist(typist: u64, wpm: f64, rollover: f64) -> TypistSummary {
        TypistSummary { typist, wpm, interval_ms: 0.0, dwell_ms: 0.0, rollover, release_ms: 0.0 }
    }

    #[test]
    fn thirds_are_the_ends_of_the_order() {
        let typists: Vec<_> = (0..30).map(|i| typist(i, (29 - i) as f64, i as f64)).collect();
        let groups = all(&typists);
        let of = |name: &str| groups.iter().find(|(known, _)| *known == name).unwrap().1.clone();
        assert_eq!(of("slowest third"), (20..30).collect::<Vec<_>>());
        assert_eq!(of("fastest third"), (0..10).collect::<Vec<_>>());
        assert_eq!(of("third with most rollover"), (20..30).collect::<Vec<_>>());
        assert!(all(&typists[..29]).is_empty());
    }

    #[test]
    fn a_group_keeps_its_members_and_its_kind() {
        let whole = Clusters::counts("typist", [(1, 10), (2, 20), (3, 30)]).unwrap();
        let part = only(&whole, &[0, 2]);
        assert_eq!((part.totals(), part.is_proportion()), ((4.0, 40.0), true));
    }
}
