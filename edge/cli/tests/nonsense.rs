//! Nonsense on the command line: exit status 1 or 2, nothing on standard output, exactly one
//! error, which is one JSON line with `--json`.
#![cfg(test)]

use std::ffi::OsString;
use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

/// The sheet that ships.
const SHEET: &str = "boost-vane-diesel";
/// Exit statuses.
const WRONG: i32 = 1;
const USAGE: i32 = 2;

/// Command lines with the exit status that each must have; blanks part the words, `~` is an
/// empty word.
const LINES: &[(i32, &str)] = &[
    // Plan.
    (USAGE, "plan"),
    (WRONG, "plan nowhere.toml"),
    (WRONG, "plan ."),
    (WRONG, "plan empty.toml"),
    (WRONG, "plan latin.toml"),
    (WRONG, "plan large.toml"),
    (USAGE, "plan ~"),
    (USAGE, "plan SHEET SHEET"),
    (USAGE, "plan SHEET --limt 5"),
    (USAGE, "plan SHEET --limit NaN"),
    (USAGE, "plan SHEET --limit inf"),
    (USAGE, "plan SHEET --limit -5"),
    (USAGE, "plan SHEET --limit 7,5"),
    (USAGE, "plan SHEET --limit ~"),
    (USAGE, "plan SHEET --labour-per-hour -1"),
    (USAGE, "plan SHEET --comeback 1e999"),
    (WRONG, "plan SHEET --comeback 1e300"),
    (USAGE, "plan SHEET --active 1.5"),
    (USAGE, "plan SHEET --active -0.1"),
    (USAGE, "plan SHEET --rust much"),
    (USAGE, "plan SHEET --seen -2"),
    (USAGE, "plan SHEET --seen 1.5"),
    (USAGE, "plan SHEET --over-km 400 --over-min 30"),
    (USAGE, "plan SHEET --over-km -1"),
    (USAGE, "plan SHEET --ends never"),
    (WRONG, "plan SHEET --over-starts 20"),
    (USAGE, "plan SHEET --gap 2"),
    (USAGE, "plan SHEET --gap NaN"),
    (USAGE, "plan SHEET --budget-ms -1"),
    (USAGE, "plan SHEET --budget-ms soon"),
    (USAGE, "plan SHEET --nodes 1e3"),
    (USAGE, "plan SHEET --depth 3"),
    (USAGE, "plan SHEET --tree --depth 65"),
    (USAGE, "plan SHEET --lang ../en"),
    (WRONG, "plan SHEET --done nonsense"),
    (WRONG, "plan SHEET --done ~"),
    (WRONG, "plan SHEET --done :"),
    (WRONG, "plan SHEET --done check:=@"),
    (WRONG, "plan SHEET --done check:nowhere=tight"),
    (WRONG, "plan SHEET --done repair:nowhere"),
    (WRONG, "plan SHEET --done proof:nowhere=clear"),
    (WRONG, "plan SHEET --without close"),
    (WRONG, "plan SHEET --without pass-on:pass-on"),
    (WRONG, "plan SHEET --without check:nowhere"),
    (WRONG, "plan SHEET --without sundays"),
    (WRONG, "plan SHEET --off nowhere"),
    (WRONG, "plan SHEET --workshop nowhere.toml"),
    (WRONG, "plan SHEET --workshop SHEETFILE"),
    // Strip.
    (USAGE, "strip"),
    (USAGE, "strip SHEET"),
    (WRONG, "strip SHEET --reach turbo"),
    (WRONG, "strip SHEET --reach item:nowhere"),
    (WRONG, "strip SHEET --reach proof:short-drive"),
    (USAGE, "strip SHEET --reach"),
    (WRONG, "strip SHEET --off nowhere"),
    // Torque.
    (USAGE, "torque"),
    (USAGE, "torque --thread M8"),
    (USAGE, "torque --thread Q8 --class 8.8"),
    (USAGE, "torque --thread M-8 --class 8.8"),
    (USAGE, "torque --thread M8 --class 88"),
    (USAGE, "torque --thread M8 --class A2-999"),
    (USAGE, "torque --thread M8 --class 8.8 --friction NaN"),
    (USAGE, "torque --thread M8 --class 8.8 --friction 0.2..0.1"),
    (USAGE, "torque --thread M8 --class 8.8 --head-mm -13"),
    (WRONG, "torque --thread M8 --class 8.8 --hole-mm 99"),
    (WRONG, "torque --thread M8 --class 8.8 --use 7"),
    (USAGE, "torque --thread M8 --class 8.8 --into cheese"),
    // Judge and bench.
    (USAGE, "judge"),
    (WRONG, "judge --unit ohm"),
    (USAGE, "judge --value 7.9"),
    (USAGE, "judge --value NaN --unit ohm"),
    (USAGE, "judge --value 7.9 --unit parsec"),
    (USAGE, "judge --value 7.9 --unit ohm --limits 8.4..6.6"),
    (USAGE, "judge --value 7.9 --unit ohm --limits .."),
    (WRONG, "judge --value 7.9 --unit ohm --accuracy 2d"),
    (WRONG, "judge --value 7.9 --unit ohm --accuracy rough"),
    (WRONG, "judge --value 7.9 --unit ohm --risk 0.9"),
    (WRONG, "judge --value 7.9 --unit ohm --reference-c 20"),
    (WRONG, "judge --value 7.9 --unit ohm --part-c -300"),
    (WRONG, "judge --value 7.9 --repeat 7.9,8 --unit ohm"),
    (USAGE, "judge --repeat 7.9,,8 --unit ohm"),
    (USAGE, "judge --value 7.9 --unit ohm --material cheese"),
    (USAGE, "bench --volts 12"),
    (USAGE, "bench --volts -12 --ohm 7"),
    (WRONG, "bench --volts 12 --ohm 7 --strokes 2 --stuck 3"),
    // Recordings.
    (USAGE, "recording"),
    (USAGE, "recording empty.toml"),
    (WRONG, "recording nowhere.csv --command a --actual b"),
    (WRONG, "recording empty.toml --command a --actual b"),
    (WRONG, "recording SHEETFILE --command a --actual b"),
    (USAGE, "compare empty.toml --command a --actual b"),
    (USAGE, "compare a.csv b.csv --command a --actual b --margin-s -1"),
    // Proof.
    (USAGE, "prove"),
    (WRONG, "prove --fixed 0.7"),
    (WRONG, "prove --seen 2 --fixed 0.7"),
    (WRONG, "prove --over-km 400 --fixed 0.7"),
    (WRONG, "prove --seen 0 --over-km 400 --fixed 0.7"),
    (WRONG, "prove --seen 2 --over-km 0 --fixed 0.7"),
    (USAGE, "prove --seen 2 --over-km 400 --fixed 1.7"),
    (USAGE, "prove --seen 2 --over-km 400 --fixed 0.7 --target 1"),
    (USAGE, "prove --seen 99999999999 --over-km 400 --fixed 0.7"),
    (USAGE, "prove --seen 2 --over-km 400 --fixed 0.7 --clear-km -30"),
    (WRONG, "prove --seen 2 --over-km 400 --fixed 0.7 --clear-min 30"),
    // Jobs.
    (USAGE, "new --limit much"),
    (USAGE, "new --limit -5"),
    (USAGE, "new --odometer-km NaN"),
    (WRONG, "new --sheet nowhere.toml"),
    (WRONG, "new --sheet latin.toml"),
    (WRONG, "new --over-km 400"),
    (USAGE, "next"),
    (WRONG, "next nobody --store nowhere"),
    (USAGE, "next nobody --budget-ms soon"),
    (USAGE, "did nobody"),
    (WRONG, "did nobody nonsense"),
    (WRONG, "did nobody authorised=much"),
    (WRONG, "did nobody recording:before=nowhere.csv"),
    (USAGE, "did nobody erased --reference short"),
    (WRONG, "undo nobody --store nowhere"),
    (WRONG, "quote nobody --store nowhere"),
    (WRONG, "options nobody --store nowhere"),
    (USAGE, "hand-over nobody --charged -1"),
    (USAGE, "hand-over nobody --pass-on-to me --trial week"),
    (WRONG, "hand-over nobody --store nowhere"),
    (USAGE, "follow-up --km 30"),
    (USAGE, "follow-up nobody --km 30 --odometer-km 40"),
    (USAGE, "follow-up nobody --lamp maybe"),
    (WRONG, "report nobody --store nowhere"),
    (USAGE, "labels nobody --skip 24"),
    (USAGE, "job"),
    (WRONG, "job show nobody --store nowhere"),
    (WRONG, "job list --store nowhere/at/all"),
    (WRONG, "job list --store empty.toml/in"),
    (WRONG, "job list --store large.toml"),
    (USAGE, "log verify --head 7"),
    (WRONG, "log import nowhere --store nowhere"),
    (USAGE, "serve --port 70000"),
    (WRONG, "demo --out ."),
    (WRONG, "demo --out empty.toml"),
    // Sheets and the rest.
    (USAGE, "sheet"),
    (USAGE, "sheet check"),
    (WRONG, "sheet check nowhere.toml"),
    (USAGE, "sheet burn SHEET"),
    (WRONG, "sheet show nowhere"),
    (WRONG, "sheet new SHEETFILE"),
    (WRONG, "sheet new --code oops"),
    (WRONG, "sheet new --id Not_An_Id"),
    (WRONG, "schema nothing"),
    (WRONG, "man nothing"),
    (USAGE, "completions tcsh"),
    (USAGE, "~"),
    (USAGE, "fly"),
    (USAGE, "--units furlongs sheet list"),
    (USAGE, "plan SHEET --json=yes"),
];

