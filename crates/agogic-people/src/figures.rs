//! Many people in numbers.

use agogic_stats::{
    Clusters, DfAdjustment, Estimate, Level, error_of_parts, korn_graubard, mean, pearson_fisher, pooled_quantile,
    quantile, ratio, standard_deviation,
};

use crate::figure::Figure;
use crate::gesture::Gesture;
use crate::person::{FINGERS, Person};

/// Stem of the figures on false holds.
pub const SPURIOUS: &str = "false-holds";
/// Stem of the figures on missed holds.
pub const MISSED: &str = "missed-holds";

/// Rates below this count as this when they are compared: one per 1000 taps, and one per 100 holds.
pub const RATE_FLOOR: f64 = 1.0;

/// By what factor two rates differ, at least 1.
///
/// # Definition
/// The greater over the smaller, each taken as [`RATE_FLOOR`] where it is less.
pub fn factor(a: f64, b: f64) -> f64 {
    let (a, b) = (a.max(RATE_FLOOR), b.max(RATE_FLOOR));
    (a / b).max(b / a)
}

/// The factors of pairs of rates: their geometric mean and the greatest; 1 where there are none.
pub fn factors(pairs: impl IntoIterator<Item = (f64, f64)>) -> (f64, f64) {
    let factors: Vec<f64> = pairs.into_iter().map(|(a, b)| factor(a, b)).collect();
    let logs: f64 = factors.iter().map(|factor| factor.ln()).sum();
    ((logs / factors.len().max(1) as f64).exp(), factors.into_iter().fold(1.0, f64::max))
}

/// Names of the thirds of people by mean interval, slowest first.
pub const THIRDS: [&str; 3] = ["slow", "middle", "fast"];

/// The name of a figure about a third of the people, or about all of them.
fn among(name: &str, third: Option<&str>) -> String {
    third.map_or_else(|| name.to_owned(), |third| format!("{name}, {third}"))
}

/// The name that a figure has about all people, and the third of them that it is about.
pub fn split_third(name: &str) -> (&str, Option<&'static str>) {
    let of = |third: &'static str| Some((name.strip_suffix(third)?.strip_suffix(", ")?, Some(third)));
    THIRDS.into_iter().find_map(of).unwrap_or((name, None))
}

/// The name of the rate of a kind of error, [`SPURIOUS`] or [`MISSED`], under the setting with a label: of a third of the
/// people, or of all.
pub fn rate_name(stem: &str, label: &str, third: Option<&str>) -> String {
    among(&format!("{stem}: {label}"), third)
}

/// What a cluster is, in intervals.
const UNIT: &str = "person";

/// Fingers in the order in which people keep them.
const FINGER_NAMES: [&str; FINGERS] = [
    "left little",
    "left ring",
    "left middle",
    "left index",
    "right index",
    "right middle",
    "right ring",
    "right little",
];

/// All figures about the people who [count](Person::counts), whatever the order they come in.
///
/// # Definition
/// Rates are pooled over people: errors over opportunities. Quantiles of gestures, dwells and overlaps are pooled
/// over people. `(mean over people)` and `r(…)` take one value a person. Thirds are of the counted people by mean
/// interval. Shares have the interval of Korn & Graubard, means that of the t distribution, correlations Fisher's,
/// all over people; quantiles have an error by linearisation over people and no interval.
///
/// # Undefined
/// A figure with nothing to compute it from is left out.
pub fn figures<'l>(people: &[Person], labels: impl Iterator<Item = &'l str> + Clone) -> Vec<Figure> {
    let mut counted: Vec<&Person> = people.iter().filter(|person| person.counts()).collect();
    counted.sort_by(|a, b| a.interval_ms.unwrap_or(0.0).total_cmp(&b.interval_ms.unwrap_or(0.0)).then(a.id.cmp(&b.id)));
    let mut list = List { figures: Vec::new() };
    // The slowest first.
    counted.reverse();
    let n = counted.len();
    let third = |which: usize| &counted[which * n / 3..(which + 1) * n / 3];
    let groups = [(None, &counted[..])].into_iter().chain((0..3).map(|which| (Some(THIRDS[which]), third(which))));
    for (part, group) in groups {
        let name = |name: &str| among(name, part);
        for (at, label) in labels.clone().enumerate() {
            let spurious = |person: &Person| (person.false_holds[at] as f64, person.taps as f64);
            list.share(rate_name(SPURIOUS, label, part), "per 1000 taps", 1000.0, group, spurious);
            let missed = |person: &Person| (person.missed_holds[at] as f64, person.holds as f64);
            list.share(rate_name(MISSED, label, part), "per 100 holds", 100.0, group, missed);
        }
        list.share(name("rolled pairs"), "share", 1.0, group, |p| (p.rolls as f64, p.pairs as f64));
        list.share(name("rolls nested"), "share", 1.0, group, |p| (p.nested as f64, p.rolls as f64));
        list.people(name("enclosed (mean over people)"), "share", group, enclosed);
        list.people(name("interval (mean over people)"), "ms", group, |p| p.interval_ms);
        list.people(name("lead (mean over people of medians)"), "ms", group, |p| median(p, |g| g.lead_ms));
        let release = |p: &Person| median(p, |g| g.release_ms);
        list.people(name("release (mean over people of medians)"), "ms", group, release);
        let pairs = |class: usize| {
            move |p: &Person| {
                let [others, of_class] = [p.letter_pairs[0], p.letter_pairs[class]];
                (others.1 >= 5.0 && of_class.1 >= 5.0).then(|| of_class.0 / of_class.1 - others.0 / others.1)
            }
        };
        list.people(name("letters of one hand less letters of two"), "ms", group, pairs(1));
        list.people(name("doubled letters less letters of two hands"), "ms", group, pairs(2));
        list.people(name("corrections per character left"), "share", group, corrected);
    }
    list.gestures(&counted);
    list.presses(&counted);
    list.relations(&counted);
    list.figures
}

