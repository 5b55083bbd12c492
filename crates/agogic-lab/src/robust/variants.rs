//! Populations with other values of what is assumed.

use agogic_keys::{Purpose, stream};
use agogic_stats::sobol::Design;
use agogic_typist::{Entry, Population};

/// Place of the design among those of a study; sweeps have small ones.
const INDEX: u64 = 1 << 32;

/// A population with some assumed numbers moved.
pub(super) struct Variant {
    /// The number that was moved alone, and to where; `None` where all were.
    pub moved: Option<(String, f64)>,
    pub population: Population,
    /// Factor on all correlations that made them possible; 1 where nothing had to give.
    pub shrink: f64,
}

/// Each number at either end of its range, then so many points of a Latin hypercube over all ranges.
///
/// An end at which the number already stands is left out.
pub(super) fn variants(seed: u64, base: &Population, assumed: &[(Entry, f64, f64)], points: usize) -> Vec<Variant> {
    let with = |numbers: &[(&str, f64)], moved: Option<(String, f64)>| {
        let (population, shrink) = base
            .clone()
            .with_numbers(numbers)
            .expect("the tests change every assumed number of every population to both ends of its range");
        Variant { moved, population, shrink }
    };
    let mut all = Vec::new();
    for (entry, lo, hi) in assumed {
        for end in [*lo, *hi] {
            if end != entry.value {
                all.push(with(&[(&entry.name, end)], Some((entry.name.clone(), end))));
            }
        }
    }
    if points > 0 && !assumed.is_empty() {
        let mut rng = stream(seed, Purpose::Design, INDEX, 0);
        // The design is made for pairs of hypercubes; the first point of each row belongs to one of them.
        let design = Design::latin_hypercube(assumed.len(), points, &mut rng).expect("points and inputs were checked");
        for shares in design.points().step_by(assumed.len() + 2) {
            let at =
                |((entry, lo, hi), share): (&'_ (Entry, f64, f64), &f64)| (entry.name.clone(), lo + (hi - lo) * share);
            let numbers: Vec<(String, f64)> = assumed.iter().zip(&shares).map(at).collect();
            let numbers: Vec<(&str, f64)> = numbers.iter().map(|(name, value)| (name.as_str(), *value)).collect();
            all.push(with(&numbers, None));
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_typist::{Provenance, register_of};

    #[test]
    fn every_assumed_number_is_moved_to_both_ends_and_all_together() {
        let base = Population::volunteers();
        let assumed: Vec<(Entry, f64, f64)> = register_of(&base)
            .into_iter()
            .filter_map(|entry| match entry.provenance {
                Provenance::Assumed { lo, hi, .. } => Some((entry, lo, hi)),
                _ => None,
            })
            .collect();
        let all = variants(1, &base, &assumed, 20);
        let alone = all.iter().filter(|variant| variant.moved.is_some()).count();
        // A number that stands at an end of its range is moved once.
        let at_an_end = assumed.iter().filter(|(entry, lo, hi)| entry.value == *lo || entry.value == *hi).count();
        assert_eq!(alone, 2 * assumed.len() - at_an_end);
        assert_eq!(all.len() - alone, 20);
        assert!(all.iter().all(|variant| variant.population != base));
        assert!(all.iter().all(|variant| variant.shrink > 0.2), "correlations stay most of what was asked");
    }
}
