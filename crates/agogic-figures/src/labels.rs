//! Places for labels next to their marks: none on another, none on a mark, none out of the plot.
//!
//! Every label has candidates: places on rings around its mark, in each way to break it into lines, then the free
//! places of the whole plot with a thin line back to the mark. A candidate on a mark or out of the plot is none. The
//! others have a cost: far off is worse than near, on a curve or on the bar of an interval is worse than beside it,
//! and a place nearer to another mark than to its own misleads. The label with the fewest candidates chooses first.
//! Then labels move one by one to what is cheaper now, and one without a place may send others away if these find
//! another, until nothing gets better.
//!
//! # Source
//!
//! The problem, its cost and descent by the best single moves: Christensen, Marks & Shieber 1995, An empirical study
//! of algorithms for point-feature label placement, ACM Transactions on Graphics 14(3), 203–232 (abstract seen, the
//! method from memory). Costs are our own.

use crate::font;
use crate::scene::Rect;

/// A mark that wants a label.
#[derive(Clone, Debug)]
pub(crate) struct Wish {
    pub at: (f64, f64),
    /// The reach of the mark.
    pub radius: f64,
    /// Ways to break the label into lines, the best one first.
    pub ways: Vec<Vec<String>>,
    /// Other points that the label may point to, such as along a curve.
    pub or_at: Vec<(f64, f64)>,
    /// Lines that it must not seem to belong to.
    pub strangers: Vec<[(f64, f64); 2]>,
    /// How far off it may stand.
    pub farthest: f64,
    pub bold: bool,
}

/// Where a label came to stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Place {
    pub bounds: Rect,
    /// Which of the ways to break it.
    pub way: usize,
    /// The point it belongs to.
    pub anchor: (f64, f64),
    /// From the edge of the mark to the label, when it stands far off or beside a stranger.
    pub leader: Option<[(f64, f64); 2]>,
    pub cost: f64,
}

/// What labels should not lie on.
pub(crate) struct Surroundings<'a> {
    pub bounds: Rect,
    /// Never on these.
    pub marks: &'a [Rect],
    /// On the bars of intervals only where there is no other place at all.
    pub bars: &'a [[(f64, f64); 2]],
    /// Rather not on these lines.
    pub curves: &'a [[(f64, f64); 2]],
    pub text: f64,
}

/// From this cost on a label is hard to read or hard to follow to its mark.
pub(crate) const UNCLEAR: f64 = 60.0;

/// The distance between lines of one label, in sizes.
pub(crate) const LINE: f64 = 1.12;
/// Between labels, in points.
const APART: f64 = 0.8;
const ANGLES: i32 = 16;
const RINGS: i32 = 12;
/// Candidates of one label, the cheapest.
const MOST: usize = 700;
const ROUNDS: usize = 6;
/// How many places are tried for a label that has none, and how many others may have to move for one.
const TRIES: usize = 60;
const SENT_AWAY: usize = 2;

/// Finds a place for each label among its candidates. Where not even half find one at the first go there is no use in
/// moving them.
pub(crate) fn place<C: AsRef<[Place]>>(choices: &[C]) -> Vec<Option<Place>> {
    let choices: Vec<&[Place]> = choices.iter().map(AsRef::as_ref).collect();
    let mut order: Vec<usize> = (0..choices.len()).collect();
    order.sort_by_key(|i| (choices[*i].len(), *i));
    let mut placed: Vec<Option<Place>> = vec![None; choices.len()];
    for &i in &order {
        placed[i] = free(choices[i], &placed, i);
    }
    if 2 * placed.iter().flatten().count() < choices.len() {
        return placed;
    }
    for _ in 0..ROUNDS {
        let before = placed.clone();
        for &i in &order {
            match placed[i] {
                Some(now) => {
                    let cheaper = free(choices[i], &placed, i).filter(|other| other.cost < now.cost);
                    placed[i] = cheaper.or(placed[i]);
                }
                None => make_room(&choices, &mut placed, i),
            }
        }
        if placed == before {
            break;
        }
    }
    placed
}

