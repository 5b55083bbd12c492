//! Places for labels next to their marks: none on another, none on a mark, none out of the plot.
//!
//! Every label tries a ring of places around its mark, then wider rings, then the free places of the whole plot with
//! a thin line back to its mark. The most crowded label chooses first; then each may choose again, knowing where the
//! others went, until nothing changes. A label that finds no place at all is left out and reported, so the figure can
//! name it elsewhere.

use crate::font;
use crate::scene::Rect;

/// A mark that wants a label.
#[derive(Clone, Debug)]
pub(crate) struct Wish {
    pub at: (f64, f64),
    pub radius: f64,
    pub lines: Vec<String>,
    /// Other points that the label may point to, such as along a curve.
    pub or_at: Vec<(f64, f64)>,
}

/// Where a label came to stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Place {
    pub bounds: Rect,
    /// The point it belongs to.
    pub anchor: (f64, f64),
    /// From the edge of the mark to the label, when it stands far off.
    pub leader: Option<[(f64, f64); 2]>,
}

/// What labels should rather not lie on.
pub(crate) struct Surroundings<'a> {
    pub bounds: Rect,
    /// Never on these.
    pub marks: &'a [Rect],
    /// Rather not on these lines.
    pub lines: &'a [[(f64, f64); 2]],
    pub text: f64,
}

/// The distance between lines of one label, in sizes.
pub(crate) const LINE: f64 = 1.12;

/// Finds a place for each wish.
pub(crate) fn place(wishes: &[Wish], around: &Surroundings<'_>) -> Vec<Option<Place>> {
    let sizes: Vec<(f64, f64)> = wishes.iter().map(|wish| size(wish, around.text)).collect();
    let mut order: Vec<usize> = (0..wishes.len()).collect();
    let crowd = |i: usize| -> f64 {
        let (x, y) = wishes[i].at;
        let near = |j: &usize| *j != i;
        (0..wishes.len())
            .filter(near)
            .map(|j| {
                let (u, v) = wishes[j].at;
                1.0 / (1.0 + ((u - x).powi(2) + (v - y).powi(2)) / 400.0)
            })
            .sum()
    };
    let crowds: Vec<f64> = (0..wishes.len()).map(crowd).collect();
    order.sort_by(|a, b| crowds[*b].total_cmp(&crowds[*a]).then(a.cmp(b)));
    let mut placed: Vec<Option<Place>> = vec![None; wishes.len()];
    let count = |placed: &[Option<Place>]| placed.iter().flatten().count();
    let mut most = placed.clone();
    for round in 0..ROUNDS {
        let mut moved = false;
        for &i in &order {
            let others: Vec<Place> =
                placed.iter().enumerate().filter(|(j, _)| *j != i).filter_map(|(_, p)| *p).collect();
            let mut best = best(&wishes[i], sizes[i], &others, around);
            if best.is_none() && round > 0 && round + 2 < ROUNDS {
                // No place left: it takes its favourite one, and those in the way look again.
                best = self::best(&wishes[i], sizes[i], &[], around);
                if let Some(taken) = best {
                    for (_, other) in placed.iter_mut().enumerate().filter(|(j, _)| *j != i) {
                        *other = other.filter(|o| !in_the_way(o, &taken));
                    }
                }
            }
            moved |= best != placed[i];
            placed[i] = best;
        }
        // Making room can cost more labels than it gains. Later rounds are tidier, so they win a tie.
        if count(&placed) >= count(&most) {
            most.clone_from(&placed);
        }
        if !moved && count(&placed) == wishes.len() {
            break;
        }
    }
    most
}

const ROUNDS: usize = 8;

fn in_the_way(one: &Place, other: &Place) -> bool {
    let through = |place: &Place, rect: &Rect| place.leader.is_some_and(|[from, to]| rect.clip(from, to).is_some());
    one.bounds.grown(0.6).meets(&other.bounds) || through(one, &other.bounds) || through(other, &one.bounds)
}

