//! The performance: a typist, a text, a clock.

use agogic_keys::{Assignment, Board, Code, Interruption, ModifierSet, Purpose, Step, TextPlan, Workload, stream};
use rand::RngExt;

use crate::address::SessionAddress;
use crate::densities::Cue;
use crate::gesture::Gesture;
use crate::habits::Habits;
use crate::hands::{Hands, Place};
use crate::movement::Movement;
use crate::performance::Performance;
use crate::session::Session;
use crate::typist::Typist;
use crate::word_place::{LONG_WORD, MIDDLE_OF_WORD, USUAL_WORD};

/// Turns steps into key events on a board.
#[derive(Clone, Debug)]
pub struct Performer {
    movement: Movement,
    assignment: Assignment,
    /// For each key that can be held, the key of the other hand that does the same.
    counterparts: Vec<Option<Code>>,
}

/// Longest run of targets under one hold.
const LONGEST_RUN: usize = 16;

impl Performer {
    /// A performer on a board with its dual-role keys.
    pub fn new(board: &Board, assignment: &Assignment) -> Self {
        let counterparts = Code::all().map(|code| assignment.counterpart(board, code)).collect();
        Self { movement: Movement::new(board), assignment: assignment.clone(), counterparts }
    }

    /// Tables of the board.
    pub fn movement(&self) -> &Movement {
        &self.movement
    }

    /// The dual-role keys.
    pub fn assignment(&self) -> &Assignment {
        &self.assignment
    }

    /// Lets `typist` type about `keys` keys of the text, from some place in it on and round again, with interruptions. Of a
    /// plan of several texts a session is of one, see [`TextPlan::text_of`].
    ///
    /// # Definition
    /// An interval is exp(typist + movement class + place in the word + rarity of the pair + drift + tempo +
    /// noise), plus the time of a hesitation if there is one; before a key pressed again it is instead the
    /// dwell of the first press and exp(typist's gap + drift + tempo + noise). A dwell is exp(typist + finger + drift +
    /// noise), its noise correlated with that of the interval before. A finger must let go of one key before
    /// it presses the next; a pressed key is otherwise held for its dwell, and so keys come to overlap. Of an overlap of
    /// a few ms more is made, of a long one less ([`RollLaw`](crate::RollLaw)). Fingers that roll mostly let go in the
    /// order in which they struck: in a share of rolls the second comes up no sooner than a lag after the first. Slips happen at the typist's rate; those that are noticed are taken back with
    /// Backspace, some keys later, and typed again.
    ///
    /// A hold gesture is made with the key that the plan or the workload names, which lies under the other hand,
    /// or, in the typist's share of gestures, with that key's counterpart under the holding hand.
    ///
    /// The streams are addressed by `address` and the typist's number; so is the place that a session starts
    /// at, a sentence or, of a plan that is cut anywhere ([`TextPlan::cut_anywhere`]), a key, each as likely as any other.
    /// The session ends with the first step that brings it to `keys` presses.
    pub fn perform(
        &self,
        typist: &Typist,
        plan: &TextPlan,
        workload: &Workload,
        address: SessionAddress,
        keys: usize,
    ) -> Session {
        let mut performance = self.start(typist, plan, workload, address, keys);
        while !performance.is_over() {
            performance.advance();
        }
        performance.finish()
    }

    /// Performs as [`Performer::perform`] does, and tells the medians behind each press.
    ///
    /// # Shape
    /// One [`Cue`] per press.
    pub fn perform_with_cues(
        &self,
        typist: &Typist,
        plan: &TextPlan,
        workload: &Workload,
        address: SessionAddress,
        keys: usize,
    ) -> (Session, Vec<Cue>) {
        let mut performance = self.start(typist, plan, workload, address, keys);
        performance.hands.cues = Some(Vec::with_capacity(keys + keys / 8));
        while !performance.is_over() {
            performance.advance();
        }
        let cues = performance.hands.cues.take().unwrap_or_default();
        (performance.finish(), cues)
    }

