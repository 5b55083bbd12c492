//! Logs and what is read from them: documents, planted defects, changed inputs, the recording page.

mod documents;
mod mutated;
mod planted;
mod record_page;
mod typists;