/// The cheapest candidate of a label that nobody stands in the way of.
fn free(choices: &[Place], placed: &[Option<Place>], own: usize) -> Option<Place> {
    let others = || placed.iter().enumerate().filter(|(j, _)| *j != own).filter_map(|(_, p)| p.as_ref());
    choices.iter().find(|choice| others().all(|other| !in_the_way(choice, other))).copied()
}

/// Gives a label without a place one from which it sends others away, if all of these find another.
fn make_room(choices: &[&[Place]], placed: &mut Vec<Option<Place>>, own: usize) {
    for choice in choices[own].iter().take(TRIES) {
        let away = |p: &Option<Place>| p.is_some_and(|p| in_the_way(choice, &p));
        let sent: Vec<usize> = (0..placed.len()).filter(|j| *j != own && away(&placed[*j])).collect();
        if sent.len() > SENT_AWAY {
            continue;
        }
        let mut then = placed.clone();
        sent.iter().for_each(|j| then[*j] = None);
        then[own] = Some(*choice);
        let all = sent.iter().all(|j| {
            then[*j] = free(choices[*j], &then, *j);
            then[*j].is_some()
        });
        if all {
            *placed = then;
            return;
        }
    }
}

fn in_the_way(one: &Place, other: &Place) -> bool {
    let through = |place: &Place, rect: &Rect| {
        place.leader.is_some_and(|[from, to]| rect.grown(APART / 2.0).clip(from, to).is_some())
    };
    one.bounds.grown(APART).meets(&other.bounds)
        || through(one, &other.bounds)
        || through(other, &one.bounds)
        || one.leader.zip(other.leader).is_some_and(|(a, b)| cross(a, b))
}

fn size(lines: &[String], text: f64, bold: bool) -> (f64, f64) {
    let width = lines.iter().map(|l| font::width(l, text, bold)).fold(0.0, f64::max);
    let below = (lines.len().max(1) - 1) as f64 * LINE * text;
    (width, below + (font::ABOVE + font::BELOW) * text)
}

/// The places that a label may take, the cheapest first.
pub(crate) fn candidates(wish: &Wish, around: &Surroundings<'_>) -> Vec<Place> {
    let mut found = Vec::new();
    for (way, lines) in wish.ways.iter().enumerate() {
        let (width, height) = size(lines, around.text, wish.bold);
        let mut consider = |at: (f64, f64), bounds: Rect, liking: f64| {
            if around.bounds.covers(&bounds) && !around.marks.iter().any(|mark| mark.meets(&bounds)) {
                found.extend(judged(wish, at, bounds, way, around, liking + 2.0 * way as f64));
            }
        };
        for (n, &(x, y)) in std::iter::once(&wish.at).chain(&wish.or_at).enumerate() {
            for ring in 0..RINGS {
                let reach = wish.radius + 1.6 + 3.5 * f64::from(ring);
                for step in 0..ANGLES {
                    let angle = f64::from(step) * std::f64::consts::TAU / f64::from(ANGLES);
                    let (dx, dy) = (angle.cos(), angle.sin());
                    // The label's nearest point to the mark lies in the direction of the angle.
                    let (cx, cy) = (x + dx * reach + near(dx) * width / 2.0, y + dy * reach + near(dy) * height / 2.0);
                    let bounds = Rect::new(cx - width / 2.0, cy - height / 2.0, cx + width / 2.0, cy + height / 2.0);
                    // Right, then left, then above and below.
                    let taste = [0.0, 1.5, 3.0][if step == 0 { 0 } else { 1 + usize::from(step * 2 != ANGLES) }];
                    consider((x, y), bounds, taste + n as f64);
                }
            }
        }
        // The whole plot, as a last resort.
        let room = around.bounds;
        let columns = ((room.width() - width) / 8.0).floor().max(0.0) as i32;
        let rows = ((room.height() - height) / 5.0).floor().max(0.0) as i32;
        for column in 0..=columns {
            for row in 0..=rows {
                let (left, top) = (room.left + 8.0 * f64::from(column), room.top + 5.0 * f64::from(row));
                consider(wish.at, Rect::new(left, top, left + width, top + height), 5.0);
            }
        }
    }
    found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    found.truncate(MOST);
    found
}

