//! `bench`: benchmarks, one command a table.

use std::process::ExitCode;

use clap::{Parser, Subcommand};

mod ask;
mod beliefs;
mod dice;
mod explicit;
mod full;
mod own;
mod plain;
mod planner;
mod python;
mod recordings;
mod say;
mod sheets;

#[derive(Debug, Parser)]
#[command(name = "bench", about = "Benchmarks of Witmark, one command a table")]
struct Asked {
    #[command(subcommand)]
    table: Table,
}

#[derive(Debug, Subcommand)]
enum Table {
    /// The planner on seeded sheets: time to first advice and to that after a fact, gap after
    /// some time, states kept.
    Planner(planner::Args),
    /// The planner against a general-purpose solver of explicit decision processes.
    Explicit(explicit::Args),
    /// Odds after answers against exact inference in a published fault network.
    Beliefs(beliefs::Args),
    /// A long recording read and judged, against the time in which a library only reads it.
    Recordings(recordings::Args),
}

fn main() -> ExitCode {
    let done = match Asked::parse().table {
        Table::Planner(args) => planner::run(&args),
        Table::Explicit(args) => explicit::run(&args),
        Table::Beliefs(args) => beliefs::run(&args),
        Table::Recordings(args) => recordings::run(&args),
    };
    let Err(why) = done else { return ExitCode::SUCCESS };
    say::note(&why);
    ExitCode::FAILURE
}
