//! Settings in practice: those that ask the same of people who hold are judged on the same people.

use agogic_policy::Asks;

/// Groups of settings by what their rules ask, for people who have a share of that habit: what is asked, and the places of
/// the settings.
pub(crate) fn groups_in_practice(asks: &[Asks], share: f64) -> Vec<(Asks, Vec<usize>)> {
    // Before any practice all are the same people.
    let asked = |at: usize| if share > 0.0 { asks[at] } else { Asks::NOTHING };
    let mut kinds: Vec<Asks> = (0..asks.len()).map(asked).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let members = |kind: Asks| (kind, (0..asks.len()).filter(|at| asked(*at) == kind).collect());
    kinds.into_iter().map(members).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_asks_the_same_stands_together_and_at_first_all_do() {
        let asks = [Asks::BOTH, Asks::NOTHING, Asks::BOTH, Asks::RELEASE];
        assert_eq!(groups_in_practice(&asks, 0.0), [(Asks::NOTHING, vec![0, 1, 2, 3])]);
        let groups = groups_in_practice(&asks, 0.5);
        assert_eq!(groups, [(Asks::NOTHING, vec![1]), (Asks::RELEASE, vec![3]), (Asks::BOTH, vec![0, 2])]);
        assert!(groups_in_practice(&[], 1.0).is_empty());
    }
}
