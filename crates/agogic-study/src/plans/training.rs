//! On whom rules learn.

use agogic_typist::Population;

/// On whom a rule learns, and from how much. Training typists are never judged.
#[derive(Clone, Debug, PartialEq)]
pub struct TrainingPlan {
    /// Typists from whom tables are learned.
    pub typists: u64,
    /// Presses of each.
    pub keys: usize,
    /// Typists that make up the prior of personal values; these are always of the arm's own population.
    pub prior_typists: u64,
    /// Whose typists they are.
    pub on: TrainedOn,
    /// Whether each of them has values of its own for every number of the model that is assumed, drawn evenly over the
    /// stated range.
    pub over_ranges: bool,
}

/// Whose typists a rule learns from.
#[derive(Clone, Debug, PartialEq)]
pub enum TrainedOn {
    /// Those of the arm's own population.
    Own,
    /// Those of several populations, in proportion to positive weights; the same for all arms on a keyboard.
    Mixture(Vec<(Population, f64)>),
}

impl TrainingPlan {
    /// Name of the mixture where a few words have to do.
    pub const MIXTURE: &'static str = "a mixture";

    /// On whom a rule learns in an arm of some people, in a few words.
    pub fn words(&self, own: &Population) -> String {
        let whom = match &self.on {
            TrainedOn::Own => own.name(),
            TrainedOn::Mixture(_) => Self::MIXTURE,
        };
        whom.to_owned()
    }

    /// The same with every word it takes, for a note.
    pub fn in_full(&self) -> String {
        let n = self.typists;
        let ranges = if self.over_ranges { ", each with other values of every number that is assumed" } else { "" };
        match &self.on {
            TrainedOn::Own => format!("{n} other typists of the same population{ranges}"),
            TrainedOn::Mixture(all) => {
                let parts: Vec<String> =
                    all.iter().map(|(population, weight)| format!("{} {weight}", population.name())).collect();
                format!("{n} other typists of a mixture (weights: {}){ranges}", parts.join(", "))
            }
        }
    }

    /// The population of a training typist, by its place among them.
    ///
    /// # Definition
    /// Typist i of n is of the population in whose share of the weights (i + ½) ⁄ n falls, so each has its share to within
    /// one typist.
    pub fn population_of<'a>(&'a self, own: &'a Population, place: u64) -> &'a Population {
        let TrainedOn::Mixture(all) = &self.on else { return own };
        let sum: f64 = all.iter().map(|(_, weight)| weight).sum();
        let at = (place as f64 + 0.5) / self.typists as f64 * sum;
        let mut up_to = 0.0;
        let found = all.iter().find(|(_, weight)| {
            up_to += weight;
            at < up_to
        });
        &found.or(all.last()).expect("a mixture is of something").0
    }
}

impl Default for TrainingPlan {
    /// 200 typists of 4000 presses of the arm's own population as it is; 60 typists behind personal values.
    fn default() -> Self {
        Self { typists: 200, keys: 4000, prior_typists: 60, on: TrainedOn::Own, over_ranges: false }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_population_has_its_share_of_the_typists() {
        let mixture = [("volunteers", 2.0), ("trained", 1.0), ("slow", 1.0)];
        let mixture = mixture.map(|(name, weight)| (Population::by_name(name).unwrap(), weight));
        let plan = TrainingPlan { typists: 100, on: TrainedOn::Mixture(mixture.into()), ..TrainingPlan::default() };
        let own = Population::slow();
        let count = |name: &str| (0..100).filter(|&at| plan.population_of(&own, at).name() == name).count();
        assert_eq!((count("volunteers"), count("trained"), count("slow")), (50, 25, 25));
        let alone = TrainingPlan { on: TrainedOn::Own, ..plan };
        assert!((0..100).all(|at| alone.population_of(&own, at).name() == "slow"));
    }
}
