//! The ways to an error: which draws led to those that were found.

use std::collections::BTreeSet;

use agogic_typist::{Channel, Drawn, Shift, TRAITS};

use crate::proposal::Way;
use crate::simulator::{Found, Visit};

/// Errors, and typists with errors, that a press must have brought about before a way of its own is read off them.
const ERRORS: usize = 12;
const TYPISTS: usize = 6;

/// The least share of the draws that a way gets.
const LEAST_SHARE: f64 = 0.05;

/// Effective errors below which weights are evened out before a shift is read off them.
const EFFECTIVE: f64 = 40.0;

/// Shifts that are drawn, at most.
const FURTHEST: f64 = 6.0;

/// The ways to errors at `level` or harder, one for each press that may bring them about.
///
/// # Definition
/// An error is laid to the press whose draws are the least likely of those that were tilted. The errors of one
/// press have a shift of their own, since the mean of two ways may lead nowhere. A way takes a share in
/// proportion to the square root of its weight, so that a small one is seen often enough for its weights to be even.
///
/// An earlier press to which too few errors were laid gets the way of the press itself, moved to it. Fingers that let go in
/// order hand a long dwell on, and ordinary draws would hardly ever show it: without this way, most runs would
/// miss such errors and not know it.
pub(crate) fn ways(visits: &[Visit], level: usize) -> Vec<Way> {
    let mut by_press: [Vec<(usize, &Visit, &Found)>; Shift::PRESSES] = Default::default();
    for (typist, visit) in visits.iter().enumerate() {
        for found in visit.found.iter().filter(|found| found.level >= level) {
            by_press[least_likely(&found.drawn)].push((typist, visit, found));
        }
    }
    let people = |errors: &[(usize, &Visit, &Found)]| errors.iter().map(|error| error.0).collect::<BTreeSet<_>>().len();
    let is_enough = |errors: &[_]| errors.len() >= ERRORS && people(errors) >= TYPISTS;
    let of_own = if is_enough(&by_press[Shift::OWN]) { &by_press[Shift::OWN] } else { &by_press.concat() };
    let own = centre(of_own);
    let mut ways: Vec<Way> = Vec::new();
    for (press, errors) in by_press.iter().enumerate() {
        if press == Shift::OWN {
            ways.push(own.clone());
        } else if is_enough(errors) {
            ways.push(centre(errors));
        } else if press < Shift::OWN {
            ways.push(Way { share: 0.0, noise: earlier(&own.noise, Shift::OWN - press), ..own.clone() });
        }
    }
    let roots: Vec<f64> = ways.iter().map(|way| libm::sqrt(way.share)).collect();
    let count = ways.len() as f64;
    let (sum, free) = (roots.iter().sum::<f64>(), 1.0 - LEAST_SHARE * count);
    for (way, root) in ways.iter_mut().zip(roots) {
        // Weights may be so small that they sum to nothing.
        way.share = if sum > 0.0 { LEAST_SHARE + free * root / sum } else { 1.0 / count };
    }
    ways
}

/// The same shift of presses that come so many before.
fn earlier(shift: &Shift, presses: usize) -> Shift {
    let mut moved = Shift::default();
    moved.values[..Shift::PRESSES - presses].copy_from_slice(&shift.values[presses..]);
    moved
}

/// The press whose draws are the least likely under the model.
fn least_likely(drawn: &[Drawn]) -> usize {
    let mut surprise = [0.0; Shift::PRESSES];
    for one in drawn {
        surprise[one.press] += if one.channel.is_choice() {
            -libm::log(if one.value > 0.5 { one.chance } else { 1.0 - one.chance })
        } else {
            0.5 * (one.value * one.value - 1.0)
        };
    }
    // The later of two equal ones.
    (0..Shift::PRESSES).max_by(|&a, &b| surprise[a].total_cmp(&surprise[b])).unwrap_or(Shift::OWN)
}

