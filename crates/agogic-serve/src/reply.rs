//! What is sent back, and what every reply forbids the browser.

use http_body_util::Full;
use hyper::body::Bytes;
use hyper::header::{CACHE_CONTROL, CONTENT_TYPE, HeaderName, HeaderValue};
use hyper::{Response, StatusCode};
use serde::Serialize;

pub(crate) type Reply = Response<Full<Bytes>>;

pub(crate) const JSON: &str = "application/json";

/// What every reply says beside itself.
///
/// Nothing is loaded from elsewhere, sent elsewhere, framed, stored, or shown to other pages. A page that is cut off from
/// others may also see the clock in finer steps (High Resolution Time, W3C, section 10.1: from memory).
const FORBIDS: [(&str, &str); 8] = [
    (
        "content-security-policy",
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
         base-uri 'none'; form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'",
    ),
    ("referrer-policy", "no-referrer"),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-embedder-policy", "require-corp"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(), microphone=(), geolocation=(), display-capture=()"),
];

/// A reply of some kind.
pub(crate) fn reply(status: StatusCode, kind: &'static str, body: Bytes) -> Reply {
    let mut reply = Response::new(Full::new(body));
    *reply.status_mut() = status;
    let headers = reply.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(kind));
    headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
    for (name, value) in FORBIDS {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
    reply
}

/// Plain data.
pub(crate) fn data(status: StatusCode, data: &impl Serialize) -> Reply {
    reply(status, JSON, serde_json::to_vec(data).expect("it is plain data").into())
}

/// A refusal in words.
pub(crate) fn refused(status: StatusCode, words: &str) -> Reply {
    data(status, &serde_json::json!({ "refused": words }))
}
