//! Student's t with the skewness of its clusters taken out.

use crate::level::Level;
use crate::tdist::StudentT;

/// How much more skewed a population is than a sample of K clusters shows, as a share of 1/K.
///
/// Rare and heavy-tailed quantities show their skewness only in samples that hold the rare cluster. With 10 the misses at
/// 40 typists fall evenly to both sides for rates (`COVERAGE.md` of the lab); at 300 it adds 3 % and hardly matters.
const UNSEEN: f64 = 10.0;

/// How an estimate that is a sum over clusters is distributed, as far as its parts show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Shape {
    /// Clusters that carry information, K.
    used: f64,
    /// Skewness of the sum.
    skewness: f64,
    /// Kurtosis of the parts, Σd⁴ K/(Σd²)².
    kurtosis: f64,
}

impl Shape {
    /// The shape of parts dₖ that sum to 0; clusters without information have 0.
    ///
    /// # Definition
    /// Skewness of the sum a = Σd³/(Σd²)^{3/2} · √(K(K−1))/(K−2) · (1 + 10/K): the sample skewness over √K, corrected for
    /// bias as under a normal distribution, and by what a sample of K does not show. 0 where K < 3.
    ///
    /// # Undefined
    /// `None` without spread or where K < 2.
    pub(crate) fn of(parts: &[f64], used: usize) -> Option<Self> {
        // Relative to the greatest, since fourth powers of small numbers vanish.
        let greatest = parts.iter().fold(0.0, |greatest: f64, part| greatest.max(part.abs()));
        if used < 2 || greatest == 0.0 {
            return None;
        }
        let (mut squares, mut cubes, mut fourths) = (0.0, 0.0, 0.0);
        for part in parts {
            let scaled = part / greatest;
            let square = scaled * scaled;
            squares += square;
            cubes += square * scaled;
            fourths += square * square;
        }
        let k = used as f64;
        let unbiased = if used < 3 { 0.0 } else { libm::sqrt(k * (k - 1.0)) / (k - 2.0) * (1.0 + UNSEEN / k) };
        Some(Shape {
            used: k,
            skewness: unbiased * cubes / (squares * libm::sqrt(squares)),
            kurtosis: k * fourths / (squares * squares),
        })
    }

    /// K − 1.
    fn plain_degrees(&self) -> f64 {
        self.used - 1.0
    }

    /// Degrees of freedom of the variance, 2K/(κ − 1) between 1 and K − 1.
    ///
    /// # Definition
    /// Those of the χ² with the mean and variance of Σd², which varies by (κ − 1)/K of its square.
    ///
    /// # Source
    /// Satterthwaite (1946), Biometrics Bulletin 2:110, with the variance of a sample variance in place of a sum of
    /// those; Bell & McCaffrey (2002), Survey Methodology 28:169, on few clusters. From memory.
    pub(crate) fn degrees(&self) -> f64 {
        self.satterthwaite(self.kurtosis)
    }

    /// The same with a kurtosis (1 + 10/K)³ as large, for limits far out in the tails, where the kurtosis that a small
    /// sample does not show matters more.
    ///
    /// With the square families of 40 typists missed in up to 8 % of studies; with the cube they keep to 3 to 7, those of
    /// 300 to 3 to 6 (`COVERAGE.md` of the lab).
    pub(crate) fn cautious_degrees(&self) -> f64 {
        let unseen = 1.0 + UNSEEN / self.used;
        self.satterthwaite(self.kurtosis * unseen * unseen * unseen)
    }

    fn satterthwaite(&self, kurtosis: f64) -> f64 {
        let found = 2.0 * self.used / (kurtosis - 1.0);
        // A kurtosis of 1, all parts alike in size, has no variance to vary.
        if kurtosis > 1.0 { found.clamp(1.0, self.plain_degrees()) } else { self.plain_degrees() }
    }

    /// The statistic t = (estimate − truth)/error without its skewness.
    ///
    /// # Definition
    /// g(t) = t + a(t²/3 + 1/6) + a²t³/27, with a the skewness of the sum. It rises everywhere.
    ///
    /// # Source
    /// Hall (1992), Journal of the Royal Statistical Society B 54:221, "On the removal of skewness by transformation",
    /// with his γ/√n as a; the inverse as in an independent implementation (`b.hallboot` of the R package rucl).
    pub(crate) fn symmetric(&self, t: f64) -> f64 {
        let a = self.skewness;
        t + a * (t * t / 3.0 + 1.0 / 6.0) + a * a * t * t * t / 27.0
    }

    /// The t at which [`Shape::symmetric`] is `value`: 3/a [(1 + a(value − a/6))^⅓ − 1].
    pub(crate) fn skewed(&self, value: f64) -> f64 {
        let a = self.skewness;
        let step = a * (value - a / 6.0);
        // Where a vanishes so does the difference of the cube root from 1: its series to the second term.
        if step.abs() < 1e-5 && a.abs() < 1e-5 {
            return (value - a / 6.0) * (1.0 - step / 3.0);
        }
        3.0 / a * (libm::cbrt(1.0 + step) - 1.0)
    }

