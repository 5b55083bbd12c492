//! What each path does.

use std::panic::AssertUnwindSafe;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use http_body_util::{BodyExt, LengthLimitError, Limited};
use hyper::body::{Body, Bytes, Incoming};
use hyper::header::CONTENT_TYPE;
use hyper::{Method, Request, StatusCode};
use serde_json::json;
use tokio::sync::{OnceCell, Semaphore};

use crate::guard::Guard;
use crate::limits::Limits;
use crate::reply::{JSON, Reply, data, refused, reply};
use crate::site::{Answers, Refusal, Site};
use crate::work::{More, NotTaken, Works};

/// A server's state.
pub(crate) struct State<A> {
    pub guard: Guard,
    pub limits: Limits,
    site: Arc<Site<A>>,
    works: Mutex<Works>,
    explorer: OnceCell<Result<Bytes, Refusal>>,
    /// One answer at a time: each uses all cores.
    answering: Semaphore,
    waiting: AtomicUsize,
    started: Instant,
    /// When the page last asked, in ms since the start.
    asked_ms: AtomicU64,
}

impl<A: Answers> State<A> {
    pub fn new(guard: Guard, limits: Limits, site: Site<A>) -> Self {
        Self {
            guard,
            limits,
            site: Arc::new(site),
            works: Mutex::default(),
            explorer: OnceCell::new(),
            answering: Semaphore::new(1),
            waiting: AtomicUsize::new(0),
            started: Instant::now(),
            asked_ms: AtomicU64::new(0),
        }
    }

    /// Time since the page last asked, or had to wait for an answer.
    pub fn quiet(&self) -> std::time::Duration {
        if self.waiting.load(Ordering::Relaxed) > 0 {
            self.touch();
        }
        let asked = std::time::Duration::from_millis(self.asked_ms.load(Ordering::Relaxed));
        self.started.elapsed().saturating_sub(asked)
    }

    fn touch(&self) {
        self.asked_ms.store(self.started.elapsed().as_millis() as u64, Ordering::Relaxed);
    }

    fn works(&self) -> MutexGuard<'_, Works> {
        // Every change of it is whole.
        self.works.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Answers a request.
    pub async fn handle(self: Arc<Self>, request: Request<Incoming>) -> Reply {
        let (head, body) = request.into_parts();
        let below = match self.guard.admit(&head.method, &head.uri, &head.headers) {
            Ok(below) => below,
            Err(barred) => {
                let (status, words) = barred.told();
                return refused(status, words);
            }
        };
        self.touch();
        let parts: Vec<&str> = below.split('/').collect();
        if head.method == Method::GET {
            return self.look(&parts).await;
        }
        if head.method != Method::POST {
            return refused(StatusCode::METHOD_NOT_ALLOWED, "only GET and POST are known here");
        }
        if head.headers.get(CONTENT_TYPE).is_none_or(|kind| kind.as_bytes() != JSON.as_bytes()) {
            return refused(StatusCode::UNSUPPORTED_MEDIA_TYPE, "a body is application/json");
        }
        let body = match self.body(body).await {
            Ok(body) => body,
            Err(refused) => return refused,
        };
        match parts[..] {
            ["work"] => self.begin(),
            ["work", id] => self.take(id, &body),
            ["work", id, "answer"] => self.answer(id, body).await,
            ["forget"] => {
                self.works().forget();
                data(StatusCode::OK, &json!({}))
            }
            _ => refused(StatusCode::NOT_FOUND, "there is nothing here"),
        }
    }

    async fn look(self: &Arc<Self>, parts: &[&str]) -> Reply {
        match parts {
            ["explorer"] => match self.explorer().await {
                Ok(bytes) => reply(StatusCode::OK, JSON, bytes),
                Err(refusal) => refused(StatusCode::UNPROCESSABLE_ENTITY, &refusal.0),
            },
            ["work"] => data(StatusCode::OK, &self.works().list()),
            ["work", id] => match self.works().kept(id) {
                Some(kept) => data(StatusCode::OK, &kept),
                None => not_taken(NotTaken::Unknown),
            },
            _ => match self.site.assets.iter().find(|asset| asset.path == parts.join("/")) {
                Some(asset) => reply(StatusCode::OK, asset.kind, Bytes::copy_from_slice(&asset.bytes)),
                None => refused(StatusCode::NOT_FOUND, "there is nothing here"),
            },
        }
    }

