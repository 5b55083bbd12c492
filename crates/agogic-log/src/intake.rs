//! Rows by columns, whatever file they come from.

use std::collections::BTreeMap;

use agogic_keys::Code;
use agogic_toml::{Mistake, Mistakes};

use crate::key_names::Named;
use crate::layout::{LogLayout, PairEnd, RowShape};
use crate::likely;
use crate::pairing::{Row, RowKind, parts};
use crate::{Cell, DefectKind, Intent, KeyNames, Limits, Log, LogError, LogReport, Rules, SessionLog};

/// Takes rows in and hands a [`Log`] out.
///
/// This is how a file of any format is read: Parquet, a database, a stream. Name the columns, push the
/// rows, finish.
///
/// ```
/// use agogic_log::{Cell, Intake, Limits, LogLayout, Rules};
///
/// let columns = ["participant", "session", "code", "press_ms", "release_ms"];
/// let layout = LogLayout::preset("pairs-ms").unwrap();
/// let mut intake = Intake::new(&columns, &layout, Limits::default(), Rules::default()).unwrap();
/// let name = |text| Cell::Text(text);
/// intake.push(1, &[name("ada"), Cell::Whole(1), name("KeyH"), Cell::Real(12.5), Cell::Real(98.0)]);
/// let log = intake.finish();
/// assert_eq!(log.sessions[0].presses[0].dwell().ms(), 85.5);
/// assert!(log.report.balances());
/// ```
pub struct Intake<'l> {
    layout: &'l LogLayout,
    places: Places,
    limits: Limits,
    rules: Rules,
    report: LogReport,
    sessions: Vec<Rows>,
    index: BTreeMap<String, BTreeMap<String, usize>>,
    /// The session of the row before: refused rows leave their gap there.
    last: Option<usize>,
    /// The keys by name: searching their table for every row would take most of the time.
    codes: BTreeMap<&'static str, Code>,
    rows_held: usize,
    name_bytes: usize,
}

struct Rows {
    participant: String,
    session: String,
    rows: Vec<Row>,
    gap: bool,
}

/// Where in a row each value stands.
struct Places {
    count: usize,
    session: Option<usize>,
    participant: Option<usize>,
    code: usize,
    time: usize,
    second: usize,
    intent: Option<usize>,
    target: Option<usize>,
}

/// The intent of a press in a prompted attempt that was not made as asked.
const REJECTED: &str = "rejected";

type Refusal = (DefectKind, Option<String>);

/// What a log without names of participants or sessions calls its only one.
const ONLY: &str = "1";

