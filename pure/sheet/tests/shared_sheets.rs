//! The planner's sheets beside this project are all read without an error.
#![cfg(test)]

use std::path::Path;

#[test]
#[expect(clippy::print_stderr, reason = "a skipped test says so")]
fn every_sheet_of_the_shared_data_reads_clean() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data/plan");
    let Ok(entries) = std::fs::read_dir(&folder) else {
        eprintln!("skipped: no folder of shared sheets beside this project");
        return;
    };
    let mut names: Vec<_> = entries
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "toml"))
        .filter(|path| path.file_stem().is_some_and(|stem| stem != "expected"))
        .collect();
    names.sort();
    assert!(!names.is_empty());
    for path in names {
        let text = read_text(&path);
        let read = sheet::read(&text);
        let errors: Vec<_> = read.errors().collect();
        assert!(errors.is_empty(), "{}: {errors:#?}", path.display());
        let sheet = read.sheet.unwrap();
        assert_eq!(path.file_stem().unwrap().to_str().unwrap(), sheet.id);
        assert!(!sheet.suspects.is_empty() && !sheet.repairs.is_empty());
    }
}

#[expect(clippy::disallowed_methods, reason = "a test reads its data from files")]
fn read_text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap()
}