/// A candidate with its leader and its cost; `None` where it stands too far off.
fn judged(
    wish: &Wish,
    at: (f64, f64),
    bounds: Rect,
    way: usize,
    around: &Surroundings<'_>,
    liking: f64,
) -> Option<Place> {
    let distance = apart(at, &bounds);
    if distance - wish.radius > wish.farthest {
        return None;
    }
    let strangers = || around.marks.iter().filter(|mark| !mark.grown(0.5).holds(at));
    let nearest = strangers().map(|mark| between(mark, &bounds)).fold(f64::INFINITY, f64::min);
    let misleads = nearest < distance - wish.radius + 1.0;
    let mut cost = liking + 0.5 * (distance - wish.radius).max(0.0);
    let leader = (distance >= wish.radius + 5.5 || misleads && distance >= wish.radius + 2.5)
        .then(|| leader(at, wish.radius, &bounds, distance));
    match leader {
        Some([from, to]) => {
            cost += 6.0;
            // The leader starts on the rim of its own mark; it should not run through others.
            cost += UNCLEAR * strangers().filter(|mark| mark.clip(from, to).is_some()).count() as f64;
            let lines = around.bars.iter().chain(around.curves);
            cost += 2.0 * lines.filter(|line| cross(**line, [from, to])).count() as f64;
        }
        None => {
            cost += if misleads { 10.0 } else { 0.0 };
            let close = bounds.grown(distance);
            cost += if wish.strangers.iter().any(|[from, to]| close.clip(*from, *to).is_some()) { 25.0 } else { 0.0 };
        }
    }
    let room = bounds.grown(0.4);
    let touched = |[from, to]: &[(f64, f64); 2]| {
        // Most lines are far off, which is seen at once.
        let off = from.0.max(to.0) < room.left || from.0.min(to.0) > room.right;
        if off { None } else { room.clip(*from, *to).map(length) }
    };
    cost += UNCLEAR * around.bars.iter().filter_map(touched).count() as f64;
    let (count, long) = around.curves.iter().filter_map(touched).fold((0, 0.0), |(n, sum), l| (n + 1, sum + l));
    cost += if count > 0 { 25.0 + long } else { 0.0 };
    Some(Place { bounds, way, anchor: at, leader, cost })
}

/// Clamped direction: labels slide along the sides of a box around the mark.
fn near(d: f64) -> f64 {
    (d * 1.6).clamp(-1.0, 1.0)
}

fn apart((x, y): (f64, f64), bounds: &Rect) -> f64 {
    (x.clamp(bounds.left, bounds.right) - x).hypot(y.clamp(bounds.top, bounds.bottom) - y)
}

/// The distance between two rectangles.
fn between(one: &Rect, other: &Rect) -> f64 {
    let gap = |a: f64, b: f64| a.max(b).max(0.0);
    gap(one.left - other.right, other.left - one.right).hypot(gap(one.top - other.bottom, other.top - one.bottom))
}

fn leader((x, y): (f64, f64), radius: f64, bounds: &Rect, distance: f64) -> [(f64, f64); 2] {
    let end = (x.clamp(bounds.left, bounds.right), y.clamp(bounds.top, bounds.bottom));
    let (dx, dy) = (end.0 - x, end.1 - y);
    let rim = (radius + 0.5) / distance;
    let stop = 1.0 - 0.8 / distance;
    [(x + dx * rim, y + dy * rim), (x + dx * stop, y + dy * stop)]
}

fn length([from, to]: [(f64, f64); 2]) -> f64 {
    (to.0 - from.0).hypot(to.1 - from.1)
}

