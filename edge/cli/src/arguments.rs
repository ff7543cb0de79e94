//! The command line as it is typed.

use std::path::PathBuf;

use app::papers::PageFile;
use clap::builder::{PathBufValueParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::command::{
    bench, compare, completions, demo, did, follow_up, hand_over, job, judge, labels,
    log, man, new, next, oil, options, plan, prove, quote, ramp, recording, report,
    schema, serve, sheet, strip, torque, undo,
};

/// Carries a vehicle repair from fault code to proven fix.
///
/// Advice for a trained person: the maker's manual, local rules and licensed practice come
/// first. Exit status: 0 answered, 1 the input is wrong, 2 usage, 3 could not finish.
#[derive(Debug, Parser)]
#[command(name = "witmark", version, arg_required_else_help = true, max_term_width = 100)]
pub(crate) struct Arguments {
    #[command(flatten)]
    pub(crate) global: Global,
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// Flags that every command takes.
#[derive(Debug, Args)]
pub(crate) struct Global {
    /// Print one JSON document; problems are one JSON line each on standard error
    #[arg(long, global = true)]
    pub(crate) json: bool,
    /// Units of pages; files and JSON stay metric
    #[arg(
        long,
        global = true,
        value_enum,
        default_value = "metric",
        value_name = "UNITS"
    )]
    pub(crate) units: Units,
    /// Write the page of the answer to a file too: .pdf on A4, .html for a screen
    #[arg(
        long,
        global = true,
        value_name = "FILE",
        value_parser = PathBufValueParser::new().try_map(PageFile::named)
    )]
    pub(crate) page: Option<PageFile>,
    /// Where jobs are kept [default: the data folder of the user]
    #[arg(
        long,
        global = true,
        env = "WITMARK_STORE",
        hide_env_values = true,
        value_name = "PATH"
    )]
    pub(crate) store: Option<PathBuf>,
}

/// Units of pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Units {
    /// N·m and km
    Metric,
    /// lb-ft and miles
    Us,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Take a vehicle in
    New(Box<new::New>),
    /// The next step of a job, with its cautions
    Next(next::Next),
    /// Enter what happened
    Did(did::Did),
    /// Take back your last entry, or any
    Undo(undo::Undo),
    /// What it comes to from here, and what to tell the owner
    Quote(quote::Quote),
    /// The owner's page: the ways to go on
    Options(options::Options),
    /// End a job and write its papers, or pass it on
    HandOver(hand_over::HandOver),
    /// Whom to ask next, or what an owner answered
    FollowUp(follow_up::FollowUp),
    /// Write the owner's and the file's paper
    Report(report::Report),
    /// Write tray labels and the sheet under the wiper
    Labels(labels::Labels),
    /// Cars on hand, and the whole of one job
    Job(job::Job),
    /// Verify, export and import the log
    Log(log::Log),
    /// Pages for the phone in the bay, on this machine alone
    Serve(serve::Serve),
    /// One invented van from its fault code to its follow-up
    Demo(demo::Demo),
    /// What to do next, and what it may cost
    Plan(Box<plan::Plan>),
    /// What comes off to reach something, in which order, and the way back
    Strip(strip::Strip),
    /// What a bolt bears and the torque that brings it there
    Torque(Box<torque::Torque>),
    /// Level, use, viscosity and grade of engine oil
    Oil(oil::Oil),
    /// One reading against its limits, with its uncertainty
    Judge(judge::Judge),
    /// How an actual value follows its command
    Recording(recording::Recording),
    /// Two recordings: before against after
    Compare(compare::Compare),
    /// A coil's current rise: resistance, time constant, when the plunger moves and strikes
    Ramp(ramp::Ramp),
    /// A coil on the bench: current, power, how long it may be held, strokes
    Bench(bench::Bench),
    /// What driving without the fault proves
    Prove(prove::Prove),
    /// Check, write, list and show sheets
    Sheet(sheet::Sheet),
    /// The JSON Schema of a document
    Schema(schema::Schema),
    /// Completions for a shell
    Completions(completions::Completions),
    /// The manual page
    Man(man::Man),
}
