//! The ideal observer: the best that any rule could do under the model with what the observer sees, and what a rule
//! loses against it.
//!
//! *In*: a typist's parameters (or a population's), the text and workload of a study, encounters. *Out*: for
//! each dual-role press the odds that it is a hold; from many of them the [floor](FloorCurve), the least
//! missed holds at each rate of false holds, and the [loss](loss_above_floor) of a rule above it.
//!
//! # What the observer sees
//! Of an encounter, and until a deadline after the press if there is one:
//! - the lull, and the time since the same key came up;
//! - the latest key carried over: its press, its release, and whether its hand is the same, the other, or a
//!   thumb; that others were carried over with it is not seen;
//! - the own release;
//! - the presses and releases of the first six contacts, and the hand of the first.
//!
//! Which keys these were is a matter of its [`Sight`]. With [`Sight::Timing`] it does not see it, and sides are told from
//! the dual-role key, not as left and right. With [`Sight::OwnKey`] it sees which dual-role key was pressed as well; with
//! [`Sight::Keys`] also the key of the press before and that of the first contact. What each registered rule sees, the
//! conformance tests of `agogic-policy` hold it to. **No observer knows the text around these keys**, and what is known of
//! earlier encounters is forgotten.
//!
//! So a floor is one for rules that see no more than its observer, and for no others. A rule that knows its own key can
//! come far below the floor of timing, for J is rarely typed and often held; one that knows the keys around it lower
//! still. `tests/all/adversary.rs` trains such rules and holds the claim to those that see no more. Within a sight the
//! observer leaves two things out that a rule could use, and our guard `other_hand` does: the hand and key of a second
//! contact, and a second carried key. The tests find that they are worth less than their error.
//!
//! # What it knows
//! The model, all of it, and how often this typist comes into each situation with this text and workload.
//! That is taken from a *rehearsal*: a session in another replicate, whose intents are read. [`TypistObserver`]
//! knows the typist's parameters; no rule does. [`PopulationObserver`] knows that the typist is one of so many,
//! as likely one as another: the floor of rules with one setting for everybody, and higher.
//!
//! # How
//! Odds are the ratio of two probability densities of what is seen, each with the share of its intent in it
//! ([`TypistObserver::joint`]). Both are finite mixtures over what the observer cannot see. For a tap: what
//! the key before was (another finger by hand, the same finger, the same key, a held key whose release was
//! waited for, a key held down for this very press), and what the next will be; intervals are mixtures over
//! the medians of the rehearsal of log-normals with or without a hesitation. A dwell that was rolled onto the key
//! before may wait for that to come up, in a share of rolls and for a lag more; so may the dwell of each contact, and
//! that of the own key where one is carried over. For a hold: a run of targets, two held keys and a target, or
//! nothing; the lead with or without a pause; the release at its time after the last target's press, whatever the
//! target's dwell, so that which of the two comes up first merely follows. What has not happened by the
//! deadline enters as the probability that it happens later. Times that the model makes certain (the lead that two
//! held keys tell, a finger's least time) have probability one per µs, the unit of time;
//! the observer uses them as any rule could.
//!
//! The observer of keys multiplies these densities with a language model of the third order, counted in the rehearsal for
//! taps and for holds: the key before given the own key, and the first contact given the own key and the key before, each
//! law drawn to the more general one. Times hang on the keys through the group of each (between words, the same key, the
//! same finger, the same hand, the other hand), by how often each bin of the lull and of the lead occurs in that group.
//!
//! # What is approximate
//! An observer with wrong densities is not ideal, and its curve lies *above* the floor. Left out or made
//! simpler are:
//! - the correlation of a dwell with the interval before it, and that of tempo between neighbouring intervals
//!   (its variance is kept);
//! - that what came before and what comes after depend on each other through the place in the text, given the
//!   intent and the kinds of both;
//! - the lull after a gesture, the time since the same key and the dwell of a held contact, which are smoothed
//!   samples of the rehearsal;
//! - what the key before waited for, where the key before that is not seen: it is averaged over the rehearsal;
//! - a tap under a held key that another rolls over, and the hand of a second target;
//! - a key pressed twice in a row within what follows the press, and a finger of a contact, or of the own key under
//!   contacts, that leaves early because it is needed again;
//! - a hold for nothing that is rolled onto the key before does not wait for it;
//! - tables of times in steps of 4 %, odds counted in steps of a quarter nat;
//! - which keys make a contact come soon or late, for the observer of keys at a deadline: whole encounters tell it. At 90 ms
//!   its odds are off by more than chance, so under keys curves of early deadlines lie above the floor by an unknown amount.
//!
//! Two tests bound what this costs. Among presses given the odds p, the share p are holds, within binomial
//! error at alpha = 1e-6, for each deadline and population tried; wrong priors, ignored waiting and another
//! typist's parameters are found out. No registered rule, trained ones included, loses less at any of several costs, nor
//! do boosted trees that learn typist by typist what the observer sees, and its odds besides (`tests/all/adversary.rs`).
//! Third, the gradient boosting of another library finds in 128 000 encounters of one typist nothing the observer leaves
//! unused of whole encounters, and at a deadline of 100 ms about 2 % of the errors. Curves at early deadlines are too high
//! by about that much. Figures of both learners stand in `adversary/README.md`.
//!
//! # Which number for a table
//! [`loss_above_floor`]: what a rule's false and missed holds cost more than the observer's on the same presses, at stated
//! costs of the two. The costs are the point. Without them only curves can be compared, and a rule that calls every press
//! a hold lies *on* the curve. With them the number is zero for a rule as good as the observer, above zero for every
//! other, and comparable between rules that err on different sides.
//!
//! Costs of one and one are the default of a study. Either error wrongs the dual-role key's own outcome and, where another
//! key went down meanwhile, that key's: about as many wrong keys, which is what studies are judged by. And the number
//! is then in plain errors, without seconds that somebody assumed.
//!
//! # Delay
//! The trade with delay is given by fixed deadlines: one curve for each. A rule that waits longer for some
//! presses than for others can beat the curve of its mean delay, but never the one of its longest. The curve of
//! the whole encounter holds for every rule that decides by the encounter's end. The least risk at a price of
//! delay, over all stopping rules, is not computed here.
//!
//! ```
//! use agogic_floor::{FloorCurve, OddsCounts, Sight, Stage, TypistObserver};
//! use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
//! use agogic_policy::EncounterScan;
//! use agogic_typist::{Performer, Population, SessionAddress, Typist};
//!
//! let board = Board::row_staggered();
//! let assignment = Assignment::resting(&board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
//! let text = "Anna walks the long pier. The tide falls fast; Ella counts the lamps.";
//! let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
//! let (performer, workload) = (Performer::new(&board, &assignment), Workload::none());
//! let typist = Typist::draw(&Population::volunteers(), 1, 0);
//!
//! let stage = Stage { performer: &performer, plan: &plan, workload: &workload, seed: 1, rehearsal: 10_000 };
//! let observer = TypistObserver::new(&stage, &typist, Sight::Timing);
//! let session = performer.perform(&typist, &plan, &workload, SessionAddress { seed: 1, replicate: 0 }, 5000);
//! let mut counts = OddsCounts::new();
//! EncounterScan::new().each(
//!     &session.presses,
//!     |code| assignment.modifier(code).is_some(),
//!     |code| performer.movement().hand(code),
//!     |press, encounter| counts.add(observer.log_odds(encounter, None), session.truths[press].hold),
//! );
//! let floor = FloorCurve::new(None, &counts).unwrap();
//! assert!(floor.missed_at(0.01).unwrap() < 0.5);
//! ```

mod curve;
mod finger;
mod kinds;
mod language;
mod likelihood;
mod loss;
mod model;
mod observer;
mod odds;
mod rehearsal;
mod seen;
mod table;

pub use agogic_policy::Sight;
pub use curve::{FloorCurve, FloorPoint};
pub use loss::{PairedErrors, loss_above_floor, observer_threshold_nats};
pub use observer::{MOST_NATS, PopulationObserver, Stage, TypistObserver};
pub use odds::OddsCounts;
