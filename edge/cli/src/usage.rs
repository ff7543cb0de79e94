//! What the command line itself got wrong: exit status 2; and help, which is an answer.

use std::ffi::OsString;
use std::io;

use app::{Exit, Problem};
use clap::error::ErrorKind;

use crate::output::{refuse, stripped, write_whole};

/// Whether JSON was asked for, on a command line that could not be read.
pub(crate) fn asks_for_json(typed: &[OsString]) -> bool {
    typed.iter().take_while(|word| *word != "--").any(|word| word == "--json")
}

/// Prints help or what is wrong, and says what to exit with.
pub(crate) fn report(error: &clap::Error, json: bool) -> Exit {
    let text = stripped(&error.render().to_string());
    if matches!(error.kind(), ErrorKind::DisplayHelp | ErrorKind::DisplayVersion) {
        return match write_whole(&mut io::stdout().lock(), &text) {
            Ok(()) => Exit::Answered,
            Err(error) => refuse(&Problem::could_not("unwritable", error).into(), json),
        };
    }
    if json {
        return refuse(&problem(error.kind(), &text).into(), true);
    }
    let _ = write_whole(&mut io::stderr().lock(), &text);
    Exit::Usage
}

/// The first paragraph is what is wrong; a tip, or else the usage line, is the hint.
fn problem(kind: ErrorKind, text: &str) -> Problem {
    if kind == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand {
        return Problem::usage("no command is given").hint("witmark --help lists them");
    }
    let lines = || text.lines().map(str::trim);
    let first: Vec<&str> = lines().take_while(|line| !line.is_empty()).collect();
    let what = first.join(" ");
    let said = |start: &str| lines().find_map(|line| line.strip_prefix(start));
    let hint = said("tip: ").map(str::to_owned);
    let hint = hint.or_else(|| said("Usage: ").map(|usage| format!("usage: {usage}")));
    Problem::usage(what.strip_prefix("error: ").unwrap_or(&what)).maybe_hint(hint)
}
