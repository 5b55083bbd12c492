//! Known answers for sensitivity indices, fronts and the Kolmogorov–Smirnov
//! distribution.

use std::f64::consts::PI;

use crate::stats_fixture::{close, list, number, numbers, rows, section};
use agogic_stats::sobol::{Design, SobolIndex, SobolSequence};
use agogic_stats::{Level, front, hypervolume_3d, ks_upper};
use rand_chacha::ChaCha12Rng;
use rand_chacha::rand_core::SeedableRng;

/// Ishigami & Homma (1990), with a = 7 and b = .1.
fn ishigami(x: &[f64]) -> f64 {
    let angle = |i: usize| 2.0 * PI * x[i] - PI;
    angle(0).sin() + 7.0 * angle(1).sin().powi(2) + 0.1 * angle(2).powi(4) * angle(0).sin()
}

/// Saltelli & Sobol' (1995), the g-function with a = (0, 1, 4.5, 9, 99, …).
fn g(x: &[f64]) -> f64 {
    let a = [0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0];
    x.iter().zip(a).map(|(x, a)| ((4.0 * x - 2.0).abs() + a) / (1.0 + a)).product()
}

fn indices(design: &Design, f: impl Fn(&[f64]) -> f64, resamples: usize) -> Vec<SobolIndex> {
    let outputs: Vec<f64> = design.points().map(|x| f(&x)).collect();
    let mut rng = ChaCha12Rng::seed_from_u64(71);
    design.indices(&outputs, Level::P95, resamples, &mut rng).unwrap()
}

/// Analytic indices. Status: computed.
const ISHIGAMI: ([f64; 3], [f64; 3]) = ([0.3139051911, 0.4424111448, 0.0], [0.5575888552, 0.4424111448, 0.2436836641]);
const G: ([f64; 4], [f64; 4]) = (
    [0.7161921689, 0.1790480422, 0.0236757742, 0.0071619217],
    [0.7871441267, 0.2421981928, 0.0343169102, 0.0104603871],
);

#[test]
fn analytic_indices() {
    let design = Design::sequence(3, 1 << 15).unwrap();
    for (found, (first, total)) in indices(&design, ishigami, 2).iter().zip(ISHIGAMI.0.iter().zip(&ISHIGAMI.1)) {
        // The error of a quasi-random sum at 2¹⁵ rows is a few in a thousand.
        assert!((found.first.value.unwrap() - first).abs() < 3e-3, "{found:?} {first}");
        assert!((found.total.value.unwrap() - total).abs() < 3e-3, "{found:?} {total}");
    }
    let design = Design::sequence(8, 1 << 15).unwrap();
    for (found, (first, total)) in indices(&design, g, 2).iter().zip(G.0.iter().zip(&G.1)) {
        assert!((found.first.value.unwrap() - first).abs() < 3e-3, "{found:?} {first}");
        assert!((found.total.value.unwrap() - total).abs() < 3e-3, "{found:?} {total}");
    }
}

#[test]
fn a_latin_hypercube_and_its_intervals() {
    let mut rng = ChaCha12Rng::seed_from_u64(72);
    let design = Design::latin_hypercube(3, 4096, &mut rng).unwrap();
    for (found, (first, total)) in indices(&design, ishigami, 400).iter().zip(ISHIGAMI.0.iter().zip(&ISHIGAMI.1)) {
        // Six bootstrap errors: α < 10⁻⁶ per assertion at a normal error.
        for (index, known) in [(&found.first, first), (&found.total, total)] {
            let error = index.mcse.unwrap();
            assert!((index.value.unwrap() - known).abs() < 6.0 * error && error < 0.05, "{index:?} {known}");
        }
    }
}

#[test]
fn points_as_scipy_and_estimates_as_salib() {
    let section = section("sensitivity");
    let points: Vec<Vec<f64>> = SobolSequence::new(64).unwrap().take(63).collect();
    for (place, known) in numbers(&section["places"]).iter().zip(list(&section["points"])) {
        assert_eq!(points[*place as usize], numbers(known), "point {place}");
    }
    for model in list(&section["models"]) {
        let rows = number(&model["rows"]) as usize;
        let found = match model["name"].as_str().unwrap() {
            "ishigami" => indices(&Design::sequence(3, rows).unwrap(), ishigami, 2),
            _ => indices(&Design::sequence(8, rows).unwrap(), g, 2),
        };
        let known = numbers(&model["first"]).into_iter().zip(numbers(&model["total"]));
        for (index, (first, total)) in found.iter().zip(known) {
            // Small indices are differences of large sums.
            assert!((index.first.value.unwrap() - first).abs() < 1e-12, "{index:?} {first}");
            assert!((index.total.value.unwrap() - total).abs() < 1e-12, "{index:?} {total}");
        }
    }
}

/// Status: computed by hand.
#[test]
fn hypervolumes() {
    let plane = [[1.0, 0.0], [0.5, 0.5], [0.0, 1.0], [1.5, 0.75]];
    // A flat third goal of height 1 leaves the area.
    assert_eq!(hypervolume_3d(&plane.map(|[x, y]| [x, y, 0.0]), [2.0, 2.0, 1.0]), Ok(3.25));
    assert_eq!(front(&plane), Ok(vec![0, 1, 2]));
    let space = [[1.0, 2.0, 3.0], [2.0, 3.0, 1.0], [3.0, 1.0, 2.0]];
    assert_eq!(hypervolume_3d(&space, [4.0, 4.0, 4.0]), Ok(13.0));
    assert_eq!(front(&space), Ok(vec![0, 1, 2]));
}

/// Massey (1951), Journal of the American Statistical Association 46:68, table 1
/// prints .410 and .134 (n > 35: 1.36/√n gives .136). Status: computed.
#[test]
fn kolmogorov_smirnov_critical_values() {
    for (n, critical) in [(10, 0.40925), (100, 0.13403)] {
        // The tail falls: the critical value lies within half a unit of its last digit.
        assert!(ks_upper(n, critical - 5e-6) > 0.05 && ks_upper(n, critical + 5e-6) < 0.05, "n = {n}");
    }
}

#[test]
fn kolmogorov_smirnov_tails_as_scipy() {
    for row in rows("kolmogorov") {
        let [n, d, known] = row[..] else { panic!("a row of three") };
        let found = ks_upper(n as u64, d);
        // Beyond 140 values SciPy uses an expansion that is good to six digits.
        let near = if n <= 140.0 { 1e-11 } else { 1e-6 };
        assert!((found - known).abs() < near, "{n} {d}: {found} {known}");
        // In the far tail the relative error counts.
        if n * d * d >= 4.0 {
            close(found, known, 1e-7, &format!("tail at {n} {d}"));
        }
    }
}
