//! `--page`: the page of an answer as a file of its own, whole, or refused with nothing printed.
#![cfg(test)]

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use assert_cmd::assert::Assert;

fn with_page(arguments: &str, file: &Path) -> Assert {
    let mut command = Command::cargo_bin("witmark").unwrap();
    command.args(arguments.split_whitespace()).arg("--page").arg(file);
    command.env_remove("WITMARK_STORE").assert()
}

fn printed(assert: &Assert) -> String {
    String::from_utf8(assert.get_output().stdout.clone()).unwrap()
}

#[test]
fn a_page_goes_on_paper_and_on_a_phone() {
    let folder = tempfile::tempdir().unwrap();
    let line = "torque --thread M8 --class 8.8";
    let pdf = folder.path().join("bolt.pdf");
    let said = printed(&with_page(line, &pdf).success());
    assert!(said.contains("N·m"), "it is printed too: {said}");
    let bytes = fs::read(&pdf).unwrap();
    assert!(bytes.starts_with(b"%PDF-"), "ISO 32000: the header of the format");
    let html = folder.path().join("new/bolt.HTML");
    let said = printed(&with_page(&format!("{line} --json"), &html).success());
    assert!(said.starts_with("{\"witmark\":"), "{said}");
    let text = fs::read_to_string(&html).unwrap();
    assert!(text.starts_with("<!DOCTYPE html>") && text.contains("N·m"));
    for outside in ["http:", "https:", "src=\"/", "<script", "@import", "url("] {
        assert!(!text.contains(outside), "{outside}");
    }
}

#[test]
fn what_is_no_page_is_refused_and_nothing_is_printed() {
    let folder = tempfile::tempdir().unwrap();
    for (line, file, why) in [
        ("torque --thread M8 --class 8.8", "bolt.docx", "end in .pdf or .html"),
        ("torque --thread M8 --class 8.8", "bolt", "end in .pdf or .html"),
        ("man", "man.pdf", "no page"),
    ] {
        let file = folder.path().join(file);
        let refused = with_page(line, &file).failure();
        assert_eq!(printed(&refused), "", "{line}");
        let told = String::from_utf8_lossy(&refused.get_output().stderr).into_owned();
        assert!(told.contains(why), "{told}");
        assert!(!file.exists());
    }
}
