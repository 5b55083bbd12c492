//! A finger on its key, and what it does when the next key is struck.

use crate::model::Model;
use crate::seen::End;
use crate::table::{Spot, Table};

/// Nodes and weights of the Gauss–Legendre rule on 0..1 with two and with three points.
pub(crate) const TWO: [(f64, f64); 2] = [(0.211_324_865_405_187, 0.5), (0.788_675_134_594_813, 0.5)];
pub(crate) const THREE: [(f64, f64); 3] = [
    (0.112_701_665_379_258, 0.277_777_777_777_778),
    (0.5, 0.444_444_444_444_444),
    (0.887_298_334_620_742, 0.277_777_777_777_778),
];

/// ∫ f over from..to.
pub(crate) fn integral(nodes: &[(f64, f64)], from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let width = to - from;
    if width <= 0.0 {
        return 0.0;
    }
    nodes.iter().map(|(x, w)| w * f(from + width * x)).sum::<f64>() * width
}

/// The dwell of a key with the typist's ways of letting go when the next one strikes.
pub(crate) struct Finger<'m> {
    pub dwell: &'m Table,
    pub next: &'m Table,
    pub model: &'m Model,
}

impl Finger<'_> {
    /// Dwell of a key that is let go at `end` although the next came at `x` before: what it would have been.
    fn wanted(&self, x: f64, end: f64) -> f64 {
        x + (end - x) / self.model.kept
    }

    /// The key is seen to `end`, and the next comes at `x` before that.
    pub fn rolled(&self, x: f64, end: End) -> f64 {
        let (kept, rolls) = (self.model.kept, 1.0 - self.model.lift_first);
        match end {
            End::At(u) => rolls * self.dwell.density_at(self.wanted(x, u)) / kept,
            End::After(u) => rolls * self.dwell.upper_at(self.wanted(x, u)),
        }
    }

    /// The key is up at `e` by a lift before the next, which comes after `least`.
    fn lifted(&self, e: f64, least: f64) -> f64 {
        let (share, lift) = (self.model.lift_first, self.model.lift);
        let both = |y: f64| {
            let spot = Spot::of(y);
            self.next.density(spot) * self.dwell.upper(spot)
        };
        share / lift * integral(&TWO, e.max(least), e + lift, both)
    }

    /// The key and the next are both to come after `e`.
    fn neither(&self, e: f64) -> f64 {
        let (share, lift) = (self.model.lift_first, self.model.lift);
        let at = Spot::of(e);
        let near = Spot::of(e + lift / 3.0);
        let early = share * 0.5 * lift * self.next.density(near) * self.dwell.upper(near);
        (self.dwell.upper(at) * self.next.upper(at) - early).max(0.0)
    }

    /// The key is seen to `end`; no next one comes before `least`.
    pub fn alone(&self, end: End, least: f64) -> f64 {
        let cut = |from: f64, to: f64| {
            integral(&THREE, from, to, |y| {
                self.next.density_at(y)
                    * self.rolled(y, if let End::At(_) = end { End::At(to) } else { End::After(to) })
            })
        };
        match end {
            End::At(e) => {
                let spot = Spot::of(e);
                let after = if least > e { Spot::of(least) } else { spot };
                self.dwell.density(spot) * self.next.upper(after) + self.lifted(e, least) + cut(least, e)
            }
            End::After(e) => self.neither(e) + cut(least, e),
        }
    }

    /// The key is seen to `end`, and the next comes at `x`, whether before or after that.
    pub fn followed(&self, x: f64, end: End) -> f64 {
        let (share, lift) = (self.model.lift_first, self.model.lift);
        let next = self.next.density_at(x);
        match end {
            End::At(e) if e <= x => {
                let lifts = if x - e <= lift { share / lift * self.dwell.upper_at(x) } else { 0.0 };
                next * (self.dwell.density_at(e) + lifts)
            }
            end => next * self.rolled(x, end),
        }
    }
}