    /// The same performance, step by step.
    pub fn start<'a>(
        &'a self,
        typist: &Typist,
        plan: &'a TextPlan,
        workload: &'a Workload,
        address: SessionAddress,
        keys: usize,
    ) -> Performance<'a> {
        let SessionAddress { seed, replicate } = address;
        let at = |purpose| stream(seed, purpose, typist.number, replicate);
        let (timing, gestures) = (at(Purpose::Timing), at(Purpose::Gesture));
        let text = plan.text_of(seed, typist.number, replicate);
        let mut place = at(Purpose::Start);
        let start = match plan.starts(text) {
            Some(starts) => starts[place.random_range(0..starts.len())],
            None => place.random_range(0..plan.text(text).len()),
        } as u64;
        Performance {
            performer: self,
            steps: plan.text(text),
            workload,
            keys,
            hands: Hands::new(&self.movement, Habits::of(typist), timing, gestures, keys),
            interruptions: at(Purpose::Workload),
            slips: at(Purpose::Slips),
            start,
            position: start,
            reached: start,
            noticed: None,
            resumed: false,
        }
    }

    /// Makes the capital at `step`, or a run of them under one hold; gives steps used and characters written.
    pub(crate) fn capitals(
        &self,
        hands: &mut Hands<'_>,
        steps: &[Step],
        position: u64,
        step: &Step,
        holder: Code,
        place: Place,
    ) -> (u64, u32) {
        let mut targets = [(step.code, step.with); LONGEST_RUN];
        let mut count = 1;
        let mut held = None;
        if let Some((run, one)) = step.run
            && hands.gestures.random::<f64>() < hands.habits.run_hold
        {
            held = Some(one);
            count = usize::from(run).min(LONGEST_RUN);
            for (i, target) in targets.iter_mut().enumerate().take(count) {
                let step = &steps[((position + i as u64) % steps.len() as u64) as usize];
                *target = (step.code, step.with);
            }
        }
        let targets = &targets[..count];
        // A run is made by the one key that serves all of it.
        let holders = match held {
            Some(one) => [Some(one), None],
            None => self.held_by(hands, [Some(holder), None], step.code),
        };
        let dual = holders[0].is_some_and(|code| self.assignment.modifier(code).is_some());
        hands.gesture(&Gesture { holders, dual, targets, place, shortcut: false });
        (count as u64, count as u32)
    }

    pub(crate) fn interrupt(&self, hands: &mut Hands<'_>, interruption: Interruption) {
        match interruption {
            Interruption::Shortcut { holders, target, with } => {
                let holders = self.held_by(hands, holders, target);
                let dual = holders[0].is_some_and(|code| self.assignment.modifier(code).is_some());
                let targets: &[(Code, ModifierSet)] = &[(target, with)];
                hands.gesture(&Gesture { holders, dual, targets, place: Place::Start(USUAL_WORD), shortcut: true });
            }
            Interruption::BareHold(code) => hands.bare_hold(code),
            Interruption::Repeat(code) => hands.repeat(code),
        }
    }

    /// The keys the typist holds for `target` in place of the named ones, which lie under the other hand.
    ///
    /// # Definition
    /// In the typist's share of gestures those under the holding hand, where each has a counterpart there and no
    /// finger would have two of these keys to press.
    fn held_by(&self, hands: &mut Hands<'_>, named: [Option<Code>; 2], target: Code) -> [Option<Code>; 2] {
        let [Some(first), second] = named else { return named };
        let dual = self.assignment.modifier(first).is_some();
        // Drawn whether used or not, so that the other draws of a gesture stay what they are.
        let draw: f64 = hands.gestures.random();
        let (hand, share) = (hands.habits.holding_hand, hands.habits.gesture[usize::from(dual)].one_hand);
        if draw >= share {
            return named;
        }
        let under = |code: Code| {
            if self.movement.hand(code) == hand { Some(code) } else { self.counterparts[code.index()] }
        };
        let Some(first) = under(first) else { return named };
        let second = match second.map(under) {
            Some(None) => return named,
            Some(found) => found,
            None => None,
        };
        let digit = |code: Code| self.movement.digit(code);
        let free = |code: Code| digit(code) != digit(target);
        if free(first) && second.is_none_or(|second| free(second) && digit(second) != digit(first)) {
            [Some(first), second]
        } else {
            named
        }
    }
}

