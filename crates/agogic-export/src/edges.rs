//! Vectors for what goes wrong first: ties, edges, mishaps.

use agogic_policy::{BINS, upper_edge};

use crate::body::Body;
use crate::machine::Machine;
use crate::random::{Manners, Stories};
use crate::story::Line;
use crate::vectors::Case;

/// Random encounters in a file of vectors.
pub const RANDOM_CASES: usize = 10_000;

/// The vectors of a machine: named cases of edges and mishaps, then so many random encounters.
pub fn cases(machine: &Machine, seed: u64, random: usize) -> Vec<Case> {
    let mut cases = Edges::of(machine).all();
    let mut stories = Stories::new(machine, seed, 1);
    for at in 0..random {
        // Half of them are one encounter with what surrounds it, the others several that meet.
        let (presses, of) = [(2, 4), (3, 6), (3, 16), (4, 6), (6, 10), (10, 16)][at % 6];
        let start = if at % 7 == 0 { (1 << 32) - 200_000 / machine.clock.tick() } else { 1_000 };
        let manners = if at % 10 == 9 { Manners::Wild } else { Manners::Orderly };
        cases.push(Case::new(machine, format!("random-{at}"), stories.draw(presses, of, start, manners)));
    }
    cases
}

/// The named cases of a machine as they are put together.
pub(crate) struct Edges<'a> {
    pub machine: &'a Machine,
    tick: u64,
    /// A dual-role key, another of the other hand, one of its own hand, one of the other hand and one of neither.
    pub own: u8,
    pub far_dual: u8,
    pub near: u8,
    pub far: u8,
    space: u8,
    cases: Vec<Case>,
}

/// The longest time between two lines, in ticks.
const PART: u64 = 1 << 30;

/// When the story of a case begins, in ticks.
const START: u64 = 1_000_000;

impl<'a> Edges<'a> {
    fn of(machine: &'a Machine) -> Self {
        let duals: Vec<_> = machine.keys.iter().filter(|key| key.dual > 0).collect();
        let own = duals[duals.len() / 2];
        let far_dual = duals.iter().find(|key| key.hand.opposite_to(own.hand)).unwrap_or(&duals[0]);
        let single = |opposite: bool| {
            let key = machine.keys.iter().find(|key| {
                key.dual == 0 && if opposite { key.hand.opposite_to(own.hand) } else { key.hand == own.hand }
            });
            key.map_or(1, |key| key.number as u8)
        };
        let space = agogic_keys::Code::SPACE.index() as u8;
        let (near, far) = (single(false), single(true));
        let (own, far_dual) = (own.number as u8, far_dual.number as u8);
        Self { machine, tick: machine.clock.tick(), own, far_dual, near, far, space, cases: Vec::new() }
    }

    /// Adds a case: events as key, direction and ticks after the start; a long wait ends it.
    pub fn add(&mut self, name: impl Into<String>, events: &[(u8, bool, i64)]) {
        self.add_at(name, START, events);
    }

    pub fn add_at(&mut self, name: impl Into<String>, start: u64, events: &[(u8, bool, i64)]) {
        let at = |ticks: i64| start.saturating_add_signed(ticks);
        let mut lines: Vec<Line> = events
            .iter()
            .map(|&(key, down, ticks)| {
                let when = at(ticks);
                if down { Line::Down { key, when } } else { Line::Up { key, when } }
            })
            .collect();
        let last = lines.iter().map(|line| line.when()).max().unwrap_or(start);
        lines.push(Line::Wait { when: last + 12_000_000 / self.tick });
        // A time that lies half a turn ahead cannot be told from one that lies behind: a long rest is told of in parts.
        let mut told: Vec<Line> = Vec::with_capacity(lines.len());
        for line in lines {
            while let Some(before) =
                told.last().map(|before| before.when()).filter(|before| line.when() > before + PART)
            {
                told.push(Line::Wait { when: before + PART });
            }
            told.push(line);
        }
        self.cases.push(Case::new(self.machine, name, told));
    }

    pub fn ms(&self, ms: i64) -> i64 {
        ms * 1000 / self.tick as i64
    }

    fn all(mut self) -> Vec<Case> {
        self.ties();
        for (name, length) in self.lengths() {
            for (word, delta) in [("before", -1), ("at", 0), ("after", 1)] {
                self.around(&format!("{word}-{name}"), length + delta);
            }
        }
        self.mishaps();
        self.many();
        self.clocks();
        self.cases
    }

    /// Lengths at which something happens, in ticks, with their names.
    fn lengths(&self) -> Vec<(String, i64)> {
        let machine = self.machine;
        let ticks = |us: u64| (us / self.tick) as i64;
        let mut lengths: Vec<(String, i64)> = machine
            .guards()
            .iter()
            .filter_map(|(name, us)| us.map(|us| (name.trim_end_matches("_ms").replace('_', "-"), ticks(us))))
            .collect();
        match &machine.body {
            Body::DwellCutoff { cutoff } => lengths.push(("cutoff".to_owned(), ticks(*cutoff))),
            Body::OverlapSpan { span } => lengths.push(("span".to_owned(), ticks(*span))),
            Body::OverlapShare { millionths } => {
                // A contact pressed 100 ms before the own release can wait so long for its own.
                let more = 100_000 * 1_000_000 / millionths;
                lengths.push(("share".to_owned(), ticks(more)));
            }
            _ => {}
        }
        if machine.body.is_learned() {
            for bin in [0, 1, 5, 13, 20, BINS - 2] {
                let edge = upper_edge(bin).expect("it has one") as u64;
                lengths.push((format!("bin-{bin}"), ticks(edge)));
            }
        }
        lengths.retain(|(_, length)| *length > 0);
        lengths
    }

