//! The laws of one typist in the situations of a rehearsal, as tables.

use std::collections::BTreeMap;

use agogic_stats::{normal_density, normal_quantile};
use agogic_typist::{Laws, LogNormalLaw, RollLaw};

use crate::finger::InOrder;
use crate::rehearsal::{Before, Class, DWELL_STEP, DwellMedians, Medians, Rehearsal, SinceSample, Waited};
use crate::seen::Side;
use crate::table::{POINTS, STEP, Table, log_at};

/// Spread with which samples of a rehearsal are smoothed, in log units.
const SMOOTH: f64 = 0.2;

/// Points of the Gauss–Hermite rule for a standard normal, with weights: 7 points.
///
/// # Source
/// Abramowitz & Stegun (1964), table 25.10, abscissas times √2, weights over √π.
const HERMITE: [(f64, f64); 7] = [
    (-3.750_439_717_725_742, 5.482_688_559_722_18e-4),
    (-2.366_759_410_734_541, 3.075_712_396_758_65e-2),
    (-1.154_405_394_739_968, 2.401_231_786_050_13e-1),
    (0.0, 4.571_428_571_428_57e-1),
    (1.154_405_394_739_968, 2.401_231_786_050_13e-1),
    (2.366_759_410_734_541, 3.075_712_396_758_65e-2),
    (3.750_439_717_725_742, 5.482_688_559_722_18e-4),
];

/// Equally probable factors that stand for a lull where no closed form is at hand.
const LULL_POINTS: usize = 8;

/// A press that comes in its own time: the interval before it, by what came before.
pub(crate) struct Free {
    pub side: [Table; Side::COUNT],
    pub finger: Table,
    pub key: Table,
    /// All of them without the same finger: for the key before the previous one.
    pub any: Table,
}

/// A press that waited for a held key.
pub(crate) struct Held {
    pub weight: f64,
    /// Weight of those of the same key.
    pub again: f64,
    pub lull: Table,
    pub carried_share: f64,
    pub carried: Table,
}

/// What a tap or a hold shows before its own press.
pub(crate) struct Prelude {
    pub free: Free,
    pub held: Held,
    /// After a press in its own time, after one that was waited for, and inside a gesture.
    pub since: [Since; 3],
}

/// How long ago the same key came up, for a press that does not follow it.
pub(crate) struct Since {
    /// Its release to the press before this one.
    pub far: Table,
    /// Share of presses whose key came up after the press before, and share of these that waited for the
    /// finger's lift alone.
    pub recent_share: f64,
    pub lift_share: f64,
}

/// Everything the likelihood of an encounter needs of a typist.
pub(crate) struct Model {
    /// Taps and holds.
    pub preludes: [Prelude; 2],
    pub in_order: InOrder,
    pub roll: RollLaw,
    pub lift: f64,
    pub own: Table,
    /// The key before, and the same when the key before that is not seen: it may have waited for that.
    pub previous: Table,
    pub previous_unseen: Table,
    pub following: Table,
    pub next: [Table; Side::COUNT],
    pub next_hold: [Table; Side::COUNT],
    /// Every next press by another finger.
    pub next_any: Table,
    pub next_finger: Table,
    /// No next press, or one of the same key after its own time: neither meets this one.
    pub next_none: f64,
    pub second: Table,
    pub held: Table,
    pub lead: Table,
    pub lead_of_two: Table,
    /// Last target's press to holder's release.
    pub release: Table,
    /// Factors of equal weight that a lull has on the interval before a hold.
    pub lulls: [f64; LULL_POINTS],
    pub after: Table,
    pub repeat: Table,
    pub bare: Table,
    /// Dwells of targets: under this key, and of this key under another.
    pub over: Table,
    pub under: Table,
    pub under_weight: [f64; Side::COUNT],
    pub further: Table,
    pub again: Table,
    /// Probability of exactly so many targets, less one, and of at least so many.
    pub runs: Vec<[f64; 2]>,
    pub target_side: [f64; Side::COUNT],
    pub bare_weight: f64,
    pub first_of_two: f64,
    pub second_of_two: f64,
    pub second_side: [f64; Side::COUNT],
    pub second_lead: f64,
    /// Share of holds.
    pub holds: f64,
}

