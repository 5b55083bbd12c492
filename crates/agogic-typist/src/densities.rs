//! The distributions the performance draws from, for whoever needs the likelihood of what was typed.

use agogic_stats::{normal_density, normal_lower, normal_upper};

use crate::constants::Constant;
use crate::habits::{DwellShape, Habits};
use crate::typist::Typist;

/// The medians behind one press of a performance: what the typist's place in the text made of it before any
/// chance came in.
///
/// # Units
/// Natural logarithms of µs.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cue {
    /// Log median of the interval drawn last. That of a target under a held key is the holder's. For a key
    /// that is pressed twice in a row it is that of the time from the first release to the second press.
    pub log_interval_us: f64,
    /// That interval starts a word, or typing after an interruption.
    pub starts: bool,
    /// Log median of the dwell drawn last. Keys held on purpose draw none.
    pub log_dwell_us: f64,
}

/// A log-normal time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LogNormalLaw {
    /// Mean of the log of the time in µs.
    pub log_us: f64,
    /// SD of that log.
    pub spread: f64,
}

/// The least spread with which a law is evaluated: a law without spread has no density.
const LEAST_SPREAD: f64 = 1e-3;

impl LogNormalLaw {
    fn new(log_us: f64, spread: f64) -> Self {
        Self { log_us, spread: spread.max(LEAST_SPREAD) }
    }

    /// Density per µs at `t` µs; zero for times that are not positive.
    pub fn density(&self, t: f64) -> f64 {
        if t > 0.0 { normal_density((libm::log(t) - self.log_us) / self.spread) / (self.spread * t) } else { 0.0 }
    }

    /// Probability of more than `t` µs.
    pub fn upper(&self, t: f64) -> f64 {
        if t > 0.0 { normal_upper((libm::log(t) - self.log_us) / self.spread) } else { 1.0 }
    }
}

/// Fingers that roll: in a share of rolls the second comes up no sooner than a lag after the first.
///
/// # Definition
/// The lag is uniform up to `lag_us`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InOrderLaw {
    /// Share of rolls in which the second finger waits for the first to come up.
    pub share: f64,
    /// Longest lag, in µs.
    pub lag_us: f64,
}

impl InOrderLaw {
    /// The law by the constants of a typist or a population.
    pub fn of(constant: impl Fn(Constant) -> f64) -> Self {
        Self { share: constant(Constant::InOrder), lag_us: constant(Constant::InOrderLagMs) * 1e3 }
    }

    /// Probability of a lag of no more than `us`, and its density per µs there.
    pub fn lag(&self, us: f64) -> (f64, f64) {
        let inside = us >= 0.0 && us < self.lag_us;
        ((us / self.lag_us).clamp(0.0, 1.0), if inside { 1.0 / self.lag_us } else { 0.0 })
    }
}

/// Fingers that roll: the overlap that dwell and interval would leave, and the one that is made of it.
///
/// # Definition
/// An overlap of o becomes slope · o + gain · o / (o + half): a finger whose key is to come up as the next strikes lets go
/// a little later, and one that would stay long a little sooner. The order of things stays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RollLaw {
    /// What remains of a long overlap.
    pub slope: f64,
    /// What is added to one that is not short, in µs.
    pub gain_us: f64,
    /// The overlap at which half of that is added, in µs.
    pub half_us: f64,
}

impl RollLaw {
    /// The law by the constants of a typist or a population.
    pub fn of(constant: impl Fn(Constant) -> f64) -> Self {
        Self {
            slope: constant(Constant::RollSlope),
            gain_us: constant(Constant::RollGainMs) * 1e3,
            half_us: constant(Constant::RollHalfMs) * 1e3,
        }
    }

    /// The overlap that fingers execute where one of `us` > 0 was planned.
    pub fn executed(&self, us: f64) -> f64 {
        self.slope * us + self.gain_us * us / (us + self.half_us)
    }

    /// The overlap that was planned where one of `executed_us` ≥ 0 is seen, and its derivative by that.
    pub fn planned(&self, executed_us: f64) -> (f64, f64) {
        // The positive root of slope·o² + (slope·half + gain − executed)·o − executed·half = 0.
        let b = self.slope * self.half_us + self.gain_us - executed_us;
        let root = (b * b + 4.0 * self.slope * executed_us * self.half_us).sqrt();
        // Whichever form does not subtract two numbers that are nearly equal.
        let us = if b > 0.0 { 2.0 * executed_us * self.half_us / (b + root) } else { (root - b) / (2.0 * self.slope) };
        let by = us + self.half_us;
        (us, 1.0 / (self.slope + self.gain_us * self.half_us / (by * by)))
    }
}

