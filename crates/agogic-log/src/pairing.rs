//! From rows in the order of their file to presses in the order of time.

use agogic_keys::{Code, Instant, Press};

use crate::{DefectKind, Intent, LogReport, Rules};

/// One row, checked on its own.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Row {
    /// Line of the file.
    pub line: u64,
    /// Time of the edge, or of the press.
    pub t_us: u64,
    /// Which edge, or until when.
    pub kind: RowKind,
    /// The key.
    pub code: Code,
    /// Stated intent of a press.
    pub intent: Option<Intent>,
    /// Rows before this one were refused.
    pub gap: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum RowKind {
    Press,
    Release,
    Until(u64),
}

/// One part of a session.
#[derive(Debug, Default)]
pub(crate) struct Part {
    pub presses: Vec<Press>,
    pub intents: Vec<Option<Intent>>,
    pub breaks: Vec<usize>,
}

/// Sorts or splits the rows of one session and pairs each press with its release.
///
/// `loose` says that one name stands for several keys, as in a redacted log: then a name may be pressed
/// again while it is down.
pub(crate) fn parts(mut rows: Vec<Row>, rules: &Rules, loose: bool, report: &mut LogReport) -> Vec<Part> {
    let back = |i: &usize, rows: &[Row]| rows[*i].t_us < rows[*i - 1].t_us;
    let far = |i: &usize, rows: &[Row]| rows[*i - 1].t_us - rows[*i].t_us > rules.disorder_us;
    let steps: Vec<usize> = (1..rows.len()).filter(|i| back(i, &rows)).collect();
    let leaps = steps.iter().filter(|i| far(i, &rows)).count();
    // Many leaps back are no clock that was set, but rows in another order.
    let unsorted = leaps > 1 && leaps as f64 > rules.unsorted_share * rows.len() as f64;
    let mut cuts = vec![0];
    for step in &steps {
        if !unsorted && far(step, &rows) {
            report.note(DefectKind::ClockBack, rows[*step].line);
            cuts.push(*step);
        } else {
            report.note(DefectKind::OutOfOrder, rows[*step].line);
        }
    }
    cuts.push(rows.len());
    let mut parts = Vec::new();
    for cut in cuts.windows(2) {
        let part = &mut rows[cut[0]..cut[1]];
        if !part.is_sorted_by_key(|row| row.t_us) {
            // Releases first, as in the published format; sorting is stable beyond that.
            part.sort_by_key(|row| (row.t_us, row.kind == RowKind::Press));
        }
        parts.push(pair(part, rules, loose, report));
    }
    parts.retain(|part| !part.presses.is_empty());
    parts
}

#[derive(Clone, Copy)]
struct Slot {
    press: Press,
    intent: Option<Intent>,
    line: u64,
    gap: bool,
    whole: bool,
    rows: u64,
}

struct Pairing<'a> {
    rules: &'a Rules,
    report: &'a mut LogReport,
    slots: Vec<Slot>,
    down: [Option<usize>; Code::COUNT],
    gap: bool,
}