/// Whether two segments cross.
fn cross([a, b]: [(f64, f64); 2], [c, d]: [(f64, f64); 2]) -> bool {
    let side = |p: (f64, f64), q: (f64, f64), r: (f64, f64)| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn wish(at: (f64, f64), name: String) -> Wish {
        Wish { at, radius: 3.0, ways: vec![vec![name]], or_at: vec![], strangers: vec![], farthest: 400.0, bold: false }
    }

    fn placed(wishes: &[Wish], around: &Surroundings<'_>) -> Vec<Option<Place>> {
        place(&wishes.iter().map(|wish| candidates(wish, around)).collect::<Vec<_>>())
    }

    fn around<'a>(bounds: Rect, marks: &'a [Rect]) -> Surroundings<'a> {
        Surroundings { bounds, marks, bars: &[], curves: &[], text: 7.0 }
    }

    proptest! {
        #[test]
        fn labels_never_overlap_marks_each_other_or_the_edge(
            points in prop::collection::vec((5.0..195.0f64, 5.0..145.0f64), 1..30)
        ) {
            let bounds = Rect::new(0.0, 0.0, 200.0, 150.0);
            let marks: Vec<Rect> = points.iter().map(|at| Rect::around(*at, 3.0)).collect();
            let wishes: Vec<Wish> = points.iter().enumerate().map(|(i, at)| wish(*at, format!("rule {i}"))).collect();
            let placed = placed(&wishes, &around(bounds, &marks));
            let places: Vec<&Place> = placed.iter().flatten().collect();
            for (i, place) in places.iter().enumerate() {
                prop_assert!(bounds.covers(&place.bounds));
                prop_assert!(marks.iter().all(|m| !m.meets(&place.bounds)));
                for other in &places[i + 1..] {
                    prop_assert!(!other.bounds.meets(&place.bounds));
                    let through = |a: &Place, b: &Place| a.leader.is_some_and(|[f, t]| b.bounds.clip(f, t).is_some());
                    prop_assert!(!through(place, other) && !through(other, place));
                }
            }
        }
    }

    #[test]
    fn thirty_marks_in_a_grid_all_get_their_label() {
        let at = |i: u32| (12.0 + 34.0 * f64::from(i % 6), 12.0 + 30.0 * f64::from(i / 6));
        let marks: Vec<Rect> = (0..30).map(|i| Rect::around(at(i), 3.0)).collect();
        let wishes: Vec<Wish> = (0..30).map(|i| wish(at(i), format!("rule {i}"))).collect();
        let bounds = Rect::new(0.0, 0.0, 200.0, 150.0);
        assert!(placed(&wishes, &around(bounds, &marks)).iter().all(Option::is_some));
    }

    #[test]
    fn without_room_a_label_is_left_out() {
        let at = (15.0, 5.0);
        let marks = [Rect::around(at, 3.0)];
        let bounds = Rect::new(0.0, 0.0, 30.0, 10.0);
        assert_eq!(placed(&[wish(at, "a name much too long".into())], &around(bounds, &marks)), [None]);
    }

    #[test]
    fn a_lone_label_stands_to_the_right_without_a_line() {
        let at = (50.0, 50.0);
        let marks = [Rect::around(at, 3.0)];
        let bounds = Rect::new(0.0, 0.0, 200.0, 100.0);
        let place = placed(&[wish(at, "lone".into())], &around(bounds, &marks))[0].unwrap();
        assert!(place.leader.is_none() && place.bounds.left > 53.0 && place.bounds.left < 57.0);
    }

    #[test]
    fn a_label_goes_around_the_bar_of_an_interval_and_a_curve() {
        let at = (50.0, 50.0);
        let marks = [Rect::around(at, 3.0)];
        let bars = [[(40.0, 50.0), (90.0, 50.0)]];
        let curves = [[(0.0, 40.0), (200.0, 40.0)]];
        let all = Surroundings {
            bounds: Rect::new(0.0, 0.0, 200.0, 100.0),
            marks: &marks,
            bars: &bars,
            curves: &curves,
            text: 7.0,
        };
        let place = placed(&[wish(at, "lone".into())], &all)[0].unwrap();
        let touches = |[from, to]: [(f64, f64); 2]| place.bounds.clip(from, to).is_some();
        assert!(!touches(bars[0]) && !touches(curves[0]) && place.cost < UNCLEAR, "{place:?}");
    }
}
