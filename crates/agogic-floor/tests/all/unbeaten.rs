//! No registered rule loses less than the observer beyond Monte Carlo error, on the same presses, at any of five costs.

use std::sync::Arc;

use agogic_floor::{OddsCounts, PairedErrors, PopulationObserver, Sight, Stage, TypistObserver, loss_above_floor};
use agogic_keys::Span;
use agogic_policy::{ErrorCosts, EvidenceCounts, EvidenceTables, Guards, KeySample, RULES, Setting};
use agogic_stats::Level;

use crate::common::{TypingTask, observer, tasks};

/// Every rule that sees no more than so much, at its default and at the ends and the middle of what people use, bare and with
/// guards.
fn settings(tables: &Arc<EvidenceTables>, sight: Sight) -> Vec<Setting> {
    let ms = |t: f64| Some(Span::from_ms(t));
    let none = Guards::default();
    let guards = [
        none,
        Guards { lull: ms(150.0), ..none },
        Guards { retap: ms(150.0), bare_hold: ms(500.0), ..none },
        Guards { dwell_floor: ms(80.0), other_hand: true, ..none },
        Guards { lull: ms(90.0), retap: ms(120.0), dwell_floor: ms(90.0), other_hand: true, bare_hold: ms(350.0) },
    ];
    let mut settings = Vec::new();
    for entry in RULES.iter().filter(|entry| entry.sight <= sight) {
        let mut values: Vec<Vec<(&str, f64)>> = vec![Vec::new()];
        for param in entry.params {
            for share in [0.5, 0.8, 1.3, 1.8] {
                let value = param.default * share;
                if param.accepts(value) {
                    values.push(vec![(param.name, value)]);
                }
            }
        }
        for values in &values {
            for guards in guards {
                settings.push(Setting::trained(entry.name, values, tables).unwrap().with_guards(guards));
            }
        }
    }
    settings
}

fn tables(task: &TypingTask) -> Arc<EvidenceTables> {
    let (mut counts, mut keys) = (EvidenceCounts::new(), KeySample::new());
    for number in (1 << 40)..(1 << 40) + 30 {
        let session = task.session(&task.typist(number), 3000);
        task.each(&session, |encounter, hold| {
            counts.add(encounter, hold);
            keys.add(encounter, hold);
        });
    }
    let tables = counts.tables().unwrap();
    let keyed = keys.tables(1.0, &tables, true).unwrap();
    Arc::new(tables.with_keys(keyed))
}

/// How many of its own Monte Carlo errors a rule may lose less than the observer. Of one rule at one cost that is alpha = 1e-8
/// by t with 120 typists, and 1e-5 with 16; all but a few rules stand so far above that they add nothing to it.
const GATE: f64 = -6.0;

/// Costs of a false hold where a missed one costs one.
const COSTS: [f64; 5] = [0.05, 0.2, 1.0, 5.0, 20.0];

/// False and missed holds by typist and rule.
type Wrong = Vec<Vec<[u64; 2]>>;

/// The loss of each rule above the floor in its own errors, the lowest of all costs.
fn standings(odds: &[OddsCounts], wrong: &Wrong) -> Vec<f64> {
    (0..wrong[0].len())
        .map(|rule| {
            let paired: Vec<PairedErrors<'_>> = odds
                .iter()
                .zip(wrong)
                .map(|(odds, wrong)| PairedErrors { false_holds: wrong[rule][0], missed_holds: wrong[rule][1], odds })
                .collect();
            let standing = |cost: f64| {
                let costs = ErrorCosts::new(cost, 1.0).unwrap();
                let loss = loss_above_floor(&paired, costs, Level::P95);
                // A rule that agrees with the observer in every typist has no error either.
                loss.value.unwrap() / loss.mcse.unwrap_or(1e-9)
            };
            COSTS.into_iter().map(standing).fold(f64::INFINITY, f64::min)
        })
        .collect()
}

fn errors(task: &TypingTask, number: u64, keys: usize, settings: &[Setting]) -> Vec<[u64; 2]> {
    let session = task.session(&task.typist(number), keys);
    let mut wrong = vec![[0; 2]; settings.len()];
    task.each(&session, |encounter, hold| {
        for (setting, wrong) in settings.iter().zip(&mut wrong) {
            wrong[usize::from(hold)] += u64::from(setting.decide(encounter).is_hold() != hold);
        }
    });
    wrong
}