fn size(wish: &Wish, text: f64) -> (f64, f64) {
    let width = wish.lines.iter().map(|l| font::width(l, text, false)).fold(0.0, f64::max);
    let below = (wish.lines.len().max(1) - 1) as f64 * LINE * text;
    (width, below + (font::ABOVE + font::BELOW) * text)
}

fn best(wish: &Wish, (width, height): (f64, f64), others: &[Place], around: &Surroundings<'_>) -> Option<Place> {
    let mut found: Option<(f64, Place)> = None;
    let mut consider = |at: (f64, f64), bounds: Rect, liking: f64| {
        if !around.bounds.covers(&bounds)
            || around.marks.iter().any(|mark| mark.meets(&bounds))
            || others.iter().any(|other| other.bounds.grown(0.6).meets(&bounds))
        {
            return;
        }
        let leader = leader(at, wish.radius, &bounds);
        let mut cost = liking + lines_in(&bounds, around.lines) * 1.5;
        if let Some(line) = leader {
            cost += 6.0 + length(line);
            let through = |rect: &Rect| rect.clip(line[0], line[1]).is_some();
            if others.iter().any(|other| through(&other.bounds)) {
                return;
            }
            // The leader starts on the rim of its own mark; it should not run through others.
            let crossed = around.marks.iter().filter(|m| !m.grown(0.5).holds(at) && through(m)).count();
            cost += 60.0 * crossed as f64;
            let crossing = others.iter().filter_map(|o| o.leader).filter(|l| cross(*l, line)).count();
            cost += 80.0 * crossing as f64;
        }
        for other in others {
            if let Some(line) = other.leader
                && bounds.clip(line[0], line[1]).is_some()
            {
                return;
            }
        }
        if found.as_ref().is_none_or(|(least, _)| cost < *least) {
            found = Some((cost, Place { bounds, anchor: at, leader }));
        }
    };
    let points = std::iter::once(&wish.at).chain(&wish.or_at).enumerate();
    for ((n, &(x, y)), ring) in points.flat_map(|point| (0..12).map(move |ring| (point, ring))) {
        let reach = wish.radius + 2.0 + 5.0 * f64::from(ring);
        for step in 0..24 {
            let angle = f64::from(step) * std::f64::consts::TAU / 24.0;
            let (dx, dy) = (angle.cos(), angle.sin());
            // The label's nearest point to the mark lies in the direction of the angle.
            let (cx, cy) = (x + dx * reach + near(dx) * width / 2.0, y + dy * reach + near(dy) * height / 2.0);
            let bounds = Rect::new(cx - width / 2.0, cy - height / 2.0, cx + width / 2.0, cy + height / 2.0);
            // Right, then left, then above and below.
            let taste = if step == 0 {
                0.0
            } else if step == 12 {
                1.5
            } else {
                3.0
            };
            consider((x, y), bounds, taste + 2.5 * f64::from(ring) + n as f64);
        }
    }
    // The whole plot, as a last resort.
    let room = around.bounds;
    let columns = ((room.width() - width) / 8.0).floor().max(0.0) as i32;
    let rows = ((room.height() - height) / 4.0).floor().max(0.0) as i32;
    for column in 0..=columns {
        for row in 0..=rows {
            let (left, top) = (room.left + 8.0 * f64::from(column), room.top + 4.0 * f64::from(row));
            consider(wish.at, Rect::new(left, top, left + width, top + height), 25.0);
        }
    }
    found.map(|(_, place)| place)
}

/// Clamped direction: labels slide along the sides of a box around the mark.
fn near(d: f64) -> f64 {
    (d * 1.6).clamp(-1.0, 1.0)
}