fn pair(rows: &[Row], rules: &Rules, loose: bool, report: &mut LogReport) -> Part {
    let mut pairing = Pairing { rules, report, slots: Vec::new(), down: [None; Code::COUNT], gap: false };
    let mut busy = [None; Code::COUNT];
    // The last press of each key, repeats included; the last release of each key; the key last pressed.
    let mut pressed = [None; Code::COUNT];
    let mut released = [None; Code::COUNT];
    let mut latest = None;
    let mut before: Option<u64> = None;
    for row in rows {
        if before.is_some_and(|before| row.t_us - before > rules.leap_us) {
            pairing.report.note(DefectKind::ClockForward, row.line);
            pairing.drop_all_down();
            pairing.gap = true;
        }
        before = Some(row.t_us);
        pairing.gap |= row.gap;
        let key = row.code.index();
        match row.kind {
            RowKind::Press => {
                if pairing.down[key].is_some() {
                    let since = row.t_us - pressed[key].expect("a key that is down was pressed");
                    if since == 0 {
                        pairing.report.refuse(DefectKind::DuplicateEdge, row.line);
                        continue;
                    }
                    if latest == Some(key) && since <= rules.repeat_us {
                        pairing.report.refuse(DefectKind::AutoRepeat, row.line);
                        pressed[key] = Some(row.t_us);
                        continue;
                    }
                    pairing.lose(key);
                }
                pressed[key] = Some(row.t_us);
                latest = Some(key);
                pairing.press(row, row.t_us, false, 2);
            }
            RowKind::Release => {
                match pairing.down[key] {
                    Some(slot) => pairing.release(slot, row),
                    None if released[key] == Some(row.t_us) => {
                        pairing.report.refuse(DefectKind::DuplicateEdge, row.line);
                    }
                    None => {
                        pairing.report.refuse(DefectKind::ReleaseWithoutPress, row.line);
                        pairing.gap = true;
                    }
                }
                released[key] = Some(row.t_us);
            }
            RowKind::Until(up) => {
                let refused = match busy[key] {
                    _ if up < row.t_us => Some(DefectKind::ReleaseBeforePress),
                    _ if up == row.t_us => Some(DefectKind::ZeroDwell),
                    _ if up - row.t_us > rules.longest_dwell_us => Some(DefectKind::OverlongDwell),
                    Some((down, _)) if !loose && down == row.t_us => Some(DefectKind::DuplicateEdge),
                    Some((_, until)) if !loose && until > row.t_us => Some(DefectKind::AlreadyDown),
                    _ => None,
                };
                match refused {
                    Some(kind) => {
                        pairing.report.refuse(kind, row.line);
                        pairing.gap |= kind != DefectKind::DuplicateEdge;
                    }
                    None => {
                        busy[key] = Some((row.t_us, up));
                        pairing.press(row, up, true, 1);
                    }
                }
            }
        }
    }
    pairing.drop_all_down();
    pairing.finish()
}

