//! The likelihood of hold gestures: lead, release, the hand that holds, lull before; and of corrections.

use agogic_keys::{Hand, Stream};
use agogic_stats::{normal_density, normal_lower};
use agogic_typist::{Constant, Population, Trait};
use rand::RngExt;
use rand_distr::{Distribution, StandardNormal};

use crate::block::{Block, Point, differences};
use crate::interval::{IntervalConstants, Law, OWN as INTERVAL_TRAITS};
use crate::quadrature::Nodes;
use crate::seen::{GestureTime, Interval, Side};

/// The log of what learning to hold keys with two roles multiplies a habit by.
pub(crate) fn log_learned(population: &Population, id: Constant) -> f64 {
    population.constant(Constant::Adaptation) * libm::log(population.constant(id))
}

/// Times of hold gestures: held key to first target, or last target to the held key's release.
pub(crate) struct GestureTimes {
    /// The trait that is their median.
    pub id: [Trait; 1],
    pub seen: Vec<GestureTime>,
    pub spread: f64,
    /// Log of the factor of a typist who has learned to hold keys with two roles.
    pub log_learned: f64,
    /// Share of gestures with a pause, and its log factor.
    pub think: (f64, f64),
}

impl GestureTimes {
    /// Log of a time less what learning makes of it, and the log median.
    fn logs(&self, at: &Point, seen: &GestureTime) -> (f64, f64) {
        let learned = if seen.dual { self.log_learned } else { 0.0 };
        (libm::log(seen.us.max(1.0)) - learned, at[self.id[0] as usize] + libm::log(1e3))
    }
}

impl Block for GestureTimes {
    fn traits(&self) -> &[Trait] {
        &self.id
    }

    fn len(&self) -> usize {
        self.seen.len()
    }

    /// # Definition
    /// Log-normal; in the share with a pause, longer by its factor.
    fn scores(&self, at: &Point, visit: &mut dyn FnMut(u32, &[f64])) -> f64 {
        let (share, factor) = self.think;
        let s = self.spread.max(1e-3);
        let mut sum = 0.0;
        for seen in &self.seen {
            let (x, log_median) = self.logs(at, seen);
            let (value, [slope]) = differences([log_median], |&[m]| {
                let one = |m: f64| normal_density((x - m) / s) / s;
                libm::log(((1.0 - share) * one(m) + share * one(m + factor)).max(1e-300))
            });
            sum += value;
            visit(seen.at, &[slope]);
        }
        sum
    }

    fn integrals(&self, at: &Point) -> Vec<f64> {
        let (share, factor) = self.think;
        let lower = |x: f64| normal_lower(x / self.spread.max(1e-3));
        let one = |seen: &GestureTime| {
            let (x, log_median) = self.logs(at, seen);
            (1.0 - share) * lower(x - log_median) + share * lower(x - log_median - factor)
        };
        self.seen.iter().map(one).collect()
    }

    fn drawn(&self, at: &Point, rng: &mut Stream) -> Option<Box<dyn Block>> {
        let (share, factor) = self.think;
        let drawn = self.seen.iter().map(|seen| {
            let z: f64 = StandardNormal.sample(rng);
            let learned = if seen.dual { self.log_learned } else { 0.0 };
            let pause = if rng.random::<f64>() < share { factor } else { 0.0 };
            let (_, log_median) = self.logs(at, seen);
            GestureTime { us: libm::exp(log_median + learned + pause + self.spread * z), ..*seen }
        });
        Some(Box::new(Self { seen: drawn.collect(), ..*self }))
    }
}

/// Which hand held for targets that lie under the holding hand.
pub(crate) struct Sides {
    pub seen: Vec<Side>,
    /// What learning leaves of the share on keys with two roles.
    pub learned: f64,
}

impl Sides {
    /// Of gestures that either hand could have made, those under the holding hand, with that hand.
    ///
    /// # Definition
    /// The holding hand is the one that holds for more targets of its own; among equals, the one that holds more often.
    /// The model knows no holds of that kind by the other hand: where a log has some, they are left out.
    pub fn of(seen: &[Side], learned: f64) -> (Self, Option<Hand>) {
        let count = |hand: Hand| {
            let own = seen.iter().filter(|side| side.same && side.target == hand).count();
            let by = seen.iter().filter(|side| side.same == (side.target == hand)).count();
            (own, by)
        };
        let [left, right] = [Hand::Left, Hand::Right].map(count);
        let hand = if left >= right { Hand::Left } else { Hand::Right };
        let seen = seen.iter().filter(|side| side.target == hand).copied().collect();
        (Self { seen, learned }, (left.0 != right.0).then_some(hand))
    }
}

impl Block for Sides {
    fn traits(&self) -> &[Trait] {
        &[Trait::OneHand]
    }

    fn len(&self) -> usize {
        self.seen.len()
    }

    fn scores(&self, at: &Point, visit: &mut dyn FnMut(u32, &[f64])) -> f64 {
        let own = 1.0 / (1.0 + libm::exp(-at[Trait::OneHand as usize]));
        let mut sum = 0.0;
        for seen in &self.seen {
            let share = own * if seen.dual { self.learned } else { 1.0 };
            let (likelihood, slope) =
                if seen.same { (share, 1.0) } else { (1.0 - share, -share / (1.0 - share).max(1e-12)) };
            sum += libm::log(likelihood.max(1e-300));
            visit(seen.at, &[slope * (1.0 - own)]);
        }
        sum
    }
}

