//! The parts of a person's likelihood, put together.

use agogic_typist::{Constant, Population, Trait};

use crate::block::{Block, Point};
use crate::dwell::{DwellConstants, Dwells};
use crate::gesture::{Corrections, GestureTimes, Lulls, Sides, log_learned, visible};
use crate::interval::{IntervalConstants, Intervals};
use crate::quadrature::Nodes;
use crate::seen::Seen;

/// Points of the quadrature over fluent intervals.
const NODES: usize = 12;

/// The parts of a person's likelihood.
pub(crate) struct Parts {
    pub intervals: Intervals,
    pub dwells: Dwells,
    pub leads: GestureTimes,
    pub releases: GestureTimes,
    pub sides: Sides,
    pub lulls: Lulls,
    pub corrections: Corrections,
}

impl Parts {
    pub fn of(seen: Seen, sides: Sides, population: &Population, held: Point) -> Self {
        let c = |id| population.constant(id);
        let constants = IntervalConstants::of(population);
        let nodes = Nodes::new(NODES);
        Self {
            intervals: Intervals { seen: seen.intervals, constants, nodes: nodes.clone() },
            dwells: Dwells { seen: seen.dwells, constants: DwellConstants::of(population) },
            leads: GestureTimes {
                id: [Trait::Lead],
                seen: seen.leads,
                spread: c(Constant::LeadSpread),
                log_learned: log_learned(population, Constant::AdaptedLead),
                think: (c(Constant::ThinkShare), libm::log(c(Constant::ThinkFactor))),
            },
            releases: GestureTimes {
                id: [Trait::Release],
                seen: seen.releases,
                spread: c(Constant::ReleaseSpread),
                log_learned: log_learned(population, Constant::AdaptedRelease),
                think: (0.0, 0.0),
            },
            sides,
            lulls: Lulls { seen: seen.lulls, held, spread: c(Constant::LullSpread), constants, nodes },
            corrections: Corrections { letters: seen.letters, runs: seen.corrections, visible: visible(population) },
        }
    }

    pub fn all(&self) -> [&dyn Block; 7] {
        [&self.intervals, &self.dwells, &self.leads, &self.releases, &self.sides, &self.lulls, &self.corrections]
    }
}