/// The weighted means of what led to these errors, with their weight as share: the shifts of least cross-entropy.
///
/// For a choice the shift is the difference of log odds between the errors and the model. Means that the errors
/// do not tell from the model's are set to it, since each needless shift makes the weights more uneven.
fn centre(found: &[(usize, &Visit, &Found)]) -> Way {
    let errors = || found.iter().map(|&(_, visit, found)| (visit, found));
    let share = errors().map(|(visit, found)| visit.weight * found.weight).sum();
    let logs: Vec<f64> = errors().map(|(visit, found)| libm::log(visit.weight * found.weight)).collect();
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights_at = |power: f64| -> Vec<f64> { logs.iter().map(|log| libm::exp(power * (log - top))).collect() };
    // Errors of one typist share that typist, so effective typists count for the traits.
    let effective = |weights: &[f64]| {
        let (sum, squares) = weights.iter().fold((0.0, 0.0), |(sum, squares), w| (sum + w, squares + w * w));
        sum * sum / squares
    };
    let powers = [1.0, 0.8, 0.6, 0.4, 0.2, 0.0];
    let weights = powers.map(weights_at).into_iter().find(|w| effective(w) >= EFFECTIVE).unwrap_or(weights_at(0.0));
    let total: f64 = weights.iter().sum();
    let mut by_typist = std::collections::BTreeMap::new();
    for ((visit, _), weight) in errors().zip(&weights) {
        by_typist.entry(std::ptr::from_ref(visit) as usize).or_insert((visit, 0.0)).1 += weight;
    }
    let typists: Vec<f64> = by_typist.values().map(|(_, weight)| *weight).collect();
    let noise_of_traits = 2.0 / libm::sqrt(effective(&typists));
    let noise_of_presses = 2.0 / libm::sqrt(effective(&weights));
    let clear = |mean: f64, noise: f64| if mean.abs() > noise { mean.clamp(-FURTHEST, FURTHEST) } else { 0.0 };
    let mut traits = [0.0; TRAITS.len()];
    for (i, value) in traits.iter_mut().enumerate() {
        let mean = errors().zip(&weights).map(|((visit, _), weight)| weight * visit.at[i]).sum::<f64>() / total;
        *value = clear(mean, noise_of_traits);
    }
    // By press and channel: Σ weight, Σ weight × value, Σ weight × chance.
    let mut sums = [[[0.0; 3]; Channel::COUNT]; Shift::PRESSES];
    let mut choices = [[false; Channel::COUNT]; Shift::PRESSES];
    for ((_, found), weight) in errors().zip(&weights) {
        for drawn in &found.drawn {
            let at = (drawn.press, drawn.channel as usize);
            let sum = &mut sums[at.0][at.1];
            *sum = [sum[0] + weight, sum[1] + weight * drawn.value, sum[2] + weight * drawn.chance];
            choices[at.0][at.1] = drawn.channel.is_choice();
        }
    }
    let mut noise = Shift::default();
    for press in 0..Shift::PRESSES {
        for channel in 0..Channel::COUNT {
            let [weight, value, chance] = sums[press][channel];
            // A channel that few of the errors drew says little.
            if weight < 0.02 * total {
                continue;
            }
            let scale = libm::sqrt(total / weight);
            let (mean, expected) = (value / weight, chance / weight);
            noise.values[press][channel] = if choices[press][channel] {
                let few = 0.5 / (effective(&weights) * weight / total).max(1.0);
                let odds = |share: f64| libm::log(share / (1.0 - share));
                let shift = odds(mean.clamp(few, 1.0 - few)) - odds(expected.clamp(1e-9, 1.0 - 1e-9));
                let spread = libm::sqrt(expected * (1.0 - expected)).max(1e-9);
                if (mean - expected).abs() > noise_of_presses * scale * spread {
                    shift.clamp(-FURTHEST, FURTHEST)
                } else {
                    0.0
                }
            } else {
                clear(mean, noise_of_presses * scale)
            };
        }
    }
    Way { share, traits, noise }
}
