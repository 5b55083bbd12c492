//! Work on a thread of its own: with progress, and with an end as soon as the user asks for one.

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use pyo3::prelude::*;

use crate::refused::Refused;

/// How often the calling thread looks up.
const LOOK: Duration = Duration::from_millis(50);

/// How long it waits for work that was told to end, before it leaves it to end by itself.
const LEAVE: Duration = Duration::from_millis(400);

/// Stack of the thread, in bytes; the main thread of a command has as much.
const STACK: usize = 8 << 20;

/// What the work unwinds with when it was told to end.
struct Stopped;

/// What the work unwinds with when a rule of the user's raised an exception, which lies in the [`Trouble`].
struct RuleFailed;

/// How far the work is, and whether it is to end.
#[derive(Debug, Default)]
pub struct Counter {
    done: AtomicU64,
    stop: AtomicBool,
}

impl Counter {
    /// Counts steps, and ends the work here if it is to end. Other threads of the work come to such a place soon.
    pub fn add(&self, steps: u64) {
        self.done.fetch_add(steps, Ordering::Relaxed);
        if self.stop.load(Ordering::Relaxed) {
            // No panic hook: nothing is wrong, so nothing is printed.
            resume_unwind(Box::new(Stopped));
        }
    }
}

/// The first exception that a rule of the user's raised.
#[derive(Clone, Debug, Default)]
pub struct Trouble(Arc<Mutex<Option<PyErr>>>);

impl Trouble {
    /// Keeps the exception and unwinds the work.
    pub fn raise(&self, raised: PyErr) -> ! {
        self.0.lock().unwrap_or_else(|poisoned| poisoned.into_inner()).get_or_insert(raised);
        resume_unwind(Box::new(RuleFailed))
    }

    fn take(&self) -> Option<PyErr> {
        self.0.lock().unwrap_or_else(|poisoned| poisoned.into_inner()).take()
    }
}

/// Does `work` on a thread of its own, the interpreter released, and gives what it gives.
///
/// `progress` is called with steps done and steps in all (0 where that is not known) about twenty times a second.
///
/// # Errors
/// What the work refuses; what a rule raised; an interrupt, at once.
pub fn job<T: Send + 'static>(
    py: Python<'_>,
    progress: Option<&Bound<'_, PyAny>>,
    total: u64,
    trouble: &Trouble,
    work: impl FnOnce(&Counter) -> Result<T, Refused> + Send + 'static,
) -> PyResult<T> {
    let counter = Arc::new(Counter::default());
    let (own, (tell, hear)) = (Arc::clone(&counter), channel());
    let hear = Mutex::new(hear);
    let thread = std::thread::Builder::new().name("agogic".to_owned()).stack_size(STACK);
    let started = thread.spawn(move || {
        let done = catch_unwind(AssertUnwindSafe(|| work(&own)));
        // Nobody listens any more after an interrupt.
        let _ = tell.send(done);
    });
    started.map_err(|refused| Refused::new(format!("failed to start a thread: {refused}")))?;
    let wait = |time| py.detach(|| hear.lock().expect("only this thread listens").recv_timeout(time));
    let mut shown = None;
    let mut show = |done: u64| match progress {
        Some(progress) if shown != Some(done) => {
            shown = Some(done);
            progress.call1((done, total)).map(drop)
        }
        _ => Ok(()),
    };
    loop {
        match wait(LOOK) {
            Ok(Ok(done)) => {
                show(counter.done.load(Ordering::Relaxed))?;
                return Ok(done?);
            }
            Ok(Err(payload)) => return Err(unwound(payload, trouble)),
            Err(RecvTimeoutError::Disconnected) => return Err(Refused::new("the work ended without an answer").into()),
            Err(RecvTimeoutError::Timeout) => {
                let asked = py.check_signals().and_then(|()| show(counter.done.load(Ordering::Relaxed)));
                if let Err(interrupt) = asked {
                    counter.stop.store(true, Ordering::Relaxed);
                    let _ = wait(LEAVE);
                    return Err(interrupt);
                }
            }
        }
    }
}

/// The error behind work that did not end by itself.
fn unwound(payload: Box<dyn Any + Send>, trouble: &Trouble) -> PyErr {
    if let Some(raised) = trouble.take() {
        return raised;
    }
    let said = payload.downcast_ref::<&str>().map(|text| (*text).to_owned());
    let said = said.or_else(|| payload.downcast_ref::<String>().cloned()).unwrap_or_default();
    Refused::new(format!("a fault of agogic: {said}; please report it")).into()
}