    /// The body of a request, if it is short and comes in time.
    async fn body(&self, body: Incoming) -> Result<Bytes, Reply> {
        let most = self.limits.body_bytes;
        let long = || refused(StatusCode::PAYLOAD_TOO_LARGE, "the body is too long");
        // Who says beforehand that it is too long need not send it.
        if body.size_hint().lower() > most as u64 {
            return Err(long());
        }
        match tokio::time::timeout(self.limits.body, Limited::new(body, most).collect()).await {
            Err(_) => Err(refused(StatusCode::REQUEST_TIMEOUT, "the body took too long")),
            Ok(Err(error)) if error.is::<LengthLimitError>() => Err(long()),
            Ok(Err(_)) => Err(refused(StatusCode::BAD_REQUEST, "the body ended too soon")),
            Ok(Ok(whole)) => Ok(whole.to_bytes()),
        }
    }

    fn begin(&self) -> Reply {
        match self.works().begin(&self.limits) {
            Ok(id) => data(StatusCode::CREATED, &json!({ "id": id })),
            Err(why) => not_taken(why),
        }
    }

    fn take(&self, id: &str, body: &[u8]) -> Reply {
        let Ok(more) = serde_json::from_slice::<More>(body) else {
            return refused(StatusCode::BAD_REQUEST, "the body is no piece of work");
        };
        match self.works().take(id, more, &self.limits) {
            Ok(length) => data(StatusCode::OK, &json!({ "length": length })),
            Err(why) => not_taken(why),
        }
    }

    async fn answer(self: &Arc<Self>, id: &str, question: Bytes) -> Reply {
        let Some((log, known)) = self.works().asked(id, &question) else { return not_taken(NotTaken::Unknown) };
        if let Some(answer) = known {
            return reply(StatusCode::OK, JSON, answer);
        }
        let _waits = match Waits::enter(&self.waiting, self.limits.waiting) {
            Some(waits) => waits,
            None => {
                return refused(StatusCode::SERVICE_UNAVAILABLE, "many questions wait already; ask again in a while");
            }
        };
        let _turn = self.answering.acquire().await.expect("it is never closed");
        let (site, length, asked) = (Arc::clone(&self.site), log.len(), question.clone());
        match away(move || site.answers.answer(&log, &asked)).await {
            Ok(answer) => {
                self.works().answered(id, length, question, answer.clone());
                reply(StatusCode::OK, JSON, answer)
            }
            Err(refusal) => refused(StatusCode::UNPROCESSABLE_ENTITY, &refusal.0),
        }
    }

    /// What the page shows without a log, made once.
    pub async fn explorer(self: &Arc<Self>) -> Result<Bytes, Refusal> {
        let make = || {
            let site = Arc::clone(&self.site);
            away(move || site.answers.explorer())
        };
        self.explorer.get_or_init(make).await.clone()
    }
}

/// Calls what takes its time away from the thread of the server; a fault of ours ends neither.
async fn away(call: impl FnOnce() -> Result<Vec<u8>, Refusal> + Send + 'static) -> Result<Bytes, Refusal> {
    let fault = || Refusal("this is a fault of the program; the terminal in which it runs says more".to_owned());
    let caught = move || std::panic::catch_unwind(AssertUnwindSafe(call));
    match tokio::task::spawn_blocking(caught).await {
        Ok(Ok(answer)) => answer.map(Bytes::from),
        Ok(Err(_)) | Err(_) => Err(fault()),
    }
}

fn not_taken(why: NotTaken) -> Reply {
    match why {
        NotTaken::Unknown => refused(StatusCode::NOT_FOUND, "there is no such work; it was forgotten"),
        NotTaken::Elsewhere(length) => data(StatusCode::CONFLICT, &json!({ "length": length })),
        NotTaken::Many => {
            refused(StatusCode::TOO_MANY_REQUESTS, "there are too many pieces of work; forget them and start again")
        }
        NotTaken::Long => refused(StatusCode::INSUFFICIENT_STORAGE, "the log is too long to keep"),
        NotTaken::Nameless => refused(StatusCode::SERVICE_UNAVAILABLE, "the system gives no random numbers"),
    }
}

/// A question that waits; counted as long as it does, also when its connection breaks.
struct Waits<'a>(&'a AtomicUsize);

impl<'a> Waits<'a> {
    fn enter(count: &'a AtomicUsize, most: usize) -> Option<Self> {
        let before = count.fetch_add(1, Ordering::Relaxed);
        let waits = Self(count);
        // Dropped again if it is one too many.
        (before <= most).then_some(waits)
    }
}

impl Drop for Waits<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}
