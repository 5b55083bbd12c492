//! The probability of an encounter, as far as it is seen, with a tap and with a hold.

use crate::finger::{Finger, THREE, TWO, integral};
use crate::model::{Model, Pair, Since};
use crate::seen::{End, Other, Seen, Side};
use crate::table::{Spot, Table};

/// Times are whole µs, so a time that the model makes certain has the density one per µs.
const CERTAIN: f64 = 1.0;

/// Two times of the model that should be equal may differ by so many µs, for both were cut to whole ones.
pub(crate) const ROUNDING: f64 = 2.0;

impl Model {
    /// Probability densities of what is seen, with a tap and with a hold.
    pub fn joint(&self, seen: &Seen) -> [f64; 2] {
        [self.tap(seen), self.hold(seen)]
    }

    fn tap(&self, seen: &Seen) -> f64 {
        let mut sum = self.prelude(0, seen) * self.after_tap(seen, &self.own);
        sum += self.tap_under(seen) * self.since(&self.preludes[0].since[2], seen);
        sum + self.tap_again(seen)
    }

    fn hold(&self, seen: &Seen) -> f64 {
        let apart = self.holds - self.second_of_two;
        let mut sum = 0.0;
        if apart > 0.0 {
            sum += self.prelude(1, seen) * self.after_hold(seen) / apart;
        }
        sum + self.second_hold(seen) * self.since(&self.preludes[1].since[2], seen)
    }

    /// The time since the same key, when the key before was another one.
    fn since(&self, law: &Since, seen: &Seen) -> f64 {
        let Some(since) = seen.since else { return 1.0 };
        let lull = seen.lull.unwrap_or(0.0);
        if since < lull {
            let lifts = law.lift_share;
            let recent =
                if (since - self.lift).abs() <= ROUNDING { CERTAIN * lifts } else { (1.0 - lifts) / lull.max(1.0) };
            law.recent_share * recent
        } else {
            (1.0 - law.recent_share) * law.far.density_at((since - lull).max(1000.0))
        }
    }

    /// Lull, carried keys and time since the same key, before a press that belongs to no gesture yet.
    fn prelude(&self, class: usize, seen: &Seen) -> f64 {
        let prelude = &self.preludes[class];
        let Some(lull) = seen.lull else {
            return prelude.free.any.total() + prelude.free.finger.total() + prelude.held.weight;
        };
        let at = Spot::of(lull);
        let rolls = 1.0 - self.lift_first;
        let earlier = |other: &Other| -other.down > lull;
        let up = 1.0 - rolls * self.previous.upper(at);
        let finger = Finger { dwell: &self.previous, next: &prelude.free.any, model: self };
        let held = &prelude.held;
        let [of_free, of_held, _] = &prelude.since;
        // In its own time, and after a key that was waited for.
        let (own, waited) = match &seen.carried {
            None => (
                prelude.free.any.density(at) * up + prelude.free.finger.density(at),
                held.weight * held.lull.density(at) * (1.0 - held.carried_share),
            ),
            // The key before is up, the one before that is not.
            Some(other) if earlier(other) => (prelude.free.any.density(at) * up * self.older(lull, other), 0.0),
            Some(other) => {
                let side = &prelude.free.side[other.side as usize];
                let later = match other.end {
                    End::At(w) => held.carried.density_at(w),
                    End::After(w) => held.carried.upper_at(w),
                };
                let of_side = side.total() / prelude.free.any.total().max(1e-12);
                (
                    side.density(at) * finger.rolled(lull, other.end.from(-lull)),
                    held.weight * held.lull.density(at) * held.carried_share * later * of_side,
                )
            }
        };
        own * self.since(of_free, seen)
            + waited * self.since(of_held, seen)
            + self.twice(&prelude.free.key, if class == 0 { &[1.0] } else { &self.lulls }, seen)
            + held.again * self.same_key(&held.lull, seen)
    }

    /// The key before the previous one is still down.
    fn older(&self, lull: f64, other: &Other) -> f64 {
        let finger = Finger { dwell: &self.previous, next: &self.second, model: self };
        finger.followed(-other.down - lull, other.end.from(other.down))
    }