/// Interval tables by log median, made when first asked for.
struct Intervals<'a> {
    laws: &'a Laws,
    by_median: BTreeMap<(i64, bool), Vec<f64>>,
}

impl Intervals<'_> {
    /// The mixture over medians, with the whole probability `weight` per count.
    fn mixture(&mut self, medians: &Medians, weight: f64) -> Table {
        let mut density = vec![0.0; POINTS];
        for (key, count) in medians.iter() {
            let laws = self.laws;
            let shape = self.by_median.entry(key).or_insert_with(|| interval(laws, key.0 as f64 * STEP, key.1));
            for (sum, value) in density.iter_mut().zip(shape.iter()) {
                *sum += count * value;
            }
        }
        Table::new(&density, weight * medians.total())
    }
}

/// Density of the log of an interval at the points of a table.
fn interval(laws: &Laws, log_median: f64, starts: bool) -> Vec<f64> {
    let spread = laws.interval_spread;
    let share = laws.hesitate[usize::from(starts)];
    let fluent = HERMITE.map(|(z, weight)| (libm::exp(log_median + spread * z), weight));
    (0..POINTS)
        .map(|i| {
            let t = libm::exp(log_at(i));
            if t < fluent[0].0 * 0.5 {
                return 0.0;
            }
            let plain = normal_density((log_at(i) - log_median) / spread) / spread;
            let mut more = 0.0;
            if share > 0.0 {
                for (part, weight) in fluent {
                    more += weight * t * laws.hesitation.density(t - part);
                }
            }
            (1.0 - share) * plain + share * more
        })
        .collect()
}

fn dwell(laws: &Laws, medians: &DwellMedians) -> Table {
    // One table, moved to each median.
    let mut density = vec![0.0; POINTS];
    let fallback = 11.5;
    let middle = {
        let (sum, count) =
            medians.iter().fold((0.0, 0.0), |(s, n), (step, c)| (s + c * step as f64 * DWELL_STEP, n + c));
        if count > 0.0 { sum / count } else { fallback }
    };
    let table = Table::of_upper(|t| laws.dwell_upper(middle, t));
    let mut total = 0.0;
    for (step, count) in medians.iter() {
        let shift = step as f64 * DWELL_STEP - middle;
        for (i, sum) in density.iter_mut().enumerate() {
            let t = libm::exp(log_at(i) - shift);
            *sum += count * table.density_at(t) * t;
        }
        total += count;
    }
    if total > 0.0 { Table::new(&density, 1.0) } else { table }
}

fn law(law: &LogNormalLaw) -> Table {
    Table::of_upper(|t| law.upper(t))
}

fn lead(law_of_lead: &LogNormalLaw, (share, factor): (f64, f64)) -> Table {
    let paused = LogNormalLaw { log_us: law_of_lead.log_us + factor, ..*law_of_lead };
    Table::of_upper(|t| (1.0 - share) * law_of_lead.upper(t) + share * paused.upper(t))
}

