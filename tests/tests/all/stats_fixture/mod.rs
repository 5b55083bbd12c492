//! Reference values made by other implementations.

#![allow(dead_code, reason = "each test file uses its own part")]

use std::fs;
use std::path::Path;

use serde_json::Value;

/// Reads a file of `tests/reference`.
pub fn reference(name: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("reference").join(name);
    let text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("read {}: {e}", path.display()));
    serde_json::from_str(&text).unwrap_or_else(|e| panic!("parse {}: {e}", path.display()))
}

/// Values computed by SciPy and statsmodels; see `make_stats_fixtures.py`.
pub fn section(name: &str) -> Value {
    reference("stats.json")[name].take()
}

/// Rows of numbers of a section.
pub fn rows(name: &str) -> Vec<Vec<f64>> {
    let section = section(name);
    let rows: Vec<Vec<f64>> = list(&section).iter().map(numbers).collect();
    assert!(!rows.is_empty(), "section {name} is empty");
    rows
}

pub fn list(value: &Value) -> &[Value] {
    value.as_array().expect("a list")
}

pub fn numbers(value: &Value) -> Vec<f64> {
    list(value).iter().map(number).collect()
}

pub fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// Fails unless `found` is within a relative error of `expected`, or equal to 0 with it.
pub fn close(found: f64, expected: f64, relative: f64, what: &str) {
    let error = (found - expected).abs();
    assert!(
        error <= relative * expected.abs(),
        "{what}: found {found:.17e}, expected {expected:.17e}, relative error {:.2e}",
        error / expected.abs()
    );
}

/// Fails unless `found` rounds to `expected` at so many decimals.
pub fn printed(found: f64, expected: f64, decimals: i32, what: &str) {
    let half_unit = 0.5 * 10f64.powi(-decimals) * (1.0 + 1e-9);
    assert!((found - expected).abs() <= half_unit, "{what}: found {found}, printed {expected}");
}
