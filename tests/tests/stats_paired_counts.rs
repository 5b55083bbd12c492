//! Known answers for differences of two proportions.

mod stats_fixture;

use agogic_stats::{Level, PairedCounts, Trials, mcnemar, newcombe_paired, newcombe_unpaired};
use stats_fixture::{close, printed, rows};

fn unpaired(x1: u64, n1: u64, x2: u64, n2: u64) -> (f64, f64) {
    let (first, second) = (Trials::new(x1, n1).unwrap(), Trials::new(x2, n2).unwrap());
    let interval = newcombe_unpaired(first, second, Level::P95, "event").interval().unwrap();
    (interval.lo, interval.hi)
}

/// Newcombe (1998), Statistics in Medicine 17:873, Table II, method 10. Status:
/// seen transcribed and reproduced.
#[test]
fn unpaired_table_2() {
    let table = [
        (56, 70, 48, 80, 0.0524, 0.3339),
        (9, 10, 3, 10, 0.1705, 0.8090),
        (5, 56, 0, 29, -0.0381, 0.1926),
        (0, 10, 0, 20, -0.1611, 0.2775),
        (10, 10, 0, 20, 0.6791, 1.0),
    ];
    for (x1, n1, x2, n2, lo, hi) in table {
        let found = unpaired(x1, n1, x2, n2);
        printed(found.0, lo, 4, &format!("lower {x1}/{n1} - {x2}/{n2}"));
        printed(found.1, hi, 4, &format!("upper {x1}/{n1} - {x2}/{n2}"));
    }
}

#[test]
fn unpaired_against_statsmodels() {
    for row in rows("newcombe") {
        let [x1, n1, x2, n2] = [0, 1, 2, 3].map(|i| row[i] as u64);
        let found = unpaired(x1, n1, x2, n2);
        close(found.0, row[4], 1e-11, "lower");
        close(found.1, row[5], 1e-11, "upper");
    }
}

/// Newcombe (1998), Statistics in Medicine 17:2635, Table III, method 10. Status:
/// seen transcribed and reproduced.
#[test]
fn paired_table_3() {
    let table = [
        (36, 12, 2, 0, 0.0569, 0.3404),
        (20, 12, 2, 16, 0.0562, 0.3292),
        (36, 14, 0, 0, 0.1528, 0.4167),
        (18, 14, 0, 18, 0.1441, 0.3963),
        (2, 97, 1, 0, 0.8721, 0.9854),
        (0, 29, 1, 0, 0.6666, 0.9882),
        (0, 30, 0, 0, 0.8395, 1.0),
        (54, 0, 0, 0, -0.0664, 0.0664),
    ];
    for (e, f, g, h, lo, hi) in table {
        let counts = PairedCounts::new(e, f, g, h).unwrap();
        let interval = newcombe_paired(counts, Level::P95, "event").interval().unwrap();
        printed(interval.lo, lo, 4, &format!("lower {e} {f} {g} {h}"));
        printed(interval.hi, hi, 4, &format!("upper {e} {f} {g} {h}"));
    }
}

/// McNemar's test of a table (59, 6; 16, 80). Status: seen transcribed and
/// reproduced. The second pair of counts: computed, by two implementations.
#[test]
fn mcnemar_known_answers() {
    let test = mcnemar(PairedCounts::new(59, 6, 16, 80).unwrap()).unwrap();
    printed(test.chi_squared, 4.545455, 6, "chi squared");
    printed(test.chi_squared_corrected, 3.681818, 6, "chi squared, corrected");
    printed(test.p_exact, 0.052479, 6, "exact p");
    printed(test.p_mid, 0.034690, 6, "mid-P");
    let test = mcnemar(PairedCounts::new(0, 86, 150, 0).unwrap()).unwrap();
    printed(test.chi_squared, 17.3559322, 7, "chi squared");
    printed(test.chi_squared_corrected, 16.8177966, 7, "chi squared, corrected");
}

#[test]
fn mcnemar_against_statsmodels() {
    for row in rows("mcnemar") {
        let counts = PairedCounts::new(10, row[0] as u64, row[1] as u64, 10).unwrap();
        let test = mcnemar(counts).unwrap();
        let found = [test.chi_squared, test.p, test.chi_squared_corrected, test.p_corrected, test.p_exact];
        for (found, expected) in found.iter().zip(&row[2..]) {
            close(*found, *expected, 1e-9, &format!("{} {}", row[0], row[1]));
        }
    }
}
