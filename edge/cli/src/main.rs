//! The `witmark` command: arguments in, one document or one page out.

mod arguments;
mod command;
mod flags;
mod on_job;
mod output;
mod problem_text;
mod shell;
mod usage;

use std::process::ExitCode;

use app::Exit;
use clap::Parser;

use arguments::Arguments;
use shell::Shell;

fn main() -> ExitCode {
    let typed: Vec<_> = std::env::args_os().collect();
    let exit = match Arguments::try_parse_from(&typed) {
        Ok(arguments) => answer(arguments),
        Err(error) => usage::report(&error, usage::asks_for_json(&typed)),
    };
    ExitCode::from(exit as u8)
}

/// Runs a command and prints what it gives.
fn answer(arguments: Arguments) -> Exit {
    let shell = Shell::new(&arguments.global);
    match command::run(arguments.command, &shell) {
        Ok(output) => match shell.no_page() {
            Ok(()) => output::print(&output, &shell),
            Err(problem) => output::refuse(&problem.into(), shell.json),
        },
        Err(problems) => output::refuse(&problems, shell.json),
    }
}
