//! With nothing but the own dwell to see, log-normal under both intents, the floor is the textbook's.
//!
//! # Source
//! Neyman & Pearson 1933: the best test rejects where the likelihood ratio is large. Green & Swets 1966,
//! *Signal Detection Theory and Psychophysics*: for two normals of equal spread at a distance of d′ the
//! missed rate is Φ(z(1 − false) − d′). Both from memory.

use agogic_floor::FloorCurve;
use agogic_stats::{normal_lower, normal_quantile};
use agogic_typist::LogNormalLaw;

/// The curve of an observer of the dwell alone. Cells of equal width in the log dwell.
fn curve(tap: LogNormalLaw, hold: LogNormalLaw, prior_odds: f64) -> FloorCurve {
    let n = 40_000;
    let edge = |i: usize| libm::exp(8.0 + 9.0 * i as f64 / n as f64);
    let cells = (0..n).map(|i| {
        let (lo, hi) = (edge(i), edge(i + 1));
        let middle = libm::sqrt(lo * hi);
        let odds = libm::log(prior_odds * hold.density(middle) / tap.density(middle));
        let mass = |law: &LogNormalLaw| law.upper(lo) - law.upper(hi);
        (odds, mass(&tap), prior_odds * mass(&hold))
    });
    FloorCurve::of_masses(None, cells).unwrap()
}

const FALSE_RATES: [f64; 6] = [0.001, 0.01, 0.05, 0.2, 0.5, 0.9];

#[test]
fn equal_spreads_give_the_d_prime_curve() {
    let spread = 0.35;
    for (d, prior_odds) in [(0.5, 1.0), (1.5, 0.1), (3.0, 0.02)] {
        let tap = LogNormalLaw { log_us: 11.5, spread };
        let hold = LogNormalLaw { log_us: 11.5 + d * spread, spread };
        let curve = curve(tap, hold, prior_odds);
        for rate in FALSE_RATES {
            let bound = normal_lower(normal_quantile(1.0 - rate) - d);
            let found = curve.missed_at(rate).unwrap();
            assert!((found - bound).abs() < 1e-6, "d' {d}, {rate}: {found} for {bound}");
        }
        // Least errors: a hold where the log ratio reaches minus the log prior odds.
        let best = curve.fewest_errors();
        let z = d / 2.0 - libm::log(prior_odds) / d;
        assert!((best.false_rate - normal_lower(-z)).abs() < 2e-3 * normal_lower(-z) + 1e-6);
    }
}

#[test]
fn unequal_spreads_give_the_two_sided_bound() {
    // The ratio is quadratic in x = log dwell, so a hold is called outside two roots.
    let tap = LogNormalLaw { log_us: 11.5, spread: 0.25 };
    let hold = LogNormalLaw { log_us: 12.2, spread: 0.6 };
    let curve = curve(tap, hold, 1.0);
    for log_ratio in [-1.0, 0.0, 1.0, 2.0] {
        // log f1 − log f0 = a x² + b x + c.
        let (v0, v1) = (tap.spread * tap.spread, hold.spread * hold.spread);
        let a = 0.5 / v0 - 0.5 / v1;
        let b = hold.log_us / v1 - tap.log_us / v0;
        let c = 0.5 * tap.log_us * tap.log_us / v0 - 0.5 * hold.log_us * hold.log_us / v1
            + libm::log(tap.spread / hold.spread)
            - log_ratio;
        let root = libm::sqrt(b * b - 4.0 * a * c);
        let (lo, hi) = ((-b - root) / (2.0 * a), (-b + root) / (2.0 * a));
        let inside = |law: &LogNormalLaw| {
            normal_lower((hi - law.log_us) / law.spread) - normal_lower((lo - law.log_us) / law.spread)
        };
        let (false_rate, missed) = (1.0 - inside(&tap), inside(&hold));
        let found = curve.missed_at(false_rate).unwrap();
        assert!((found - missed).abs() < 1e-6, "{log_ratio}: {found} for {missed}");
    }
}

#[test]
fn a_rule_on_the_dwell_alone_is_the_floor_and_a_worse_one_is_not() {
    let tap = LogNormalLaw { log_us: 11.5, spread: 0.3 };
    let hold = LogNormalLaw { log_us: 12.4, spread: 0.3 };
    let curve = curve(tap, hold, 0.1);
    let cutoff = 180_000.0;
    let (false_rate, missed) = (tap.upper(cutoff), 1.0 - hold.upper(cutoff));
    assert!(curve.distance(false_rate, missed).unwrap().abs() < 1e-6);
    // The same cutoff on a dwell that is seen with an error of equal spread.
    let blurred = |law: LogNormalLaw| LogNormalLaw { spread: law.spread * 2.0_f64.sqrt(), ..law };
    let (false_rate, missed) = (blurred(tap).upper(cutoff), 1.0 - blurred(hold).upper(cutoff));
    assert!(curve.distance(false_rate, missed).unwrap() > 0.01);
}