fn enclosed(person: &Person) -> Option<f64> {
    mean(&person.gestures.iter().map(|g| f64::from(u8::from(g.tail_ms >= 0.0))).collect::<Vec<f64>>())
}

fn median(person: &Person, of: impl Fn(&Gesture) -> f64) -> Option<f64> {
    quantile(&person.gestures.iter().map(of).collect::<Vec<f64>>(), 0.5).ok()
}

/// Backspaces over the keys that write less those that were taken back.
fn corrected(person: &Person) -> Option<f64> {
    (person.writing > person.erasing).then(|| person.erasing as f64 / (person.writing - person.erasing) as f64)
}

/// Mean of the logs, of values above zero.
fn mean_log(values: impl Iterator<Item = f64>) -> Option<f64> {
    mean(&values.filter(|value| *value > 0.0).map(f64::ln).collect::<Vec<f64>>())
}

/// Half the distance of the quantiles .16 and .84 of the logs, of values above zero: the SD of a normal sample, and
/// hardly moved by presses that went wrong. `None` with fewer than six.
fn middle_spread(values: impl Iterator<Item = f64>) -> Option<f64> {
    let logs: Vec<f64> = values.filter(|value| *value > 0.0).map(f64::ln).collect();
    let at = |p: f64| quantile(&logs, p).ok().filter(|_| logs.len() >= 6);
    Some(0.5 * (at(0.84)? - at(0.16)?)).filter(|spread| *spread > 0.0)
}

/// The quantiles that are listed of a time.
const QUANTILES: [f64; 5] = [0.05, 0.25, 0.50, 0.75, 0.95];

struct List {
    figures: Vec<Figure>,
}

impl List {
    fn push(&mut self, name: String, unit: &str, scale: f64, estimate: &Estimate) {
        let Some(value) = estimate.value else { return };
        let scaled = |limit: Option<f64>| limit.map(|limit| limit * scale);
        self.figures.push(Figure {
            name,
            unit: unit.to_owned(),
            value: value * scale,
            se: scaled(estimate.mcse),
            lo: scaled(estimate.lo),
            hi: scaled(estimate.hi),
            method: estimate.method.clone(),
            people: estimate.n,
        });
    }

    fn share(&mut self, name: String, unit: &str, scale: f64, group: &[&Person], of: impl Fn(&Person) -> (f64, f64)) {
        let Ok(clusters) = Clusters::proportion(UNIT, group.iter().map(|person| of(person))) else { return };
        self.push(name, unit, scale, &korn_graubard(&clusters, DfAdjustment::Adjusted, Level::P95));
    }

    /// A mean over people.
    fn people(&mut self, name: String, unit: &str, group: &[&Person], of: impl Fn(&Person) -> Option<f64>) {
        let values = group.iter().filter_map(|person| of(person));
        let Ok(clusters) = Clusters::ratio(UNIT, values.map(|value| (value, 1.0))) else { return };
        self.push(name, unit, 1.0, &ratio(&clusters, Level::P95));
    }

    /// An SD between people.
    fn spread(&mut self, name: &str, unit: &str, values: &[f64]) {
        let Some(sd) = standard_deviation(values) else { return };
        let n = values.len() as u64;
        let estimate = Estimate::new(sd, "SD, error as of a normal sample", Level::P95, UNIT, n);
        self.push(name.to_owned(), unit, 1.0, &estimate.with_mcse(sd / (2.0 * (n as f64 - 1.0)).sqrt()));
    }

