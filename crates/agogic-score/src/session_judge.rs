//! Several policies judged on one session: the entry point for runs.

use agogic_keys::{Code, Hand};
use agogic_policy::{Decision, Encounters, Setting};

use crate::cost_table::CostTable;
use crate::kinds::Kinds;
use crate::stream::{ScorerStream, TypistScore};
use crate::transcript::Transcript;

/// Judges any number of settings on sessions, one session after the other: one scan of each session, then one pass
/// over its encounters for each setting.
///
/// Memory hangs on the longest session; nothing is allocated per press once the buffers have grown.
///
/// ```
/// use agogic_keys::{Assignment, Board, Code, Hand, Instant, Modifier, Press, Truth};
/// use agogic_policy::Setting;
/// use agogic_score::{CostTable, Emulator, SessionJudge, Transcript};
///
/// let mut assignment = Assignment::none();
/// let f: Code = "KeyF".parse().unwrap();
/// assignment.assign(&Board::row_staggered(), f, Modifier::Control).unwrap();
/// let emulator = Emulator::new(&assignment);
/// // F and W roll; both were meant as letters.
/// let presses = [
///     Press { code: f, down: Instant(0), up: Instant(120_000) },
///     Press { code: "KeyW".parse().unwrap(), down: Instant(90_000), up: Instant(190_000) },
/// ];
/// let truths = [Truth::default(); 2];
/// let transcript = Transcript::new(&emulator, &presses, &truths, 1);
/// let settings = ["first-contact", "enclosed"].map(|name| Setting::rule(name, &[]).unwrap());
/// let mut harms = Vec::new();
/// SessionJudge::new().judge(&transcript, |_| Hand::Left, &settings, &CostTable::default(), |_, score, _| {
///     harms.push(score.harm.seconds());
/// });
/// // The first one loses a letter and closes a document; the other makes no mistake.
/// assert_eq!(harms, [31.5, 0.0]);
/// ```
#[derive(Debug, Default)]
pub struct SessionJudge {
    encounters: Encounters,
    decisions: Vec<Decision>,
    stream: ScorerStream,
}

impl SessionJudge {
    /// A judge with empty buffers.
    pub fn new() -> Self {
        Self::default()
    }

    /// Judges `settings` on a session; `hand` tells the hand of a key. Calls `visit` once for each setting,
    /// in order, with its place, its score and the kinds of its wrong outcomes.
    ///
    /// Settings may differ from typist to typist, as fitted ones do.
    pub fn judge<S: AsRef<Setting>>(
        &mut self,
        transcript: &Transcript<'_>,
        hand: impl Fn(Code) -> Hand,
        settings: &[S],
        costs: &CostTable,
        mut visit: impl FnMut(usize, TypistScore, &Kinds),
    ) {
        let Self { encounters, decisions, stream } = self;
        let dual = |code: Code| transcript.emulator.held_role(code).is_some();
        encounters.fill(transcript.presses, transcript.first, dual, hand);
        for (at, setting) in settings.iter().enumerate() {
            setting.as_ref().decide_all(encounters, decisions);
            stream.begin(transcript);
            for (press, decision) in encounters.presses().zip(&*decisions) {
                stream.decide(transcript, press, *decision);
            }
            let score = stream.finish(transcript, costs);
            visit(at, score, stream.kinds());
        }
    }
}
