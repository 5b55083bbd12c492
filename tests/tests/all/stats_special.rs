//! Incomplete beta and gamma, Student's t and the normal against SciPy.

use crate::stats_fixture::{close, list, numbers, rows, section};
use agogic_stats::special::{beta_lower, beta_quantile, beta_upper, beta_upper_quantile};
use agogic_stats::special::{gamma_lower, gamma_quantile, gamma_upper, gamma_upper_quantile};
use agogic_stats::{Level, StudentT, normal_upper_quantile};

/// A tail is as precise as its argument allows: an error of one rounding in x
/// moves it by x·density, which for huge parameters is many roundings.
fn tolerance(parameter: f64) -> f64 {
    1e-12 + 4.0 * f64::EPSILON * parameter.sqrt() * 10.0
}

#[test]
fn incomplete_beta() {
    for row in rows("incomplete_beta") {
        let [a, b, x, lower, upper] = row[..] else { panic!("a row of five") };
        let near = tolerance(a.max(b));
        close(beta_lower(a, b, x), lower, near, &format!("I({a}, {b}, {x})"));
        close(beta_upper(a, b, x), upper, near, &format!("1 - I({a}, {b}, {x})"));
        // A tail near 1 does not determine the point, so the smaller one is inverted.
        let inverse = if lower < 0.6 { beta_quantile(a, b, lower) } else { beta_upper_quantile(a, b, upper) };
        close(inverse, x, 1e-9, &format!("beta quantile {a} {b} {lower}"));
    }
}

#[test]
fn incomplete_gamma() {
    for row in rows("incomplete_gamma") {
        let [a, x, lower, upper] = row[..] else { panic!("a row of four") };
        let near = tolerance(a);
        close(gamma_lower(a, x), lower, near, &format!("P({a}, {x})"));
        close(gamma_upper(a, x), upper, near, &format!("Q({a}, {x})"));
        let inverse = if lower < 0.6 { gamma_quantile(a, lower) } else { gamma_upper_quantile(a, upper) };
        close(inverse, x, 1e-9, &format!("gamma quantile {a} {lower}"));
    }
}

#[test]
fn huge_parameters_against_quadrature_in_thirty_digits() {
    let section = section("huge");
    for row in list(&section["gamma"]) {
        let [a, x, lower] = numbers(row)[..] else { panic!("a row of three") };
        close(gamma_lower(a, x), lower, tolerance(a), &format!("P({a}, {x})"));
    }
    for row in list(&section["beta"]) {
        let [a, b, x, lower] = numbers(row)[..] else { panic!("a row of four") };
        close(beta_lower(a, b, x), lower, tolerance(a.max(b)), &format!("I({a}, {b}, {x})"));
    }
}

#[test]
fn student_t() {
    for row in rows("student_t") {
        let [df, q, t, tail] = row[..] else { panic!("a row of four") };
        let student = StudentT::new(df).unwrap();
        close(student.upper_quantile(q), t, 1e-9, &format!("t quantile {df} {q}"));
        close(student.quantile(q), -t, 1e-9, &format!("lower t quantile {df} {q}"));
        close(student.upper(t), tail, 1e-9, &format!("t tail {df} {t}"));
    }
}

#[test]
fn normal() {
    for row in rows("normal") {
        let [q, z] = row[..] else { panic!("a row of two") };
        let found = -normal_upper_quantile(q);
        assert!((found - z).abs() <= 1e-13 * z.abs().max(1.0), "{q}: {found} {z}");
    }
    assert!((Level::P95.z() - 1.959963984540054).abs() < 1e-14);
}