impl<'l> Intake<'l> {
    /// An intake for rows with these columns.
    ///
    /// # Errors
    /// The layout has mistakes, or needed columns are not among these; all of them are named.
    pub fn new(columns: &[&str], layout: &'l LogLayout, limits: Limits, rules: Rules) -> Result<Self, LogError> {
        check(layout)?;
        let missing: Vec<(&'static str, String)> = layout
            .needed()
            .into_iter()
            .filter(|(_, column)| !columns.contains(&column.as_str()))
            .map(|(key, column)| (key, column.clone()))
            .collect();
        if !missing.is_empty() {
            let found = columns.iter().take(40).map(|column| column.chars().take(40).collect()).collect();
            let likely = likely::columns(&missing, columns);
            let missing = missing.into_iter().map(|(_, column)| column).collect();
            return Err(LogError::Columns { missing, found, fitting: LogLayout::fitting(columns), likely });
        }
        let place = |name: &String| columns.iter().position(|column| column == name);
        let sure = |name: &String| place(name).expect("needed columns were found");
        let (time, second) = match &layout.shape {
            RowShape::Events { time, edge, .. } => (sure(time), sure(edge)),
            RowShape::Pairs { press, end: PairEnd::Release(end) | PairEnd::Dwell(end) } => (sure(press), sure(end)),
        };
        let places = Places {
            count: columns.len(),
            session: layout.session.as_ref().map(sure),
            participant: layout.participant.as_ref().map(sure),
            code: sure(&layout.code),
            time,
            second,
            intent: layout.intent.as_ref().and_then(place),
            target: layout.target.as_ref().and_then(place),
        };
        Ok(Self {
            layout,
            places,
            limits,
            rules,
            report: LogReport::default(),
            sessions: Vec::new(),
            index: BTreeMap::new(),
            last: None,
            codes: Code::all().map(|code| (code.name(), code)).collect(),
            rows_held: 0,
            name_bytes: 0,
        })
    }

    /// Takes one row in. `line` says where it stands, for the report.
    pub fn push(&mut self, line: u64, cells: &[Cell<'_>]) {
        if let Err((kind, example)) = self.take(line, cells) {
            self.drop_row(kind, line, example.as_deref());
        }
    }

    /// As [`Intake::push`] for the last row of a file that ends without a line end: whatever keeps it from
    /// being a row, the cause is the cut.
    pub(crate) fn push_cut(&mut self, line: u64, cells: &[Cell<'_>]) {
        if self.take(line, cells).is_err() {
            self.drop_row(DefectKind::CutOff, line, None);
        }
    }

    /// Counts a row that never came to have cells.
    pub(crate) fn refuse(&mut self, kind: DefectKind, line: u64) {
        self.drop_row(kind, line, None);
    }

    fn drop_row(&mut self, kind: DefectKind, line: u64, example: Option<&str>) {
        self.report.rows += 1;
        self.report.add(kind, line, 1, example);
        if let Some(last) = self.last {
            self.sessions[last].gap = true;
        }
    }

    fn take(&mut self, line: u64, cells: &[Cell<'_>]) -> Result<(), Refusal> {
        if cells.len() != self.places.count {
            return Err((DefectKind::FieldCount, None));
        }
        // The session first: what is wrong with the rest of the row then leaves its gap in the right one.
        self.last = Some(self.session_of(cells)?);
        let (t_us, kind) = self.edge(cells)?;
        let Named { code, side_unknown } = self.code(cells)?;
        if self.rows_held >= self.limits.rows {
            return Err((DefectKind::TooManyRows, None));
        }
        let intent = if kind == RowKind::Release { self.no_intent(cells) } else { self.intent(cells) };
        self.report.rows += 1;
        if side_unknown {
            self.report.note(DefectKind::SideUnknown, line);
        }
        let intent = intent.unwrap_or_else(|example| {
            self.report.add(DefectKind::UnknownIntent, line, 0, Some(&example));
            None
        });
        self.rows_held += 1;
        let session = &mut self.sessions[self.last.expect("it was just set")];
        let gap = std::mem::take(&mut session.gap);
        session.rows.push(Row { line, t_us, kind, code, intent, gap });
        Ok(())
    }

    fn session_of(&mut self, cells: &[Cell<'_>]) -> Result<usize, Refusal> {
        let name = |place: Option<usize>| match place {
            None => Ok(ONLY.into()),
            Some(place) => cells[place].text().ok_or((DefectKind::MissingField, None)),
        };
        let (participant, session) = (name(self.places.participant)?, name(self.places.session)?);
        if let Some(last) = self.last
            && self.sessions[last].session == session
            && self.sessions[last].participant == participant
        {
            return Ok(last);
        }
        if let Some(place) = self.index.get(&*participant).and_then(|sessions| sessions.get(&*session)) {
            return Ok(*place);
        }
        if let Some(long) = [&participant, &session].into_iter().find(|name| name.len() > self.limits.name_bytes) {
            return Err((DefectKind::OverlongName, Some(long.to_string())));
        }
        if self.sessions.len() >= self.limits.sessions {
            return Err((DefectKind::TooManySessions, Some(session.into_owned())));
        }
        let place = self.sessions.len();
        self.name_bytes += 2 * (participant.len() + session.len());
        self.index.entry(participant.to_string()).or_default().insert(session.to_string(), place);
        let (participant, session) = (participant.into_owned(), session.into_owned());
        self.sessions.push(Rows { participant, session, rows: Vec::new(), gap: false });
        Ok(place)
    }

    fn edge(&self, cells: &[Cell<'_>]) -> Result<(u64, RowKind), Refusal> {
        let micros = |place: usize| {
            let text = || Some(cells[place].text()?.into_owned());
            self.layout.unit.micros(cells[place]).map_err(|kind| (kind, text()))
        };
        let t_us = micros(self.places.time)?;
        let kind = match &self.layout.shape {
            RowShape::Events { press, release, .. } => {
                let edge = cells[self.places.second].text().ok_or((DefectKind::MissingField, None))?;
                let is = |words: &[String]| words.iter().any(|word| *word == edge);
                match (is(press), is(release)) {
                    (true, _) => RowKind::Press,
                    (_, true) => RowKind::Release,
                    _ => return Err((DefectKind::UnknownEdge, Some(edge.into_owned()))),
                }
            }
            RowShape::Pairs { end, .. } => {
                let missing = |(kind, text)| match kind {
                    DefectKind::MissingField => (DefectKind::MissingRelease, None),
                    _ => (kind, text),
                };
                let second = micros(self.places.second).map_err(missing)?;
                RowKind::Until(match end {
                    PairEnd::Release(_) => second,
                    PairEnd::Dwell(_) => t_us + second,
                })
            }
        };
        Ok((t_us, kind))
    }

    fn code(&self, cells: &[Cell<'_>]) -> Result<Named, Refusal> {
        let name = cells[self.places.code].key_name().ok_or((DefectKind::MissingField, None))?;
        self.named(&name).ok_or_else(|| (DefectKind::UnknownCode, Some(name.into_owned())))
    }

    fn named(&self, name: &str) -> Option<Named> {
        let own = self.layout.names.get(name).map(|code| Named { code: *code, side_unknown: false });
        own.or_else(|| match self.layout.keys {
            KeyNames::Code => self.codes.get(name).map(|code| Named { code: *code, side_unknown: false }),
            keys => keys.find(name),
        })
    }

    fn intent(&self, cells: &[Cell<'_>]) -> Result<Option<Intent>, String> {
        let target = match self.places.target.and_then(|place| cells[place].key_name()) {
            None => None,
            Some(name) => match self.named(&name) {
                Some(named) => Some(named.code),
                None => return Err(name.into_owned()),
            },
        };
        let intent = self.places.intent.and_then(|place| cells[place].text());
        match (intent.as_deref(), target) {
            (None, None) => Ok(None),
            (Some("tap"), None) => Ok(Some(Intent::Tap)),
            // Prompted, and not done as asked: it is not known what was meant.
            (Some(REJECTED), None) => Ok(None),
            (Some("hold"), target) => Ok(Some(Intent::Hold(target))),
            (other, target) => {
                Err(format!("{} {}", other.unwrap_or_default(), target.map_or("", Code::name)).trim().to_owned())
            }
        }
    }

    /// A release carries no intent.
    fn no_intent(&self, cells: &[Cell<'_>]) -> Result<Option<Intent>, String> {
        let places = [self.places.intent, self.places.target];
        match places.into_iter().flatten().find_map(|place| cells[place].text()) {
            Some(text) => Err(text.into_owned()),
            None => Ok(None),
        }
    }

    /// Rows taken in so far, for progress.
    pub fn rows(&self) -> u64 {
        self.report.rows
    }

    /// Sorts, pairs and accounts for everything.
    pub fn finish(self) -> Log {
        let loose = self.layout.keys == KeyNames::Class;
        let mut report = self.report;
        report.held_bytes_max = (self.rows_held * size_of::<Row>() + self.name_bytes) as u64;
        let mut participants = std::collections::BTreeSet::new();
        let mut sessions = Vec::new();
        for Rows { participant, session, rows, .. } in self.sessions {
            if rows.is_empty() {
                continue;
            }
            report.sessions += 1;
            for (part, found) in parts(rows, &self.rules, loose, &mut report).into_iter().enumerate() {
                sessions.push(SessionLog {
                    participant: participant.clone(),
                    session: session.clone(),
                    part: part as u32,
                    presses: found.presses,
                    intents: found.intents,
                    breaks: found.breaks,
                });
            }
            participants.insert(participant);
        }
        report.participants = participants.len() as u64;
        Log { sessions, report }
    }
}

fn check(layout: &LogLayout) -> Result<(), LogError> {
    let mistakes: Vec<Mistake> =
        layout.mistakes().into_iter().map(|(key, message)| Mistake { line: None, key, message }).collect();
    if mistakes.is_empty() { Ok(()) } else { Err(LogError::Layout(Mistakes(mistakes))) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn intake(layout: &LogLayout, limits: Limits) -> Intake<'_> {
        let columns = ["session", "participant", "t_us", "code", "edge", "intent", "target"];
        Intake::new(&columns, layout, limits, Rules::default()).unwrap()
    }

    fn row<'a>(who: &'a str, t: i64, code: &'a str, edge: &'a str, intent: &'a str, target: &'a str) -> [Cell<'a>; 7] {
        let text = Cell::Text;
        [text("1"), text(who), Cell::Whole(t), text(code), text(edge), text(intent), text(target)]
    }

    #[test]
    fn intents_are_read_from_presses_only() {
        let layout = LogLayout::events();
        let mut intake = intake(&layout, Limits::default());
        intake.push(2, &row("a", 0, "KeyF", "press", "hold", "KeyJ"));
        intake.push(3, &row("a", 50, "KeyJ", "press", "maybe", ""));
        intake.push(4, &row("a", 90, "KeyJ", "release", "tap", ""));
        intake.push(5, &row("a", 120, "KeyF", "release", "", ""));
        intake.push(6, &row("a", 150, "KeyD", "press", "tap", "KeyJ"));
        intake.push(7, &row("a", 190, "KeyD", "release", "", ""));
        // An attempt that was not made as asked is no defect, and says nothing of what was meant.
        intake.push(8, &row("a", 250, "KeyS", "press", "rejected", ""));
        intake.push(9, &row("a", 490, "KeyS", "release", "", ""));
        let log = intake.finish();
        let j = "KeyJ".parse().unwrap();
        assert_eq!(log.sessions[0].intents, [Some(Intent::Hold(Some(j))), None, None, None]);
        assert_eq!(log.report.count(DefectKind::UnknownIntent), 3);
        assert_eq!(log.report.defects[&DefectKind::UnknownIntent].example.as_deref(), Some("maybe"));
        assert!(log.report.balances());
    }

    #[test]
    fn limits_are_kept_and_counted() {
        let layout = LogLayout::events();
        let limits = Limits { rows: 2, sessions: 1, name_bytes: 4, ..Limits::default() };
        let mut intake = intake(&layout, limits);
        intake.push(2, &row("a", 0, "KeyF", "press", "", ""));
        intake.push(3, &row("a", 9, "KeyF", "release", "", ""));
        intake.push(4, &row("a", 19, "KeyF", "press", "", ""));
        intake.push(5, &row("b", 19, "KeyF", "press", "", ""));
        intake.push(6, &row("bbbbb", 19, "KeyF", "press", "", ""));
        intake.push(7, &[Cell::Missing]);
        let log = intake.finish();
        for kind in
            [DefectKind::TooManyRows, DefectKind::TooManySessions, DefectKind::OverlongName, DefectKind::FieldCount]
        {
            assert_eq!(log.report.count(kind), 1, "{kind}");
        }
        assert!(log.report.balances());
        assert_eq!(log.report.presses, 1);
    }

    #[test]
    fn a_refused_row_leaves_a_break_in_its_own_session() {
        let layout = LogLayout::events();
        let mut intake = intake(&layout, Limits::default());
        for (i, who) in ["a", "b", "a", "b"].into_iter().enumerate() {
            let t = i as i64 * 1000;
            intake.push(1, &row(who, t, "KeyF", "press", "", ""));
            intake.push(1, &row(who, t + 50, "KeyF", "release", "", ""));
            if i == 1 {
                intake.push(1, &row("a", t, "KeyÄ", "press", "", ""));
            }
        }
        let log = intake.finish();
        assert_eq!(log.sessions[0].breaks, [1]);
        assert_eq!(log.sessions[1].breaks, [0; 0]);
        assert_eq!(log.by_participant().len(), 2);
    }

    #[test]
    fn all_missing_columns_are_named_with_what_would_fit() {
        let layout = LogLayout::events();
        let columns = ["participant", "session", "code", "press_ms", "release_ms"];
        let error = Intake::new(&columns, &layout, Limits::default(), Rules::default()).err().unwrap().to_string();
        assert!(error.contains("`t_us`, `edge`") && error.contains("pairs-ms"), "{error}");
    }
}