/// The laws of one typist's timing: each is what `perform` draws from.
///
/// # Definition
/// An interval with log median `m` is exp(m + N(0, `interval_spread`² + `tempo_spread`²)) and, with the
/// probability `hesitate`, a hesitation more. The tempo is common to neighbouring presses; here it counts
/// as further spread. A dwell with log median `m` is exp(m + shape), and by a factor longer when the finger
/// rests. The correlation of a dwell with the interval before it is left to the reader of
/// [`Laws::dwell_interval_r`].
pub struct Laws {
    /// Spread of the log interval, the tempo included.
    pub interval_spread: f64,
    /// Share of intervals with a hesitation: inside a word, and at its start.
    pub hesitate: [f64; 2],
    /// The time a hesitation adds.
    pub hesitation: LogNormalLaw,
    /// Correlation of the log dwell with the fluent log interval before it.
    pub dwell_interval_r: f64,
    /// How fingers that roll come up.
    pub in_order: InOrderLaw,
    /// What becomes of the overlap of a roll.
    pub roll: RollLaw,
    /// Least time from a finger's release to its next press, in µs.
    pub lift_us: f64,
    /// Factor on the interval before a hold.
    pub lull: LogNormalLaw,
    /// Holder to target, without a pause, on a dedicated key and on a dual-role key.
    pub lead: [LogNormalLaw; 2],
    /// Share of gestures with a pause, and the log factor of the pause on the lead.
    pub think: (f64, f64),
    /// Last target's press to holder's release, on a dedicated key and on a dual-role key.
    pub release: [LogNormalLaw; 2],
    /// Holder's release to the next press, at least.
    pub after: LogNormalLaw,
    /// Time between two holders over the lead.
    pub second_lead: f64,
    /// Dwell of a hold without target.
    pub bare: LogNormalLaw,
    /// Dwell of a key held for repeat.
    pub repeat: LogNormalLaw,
    dwell: DwellShape,
    long_dwell: (f64, f64),
}

impl Laws {
    /// The laws of `typist`.
    pub fn of(typist: &Typist) -> Self {
        let h = Habits::of(typist);
        let tempo = typist.constant(Constant::TempoSpread);
        let law = LogNormalLaw::new;
        Self {
            interval_spread: libm::hypot(h.interval_spread, tempo).max(LEAST_SPREAD),
            hesitate: h.hesitate,
            hesitation: law(h.log_hesitation, h.hesitation_spread),
            dwell_interval_r: h.dwell_r,
            in_order: h.in_order,
            roll: h.roll,
            lift_us: h.lift as f64,
            lull: law(h.log_lull, h.lull_spread),
            lead: [0, 1].map(|i| law(h.gesture[i].log_lead, h.lead_spread)),
            think: h.think,
            release: [0, 1].map(|i| law(h.gesture[i].log_release, h.release_spread)),
            after: law(h.log_after, h.after_spread),
            second_lead: h.second_lead,
            bare: law(h.log_bare, h.bare_spread),
            repeat: law(h.log_repeat, h.bare_spread),
            dwell: h.dwell,
            long_dwell: h.long_dwell,
        }
    }

    /// Probability that a dwell with log median `log_us` is more than `t` µs, when nothing shortens it.
    pub fn dwell_upper(&self, log_us: f64, t: f64) -> f64 {
        let (share, factor) = self.long_dwell;
        if t > 0.0 {
            let at = libm::log(t) - log_us;
            let upper = |x: f64| normal_upper(self.dwell.coordinate(x));
            (1.0 - share) * upper(at) + if share > 0.0 { share * upper(at - factor) } else { 0.0 }
        } else {
            1.0
        }
    }

