//! A progress bar on standard error; none when that is no terminal.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

/// A bar that counts `total` of `what`.
pub fn bar(total: u64, what: &'static str) -> ProgressBar {
    // indicatif hides the bar by itself when standard error is no terminal.
    let bar = ProgressBar::new(total);
    let style = ProgressStyle::with_template("{bar:40} {pos}/{len} {msg}, {eta} to go")
        .expect("the template is fixed and tested by every run");
    bar.set_style(style);
    bar.set_message(what);
    bar.enable_steady_tick(Duration::from_millis(200));
    bar
}

/// A bar that counts `what` without knowing the end.
pub fn spinner(what: &'static str) -> ProgressBar {
    let bar = ProgressBar::new_spinner();
    let style = ProgressStyle::with_template(&format!("{{spinner}} {{pos}} {what}, {{msg}}"))
        .expect("the template is fixed and tested by every run");
    bar.set_style(style);
    bar.enable_steady_tick(Duration::from_millis(200));
    bar
}
