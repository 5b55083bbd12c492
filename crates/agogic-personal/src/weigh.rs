//! What a setting is expected to cost a person: the log and the fitted model together.

use serde::Serialize;

use crate::tally::Errors;

/// Presses of known taps, and of known holds, that count as much as the model's drawn typists.
///
/// # Source
/// Chosen among 30 and 10, 100 and 30, 300 and 30, 300 and 100, 1000 and 100, 3000 and 300 on 193 people of the calibration
/// half of `dhakal2018-sample`, who chose by some ten sentences and were judged by the rest: 38.5, 38.4, 39.1, 42.5, 44.6 and
/// 46.3 wrong decisions per 1000 presses. The data: Dhakal et al. 2018, see `experiments/real-people`.
pub const EVEN: [f64; 2] = [100.0, 30.0];

/// Rates of wrong decisions of one setting.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Rates {
    /// False holds per 1000 taps.
    pub false_holds: f64,
    /// Missed holds per 100 holds.
    pub missed_holds: f64,
    /// Wrong decisions per 1000 presses of dual-role keys, each false hold counted as often as asked.
    pub cost: f64,
}

/// What is known of a person: drawn typists that could be this person, and the presses of known meaning.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Weighing<'a> {
    pub model: &'a Errors,
    pub log: &'a Errors,
    /// What a false hold counts, a missed hold being 1.
    pub false_hold: f64,
    /// Presses that count as much as the model, by meaning.
    pub even: [f64; 2],
}

/// Which setting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Which {
    Grid(usize),
    Beside(usize),
}

impl Errors {
    pub(crate) fn of(&self, which: Which) -> [f64; 2] {
        match which {
            Which::Grid(at) => self.grid[at],
            Which::Beside(at) => self.beside[at],
        }
    }

    /// Wrong decisions per press, by meaning; 0 without presses.
    fn shares(&self, which: Which) -> [f64; 2] {
        let wrong = self.of(which);
        [0, 1].map(|meant: usize| if self.presses[meant] > 0.0 { wrong[meant] / self.presses[meant] } else { 0.0 })
    }

    /// The share of holds among the presses; `None` without any.
    fn held(&self) -> Option<f64> {
        let all = self.presses[0] + self.presses[1];
        (all > 0.0).then(|| self.presses[1] / all)
    }
}

impl Weighing<'_> {
    /// The share of holds among presses.
    pub fn held(&self) -> f64 {
        let known = self.log.presses[0] + self.log.presses[1];
        let even = self.even[0] + self.even[1];
        match (self.model.held(), self.log.held()) {
            (Some(model), Some(log)) => (known * log + even * model) / (known + even),
            (model, log) => model.or(log).unwrap_or(0.0),
        }
    }

    /// How much the log counts beside the model, from 0 to 1.
    pub fn of_log(&self) -> f64 {
        let known = self.log.presses[0] + self.log.presses[1];
        known / (known + self.even[0] + self.even[1])
    }

    /// The rates that are expected of a setting.
    ///
    /// # Definition
    /// By meaning: (w + e m) ⁄ (n + e), w wrong decisions in n presses of the log, m the share of the drawn typists, e
    /// the presses that count as much as these.
    pub fn rates(&self, which: Which) -> Rates {
        let (wrong, model) = (self.log.of(which), self.model.shares(which));
        let share = [0, 1].map(|meant: usize| {
            (wrong[meant] + self.even[meant] * model[meant]) / (self.log.presses[meant] + self.even[meant])
        });
        of_shares(share, self.held(), self.false_hold)
    }

    /// What drawn typists alone lose under a setting.
    pub fn of_drawn(&self, drawn: &Errors, which: Which) -> f64 {
        of_shares(drawn.shares(which), self.held(), self.false_hold).cost
    }

    /// The setting of the grid with the least expected cost; of several the first.
    pub fn best(&self, among: impl Iterator<Item = usize>) -> usize {
        let cost = |at: usize| self.rates(Which::Grid(at)).cost;
        among.map(|at| (cost(at), at)).min_by(|a, b| a.0.total_cmp(&b.0)).expect("a family has settings").1
    }
}

fn of_shares(share: [f64; 2], held: f64, false_hold: f64) -> Rates {
    let cost = 1000.0 * (false_hold * share[0] * (1.0 - held) + share[1] * held);
    Rates { false_holds: 1000.0 * share[0], missed_holds: 100.0 * share[1], cost }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn errors(presses: [f64; 2], grid: &[[f64; 2]]) -> Errors {
        Errors { presses, grid: grid.to_vec(), beside: vec![] }
    }

    #[test]
    fn the_log_outweighs_the_model_as_it_grows() {
        // The model prefers the first setting, the log the second.
        let model = errors([10_000.0, 1000.0], &[[10.0, 50.0], [100.0, 100.0]]);
        let log = |factor: f64| errors([900.0 * factor, 100.0 * factor], &[[45.0 * factor, 20.0 * factor], [0.0; 2]]);
        let best = |log: &Errors| Weighing { model: &model, log, false_hold: 1.0, even: [300.0, 30.0] }.best(0..2);
        assert_eq!((best(&log(0.0)), best(&log(0.01)), best(&log(10.0))), (0, 0, 1));
    }

    #[test]
    fn rates_by_hand() {
        let model = errors([1000.0, 100.0], &[[20.0, 10.0]]);
        let log = errors([100.0, 10.0], &[[4.0, 3.0]]);
        let weighing = Weighing { model: &model, log: &log, false_hold: 2.0, even: [100.0, 10.0] };
        let found = weighing.rates(Which::Grid(0));
        // Taps: (4 + 100 × 0.02) ⁄ 200; holds: (3 + 10 × 0.1) ⁄ 20; one press in eleven is a hold.
        assert!((found.false_holds - 30.0).abs() < 1e-9 && (found.missed_holds - 20.0).abs() < 1e-9);
        assert!((found.cost - 1000.0 * (2.0 * 0.03 * 10.0 / 11.0 + 0.2 / 11.0)).abs() < 1e-9);
        assert!((weighing.of_log() - 0.5).abs() < 1e-12);
    }
}
