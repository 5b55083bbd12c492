//! A reader of TOML that goes on after a mistake: specs, log layouts, cost tables, populations and pages are all read by it.
//!
//! *In*: a text, and a function that asks its tables for the keys it knows. *Out*: what the function makes of them, or
//! every mistake at once, each with its line, its dotted key and how to mend it. Keys that nobody asked for are mistakes
//! too.
//!
//! ```
//! let port = |text: &str| {
//!     agogic_toml::read(text, |root| {
//!         let name = root.text("name");
//!         if !root.contains("name") {
//!             root.missing("name", "is missing; give the port a name");
//!         }
//!         let berths = root.whole_within("berths", 1, 1..=40);
//!         Some((name?.value, berths))
//!     })
//! };
//! assert_eq!(port("name = \"Lark\"\nberths = 7\n").unwrap(), ("Lark".to_owned(), 7));
//!
//! let mistakes = port("berth = 3\nberths = 70\n").unwrap_err();
//! assert_eq!(
//!     mistakes.to_string(),
//!     "line 1: `berth`: is not a key here; did you mean `berths`? (keys here: name, berths)\n\
//!      line 1: `name`: is missing; give the port a name\n\
//!      line 2: `berths`: must lie between 1 and 40, not 70"
//! );
//! ```

mod diagnostics;
mod excerpt;
mod mistakes;
mod nearest;
mod read;
mod section;

pub use diagnostics::{Diagnostics, Found};
pub use mistakes::{Mistake, Mistakes};
pub use nearest::{hint, nearest};
pub use read::read;
pub use section::Section;