impl Model {
    /// Tables of a typist whose rehearsal went so.
    pub fn new(laws: &Laws, rehearsal: &Rehearsal) -> Self {
        let n = rehearsal.presses.max(1.0);
        let per = 1.0 / n;
        let mut intervals = Intervals { laws, by_median: BTreeMap::new() };
        let [taps, holds] = &rehearsal.classes;
        let preludes =
            [prelude(&mut intervals, taps, per, None), prelude(&mut intervals, holds, per, Some(&laws.lull))];
        let counted = rehearsal.next.iter().chain(&rehearsal.next_hold).map(Medians::total).sum::<f64>()
            + rehearsal.next_finger.total()
            + rehearsal.next_key.total();
        let of_next = 1.0 / counted.max(1.0);
        let next: [Table; Side::COUNT] = std::array::from_fn(|i| intervals.mixture(&rehearsal.next[i], of_next));
        let next_hold: [Table; Side::COUNT] = std::array::from_fn(|i| {
            let plain = intervals.mixture(&rehearsal.next_hold[i], of_next);
            plain.times(laws.lull.log_us, laws.lull.spread)
        });
        let mut next_any = Table::none();
        for table in next.iter().chain(&next_hold) {
            next_any.add(table, 1.0);
        }
        let next_finger = intervals.mixture(&rehearsal.next_finger, of_next);
        let second = intervals.mixture(&rehearsal.second, 1.0 / rehearsal.second.total().max(1.0));
        let further = intervals.mixture(&rehearsal.further, per);
        let again = intervals.mixture(&rehearsal.again, per);
        let plain_lead = lead(&laws.lead[1], laws.think);
        let scaled_lead = plain_lead.times(libm::log(laws.second_lead), 0.0);
        let mut runs: Vec<[f64; 2]> = rehearsal.runs.iter().map(|count| [count * per, 0.0]).collect();
        let mut least = 0.0;
        for run in runs.iter_mut().rev() {
            least += run[0];
            run[1] = least;
        }
        let share = |counts: &[f64; Side::COUNT]| {
            let total: f64 = counts.iter().sum();
            counts.map(|count| (count + 1e-3) / (total + 3e-3))
        };
        let holds = runs.first().map_or(0.0, |run| run[1])
            + (rehearsal.bare + rehearsal.first_of_two + rehearsal.second_of_two) * per;
        let in_order = InOrder(laws.in_order);
        let previous = dwell(laws, &rehearsal.previous);
        let rolled = rehearsal.rolled.len() as f64 / rehearsal.ordinary.max(1.0);
        Self {
            preludes,
            lulls: std::array::from_fn(|i| {
                libm::exp(laws.lull.log_us + laws.lull.spread * normal_quantile((i as f64 + 0.5) / LULL_POINTS as f64))
            }),
            previous_unseen: in_order.unseen(&previous, rolled, &rehearsal.rolled),
            in_order,
            roll: laws.roll,
            lift: laws.lift_us,
            own: dwell(laws, &rehearsal.own),
            previous,
            following: dwell(laws, &rehearsal.following),
            next_none: if counted > 0.0 { rehearsal.next_key.total() * of_next } else { 1.0 },
            next,
            next_hold,
            next_any,
            next_finger,
            second,
            held: Table::of_sample(&rehearsal.held, SMOOTH),
            lead: plain_lead,
            lead_of_two: scaled_lead,
            release: law(&laws.release[1]),
            after: law(&laws.after),
            repeat: law(&laws.repeat),
            bare: law(&laws.bare),
            over: dwell(laws, &rehearsal.target),
            under: dwell(laws, &rehearsal.own_target),
            under_weight: rehearsal.under.map(|count| count * per),
            further,
            again,
            runs,
            target_side: share(&rehearsal.target_side),
            bare_weight: rehearsal.bare * per,
            first_of_two: rehearsal.first_of_two * per,
            second_of_two: rehearsal.second_of_two * per,
            second_side: share(&rehearsal.second_side),
            second_lead: laws.second_lead,
            holds,
        }
    }
}

fn prelude(intervals: &mut Intervals<'_>, class: &Class, per: f64, lull: Option<&LogNormalLaw>) -> Prelude {
    let Before { side, finger, key } = &class.before;
    let mut table = |medians: &Medians| {
        let plain = intervals.mixture(medians, per);
        match lull {
            Some(lull) => plain.times(lull.log_us, lull.spread),
            None => plain,
        }
    };
    let side: [Table; Side::COUNT] = std::array::from_fn(|i| table(&side[i]));
    let finger = table(finger);
    // The time from release to press of the same key; what a lull makes of it depends on the dwell before.
    let key = intervals.mixture(key, per);
    let mut any = Table::none();
    for part in &side {
        any.add(part, 1.0);
    }
    let Waited { count, again, lulls, carried } = &class.waited;
    let held = Held {
        weight: count * per,
        again: again * per,
        lull: Table::of_sample(lulls, SMOOTH),
        carried_share: carried.len() as f64 / count.max(1.0),
        carried: Table::of_sample(carried, SMOOTH),
    };
    let since = std::array::from_fn(|group| {
        let SinceSample { far, counts } = &class.since[group];
        Since {
            far: Table::of_sample(far, SMOOTH),
            recent_share: (counts[1] + 0.05) / (counts[0] + 1.0),
            lift_share: (counts[2] + 0.05) / (counts[1] + 1.0),
        }
    });
    Prelude { free: Free { side, finger, key, any }, held, since }
}
