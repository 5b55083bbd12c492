//! The likelihood of dwells, and of fingers that lift as the next one strikes.

use agogic_keys::Stream;
use agogic_stats::timing::{Continuous, Family, Member};
use agogic_typist::{Constant, Population, TRAITS, Trait};
use rand::RngExt;

use crate::block::{Block, Point};
use crate::seen::{Bound, Dwell};

/// The traits behind dwells, in the order of the scores.
const OWN: [Trait; 3] = [Trait::Dwell, Trait::DwellSpread, Trait::LiftFirst];

/// Constants of a population that dwells hang on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DwellConstants {
    family: Family,
    long_share: f64,
    long_factor: f64,
    lift_us: f64,
    kept: f64,
}

impl DwellConstants {
    pub fn of(population: &Population) -> Self {
        let c = |id| population.constant(id);
        Self {
            family: population.dwell_family(),
            long_share: c(Constant::LongDwellShare),
            long_factor: c(Constant::LongDwellFactor),
            lift_us: c(Constant::LiftMs) * 1e3,
            kept: c(Constant::OverlapKept),
        }
    }
}

/// The law of a typist's dwells.
struct Law<'a> {
    constants: &'a DwellConstants,
    median_us: f64,
    lift_first: f64,
    shape: Member,
}

impl<'a> Law<'a> {
    fn new(constants: &'a DwellConstants, own: [f64; 3]) -> Option<Self> {
        let value = |i: usize| TRAITS[OWN[i] as usize].scale.to_natural(own[i]);
        let shape = constants.family.with_median_and_log_sd(1.0, value(1).max(1e-3)).ok()?;
        Some(Self { constants, median_us: value(0) * 1e3, lift_first: value(2), shape })
    }

    /// Density per µs of a dwell that nothing shortens.
    fn density(&self, median: f64, t: f64) -> f64 {
        let DwellConstants { long_share, long_factor, .. } = *self.constants;
        let one = |median: f64| self.shape.pdf(t / median) / median;
        (1.0 - long_share) * one(median) + if long_share > 0.0 { long_share * one(median * long_factor) } else { 0.0 }
    }

    /// Probability that it is longer.
    fn upper(&self, median: f64, t: f64) -> f64 {
        let DwellConstants { long_share, long_factor, .. } = *self.constants;
        let one = |median: f64| self.shape.upper(t / median);
        (1.0 - long_share) * one(median) + if long_share > 0.0 { long_share * one(median * long_factor) } else { 0.0 }
    }

    /// # Definition
    /// A dwell D ends by itself if it is shorter than the time g to the next press. Else, with the share L
    /// of lifting first, it ends up to a lift time before that press; otherwise it ends g + κ (D − g) after
    /// its own press, κ the share of an overlap that remains.
    fn log(&self, seen: &Dwell) -> f64 {
        let median = self.median_us * libm::exp(seen.offset);
        let DwellConstants { lift_us, kept, .. } = *self.constants;
        let t = seen.us.max(1.0);
        let likelihood = match (seen.bound, seen.next_us) {
            (Bound::Seen, None) => self.density(median, t),
            (_, None) => self.upper(median, t),
            (Bound::Seen, Some(next)) => {
                let after = || (1.0 - self.lift_first) * self.density(median, next + (t - next).max(0.0) / kept) / kept;
                let before = || {
                    let lifted = t > next - lift_us;
                    let early = if lifted { self.lift_first * self.upper(median, next) / lift_us } else { 0.0 };
                    self.density(median, t.min(next)) + early
                };
                match seen.tie {
                    true => 0.5 * (before() + after()),
                    false if t > next => after(),
                    false => before(),
                }
            }
            (_, Some(next)) if t > next => (1.0 - self.lift_first) * self.upper(median, next + (t - next) / kept),
            (_, Some(_)) => self.upper(median, t),
        };
        libm::log(likelihood.max(1e-300))
    }

    /// Probability of a dwell of at most what was seen.
    fn lower(&self, seen: &Dwell) -> f64 {
        let median = self.median_us * libm::exp(seen.offset);
        let DwellConstants { lift_us, kept, .. } = *self.constants;
        let lower = |t: f64| 1.0 - self.upper(median, t);
        match seen.next_us {
            None => lower(seen.us),
            Some(next) if seen.us > next => {
                1.0 - (1.0 - self.lift_first) * self.upper(median, next + (seen.us - next) / kept)
            }
            Some(next) => {
                let part = ((seen.us - (next - lift_us)) / lift_us).clamp(0.0, 1.0);
                lower(seen.us) + self.lift_first * self.upper(median, next) * part
            }
        }
    }
}

/// All dwells of a person.
pub(crate) struct Dwells {
    pub seen: Vec<Dwell>,
    pub constants: DwellConstants,
}

impl Dwells {
    fn own(at: &Point) -> [f64; 3] {
        OWN.map(|id| at[id as usize])
    }
}

