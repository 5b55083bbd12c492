//! Opening a page in the browser that the person uses.

use std::process::{Command, Stdio};

/// What opens an address, by system.
fn openers(address: &str) -> Vec<Command> {
    let with = |program: &str, arguments: &[&str]| {
        let mut command = Command::new(program);
        command.args(arguments).arg(address);
        command
    };
    if cfg!(target_os = "macos") {
        vec![with("open", &[])]
    } else if cfg!(windows) {
        // Not through a shell: an address is no script.
        vec![with("rundll32", &["url.dll,FileProtocolHandler"])]
    } else {
        vec![with("xdg-open", &[]), with("gio", &["open"]), with("wslview", &[])]
    }
}

/// Tries to open an address; whether something took it. It is not waited for.
pub fn open(address: &str) -> bool {
    // Without a screen there is nothing to open it on.
    let shown = cfg!(any(target_os = "macos", windows))
        || ["DISPLAY", "WAYLAND_DISPLAY"].iter().any(|name| std::env::var_os(name).is_some_and(|own| !own.is_empty()));
    shown
        && openers(address).into_iter().any(|mut command| {
            let started = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn();
            started.is_ok_and(|mut child| {
                std::thread::spawn(move || child.wait());
                true
            })
        })
}