    fn relation(&mut self, name: &str, pairs: impl Iterator<Item = (f64, f64)>) {
        let (first, second): (Vec<f64>, Vec<f64>) = pairs.unzip();
        if let Ok(estimate) = pearson_fisher(&first, &second, Level::P95, UNIT) {
            self.push(name.to_owned(), "correlation", 1.0, &estimate);
        }
    }

    /// Quantiles of single values pooled over the people who have any, with their errors over people.
    fn pooled(&mut self, name: &str, unit: &str, people: &[&Person], at: &[f64], of: impl Fn(&Person) -> Vec<f64>) {
        let each: Vec<Vec<f64>> = people.iter().map(|person| of(person)).filter(|times| !times.is_empty()).collect();
        let mut all = each.concat();
        all.sort_unstable_by(f64::total_cmp);
        for &p in at {
            let Some(found) = pooled_quantile(&each, &all, p) else { return };
            let Some(error) = error_of_parts(&found.parts) else { return };
            let n = each.len() as u64;
            let estimate = Estimate::new(found.value, "quantile, linearised over people", Level::P95, UNIT, n);
            self.push(format!("{name} p{}", (p * 100.0).round()), unit, 1.0, &estimate.with_mcse(error));
        }
    }

    fn gestures(&mut self, people: &[&Person]) {
        type Time = (&'static str, fn(&Gesture) -> Option<f64>);
        let times: [Time; 5] = [
            ("lead", |g| Some(g.lead_ms)),
            ("release", |g| Some(g.release_ms)),
            ("hold dwell", |g| Some(g.dwell_ms)),
            ("tail", |g| Some(g.tail_ms)),
            ("lull inside a run", |g| g.lull_ms),
        ];
        for (name, of) in times {
            self.pooled(name, "ms", people, &QUANTILES, |person| person.gestures.iter().filter_map(of).collect());
        }
        self.share("lull inside a run below 120 ms".to_owned(), "share", 1.0, people, |person| {
            let lulls: Vec<f64> = person.gestures.iter().filter_map(|g| g.lull_ms).collect();
            (lulls.iter().filter(|lull| **lull < 120.0).count() as f64, lulls.len() as f64)
        });
        for (name, of) in
            [("near hand holds", (|g| g.near) as fn(&Gesture) -> Option<bool>), ("left hand holds", |g| g.left)]
        {
            if people.iter().any(|person| person.gestures.iter().any(|g| of(g).is_some())) {
                self.share(name.to_owned(), "share", 1.0, people, |person| {
                    let known: Vec<bool> = person.gestures.iter().filter_map(of).collect();
                    (known.iter().filter(|near| **near).count() as f64, known.len() as f64)
                });
                let of_person = |person: &&Person| {
                    let known: Vec<f64> =
                        person.gestures.iter().filter_map(of).map(|x| f64::from(u8::from(x))).collect();
                    mean(&known)
                };
                let values: Vec<f64> = people.iter().filter_map(of_person).collect();
                self.spread(&format!("{name}, SD between people"), "share", &values);
            }
        }
        let values: Vec<f64> = people.iter().filter_map(|person| enclosed(person)).collect();
        self.spread("enclosed, SD between people", "share", &values);
    }

    fn presses(&mut self, people: &[&Person]) {
        self.pooled("overlap", "ms", people, &QUANTILES, |person| person.overlaps.clone());
        self.pooled("dwell", "ms", people, &QUANTILES, |person| person.dwells.clone());
        let relative = |person: &Person| {
            let median = quantile(&person.intervals, 0.5).unwrap_or(f64::NAN);
            person.intervals.iter().map(|interval| interval / median).collect()
        };
        self.pooled(
            "interval over its person's median",
            "ratio",
            people,
            &[0.05, 0.25, 0.75, 0.9, 0.95, 0.99],
            relative,
        );
        let values: Vec<f64> = people.iter().filter_map(|person| corrected(person)).collect();
        self.spread("corrections per character left, SD between people", "share", &values);
        for limit in [150.0, 200.0, 250.0, 400.0] {
            self.share(format!("dwells of at least {limit} ms"), "per 1000", 1000.0, people, |person| {
                (person.dwells.iter().filter(|dwell| **dwell >= limit).count() as f64, person.dwells.len() as f64)
            });
        }
        let within = |person: &Person| middle_spread(person.dwells.iter().copied());
        self.people("dwell, middle spread of logs within people".to_owned(), "log units", people, within);
        self.people("r(dwell, interval before) within people".to_owned(), "correlation", people, |person| {
            let (dwells, intervals): (Vec<f64>, Vec<f64>) = person.dwell_after.iter().copied().unzip();
            pearson_fisher(&dwells, &intervals, Level::P95, UNIT).ok()?.value
        });
        let spreads: Vec<f64> = people.iter().filter_map(|person| within(person)).map(f64::ln).collect();
        self.spread("dwell, SD between people of the log of that", "log units", &spreads);
        for (at, finger) in FINGER_NAMES.iter().enumerate() {
            let effect = |person: &Person| {
                let (sum, count) = person.by_finger[at];
                let (all, n) = person.by_finger.iter().fold((0.0, 0.0), |(s, n), (sum, count)| (s + sum, n + count));
                (count >= 5.0).then(|| sum / count - all / n)
            };
            self.people(format!("dwell of the {finger} finger over all fingers"), "log units", people, effect);
        }
    }

    fn relations(&mut self, people: &[&Person]) {
        let log_interval = |person: &Person| Some(person.interval_ms?.ln());
        let lead = |person: &Person| mean_log(person.gestures.iter().map(|g| g.lead_ms));
        let release = |person: &Person| mean_log(person.gestures.iter().map(|g| g.release_ms));
        let rolled = |person: &Person| (person.pairs > 0).then(|| person.rolls as f64 / person.pairs as f64);
        type Of<'f> = &'f dyn Fn(&Person) -> Option<f64>;
        let both = |a: Of<'_>, b: Of<'_>| -> Vec<(f64, f64)> {
            people.iter().filter_map(|person| Some((a(person)?, b(person)?))).collect()
        };
        self.relation("r(log lead, log interval)", both(&lead, &log_interval).into_iter());
        self.relation("r(log release, log interval)", both(&release, &log_interval).into_iter());
        self.relation("r(log lead, log release)", both(&lead, &release).into_iter());
        self.relation("r(enclosed, rolled)", both(&enclosed, &rolled).into_iter());
        let dwell = |person: &Person| mean_log(person.dwells.iter().copied());
        self.relation("r(log dwell, log interval)", both(&dwell, &log_interval).into_iter());
        self.relation("r(log dwell, rolled)", both(&dwell, &rolled).into_iter());
        self.relation("r(enclosed, log interval)", both(&enclosed, &log_interval).into_iter());
        for (name, of) in [("lead", &lead as Of<'_>), ("release", &release)] {
            let values: Vec<f64> = people.iter().filter_map(|person| of(person)).collect();
            self.spread(&format!("{name}, SD between people of mean logs"), "log units", &values);
        }
        let within = |of: fn(&Gesture) -> f64| move |person: &Person| middle_spread(person.gestures.iter().map(of));
        let name = |what: &str| format!("{what}, middle spread of logs within people");
        self.people(name("lead"), "log units", people, within(|g| g.lead_ms));
        self.people(name("release"), "log units", people, within(|g| g.release_ms));
        let intervals: Vec<f64> = people.iter().filter_map(|person| person.interval_ms).collect();
        self.spread("interval, SD between people", "ms", &intervals);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_tell_the_third() {
        let name = rate_name(MISSED, "enclosed, floor 100", Some("fast"));
        assert_eq!(split_third(&name), ("missed-holds: enclosed, floor 100", Some("fast")));
        assert_eq!(split_third("missed-holds: enclosed, floor 100"), ("missed-holds: enclosed, floor 100", None));
        let (mean, most) = factors([(2.0, 4.0), (8.0, 1.0)]);
        assert!((mean - 4.0).abs() < 1e-12 && most == 8.0);
        assert_eq!(factors([]), (1.0, 1.0));
    }

    #[test]
    fn factors_by_hand() {
        assert_eq!((factor(2.0, 4.0), factor(4.0, 2.0)), (2.0, 2.0));
        // Below one per 1000 nothing can be told apart.
        assert_eq!((factor(0.0, 0.5), factor(0.1, 3.0)), (1.0, 3.0));
    }

    fn person(id: &str, interval: f64, errors: u64) -> Person {
        Person {
            id: id.into(),
            interval_ms: Some(interval),
            taps: 100,
            holds: 10,
            false_holds: vec![errors],
            missed_holds: vec![1],
            ..Person::default()
        }
    }

    #[test]
    fn rates_are_pooled_and_thirds_are_of_speed() {
        let few = Person { taps: 10, ..person("e", 50.0, 10) };
        let mut people = vec![person("a", 300.0, 1), person("b", 100.0, 6), person("c", 200.0, 2), few];
        let found = figures(&people, ["x"].into_iter());
        let value = |name: &str| found.iter().find(|figure| figure.name == name).map(|figure| figure.value);
        assert_eq!(value("false-holds: x"), Some(30.0));
        assert_eq!(value("false-holds: x, slow"), Some(10.0));
        assert_eq!(value("false-holds: x, fast"), Some(60.0));
        assert_eq!(value("missed-holds: x, middle"), Some(10.0));
        assert_eq!(value("interval (mean over people)"), Some(200.0));
        // Nobody made a gesture, so nothing is said of any.
        assert_eq!(value("lead p50"), None);
        people.reverse();
        assert_eq!(figures(&people, ["x"].into_iter()), found);
    }
}
