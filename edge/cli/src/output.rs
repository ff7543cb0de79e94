//! Printing: one document or page on standard output, problems on standard error.

use std::io::{self, Write};

use app::{Exit, Problem, Problems};
use pages::{Page, Words};

use crate::problem_text;
use crate::shell::Shell;

/// What a command prints.
#[derive(Debug)]
pub(crate) enum Output {
    /// One document, one line.
    Json(String),
    /// A page.
    Page(Page),
    /// Plain text with its line ends.
    Text(String),
}

/// Prints an answer.
pub(crate) fn print(output: &Output, shell: &Shell) -> Exit {
    let text = match output {
        Output::Json(json) => format!("{}\n", safe_json(json)),
        Output::Page(page) => report::text(page, shell.width),
        Output::Text(text) => stripped(text),
    };
    match write_whole(&mut io::stdout().lock(), &text) {
        Ok(()) => Exit::Answered,
        Err(error) => {
            let what = format!("the answer can't be written: {error}");
            refuse(&Problem::could_not("unwritable", what).into(), shell.json)
        }
    }
}

/// Prints problems and says what to exit with.
pub(crate) fn refuse(problems: &Problems, json: bool) -> Exit {
    let mut text = String::new();
    for problem in problems.list() {
        if json {
            text.push_str(&safe_json(&problem.json_line()));
            text.push('\n');
        } else {
            text.push_str(&problem_text::shown(problem));
        }
    }
    // Where even this can't be written, the exit status still tells.
    let _ = write_whole(&mut io::stderr().lock(), &text);
    problems.exit()
}

/// Writes all of a text; a reader that has gone away is content with what it got.
pub(crate) fn write_whole(out: &mut impl Write, text: &str) -> io::Result<()> {
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        written => written,
    }
}

/// Whether a character must not reach a terminal: control or direction-changing.
fn unfit(c: char) -> bool {
    match c {
        '\n' | '\t' | ' '..='~' => false,
        '\u{2028}' | '\u{2029}' => true,
        _ if c.is_whitespace() => c.is_control(),
        _ => Words::new(c.encode_utf8(&mut [0; 4])).is_empty(),
    }
}

/// A text without control and direction-changing characters.
pub(crate) fn stripped(text: &str) -> String {
    text.chars().filter(|c| !unfit(*c)).collect()
}

/// JSON in which such characters are escaped; they stand only within strings.
fn safe_json(json: &str) -> String {
    let mut safe = String::with_capacity(json.len());
    for c in json.chars() {
        if unfit(c) {
            for unit in c.encode_utf16(&mut [0; 2]) {
                safe.extend(format!("\\u{unit:04x}").chars());
            }
        } else {
            safe.push(c);
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::{safe_json, stripped};

    #[test]
    fn nothing_that_steers_a_terminal_is_printed() {
        assert_eq!(stripped("a\u{1b}[31mb\u{202e}c\u{7f}\td\n"), "a[31mbc\td\n");
        assert_eq!(stripped("Ω µ é 排"), "Ω µ é 排");
    }

    #[test]
    fn json_keeps_what_it_says() {
        let json = serde_json::to_string("a\u{202e}b\u{9b}\u{e0041}").unwrap();
        let safe = safe_json(&json);
        assert!(safe.is_ascii());
        assert_eq!(
            serde_json::from_str::<String>(&safe).unwrap(),
            "a\u{202e}b\u{9b}\u{e0041}"
        );
    }
}
