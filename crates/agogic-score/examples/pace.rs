//! How long scoring takes: ns per press for the readable tally, for the scorer, and for the text error.
//!
//! Run with `cargo run --release -p agogic-score --example pace`.

use std::hint::black_box;
use std::time::Instant as Clock;

use agogic_keys::{Assignment, Board, Code, Instant, Modifier, Press, Purpose, Span, Truth, stream};
use agogic_policy::Decision;
use agogic_score::{
    CostTable, Decided, Emulator, Kinds, Produced, Scorer, ScorerStream, TextError, Transcript, harm, tally,
};
use rand::RngExt;

const PRESSES: usize = 15_000;
const ROUNDS: u32 = 200;

fn main() {
    let board = Board::row_staggered();
    let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
    let emulator = Emulator::new(&Assignment::resting(&board, order));
    let (presses, truths, decided) = session(&emulator);
    println!("{} presses, {} of dual-role keys; fastest of {ROUNDS} rounds", presses.len(), decided.len());

    let report = |what: &str, rounds: u32, work: &mut dyn FnMut()| {
        work();
        let mut round = || {
            let start = Clock::now();
            work();
            start.elapsed()
        };
        // The fastest round: what the machine can do when nothing else disturbs it.
        let fastest = (0..rounds).map(|_| round()).min().unwrap_or_default();
        println!("{what:<28} {:8.1} ns per press", fastest.as_nanos() as f64 / PRESSES as f64);
    };
    report("tally", ROUNDS, &mut || {
        black_box(tally(&emulator, black_box(&presses), &truths, &decided, 2500));
    });
    report("tally and kinds", ROUNDS, &mut || {
        black_box(tally(&emulator, black_box(&presses), &truths, &decided, 2500));
        black_box(Kinds::of(&emulator, &presses, &truths, &decided));
    });
    let mut scorer = Scorer::new();
    report("scorer (with kinds)", ROUNDS, &mut || {
        black_box(scorer.score(&emulator, black_box(&presses), &truths, &decided, 2500));
    });
    let costs = CostTable::default();
    report("harm of the kinds", ROUNDS, &mut || {
        black_box(harm(&costs, black_box(scorer.kinds())));
    });
    report("transcript, once for all", ROUNDS, &mut || {
        black_box(Transcript::new(&emulator, black_box(&presses), &truths, 2500));
    });
    let transcript = Transcript::new(&emulator, &presses, &truths, 2500);
    let mut stream = ScorerStream::new();
    report("stream, all but the text", ROUNDS, &mut || {
        stream.begin(&transcript);
        for one in &decided {
            stream.decide(black_box(&transcript), one.press, one.decision);
        }
    });
    report("stream, harm and text too", ROUNDS, &mut || {
        stream.begin(&transcript);
        for one in &decided {
            stream.decide(black_box(&transcript), one.press, one.decision);
        }
        black_box(stream.finish(&transcript, &costs));
    });
    let meant = Produced::meant(&presses, &truths);
    report("text and its error", 20, &mut || {
        let produced = Produced::of(&emulator, black_box(&presses), &decided);
        black_box(TextError::of(&meant.text, &produced));
    });
    let mut far = Produced::of(&emulator, &presses, &decided);
    far.text.reverse();
    report("error of an unrelated text", 5, &mut || {
        black_box(TextError::of(black_box(&meant.text), &far));
    });

    let counts = scorer.score(&emulator, &presses, &truths, &decided, 2500);
    let produced = Produced::of(&emulator, &presses, &decided);
    let error = TextError::of(&meant.text, &produced);
    stream.begin(&transcript);
    for one in &decided {
        stream.decide(&transcript, one.press, one.decision);
    }
    assert_eq!(stream.finish(&transcript, &costs).text, error, "within a window the distance is exact");
    println!("false holds {}, stray chords {}, MSD {}", counts.false_holds, counts.stray_chords, error.not_fixed);
}

/// Letters in quick succession, one in a hundred dual-role presses wrongly taken for a hold.
fn session(emulator: &Emulator) -> (Vec<Press>, Vec<Truth>, Vec<Decided>) {
    let mut rng = stream(7, Purpose::Timing, 0, 0);
    let letters: Vec<Code> = Code::all().filter(|code| code.name().starts_with("Key")).collect();
    let (mut presses, mut decided) = (Vec::new(), Vec::new());
    let mut down = 0;
    for press in 0..PRESSES {
        let code = letters[rng.random_range(0..letters.len())];
        down += rng.random_range(60_000..260_000_u64);
        let dwell = rng.random_range(60_000..170_000_u64);
        presses.push(Press { code, down: Instant(down), up: Instant(down + dwell) });
        if emulator.held_role(code).is_some() {
            let wrong = rng.random_range(0..100) == 0;
            let decision = if wrong { Decision::hold(Span(dwell)) } else { Decision::tap(Span(dwell)) };
            decided.push(Decided { press, decision });
        }
    }
    (presses, vec![Truth::default(); PRESSES], decided)
}
