//! The likelihood of intervals: fluent movement, and now and then a hesitation more.

use agogic_keys::Stream;
use agogic_stats::{normal_density, normal_lower, normal_upper};
use agogic_typist::{Constant, Population, TRAITS, Trait};
use rand::RngExt;
use rand_distr::{Distribution, StandardNormal};

use crate::block::{Block, Point};
use crate::quadrature::Nodes;
use crate::seen::{Bound, Interval};

/// The traits behind intervals, in the order of the scores.
pub(crate) const OWN: [Trait; 7] = [
    Trait::Interval,
    Trait::IntervalSpread,
    Trait::Hesitation,
    Trait::SameHand,
    Trait::SameFinger,
    Trait::WordStart,
    Trait::Repeat,
];

/// Constants of a population that intervals hang on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct IntervalConstants {
    floor_ms: f64,
    tempo: f64,
    keep: f64,
    log_factor: f64,
    spread: f64,
    log_odds: f64,
    lift_us: f64,
}

impl IntervalConstants {
    pub fn of(population: &Population) -> Self {
        let c = |id| population.constant(id);
        Self {
            floor_ms: c(Constant::IntervalFloor),
            tempo: c(Constant::TempoSpread),
            keep: c(Constant::TempoPersistence),
            log_factor: libm::log(c(Constant::HesitationFactor)),
            spread: c(Constant::HesitationSpread).max(1e-3),
            log_odds: libm::log(c(Constant::HesitationWordStart)),
            lift_us: c(Constant::LiftMs) * 1e3,
        }
    }

    /// Lag-one correlation of the tempo and its variance.
    pub fn tempo(&self) -> (f64, f64) {
        (self.keep, self.tempo * self.tempo)
    }
}

/// Numbers of a point that all intervals share.
pub(crate) struct Law<'a> {
    constants: &'a IntervalConstants,
    nodes: &'a Nodes,
    log_interval: f64,
    /// Derivative of the log interval by its trait, which lies above a floor.
    above_floor: f64,
    log_gap: f64,
    same: [f64; 2],
    start: f64,
    own_spread: f64,
    spread: f64,
    hesitate: [f64; 2],
    log_hesitation: f64,
    /// exp(spread × node).
    factors: Vec<f64>,
}

/// Log-likelihood of one interval with its derivatives.
#[derive(Clone, Copy, Debug, Default)]
struct Term {
    log: f64,
    by_median: f64,
    by_spread: f64,
    by_logit: f64,
    by_hesitation: f64,
}

impl<'a> Law<'a> {
    pub fn new(constants: &'a IntervalConstants, nodes: &'a Nodes, at: &Point) -> Self {
        let value = |id: Trait| TRAITS[id as usize].scale.to_natural(at[id as usize]);
        let excess = value(Trait::Interval);
        let log_interval = libm::log((excess + constants.floor_ms) * 1e3);
        let own_spread = value(Trait::IntervalSpread);
        let spread = libm::hypot(own_spread, constants.tempo).max(1e-3);
        let logit = at[Trait::Hesitation as usize];
        let share = |x: f64| 1.0 / (1.0 + libm::exp(-x));
        Self {
            log_interval,
            above_floor: excess / (excess + constants.floor_ms),
            log_gap: libm::log(value(Trait::Repeat) * 1e3),
            same: [value(Trait::SameHand), value(Trait::SameFinger)],
            start: value(Trait::WordStart),
            own_spread,
            spread,
            hesitate: [share(logit), share(logit + constants.log_odds)],
            log_hesitation: log_interval + constants.log_factor,
            factors: nodes.at.iter().map(|z| libm::exp(spread * z)).collect(),
            constants,
            nodes,
        }
    }

    fn median(&self, seen: &Interval) -> f64 {
        let start = if seen.starts { self.start } else { 0.0 };
        let own = if seen.repeat {
            self.log_gap
        } else {
            let hand = if seen.same_hand { self.same[0] } else { 0.0 };
            self.log_interval + hand + if seen.same_finger { self.same[1] } else { 0.0 }
        };
        own + start + seen.offset
    }

