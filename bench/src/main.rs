//! `bench`: benchmarks, one command a table.

use clap::{Parser, Subcommand};

mod dice;
mod full;
mod plain;
mod planner;
mod sheets;

#[derive(Debug, Parser)]
#[command(name = "bench", about = "Benchmarks of Witmark, one command a table")]
struct Asked {
    #[command(subcommand)]
    table: Table,
}

#[derive(Debug, Subcommand)]
enum Table {
    /// The planner on seeded sheets: time to first advice, gap after some time, states kept.
    Planner(planner::Args),
}

fn main() -> Result<(), String> {
    match Asked::parse().table {
        Table::Planner(args) => planner::run(&args),
    }
}
