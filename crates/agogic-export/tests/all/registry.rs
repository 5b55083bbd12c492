//! A rule or guard that is added to the registry has to be exported.

use agogic_export::{Clock, Machine, measured, sources};
use agogic_policy::{GUARDS, RULES};

use crate::common::{PAIRWISE, guards, keyboard, machine, setting};

#[test]
fn every_rule_and_guard_of_the_registry_can_be_exported() {
    for entry in RULES {
        let made = Machine::new(&setting(entry, 0), keyboard(), Clock::Microseconds, 8);
        let machine = made.unwrap_or_else(|refused| panic!("{refused}; see `Body` of agogic-export"));
        assert_eq!(machine.setting.entry().name, entry.name);
    }
    let plain = machine(&setting(&RULES[1], 0), Clock::Microseconds, 8);
    let all = machine(&setting(&RULES[1], 0).with_guards(guards([true; 5])), Clock::Microseconds, 8);
    for guard in GUARDS {
        let known = match guard.param {
            Some(_) => all.guards().iter().any(|(name, us)| *name == guard.name && us.is_some()),
            None => all.setting.guards().other_hand,
        };
        assert!(known, "the guard {} is not exported; see `Machine::guards`", guard.name);
    }
    let text = |machine: &Machine| sources(machine)[1].1.clone();
    for word in ["RETAP", "LULL", "FLOOR", "BARE_HOLD", "return opposite(own, other)"] {
        assert!(text(&all).contains(word) && !text(&plain).contains(word), "{word}");
    }
}

#[test]
fn what_cannot_be_exported_is_refused_with_a_way_out() {
    let refused = |setting: &agogic_policy::Setting, clock, slots| {
        Machine::new(setting, keyboard(), clock, slots).unwrap_err().to_string()
    };
    let enclosed = setting(&RULES[2], 0);
    assert_eq!(refused(&enclosed, Clock::Microseconds, 1), "there must be between 2 and 64 slots, not 1");
    let lull = enclosed.with_value("lull_ms", 90.5).unwrap();
    let fraction = "lull_ms is 90.5 ms, and a clock of milliseconds cannot tell it; take a whole number, or --clock us";
    assert_eq!(refused(&lull, Clock::Milliseconds, 8), fraction);
    assert!(Machine::new(&lull, keyboard(), Clock::Microseconds, 8).is_ok());
    let own = agogic_policy::Setting::own("own", agogic_policy::Sight::Timing, agogic_policy::Enclosed);
    assert_eq!(refused(&own, Clock::Microseconds, 8), "`own` is no rule of the registry, so there is no source of it");
    let board = agogic_keys::Board::row_staggered();
    let none = agogic_export::KeyTraits::of(&board, &agogic_keys::Assignment::none());
    let none = Machine::new(&enclosed, none, Clock::Microseconds, 8).unwrap_err();
    assert_eq!(none.to_string(), "between 1 and 62 keys may have two roles, not 0");
}

#[test]
fn the_cost_of_every_rule_was_measured_and_every_rule_was_held_to_the_policy() {
    let measured = measured();
    let equality = include_str!("../../EQUALITY.md");
    for entry in RULES {
        let of_rule: Vec<_> = measured.iter().filter(|row| row.rule == entry.name).collect();
        let again = "see the examples `footprint` and `equality`";
        assert_eq!(of_rule.len(), 4, "{}: {again}", entry.name);
        assert!(of_rule.iter().flat_map(|row| row.worst).all(|worst| worst <= 1000), "{of_rule:?}");
        let fixed = !entry.needs_training;
        assert!(
            of_rule.iter().all(|row| !fixed || row.flash <= 1536) && of_rule.iter().all(|row| row.flash > row.tables)
        );
        let rows: Vec<&str> =
            equality.lines().filter(|line| line.starts_with(&format!("| `{}` |", entry.name))).collect();
        assert_eq!(rows.len(), PAIRWISE.len(), "{}: {again}", entry.name);
        for row in rows {
            let cells: Vec<&str> = row.split('|').map(str::trim).collect();
            assert!(cells[4].parse::<u64>().unwrap() >= 1_000_000 && cells[6] == "0", "{row}");
        }
    }
}

/// The rows of guards hold what they promise.
#[test]
fn every_pair_of_guards_is_on_and_off_in_each_way() {
    for one in 0..5 {
        for other in 0..one {
            for wanted in [(false, false), (false, true), (true, false), (true, true)] {
                assert!(PAIRWISE.iter().any(|row| (row[one], row[other]) == wanted), "{one} and {other}: {wanted:?}");
            }
        }
    }
}
