//! The one place where a table is printed.

/// Prints a line of a table.
#[expect(clippy::print_stdout, reason = "the table is what the command is for")]
pub(crate) fn say(line: &str) {
    println!("{line}");
}

/// Says what goes on, beside the table.
#[expect(clippy::print_stderr, reason = "what takes long says so")]
pub(crate) fn note(line: &str) {
    eprintln!("{line}");
}