fn leader((x, y): (f64, f64), radius: f64, bounds: &Rect) -> Option<[(f64, f64); 2]> {
    let end = (x.clamp(bounds.left, bounds.right), y.clamp(bounds.top, bounds.bottom));
    let (dx, dy) = (end.0 - x, end.1 - y);
    let distance = dx.hypot(dy);
    if distance < radius + 5.5 {
        return None;
    }
    let rim = (radius + 0.5) / distance;
    let stop = 1.0 - 0.8 / distance;
    Some([(x + dx * rim, y + dy * rim), (x + dx * stop, y + dy * stop)])
}

fn length([from, to]: [(f64, f64); 2]) -> f64 {
    (to.0 - from.0).hypot(to.1 - from.1)
}

fn lines_in(bounds: &Rect, lines: &[[(f64, f64); 2]]) -> f64 {
    lines.iter().filter_map(|[from, to]| bounds.clip(*from, *to)).map(length).sum()
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

    proptest! {
        #[test]
        fn labels_never_overlap_marks_each_other_or_the_edge(
            points in prop::collection::vec((5.0..195.0f64, 5.0..145.0f64), 1..30)
        ) {
            let bounds = Rect::new(0.0, 0.0, 200.0, 150.0);
            let marks: Vec<Rect> = points.iter().map(|at| Rect::around(*at, 3.0)).collect();
            let wish = |(i, at): (usize, &(f64, f64))| Wish { at: *at, radius: 3.0, lines: vec![format!("rule {i}")], or_at: vec![] };
            let wishes: Vec<Wish> = points.iter().enumerate().map(wish).collect();
            let around = Surroundings { bounds, marks: &marks, lines: &[], text: 7.0 };
            let placed = place(&wishes, &around);
            let rects: Vec<Rect> = placed.iter().flatten().map(|p| p.bounds).collect();
            for (i, rect) in rects.iter().enumerate() {
                prop_assert!(bounds.covers(rect));
                prop_assert!(marks.iter().all(|m| !m.meets(rect)));
                prop_assert!(rects[i + 1..].iter().all(|other| !other.meets(rect)));
            }
        }
    }

    #[test]
    fn thirty_marks_in_a_grid_all_get_their_label() {
        let at = |i: u32| (12.0 + 34.0 * f64::from(i % 6), 12.0 + 30.0 * f64::from(i / 6));
        let marks: Vec<Rect> = (0..30).map(|i| Rect::around(at(i), 3.0)).collect();
        let wish = |i: u32| Wish { at: at(i), radius: 3.0, lines: vec![format!("rule {i}")], or_at: vec![] };
        let wishes: Vec<Wish> = (0..30).map(wish).collect();
        let around = Surroundings { bounds: Rect::new(0.0, 0.0, 200.0, 150.0), marks: &marks, lines: &[], text: 7.0 };
        assert!(place(&wishes, &around).iter().all(Option::is_some));
    }

    #[test]
    fn without_room_a_label_is_left_out() {
        let bounds = Rect::new(0.0, 0.0, 30.0, 10.0);
        let at = (15.0, 5.0);
        let marks = [Rect::around(at, 3.0)];
        let wishes = [Wish { at, radius: 3.0, lines: vec!["a name much too long".into()], or_at: vec![] }];
        let around = Surroundings { bounds, marks: &marks, lines: &[], text: 7.0 };
        assert_eq!(place(&wishes, &around), [None]);
    }

    #[test]
    fn a_lone_label_stands_to_the_right_without_a_line() {
        let at = (50.0, 50.0);
        let marks = [Rect::around(at, 3.0)];
        let wishes = [Wish { at, radius: 3.0, lines: vec!["lone".into()], or_at: vec![] }];
        let around = Surroundings { bounds: Rect::new(0.0, 0.0, 200.0, 100.0), marks: &marks, lines: &[], text: 7.0 };
        let place = place(&wishes, &around)[0].unwrap();
        assert!(place.leader.is_none() && place.bounds.left > 53.0 && place.bounds.left < 57.0);
    }
}