    fn share(&self, seen: &Interval) -> f64 {
        self.hesitate[usize::from(seen.starts)]
    }

    /// Density of a hesitation per µs and its slopes by the time and by the log median.
    fn hesitation(&self, u: f64) -> [f64; 3] {
        if u <= 0.0 {
            return [0.0; 3];
        }
        let s = self.constants.spread;
        let z = (libm::log(u) - self.log_hesitation) / s;
        let density = normal_density(z) / (s * u);
        [density, -density / u * (1.0 + z / s), density * z / s]
    }

    /// # Definition
    /// A fluent interval F is log-normal; with the share h a log-normal hesitation H is added. The density is
    /// (1 − h) f_F(t) + h E f_H(t − F), the expectation by Gauss–Hermite quadrature over log F.
    fn term(&self, seen: &Interval) -> Term {
        let (median, h, s) = (self.median(seen), self.share(seen), self.spread);
        let t = seen.us.max(1.0);
        match seen.bound {
            Bound::Seen => {
                let z = (libm::log(t) - median) / s;
                let fluent = normal_density(z) / (s * t);
                let scale = libm::exp(median);
                let (mut both, mut by_median, mut by_spread, mut by_hesitation) = (0.0, 0.0, 0.0, 0.0);
                for ((factor, z), weight) in self.factors.iter().zip(&self.nodes.at).zip(&self.nodes.weights) {
                    let own = scale * factor;
                    let [density, slope, by_log] = self.hesitation(t - own);
                    both += weight * density;
                    by_median -= weight * slope * own;
                    by_spread -= weight * slope * own * z;
                    by_hesitation += weight * by_log;
                }
                let density = ((1.0 - h) * fluent + h * both).max(1e-300);
                Term {
                    log: libm::log(density),
                    by_median: ((1.0 - h) * fluent * z / s + h * by_median) / density,
                    by_spread: ((1.0 - h) * fluent * (z * z - 1.0) / s + h * by_spread) / density,
                    by_logit: h * (1.0 - h) * (both - fluent) / density,
                    by_hesitation: h * by_hesitation / density,
                }
            }
            Bound::AtMost => {
                let z = (libm::log(t) - median) / s;
                let below = normal_lower(z).max(1e-300);
                let slope = normal_density(z) / below;
                Term {
                    log: libm::log(below) + libm::log1p(-h),
                    by_median: -slope / s,
                    by_spread: -slope * z / s,
                    by_logit: -h,
                    by_hesitation: 0.0,
                }
            }
            Bound::AtLeast => {
                // Only a hesitation lasts so long, beside which the spread of the movement is nothing.
                let own = libm::exp(median).min(0.9 * t);
                let z = (libm::log(t - own) - self.log_hesitation) / self.constants.spread;
                let above = normal_upper(z).max(1e-300);
                let slope = normal_density(z) / above / self.constants.spread;
                Term {
                    log: libm::log(above) + libm::log(h),
                    by_median: slope * own / (t - own),
                    by_spread: 0.0,
                    by_logit: 1.0 - h,
                    by_hesitation: slope,
                }
            }
        }
    }

    /// Derivatives of the log median by the traits.
    fn design(&self, seen: &Interval) -> [f64; OWN.len()] {
        let on = |yes: bool| f64::from(u8::from(yes));
        let own = on(!seen.repeat);
        [
            own * self.above_floor,
            0.0,
            0.0,
            own * on(seen.same_hand),
            own * on(seen.same_finger),
            on(seen.starts),
            on(seen.repeat),
        ]
    }

    fn score(&self, seen: &Interval) -> (f64, [f64; OWN.len()]) {
        let term = self.term(seen);
        let mut scores = self.design(seen).map(|x| x * term.by_median);
        // The length of a hesitation goes with the typist's interval.
        scores[0] += self.above_floor * term.by_hesitation;
        scores[1] += term.by_spread * self.own_spread * self.own_spread / self.spread;
        scores[2] += term.by_logit;
        (term.log, scores)
    }

