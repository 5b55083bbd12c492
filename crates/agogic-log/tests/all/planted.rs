//! The synthetic log with planted defects: made again byte for byte, and every plant is found.

#[path = "../../examples/planted_defects.rs"]
#[allow(dead_code)]
mod planted_defects;

use agogic_log::{DefectKind, LogLayout, read_bytes};

const LOG: &str = include_str!("../../../../data-synthetic/logs/laid-out-otherwise.tsv");
const LAYOUT: &str = include_str!("../../../../data-synthetic/logs/laid-out-otherwise.toml");

#[test]
fn the_log_is_what_its_example_prints() {
    let (log, _) = planted_defects::log();
    assert!(log == LOG, "make it again: data-synthetic/make.sh");
    assert!(LOG.len() < 300_000);
}

#[test]
fn every_planted_defect_is_found_and_nothing_else() {
    let (_, shifts) = planted_defects::log();
    let log = read_bytes(LOG.as_bytes(), &LogLayout::from_toml(LAYOUT).unwrap()).unwrap();
    assert!(log.report.balances(), "{}", log.report);
    for kind in DefectKind::ALL {
        let planted = planted_defects::PLANTED.iter().find(|(known, _)| *known == kind).map_or(0, |(_, count)| *count);
        let expected = if kind == DefectKind::SideUnknown { shifts } else { planted };
        assert_eq!(log.report.count(kind), expected, "{kind}\n{}", log.report);
    }
    assert_eq!(log.by_participant().len(), 2);
}