pub(crate) fn place_of(step: &Step, resumed: bool) -> Place {
    if step.word_start {
        Place::Start(step.length)
    } else if resumed {
        Place::Start(USUAL_WORD)
    } else if step.length >= LONG_WORD && step.place >= MIDDLE_OF_WORD {
        Place::Middle
    } else {
        Place::Plain
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Constant, Population, Trait, TraitSpread};
    use agogic_keys::{Modifier, Press, Rates, Unsupported};

    const TEXT: &str = "The USB lamp on Quay Street was dark; nobody saw the Tide Board (or the clock) that night.";

    fn setting() -> (Board, Assignment, TextPlan) {
        let board = Board::row_staggered();
        let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
        let assignment = Assignment::resting(&board, order);
        let plan = TextPlan::new(TEXT, &board, &assignment, Unsupported::Refuse).unwrap();
        (board, assignment, plan)
    }

    fn busy(rates: Rates) -> Session {
        let (board, assignment, plan) = setting();
        let workload = Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).unwrap();
        let typist = Typist::draw(&Population::volunteers(), 3, 1);
        Performer::new(&board, &assignment).perform(
            &typist,
            &plan,
            &workload,
            SessionAddress { seed: 3, replicate: 0 },
            20_000,
        )
    }

    /// The text as the intents would write it, Backspaces applied.
    fn meant(session: &Session) -> String {
        let mut text = String::new();
        for (press, truth) in session.presses.iter().zip(&session.truths) {
            if truth.hold || truth.shortcut {
                continue;
            }
            if press.code == Code::BACKSPACE {
                text.pop();
            } else if let Some(c) = press.code.character(truth.with.has(Modifier::Shift)) {
                text.push(c);
            }
        }
        text
    }

    /// Whether a text is [`TEXT`] round and round from some place on.
    fn goes_round(text: &str) -> bool {
        format!("{TEXT} ").repeat(2 + text.len() / TEXT.len()).contains(text)
    }

    /// Every key begins a session as often as any other. n = 9000 sessions over 90 keys, alpha = 1e-6 for each (binomial,
    /// 4.9 standard errors); sessions that begin with words are rejected.
    #[test]
    fn a_session_starts_at_any_key() {
        let (board, assignment, plan) = setting();
        let (plan, performer) = (plan.cut_anywhere(), Performer::new(&board, &assignment));
        let steps = plan.text(0);
        let mut counts = vec![0.0; steps.len()];
        let n = 9000_u64;
        let typist = Typist::draw(&Population::volunteers(), 3, 1);
        for replicate in 0..n {
            counts[performer.start(&typist, &plan, &Workload::none(), SessionAddress { seed: 3, replicate }, 1).start
                as usize] += 1.0;
        }
        let (n, p) = (n as f64, 1.0 / steps.len() as f64);
        let bound = 4.9 * (n * p * (1.0 - p)).sqrt();
        assert!(steps.len() == 91 && counts.iter().all(|count: &f64| (count - n * p).abs() < bound), "{counts:?}");
        let words = steps.iter().filter(|step| step.word_start).count() as f64;
        assert!((n / words - n * p).abs() > bound);
    }

    /// Holds and words in a short session are those in as many keys of a long one. n = 4000 sessions of 40 presses, alpha =
    /// 1e-6 each (4.9 standard errors); sessions from the starts of sentences are rejected.
    #[test]
    fn rates_do_not_depend_on_the_length_of_sessions() {
        let text = "Rain at first. The harbour lay still, and nobody in the two boats said anything for a long while. \
                    Then, from the far end of the quay, somebody laughed; it was Ada Quill, who had seen the dog.";
        let (board, assignment, _) = setting();
        let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap().cut_anywhere();
        let performer = Performer::new(&board, &assignment);
        let population =
            Population::volunteers().with_trait(Trait::Slips, TraitSpread { median: 1e-12, spread: 0.0 }).unwrap();
        let typist = Typist::draw(&population, 3, 1);
        let counted = |session: &Session| {
            let holds = session.truths.iter().filter(|truth| truth.hold).count() as f64;
            [holds, session.words as f64].map(|count| count / session.presses.len() as f64)
        };
        let n = 4000_u64;
        let each: Vec<[f64; 2]> = (0..n)
            .map(|replicate| {
                counted(&performer.perform(
                    &typist,
                    &plan,
                    &Workload::none(),
                    SessionAddress { seed: 3, replicate },
                    40,
                ))
            })
            .collect();
        let all = plan.steps();
        let keys = all.len() as f64 + all.iter().filter(|step| step.holder.is_some()).count() as f64;
        let whole = [all.iter().filter(|step| step.holder.is_some()).count() as f64 / keys, plan.words() as f64 / keys];
        // From the first word of each sentence on, 40 presses.
        let sentences: Vec<usize> = (0..all.len()).filter(|at| text[..*at].ends_with(". ") || *at == 0).collect();
        for k in 0..2 {
            let mean = each.iter().map(|own| own[k]).sum::<f64>() / n as f64;
            let variance = each.iter().map(|own| (own[k] - mean).powi(2)).sum::<f64>() / (n as f64 - 1.0);
            let bound = 4.9 * (variance / n as f64).sqrt();
            assert!((mean - whole[k]).abs() < bound, "{k}: {mean} ± {bound}, not {}", whole[k]);
            let from = |start: usize| {
                let own = (0..40).map(|i| &all[(start + i) % all.len()]);
                own.filter(|step| if k == 0 { step.holder.is_some() } else { step.word_start }).count() as f64 / 40.0
            };
            let wrong = sentences.iter().map(|start| from(*start)).sum::<f64>() / sentences.len() as f64;
            assert!((wrong - whole[k]).abs() > bound, "{k}: {wrong}");
        }
    }

    #[test]
    fn a_finger_holds_one_key_at_a_time() {
        let session = busy(Rates { shortcuts: 30.0, bare_holds: 10.0, repeats: 10.0 });
        let (board, ..) = setting();
        let movement = Movement::new(&board);
        let mut busy_until = [0_u64; 11];
        for press in &session.presses {
            let digit = movement.digit(press.code);
            assert!(press.down.0 >= busy_until[digit], "{press:?}");
            assert!(press.up > press.down);
            busy_until[digit] = press.up.0;
        }
        assert!(session.presses.windows(2).all(|pair| pair[0].down < pair[1].down));
    }

    #[test]
    fn without_slips_the_text_comes_out() {
        let (board, assignment, plan) = setting();
        let population =
            Population::volunteers().with_trait(Trait::Slips, TraitSpread { median: 1e-12, spread: 0.0 }).unwrap();
        let typist = Typist::draw(&population, 3, 1);
        let session = Performer::new(&board, &assignment).perform(
            &typist,
            &plan,
            &Workload::none(),
            SessionAddress { seed: 3, replicate: 0 },
            3 * TEXT.len(),
        );
        let text = meant(&session);
        assert!(text.len() >= 2 * TEXT.len() && goes_round(&text), "{text}");
        assert_eq!((session.corrections, session.uncorrected), (0, 0));
    }

    #[test]
    fn noticed_slips_are_mended() {
        let (board, assignment, plan) = setting();
        let population = Population::volunteers()
            .with_trait(Trait::Slips, TraitSpread { median: 0.05, spread: 0.0 })
            .and_then(|p| p.with_trait(Trait::Detection, TraitSpread { median: 1.0 - 1e-12, spread: 0.0 }))
            .unwrap();
        let typist = Typist::draw(&population, 3, 1);
        let session = Performer::new(&board, &assignment).perform(
            &typist,
            &plan,
            &Workload::none(),
            SessionAddress { seed: 3, replicate: 0 },
            5000,
        );
        let text = meant(&session);
        // The end may hold a slip that is yet to be noticed.
        let sure = text.len() - 60;
        assert!(goes_round(&text[..sure]), "{text}");
        assert!(session.corrections > 100 && session.uncorrected == 0);
    }

    #[test]
    fn held_keys_cover_their_targets() {
        let session = busy(Rates { shortcuts: 50.0, ..Rates::default() });
        let mut held: Option<Press> = None;
        let mut seen = 0;
        for (press, truth) in session.presses.iter().zip(&session.truths) {
            if truth.hold {
                held = Some(*press);
            } else if !truth.with.is_empty() {
                let held = held.expect("a target follows its held key");
                assert!(held.down < press.down && held.up > press.down, "{held:?} {press:?}");
                seen += 1;
            } else if let Some(held) = held {
                assert!(press.down > held.up, "a plain key carries no modifier: {held:?} {press:?}");
            }
        }
        assert!(seen > 500);
    }

    /// Gestures of the typist in the middle of a fully adapted population: each holder with the first key after it.
    fn gestures(assignment: &Assignment, adaptation: f64) -> Vec<[Press; 2]> {
        let (board, ..) = setting();
        let plan = TextPlan::new("Anna Berta Carl Emil", &board, assignment, Unsupported::Refuse).unwrap();
        let population = Population::volunteers().with_constant(Constant::Adaptation, adaptation).unwrap();
        let typist = Typist::median(&population);
        let session = Performer::new(&board, assignment).perform(
            &typist,
            &plan,
            &Workload::none(),
            SessionAddress { seed: 9, replicate: 0 },
            20_000,
        );
        let pairs = session.presses.windows(2).zip(&session.truths).filter(|(_, truth)| truth.hold);
        pairs.map(|(pair, _)| [pair[0], pair[1]]).collect()
    }

    #[test]
    fn the_two_habits_differ_only_where_keys_have_two_roles() {
        let (_, assignment, _) = setting();
        let population = Population::volunteers();
        let own = libm::log(population.spread_of(Trait::Release).median);
        let learned = own + libm::log(population.constant(Constant::AdaptedRelease));
        for (assignment, wanted) in [(&Assignment::none(), own), (&assignment, learned)] {
            let found = gestures(assignment, 1.0);
            let log = |pair: &[Press; 2]| libm::log(pair[0].up.since(pair[1].down).ms());
            let (n, sum) = found.iter().fold((0.0, 0.0), |(n, sum), pair| (n + 1.0, sum + log(pair)));
            // Five standard errors of a mean of logs are alpha = 6e-7.
            let error = population.constant(Constant::ReleaseSpread) / f64::sqrt(n);
            assert!((sum / n - wanted).abs() < 5.0 * error, "{} after {n}, expected {wanted}", sum / n);
        }
    }

    #[test]
    fn one_hand_holds_where_a_finger_is_free_until_people_adapt() {
        let (board, assignment, _) = setting();
        let movement = Movement::new(&board);
        let near = |found: &[[Press; 2]]| {
            let same = |pair: &&[Press; 2]| movement.hand(pair[0].code) == movement.hand(pair[1].code);
            found.iter().filter(same).count() as f64 / found.len() as f64
        };
        // The typist in the middle holds with the left hand. With ordinary Shift keys that is the near hand for B, C and
        // E, but not for A, whose finger is on the Shift: three gestures in four.
        let dedicated = near(&gestures(&Assignment::none(), 0.0));
        assert!(dedicated > 0.70 && dedicated < 0.76, "{dedicated}");
        // Under the resting fingers the left index finger cannot hold for B, which it presses itself.
        let resting = near(&gestures(&assignment, 0.0));
        assert!(resting > 0.70 && resting < 0.76, "{resting}");
        assert_eq!(near(&gestures(&assignment, 1.0)), 0.0);
        for pair in gestures(&assignment, 0.0) {
            assert_ne!(movement.digit(pair[0].code), movement.digit(pair[1].code));
        }
    }

    #[test]
    fn interruptions_come_at_their_rates_and_leave_the_text_whole() {
        let session = busy(Rates { shortcuts: 0.0, bare_holds: 20.0, repeats: 20.0 });
        let bare = session.truths.iter().filter(|truth| truth.bare).count() as f64;
        let expected = session.characters as f64 * 0.02;
        assert!((bare - expected).abs() < 5.0 * expected.sqrt(), "{bare}, expected {expected}");
    }
}
