//! `witmark log verify | export | import`.

use std::fs::File;
use std::io::{self, BufRead, BufReader};
use std::path::PathBuf;

use app::bay::{ImportAnswer, Seen, VerifyAnswer};
use app::{Problem, Problems, papers};
use clap::{Args, Subcommand};
use pages::{Page, Table, Words};

use crate::on_job::Entering;
use crate::output::Output;
use crate::shell::Shell;

/// Fewest letters of an id that are taken for one: BLAKE3 in hex.
const HEAD_LETTERS: usize = 64;

#[derive(Debug, Args)]
pub(crate) struct Log {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Debug, Subcommand)]
enum Verb {
    /// Whether anything was changed, lost or cut off
    Verify(Verify),
    /// Write everything as one archive
    Export(Archive),
    /// Take in an archive, all of it or nothing
    Import(Archive),
}

#[derive(Debug, Args)]
struct Verify {
    /// A log head that was noted elsewhere, as a report prints it
    #[arg(long, value_name = "HEAD", value_parser = head)]
    head: Vec<String>,
    #[command(flatten)]
    entering: Entering,
}

#[derive(Debug, Args)]
struct Archive {
    /// The archive
    file: PathBuf,
    #[command(flatten)]
    entering: Entering,
}

/// The id of a head, alone or as `WRITER ID`.
fn head(text: &str) -> Result<String, String> {
    let id = text.split_whitespace().next_back().unwrap_or_default().to_lowercase();
    if id.len() == HEAD_LETTERS && id.chars().all(|c| c.is_ascii_hexdigit()) {
        Ok(id)
    } else {
        Err(format!("a head is {HEAD_LETTERS} digits of 0-9 and a-f"))
    }
}

impl Log {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        match self.verb {
            Verb::Verify(verify) => {
                let by = || "the command line".to_owned();
                let seen: Vec<Seen> =
                    verify.head.into_iter().map(|id| Seen { id, by: by() }).collect();
                let answer = verify.entering.bay(shell)?.verify(&seen)?;
                shell
                    .answer(answer, |answer| page(answer, &verify.entering.language.lang))
            }
            Verb::Export(archive) => {
                let bay = archive.entering.bay(shell)?;
                let mut answer = None;
                papers::write(&archive.file, |out| {
                    answer = Some(bay.export(out)?);
                    Ok(())
                })?;
                let Some(answer) = answer else {
                    return Err(
                        Problem::could_not("archive", "nothing was written").into()
                    );
                };
                let file = archive.file.display().to_string();
                shell.text(answer, |answer| format!("{file}: {}.\n", held(answer)))
            }
            Verb::Import(archive) => {
                let mut source = opened(&archive.file)?;
                let answer = archive.entering.bay_made(shell)?.import(&mut source)?;
                shell.text(answer, |answer| format!("New here: {}.\n", held(answer)))
            }
        }
    }
}

fn opened(file: &std::path::Path) -> Result<Box<dyn BufRead>, Problem> {
    if file.as_os_str() == "-" {
        return Ok(Box::new(BufReader::new(io::stdin())));
    }
    if file.is_dir() {
        return Err(Problem::wrong("not-a-file", "this is a folder")
            .in_file(file.display())
            .hint("name a file in it"));
    }
    let opened = File::open(file).map_err(|error| {
        let problem = if error.kind() == io::ErrorKind::NotFound {
            Problem::wrong("not-found", "there is no such file")
        } else {
            Problem::could_not("unreadable", format!("the file can't be read: {error}"))
        };
        problem.in_file(file.display())
    })?;
    Ok(Box::new(BufReader::new(opened)))
}

fn held(answer: &ImportAnswer) -> String {
    let ImportAnswer { events, blobs, gone, .. } = answer;
    format!("events {events}, files and texts {blobs}, erased {gone}")
}

fn page(answer: &VerifyAnswer, language: &str) -> Page {
    let title = if answer.sound { "Nothing is wrong" } else { "Something is wrong" };
    let mut page = Page::new(title, language);
    for finding in &answer.findings {
        page.stop(finding.what.as_str());
    }
    page.paragraphs(&format!("{} events were looked at.", answer.events));
    let mut table = Table::new(&["Writer", "Head"]);
    for head in &answer.heads {
        let (writer, id) = head.split_once(' ').unwrap_or(("", head));
        table.row(vec![Words::from(writer), Words::from(id)]);
    }
    page.table(table);
    page.remarks(&answer.remarks);
    page
}
