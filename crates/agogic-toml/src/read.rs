//! From a text to what it says.

use toml::de::DeTable;

use crate::diagnostics::Diagnostics;
use crate::mistakes::Mistakes;
use crate::section::Section;

/// Reads a text. `read` asks the outermost table for its keys; it gives `None` only where it logged a mistake.
///
/// # Errors
/// Every mistake at once: those that `read` logged, and keys of the outermost table that it did not ask for. Of a text
/// that is no TOML, every place where it is none.
///
/// # Panics
/// `read` gave nothing and logged nothing.
pub fn read<T>(source: &str, read: impl FnOnce(&Section<'_, '_>) -> Option<T>) -> Result<T, Mistakes> {
    let log = Diagnostics::new(source);
    let (table, faults) = DeTable::parse_recoverable(source);
    for fault in &faults {
        let line = fault.span().map_or(1, |span| log.line_of(span.start));
        log.add(line, "", format!("this is not TOML: {}", fault.message()));
    }
    if !faults.is_empty() {
        return Err(log.finish().expect_err("faults were logged"));
    }
    let root = Section::root(&table, &log);
    let value = read(&root);
    root.finish();
    log.finish()?;
    Ok(value.expect("a text without mistakes gives a value"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_toml_is_said_with_its_line_and_read_no_further() {
        let mistakes = read("a = 1\nb = \nc = \n", |_| -> Option<()> { unreachable!() }).unwrap_err();
        let lines: Vec<_> = mistakes.0.iter().map(|mistake| mistake.line).collect();
        assert_eq!(lines, [Some(2), Some(3)]);
        assert!(mistakes.0.iter().all(|mistake| mistake.key.is_empty() && mistake.message.contains("not TOML")));
    }

    #[test]
    fn a_key_that_nobody_asked_for_is_a_mistake() {
        let of = |text: &str| read(text, |root| Some(root.flag("on")?.value));
        assert_eq!(of("on = true\n"), Ok(true));
        let mistakes = of("on = true\n\noff = true\n").unwrap_err();
        assert_eq!(mistakes.to_string(), "line 3: `off`: is not a key here (keys here: on)");
    }
}
