//! What the shell offers while a command is typed: names of rules, guards, populations, layouts and boards besides options
//! and files.

use std::ffi::{OsStr, OsString};

use agogic_keys::Board;
use agogic_log::LogLayout;
use agogic_policy::{GUARDS, RULES};
use agogic_typist::Population;
use clap::{Arg, Command, CommandFactory};
use clap_complete::engine::{ArgValueCompleter, CompletionCandidate, PathCompleter, ValueCompleter};
use clap_complete::env::Shells;
use clap_complete::{CompleteEnv, Shell};

use crate::args::Args;

/// The shell asks by calling the program with this set.
const ASKED_BY: &str = "AGOGIC_COMPLETE";

/// Answers the shell, where it asks. `true`: there is nothing else to do.
pub fn answered(args: &[OsString]) -> bool {
    if std::env::var_os(ASKED_BY).is_none() {
        return false;
    }
    let here = std::env::current_dir().ok();
    let asked = CompleteEnv::with_factory(command).var(ASKED_BY).try_complete(args.iter().cloned(), here.as_deref());
    asked.unwrap_or_else(|refused| refused.exit())
}

/// What the shell has to run once to ask from then on.
///
/// # Errors
/// `out` cannot be written to.
pub fn script(shell: Shell, out: &mut dyn std::io::Write) -> std::io::Result<()> {
    let shells = Shells::builtins();
    let name = shell.to_string();
    let shell = shells.completer(&name).expect("the shells of the options are those of the library");
    shell.write_registration(ASKED_BY, "agogic", "agogic", "agogic", out)
}

/// The command line with what its values can be.
fn command() -> Command {
    Args::command().mut_subcommands(|sub| {
        let of = sub.get_name().to_owned();
        sub.mut_args(|arg| told(&of, arg))
    })
}

fn told(command: &str, arg: Arg) -> Arg {
    let names = match (command, arg.get_id().as_str()) {
        (_, "population") | ("people", "against") | ("populations", "register" | "write") => Names::Populations,
        (_, "layout") => Names::Layouts,
        (_, "board") => Names::Boards,
        ("policies", "table") => Names::Learned,
        (_, "now" | "was" | "setting" | "beside") => Names::Settings,
        _ => return arg,
    };
    arg.add(ArgValueCompleter::new(names))
}

/// What a value can be.
enum Names {
    Populations,
    Layouts,
    Boards,
    /// Rules with tables.
    Learned,
    Settings,
}

impl ValueCompleter for Names {
    fn complete(&self, current: &OsStr) -> Vec<CompletionCandidate> {
        let Some(text) = current.to_str() else { return Vec::new() };
        let names: Vec<String> = match self {
            Self::Populations => Population::NAMES.iter().map(|name| (*name).to_owned()).collect(),
            Self::Layouts => LogLayout::presets().map(|(name, _)| name.to_owned()).collect(),
            Self::Boards => Board::NAMES.map(str::to_owned).into(),
            Self::Learned => RULES.iter().filter(|rule| rule.needs_training).map(|rule| rule.name.to_owned()).collect(),
            Self::Settings => settings(text),
        };
        let fits = names.into_iter().filter(|name| name.starts_with(text));
        let mut found: Vec<CompletionCandidate> = fits.map(CompletionCandidate::new).collect();
        if matches!(self, Self::Populations | Self::Layouts) && found.is_empty() {
            found.extend(PathCompleter::file().complete(current));
        }
        found
    }
}

/// Rules; after one and a comma its values and the guards.
fn settings(text: &str) -> Vec<String> {
    let Some((before, _)) = text.rsplit_once(',') else {
        return RULES.iter().map(|rule| rule.name.to_owned()).collect();
    };
    let guards =
        GUARDS.iter().map(|guard| guard.param.map_or("other hand".to_owned(), |param| format!("{} ", param.word())));
    guards.map(|guard| format!("{before}, {guard}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn offered(args: &[&str]) -> Vec<String> {
        let args: Vec<OsString> = args.iter().map(OsString::from).collect();
        let last = args.len() - 1;
        let found = clap_complete::engine::complete(&mut command(), args, last, None).unwrap();
        found.iter().map(|own| own.get_value().to_string_lossy().into_owned()).collect()
    }

    #[test]
    fn names_of_what_is_built_in_are_offered() {
        assert_eq!(offered(&["agogic", "fit", "--population", "t"]), ["trained"]);
        assert_eq!(offered(&["agogic", "inspect", "--layout", "pairs-k"]), ["pairs-keycode-ms"]);
        assert_eq!(offered(&["agogic", "redact", "--board", ""]), Board::NAMES);
        assert!(offered(&["agogic", "policies", "--table", "s"]).contains(&"sequential-evidence".to_owned()));
        assert_eq!(offered(&["agogic", "export", "over"]), ["overlap-share", "overlap-span"]);
        assert_eq!(offered(&["agogic", "advise", "--now", "enclosed, l"]), ["enclosed, lull "]);
        assert!(offered(&["agogic", "swe"]).contains(&"sweep".to_owned()));
    }
}