    /// How far the limits lie below and above the estimate in standard errors, with `tail` beyond each.
    pub(crate) fn reach(&self, tail: f64, degrees: f64) -> (f64, f64) {
        let critical = StudentT::new(degrees).map_or(f64::NAN, |t| t.upper_quantile(tail));
        (self.skewed(critical), -self.skewed(-critical))
    }

    /// Probability of a statistic at least as far from 0, both ways.
    pub(crate) fn two_sided(&self, t: f64, degrees: f64) -> f64 {
        StudentT::new(degrees).map_or(f64::NAN, |student| student.two_sided(self.symmetric(t)))
    }

    /// As [`Shape::reach`], at a level.
    pub(crate) fn reach_at(&self, level: Level, degrees: f64) -> (f64, f64) {
        self.reach(level.tail(), degrees)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shape(values: &[f64]) -> Shape {
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        let parts: Vec<f64> = values.iter().map(|v| v - mean).collect();
        Shape::of(&parts, parts.len()).unwrap()
    }

    #[test]
    fn there_and_back() {
        for a in [-3.0, -0.8, -1e-3, -1e-9, 0.0, 1e-12, 1e-6, 1e-4, 0.3, 2.5] {
            let shape = Shape { used: 40.0, skewness: a, kurtosis: 5.0 };
            let mut last = f64::NEG_INFINITY;
            for t in [-9.0, -2.0, -0.1, 0.0, 0.4, 3.0, 12.0] {
                let value = shape.symmetric(t);
                assert!(value > last, "{a} {t}");
                last = value;
                assert!((shape.skewed(value) - t).abs() < 1e-8, "{a} {t}: {}", shape.skewed(value));
            }
        }
    }

    /// For one sum with a Poisson distribution of mean 5, a = 1/√5: the limits lie close to the exact ones, 1.6235 and
    /// 11.6683 (Garwood 1936, from memory), where the symmetric interval has 0.6174 and 9.3826.
    #[test]
    fn a_poisson_count_gets_nearly_its_exact_limits() {
        let shape = Shape { used: 1e9, skewness: 1.0 / 5f64.sqrt(), kurtosis: 3.0 };
        let (below, above) = shape.reach(0.025, 1e9);
        let (lo, hi) = (5.0 - below * 5f64.sqrt(), 5.0 + above * 5f64.sqrt());
        assert!((lo - 1.6235).abs() < 0.05 && (hi - 11.6683).abs() < 1.7, "{lo} {hi}");
    }

    #[test]
    fn without_skewness_it_is_t() {
        let even = shape(&[-2.0, -1.0, 0.0, 1.0, 2.0]);
        let t = StudentT::new(4.0).unwrap().critical(Level::P95);
        let (below, above) = even.reach_at(Level::P95, even.plain_degrees());
        assert!((below - t).abs() < 1e-12 && (above - t).abs() < 1e-12);
        assert!((even.two_sided(t, 4.0) - 0.05).abs() < 1e-12);
    }

    #[test]
    fn skewness_moves_both_limits_to_the_long_side() {
        let long = shape(&[0.0, 0.0, 0.0, 1.0, 0.0, 2.0, 0.0, 9.0]);
        let (below, above) = long.reach_at(Level::P95, 7.0);
        let t = StudentT::new(7.0).unwrap().critical(Level::P95);
        assert!(below < t && t < above, "{below} {t} {above}");
        let mirrored = shape(&[0.0, 0.0, 0.0, -1.0, 0.0, -2.0, 0.0, -9.0]).reach_at(Level::P95, 7.0);
        assert!((mirrored.0 - above).abs() < 1e-12 && (mirrored.1 - below).abs() < 1e-12);
    }

    /// By how much is fixed by what the study of the lab found: at 40 typists (1 + 10/40)³ = 1.95 times the kurtosis.
    #[test]
    fn far_out_the_kurtosis_counts_more_where_clusters_are_few() {
        let long: Vec<f64> = [vec![0.0; 30], vec![1.0; 8], vec![4.0, 6.0]].concat();
        let found = shape(&long);
        assert!((found.cautious_degrees() - 80.0 / (1.953125 * found.kurtosis - 1.0)).abs() < 1e-9);
        let many = shape(&long.repeat(50));
        assert!(many.cautious_degrees() > 0.98 * many.degrees());
    }

    #[test]
    fn few_clusters_that_differ_leave_few_degrees() {
        // One in n alone: κ tends to n.
        let one = shape(&[vec![0.0; 999], vec![1.0]].concat());
        assert!(one.degrees() < 2.1);
        let half = shape(&[vec![0.0; 20], vec![1.0; 20]].concat());
        assert!(half.degrees() == 39.0);
        let long = shape(&[vec![0.0; 30], vec![1.0; 9], vec![4.0]].concat());
        assert!(long.cautious_degrees() < long.degrees() && long.degrees() < 39.0);
        assert!(Shape::of(&[0.0; 5], 5).is_none() && Shape::of(&[1.0, -1.0], 1).is_none());
    }
}
