//! The probability of an encounter, as far as it is seen, with a tap and with a hold.
//!
//! # Definition
//! Of an encounter are seen the lull l, the time s since the same key came up, the carried key with its end c, the own end
//! e, and the contacts 1 … n, pressed at t₁ … tₙ after the own press, with their ends e₁ … eₙ. An *end* is a release at t or
//! a key still down at the look t. Of a time T with density f and F̄(t) = P(T > t), E_T(end) is f(t) for the one and F̄(t) for
//! the other; an end is counted from the press that it is written after. All laws are of one typist in the situations of
//! a rehearsal ([`Model`]), and hold the share of their situation: f of a next press integrates to how often there is one.
//!
//! **Tap**, [`Model::tap`]: P₀ A + U S₂ + R.
//! **Hold**, [`Model::hold`]: P₁ B/(h − h₂) + T S₂, with h the share of holds and h₂ that of the second of two held keys,
//! both of all presses.
//!
//! - *Before the press*, [`Model::prelude`]: P = Q S₀ + W S₁ + twice + again. In its own time
//!   Q = f_d(l) E_before(c) after a carried key on side d, else
//!   Q = f_any(l) (O − F̄_before(l)) + f_finger(l) O, with O the factor of a key before that is still down. After a held key
//!   that was waited for, W = w f_held(l) (q E_carried(c) p_d or 1 − q), with w the share of such presses and q of those
//!   that carry a key over. S is the law of s. *Twice*, [`Model::twice`], is the same key before: its dwell l − s times the
//!   gap, f_gap(l/k − (l − s)) E_before(l − s)/k, averaged over factors k that a coming hold has on the interval.
//! - *Own end and contacts of a tap*, [`Model::after_tap`]: without contacts
//!   A = E_own(e) (F̄_next(e) + p_none + F̄_finger(e + lift)) + F̄_own(e) f_finger(e + lift), the last where the release was
//!   seen: the finger left early for its next key. With contacts
//!   A = v E_own(e′) (f_d(t₁) C F̄_second(e − tₙ) + \[n = 1\] f_hold,d(t₁) E_held(e₁)).
//! - *A chain*, [`Model::chain`]: C = Π E_dwell(eⱼ′) vⱼ · Π f_second(tⱼ₊₁ − tⱼ), each dwell one that may wait for the end
//!   before it ([`InOrder`](crate::finger::InOrder)).
//! - *Rolled ends*, [`Model::unrolled`]: e′ is the end that a key would have had if no other had been pressed, and v the
//!   slope |de′/de| of [`RollLaw`](agogic_typist::RollLaw), 1 for an end not seen.
//! - *A tap under a held key*, [`Model::tap_under`]: U joins the lead (first target) or an interval (further target), the
//!   own dwell and the holder's release; the next press comes after both its own interval and the holder's release, with
//!   the density f G + F g of the later of two, [`Model::next_after`].
//! - *Own end and contacts of a hold*, [`Model::after_hold`]: without contacts
//!   B = b E_bare(e) + \[open\] (g F̄_lead(e) + h₁ F̄_lead₂(e)), with b, g and h₁ the shares of bare holds, of gestures and of
//!   the first of two held keys. With contacts B = f_lead(t₁) π_d G + h₁ G₂, where
//!   G = C (pₙ E_release(e − tₙ) + \[open\] (p₍≥n₎ − pₙ) F̄_second(e − tₙ)) for a run of n targets, [`Model::targets`], and G₂ is
//!   the second held key with its target, [`Model::two`]. T is the same seen from the second, [`Model::second_hold`].
//! - *For repeat*, [`Model::tap_again`]: R = twice · E_repeat(e).

use crate::model::{Model, Since};
use crate::rehearsal::ROUNDING;
use crate::seen::{End, Other, Seen};
use crate::table::{Spot, Table};

/// Times are whole µs, so a time that the model makes certain has the density one per µs.
const CERTAIN: f64 = 1.0;

impl Model {
    /// Probability densities of what is seen, with a tap and with a hold.
    pub fn joint(&self, seen: &Seen) -> [f64; 2] {
        [self.tap(seen), self.hold(seen)]
    }