    /// Probability that an interval with log median `log_us` is at most `t` µs and holds no hesitation,
    /// given that it holds none.
    pub fn fluent_lower(&self, log_us: f64, t: f64) -> f64 {
        if t > 0.0 { normal_lower((libm::log(t) - log_us) / self.interval_spread) } else { 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::SessionAddress;
    use crate::{Performer, Population};
    use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
    use agogic_stats::kolmogorov_smirnov;
    use agogic_stats::timing::Family;

    /// Values of the performance at their own laws are uniform. n about 3000, alpha = 1e-6 per assertion;
    /// the spread of a law a quarter too wide is refused. Every seventh press is taken, because the tempo
    /// ties neighbours together.
    #[test]
    fn the_performance_follows_its_laws() {
        let board = Board::row_staggered();
        let assignment =
            Assignment::resting(&board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
        let text = "Anna walks the long pier Before Dawn and Counts the lamps again until the tide comes in";
        let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
        for family in [Family::LogNormal, Family::ExGaussian, Family::LogLogistic] {
            let population = Population::volunteers()
                .with_dwell_family(family)
                .with_constant(Constant::TempoPersistence, 0.0)
                .and_then(|p| p.with_constant(Constant::ThinkShare, 0.0))
                .unwrap();
            let typist = Typist::draw(&population, 5, 2);
            let laws = Laws::of(&typist);
            let (session, cues) = Performer::new(&board, &assignment).perform_with_cues(
                &typist,
                &plan,
                &Workload::none(),
                SessionAddress { seed: 5, replicate: 0 },
                60_000,
            );
            assert_eq!(session.presses.len(), cues.len());
            let (mut dwells, mut wrong, mut leads) = (Vec::new(), Vec::new(), Vec::new());
            for (i, cue) in cues.iter().enumerate().take(session.presses.len() - 1).skip(1) {
                let (press, next) = (session.presses[i], session.presses[i + 1]);
                if session.truths[i].hold {
                    let lead = next.down.since(press.down).0 as f64;
                    leads.push(laws.lead[1].upper(lead));
                }
                // A key that nothing shortens: the next comes so late that the finger was free.
                let dwell = press.dwell().0 as f64;
                let free = next.down.since(press.down).0 as f64 > 600_000.0;
                if free && !session.truths[i].hold && session.truths[i].with.is_empty() {
                    dwells.push(laws.dwell_upper(cue.log_dwell_us, dwell));
                    wrong.push(laws.dwell_upper(cue.log_dwell_us + 0.1, dwell));
                }
            }
            let p = |values: &[f64]| kolmogorov_smirnov(values, |u| u.clamp(0.0, 1.0)).unwrap().p_value;
            assert!(dwells.len() > 1000 && leads.len() > 1000, "{} {}", dwells.len(), leads.len());
            assert!(p(&dwells) > 1e-6, "{family:?} dwell {}", p(&dwells));
            assert!(p(&wrong) < 1e-6, "{family:?} wrong dwell {}", p(&wrong));
            assert!(p(&leads) > 1e-6, "{family:?} lead {}", p(&leads));
        }
    }

    #[test]
    fn an_overlap_can_be_taken_back() {
        let same = RollLaw { slope: 1.0, gain_us: 0.0, half_us: 6e3 };
        assert!((same.executed(17e3) - 17e3).abs() < 1e-9);
        for law in [same, RollLaw { slope: 0.8, gain_us: 12e3, half_us: 6e3 }, RollLaw { slope: 0.3, ..same }] {
            for us in [1.0, 500.0, 6e3, 18e3, 90e3, 2e6] {
                let (meant, slope) = law.planned(law.executed(us));
                assert!((meant / us - 1.0).abs() < 1e-9, "{law:?}: {us} {meant}");
                let step = 1e-4 * us;
                let rise = (law.executed(us + step) - law.executed(us - step)) / (2.0 * step);
                assert!((slope * rise - 1.0).abs() < 1e-6, "{law:?}, {us}: {slope} {rise}");
            }
            assert_eq!(law.planned(0.0).0, 0.0);
        }
    }

    #[test]
    fn a_law_integrates_to_one() {
        let law = LogNormalLaw::new(11.5, 0.4);
        let step = 100.0;
        let total: f64 = (0..20_000).map(|i| law.density(step * (f64::from(i) + 0.5)) * step).sum();
        assert!((total - 1.0).abs() < 1e-6, "{total}");
        assert_eq!((law.density(0.0), law.upper(-1.0)), (0.0, 1.0));
    }
}
