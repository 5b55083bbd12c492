//! A page served to the browser on the same machine, and to nobody else.
//!
//! *In*: a [`Site`]: the files of a page, and whatever [`Answers`] what is typed on it. *Out*: a [`Server`] that listens on
//! the loopback interface until it was quiet for long. What the page sends is kept in memory, so that a reload or another
//! tab loses nothing; nothing is written to disk. Nothing here knows what the page is about.
//!
//! # Who gets an answer
//! Only a request that names the server by its address (`Host`), knows the secret in the address, and comes from the page
//! itself (`Origin`, `Sec-Fetch-Site`) or, for looking at the page alone, from nowhere. So neither another program's guess,
//! nor a page of another site, nor a name that someone points to this machine gets at what was typed. The browser in turn is
//! told to load nothing from elsewhere and to send nothing anywhere (Content Security Policy Level 3, W3C).
//!
//! # What is bounded
//! The head of a request and the time it takes, its body and the time that takes, connections, pieces of work and all they
//! hold, questions that wait: [`Limits`].
//!
//! ```
//! use agogic_serve::{Answers, Asset, Limits, Refusal, Server, Site};
//!
//! struct Count;
//! impl Answers for Count {
//!     fn answer(&self, log: &[u8], _: &[u8]) -> Result<Vec<u8>, Refusal> {
//!         Ok(format!("{{\"bytes\":{}}}", log.len()).into_bytes())
//!     }
//!     fn explorer(&self) -> Result<Vec<u8>, Refusal> {
//!         Ok(b"{}".to_vec())
//!     }
//! }
//!
//! let page = Asset { path: "", kind: "text/html; charset=utf-8", bytes: b"<!DOCTYPE html><title>Low tide</title>".to_vec() };
//! let server = Server::bind(Site { assets: vec![page], answers: Count }, Limits::default())?;
//! assert!(server.address().starts_with("http://127.0.0.1:"));
//! # Ok::<(), agogic_serve::ServeError>(())
//! ```

mod guard;
mod limits;
mod reply;
mod route;
mod secret;
mod server;
mod site;
mod work;

pub use limits::Limits;
pub use server::{ServeError, Server};
pub use site::{Answers, Asset, Refusal, Site};
