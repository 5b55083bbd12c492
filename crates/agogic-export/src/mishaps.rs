//! Vectors for what should not happen and does: chatter, too many keys, clocks that wrap.

use crate::edges::Edges;

impl Edges<'_> {
    pub(crate) fn mishaps(&mut self) {
        let (own, far, near) = (self.own, self.far, self.near);
        let [a, b, c] = [60, 160, 400].map(|ms| self.ms(ms));
        let missing = u8::try_from(self.machine.keys.len()).unwrap_or(u8::MAX);
        self.add("up-without-down", &[(own, false, 0), (far, false, a), (own, true, b), (own, false, c)]);
        self.add("up-twice", &[(own, true, 0), (own, false, a), (own, false, b), (far, true, c), (far, false, c + a)]);
        self.add(
            "down-twice",
            &[(own, true, 0), (own, true, a), (far, true, b), (far, true, b + 1), (far, false, c), (own, false, c + a)],
        );
        self.add(
            "bounce",
            &[(own, true, 0), (own, false, 1), (own, true, 2), (own, false, 3), (own, true, 4), (own, false, b)],
        );
        self.add(
            "bounce-of-a-contact",
            &[
                (own, true, 0),
                (far, true, a),
                (far, false, a + 1),
                (far, true, a + 2),
                (far, false, b),
                (own, false, c),
            ],
        );
        self.add(
            "no-such-key",
            &[
                (own, true, 0),
                (missing, true, a),
                (255, true, a),
                (missing, false, b),
                (255, false, b),
                (own, false, c),
            ],
        );
        self.add(
            "time-goes-back",
            &[
                (own, true, 0),
                (far, true, a),
                (far, false, a - self.ms(30)),
                (near, true, b),
                (own, false, a),
                (near, false, c),
            ],
        );
        self.add(
            "time-goes-back-before-the-press",
            &[(own, true, 0), (own, false, -1_000), (far, true, 1), (far, false, 2)],
        );
        self.add(
            "time-stands-still",
            &[(own, true, 0), (far, true, 0), (far, false, 0), (own, false, 0), (own, true, 0), (own, false, 0)],
        );
        self.add("never-released", &[(own, true, 0), (far, true, a), (near, true, b)]);
    }

    /// More keys than slots.
    pub(crate) fn many(&mut self) {
        let (own, far) = (self.own, self.far);
        let slots = self.machine.slots as i64;
        let keys: Vec<u8> = (0..self.machine.keys.len() as u8).filter(|key| *key != own && *key != far).collect();
        let step = self.ms(5).max(1);
        let mut all = vec![(own, true, 0)];
        all.extend(keys.iter().enumerate().map(|(at, key)| (*key, true, (at as i64 + 1) * step)));
        let end = (keys.len() as i64 + 2) * step;
        all.extend(keys.iter().enumerate().map(|(at, key)| (*key, false, end + at as i64 * step)));
        all.push((own, false, 2 * end));
        all.extend([(own, true, 2 * end + self.ms(900)), (far, true, 2 * end + self.ms(960))]);
        all.extend([(far, false, 2 * end + self.ms(1000)), (own, false, 2 * end + self.ms(1100))]);
        self.add("every-key-down", &all);
        let duals: Vec<u8> = self.machine.keys.iter().filter(|key| key.dual > 0).map(|key| key.number as u8).collect();
        let mut full: Vec<(u8, bool, i64)> = keys
            .iter()
            .filter(|key| !duals.contains(key))
            .take(slots as usize)
            .enumerate()
            .map(|(at, key)| (*key, true, at as i64 * step))
            .collect();
        let last = slots * step + self.ms(300);
        full.extend([(own, true, last), (own, false, last + self.ms(400))]);
        self.add("a-dual-role-key-without-a-slot", &full);
        let mut alternately: Vec<(u8, bool, i64)> =
            duals.iter().enumerate().map(|(at, key)| (*key, true, at as i64 * self.ms(30))).collect();
        let up = duals.len() as i64 * self.ms(30);
        alternately.extend(duals.iter().rev().enumerate().map(|(at, key)| (*key, false, up + at as i64 * self.ms(30))));
        self.add("every-dual-role-key", &alternately);
    }

    /// Clocks that wrap, and long rests.
    pub(crate) fn clocks(&mut self) {
        let (own, far) = (self.own, self.far);
        let [a, b, c] = [60, 160, 400].map(|ms| self.ms(ms));
        let wrap = 1_u64 << 32;
        let press = [(own, true, 0), (far, true, a), (far, false, b), (own, false, c)];
        let rolled = [(own, true, 0), (far, true, a), (own, false, b), (far, false, c)];
        for before in [0, 1, a, a + 1, b - 1, b, c] {
            let start = wrap - before as u64;
            self.add_at(format!("clock-wraps-{before}-after-the-press"), start, &press);
            self.add_at(format!("clock-wraps-{before}-after-the-press-rolled"), start, &rolled);
            self.add_at(
                format!("clock-wraps-{before}-after-a-lone-press"),
                start,
                &[(own, true, 0), (own, false, self.ms(2500))],
            );
        }
        // So long that a clock of 32 bits comes back to where it was.
        for (word, rest) in
            [("a-minute", 60_000), ("an-hour", 3_600_000), ("a-turn", 4_294_967), ("two-turns", 8_589_935)]
        {
            let later = self.ms(rest);
            self.add(
                format!("rest-of-{word}"),
                &[
                    (own, true, 0),
                    (own, false, a),
                    (own, true, later),
                    (far, true, later + a),
                    (far, false, later + b),
                    (own, false, later + c),
                ],
            );
        }
        for (word, long) in [("a-minute", 60_000), ("ten-minutes", 600_000)] {
            let up = self.ms(long);
            self.add(
                format!("held-for-{word}"),
                &[(own, true, 0), (far, true, up), (far, false, up + a), (own, false, up + b)],
            );
            self.add(
                format!("another-held-for-{word}"),
                &[(far, true, 0), (own, true, up), (own, false, up + a), (far, false, up + b)],
            );
        }
    }
}
