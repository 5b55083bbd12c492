//! What the derivatives at the estimate say about the parameters.

use nalgebra::DMatrix;
use serde::{Deserialize, Serialize};

use super::moment::Moment;
use super::parameter::Parameter;
use super::problem::RIDGE;

/// A combination of parameters that the moments hardly feel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WeakDirection {
    /// How many tolerances the moments move, all told, when the combination moves by one standard deviation of
    /// the ridge; below one the bounds say more than the moments.
    pub singular_value: f64,
    /// The parameters in it, with their share of the direction (squares add up to one over all parameters), the
    /// largest first.
    pub parameters: Vec<(String, f64)>,
}

/// Shares of a direction below this are not listed.
const LEAST_SHARE: f64 = 0.3;
/// Singular values below this part of the largest count as zero.
const ZERO: f64 = 1e-6;

pub(crate) struct Inference {
    /// Standard errors of the free coordinates.
    pub errors: Vec<f64>,
    /// The same from the moments alone.
    pub unaided: Vec<Option<f64>>,
    pub effective_parameters: f64,
    pub weak: Vec<WeakDirection>,
}

impl Inference {
    /// From the Jacobian of the residuals (moments, then ridge), what the residuals of the moments were divided
    /// by, and the covariance of the simulated moments.
    pub fn new(
        jacobian: &DMatrix<f64>,
        moments: &[Moment],
        scales: &[f64],
        simulated: &DMatrix<f64>,
        parameters: &[Parameter],
    ) -> Self {
        let n = parameters.len();
        let g = jacobian.rows(0, moments.len()).into_owned();
        let information = g.transpose() * &g;
        let ridge = DMatrix::identity(n, n) / (RIDGE * RIDGE);
        let inverse = (&information + &ridge).cholesky().expect("a ridge makes the matrix positive").inverse();
        let mut spread = simulated.clone();
        for (i, m) in moments.iter().enumerate() {
            spread[(i, i)] += m.tolerance * m.tolerance;
        }
        let weighted = DMatrix::from_fn(moments.len(), moments.len(), |i, k| spread[(i, k)] / (scales[i] * scales[k]));
        let variance = &inverse * (g.transpose() * weighted * &g + &ridge) * &inverse;
        let hat = &inverse * &information;
        let svd = g.clone().svd(false, true);
        let axes = svd.v_t.expect("asked for");
        let largest = svd.singular_values.max();
        let mut unaided = vec![Some(0.0); n];
        let mut weak = Vec::new();
        for (k, &value) in svd.singular_values.iter().enumerate() {
            let axis = axes.row(k);
            for j in 0..n {
                let share: f64 = axis[j] * axis[j];
                unaided[j] = match unaided[j] {
                    Some(sum) if value > ZERO * largest => Some(sum + share / (value * value)),
                    Some(sum) if share < 1e-12 => Some(sum),
                    _ => None,
                };
            }
            if value * RIDGE < 1.0 {
                let mut named: Vec<(String, f64)> = (0..n).map(|j| (parameters[j].name(), axis[j])).collect();
                named.retain(|(_, share)| share.abs() >= LEAST_SHARE);
                named.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
                weak.push(WeakDirection { singular_value: value * RIDGE, parameters: named });
            }
        }
        weak.sort_by(|a, b| a.singular_value.total_cmp(&b.singular_value));
        Self {
            errors: variance.diagonal().iter().map(|v| v.sqrt()).collect(),
            unaided: unaided.into_iter().map(|v| v.map(f64::sqrt)).collect(),
            effective_parameters: hat.trace(),
            weak,
        }
    }
}

/// Covariance between runs of the moments.
pub(crate) fn covariance(runs: &[Vec<f64>]) -> DMatrix<f64> {
    let table = DMatrix::from_fn(runs.len(), runs[0].len(), |r, i| runs[r][i]);
    let means = table.row_mean();
    let centred = DMatrix::from_fn(table.nrows(), table.ncols(), |r, i| table[(r, i)] - means[i]);
    centred.transpose() * centred / (runs.len() as f64 - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::parameter::{ParameterScale, Target};
    use crate::statistic::{Group, Measure, Statistic};
    use agogic_typist::Trait;

    fn parameter(id: Trait) -> Parameter {
        Parameter { target: Target::Median(id), scale: ParameterScale::Plain, lo: 0.0, start: 0.5, hi: 1.0 }
    }

    fn moment(tolerance: f64) -> Moment {
        let statistic = Statistic::PersonMean(Measure::Dwell, Group::All);
        Moment { id: "m".to_owned(), statistic, value: 0.0, tolerance }
    }

    /// Two moments: one is the first parameter ten times, the other the sum of the second and the third, which
    /// therefore cannot be told apart.
    #[test]
    fn a_confounded_pair_is_named_and_the_rest_follows_least_squares() {
        let parameters = [Trait::Dwell, Trait::Lead, Trait::Lull].map(parameter);
        let moments = [moment(1.0), moment(2.0), moment(1.0)];
        let mut jacobian = DMatrix::zeros(6, 3);
        jacobian[(0, 0)] = 10.0;
        jacobian[(1, 1)] = 4.0;
        jacobian[(1, 2)] = 4.0;
        for j in 0..3 {
            jacobian[(3 + j, j)] = 1.0 / RIDGE;
        }
        let scales = [1.0, 2.0, 1.0];
        let still = covariance(&vec![vec![1.0, 2.0, 3.0]; 5]);
        let quiet = Inference::new(&jacobian, &moments, &scales, &still, &parameters);
        assert!((quiet.errors[0] - (1.0 / (100.0 + 1.0 / 2.25_f64)).sqrt()).abs() < 1e-12);
        assert!((quiet.unaided[0].unwrap() - 0.1).abs() < 1e-12);
        assert_eq!((quiet.unaided[1], quiet.unaided[2]), (None, None));
        assert_eq!(quiet.weak.len(), 1);
        let names: Vec<&str> = quiet.weak[0].parameters.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(names.len(), 2);
        assert!(names.contains(&"lead_ms.median") && names.contains(&"lull_factor.median"));
        assert!(quiet.effective_parameters > 1.9 && quiet.effective_parameters < 2.0);
        // A simulation as noisy as the tolerance doubles the variance: the factor 1 + 1/S at S = 1.
        let noisy: Vec<Vec<f64>> = [-1.0, 1.0, -1.0, 1.0].map(|x| vec![x * 0.75_f64.sqrt(), 0.0, 0.0]).to_vec();
        let noisy = covariance(&noisy);
        assert!((noisy[(0, 0)] - 1.0).abs() < 1e-12);
        let loud = Inference::new(&jacobian, &moments, &scales, &noisy, &parameters);
        let ratio = loud.errors[0] / quiet.errors[0];
        assert!((ratio * ratio - 2.0).abs() < 0.01, "{ratio}");
    }
}