    /// Log density of the interval per log µs at `log_us`, whatever the bound of `seen`.
    pub fn log_density_of_log(&self, seen: &Interval, log_us: f64) -> f64 {
        let seen = Interval { us: libm::exp(log_us), bound: Bound::Seen, ..*seen };
        self.term(&seen).log + log_us
    }

    /// Probability of at most `t`.
    fn lower(&self, seen: &Interval, t: f64) -> f64 {
        let (median, h) = (self.median(seen), self.share(seen));
        let fluent = normal_lower((libm::log(t) - median) / self.spread);
        let scale = libm::exp(median);
        let both: f64 = self
            .factors
            .iter()
            .zip(&self.nodes.weights)
            .map(|(factor, weight)| {
                let u = t - scale * factor;
                if u <= 0.0 {
                    return 0.0;
                }
                weight * normal_lower((libm::log(u) - self.log_hesitation) / self.constants.spread)
            })
            .sum();
        (1.0 - h) * fluent + h * both
    }
}

impl Intervals {
    /// Puts the median of plain intervals in the place of the typist's.
    pub fn middle(&self, at: &mut Point) {
        let plain = self.seen.iter().filter(|seen| seen.bound == Bound::Seen && !seen.repeat && !seen.starts);
        let logs: Vec<f64> = plain.map(|seen| libm::log(seen.us) - seen.offset).collect();
        let Ok(median) = agogic_stats::quantile(&logs, 0.5) else { return };
        let excess_ms = libm::exp(median) / 1e3 - self.constants.floor_ms;
        at[Trait::Interval as usize] = libm::log(excess_ms.max(5.0));
    }
}

/// All intervals of a person.
pub(crate) struct Intervals {
    pub seen: Vec<Interval>,
    pub constants: IntervalConstants,
    pub nodes: Nodes,
}

impl Block for Intervals {
    fn traits(&self) -> &[Trait] {
        &OWN
    }

    fn len(&self) -> usize {
        self.seen.len()
    }

    fn scores(&self, at: &Point, visit: &mut dyn FnMut(u32, &[f64])) -> f64 {
        let law = Law::new(&self.constants, &self.nodes, at);
        let mut sum = 0.0;
        for seen in &self.seen {
            let (log, scores) = law.score(seen);
            sum += log;
            visit(seen.at, &scores);
        }
        sum
    }

    /// # Definition
    /// The tempo moves the log median, so a press's scores answer to it by −ι x: x the derivatives of its log
    /// median by the traits, ι the information of a press of its kind about the median.
    fn tempo(&self, at: &Point, visit: &mut dyn FnMut(u32, &[f64])) -> bool {
        let law = Law::new(&self.constants, &self.nodes, at);
        // A press of its own kind: repeats and starts carry less.
        let mut sums = [[0.0_f64; 2]; 4];
        let kind = |seen: &Interval| 2 * usize::from(seen.repeat) + usize::from(seen.starts);
        for seen in &self.seen {
            let slope = law.term(seen).by_median;
            let sum = &mut sums[kind(seen)];
            sum[0] += slope * slope;
            sum[1] += 1.0;
        }
        for seen in &self.seen {
            let [sum, n] = sums[kind(seen)];
            visit(seen.at, &law.design(seen).map(|x| x * sum / n));
        }
        true
    }

    /// # Definition
    /// With z = (tempo + own noise)/s the score of the log of the own spread o is (z² − 1) o²/s², which answers to
    /// the squared tempo by o²/s⁴: ι o²/(2 s²), with ι the information of a press of its kind about s, 2/s² where
    /// nothing else is in it.
    fn tempo_square(&self, at: &Point, visit: &mut dyn FnMut(u32, &[f64])) -> bool {
        let law = Law::new(&self.constants, &self.nodes, at);
        let kind = |seen: &Interval| 2 * usize::from(seen.repeat) + usize::from(seen.starts);
        let mut sums = [[0.0_f64; 2]; 4];
        for seen in &self.seen {
            let slope = law.term(seen).by_spread;
            let sum = &mut sums[kind(seen)];
            sum[0] += slope * slope;
            sum[1] += 1.0;
        }
        let share = law.own_spread * law.own_spread / (2.0 * law.spread * law.spread);
        for seen in &self.seen {
            let [sum, n] = sums[kind(seen)];
            let mut answers = [0.0; OWN.len()];
            answers[1] = share * sum / n;
            visit(seen.at, &answers);
        }
        true
    }

