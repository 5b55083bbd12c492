//! One press of a dual-role key, as a rule in Python sees it.

use agogic_keys::{Code, Hand, Instant, Span};
use agogic_policy as policy;
use pyo3::prelude::*;

/// The word for a hand.
pub fn hand_name(hand: Hand) -> &'static str {
    match hand {
        Hand::Left => "left",
        Hand::Right => "right",
        Hand::Either => "either",
    }
}

/// Another key's press near a press of a dual-role key.
#[pyclass(frozen, skip_from_py_object, module = "agogic")]
#[derive(Clone, Copy, Debug)]
pub struct Contact(policy::Contact);

#[pymethods]
impl Contact {
    /// W3C code of the key.
    #[getter]
    fn code(&self) -> &'static str {
        self.0.code.name()
    }

    /// `left`, `right`, or `either` for a key that both thumbs may press.
    #[getter]
    fn hand(&self) -> &'static str {
        hand_name(self.0.hand)
    }

    /// When it went down, in ms after the dual-role press; negative if it was down already.
    #[getter]
    fn down_ms(&self) -> f64 {
        self.0.down as f64 / 1e3
    }

    /// When it came up, in ms after the dual-role press.
    #[getter]
    fn up_ms(&self) -> f64 {
        self.0.up as f64 / 1e3
    }

    fn __repr__(&self) -> String {
        let (down, up) = (self.down_ms(), self.up_ms());
        format!("Contact(code='{}', hand='{}', down_ms={down}, up_ms={up})", self.code(), self.hand())
    }
}

/// One press of a dual-role key with all that can bear on it; it also tells what happens after the decision, which a rule
/// must not use.
#[pyclass(frozen, skip_from_py_object, module = "agogic")]
#[derive(Clone, Debug)]
pub struct Encounter {
    code: Code,
    hand: Hand,
    press: Instant,
    dwell: Span,
    lull: Option<Span>,
    since_same_key: Option<Span>,
    previous: Option<Code>,
    contacts: Vec<policy::Contact>,
    carried: Vec<policy::Contact>,
}

impl Encounter {
    /// What a rule sees, kept.
    pub fn of(seen: &policy::Encounter<'_>) -> Self {
        Self {
            code: seen.code,
            hand: seen.hand,
            press: seen.press,
            dwell: seen.dwell,
            lull: seen.lull,
            since_same_key: seen.since_same_key,
            previous: seen.previous,
            contacts: seen.contacts().copied().collect(),
            carried: seen.carried().copied().collect(),
        }
    }
}

#[pymethods]
impl Encounter {
    /// W3C code of the dual-role key.
    #[getter]
    fn code(&self) -> &'static str {
        self.code.name()
    }

    /// Its hand.
    #[getter]
    fn hand(&self) -> &'static str {
        hand_name(self.hand)
    }

    /// When it went down, in ms on the clock of the session.
    #[getter]
    fn press_ms(&self) -> f64 {
        self.press.0 as f64 / 1e3
    }

    /// How long it was down, in ms.
    #[getter]
    fn dwell_ms(&self) -> f64 {
        self.dwell.ms()
    }

    /// Time since the press before, of any key, in ms; None for the first of a session.
    #[getter]
    fn lull_ms(&self) -> Option<f64> {
        self.lull.map(Span::ms)
    }

    /// Time since the same key last came up, in ms; None when the session has not seen it before.
    #[getter]
    fn since_same_key_ms(&self) -> Option<f64> {
        self.since_same_key.map(Span::ms)
    }

    /// Code of the press before; None for the first of a session.
    #[getter]
    fn previous(&self) -> Option<&'static str> {
        self.previous.map(Code::name)
    }

    /// The keys that went down while this one was down, in order.
    #[getter]
    fn contacts(&self) -> Vec<Contact> {
        self.contacts.iter().copied().map(Contact).collect()
    }

    /// The keys that were still down when this one went down, in order.
    #[getter]
    fn carried(&self) -> Vec<Contact> {
        self.carried.iter().copied().map(Contact).collect()
    }

    fn __repr__(&self) -> String {
        let number = |span: Option<f64>| span.map_or_else(|| "None".to_owned(), |ms| ms.to_string());
        format!(
            "Encounter(code='{}', hand='{}', dwell_ms={}, lull_ms={}, {} contacts, {} carried)",
            self.code(),
            self.hand(),
            self.dwell_ms(),
            number(self.lull_ms()),
            self.contacts.len(),
            self.carried.len()
        )
    }
}
