//! The fit of entries: an additive logistic regression over cells, within a stated prior.

/// Cells of one table, as a column of the regression.
pub(crate) struct Column {
    /// The cell of each press; [`NOWHERE`] where the table says nothing of it.
    pub cells: Vec<u16>,
    /// Cells there are.
    pub len: usize,
    /// Curvature of the prior of each weight: one over its variance in nats².
    pub ridge: f64,
}

/// The cell of a press that a table says nothing of.
pub(crate) const NOWHERE: u16 = u16::MAX;

/// Most passes over all columns, and the largest change of a weight, in nats, that ends them.
const PASSES: usize = 60;
const CHANGE: f64 = 0.01;

/// Log odds of a hold as a constant and one weight for the cell of each column.
///
/// # Definition
/// The weights, and the constant, that maximise the sum of the log likelihoods of the presses (hold or tap, given offset,
/// constant and weights) less ridge/2 · weight² for every weight: the mode under independent normal priors with mean zero.
/// A cell that no press falls into keeps the weight zero. Each pass takes one Newton step for all cells of a column
/// at once, which is exact block by block, for a press falls into one cell of it; no step is longer than one nat.
///
/// Presses are visited in the order given, so the result is the same bits however they were made.
///
/// # Source
/// Genkin, Lewis & Madigan 2007, Technometrics 49:291, for logistic regression under such priors by coordinates with
/// bounded steps (from memory).
pub(crate) struct Regression<'a> {
    holds: &'a [bool],
    offsets: Vec<f64>,
    /// The log odds of each press as they stand.
    odds: Vec<f64>,
    pub constant: f64,
}

impl<'a> Regression<'a> {
    pub fn new(holds: &'a [bool], offsets: Vec<f64>) -> Self {
        Self { holds, odds: offsets.clone(), offsets, constant: 0.0 }
    }

    /// Fits the constant and the weights of `columns`, from the weights given.
    pub fn fit(&mut self, columns: &[&Column], weights: &mut [Vec<f64>]) {
        for _ in 0..PASSES {
            let mut largest = self.step_constant().abs();
            for (column, weights) in columns.iter().zip(weights.iter_mut()) {
                largest = largest.max(self.step(column, weights));
            }
            if largest < CHANGE {
                break;
            }
        }
    }

    /// The log odds of a press, as sure as stated.
    pub fn surely(&self, press: usize, sure: Sureness) -> f64 {
        self.offsets[press] + sure.of(self.odds[press] - self.offsets[press])
    }

    /// Adds the weight of each press's cell to its odds.
    fn take(&mut self, column: &Column, weights: &[f64]) {
        for (odds, &cell) in self.odds.iter_mut().zip(&column.cells) {
            if cell != NOWHERE {
                *odds += weights[usize::from(cell)];
            }
        }
    }

    fn step_constant(&mut self) -> f64 {
        let (mut slope, mut curvature) = (0.0, 0.0);
        for (odds, hold) in self.odds.iter().zip(self.holds) {
            let p = probability(*odds);
            slope += f64::from(u8::from(*hold)) - p;
            curvature += p * (1.0 - p);
        }
        let step = bounded(slope, curvature);
        self.constant += step;
        self.odds.iter_mut().for_each(|odds| *odds += step);
        step
    }

    fn step(&mut self, column: &Column, weights: &mut [f64]) -> f64 {
        let mut sums: Vec<(f64, f64)> = weights.iter().map(|weight| (-column.ridge * weight, column.ridge)).collect();
        for ((odds, hold), &cell) in self.odds.iter().zip(self.holds).zip(&column.cells) {
            if cell != NOWHERE {
                let p = probability(*odds);
                let sum = &mut sums[usize::from(cell)];
                *sum = (sum.0 + f64::from(u8::from(*hold)) - p, sum.1 + p * (1.0 - p));
            }
        }
        let steps: Vec<f64> = sums.iter().map(|&(slope, curvature)| bounded(slope, curvature)).collect();
        weights.iter_mut().zip(&steps).for_each(|(weight, step)| *weight += step);
        self.take(column, &steps);
        steps.iter().fold(0.0, |largest, step| largest.max(step.abs()))
    }

    /// The shift and the slope of what was fitted that say best how sure it may be.
    ///
    /// # Definition
    /// Offset + shift + slope · (log odds − offset) maximises the likelihood of the presses; the slope lies in
    /// 0.5–2. A prior draws weights to zero, so their sum is less sure than it has a right to be, and the slope is above
    /// one.
    ///
    /// # Source
    /// Platt 1999, Probabilistic outputs for support vector machines (from memory), for the two numbers.
    pub fn sureness(&self) -> Sureness {
        let mut sure = Sureness { shift: 0.0, slope: 1.0 };
        for _ in 0..PASSES {
            let (mut slopes, mut curvature) = ([0.0; 2], [0.0; 3]);
            for ((odds, offset), hold) in self.odds.iter().zip(&self.offsets).zip(self.holds) {
                let fitted = odds - offset;
                let p = probability(offset + sure.of(fitted));
                let (gap, weight) = (f64::from(u8::from(*hold)) - p, p * (1.0 - p));
                slopes = [slopes[0] + gap, slopes[1] + gap * fitted];
                curvature =
                    [curvature[0] + weight, curvature[1] + weight * fitted, curvature[2] + weight * fitted * fitted];
            }
            let determinant = curvature[0] * curvature[2] - curvature[1] * curvature[1];
            // Where all sums are one, there is no slope to find.
            let slope_is_told = determinant > 1e-9 * curvature[0] * curvature[2];
            if !slope_is_told {
                return Sureness { shift: 0.0, slope: 1.0 };
            }
            let shift = (curvature[2] * slopes[0] - curvature[1] * slopes[1]) / determinant;
            let slope = (curvature[0] * slopes[1] - curvature[1] * slopes[0]) / determinant;
            sure.shift += shift.clamp(-1.0, 1.0);
            sure.slope = (sure.slope + slope.clamp(-0.25, 0.25)).clamp(0.5, 2.0);
            if shift.abs() < CHANGE && slope.abs() < CHANGE {
                break;
            }
        }
        sure
    }

