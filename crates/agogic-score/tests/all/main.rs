//! The fast judge against readable references, on typed and invented sessions.

mod common;
mod emulator;
mod scorer;
mod text_error;
mod whole_sessions;
