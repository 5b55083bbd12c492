//! Logs of synthetic typists, whose presses and intents are known: what is read is what was made.

use agogic_keys::Modifier::{Alt, Control, Meta, Shift};
use agogic_keys::{Assignment, Board, ModifierSet, TextPlan, Unsupported, Workload};
use agogic_log::{DefectKind, Intent, LogLayout, SessionLog, read_bytes, summarise, write_csv};
use agogic_stats::{Level, quantile};
use agogic_typist::{Movement, Performer, Population, Session, SessionAddress, Typist, observe};

const SEED: u64 = 11;

fn perform(text: &str, assignment: &Assignment, number: u64, keys: usize) -> Session {
    let board = Board::row_staggered();
    let plan = TextPlan::new(text, &board, assignment, Unsupported::Refuse).unwrap();
    let typist = Typist::draw(&Population::volunteers(), SEED, number);
    Performer::new(&board, assignment).perform(
        &typist,
        &plan,
        &Workload::none(),
        SessionAddress { seed: SEED, replicate: 0 },
        keys,
    )
}

/// The session as a log in which the intents of dual-role keys are stated.
fn logged(session: &Session, assignment: &Assignment, number: u64) -> SessionLog {
    let target = |place: usize| {
        let later = session.truths[place..].iter().position(|truth| !truth.with.is_empty());
        later.map(|k| session.presses[place + k].code)
    };
    let intents = (0..session.presses.len()).map(|place| {
        let truth = session.truths[place];
        match (assignment.modifier(session.presses[place].code), truth.hold) {
            (None, _) => None,
            (Some(_), false) => Some(Intent::Tap),
            (Some(_), true) => Some(Intent::Hold(target(place))),
        }
    });
    SessionLog {
        participant: format!("synthetic-{number}"),
        session: "1".to_owned(),
        part: 0,
        presses: session.presses.clone(),
        intents: intents.collect(),
        breaks: vec![],
    }
}

#[test]
fn presses_and_truths_survive_the_file() {
    let assignment = Assignment::resting(&Board::row_staggered(), [Meta, Alt, Control, Shift]);
    let text = "Karin met Jonas in Oslo. The ferry to Lark Island left at noon, and Ada waved.\n";
    let (mut holds, mut carried) = (0, 0);
    for number in 0..20 {
        let session = perform(text, &assignment, number, 1000);
        let log = logged(&session, &assignment, number);
        let mut bytes = Vec::new();
        write_csv(&mut bytes, std::slice::from_ref(&log)).unwrap();
        let read = read_bytes(&bytes, &LogLayout::events()).unwrap();
        // Where a coarse clock lets two keys go down at one time, their order may turn.
        let mut expected = log.presses.clone();
        let mut found = read.sessions[0].presses.clone();
        for presses in [&mut expected, &mut found] {
            presses.sort_by_key(|press| (press.down, press.code));
        }
        assert_eq!(found, expected, "typist {number}: {}", read.report);
        assert!(read.report.defects.is_empty(), "typist {number}: {}", read.report);
        let truths = log.truths(&assignment);
        for (place, (found, made)) in truths.iter().zip(&session.truths).enumerate() {
            let found = found.unwrap();
            assert_eq!((found.hold, found.bare), (made.hold, made.bare), "typist {number}, press {place}");
            holds += usize::from(made.hold);
            // A slip can strike the target's key before the target itself; the log cannot tell the two apart.
            carried += usize::from(found.with == made.with && made.with != ModifierSet::NONE);
        }
    }
    assert!(holds > 1000 && carried as f64 > 0.97 * holds as f64, "{carried} of {holds} targets found again");
}

#[test]
fn the_summary_agrees_with_the_moments_taken_elsewhere() {
    let (board, none) = (Board::row_staggered(), Assignment::none());
    let text = "the ferry leaves the north pier at half past six and few people expected the old crane to work again\n";
    let session = perform(text, &none, 3, 3000);
    let seen = observe(&session, &Movement::new(&board));
    let mut bytes = Vec::new();
    write_csv(&mut bytes, &[logged(&session, &none, 3)]).unwrap();
    let log = read_bytes(&bytes, &LogLayout::events()).unwrap();
    let summary = summarise(&log, Level::P95);
    let person = &summary.people[0];
    for (p, estimate) in &person.dwell_ms.at {
        let value = quantile(&seen.dwells, *p).unwrap();
        assert!((estimate.value.unwrap() - value).abs() < 1e-9, "dwell at {p}");
        assert!(estimate.interval().unwrap().contains(value));
    }
    for (p, estimate) in &person.interval_ms.at {
        assert!((estimate.value.unwrap() - quantile(&seen.intervals, *p).unwrap()).abs() < 1e-9, "interval at {p}");
    }
    assert!((person.rollover.value.unwrap() - seen.rollover.unwrap()).abs() < 1e-12);
    let words = seen.intervals.len() as f64 / (seen.intervals.iter().sum::<f64>() / 60_000.0);
    assert!((person.keys_per_minute.value.unwrap() - words).abs() < 1e-6);
}

#[test]
fn auto_repeat_added_to_a_log_is_found_again() {
    let none = Assignment::none();
    let session = perform("so it goes\n", &none, 5, 500);
    let log = logged(&session, &none, 5);
    let mut bytes = Vec::new();
    write_csv(&mut bytes, std::slice::from_ref(&log)).unwrap();
    let text = String::from_utf8(bytes).unwrap();
    let mut out = String::new();
    let mut added = 0;
    let mut lines = text.lines().peekable();
    while let Some(line) = lines.next() {
        out += line;
        out.push('\n');
        // Only a key that is let go before another goes down repeats in the eyes of the reader.
        let next = lines.peek().copied().unwrap_or_default();
        let parts = |line: &str| line.split(',').map(str::to_owned).collect::<Vec<_>>();
        let (now, next) = (parts(line), parts(next));
        if now.get(4).is_some_and(|edge| edge == "press")
            && next.get(4).is_some_and(|edge| edge == "release")
            && now[3] == next[3]
        {
            let t_us: u64 = now[2].parse().unwrap();
            let until: u64 = next[2].parse().unwrap();
            if until - t_us > 2 {
                out += &format!("1,synthetic-5,{},{},press,,\n", t_us + 1, now[3]);
                added += 1;
            }
        }
    }
    let read = read_bytes(out.as_bytes(), &LogLayout::events()).unwrap();
    assert!(added > 100, "{added}");
    assert_eq!(read.report.count(DefectKind::AutoRepeat), added);
    assert_eq!(read.report.defects.len(), 1);
    assert_eq!(read.sessions[0].presses, log.presses);
}