    /// One length, everywhere that a length can be.
    fn around(&mut self, name: &str, length: i64) {
        let (own, far, near, far_dual) = (self.own, self.far, self.near, self.far_dual);
        let (a, long) = (self.ms(20), self.ms(700));
        let start = length + self.ms(1000);
        self.add(format!("dwell-{name}"), &[(own, true, 0), (own, false, length)]);
        self.add(
            format!("lead-{name}"),
            &[(own, true, 0), (far, true, length), (far, false, length + a), (own, false, length + long)],
        );
        for (word, other) in [("far", far), ("near", near), ("dual", far_dual)] {
            self.add(
                format!("inside-{word}-{name}"),
                &[(own, true, 0), (other, true, a), (other, false, a + length), (own, false, a + length + long)],
            );
            self.add(
                format!("rolled-{word}-{name}"),
                &[(own, true, 0), (other, true, a), (own, false, a + length), (other, false, a + length + long)],
            );
        }
        self.add(
            format!("rolled-later-{name}"),
            &[(own, true, 0), (far, true, self.ms(30)), (own, false, self.ms(130)), (far, false, self.ms(30) + length)],
        );
        self.add(
            format!("lull-{name}"),
            &[
                (near, true, 0),
                (near, false, 1),
                (own, true, length),
                (far, true, length + a),
                (far, false, length + 2 * a),
                (own, false, length + long),
            ],
        );
        self.add(
            format!("carried-{name}"),
            &[(far, true, 0), (own, true, length), (far, false, length + a), (own, false, length + long)],
        );
        self.add(
            format!("again-{name}"),
            &[
                (own, true, 0),
                (own, false, self.ms(60)),
                (own, true, self.ms(60) + length),
                (far, true, self.ms(90) + length),
                (far, false, self.ms(150) + length),
                (own, false, start + long),
            ],
        );
    }

    fn ties(&mut self) {
        let (own, far, near, far_dual, space) = (self.own, self.far, self.near, self.far_dual, self.space);
        let [a, b, c] = [60, 160, 400].map(|ms| self.ms(ms));
        for (word, other) in [("far", far), ("near", near), ("space", space), ("dual", far_dual)] {
            let both = [(own, true, 0), (other, true, a), (other, false, b), (own, false, b)];
            self.add(format!("both-up-at-once-{word}"), &both);
            let [first, second, up, down] = both;
            self.add(format!("both-up-at-once-own-fed-first-{word}"), &[first, second, down, up]);
            self.add(
                format!("pressed-at-own-release-{word}"),
                &[(own, true, 0), (own, false, b), (other, true, b), (other, false, c)],
            );
            self.add(
                format!("pressed-at-own-release-fed-before-{word}"),
                &[(own, true, 0), (other, true, b), (own, false, b), (other, false, c)],
            );
            self.add(
                format!("pressed-with-own-fed-after-{word}"),
                &[(own, true, 0), (other, true, 0), (other, false, a), (own, false, b)],
            );
            self.add(
                format!("pressed-with-own-fed-before-{word}"),
                &[(other, true, 0), (own, true, 0), (other, false, a), (own, false, b)],
            );
            self.add(
                format!("up-at-own-press-{word}"),
                &[(other, true, -a), (other, false, 0), (own, true, 0), (own, false, b)],
            );
            self.add(
                format!("up-at-own-press-fed-after-{word}"),
                &[(other, true, -a), (own, true, 0), (other, false, 0), (own, false, b)],
            );
            self.add(
                format!("brief-contact-{word}"),
                &[(own, true, 0), (other, true, a), (other, false, a), (own, false, b)],
            );
            self.add(
                format!("brief-contact-at-own-release-{word}"),
                &[(own, true, 0), (other, true, b), (other, false, b), (own, false, b)],
            );
        }
        self.add("brief-own-press", &[(own, true, 0), (own, false, 0)]);
        self.add(
            "two-contacts-at-once",
            &[(own, true, 0), (near, true, a), (far, true, a), (near, false, b), (own, false, c), (far, false, c + a)],
        );
        self.add(
            "two-contacts-at-once-in-other-order",
            &[(own, true, 0), (far, true, a), (near, true, a), (near, false, b), (own, false, c), (far, false, c + a)],
        );
        self.add(
            "two-duals-at-once",
            &[
                (own, true, 0),
                (far_dual, true, 0),
                (own, false, b),
                (far_dual, false, b),
                (near, true, c),
                (near, false, c + a),
            ],
        );
        self.add(
            "each-inside-the-other",
            &[
                (own, true, 0),
                (far_dual, true, a),
                (near, true, b),
                (near, false, b + a),
                (far_dual, false, c),
                (own, false, c + a),
            ],
        );
    }
}
