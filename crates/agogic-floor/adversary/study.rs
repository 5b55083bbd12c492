//! Boosted trees against observers: trained typist by typist on what a sight shows, judged on fresh sessions.

use agogic_floor::{OddsCounts, PairedErrors, Sight, Stage, TypistObserver, loss_above_floor, observer_threshold_nats};
use agogic_keys::{Code, Hand, Span};
use agogic_policy::{Encounter, EncounterScan, ErrorCosts};
use agogic_stats::Level;
use agogic_typist::{Session, SessionAddress, Typist};

use crate::trees::Trees;

/// Costs of a false hold where a missed one costs one.
pub const COSTS: [f64; 3] = [0.2, 1.0, 5.0];

/// What is shown to the trees.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd)]
pub enum Features {
    /// Times and hands.
    Timing,
    /// And which dual-role key it is.
    OwnKey,
    /// And which key was pressed before.
    KeyBefore,
    /// Times, hands, and the log odds of the observer that sees these: what trees gain is what it leaves unused.
    TimingAndOdds,
    /// The own key as well, and the log odds of the observer that sees it.
    OwnKeyAndOdds,
    /// The own key, the one before and that of the first contact.
    Keys,
    /// These keys, and the log odds of the observer that sees them.
    KeysAndOdds,
}

impl Features {
    pub const ALL: [Self; 7] = [
        Self::Timing,
        Self::OwnKey,
        Self::KeyBefore,
        Self::TimingAndOdds,
        Self::OwnKeyAndOdds,
        Self::Keys,
        Self::KeysAndOdds,
    ];

    /// The columns of a press: keys, where they are shown, times and hands, and odds, where they are.
    fn of(self, row: &[f64], odds: [f64; SIGHTS]) -> Vec<f64> {
        let (keys, odds) = match self {
            Self::Timing => (0, None),
            Self::OwnKey => (1, None),
            Self::KeyBefore => (2, None),
            Self::TimingAndOdds => (0, Some(odds[0])),
            Self::OwnKeyAndOdds => (1, Some(odds[1])),
            Self::Keys => (OF_KEYS, None),
            Self::KeysAndOdds => (OF_KEYS, Some(odds[2])),
        };
        row[OF_KEYS - keys..].iter().copied().chain(odds).collect()
    }
}

/// How much of everything.
#[derive(Clone, Copy, Debug)]
pub struct Size {
    /// Sessions of each typist to learn from, and fresh ones.
    pub sessions: [u64; 2],
    /// Presses of each session.
    pub keys: usize,
    /// Trees.
    pub rounds: usize,
}

/// Errors of a fresh session: those of the trees, by what they were shown and by cost, and the odds of each observer.
type Fresh = ([[[u64; 2]; COSTS.len()]; Features::ALL.len()], [OddsCounts; SIGHTS]);

/// A difference between trees and an observer: its value per 1000 presses and its Monte Carlo error.
#[derive(Clone, Copy, Debug)]
pub struct Above {
    pub loss: f64,
    pub error: f64,
}

impl Above {
    /// In its own errors.
    pub fn standing(&self) -> f64 {
        self.loss / self.error
    }
}

/// The fresh sessions of each typist.
#[derive(Default)]
pub struct Judged {
    typists: Vec<Vec<Fresh>>,
}

impl Judged {
    /// Lets trees learn a typist and judges them.
    pub fn add(&mut self, stage: &Stage<'_>, typist: &Typist, size: Size) {
        let perform = |replicate: u64| {
            stage.performer.perform(
                typist,
                stage.plan,
                stage.workload,
                SessionAddress { seed: stage.seed, replicate },
                size.keys,
            )
        };
        let [learn, fresh] = size.sessions;
        // Replicates that no study judges begin far from zero, and rehearsals farther.
        let first = 1 << 50;
        let observers = Sight::ALL.map(|sight| TypistObserver::new(stage, typist, sight));
        let odds_of =
            |encounter: &Encounter<'_>| observers.each_ref().map(|observer| observer.log_odds(encounter, None));
        let (mut rows, mut holds) = (Vec::new(), Vec::new());
        for replicate in first..first + learn {
            each(stage, &perform(replicate), |row, encounter, hold| {
                rows.push((row, odds_of(encounter)));
                holds.push(hold);
            });
        }
        let trees = Features::ALL.map(|features| {
            let rows: Vec<Vec<f64>> = rows.iter().map(|(row, odds)| features.of(row, *odds)).collect();
            Trees::learn(&rows, &holds, size.rounds)
        });
        let mut sessions: Vec<Fresh> = Vec::new();
        for replicate in first + learn..first + learn + fresh {
            let mut wrong = [[[0; 2]; COSTS.len()]; Features::ALL.len()];
            let mut odds: [OddsCounts; SIGHTS] = std::array::from_fn(|_| OddsCounts::new());
            each(stage, &perform(replicate), |row, encounter, hold| {
                let own = odds_of(encounter);
                for ((trees, features), wrong) in trees.iter().zip(Features::ALL).zip(&mut wrong) {
                    let log_odds = trees.log_odds(&features.of(&row, own));
                    for (cost, wrong) in COSTS.into_iter().zip(wrong) {
                        let called = log_odds >= observer_threshold_nats(costs(cost));
                        wrong[usize::from(hold)] += u64::from(called != hold);
                    }
                }
                odds.iter_mut().zip(own).for_each(|(odds, own)| odds.add(own, hold));
            });
            sessions.push((wrong, odds));
        }
        self.typists.push(sessions);
    }