    /// Log loss in nats, over all presses, where the sums are as sure as stated.
    pub fn loss(&self, sure: Sureness) -> f64 {
        let of = |((odds, offset), hold): ((&f64, &f64), &bool)| {
            let odds = offset + sure.of(odds - offset);
            let against = if *hold { -odds } else { odds };
            // ln(1 + e^x), which does not overflow.
            against.max(0.0) + libm::log1p(libm::exp(-against.abs()))
        };
        self.odds.iter().zip(&self.offsets).zip(self.holds).map(of).sum()
    }
}

/// A shift and a slope of log odds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sureness {
    pub shift: f64,
    pub slope: f64,
}

impl Sureness {
    /// Log odds as sure as they may be.
    pub fn of(self, odds: f64) -> f64 {
        self.shift + self.slope * odds
    }
}

fn probability(odds: f64) -> f64 {
    1.0 / (1.0 + libm::exp(-odds))
}

fn bounded(slope: f64, curvature: f64) -> f64 {
    if curvature > 0.0 { (slope / curvature).clamp(-1.0, 1.0) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two cells, without a prior: each weight and the constant give the log odds of its own share.
    #[test]
    fn without_a_prior_the_odds_are_those_of_the_shares() {
        let cells: Vec<u16> = (0..100).map(|i| u16::from(i >= 60)).collect();
        // 15 of 60 in the first cell, 30 of 40 in the second.
        let holds: Vec<bool> = (0..100).map(|i| if i < 60 { i < 15 } else { i < 90 }).collect();
        let column = Column { cells, len: 2, ridge: 1e-9 };
        let mut weights = [vec![0.0; 2]];
        let mut fit = Regression::new(&holds, vec![0.0; 100]);
        fit.fit(&[&column], &mut weights);
        let odds = |cell: usize| fit.constant + weights[0][cell];
        // The fit ends when no step is above 0.01 nat.
        assert!((odds(0) - (15.0_f64 / 45.0).ln()).abs() < 0.01 && (odds(1) - 3.0_f64.ln()).abs() < 0.01);
        let loss = -(15.0 * 0.25_f64.ln() + 45.0 * 0.75_f64.ln() + 30.0 * 0.75_f64.ln() + 10.0 * 0.25_f64.ln());
        assert!((fit.loss(AS_THEY_ARE) - loss).abs() < 0.01, "{} {loss}", fit.loss(AS_THEY_ARE));
    }

    const AS_THEY_ARE: Sureness = Sureness { shift: 0.0, slope: 1.0 };

    /// A prior halves what is said; the slope gives it back, and what was right stays.
    #[test]
    fn sums_that_are_not_sure_enough_are_made_so() {
        let cells: Vec<u16> = (0..200).map(|i| u16::from(i >= 100)).collect();
        let holds: Vec<bool> = (0..200).map(|i| if i < 100 { i < 20 } else { i < 180 }).collect();
        let said = |ridge: f64| {
            let column = Column { cells: cells.clone(), len: 2, ridge };
            let mut weights = [vec![0.0; 2]];
            let mut fit = Regression::new(&holds, vec![0.0; 200]);
            fit.fit(&[&column], &mut weights);
            let sure = fit.sureness();
            (sure.slope, [0, 1].map(|cell| sure.of(fit.constant + weights[0][cell])))
        };
        for (ridge, slope) in [(1e-9, 1.0), (12.0, 1.5)] {
            let (found, odds) = said(ridge);
            assert!((found - slope).abs() < 0.35, "{found}");
            // 20 and 80 of 100.
            assert!((odds[0] + 4.0_f64.ln()).abs() < 0.05 && (odds[1] - 4.0_f64.ln()).abs() < 0.05, "{odds:?}");
        }
    }

    /// At the mode the slope of each weight is that of its prior.
    #[test]
    fn the_prior_balances_the_slope_of_the_likelihood() {
        let n = 400;
        let cells: Vec<u16> = (0..n).map(|i| (i % 5) as u16).collect();
        let others: Vec<u16> = (0..n).map(|i| if i % 7 == 0 { NOWHERE } else { (i % 3) as u16 }).collect();
        let holds: Vec<bool> = (0..n).map(|i| (i * i + 3 * i) % 11 < 3).collect();
        let columns = [Column { cells, len: 6, ridge: 2.0 }, Column { cells: others, len: 3, ridge: 5.0 }];
        let mut weights: Vec<Vec<f64>> = columns.iter().map(|column| vec![0.0; column.len]).collect();
        let mut fit = Regression::new(&holds, vec![0.3; n]);
        fit.fit(&[&columns[0], &columns[1]], &mut weights);
        for (column, weights) in columns.iter().zip(&weights) {
            for (cell, weight) in weights.iter().enumerate() {
                let of = (0..n).filter(|&i| usize::from(column.cells[i]) == cell);
                let slope: f64 = of.map(|i| f64::from(u8::from(holds[i])) - probability(fit.odds[i])).sum::<f64>();
                assert!((slope - column.ridge * weight).abs() < 0.3, "{slope} {weight}");
            }
        }
        // Nobody has been in the last cell.
        assert_eq!(weights[0][5], 0.0);
    }
}
