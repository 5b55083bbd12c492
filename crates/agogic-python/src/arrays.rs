//! Many presses of dual-role keys by columns, for rules that decide whole arrays.

use agogic_keys::{Code, Hand, Instant, Span};
use agogic_policy::{Contact, Encounter};
use pyo3::prelude::*;
use pyo3::types::PyBytes;

use crate::refused::Refused;

/// Encounters in order. Each column comes as the bytes of an array in the order of the machine; see
/// [`column`](EncounterArrays::column).
#[pyclass(frozen, module = "agogic._agogic")]
#[derive(Debug, Default)]
pub struct EncounterArrays {
    heads: Vec<Head>,
    contacts: Vec<Contact>,
    carried: Vec<Contact>,
    participants: Vec<String>,
    sessions: Vec<String>,
    meant: Vec<&'static str>,
}

#[derive(Debug)]
struct Head {
    code: Code,
    hand: Hand,
    press: Instant,
    dwell: Span,
    lull: Option<Span>,
    since_same_key: Option<Span>,
    previous: Option<Code>,
    /// Where its contacts end, and its carried keys.
    contacts: usize,
    carried: usize,
}

impl EncounterArrays {
    /// Room for so many.
    pub fn with_capacity(encounters: usize) -> Self {
        Self { heads: Vec::with_capacity(encounters), contacts: Vec::with_capacity(encounters), ..Self::default() }
    }

    /// Adds one, as a rule sees it.
    pub fn push(&mut self, seen: &Encounter<'_>) {
        self.contacts.extend(seen.contacts());
        self.carried.extend(seen.carried());
        self.heads.push(Head {
            code: seen.code,
            hand: seen.hand,
            press: seen.press,
            dwell: seen.dwell,
            lull: seen.lull,
            since_same_key: seen.since_same_key,
            previous: seen.previous,
            contacts: self.contacts.len(),
            carried: self.carried.len(),
        });
    }

    /// Says of the one added last whose it is and what was meant: `tap`, `hold`, or nothing.
    pub fn tell(&mut self, participant: &str, session: &str, meant: &'static str) {
        self.participants.push(participant.to_owned());
        self.sessions.push(session.to_owned());
        self.meant.push(meant);
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.heads.len()
    }

    /// The first key that went down meanwhile, of each.
    fn firsts(&self) -> impl ExactSizeIterator<Item = Option<&Contact>> {
        self.heads.iter().enumerate().map(|(at, head)| {
            let start = at.checked_sub(1).map_or(0, |before| self.heads[before].contacts);
            self.contacts[start..head.contacts].first()
        })
    }
}

#[pymethods]
impl EncounterArrays {
    fn __len__(&self) -> usize {
        self.len()
    }

    /// Participant, session and stated meaning of each, where they come from a log.
    fn told(&self) -> (Vec<String>, Vec<String>, Vec<&'static str>) {
        (self.participants.clone(), self.sessions.clone(), self.meant.clone())
    }

    /// The bytes of a column: times as 64-bit floats in ms, with NaN for what is not known; codes as signed 16-bit numbers
    /// of the table of codes, -1 for none; hands as signed bytes, 0 left, 1 right, 2 either; `contact_end` and `carried_end`
    /// as 64-bit whole numbers, where the contacts of each end.
    fn column<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyBytes>> {
        let heads = &self.heads;
        let ms = |span: Option<Span>| span.map_or(f64::NAN, Span::ms);
        let after = |us: i64| us as f64 / 1e3;
        match name {
            "press_ms" => floats(py, heads.iter().map(|head| head.press.0 as f64 / 1e3)),
            "dwell_ms" => floats(py, heads.iter().map(|head| head.dwell.ms())),
            "lull_ms" => floats(py, heads.iter().map(|head| ms(head.lull))),
            "since_same_key_ms" => floats(py, heads.iter().map(|head| ms(head.since_same_key))),
            "first_down_ms" => floats(py, self.firsts().map(|first| first.map_or(f64::NAN, |own| after(own.down)))),
            "first_up_ms" => floats(py, self.firsts().map(|first| first.map_or(f64::NAN, |own| after(own.up)))),
            "first_hand" => hands(py, self.firsts().map(|first| first.map(|own| own.hand))),
            "contact_down_ms" => floats(py, self.contacts.iter().map(|own| after(own.down))),
            "contact_up_ms" => floats(py, self.contacts.iter().map(|own| after(own.up))),
            "carried_down_ms" => floats(py, self.carried.iter().map(|own| after(own.down))),
            "carried_up_ms" => floats(py, self.carried.iter().map(|own| after(own.up))),
            "code" => codes(py, heads.iter().map(|head| Some(head.code))),
            "previous" => codes(py, heads.iter().map(|head| head.previous)),
            "contact_code" => codes(py, self.contacts.iter().map(|own| Some(own.code))),
            "carried_code" => codes(py, self.carried.iter().map(|own| Some(own.code))),
            "hand" => hands(py, heads.iter().map(|head| Some(head.hand))),
            "contact_hand" => hands(py, self.contacts.iter().map(|own| Some(own.hand))),
            "carried_hand" => hands(py, self.carried.iter().map(|own| Some(own.hand))),
            "contact_end" => bytes(py, heads.iter().map(|head| (head.contacts as i64).to_ne_bytes())),
            "carried_end" => bytes(py, heads.iter().map(|head| (head.carried as i64).to_ne_bytes())),
            _ => Err(Refused::new(format!("encounters have no column `{name}`")).into()),
        }
    }
}

fn bytes<'py, const N: usize>(
    py: Python<'py>,
    values: impl ExactSizeIterator<Item = [u8; N]>,
) -> PyResult<Bound<'py, PyBytes>> {
    PyBytes::new_with(py, values.len() * N, |place| {
        place.chunks_exact_mut(N).zip(values).for_each(|(place, value)| place.copy_from_slice(&value));
        Ok(())
    })
}

fn floats<'py>(py: Python<'py>, values: impl ExactSizeIterator<Item = f64>) -> PyResult<Bound<'py, PyBytes>> {
    bytes(py, values.map(f64::to_ne_bytes))
}

fn codes<'py>(py: Python<'py>, values: impl ExactSizeIterator<Item = Option<Code>>) -> PyResult<Bound<'py, PyBytes>> {
    bytes(py, values.map(|code| code.map_or(-1, |code| code.index() as i16).to_ne_bytes()))
}

fn hands<'py>(py: Python<'py>, values: impl ExactSizeIterator<Item = Option<Hand>>) -> PyResult<Bound<'py, PyBytes>> {
    bytes(py, values.map(|hand| hand.map_or(-1, |hand| hand as i8).to_ne_bytes()))
}