    /// Lull and time since the same key where that came up between the two presses, with the probability of an
    /// older key carried over; `None` where it cannot have.
    fn came_up_between(&self, seen: &Seen) -> Option<(f64, f64, f64)> {
        let (lull, since) = (seen.lull?, seen.since?);
        if since >= lull {
            return None;
        }
        let older = match &seen.carried {
            None => 1.0,
            Some(other) if -other.down > lull => self.older(lull, other),
            Some(_) => return None,
        };
        Some((lull, since, older))
    }

    /// The same key twice in a row: its first dwell and a gap, the whole longer by a factor.
    ///
    /// Is the gap shorter than a finger's least time, the first press is cut short by as much.
    fn twice(&self, gap: &Table, factors: &[f64], seen: &Seen) -> f64 {
        let Some((lull, since, older)) = self.came_up_between(seen) else { return 0.0 };
        let dwell = lull - since;
        let cut = since <= self.lift + ROUNDING;
        let of_factor = |factor: &f64| {
            let whole = lull / factor;
            let density = if cut {
                let most = whole - lull + self.lift;
                if most > 0.0 {
                    CERTAIN * gap.lower_at(most) * self.previous.density_at(whole - 0.5 * most)
                } else {
                    0.0
                }
            } else if whole > dwell {
                gap.density_at(whole - dwell) * self.previous.density_at(dwell)
            } else {
                0.0
            };
            density / factor
        };
        older * factors.iter().map(of_factor).sum::<f64>() / factors.len() as f64
    }

    /// The key before was the same and the press waited for the end of a gesture.
    fn same_key(&self, interval: &Table, seen: &Seen) -> f64 {
        let Some((lull, since, older)) = self.came_up_between(seen) else { return 0.0 };
        let released = if since <= self.lift + ROUNDING {
            CERTAIN * self.previous.upper_at(lull - self.lift)
        } else {
            self.previous.density_at(lull - since)
        };
        interval.density_at(lull) * released * older
    }

    /// Own dwell and contacts of an ordinary tap.
    fn after_tap(&self, seen: &Seen, dwell: &Table) -> f64 {
        let finger = Finger { dwell, next: &self.next_any, model: self };
        let end = seen.own;
        let Some((first, rest)) = seen.contacts().split_first() else {
            let free = match end {
                End::At(u) => {
                    let at = Spot::of(u);
                    // The same finger leaves early for its next key.
                    let late = Spot::of(u + self.lift);
                    let finger = dwell.density(at) * self.next_finger.upper(late)
                        + dwell.upper(at) * self.next_finger.density(late);
                    finger + self.next_none * dwell.density(at)
                }
                End::After(u) => {
                    let at = Spot::of(u);
                    dwell.upper(at) * (self.next_finger.upper_at(u + self.lift) + self.next_none)
                }
            };
            return free + finger.alone(end, end.time());
        };
        let side = first.side as usize;
        let at = Spot::of(first.down);
        let rolled = finger.rolled(first.down, end);
        let mut sum = self.next[side].density(at) * rolled * self.chain(first, rest, end, &self.following);
        if rest.is_empty() {
            let held = match first.end.from(first.down) {
                End::At(v) => self.held.density_at(v),
                End::After(v) => self.held.upper_at(v),
            };
            sum += self.next_hold[side].density(at) * rolled * held;
        }
        sum
    }

    /// Contacts from the first on, each ordinary, none before the own end after the last.
    fn chain(&self, first: &Other, rest: &[Other], own: End, dwell: &Table) -> f64 {
        let finger = Finger { dwell, next: &self.second, model: self };
        let mut product = 1.0;
        let mut last = first;
        for next in rest {
            product *= finger.followed(next.down - last.down, last.end.from(last.down));
            last = next;
        }
        product * finger.alone(last.end.from(last.down), own.time() - last.down)
    }

    /// A tap under another key that is held.
    fn tap_under(&self, seen: &Seen) -> f64 {
        let (Some(lull), Some(holder)) = (seen.lull, &seen.carried) else { return 0.0 };
        let side = holder.side as usize;
        let mut sum = 0.0;
        if -holder.down <= lull {
            let (weight, lead) = (self.under_weight[side], self.lead.density_at(lull));
            if weight > 0.0 {
                sum += weight * lead * self.under(seen, holder);
            }
            // A further target under one held key, the target before still down.
            let finger = Finger { dwell: &self.previous, next: &self.further, model: self };
            sum += self.further.density_at(lull)
                * finger.rolled(lull, holder.end.from(-lull))
                * self.after_tap(seen, &self.under.dwell);
        } else {
            let lead = self.lead.density_at(-holder.down - lull);
            sum += self.further.density_at(lull) * lead * self.under(seen, holder);
        }
        sum
    }