/// Intervals before held keys. What they tell of the intervals themselves is left to those of typing.
///
/// The lull is fitted with these held at their estimate, and takes over a part of its error: [`Lulls::leans`].
pub(crate) struct Lulls {
    pub seen: Vec<Interval>,
    /// Where the laws of intervals are held.
    pub held: Point,
    pub spread: f64,
    pub constants: IntervalConstants,
    pub nodes: Nodes,
}

impl Lulls {
    /// How far the estimate of the lull moves with each trait of the intervals that is held.
    ///
    /// # Definition
    /// The lull is where its score s and the slope of the prior sum to zero, so it moves by ∂s/∂held over the
    /// curvature and the precision of the prior: `stiff`. The derivative is a central difference.
    ///
    /// # Source
    /// Murphy & Topel (1985), Journal of Business & Economic Statistics 3:370, for estimates in two steps (from
    /// memory).
    pub fn leans(&self, at: &Point, sd: &Point, stiff: f64) -> Vec<(Trait, f64)> {
        let score = |held: Point| {
            let moved =
                Self { seen: self.seen.clone(), held, constants: self.constants, nodes: self.nodes.clone(), ..*self };
            let mut sum = 0.0;
            moved.scores(at, &mut |_, scores| sum += scores[0]);
            sum
        };
        let one = |id: &Trait| {
            let step = 1e-3 * sd[*id as usize].max(1e-3);
            let side = |by: f64| {
                let mut held = self.held;
                held[*id as usize] += by;
                score(held)
            };
            (*id, (side(step) - side(-step)) / (2.0 * step) / stiff)
        };
        INTERVAL_TRAITS.iter().map(one).collect()
    }
}

impl Block for Lulls {
    fn traits(&self) -> &[Trait] {
        &[Trait::Lull]
    }

    fn len(&self) -> usize {
        self.seen.len()
    }

    /// # Definition
    /// The interval before a held key is an interval of typing times a log-normal factor.
    fn scores(&self, at: &Point, visit: &mut dyn FnMut(u32, &[f64])) -> f64 {
        let law = Law::new(&self.constants, &self.nodes, &self.held);
        let mut sum = 0.0;
        for seen in &self.seen {
            let log_us = libm::log(seen.us.max(1.0));
            let (value, [slope]) = differences([at[Trait::Lull as usize]], |&[lull]| {
                let density: f64 = self
                    .nodes
                    .at
                    .iter()
                    .zip(&self.nodes.weights)
                    .map(|(z, weight)| {
                        weight * libm::exp(law.log_density_of_log(seen, log_us - lull - self.spread * z))
                    })
                    .sum();
                libm::log(density.max(1e-300))
            });
            sum += value;
            visit(seen.at, &[slope]);
        }
        sum
    }
}

/// Runs of Backspaces among letters.
pub(crate) struct Corrections {
    pub letters: u64,
    pub runs: u64,
    /// Share of noticed slips that leave anything to take back.
    pub visible: f64,
}

/// Share of noticed slips that leave anything to take back: a key left out and missed at once leaves nothing.
pub(crate) fn visible(population: &Population) -> f64 {
    1.0 - population.constant(Constant::Omission) / (1.0 + population.constant(Constant::DetectionLag))
}

impl Corrections {
    /// Share of slips, share noticed, and the product.
    fn shares(&self, at: &Point) -> (f64, f64, f64) {
        let share = |id: Trait| 1.0 / (1.0 + libm::exp(-at[id as usize]));
        let (slips, noticed) = (share(Trait::Slips), share(Trait::Detection));
        (slips, noticed, (self.visible * slips * noticed).clamp(1e-12, 1.0 - 1e-12))
    }
}

impl Block for Corrections {
    fn traits(&self) -> &[Trait] {
        &[Trait::Slips, Trait::Detection]
    }

    fn len(&self) -> usize {
        usize::from(self.letters > 0)
    }

    fn expected(&self, at: &Point) -> Option<Vec<f64>> {
        let (slips, noticed, p) = self.shares(at);
        let slopes = [p * (1.0 - slips), p * (1.0 - noticed)];
        let own = self.letters as f64 / (p * (1.0 - p));
        Some(slopes.iter().flat_map(|a| slopes.map(|b| own * a * b)).collect())
    }

    /// # Definition
    /// Runs are binomial among the letters with the product of the share of slips, the share noticed and the share of
    /// those that leave anything to take back.
    fn scores(&self, at: &Point, visit: &mut dyn FnMut(u32, &[f64])) -> f64 {
        let (slips, noticed, p) = self.shares(at);
        let (n, k) = (self.letters as f64, (self.runs as f64).min(self.letters as f64));
        let by_p = k / p - (n - k) / (1.0 - p);
        visit(0, &[by_p * p * (1.0 - slips), by_p * p * (1.0 - noticed)]);
        k * libm::log(p) + (n - k) * libm::log1p(-p)
    }
}
