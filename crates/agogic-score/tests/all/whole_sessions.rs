//! Text errors of whole simulated sessions against the minimum string distance of the whole texts.

use agogic_keys::{Assignment, Board, Modifier, Rates, TextPlan, Unsupported, Workload};
use agogic_policy::{Encounters, Setting};
use agogic_score::{CostTable, Decided, Emulator, Produced, ScorerStream, TextError, Transcript};
use agogic_typist::{Performer, Population, SessionAddress, Typist};

const TEXT: &str = include_str!("../../../../data-synthetic/texts/tide-station.txt");
const PRESSES: usize = 2_500;

/// The scorer compares texts piece by piece; the reference takes them whole. Rules from careful to absurd, so that up to
/// two in five characters are lost. Nothing is drawn here but the sessions, so any difference is a fault.
#[test]
fn texts_in_pieces_are_as_far_apart_as_whole_ones() {
    let board = Board::row_staggered();
    let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
    let assignment = Assignment::resting(&board, order);
    let plan = TextPlan::new(TEXT, &board, &assignment, Unsupported::Refuse).unwrap();
    let rates = Rates { shortcuts: 8.0, bare_holds: 2.0, repeats: 2.0 };
    let workload = Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).unwrap();
    let performer = Performer::new(&board, &assignment);
    let (emulator, costs) = (Emulator::new(&assignment), CostTable::default());
    let rule = |name: &str, values: &[(&str, f64)]| Setting::rule(name, values).unwrap();
    let settings = [
        rule("enclosed", &[]),
        rule("first-contact", &[]),
        rule("dwell-cutoff", &[("cutoff_ms", 150.0)]),
        rule("dwell-cutoff", &[("cutoff_ms", 20.0)]),
    ];
    let mut scorer = ScorerStream::new();
    let (mut encounters, mut decisions) = (Encounters::new(), Vec::new());
    let mut edits = 0;
    for population in [Population::volunteers(), Population::trained(), Population::slow()] {
        for number in 0..25 {
            let typist = Typist::draw(&population, 11, number);
            let session =
                performer.perform(&typist, &plan, &workload, SessionAddress { seed: 11, replicate: 0 }, PRESSES);
            let (presses, truths) = (&session.presses, &session.truths);
            let transcript = Transcript::new(&emulator, presses, truths, session.words);
            let meant = Produced::meant(presses, truths).text;
            let dual = |code| emulator.held_role(code).is_some();
            encounters.fill(presses, 0, dual, |code| performer.movement().hand(code));
            for setting in &settings {
                setting.decide_all(&encounters, &mut decisions);
                let decided = encounters.presses().zip(&decisions);
                let decided: Vec<_> = decided.map(|(press, &decision)| Decided { press, decision }).collect();
                scorer.begin(&transcript);
                decided.iter().for_each(|own| scorer.decide(&transcript, own.press, own.decision));
                let found = scorer.finish(&transcript, &costs).text;
                let whole = TextError::of(&meant, &Produced::of(&emulator, presses, &decided));
                assert_eq!(found, whole, "{} {number} under {}", population.name(), setting.label());
                edits += found.not_fixed;
            }
        }
    }
    assert!(edits > 30_000, "{edits}");
}