    /// Own dwell of a tap under `holder`, and the release of that.
    fn under(&self, seen: &Seen, holder: &Other) -> f64 {
        let Some((first, rest)) = seen.contacts().split_first() else {
            return self.pair(&self.under, seen.own, holder.end);
        };
        // Only after the holder is up can another key come.
        let End::At(w) = holder.end else { return 0.0 };
        if w >= first.down {
            return 0.0;
        }
        let kept = self.kept;
        let wanted = first.down + (seen.own.time() - first.down) / kept;
        let own = match seen.own {
            End::At(_) => self.under.dwell.density_at(wanted) * self.tail.density_at(wanted - w) / kept,
            End::After(_) => self.late(&self.under, 0.0, w, wanted),
        };
        let sides = self.next[first.side as usize].total();
        self.trailing
            * (1.0 - self.lift_first)
            * own
            * self.next_after(first.down, w)
            * sides
            * self.chain(first, rest, seen.own, &self.following)
    }

    /// Density of the next press at `y` after a target when the holder came up at `u` after it.
    fn next_after(&self, y: f64, u: f64) -> f64 {
        let (own, wait) = (Spot::of(y), Spot::of(y - u));
        self.second.density(own) * self.after.lower(wait) + self.second.lower(own) * self.after.density(wait)
    }

    /// Dwell of a target, and release of its holder, both from the target's press on.
    fn pair(&self, pair: &Pair, target: End, holder: End) -> f64 {
        let (trailing, kept) = (self.trailing, self.kept);
        match (target, holder) {
            (End::At(v), End::At(u)) if v <= u => {
                (1.0 - trailing) * pair.dwell.density_at(v) * self.enclosed.density_at(u - v)
                    + trailing * self.lifted_target(pair, v, u)
            }
            (End::At(v), End::At(u)) => {
                let at = Spot::of(v);
                let certain = if u <= ROUNDING { CERTAIN * self.tail.upper(at) } else { 0.0 };
                let wait = Spot::of(v - u);
                let none = 1.0 - self.second.lower(at) * self.after.lower(wait);
                let plain = pair.dwell.density(at) * (self.tail.density(wait) * none + certain);
                // The next key cut the target short.
                let cut = integral(&THREE, u, v, |y| {
                    let wanted = y + (v - y) / kept;
                    self.next_after(y, u) * pair.dwell.density_at(wanted) * self.tail.density_at(wanted - u)
                });
                trailing * (plain + (1.0 - self.lift_first) * cut / kept + self.lifted_target(pair, v, u))
            }
            (End::At(v), End::After(u)) => (1.0 - trailing) * pair.dwell.density_at(v) * self.enclosed.upper_at(u - v),
            (End::After(v), End::At(u)) => {
                let certain = if u <= ROUNDING { CERTAIN * pair.cut.upper_at(v) } else { 0.0 };
                trailing * (self.late(pair, 0.0, u, v) + certain)
            }
            (End::After(v), End::After(u)) => {
                let both = Spot::of(u.max(v));
                (1.0 - trailing) * pair.dwell.upper(both) + trailing * pair.lag.upper(both)
            }
        }
    }

    /// The finger on a target came up at `v`, in time for the next key, which waited for the holder's release
    /// at `u`.
    fn lifted_target(&self, pair: &Pair, v: f64, u: f64) -> f64 {
        let (share, lift) = (self.lift_first, self.lift);
        if share <= 0.0 || v + lift <= u {
            return 0.0;
        }
        let next = |y: f64| {
            let next = self.next_after(y, u);
            if next > 1e-12 { next * self.late(pair, 0.0, u, y) } else { 0.0 }
        };
        share / lift * integral(&TWO, v.max(u), v + lift, next)
    }

