//! The scorer against the readable tally, and what counts must satisfy.

use agogic_keys::{Code, Hand, Modifier};
use agogic_policy::{EncounterScan, Setting};
use agogic_score::{
    CostTable, Counts, Harm, Kinds, Outcome, Produced, Scorer, ScorerStream, SessionJudge, TextError, Transcript, harm,
    tally,
};
use proptest::collection::vec;
use proptest::prelude::*;

use crate::common::{Session, emulator, session};
use agogic_score::Decided;

fn count(session: &Session) -> Counts {
    tally(&emulator(), &session.presses, &session.truths, &session.decided, 3)
}

fn kinds(session: &Session) -> Kinds {
    Kinds::of(&emulator(), &session.presses, &session.truths, &session.decided)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn one_pass_gives_what_the_tally_gives(sessions in vec(session(60), 1..4)) {
        // One scorer for all: its buffers must not carry anything over.
        let mut scorer = Scorer::new();
        for session in &sessions {
            let counts = scorer.score(&emulator(), &session.presses, &session.truths, &session.decided, 3);
            prop_assert_eq!(counts, count(session));
            prop_assert_eq!(scorer.kinds(), &kinds(session));
        }
    }

    #[test]
    fn a_stream_gives_what_the_readable_ways_give(sessions in vec(session(80), 1..4), from in 0..40_usize) {
        let (emulator, costs) = (emulator(), CostTable::default());
        let mut stream = ScorerStream::new();
        for (at, session) in sessions.iter().enumerate() {
            let Session { presses, truths, decided } = session;
            let from = if at == 0 { 0 } else { from };
            let transcript = Transcript::from_press(&emulator, presses, truths, from, 3);
            stream.begin(&transcript);
            for one in decided {
                stream.decide(&transcript, one.press, one.decision);
            }
            let score = stream.finish(&transcript, &costs);
            // The judged part as a session of its own; only a press that repeats the one before sees more.
            let first = transcript.first();
            let (presses, truths) = (&presses[first..], &truths[first..]);
            let decided: Vec<_> = decided
                .iter()
                .filter(|one| one.press >= first)
                .map(|one| Decided { press: one.press - first, ..*one })
                .collect();
            let alike = |mut counts: Counts| {
                let again = first > 0 && session.presses.get(first).map(|p| p.code) == session.presses.get(first - 1).map(|p| p.code);
                if again {
                    counts.false_by.by_long_dwell += std::mem::take(&mut counts.false_by.by_repeat);
                }
                counts
            };
            prop_assert_eq!(alike(score.counts), alike(tally(&emulator, presses, truths, &decided, 3)));
            let kinds = Kinds::of(&emulator, presses, truths, &decided);
            prop_assert_eq!(stream.kinds(), &kinds);
            prop_assert_eq!(score.harm, harm(&costs, &kinds));
            let produced = Produced::of(&emulator, presses, &decided);
            let text: Vec<char> = stream.text().iter().map(|&byte| char::from(byte)).collect();
            prop_assert_eq!(&text, &produced.text);
            prop_assert_eq!(score.text, TextError::of(&Produced::meant(presses, truths).text, &produced));
        }
    }

    #[test]
    fn a_panel_gives_what_stored_decisions_give(sessions in vec(session(60), 1..4), from in 0..30_usize) {
        let (emulator, costs) = (emulator(), CostTable::default());
        let hand = |code: Code| if code.name() < "KeyG" { Hand::Left } else { Hand::Right };
        let mut judge = SessionJudge::new();
        for (at, Session { presses, truths, .. }) in sessions.iter().enumerate() {
            // Fewer settings after the first session: streams left over must not matter.
            let rules = &["dwell-cutoff", "first-contact", "overlap-share"][..3 - at.min(2)];
            let settings: Vec<Setting> = rules.iter().map(|rule| Setting::rule(rule, &[]).unwrap()).collect();
            let transcript = Transcript::from_press(&emulator, presses, truths, from, 2);
            let mut judged = Vec::new();
            judge.judge(&transcript, hand, &settings, &costs, |at, score, kinds| {
                judged.push((at, score, kinds.clone()));
            });
            for (at, setting) in settings.iter().enumerate() {
                let mut stream = ScorerStream::new();
                stream.begin(&transcript);
                let dual = |code: Code| emulator.held_role(code).is_some();
                EncounterScan::new().each(presses, dual, hand, |press, encounter| {
                    stream.decide(&transcript, press, setting.decide(encounter));
                });
                let score = stream.finish(&transcript, &costs);
                prop_assert_eq!(&judged[at], &(at, score, stream.kinds().clone()));
            }
            prop_assert_eq!(judged.len(), settings.len());
        }
    }

    #[test]
    fn parts_make_wholes(session in session(60)) {
        let counts = count(&session);
        prop_assert_eq!(counts.false_by.total(), counts.false_holds);
        prop_assert_eq!(counts.holds_by.total(), counts.holds);
        prop_assert_eq!(counts.missed_by.total(), counts.missed_holds);
        prop_assert!(counts.missed_by.trailing <= counts.holds_by.trailing);
        prop_assert!(counts.missed_by.enclosed <= counts.holds_by.enclosed);
        prop_assert_eq!(counts.taps + counts.holds, session.decided.len() as u64);
        // No key is lost: each press is a key at the host or a modifier there.
        let dedicated = session.presses.iter().filter(|press| press.code.dedicated_modifier().is_some()).count();
        let held = session.decided.iter().filter(|one| one.decision.is_hold()).count();
        prop_assert_eq!(counts.host_keys, counts.keys - (dedicated + held) as u64);
        prop_assert!(counts.tap_delay_p50_us <= counts.tap_delay_p95_us);
        prop_assert!(counts.tap_delay_p95_us <= counts.tap_delay_p99_us);
        prop_assert!(counts.missed_runs <= counts.runs.min(counts.missed_holds) && counts.runs <= counts.holds);
        prop_assert!(counts.taps_over_100_ms <= counts.taps_over_40_ms && counts.taps_over_40_ms <= counts.taps);
        let kinds = kinds(&session);
        prop_assert_eq!(kinds.total(Outcome::FalseHold), counts.false_holds);
        prop_assert_eq!(kinds.total(Outcome::MissedHold), counts.missed_holds);
        prop_assert!(kinds.total(Outcome::StrayChord) >= counts.stray_chords);
        prop_assert!(kinds.total(Outcome::LostChord) >= counts.lost_chords);
    }

    #[test]
    fn kinds_are_counted_by_their_definition(session in session(60)) {
        let (emulator, kinds) = (emulator(), kinds(&session));
        let mut arrived = Vec::new();
        emulator.each(&session.presses, &session.decided, |key| arrived.push(*key));
        for modifier in Modifier::ALL {
            for code in Code::all() {
                let of_this = arrived.iter().filter(|key| key.code == code);
                let meant = |press: usize| !session.truths[press].hold && session.truths[press].with.has(modifier);
                let stray = of_this.clone().filter(|key| key.with.has(modifier) && !meant(key.press)).count();
                let lost = of_this.filter(|key| !key.with.has(modifier) && meant(key.press)).count();
                prop_assert_eq!(kinds.count(Outcome::StrayChord, modifier, code), stray as u64);
                prop_assert_eq!(kinds.count(Outcome::LostChord, modifier, code), lost as u64);
                let wrong = |hold: bool| {
                    let mine = session.decided.iter().filter(|one| session.presses[one.press].code == code);
                    let role = emulator.held_role(code) == Some(modifier);
                    mine.filter(|one| role && one.decision.is_hold() != hold && session.truths[one.press].hold == hold)
                        .count() as u64
                };
                prop_assert_eq!(kinds.count(Outcome::FalseHold, modifier, code), wrong(false));
                prop_assert_eq!(kinds.count(Outcome::MissedHold, modifier, code), wrong(true));
            }
        }
    }

    #[test]
    fn right_decisions_of_meant_keys_leave_nothing_to_mend(mut session in session(60)) {
        // Decide as meant, and mean what follows from that.
        for one in &mut session.decided {
            let hold = session.truths[one.press].hold;
            one.decision.role = if hold { agogic_policy::Role::Hold } else { agogic_policy::Role::Tap };
        }
        let mut carried = Vec::new();
        emulator().each(&session.presses, &session.decided, |key| carried.push((key.press, key.with)));
        for (press, with) in carried {
            session.truths[press].with = with;
        }
        prop_assert_eq!(count(&session).wrong_keys(), 0);
        prop_assert_eq!(kinds(&session), Kinds::new());
        prop_assert_eq!(harm(&CostTable::default(), &kinds(&session)), Harm::default());
    }

    #[test]
    fn totals_do_not_hang_on_the_order(sessions in vec(session(30), 2..5)) {
        let mut forth = Counts::default();
        let mut back = Counts::default();
        let (mut forth_kinds, mut back_kinds) = (Kinds::new(), Kinds::new());
        let mut harms = Harm::default();
        for session in &sessions {
            forth += count(session);
            forth_kinds += &kinds(session);
            harms += harm(&CostTable::default(), &kinds(session));
        }
        for session in sessions.iter().rev() {
            back += count(session);
            back_kinds += &kinds(session);
        }
        prop_assert_eq!(forth, back);
        prop_assert_eq!(&forth_kinds, &back_kinds);
        prop_assert_eq!(harms, harm(&CostTable::default(), &forth_kinds));
        let delays: u64 = sessions.iter().map(|session| count(session).host_delay_us).sum();
        prop_assert_eq!(forth.host_delay_us, delays);
    }

    #[test]
    fn a_total_bounds_the_quantiles_of_the_pooled_taps(sessions in vec(session(30), 2..5)) {
        let mut total = Counts::default();
        let mut pooled = Vec::new();
        for session in &sessions {
            total += count(session);
            let taps = session.decided.iter().filter(|one| !session.truths[one.press].hold);
            pooled.extend(taps.map(|one| one.decision.after.0));
        }
        pooled.sort_unstable();
        for (percent, bound) in [(50, total.tap_delay_p50_us), (95, total.tap_delay_p95_us)] {
            let rank = (pooled.len() * percent).div_ceil(100);
            let pooled = if rank == 0 { 0 } else { pooled[rank - 1] };
            prop_assert!(pooled <= bound, "{} percent: {} > {}", percent, pooled, bound);
        }
    }
}
