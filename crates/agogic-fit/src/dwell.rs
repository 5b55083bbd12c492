//! The likelihood of dwells, and of fingers that wait for the one before to come up.

use agogic_keys::Stream;
use agogic_stats::timing::{Continuous, Family, Member};
use agogic_typist::{Constant, InOrderLaw, Population, TRAITS, Trait};
use rand::RngExt;

use crate::block::{Block, Point};
use crate::seen::{Bound, Dwell};

/// The traits behind dwells, in the order of the scores.
const OWN: [Trait; 2] = [Trait::Dwell, Trait::DwellSpread];

/// Constants of a population that dwells hang on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DwellConstants {
    family: Family,
    long_share: f64,
    long_factor: f64,
    in_order: InOrderLaw,
}

impl DwellConstants {
    pub fn of(population: &Population) -> Self {
        let c = |id| population.constant(id);
        Self {
            family: population.dwell_family(),
            long_share: c(Constant::LongDwellShare),
            long_factor: c(Constant::LongDwellFactor),
            in_order: InOrderLaw::of(c),
        }
    }

    /// Probability that whatever a press waits for, if it waits, is over by its end, and the density of that being so
    /// just then.
    fn free(&self, seen: &Dwell) -> (f64, f64) {
        let Some(behind) = seen.behind_us else { return (1.0, 0.0) };
        let (over, density) = self.in_order.lag(seen.us - behind);
        (1.0 - self.in_order.share * (1.0 - over), self.in_order.share * density)
    }
}

/// The law of a typist's dwells.
struct Law<'a> {
    constants: &'a DwellConstants,
    median_us: f64,
    shape: Member,
}

impl<'a> Law<'a> {
    fn new(constants: &'a DwellConstants, own: [f64; 2]) -> Option<Self> {
        let value = |i: usize| TRAITS[OWN[i] as usize].scale.to_natural(own[i]);
        let shape = constants.family.with_median_and_log_sd(1.0, value(1).max(1e-3)).ok()?;
        Some(Self { constants, median_us: value(0) * 1e3, shape })
    }

    /// Density per µs of a dwell that waits for nothing.
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
    /// A dwell D, d its density, ends by itself; rolled onto the press before, which came up at r, with the share q no
    /// sooner than r + a lag that is uniform with the distribution function G and the density g. Then it is at most v
    /// with the probability F(v) = (1 − q + q G(v − r)) P(D ≤ v), and has the density
    /// (1 − q + q G(v − r)) d(v) + q g(v − r) P(D ≤ v).
    fn log(&self, seen: &Dwell) -> f64 {
        let median = self.median_us * libm::exp(seen.offset);
        let t = seen.us.max(1.0);
        let (free, freed) = self.constants.free(seen);
        let likelihood = match seen.bound {
            Bound::Seen if freed > 0.0 => free * self.density(median, t) + freed * (1.0 - self.upper(median, t)),
            Bound::Seen => free * self.density(median, t),
            _ => 1.0 - free + free * self.upper(median, t),
        };
        libm::log(likelihood.max(1e-300))
    }

    /// Probability of a dwell of at most what was seen.
    fn lower(&self, seen: &Dwell) -> f64 {
        let median = self.median_us * libm::exp(seen.offset);
        self.constants.free(seen).0 * (1.0 - self.upper(median, seen.us))
    }
}

/// All dwells of a person.
pub(crate) struct Dwells {
    pub seen: Vec<Dwell>,
    pub constants: DwellConstants,
}

impl Dwells {
    fn own(at: &Point) -> [f64; 2] {
        OWN.map(|id| at[id as usize])
    }