    /// P₀ A + U S₂ + R.
    fn tap(&self, seen: &Seen) -> f64 {
        let behind = seen.previous().map(|other| other.end);
        let mut sum = self.prelude(0, seen) * self.after_tap(seen, &self.own, behind);
        sum += self.tap_under(seen) * self.since(&self.preludes[0].since[2], seen);
        sum + self.tap_again(seen)
    }

    /// P₁ B/(h − h₂) + T S₂.
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
        let held = &prelude.held;
        let [of_free, of_held, _] = &prelude.since;
        // In its own time, and after a key that was waited for.
        let (own, waited) = match seen.previous() {
            None => {
                let apart = match seen.older() {
                    None => held.weight * held.lull.density(at) * (1.0 - held.carried_share),
                    Some(_) => 0.0,
                };
                let up = self.older(lull, seen) - self.before(lull, seen, End::After(lull));
                (prelude.free.any.density(at) * up + prelude.free.finger.density(at) * self.older(lull, seen), apart)
            }
            Some(other) => {
                let side = &prelude.free.side[other.side as usize];
                let of_side = side.total() / prelude.free.any.total().max(1e-12);
                (
                    side.density(at) * self.before(lull, seen, other.end.from(-lull)),
                    held.weight * held.lull.density(at) * held.carried_share * held.carried.ending(other.end) * of_side,
                )
            }
        };
        own * self.since(of_free, seen)
            + waited * self.since(of_held, seen)
            + self.twice(&prelude.free.key, if class == 0 { &[1.0] } else { &self.lulls }, seen)
            + held.again * self.same_key(&held.lull, seen)
    }

    /// The end that a press would have had if no other key had been pressed `next` after it, and the density by which
    /// that of its end goes.
    fn unrolled(&self, end: End, next: f64) -> (End, f64) {
        if end.time() <= next {
            return (end, 1.0);
        }
        let (overlap, slope) = self.roll.planned(end.time() - next);
        match end {
            End::At(_) => (End::At(next + overlap), slope),
            End::After(_) => (End::After(next + overlap), 1.0),
        }
    }

    /// The key before the previous one, where it is still down: its interval to that, and its end.
    fn older(&self, lull: f64, seen: &Seen) -> f64 {
        let Some(other) = seen.older() else { return 1.0 };
        let interval = -other.down - lull;
        let (end, by) = self.unrolled(other.end.from(other.down), interval);
        self.second.density_at(interval) * by * self.previous_unseen.ending(end)
    }

    /// The end of the previous key, seen from its press `lull` ago, with the key before that.
    fn before(&self, lull: f64, seen: &Seen, end: End) -> f64 {
        let (end, by) = self.unrolled(end, lull);
        by * match seen.older() {
            None => self.previous_unseen.ending(end),
            Some(other) => {
                self.older(lull, seen) * self.in_order.ending(&self.previous, Some(other.end.from(-lull)), end)
            }
        }
    }

    /// Lull and time since the same key where that came up between the two presses; `None` where it cannot have.
    fn came_up_between(seen: &Seen) -> Option<(f64, f64)> {
        let (lull, since) = (seen.lull?, seen.since?);
        (since < lull && seen.previous().is_none()).then_some((lull, since))
    }

    /// The same key twice in a row: its first dwell and a gap, the whole longer by a factor.
    ///
    /// Is the gap shorter than a finger's least time, the first press is cut short by as much.
    fn twice(&self, gap: &Table, factors: &[f64], seen: &Seen) -> f64 {
        let Some((lull, since)) = Self::came_up_between(seen) else { return 0.0 };
        let dwell = lull - since;
        let cut = since <= self.lift + ROUNDING;
        let of_factor = |factor: &f64| {
            let whole = lull / factor;
            let density = if cut {
                let most = whole - lull + self.lift;
                if most > 0.0 {
                    CERTAIN * gap.lower_at(most) * self.before(lull, seen, End::At(whole - 0.5 * most))
                } else {
                    0.0
                }
            } else if whole > dwell {
                gap.density_at(whole - dwell) * self.before(lull, seen, End::At(dwell))
            } else {
                0.0
            };
            density / factor
        };
        factors.iter().map(of_factor).sum::<f64>() / factors.len() as f64
    }

    /// The key before was the same and the press waited for the end of a gesture.
    fn same_key(&self, interval: &Table, seen: &Seen) -> f64 {
        let Some((lull, since)) = Self::came_up_between(seen) else { return 0.0 };
        let released = if since <= self.lift + ROUNDING {
            CERTAIN * self.before(lull, seen, End::After(lull - self.lift))
        } else {
            self.before(lull, seen, End::At(lull - since))
        };
        interval.density_at(lull) * released
    }

    /// Own dwell and contacts of an ordinary tap, with the end of a key before that is still down.
    fn after_tap(&self, seen: &Seen, dwell: &Table, behind: Option<End>) -> f64 {
        let own = |end: End| self.in_order.ending(dwell, behind, end);
        let until = seen.own.time();
        let contacts = seen.contacts();
        let [first, rest @ ..] = contacts else {
            // The same finger leaves early for its next key.
            let late = Spot::of(until + self.lift);
            let stays = own(seen.own) * (self.next_any.upper_at(until) + self.next_none + self.next_finger.upper(late));
            return match seen.own {
                End::At(u) => stays + own(End::After(u)) * self.next_finger.density(late),
                End::After(_) => stays,
            };
        };
        let (side, at) = (first.side as usize, Spot::of(first.down));
        let mut sum =
            self.next[side].density(at) * self.chain(contacts, Some(seen.own), &self.following) * self.no_more(seen);
        if rest.is_empty() {
            sum += self.next_hold[side].density(at) * self.held.ending(first.end.from(first.down));
        }
        let (end, by) = self.unrolled(seen.own, first.down);
        by * own(end) * sum
    }

    /// Ends of contacts from the first on, and the intervals between them. `own` is the own end where the first was
    /// rolled onto this key.
    fn chain(&self, contacts: &[Other], own: Option<End>, dwell: &Table) -> f64 {
        let mut product = 1.0;
        let mut behind = own;
        for (at, contact) in contacts.iter().enumerate() {
            let mut end = contact.end.from(contact.down);
            if let Some(next) = contacts.get(at + 1) {
                let interval = next.down - contact.down;
                let (unrolled, by) = self.unrolled(end, interval);
                product *= by * self.second.density_at(interval);
                end = unrolled;
            }
            product *= self.in_order.ending(dwell, behind.map(|end| end.from(contact.down)), end);
            behind = Some(contact.end);
        }
        product
    }

    /// No press from the last contact to the own end.
    fn no_more(&self, seen: &Seen) -> f64 {
        seen.contacts().last().map_or(1.0, |last| self.second.upper_at(seen.own.time() - last.down))
    }

    /// A tap under another key that is held.
    fn tap_under(&self, seen: &Seen) -> f64 {
        let (Some(lull), Some(carried)) = (seen.lull, &seen.carried) else { return 0.0 };
        if let Some(holder) = seen.older() {
            // A further target under one held key, the target before up.
            let lead = self.lead.density_at(-holder.down - lull) * self.previous.lower_at(lull);
            return self.further.density_at(lull) * lead * self.under(seen, holder);
        }
        let first = self.under_weight[carried.side as usize] * self.lead.density_at(lull) * self.under(seen, carried);
        // The target before is still down, and the held key is not seen.
        let (end, by) = self.unrolled(carried.end.from(-lull), lull);
        let further = self.further.density_at(lull) * by * self.previous.ending(end);
        first + further * self.after_tap(seen, &self.under, Some(carried.end))
    }

    /// Own dwell of a tap under `holder`, and the release of that.
    fn under(&self, seen: &Seen, holder: &Other) -> f64 {
        let next = seen.contacts().first().map_or(f64::INFINITY, |first| first.down);
        let (end, by) = self.unrolled(seen.own, next);
        let own = by * self.under.ending(end) * self.release.ending(holder.end);
        let until = seen.own.time();
        let contacts = seen.contacts();
        let Some(first) = contacts.first() else {
            return match holder.end {
                End::At(w) if w < until => own * (1.0 - self.next_any.total() * self.comes_after(until, w)),
                _ => own,
            };
        };
        // Only after the holder is up can another key come.
        match holder.end {
            End::At(w) if w < first.down => {
                let sides = self.next[first.side as usize].total();
                let chain = self.chain(contacts, Some(seen.own), &self.following);
                own * sides * self.next_after(first.down, w) * chain * self.no_more(seen)
            }
            _ => 0.0,
        }
    }

    /// Density of the next press at `y` after a target when the holder came up at `u` after it.
    fn next_after(&self, y: f64, u: f64) -> f64 {
        let (own, wait) = (Spot::of(y), Spot::of(y - u));
        self.second.density(own) * self.after.lower(wait) + self.second.lower(own) * self.after.density(wait)
    }

    /// Probability that it comes by `y`.
    fn comes_after(&self, y: f64, u: f64) -> f64 {
        self.second.lower_at(y) * self.after.lower_at(y - u)
    }

    /// A key pressed again to be held for repeat.
    fn tap_again(&self, seen: &Seen) -> f64 {
        if !seen.contacts().is_empty() || self.again.total() <= 0.0 {
            return 0.0;
        }
        self.twice(&self.again, &[1.0], seen) * self.repeat.ending(seen.own)
    }

    /// Own dwell and contacts of a hold that is not the second of two.
    fn after_hold(&self, seen: &Seen) -> f64 {
        let gestures = self.runs.first().map_or(0.0, |run| run[1]);
        let [first, ..] = seen.contacts() else {
            let bare = self.bare_weight * self.bare.ending(seen.own);
            return match seen.own {
                End::At(_) => bare,
                End::After(u) => {
                    let at = Spot::of(u);
                    bare + gestures * self.lead.upper(at) + self.first_of_two * self.lead_of_two.upper(at)
                }
            };
        };
        let lead = self.lead.density_at(first.down) * self.target_side[first.side as usize];
        lead * self.targets(seen.contacts(), seen.own) + self.first_of_two * self.two(seen.contacts(), seen.own)
    }

    /// The targets of a held key, and its end: that follows from the last of them, whatever their dwells.
    fn targets(&self, contacts: &[Other], own: End) -> f64 {
        let Some(last) = contacts.last() else { return 0.0 };
        let Some([exactly, at_least]) = self.runs.get(contacts.len() - 1) else { return 0.0 };
        let own = own.from(last.down);
        let more = match own {
            End::At(_) => 0.0,
            End::After(u) => (at_least - exactly) * self.second.upper_at(u),
        };
        self.chain(contacts, None, &self.over) * (exactly * self.release.ending(own) + more)
    }

    /// A second held key and a target, seen from the first held key.
    fn two(&self, contacts: &[Other], own: End) -> f64 {
        let [second, targets @ ..] = contacts else { return 0.0 };
        let start = self.lead_of_two.density_at(second.down) * self.second_side[second.side as usize];
        start * self.one_under_two(second.down, targets, second.down, [own, second.end])
    }

    /// The second of two held keys.
    fn second_hold(&self, seen: &Seen) -> f64 {
        let (Some(lull), Some(holder)) = (seen.lull, seen.previous()) else { return 0.0 };
        let start = self.second_of_two * self.lead_of_two.density_at(lull) * self.second_side[holder.side as usize];
        let side = seen.contacts().first().map_or(1.0, |target| self.target_side[target.side as usize]);
        start * side * self.one_under_two(lull, seen.contacts(), 0.0, [seen.own, holder.end])
    }

    /// The target under two held keys, of which the second was pressed at `second`, `gap` after the first, and the
    /// ends of both.
    fn one_under_two(&self, gap: f64, targets: &[Other], second: f64, ends: [End; 2]) -> f64 {
        // The time between the two tells the lead.
        let at = second + gap / self.second_lead;
        match (targets, ends) {
            ([], [End::After(u), End::After(_)]) if at > u - ROUNDING => 1.0,
            ([target], _) if (target.down - at).abs() <= ROUNDING + ROUNDING / self.second_lead => {
                let releases = ends.map(|end| self.release.ending(end.from(target.down)));
                CERTAIN * self.over.ending(target.end.from(target.down)) * releases[0] * releases[1]
            }
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seen::Side;
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
            check(TypistObserver::new(&stage, &typist, Sight::Timing).all());
        }
    }

    /// ∫ over 0..2 s by midpoints.
    fn over_time(f: impl Fn(f64) -> f64) -> f64 {
        let step = 500.0;
        (0..4000).map(|i| f(step * (f64::from(i) + 0.5)) * step).sum()
    }

    /// Either the key comes up alone or another is pressed before; by any time, too, and whatever it waits for.
    #[test]
    fn what_can_happen_to_a_tap_adds_up() {
        with_model(|model| {
            for behind in [None, Some(End::At(70_000.0))] {
                let own = |end: End| model.in_order.ending(&model.own, behind, end);
                let alone = |end: End| model.after_tap(&Seen::alone(end), &model.own, behind);
                let rolls = |x: f64| model.next_any.density_at(x) * own(End::After(x));
                let total = over_time(|u| alone(End::At(u))) + over_time(rolls);
                assert!((total - 1.0).abs() < 0.01, "{total}");
                for until in [60_000.0, 110_000.0, 200_000.0] {
                    let before = |t: f64| f64::from(u8::from(t < until));
                    let done = over_time(|t| before(t) * (alone(End::At(t)) + rolls(t)));
                    let pending = alone(End::After(until));
                    assert!((done + pending - 1.0).abs() < 0.01, "{until}: {done} {pending}");
                }
            }
        });
    }

    /// The ends of the two keys of a roll, each seen or open at a look.
    #[test]
    fn what_can_happen_to_a_roll_adds_up() {
        with_model(|model| {
            let (x, step) = (60_000.0, 1000.0);
            for until in [100_000.0, 180_000.0] {
                let ends = || {
                    let seen = (0..200).map(|i| End::At(x + step * (f64::from(i) + 0.5)));
                    seen.filter(|end| end.time() < until).map(|end| (end, step)).chain([(End::After(until), 1.0)])
                };
                let mut sum = 0.0;
                for (own, width) in ends() {
                    let rolled = |end: End| model.chain(&[contact(x, end)], Some(own), &model.following);
                    let of_own = ends().map(|(end, width)| width * rolled(end)).sum::<f64>();
                    assert!((of_own - 1.0).abs() < 0.02, "{own:?}, {until}: {of_own}");
                    let (end, by) = model.unrolled(own, x);
                    sum += width * by * model.own.ending(end) * of_own;
                }
                let down = model.own.upper_at(x);
                assert!((sum - down).abs() < 0.01, "{until}: {sum} of {down}");
            }
        });
    }

    fn contact(down: f64, end: End) -> Other {
        Other { down, side: Side::Other, end }
    }

    /// A held key is released after its target or holds another; the next key comes in its time after both.
    #[test]
    fn what_can_happen_to_a_gesture_adds_up() {
        with_model(|model| {
            let x = 150_000.0;
            let [exactly, at_least] = model.runs[0];
            for until in [170_000.0, 250_000.0] {
                let inside = |t: f64| f64::from(u8::from(t > x && t < until));
                let of = |target: End, own: End| model.targets(&[contact(x, target)], own);
                for own in [End::At(x + 60_000.0), End::After(until)] {
                    let sum = over_time(|v| inside(v) * of(End::At(v), own)) + of(End::After(until), own);
                    let wanted = match own {
                        End::At(_) => exactly * model.release.density_at(60_000.0),
                        End::After(_) => {
                            let open = model.release.upper_at(until - x);
                            exactly * open + (at_least - exactly) * model.second.upper_at(until - x)
                        }
                    };
                    assert!((sum / wanted - 1.0).abs() < 0.02, "{until}, {own:?}: {sum} of {wanted}");
                }
                let released = over_time(|u| inside(u) * of(End::After(until), End::At(u)));
                let open = exactly * model.release.upper_at(until - x);
                let all = exactly * model.over.upper_at(until - x);
                assert!((released + open * model.over.upper_at(until - x) - all).abs() < 0.02 * all, "{until}");
            }
            for (y, u) in [(120_000.0, 40_000.0), (300_000.0, 90_000.0)] {
                let came = over_time(|t| if t < y { model.next_after(t, u) } else { 0.0 });
                assert!((came - model.comes_after(y, u)).abs() < 0.01, "{y}, {u}: {came}");
            }
        });
    }
}
