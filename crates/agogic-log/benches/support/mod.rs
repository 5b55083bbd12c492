//! A log as text, for the benchmark and the example `reading_pace`.

use std::fmt::Write as _;

/// The same log of `rows` rows as CSV and as JSON lines: people of 20 000 presses who use seven keys.
pub fn texts(rows: u64) -> [String; 2] {
    let mut csv = "session,participant,t_us,code,edge\n".to_owned();
    let mut json = String::new();
    let keys = ["KeyA", "KeyK", "KeyE", "Space", "KeyT", "KeyN", "KeyO"];
    for press in 0..rows / 2 {
        let (person, code) = (press / 20_000, keys[press as usize % keys.len()]);
        let down = press * 180_000 + press % 977 * 80;
        for (t_us, edge) in [(down, "press"), (down + 90_000 + press % 613 * 60, "release")] {
            let _ = writeln!(csv, "1,p{person},{t_us},{code},{edge}");
            let row = format!("\"session\":1,\"participant\":\"p{person}\",\"t_us\":{t_us}");
            let _ = writeln!(json, "{{{row},\"code\":\"{code}\",\"edge\":\"{edge}\"}}");
        }
    }
    [csv, json]
}