    /// ∫ over dwells beyond `beyond` of dwell × trailing tail, the holder having come up at `u`.
    fn late(&self, pair: &Pair, origin: f64, u: f64, beyond: f64) -> f64 {
        let least = beyond - u;
        let spot = Spot::of(least);
        let more = self.tail.upper(spot);
        if more <= 1e-12 {
            return 0.0;
        }
        // The tail beyond `least`, at equally probable points.
        let law = &self.tail_law;
        let mut sum = 0.0;
        for (i, z) in self.tail_normals.iter().enumerate() {
            let tail = if least <= 0.0 {
                libm::exp(law.log_us + law.spread * z)
            } else {
                let share = (i as f64 + 0.5) / self.tail_normals.len() as f64;
                let z = agogic_stats::normal_upper_quantile(more * share);
                libm::exp(law.log_us + law.spread * z)
            };
            sum += pair.dwell.density_at(u + tail - origin);
        }
        more * sum / self.tail_normals.len() as f64
    }

    /// A key pressed again to be held for repeat.
    fn tap_again(&self, seen: &Seen) -> f64 {
        if !seen.contacts().is_empty() || self.again.total() <= 0.0 {
            return 0.0;
        }
        let dwell = match seen.own {
            End::At(u) => self.repeat.density_at(u),
            End::After(u) => self.repeat.upper_at(u),
        };
        self.twice(&self.again, &[1.0], seen) * dwell
    }

    /// Own dwell and contacts of a hold that is not the second of two.
    fn after_hold(&self, seen: &Seen) -> f64 {
        let gestures = self.runs.first().map_or(0.0, |run| run[1]);
        let Some((first, rest)) = seen.contacts().split_first() else {
            return match seen.own {
                End::At(u) => self.bare_weight * self.bare.density_at(u),
                End::After(u) => {
                    let at = Spot::of(u);
                    self.bare_weight * self.bare.upper(at)
                        + gestures * self.lead.upper(at)
                        + self.first_of_two * self.lead_of_two.upper(at)
                }
            };
        };
        let lead = self.lead.density_at(first.down) * self.target_side[first.side as usize];
        lead * self.targets(first, rest, seen.own) + self.first_of_two * self.two(first, rest, seen.own)
    }

    /// The targets of a held key from the first on.
    fn targets(&self, first: &Other, rest: &[Other], own: End) -> f64 {
        let Some([exactly, at_least]) = self.runs.get(rest.len()) else { return 0.0 };
        let finger = Finger { dwell: &self.over.dwell, next: &self.second, model: self };
        let mut product = 1.0;
        let mut last = first;
        for next in rest {
            product *= finger.followed(next.down - last.down, last.end.from(last.down));
            last = next;
        }
        let mut sum = exactly * self.pair(&self.over, last.end.from(last.down), own.from(last.down));
        if let End::After(u) = own
            && at_least > exactly
        {
            sum += (at_least - exactly) * finger.alone(last.end.from(last.down), u - last.down);
        }
        product * sum
    }

    /// A second held key and a target, seen from the first held key.
    fn two(&self, first: &Other, rest: &[Other], own: End) -> f64 {
        let start = self.lead_of_two.density_at(first.down) * self.second_side[first.side as usize];
        match rest {
            [] => match (first.end, own) {
                // The target is to come, or the second key has come up alone, which it does not.
                (End::After(u), End::After(_)) => {
                    let lead = first.down / self.second_lead;
                    if first.down + lead > u - ROUNDING { start } else { 0.0 }
                }
                _ => 0.0,
            },
            [target] => {
                let lead = first.down / self.second_lead;
                let late = target.down - first.down - lead;
                if late.abs() > ROUNDING + ROUNDING / self.second_lead {
                    return 0.0;
                }
                let release = self.pair(&self.over, target.end.from(target.down), own.from(target.down));
                start * CERTAIN * release * self.beside(target, first.end)
            }
            _ => 0.0,
        }
    }

    /// Release of a second held key, given the target.
    fn beside(&self, target: &Other, end: End) -> f64 {
        let trailing = self.trailing;
        match (target.end, end) {
            (End::At(v), End::At(w)) if w >= v => (1.0 - trailing) * self.enclosed.density_at(w - v),
            (End::At(v), End::At(w)) => {
                let certain = if w - target.down <= ROUNDING { self.tail.upper_at(v - target.down) } else { 0.0 };
                trailing * (self.tail.density_at(v - w) + CERTAIN * certain)
            }
            (End::At(v), End::After(w)) => (1.0 - trailing) * self.enclosed.upper_at(w - v),
            // The target is still down: what its end adds is small.
            (End::After(_), End::After(_)) => 1.0 - trailing * 0.5,
            (End::After(v), End::At(w)) => trailing * self.tail.density_at(v - w),
        }
    }

