//! Scripts that ask a general-purpose library, in an environment of their own under the build
//! folder, made when it is missing.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::say::note;

/// The libraries and their versions.
const REQUIREMENTS: &str = include_str!("../python/requirements.txt");
/// The installed requirements, kept in the environment once they are all there.
const STAMP: &str = "installed.txt";

/// A script of `bench/python`, built in.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Script {
    name: &'static str,
    text: &'static str,
}

/// Solves explicit decision processes.
pub(crate) const EXPLICIT: Script =
    Script { name: "explicit.py", text: include_str!("../python/explicit.py") };
/// Makes the sheet of single faults of a published network.
pub(crate) const FAULTS: Script =
    Script { name: "faults.py", text: include_str!("../python/faults.py") };
/// Weighs answers by exact inference.
pub(crate) const POSTERIORS: Script =
    Script { name: "posteriors.py", text: include_str!("../python/posteriors.py") };

/// Reads a long recording.
pub(crate) const RECORDINGS: Script =
    Script { name: "recordings.py", text: include_str!("../python/recordings.py") };

/// Runs a script on a folder; it leaves its answers there.
///
/// # Errors
/// Python or a library cannot be had, or the script failed: what to do, in words.
pub(crate) fn run(script: Script, folder: &Path) -> Result<(), String> {
    let python = environment()?;
    let path = folder.join(script.name);
    write(&path, script.text.as_bytes())?;
    let mut command = Command::new(python);
    // One thread on both sides; the scripts compute and store nothing outside the folder.
    for threads in ["OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "NUMBA_NUM_THREADS"] {
        command.env(threads, "1");
    }
    command.env("PYTHONDONTWRITEBYTECODE", "1").arg(path).arg(folder);
    finish(&mut command, script.name)
}

/// Writes a file of the folder.
///
/// # Errors
/// The file and why it cannot be written.
pub(crate) fn write(path: &Path, bytes: &[u8]) -> Result<(), String> {
    fs::write(path, bytes).map_err(|error| format!("{}: {error}", path.display()))
}

/// Reads a text file of the folder.
///
/// # Errors
/// The file and why it cannot be read.
pub(crate) fn read(path: &Path) -> Result<String, String> {
    fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()))
}

/// A folder that goes away with the run.
///
/// # Errors
/// Why none can be made.
pub(crate) fn folder() -> Result<tempfile::TempDir, String> {
    tempfile::tempdir().map_err(|error| format!("no temporary folder: {error}"))
}

/// The interpreter of an environment that has all requirements.
fn environment() -> Result<PathBuf, String> {
    let program = std::env::current_exe().map_err(|error| error.to_string())?;
    let built = program.parent().and_then(Path::parent);
    let home = built.ok_or("the build folder cannot be found")?.join("bench-python");
    let python =
        home.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    let stamp = home.join(STAMP);
    if fs::read_to_string(&stamp).is_ok_and(|installed| installed == REQUIREMENTS) {
        return Ok(python);
    }
    note("Making a Python environment with the libraries to compare with; once only.");
    let made = finish(Command::new("python3").args(["-m", "venv"]).arg(&home), "python3");
    made.map_err(|why| {
        format!("{why}\nThis table needs Python 3.11 with its `venv` module: install it.")
    })?;
    let wanted = home.join("requirements.txt");
    write(&wanted, REQUIREMENTS.as_bytes())?;
    let mut install = Command::new(&python);
    install.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check"]);
    install.args(["--no-deps", "--only-binary", ":all:", "--requirement"]).arg(&wanted);
    finish(&mut install, "pip").map_err(|why| {
        format!(
            "{why}\nThe libraries of bench/python/requirements.txt cannot be installed: pip \
             needs its package index, and the versions are for Python 3.11."
        )
    })?;
    write(&stamp, REQUIREMENTS.as_bytes())?;
    Ok(python)
}

/// Runs a command to its end; what it says goes to standard error.
fn finish(command: &mut Command, name: &str) -> Result<(), String> {
    let done = command
        .output()
        .map_err(|error| format!("`{name}` cannot be started: {error}"))?;
    let said = String::from_utf8_lossy(&done.stderr);
    if !done.status.success() {
        let printed = String::from_utf8_lossy(&done.stdout);
        return Err(format!("`{name}` failed ({}).\n{printed}{said}", done.status));
    }
    Ok(())
}
