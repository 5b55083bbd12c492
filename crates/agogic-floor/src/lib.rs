//! The ideal observer: the best that any rule could do under the model, and how far a rule stands from it.
//!
//! *In*: a typist's parameters (or a population's), the text and workload of a study, encounters. *Out*: for
//! each dual-role press the odds that it is a hold; from many of them the [floor](FloorCurve), the least
//! missed holds at each rate of false holds, and the [distance](floor_distance) of a rule from it.
//!
//! # What the observer sees
//! Of an encounter, and until a deadline after the press if there is one:
//! - the lull, and the time since the same key came up;
//! - the latest key carried over: its press, its release, and whether its hand is the same, the other, or a
//!   thumb; that others were carried over with it is not seen;
//! - the own release;
//! - the presses and releases of the first six contacts, and the hand of the first.
//!
//! It does not see which keys these were, with one choice: [`Sight::OwnKey`] tells it which dual-role key was
//! pressed. No registered rule looks at that; a rule with values of its own for each key would, and could gain
//! much from it, for J is rarely typed and often held. **No observer reads the text**: letters before and after
//! have no identity, and what is known of earlier encounters is forgotten. A rule with a language model could
//! go below this floor. None of ours has one. A rule could also use the hand of a second contact, or a second
//! carried key, which our `other_hand` does; the tests find that this is worth less than their error.
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
//! - tables of times in steps of 4 %, odds counted in steps of a quarter nat.
//!
//! Two tests bound what this costs. Among presses given the odds p, the share p are holds, within binomial
//! error at alpha = 1e-6, for each deadline and population tried; wrong priors, ignored waiting and another
//! typist's parameters are found out. And no registered rule, trained ones included, goes below. Third,
//! gradient boosting on 128 000 encounters of one typist finds nothing the observer leaves unused of whole
//! encounters, and at a deadline of 100 ms about 2 % of the errors: figures in `adversary/README.md`. Curves
//! at early deadlines are too high by about that much.
//!
//! # Which number for a table
//! [`FloorCurve::removable_per_1000`]: the errors per 1000 dual-role presses that a rule could be spared
//! without one more error of either kind. It needs no price of one error in the other, is comparable between
//! rules that err on different sides, and counts what a typist would notice. Beside it stands the plain
//! distance at the same false holds ([`FloorCurve::distance`]), which is what the trade-off picture shows, but
//! which is nearly zero for a rule that calls nearly everything a hold. Both come with a Monte Carlo error over
//! typists from [`floor_distance`].
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
//! use agogic_typist::{Performer, Population, Typist};
//!
//! let board = Board::row_staggered();
//! let assignment = Assignment::resting(&board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
//! let text = "Anna walks the long pier. The tide falls fast; Ella counts the lamps.";
//! let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
//! let (performer, workload) = (Performer::new(&board, &assignment), Workload::none());
//! let typist = Typist::draw(&Population::volunteers(), 1, 0);
//!
//! let stage = Stage { performer: &performer, plan: &plan, workload: &workload, seed: 1, rehearsal: 10_000 };
//! let observer = TypistObserver::new(&stage, &typist, Sight::AnyKey);
//! let session = performer.perform(&typist, &plan, &workload, 1, 0, 5000);
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
mod distance;
mod finger;
mod kinds;
mod likelihood;
mod model;
mod observer;
mod odds;
mod rehearsal;
mod seen;
mod table;

pub use curve::{FloorCurve, FloorPoint};
pub use distance::{FloorDistance, PairedErrors, floor_distance};
pub use observer::{MOST_NATS, PopulationObserver, Sight, Stage, TypistObserver};
pub use odds::OddsCounts;