    fn integrals(&self, at: &Point) -> Vec<f64> {
        let law = Law::new(&self.constants, &self.nodes, at);
        // Of the others some are bounds, which leaves a part of the distribution.
        let exact = self.seen.iter().filter(|seen| seen.bound == Bound::Seen && !seen.repeat && !seen.same_finger);
        exact.map(|seen| law.lower(seen, seen.us)).collect()
    }

    fn drawn(&self, at: &Point, rng: &mut Stream) -> Option<Box<dyn Block>> {
        let law = Law::new(&self.constants, &self.nodes, at);
        let normal = |rng: &mut Stream| -> f64 { StandardNormal.sample(rng) };
        let (keep, variance) = self.constants.tempo();
        let fresh = libm::sqrt(variance * (1.0 - keep * keep));
        let mut tempo = libm::sqrt(variance) * normal(rng);
        let mut before = self.seen.first().map_or(0, |seen| seen.at);
        let mut drawn = Vec::with_capacity(self.seen.len());
        for seen in &self.seen {
            for _ in 0..seen.at.saturating_sub(before).min(200) {
                tempo = keep * tempo + fresh * normal(rng);
            }
            before = seen.at;
            let mut us = libm::exp(law.median(seen) + tempo + law.own_spread * normal(rng));
            if rng.random::<f64>() < law.share(seen) {
                us += libm::exp(law.log_hesitation + self.constants.spread * normal(rng));
            }
            // What was a bound because of its length is drawn as a time and bounded by the same rules.
            let least = match (seen.repeat, seen.same_finger) {
                (true, _) => self.constants.lift_us,
                (_, true) => 2.0 * self.constants.lift_us,
                _ => 0.0,
            } + 1001.0;
            let (us, bound) = if us > crate::seen::LONGEST_INTERVAL_US {
                (crate::seen::LONGEST_INTERVAL_US, Bound::AtLeast)
            } else if (seen.repeat || seen.same_finger) && us <= least {
                (least, Bound::AtMost)
            } else {
                (us, Bound::Seen)
            };
            drawn.push(Interval { us, bound, ..*seen });
        }
        Some(Box::new(Self { seen: drawn, constants: self.constants, nodes: self.nodes.clone() }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::prior::Prior;
    use crate::seen::Reader;
    use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
    use agogic_log::{Intent, SessionLog};
    use agogic_typist::{Performer, SessionAddress, TraitSpread, Typist};

    fn law<'a>(constants: &'a IntervalConstants, nodes: &'a Nodes, population: &Population) -> Law<'a> {
        Law::new(constants, nodes, &Prior::of(population).mean)
    }

    fn plain(us: f64) -> Interval {
        Interval {
            us,
            bound: Bound::Seen,
            repeat: false,
            starts: false,
            same_hand: true,
            same_finger: false,
            offset: 0.1,
            at: 0,
        }
    }

    /// The density is the slope of the distribution function, and both agree with a fine sum over the fluent part.
    #[test]
    fn a_density_with_hesitations() {
        let population = Population::volunteers();
        let (constants, nodes) = (IntervalConstants::of(&population), Nodes::new(12));
        let law = law(&constants, &nodes, &population);
        for us in [60e3, 130e3, 200e3, 400e3, 900e3, 3e6] {
            let seen = plain(us);
            let density = libm::exp(law.term(&seen).log);
            let step = us * 1e-4;
            let slope = (law.lower(&seen, us + step) - law.lower(&seen, us - step)) / (2.0 * step);
            let (mut fine, points) = (0.0, 40_000);
            for i in 0..points {
                let z = -6.0 + 12.0 * (f64::from(i) + 0.5) / f64::from(points);
                let own = libm::exp(law.median(&seen) + law.spread * z);
                fine += normal_density(z) * law.hesitation(us - own)[0] * 12.0 / f64::from(points);
            }
            let z = (libm::log(us) - law.median(&seen)) / law.spread;
            let share = law.share(&seen);
            let known = (1.0 - share) * normal_density(z) / (law.spread * us) + share * fine;
            assert!((density / known - 1.0).abs() < 0.01, "{us}: {density} {known}");
            assert!((density / slope - 1.0).abs() < 0.05, "{us}: {density} {slope}");
        }
    }

    #[test]
    fn scores_are_the_slopes_of_the_likelihood() {
        let population = Population::volunteers();
        let nodes = Nodes::new(12);
        let seen = vec![
            plain(95e3),
            plain(640e3),
            Interval { same_finger: true, same_hand: false, bound: Bound::AtMost, ..plain(51e3) },
            Interval { repeat: true, same_hand: false, ..plain(40e3) },
            Interval { starts: true, bound: Bound::AtLeast, ..plain(5e6) },
        ];
        let all = Intervals { seen, constants: IntervalConstants::of(&population), nodes };
        let at = Prior::of(&population).mean;
        let mut sum = [0.0; OWN.len()];
        all.scores(&at, &mut |_, scores| sum.iter_mut().zip(scores).for_each(|(sum, score)| *sum += score));
        for (own, id) in sum.iter().zip(OWN) {
            let side = |by: f64| {
                let mut moved = at;
                moved[id as usize] += by;
                all.value(&moved)
            };
            let slope = (side(1e-5) - side(-1e-5)) / 2e-5;
            assert!((own - slope).abs() < 1e-4 * slope.abs().max(1.0), "{id:?}: {own} {slope}");
        }
    }

    /// The medians that a log gives back are those the performance drew from, but around corrections, where the
    /// log does not tell a word's length.
    #[test]
    fn a_log_tells_the_medians_behind_it() {
        let board = Board::row_staggered();
        let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
        let assignment = Assignment::resting(&board, order);
        let text = "Anna walks the long pier before dawn and counts the lamps again, until Bo calls from the tide hut.";
        let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
        let share = |slips: f64| {
            let population =
                Population::volunteers().with_trait(Trait::Slips, TraitSpread { median: slips, spread: 0.0 }).unwrap();
            let typist = Typist::median(&population);
            let (session, cues) = Performer::new(&board, &assignment).perform_with_cues(
                &typist,
                &plan,
                &Workload::none(),
                SessionAddress { seed: 4, replicate: 0 },
                6000,
            );
            let intent = |(press, truth): (&agogic_keys::Press, &agogic_keys::Truth)| {
                assignment.modifier(press.code).map(|_| if truth.hold { Intent::Hold(None) } else { Intent::Tap })
            };
            let log = SessionLog {
                participant: "p".to_owned(),
                session: "1".to_owned(),
                part: 0,
                presses: session.presses.clone(),
                intents: session.presses.iter().zip(&session.truths).map(intent).collect(),
                breaks: vec![],
            };
            let seen = Reader::new(&[&log], &population, &board, &assignment).read(&[&log]);
            let (constants, nodes) = (IntervalConstants::of(&population), Nodes::new(2));
            let law = law(&constants, &nodes, &population);
            let same = seen.intervals.iter().filter(|seen| {
                let cue = cues[seen.at as usize];
                (law.median(seen) - cue.log_interval_us).abs() < 1e-6 && seen.starts == cue.starts
            });
            assert!(seen.intervals.len() > 5000, "{}", seen.intervals.len());
            same.count() as f64 / seen.intervals.len() as f64
        };
        assert!(share(1e-9) > 0.9995, "{}", share(1e-9));
        assert!(share(0.03) > 0.96, "{}", share(0.03));
    }
}
