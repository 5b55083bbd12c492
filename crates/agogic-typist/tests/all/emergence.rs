//! Fast typists roll more because their intervals come closer to their dwells, not because rolling is drawn.
//!
//! Published: share of rolled presses and speed correlate with r = .73 over 168 960 people (Dhakal et al. 2018).

use agogic_keys::{Assignment, Board, TextPlan, Unsupported, Workload};
use agogic_typist::{
    Constant, Correlation, MovementClass, Performer, Population, SessionAddress, TRAITS, Trait, TraitSpread, Typist,
    observe,
};

const TEXT: &str = "the harbour lamp was lit before the last boat came in and nobody on the quay had seen who lit it";
const TYPISTS: u64 = 400;
/// Five standard errors of Fisher's z with 400 people: alpha about 6e-7, two-sided.
const Z_BAND: f64 = 5.0 / 19.924_858_845_171_276;

/// No trait differs between people but the named ones, and none is correlated but the given.
fn population(differ: &[(Trait, f64)], correlations: Vec<Correlation>, floor_ms: f64) -> Population {
    let mut p = Population::volunteers().with_correlations(Vec::new()).unwrap();
    for info in TRAITS {
        let TraitSpread { median, .. } = p.spread_of(info.id);
        let spread = differ.iter().find(|(id, _)| *id == info.id).map_or(0.0, |(_, spread)| *spread);
        p = p.with_trait(info.id, TraitSpread { median, spread }).unwrap();
    }
    p.with_correlations(correlations).and_then(|p| p.with_constant(Constant::IntervalFloor, floor_ms)).unwrap()
}

/// Correlation over people of speed and share of rolled presses, on Fisher's scale.
fn rolling_and_speed(population: &Population) -> f64 {
    let board = Board::row_staggered();
    let assignment = Assignment::none();
    let plan = TextPlan::new(TEXT, &board, &assignment, Unsupported::Refuse).unwrap();
    let performer = Performer::new(&board, &assignment);
    let (mut speeds, mut shares) = (Vec::new(), Vec::new());
    for number in 0..TYPISTS {
        let typist = Typist::draw(population, 17, number);
        let session =
            performer.perform(&typist, &plan, &Workload::none(), SessionAddress { seed: 17, replicate: 0 }, 300);
        let seen = observe(&session, performer.movement());
        speeds.push(seen.words_per_minute.unwrap());
        shares.push(seen.rollover.unwrap());
    }
    agogic_stats::pearson(&speeds, &shares).unwrap().atanh()
}

#[test]
fn speed_alone_makes_people_roll() {
    // Only the interval differs between people: dwells do not.
    let z = rolling_and_speed(&population(&[(Trait::Interval, 0.64)], Vec::new(), 50.0));
    assert!(z - Z_BAND > 0.73_f64.atanh(), "r = {}", z.tanh());
}

#[test]
fn the_relation_goes_when_dwells_shrink_with_the_intervals() {
    // The same spread of speed, but dwells in proportion to intervals: rolling depends on their ratio alone, so
    // the relation must all but vanish. A model that draws rolling from speed would keep it.
    let tied = vec![Correlation { a: Trait::Interval, b: Trait::Dwell, r: 0.9999 }];
    let z = rolling_and_speed(&population(&[(Trait::Interval, 0.64), (Trait::Dwell, 0.64)], tied, 0.0));
    assert!(z + Z_BAND < 0.73_f64.atanh(), "r = {}", z.tanh());
}

/// Mean interval of doubled letters and of letter pairs of two hands, for typists who differ in nothing but the
/// level of the interval, in ms.
fn doubles_and_others(interval_ms: f64) -> (f64, f64) {
    let text = "all will tell the tall hill falls well and all still call the small wall";
    let board = Board::row_staggered();
    let assignment = Assignment::none();
    let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
    let performer = Performer::new(&board, &assignment);
    // Without hesitations, which are longer in slow typists whatever the pair.
    let set = |p: Population, id, median| p.with_trait(id, TraitSpread { median, spread: 0.0 }).unwrap();
    let p = set(population(&[], Vec::new(), 50.0), Trait::Interval, interval_ms);
    let p = set(p, Trait::Hesitation, 1e-12);
    let typist = Typist::median(&set(p, Trait::Slips, 1e-12));
    let session =
        performer.perform(&typist, &plan, &Workload::none(), SessionAddress { seed: 23, replicate: 0 }, 20_000);
    let seen = observe(&session, performer.movement());
    let class = |class: MovementClass| seen.class_ms[class as usize].unwrap();
    (class(MovementClass::Repeat), class(MovementClass::OtherHand))
}

#[test]
fn doubled_letters_need_no_search() {
    // Gentner 1983: doubles are among the fastest pairs of slow typists and among the slowest of fast ones.
    let (fast_double, fast_other) = doubles_and_others(40.0);
    let (slow_double, slow_other) = doubles_and_others(300.0);
    assert!(fast_double > fast_other && slow_double < slow_other);
    // More than 4 000 doubles each, SD about 45 ms: the difference has a standard error below 1 ms, and five of
    // it are alpha = 6e-7. Under an effect in proportion to the usual interval, slow doubles would take about
    // three times as long as fast ones.
    assert!((slow_double - fast_double).abs() < 5.0, "{fast_double} and {slow_double}");
    assert!(slow_other > 3.0 * fast_other, "{fast_other} and {slow_other}");
}