    /// The second of two held keys.
    fn second_hold(&self, seen: &Seen) -> f64 {
        let (Some(lull), Some(holder)) = (seen.lull, &seen.carried) else { return 0.0 };
        if self.second_of_two <= 0.0 || -holder.down > lull {
            return 0.0;
        }
        let start = self.second_of_two * self.lead_of_two.density_at(lull) * self.second_side[holder.side as usize];
        let lead = lull / self.second_lead;
        match seen.contacts() {
            [] => match (holder.end, seen.own) {
                (End::After(_), End::After(u)) if lead > u - ROUNDING => start,
                _ => 0.0,
            },
            [target] if (target.down - lead).abs() <= ROUNDING + ROUNDING / self.second_lead => {
                let release = self.pair(&self.over, target.end.from(target.down), seen.own.from(target.down));
                start * CERTAIN * release * self.beside(target, holder.end) * self.target_side[Side::Other as usize]
            }
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Sight, Stage, TypistObserver};
    use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
    use agogic_typist::{Performer, Population, Typist};

    fn with_model(check: impl Fn(&Model)) {
        let board = Board::row_staggered();
        let assignment =
            Assignment::resting(&board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
        let text = "Dad has a flask; Ella sold all the salad. Jill asks for a glass.";
        let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
        let (performer, workload) = (Performer::new(&board, &assignment), Workload::none());
        let stage = Stage { performer: &performer, plan: &plan, workload: &workload, seed: 4, rehearsal: 8000 };
        for number in 0..3 {
            let typist = Typist::draw(&Population::volunteers(), 4, number);
            check(TypistObserver::new(&stage, &typist, Sight::AnyKey).all());
        }
    }

    /// ∫ over 0..2 s by midpoints.
    fn over_time(f: impl Fn(f64) -> f64) -> f64 {
        let step = 500.0;
        (0..4000).map(|i| f(step * (f64::from(i) + 0.5)) * step).sum()
    }

    /// Either the key comes up alone or another is pressed before; by any time, too.
    #[test]
    fn what_can_happen_to_a_tap_adds_up() {
        with_model(|model| {
            let next = &model.next_any;
            let finger = Finger { dwell: &model.own, next, model };
            let rolls = |x: f64| next.density_at(x) * (1.0 - model.lift_first) * model.own.upper_at(x);
            let total = over_time(|u| finger.alone(End::At(u), u)) + over_time(rolls);
            assert!((total - next.total()).abs() < 0.01, "{total} of {}", next.total());
            for until in [60_000.0, 110_000.0, 200_000.0] {
                let before = |t: f64| f64::from(u8::from(t < until));
                let done = over_time(|u| before(u) * finger.alone(End::At(u), u)) + over_time(|x| before(x) * rolls(x));
                let pending = finger.alone(End::After(until), until);
                assert!((done + pending - next.total()).abs() < 0.01, "{until}: {done} {pending}");
            }
        });
    }

    /// A target and its holder are released in some way, and what is open at a time is released later.
    #[test]
    fn what_can_happen_to_a_gesture_adds_up() {
        with_model(|model| {
            let pair = &model.over;
            for until in [70_000.0, 130_000.0] {
                let open = model.pair(pair, End::After(until), End::After(until));
                let before = |t: f64| f64::from(u8::from(t < until));
                // Enclosed: the target is seen to come up before. Trailing: the holder is.
                let target =
                    over_time(|v| if v < until { model.pair(pair, End::At(v), End::After(until)) } else { 0.0 });
                let holder =
                    over_time(|u| if u < until { model.pair(pair, End::After(until), End::At(u)) } else { 0.0 });
                let certain = model.trailing * pair.cut.upper_at(until);
                let both: f64 = {
                    let enclosed =
                        over_time(|v| before(v) * pair.dwell.density_at(v) * model.enclosed.lower_at(until - v));
                    let trailing = over_time(|v| before(v) * pair.dwell.density_at(v));
                    (1.0 - model.trailing) * enclosed + model.trailing * trailing
                };
                let total = open + target + holder + certain + both;
                assert!((total - 1.0).abs() < 0.02, "{until}: {total}");
            }
        });
    }
}