impl Pairing<'_> {
    fn press(&mut self, row: &Row, up_us: u64, whole: bool, rows: u64) {
        if !whole {
            self.down[row.code.index()] = Some(self.slots.len());
        }
        let press = Press { code: row.code, down: Instant(row.t_us), up: Instant(up_us) };
        let gap = std::mem::take(&mut self.gap);
        self.slots.push(Slot { press, intent: row.intent, line: row.line, gap, whole, rows });
    }

    fn release(&mut self, slot: usize, row: &Row) {
        let open = &mut self.slots[slot];
        self.down[open.press.code.index()] = None;
        let dwell = row.t_us - open.press.down.0;
        let kind = match dwell {
            0 => DefectKind::ZeroDwell,
            long if long > self.rules.longest_dwell_us => DefectKind::OverlongDwell,
            _ => {
                open.press.up = Instant(row.t_us);
                open.whole = true;
                return;
            }
        };
        let line = open.line;
        self.report.add(kind, line, 2, None);
    }

    fn lose(&mut self, key: usize) {
        if let Some(slot) = self.down[key].take() {
            self.report.refuse(DefectKind::MissingRelease, self.slots[slot].line);
        }
    }

    fn drop_all_down(&mut self) {
        for key in 0..Code::COUNT {
            self.lose(key);
        }
    }

    fn finish(self) -> Part {
        let mut part = Part::default();
        // A press that was left out leaves a break before the next one; the first needs none.
        let mut missing = false;
        for slot in self.slots {
            missing |= slot.gap;
            if !slot.whole {
                missing = true;
                continue;
            }
            if missing && !part.presses.is_empty() {
                part.breaks.push(part.presses.len());
            }
            missing = false;
            part.presses.push(slot.press);
            part.intents.push(slot.intent);
            self.report.rows_kept += slot.rows;
        }
        self.report.presses += part.presses.len() as u64;
        self.report.intents += part.intents.iter().flatten().count() as u64;
        self.report.breaks += part.breaks.len() as u64;
        part
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use RowKind::{Press as P, Release as R};

    fn read(rows: &[(u64, &str, RowKind)]) -> (Vec<Part>, LogReport) {
        let rows: Vec<Row> = rows
            .iter()
            .enumerate()
            .map(|(i, (t_us, name, kind))| {
                let code = format!("Key{name}").parse().unwrap();
                Row { line: i as u64 + 2, t_us: *t_us, kind: *kind, code, intent: None, gap: false }
            })
            .collect();
        let mut report = LogReport { rows: rows.len() as u64, ..LogReport::default() };
        let parts = parts(rows, &Rules::default(), false, &mut report);
        assert!(report.balances(), "{report}");
        (parts, report)
    }

    fn times(part: &Part) -> Vec<(u64, u64)> {
        part.presses.iter().map(|press| (press.down.0, press.up.0)).collect()
    }

    fn only(report: &LogReport, kind: DefectKind, count: u64) {
        assert_eq!(report.defects.keys().copied().collect::<Vec<_>>(), [kind], "{report}");
        assert_eq!(report.count(kind), count, "{report}");
    }

    #[test]
    fn rollover_comes_out_in_the_order_of_presses() {
        let (parts, report) = read(&[(10, "A", P), (60, "B", P), (90, "A", R), (140, "B", R)]);
        assert_eq!(times(&parts[0]), [(10, 90), (60, 140)]);
        assert!(report.defects.is_empty() && parts[0].breaks.is_empty());
    }

    #[test]
    fn repeats_are_folded_into_their_press() {
        let (parts, report) = read(&[(0, "A", P), (500_000, "A", P), (530_000, "A", P), (550_000, "A", R)]);
        assert_eq!(times(&parts[0]), [(0, 550_000)]);
        only(&report, DefectKind::AutoRepeat, 2);
        assert!(parts[0].breaks.is_empty());
    }

    #[test]
    fn a_press_after_another_key_is_no_repeat() {
        let rows =
            [(0, "A", P), (100, "B", P), (150, "B", R), (300, "A", P), (400, "A", R), (500, "C", P), (600, "C", R)];
        let (parts, report) = read(&rows);
        assert_eq!(times(&parts[0]), [(100, 150), (300, 400), (500, 600)]);
        only(&report, DefectKind::MissingRelease, 1);
        assert_eq!(report.defects[&DefectKind::MissingRelease].first_lines, [2]);
        assert!(parts[0].breaks.is_empty(), "the press that is missing stood before the first");
    }

    #[test]
    fn a_late_press_of_a_key_that_is_down_is_no_repeat() {
        let (parts, report) = read(&[(0, "A", P), (1_200_000, "A", P), (1_250_000, "A", R)]);
        assert_eq!(times(&parts[0]), [(1_200_000, 1_250_000)]);
        only(&report, DefectKind::MissingRelease, 1);
    }

    #[test]
    fn duplicate_edges_leave_no_trace() {
        let rows = [(10, "A", P), (10, "A", P), (90, "A", R), (90, "A", R), (100, "B", P), (150, "B", R)];
        let (parts, report) = read(&rows);
        assert_eq!(times(&parts[0]), [(10, 90), (100, 150)]);
        only(&report, DefectKind::DuplicateEdge, 2);
        assert!(parts[0].breaks.is_empty());
    }

    #[test]
    fn a_lost_press_breaks_the_record() {
        let rows = [(0, "A", P), (50, "A", R), (120, "B", R), (200, "C", P), (260, "C", R)];
        let (parts, report) = read(&rows);
        only(&report, DefectKind::ReleaseWithoutPress, 1);
        assert_eq!(parts[0].breaks, [1]);
    }

    #[test]
    fn dwells_of_zero_and_of_hours_are_left_out_with_both_rows() {
        let (parts, report) = read(&[(0, "A", P), (0, "A", R), (50, "B", P), (90, "B", R)]);
        only(&report, DefectKind::ZeroDwell, 1);
        assert_eq!((report.rows_refused(), times(&parts[0]).len()), (2, 1));
        let minute = 60_000_000;
        let (_, report) = read(&[(0, "A", P), (minute, "B", P), (minute + 1, "A", R), (minute + 90, "B", R)]);
        only(&report, DefectKind::OverlongDwell, 1);
    }

    #[test]
    fn small_disorder_is_sorted() {
        let (parts, report) = read(&[(60, "B", P), (10, "A", P), (90, "A", R), (140, "B", R)]);
        assert_eq!(times(&parts[0]), [(10, 90), (60, 140)]);
        only(&report, DefectKind::OutOfOrder, 1);
    }

    #[test]
    fn a_clock_set_back_splits_the_session() {
        let s = 1_000_000;
        let mut rows: Vec<_> = (0..20).flat_map(|i| [(i * s, "A", P), (i * s + 80_000, "A", R)]).collect();
        rows.extend((0..10).flat_map(|i| [(i * s, "B", P), (i * s + 80_000, "B", R)]));
        let (parts, report) = read(&rows);
        assert_eq!(parts.iter().map(|part| part.presses.len()).collect::<Vec<_>>(), [20, 10]);
        only(&report, DefectKind::ClockBack, 1);
        assert_eq!(report.defects[&DefectKind::ClockBack].first_lines, [42]);
    }

    #[test]
    fn a_file_in_another_order_is_sorted_whole() {
        let s = 1_000_000;
        let mut rows: Vec<_> = (0..20).flat_map(|i| [(i * s, "A", P), (i * s + 80_000, "A", R)]).collect();
        rows.reverse();
        let (parts, report) = read(&rows);
        assert_eq!((parts.len(), parts[0].presses.len()), (1, 20));
        only(&report, DefectKind::OutOfOrder, 39);
    }

    #[test]
    fn a_leap_ahead_drops_what_was_down_and_breaks_the_record() {
        let hour = 3_600_000_000;
        let rows = [
            (0, "A", P),
            (50, "A", R),
            (80, "B", P),
            (2 * hour, "B", R),
            (2 * hour + 9, "C", P),
            (2 * hour + 99, "C", R),
        ];
        let (parts, report) = read(&rows);
        assert_eq!(parts[0].presses.len(), 2);
        assert_eq!(parts[0].breaks, [1]);
        let kinds: Vec<_> = report.defects.keys().copied().collect();
        assert_eq!(kinds, [DefectKind::ClockForward, DefectKind::ReleaseWithoutPress, DefectKind::MissingRelease]);
    }

    #[test]
    fn pairs_of_one_key_cannot_overlap_unless_names_are_loose() {
        let rows = |code: &str| {
            [(0, 100), (0, 100), (50, 120), (200, 190), (300, 300), (400, 100_000_000_000)].map(|(t_us, up)| Row {
                line: 1,
                t_us,
                kind: RowKind::Until(up),
                code: code.parse().unwrap(),
                intent: None,
                gap: false,
            })
        };
        let mut report = LogReport { rows: 6, ..LogReport::default() };
        let strict = parts(rows("KeyA").to_vec(), &Rules::default(), false, &mut report);
        assert_eq!(times(&strict[0]), [(0, 100)]);
        assert!(report.balances());
        for kind in [
            DefectKind::DuplicateEdge,
            DefectKind::AlreadyDown,
            DefectKind::ReleaseBeforePress,
            DefectKind::ZeroDwell,
            DefectKind::OverlongDwell,
        ] {
            assert_eq!(report.count(kind), 1, "{kind}");
        }
        let mut report = LogReport { rows: 6, ..LogReport::default() };
        let loose = parts(rows("KeyA").to_vec(), &Rules::default(), true, &mut report);
        assert_eq!(times(&loose[0]), [(0, 100), (0, 100), (50, 120)]);
        assert!(report.balances());
    }
}