fn folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, bytes: &[u8]| {
        std::fs::write(folder.path().join(name), bytes).unwrap();
    };
    write("empty.toml", b"");
    write("latin.toml", b"[sheet]\ntitle = \"Kr\xfcmmer\"\n");
    write("large.toml", &vec![b'#'; (1 << 20) + 1]);
    write("sheet.toml", include_bytes!("../../../sheets/boost-vane-diesel.toml"));
    folder
}

fn words(line: &str) -> Vec<OsString> {
    let word = |word: &str| match word {
        "~" => "".into(),
        "SHEET" => SHEET.into(),
        "SHEETFILE" => "sheet.toml".into(),
        word => word.into(),
    };
    line.split_whitespace().map(word).collect()
}

/// Runs a command line; gives its exit status, standard output and standard error.
fn run(folder: &Path, words: &[OsString]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("witmark").unwrap();
    command.current_dir(folder).env_remove("WITMARK_STORE").args(words);
    let output = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// What is wrong with how nonsense was answered.
fn amiss(folder: &Path, (expected, line): (i32, &str)) -> Option<String> {
    let mut json_words = words(line);
    json_words.push("--json".into());
    let (exit, out, err) = run(folder, &json_words);
    let lines: Vec<&str> = err.lines().collect();
    let error = lines.first().and_then(|line| serde_json::from_str::<Value>(line).ok());
    let four = error.as_ref().is_some_and(|error| {
        let keys = ["kind", "what", "where", "hint"];
        keys.iter().all(|key| error["error"].get(key).is_some())
            && error["error"]["what"].as_str().is_some_and(|what| !what.is_empty())
    });
    // An empty sheet lacks more than one thing, and all of it is said at once.
    let count =
        lines.len() == 1 || line.ends_with("empty.toml") || line.ends_with("SHEETFILE");
    if exit != expected || !out.is_empty() || !count || !four {
        return Some(format!("{line} --json: exit {exit}, out {out:?}, err {err}"));
    }
    let (exit, out, err) = run(folder, &words(line));
    (exit != expected || !out.is_empty() || err.trim().is_empty())
        .then(|| format!("{line}: exit {exit}, out {out:?}, err {err}"))
}

#[test]
fn nonsense_is_refused_with_one_error_and_an_empty_answer() {
    let folder = folder();
    let failures: Vec<String> =
        LINES.iter().filter_map(|line| amiss(folder.path(), *line)).collect();
    assert!(failures.is_empty(), "{}", failures.join("\n\n"));
}

#[cfg(unix)]
#[test]
fn words_that_are_not_utf8_are_refused() {
    use std::os::unix::ffi::OsStringExt;
    let folder = folder();
    let bad = || OsString::from_vec(vec![b'a', 0xff]);
    let flag = ["plan".into(), SHEET.into(), "--lang".into(), bad(), "--json".into()];
    let (exit, out, err) = run(folder.path(), &flag);
    assert_eq!((exit, out.as_str(), err.lines().count()), (USAGE, "", 1), "{err}");
    let (exit, out, err) = run(folder.path(), &["plan".into(), bad(), "--json".into()]);
    assert_eq!((exit, out.as_str(), err.lines().count()), (WRONG, "", 1), "{err}");
}

#[test]
fn a_reader_that_goes_away_ends_it_quietly() {
    use std::process::{Command, Stdio};
    let mut child = Command::new(assert_cmd::cargo::cargo_bin("witmark"))
        .args(["sheet", "show", SHEET])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_exit_3() {
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = std::process::Command::new(assert_cmd::cargo::cargo_bin("witmark"))
        .args(["sheet", "list", "--json"])
        .stdout(full)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(3));
    let error: Value = serde_json::from_slice(&output.stderr).unwrap();
    assert_eq!(error["error"]["kind"], "unwritable");
}
