//! One command a file: what was typed becomes what is meant, and the answer becomes output.

pub(crate) mod bench;
pub(crate) mod compare;
pub(crate) mod completions;
pub(crate) mod demo;
pub(crate) mod did;
pub(crate) mod follow_up;
pub(crate) mod hand_over;
pub(crate) mod job;
pub(crate) mod judge;
pub(crate) mod labels;
pub(crate) mod log;
pub(crate) mod man;
pub(crate) mod new;
pub(crate) mod next;
pub(crate) mod oil;
pub(crate) mod options;
pub(crate) mod plan;
pub(crate) mod prove;
pub(crate) mod quote;
pub(crate) mod ramp;
pub(crate) mod recording;
pub(crate) mod report;
pub(crate) mod schema;
pub(crate) mod serve;
pub(crate) mod sheet;
pub(crate) mod strip;
pub(crate) mod torque;
pub(crate) mod undo;

use app::Problems;

use crate::arguments::Command;
use crate::output::Output;
use crate::shell::Shell;

/// Runs a command.
pub(crate) fn run(command: Command, shell: &Shell) -> Result<Output, Problems> {
    match command {
        Command::New(new) => new.run(shell),
        Command::Next(next) => next.run(shell),
        Command::Did(did) => did.run(shell),
        Command::Undo(undo) => undo.run(shell),
        Command::Quote(quote) => quote.run(shell),
        Command::Options(options) => options.run(shell),
        Command::HandOver(hand_over) => hand_over.run(shell),
        Command::FollowUp(follow_up) => follow_up.run(shell),
        Command::Report(report) => report.run(shell),
        Command::Labels(labels) => labels.run(shell),
        Command::Job(job) => job.run(shell),
        Command::Log(log) => log.run(shell),
        Command::Serve(serve) => serve.run(shell),
        Command::Demo(demo) => demo.run(shell),
        Command::Plan(plan) => plan.run(shell),
        Command::Strip(strip) => strip.run(shell),
        Command::Torque(torque) => torque.run(shell),
        Command::Oil(oil) => oil.run(shell),
        Command::Judge(judge) => judge.run(shell),
        Command::Recording(recording) => recording.run(shell),
        Command::Compare(compare) => compare.run(shell),
        Command::Ramp(ramp) => ramp.run(shell),
        Command::Bench(bench) => bench.run(shell),
        Command::Prove(prove) => prove.run(shell),
        Command::Sheet(sheet) => sheet.run(shell),
        Command::Schema(schema) => schema.run(shell),
        Command::Completions(completions) => Ok(completions.run()),
        Command::Man(man) => man.run(),
    }
}