impl Block for Dwells {
    fn traits(&self) -> &'static [Trait] {
        &OWN
    }

    fn len(&self) -> usize {
        self.seen.len()
    }

    fn scores(&self, at: &Point, visit: &mut dyn FnMut(u32, &[f64])) -> f64 {
        const STEP: f64 = 1e-4;
        // The laws around the point are shared by all dwells.
        let own = Self::own(at);
        let law = |i: usize, by: f64| {
            let mut point = own;
            point[i] += by;
            Law::new(&self.constants, point)
        };
        let around: Option<Vec<[Law<'_>; 2]>> = (0..3).map(|i| Some([law(i, STEP)?, law(i, -STEP)?])).collect();
        let (Some(centre), Some(around)) = (law(0, 0.0), around) else { return f64::NEG_INFINITY };
        let mut sum = 0.0;
        for seen in &self.seen {
            sum += centre.log(seen);
            let scores: [f64; 3] =
                std::array::from_fn(|i| (around[i][0].log(seen) - around[i][1].log(seen)) / (2.0 * STEP));
            visit(seen.at, &scores);
        }
        sum
    }

    fn value(&self, at: &Point) -> f64 {
        let Some(law) = Law::new(&self.constants, Self::own(at)) else { return f64::NEG_INFINITY };
        self.seen.iter().map(|seen| law.log(seen)).sum()
    }

    fn integrals(&self, at: &Point) -> Vec<f64> {
        let Some(law) = Law::new(&self.constants, Self::own(at)) else { return Vec::new() };
        self.seen.iter().filter(|seen| seen.bound == Bound::Seen).map(|seen| law.lower(seen)).collect()
    }

    fn drawn(&self, at: &Point, rng: &mut Stream) -> Option<Box<dyn Block>> {
        let law = Law::new(&self.constants, Self::own(at))?;
        let DwellConstants { long_share, long_factor, lift_us, kept, .. } = self.constants;
        let drawn = self.seen.iter().map(|seen| {
            let mut us = law.median_us * libm::exp(seen.offset) * law.shape.sample(rng);
            if rng.random::<f64>() < long_share {
                us *= long_factor;
            }
            let lift: f64 = rng.random();
            if let Some(next) = seen.next_us.filter(|next| us > *next) {
                us = if lift < law.lift_first {
                    (next - lift_us * lift / law.lift_first).max(1.0)
                } else {
                    next + kept * (us - next)
                };
            }
            // A press that its own finger cut short stays a bound: how long it would have been is not known.
            if seen.bound == Bound::Seen { Dwell { us, ..*seen } } else { *seen }
        });
        Some(Box::new(Self { seen: drawn.collect(), constants: self.constants }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::climb::climb;
    use crate::prior::Prior;

    fn dwell(us: f64, next_us: Option<f64>) -> Dwell {
        Dwell { us, bound: Bound::Seen, offset: 0.0, next_us, tie: false, at: 0 }
    }

    /// Without overlaps and resting fingers dwells are log-normal, whose most likely parameters are the mean and
    /// the SD (of n) of the logs: textbook.
    #[test]
    fn without_overlaps_the_likeliest_are_moments_of_logs() {
        let population = Population::volunteers().with_constant(Constant::LongDwellShare, 0.0).unwrap();
        let times = [70e3, 85e3, 92e3, 101e3, 88e3, 130e3, 64e3, 97e3];
        let block = Dwells { seen: times.map(|t| dwell(t, None)).to_vec(), constants: DwellConstants::of(&population) };
        let prior = Prior::of(&population);
        let at = climb(&[&block], &prior.flat(), &prior.mean).unwrap();
        let logs = times.map(|t: f64| t.ln());
        let mean = logs.iter().sum::<f64>() / 8.0;
        let sd = (logs.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 8.0).sqrt();
        assert!((at[Trait::Dwell as usize] + 1e3_f64.ln() - mean).abs() < 2e-4, "{} {mean}", at[Trait::Dwell as usize]);
        assert!((at[Trait::DwellSpread as usize].exp() / sd - 1.0).abs() < 2e-3);
    }

    /// What a press can come to adds up to one, and the distribution function is its sum.
    #[test]
    fn a_loosened_press_has_a_density() {
        let population = Population::volunteers();
        let constants = DwellConstants::of(&population);
        let law = Law::new(&constants, [4.5, -1.0, -1.5]).unwrap();
        let (step, next) = (20.0, Some(90e3));
        let mut sum = 0.0;
        for i in 0..60_000 {
            let us = step * (f64::from(i) + 0.5);
            sum += libm::exp(law.log(&dwell(us, next))) * step;
            if i % 500 == 0 {
                let below = law.lower(&dwell(us + step / 2.0, next));
                assert!((below - sum).abs() < 2e-3, "{us}: {below} {sum}");
            }
        }
        assert!((sum - 1.0).abs() < 1e-3, "{sum}");
    }
}