    /// The same presses with dwells drawn anew.
    fn draws(&self, at: &Point, rng: &mut Stream) -> Option<Vec<Dwell>> {
        let law = Law::new(&self.constants, Self::own(at))?;
        let DwellConstants { long_share, long_factor, in_order: InOrderLaw { share, lag_us }, .. } = self.constants;
        let drawn = self.seen.iter().map(|seen| {
            let mut us = law.median_us * libm::exp(seen.offset) * law.shape.sample(rng);
            if rng.random::<f64>() < long_share {
                us *= long_factor;
            }
            let [waits, lag]: [f64; 2] = rng.random();
            if let Some(behind) = seen.behind_us.filter(|_| waits < share) {
                us = us.max(behind + lag_us * lag);
            }
            // A press that its own finger cut short stays a bound: how long it would have been is not known.
            if seen.bound == Bound::Seen { Dwell { us, ..*seen } } else { *seen }
        });
        Some(drawn.collect())
    }
}

impl Block for Dwells {
    fn traits(&self) -> &[Trait] {
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
        let around: Option<Vec<[Law<'_>; 2]>> = (0..2).map(|i| Some([law(i, STEP)?, law(i, -STEP)?])).collect();
        let (Some(centre), Some(around)) = (law(0, 0.0), around) else { return f64::NEG_INFINITY };
        let mut sum = 0.0;
        for seen in &self.seen {
            sum += centre.log(seen);
            let scores: [f64; 2] =
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
        Some(Box::new(Self { seen: self.draws(at, rng)?, constants: self.constants }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Purpose, stream};
    use agogic_stats::kolmogorov_smirnov;

    use crate::climb::climb;
    use crate::prior::Prior;

    fn dwell(us: f64, behind_us: Option<f64>) -> Dwell {
        Dwell { us, bound: Bound::Seen, offset: 0.0, behind_us, at: 0 }
    }

    /// Without rolls and resting fingers dwells are log-normal, whose most likely parameters are the mean and
    /// the SD (of n) of the logs: textbook.
    #[test]
    fn without_rolls_the_likeliest_are_moments_of_logs() {
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

    /// What a rolled press can come to adds up to one, the distribution function is its sum, and a press that its own
    /// finger cut short has the rest.
    #[test]
    fn a_rolled_press_has_a_density() {
        let constants = DwellConstants::of(&Population::volunteers());
        let law = Law::new(&constants, [4.5, -1.0]).unwrap();
        for behind in [40e3, 120e3] {
            let (step, mut sum) = (20.0, 0.0);
            for i in 0..60_000 {
                let us = step * (f64::from(i) + 0.5);
                sum += libm::exp(law.log(&dwell(us, Some(behind)))) * step;
                if i % 500 == 0 {
                    let until = dwell(us + step / 2.0, Some(behind));
                    let below = law.lower(&until);
                    assert!((below - sum).abs() < 2e-3, "{us}: {below} {sum}");
                    let more = libm::exp(law.log(&Dwell { bound: Bound::AtLeast, ..until }));
                    assert!((below + more - 1.0).abs() < 1e-9, "{us}: {below} {more}");
                }
            }
            assert!((sum - 1.0).abs() < 1e-3, "{sum}");
        }
    }

    /// Dwells drawn anew have the law: n = 20 000, alpha = 1e-6. Of a law without waiting they have not.
    #[test]
    fn drawn_dwells_wait() {
        let prior = Prior::of(&Population::volunteers());
        let of = |share: f64| {
            let population = Population::volunteers().with_constant(Constant::InOrder, share).unwrap();
            let seen = (0..20_000).map(|i| dwell(1.0, Some(60e3 + 4.0 * f64::from(i)))).collect();
            Dwells { seen, constants: DwellConstants::of(&population) }
        };
        let drawn = of(0.6).draws(&prior.mean, &mut stream(1, Purpose::Refit, 0, 0)).unwrap();
        let p = |share: f64| {
            let integrals = Dwells { seen: drawn.clone(), ..of(share) }.integrals(&prior.mean);
            kolmogorov_smirnov(&integrals, |u| u.clamp(0.0, 1.0)).unwrap().p_value
        };
        assert!(p(0.6) > 1e-6 && p(0.0) < 1e-6, "{} {}", p(0.6), p(0.0));
    }
}
