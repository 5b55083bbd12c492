//! People who come to hold for the rule they live with.

use crate::constants::Constant;
use crate::population::Population;

/// The share of a habit that is learned after so many holds, if half of it takes `half`.
///
/// # Definition
/// 1 − 2^(−holds ⁄ half): what is left to learn shrinks by the same factor with every hold.
///
/// # Units
/// Holds; the share is from 0 to 1.
///
/// # Undefined
/// NaN where `half` is not above 0.
///
/// # Source
/// Heathcote, Brown & Mewhort (2000), The power law repealed: the case for an exponential law of practice, Psychonomic
/// Bulletin & Review 7:185-207 (abstract seen): in 40 sets of data an exponential fits the practice of single people better
/// than a power function. How many holds a half takes is not published for keys with two roles; whoever asks says it.
pub fn practised_share(holds: f64, half: f64) -> f64 {
    if half > 0.0 { 1.0 - libm::exp2(-holds / half) } else { f64::NAN }
}

/// The holds after which a share of a habit is learned, if half of it takes `half`: the inverse of [`practised_share`].
///
/// # Undefined
/// Infinite for a share of 1, NaN outside 0 to 1.
pub fn holds_to_practise(share: f64, half: f64) -> f64 {
    -half * libm::log2(1.0 - share)
}

impl Population {
    /// The same people, so far on the way from holding as they hold Shift to holding as a rule asks.
    ///
    /// # Definition
    /// The constant `adaptation` becomes `share`. A span that the rule does not ask for (`lead`, `release`) stays as it is with
    /// Shift, a span that it asks for moves by the factor of fully adapted people to the power of `share`. With the share grows
    /// the habit to hold with the hand that does not press the target: any key held by one hand asks for it.
    ///
    /// # Panics
    /// `share` lies outside 0 to 1.
    pub fn practised(&self, lead: bool, release: bool, share: f64) -> Self {
        let within = "a share, and a factor of one, lie in their ranges";
        let mut people = self.clone().with_constant(Constant::Adaptation, share).expect(within);
        for (asked, factor) in [(lead, Constant::AdaptedLead), (release, Constant::AdaptedRelease)] {
            if !asked {
                people = people.with_constant(factor, 1.0).expect(within);
            }
        }
        people
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_to_learn_halves_with_every_so_many_holds() {
        for (holds, share) in [(0.0, 0.0), (50.0, 0.5), (100.0, 0.75), (150.0, 0.875)] {
            assert!((practised_share(holds, 50.0) - share).abs() < 1e-12);
            assert!((holds_to_practise(share, 50.0) - holds).abs() < 1e-9);
        }
        assert_eq!(holds_to_practise(1.0, 50.0), f64::INFINITY);
        assert!(practised_share(1.0, 0.0).is_nan());
    }

    #[test]
    fn only_what_is_asked_moves() {
        let people = Population::volunteers();
        let of = |lead, release, share| {
            let moved = people.practised(lead, release, share);
            [Constant::Adaptation, Constant::AdaptedLead, Constant::AdaptedRelease].map(|id| moved.constant(id))
        };
        let [lead, release] = [Constant::AdaptedLead, Constant::AdaptedRelease].map(|id| people.constant(id));
        assert_eq!(of(false, true, 0.25), [0.25, 1.0, release]);
        assert_eq!(of(true, true, 1.0), [1.0, lead, release]);
        assert_eq!(of(false, false, 1.0), [1.0, 1.0, 1.0]);
        // At the start nothing has moved, whatever is asked: the same people.
        assert_eq!(of(true, true, 0.0)[0], 0.0);
    }
}