#[test]
fn no_rule_is_below_the_floor() {
    for task in tasks() {
        let settings = settings(&tables(&task), Sight::Timing);
        assert!(settings.len() > 100);
        let (mut odds, mut wrong, mut peeks) = (Vec::new(), Wrong::new(), Wrong::new());
        // So many that peeking shows; with 40 it stood at four errors.
        for number in 0..120 {
            let observer = observer(&task, &task.typist(number));
            let mut counts = OddsCounts::new();
            let (mut peek, mut nth) = ([0; 2], 0);
            let session = task.session(&task.typist(number), 8000);
            task.each(&session, |encounter, hold| {
                let log_odds = observer.log_odds(encounter, None);
                counts.add(log_odds, hold);
                // The observer itself, told the truth about every second press: what nobody may do.
                nth += 1;
                peek[usize::from(hold)] += u64::from(nth % 2 == 0 && (log_odds >= 0.0) != hold);
            });
            odds.push(counts);
            wrong.push(errors(&task, number, 8000, &settings));
            peeks.push(vec![peek]);
        }
        for (setting, standing) in settings.iter().zip(standings(&odds, &wrong)) {
            assert!(standing > GATE, "{}: {} stands at {standing:.1}", task.name, setting.label());
        }
        let peeking = standings(&odds, &peeks)[0];
        assert!(peeking < GATE, "{}: whoever peeks stands at {peeking:.1}", task.name);
    }
}

/// Rules that know keys, trained on the very text that they are judged on and weighing it as if it were all there is, are
/// above the floor of keys: by their standing, and by the errors of all typists together.
#[test]
fn no_rule_that_knows_keys_is_below_the_floor_of_keys() {
    let [task, ..] = tasks();
    let mut settings = settings(&tables(&task), Sight::Keys);
    settings.retain(|setting| setting.entry().sight == Sight::Keys);
    assert!(settings.len() > 50);
    let stage = Stage { rehearsal: 100_000, ..task.stage() };
    let (mut odds, mut wrong, mut peeks) = (Vec::new(), Wrong::new(), Wrong::new());
    for number in 0..TYPISTS {
        let typist = task.typist(number);
        let session = task.session(&typist, 12_000);
        let observer = TypistObserver::new(&stage, &typist, Sight::Keys);
        let mut counts = OddsCounts::new();
        let (mut peek, mut nth) = ([0; 2], 0);
        task.each(&session, |encounter, hold| {
            let log_odds = observer.log_odds(encounter, None);
            counts.add(log_odds, hold);
            nth += 1;
            peek[usize::from(hold)] += u64::from(nth % 2 == 0 && (log_odds >= 0.0) != hold);
        });
        odds.push(counts);
        wrong.push(errors(&task, number, 12_000, &settings));
        peeks.push(vec![peek]);
    }
    for (rule, (setting, standing)) in settings.iter().zip(standings(&odds, &wrong)).enumerate() {
        assert!(standing > GATE, "{} stands at {standing:.1}", setting.label());
        let fewer = fewer(&odds, &wrong, rule);
        assert!(fewer < FEWER, "{} makes fewer errors by {fewer:.1}", setting.label());
    }
    // Whoever is told the truth about every second press is found out.
    let peeking = fewer(&odds, &peeks, 0);
    assert!(peeking > FEWER, "whoever peeks makes fewer errors by {peeking:.1}");
}

/// Typists of the floor of keys: so many that peeking shows; with 40 it stood at 4.9 standard deviations.
const TYPISTS: u64 = 72;

/// By how many standard deviations of the observer's own errors a rule may make fewer of them: alpha = 6e-8.
const FEWER: f64 = 5.3;

/// How many fewer errors a rule makes than the observer expects of itself, all typists together, in standard deviations of a
/// Poisson count.
fn fewer(odds: &[OddsCounts], wrong: &Wrong, rule: usize) -> f64 {
    let expected: u64 = odds.iter().flat_map(|odds| odds.errors_at(0.0)).sum();
    let errors: u64 = wrong.iter().flat_map(|wrong| wrong[rule]).sum();
    (expected as f64 - errors as f64) / (expected as f64).sqrt()
}

/// A rule with one setting for everybody does not know who types, so it is above the higher floor as well.
#[test]
fn no_rule_is_below_the_floor_of_who_does_not_know_the_typist() {
    let [task, ..] = tasks();
    let settings = settings(&tables(&task), Sight::Timing);
    let crowd = (0..24).map(|k| observer(&task, &task.typist((1 << 40) + k))).collect();
    let crowd = PopulationObserver::new(crowd);
    let (mut odds, mut wrong) = (Vec::new(), Wrong::new());
    for number in 0..16 {
        let mut counts = OddsCounts::new();
        let session = task.session(&task.typist(number), 2500);
        task.each(&session, |encounter, hold| counts.add(crowd.log_odds(encounter, None), hold));
        odds.push(counts);
        wrong.push(errors(&task, number, 2500, &settings));
    }
    for (setting, standing) in settings.iter().zip(standings(&odds, &wrong)) {
        assert!(standing > GATE, "{} stands at {standing:.1}", setting.label());
    }
}