    /// Loss of the trees above the floor of a sight, at the cost at a place of [`COSTS`].
    ///
    /// The mean over these typists, whoever they are: what varies is the sessions of each.
    pub fn above(&self, features: Features, sight: Sight, cost: usize) -> Above {
        let n = self.typists.len() as f64;
        let mut sum = Above { loss: 0.0, error: 0.0 };
        for sessions in &self.typists {
            let of_session = |(wrong, odds): &'_ Fresh| (wrong[features as usize][cost], odds[sight as usize].clone());
            let each: Vec<([u64; 2], OddsCounts)> = sessions.iter().map(of_session).collect();
            let paired: Vec<PairedErrors<'_>> = each
                .iter()
                .map(|([false_holds, missed_holds], odds)| PairedErrors {
                    false_holds: *false_holds,
                    missed_holds: *missed_holds,
                    odds,
                })
                .collect();
            let own = loss_above_floor(&paired, costs(COSTS[cost]), Level::P95);
            let error = own.mcse.expect("sessions differ") / n;
            sum.loss += own.value.expect("there are presses") / n;
            sum.error = (sum.error * sum.error + error * error).sqrt();
        }
        sum
    }

    /// Loss of an observer per 1000 presses.
    #[allow(dead_code)]
    pub fn of_observer(&self, sight: Sight, cost: usize) -> f64 {
        let costs = costs(COSTS[cost]);
        let mut pooled = OddsCounts::new();
        self.typists.iter().flatten().for_each(|(_, odds)| pooled.merge(&odds[sight as usize]));
        let [false_holds, missed_holds] = pooled.errors_at(observer_threshold_nats(costs)).map(|count| count as f64);
        let loss = costs.false_hold * false_holds + costs.missed_hold * missed_holds;
        1000.0 * loss / (pooled.taps() + pooled.holds()) as f64
    }
}

fn costs(false_hold: f64) -> ErrorCosts {
    ErrorCosts::new(false_hold, 1.0).expect("both cost something")
}

/// Features of each dual-role press of a session: the widest sight, which [`Features::of`] narrows.
fn each(stage: &Stage<'_>, session: &Session, mut visit: impl FnMut(Vec<f64>, &Encounter<'_>, bool)) {
    EncounterScan::new().each(
        &session.presses,
        |code| stage.performer.assignment().modifier(code).is_some(),
        |code| stage.performer.movement().hand(code),
        |i, encounter| {
            let before = i.checked_sub(1).map(|before| session.presses[before].code);
            visit(features(encounter, before), encounter, session.truths[i].hold);
        },
    );
}

/// Columns of [`features`] that tell keys, from the last: the own one, the one before, that of the first contact.
const OF_KEYS: usize = 3;

/// Sights of observers.
const SIGHTS: usize = Sight::ALL.len();

/// Keys in the order in which they are worth knowing last, so that they can be left out; then times in ms and hands,
/// and what follows from the times, so that trees need not find it. What did not happen lies far from what can.
fn features(encounter: &Encounter<'_>, before: Option<Code>) -> Vec<f64> {
    let key = |code: Option<Code>| code.map_or(-1.0, |code| code.index() as f64);
    let ms = |us: i64| us as f64 / 1e3;
    let side = |hand: Hand| {
        if hand.opposite_to(encounter.hand) { 2.0 } else { f64::from(u8::from(hand == encounter.hand)) }
    };
    let span = |span: Option<Span>| span.map_or(1e6, Span::ms);
    let carried = encounter.carried().last();
    let contacts: Vec<_> = encounter.contacts().collect();
    let dwell = ms(encounter.release());
    let lull = span(encounter.lull);
    let since = span(encounter.since_same_key);
    let first = contacts.first().map(|first| {
        let at_once = contacts.iter().filter(|contact| contact.down == first.down);
        at_once.min_by_key(|contact| (!contact.hand.opposite_to(encounter.hand), contact.code)).expect("itself").code
    });
    let mut row = vec![
        key(first),
        key(before),
        key(Some(encounter.code)),
        lull,
        since,
        since - lull,
        encounter.carried().count() as f64,
        carried.map_or(1e6, |c| ms(-c.down)),
        carried.map_or(-1e6, |c| ms(c.up)),
        carried.map_or(-1e6, |c| ms(c.up) - dwell),
        carried.map_or(-1.0, |c| side(c.hand)),
        dwell,
        contacts.len() as f64,
        contacts.last().map_or(-1e6, |c| dwell - ms(c.down)),
    ];
    for at in 0..2 {
        let contact = contacts.get(at);
        row.push(contact.map_or(-1e6, |c| ms(c.down)));
        row.push(contact.map_or(-1e6, |c| ms(c.up)));
        row.push(contact.map_or(-1e6, |c| ms(c.up - c.down)));
        row.push(contact.map_or(-1e6, |c| dwell - ms(c.down)));
        row.push(contact.map_or(-1e6, |c| dwell - ms(c.up)));
        row.push(contact.map_or(-1.0, |c| side(c.hand)));
    }
    row
}
