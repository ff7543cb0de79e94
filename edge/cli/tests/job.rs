//! A job from taking in to follow-up through the command, and what is refused on the way.
#![cfg(test)]

use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

/// A shop: a folder to work in and a store in it.
struct Shop {
    folder: TempDir,
}

impl Shop {
    fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn run(&self, words: &[&str]) -> (i32, String, String) {
        let mut command = Command::cargo_bin("witmark").unwrap();
        command.current_dir(self.path()).env("COLUMNS", "100");
        command.env("WITMARK_STORE", "store").env("WITMARK_WHO", "Jorun").args(words);
        let output = command.output().unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
    }

    /// The document of that tag.
    fn json(&self, tag: &str, words: &[&str]) -> Value {
        let (exit, out, err) = self.run(&[words, &["--json"]].concat());
        assert_eq!((exit, err.as_str(), out.lines().count()), (0, "", 1), "{words:?}");
        let answer: Value = serde_json::from_str(&out).unwrap();
        assert_eq!(answer["witmark"], tag);
        assert!(answer["remarks"].is_array(), "{out}");
        answer
    }

    fn page(&self, words: &[&str]) -> String {
        let (exit, out, err) = self.run(words);
        assert_eq!((exit, err.as_str()), (0, ""), "{words:?}: {out}");
        assert!(!out.trim().is_empty(), "{words:?}");
        out
    }

    /// The one error of a command that is refused.
    fn refused(&self, words: &[&str]) -> Value {
        let (exit, out, err) = self.run(&[words, &["--json"]].concat());
        assert_eq!(
            (exit, out.as_str(), err.lines().count()),
            (1, "", 1),
            "{words:?} {err}"
        );
        serde_json::from_str::<Value>(&err).unwrap()["error"].clone()
    }

    fn take_in(&self) -> String {
        let new = self.json(
            "job/1",
            &[
                "new",
                "--sheet",
                "boost-vane-diesel",
                "--plate",
                "QX 4417 Z",
                "--vehicle",
                "Diesel van",
                "--owner",
                "Mara Quillfeder",
                "--phone",
                "000 555 0142",
                "--complaint",
                "Weak uphill",
                "--code",
                "P0299",
                "--odometer-km",
                "184320",
                "--limit",
                "900",
                "--seen",
                "2",
                "--over-km",
                "400",
                "--ends",
                "now",
            ],
        );
        assert_eq!(new["plate"], "QX 4417 Z");
        assert_eq!(new["authorised"], 900.0);
        new["job"].as_str().unwrap().to_owned()
    }

    fn is_pdf(&self, name: &str) {
        let bytes = std::fs::read(self.path().join(name)).unwrap();
        assert!(bytes.starts_with(b"%PDF-"), "{name}");
    }
}

/// Accepts in writing all that is still loose.
fn accept_all(shop: &Shop, job: &str) {
    let show = shop.json("show/1", &["job", "show", job]);
    for end in show["loose_ends"].as_array().unwrap() {
        let fact = format!("accept:{}=told the owner", end["id"].as_str().unwrap());
        shop.json("did/1", &["did", job, &fact]);
    }
}

/// Puts back what is off, whatever may go back first.
fn put_back_all(shop: &Shop, job: &str) {
    let off = shop.json("show/1", &["job", "show", job])["off"].clone();
    let mut items: Vec<String> = off
        .as_array()
        .unwrap()
        .iter()
        .map(|item| item["item"].as_str().unwrap().to_owned())
        .collect();
    for _ in 0..items.len() {
        items.retain(|item| shop.run(&["did", job, &format!("on:{item}")]).0 != 0);
    }
    assert!(items.is_empty(), "still off: {items:?}");
}

/// A slip of the hand is taken back, and the taking back too.
fn undo_and_redo(shop: &Shop, job: &str) {
    let short = shop.json("did/1", &["did", job, "check:rod-stroke=short"]);
    let undone = shop.json("undo/1", &["undo", job]);
    assert_eq!(undone["taken_back"][0], short["recorded"][0]["event"]);
    let event = short["recorded"][0]["event"].as_str().unwrap();
    let again = undone["redo"].as_str().unwrap();
    shop.json("undo/1", &["undo", job, "--event", &again[..16]]);
    let events = shop.json("show/1", &["job", "show", job])["events"].clone();
    let restored = events.as_array().unwrap().iter().find(|one| one["event"] == event);
    assert_eq!(restored.unwrap()["fate"], "counts");
}

/// One cell a hole for the whole job: what comes off later never renumbers a label.
#[test]
fn the_tray_accounts_for_every_hole() {
    let shop = Shop::new();
    let job = shop.take_in();
    let cells = |tray: &Value, state: &str| -> Vec<u64> {
        let items = tray["items"].as_array().unwrap().iter();
        let kinds = items.flat_map(|item| item["kinds"].as_array().unwrap());
        let cells = kinds.flat_map(|kind| kind["cells"].as_array().unwrap());
        let of_state = cells.filter(|cell| cell["state"] == state);
        of_state.map(|cell| cell["cell"].as_u64().unwrap()).collect()
    };
    shop.json("did/1", &["did", &job, "off:undertray"]);
    let first = shop.json("tray/1", &["job", "tray", &job]);
    assert_eq!(cells(&first, "in-tray"), (1..=10).collect::<Vec<u64>>());
    shop.json("did/1", &["did", &job, "off:heat-shield"]);
    shop.json("did/1", &["did", &job, "fastener:undertray/tray-clip=missing"]);
    let tray = shop.json("tray/1", &["job", "tray", &job]);
    assert_eq!(tray["items"][0], {
        let mut undertray = first["items"][0].clone();
        undertray["kinds"][1]["cells"][0]["state"] = "missing".into();
        undertray
    });
    assert_eq!(cells(&tray, "in-tray").len() + cells(&tray, "missing").len(), 13);
    shop.json("did/1", &["did", &job, "on:heat-shield"]);
    let back = shop.json("tray/1", &["job", "tray", &job]);
    assert_eq!(cells(&back, "back"), [11, 12, 13]);
    let page = shop.page(&["job", "tray", &job]);
    assert!(page.contains("[11] [12] [13]"), "{page}");
    assert!(page.contains("(9 missing)"), "{page}");
}

#[test]
fn the_tray_tells_what_comes_off_next_and_what_is_left_over() {
    let shop = Shop::new();
    let job = shop.take_in();
    let state = |item: &str| -> String {
        let tray = shop.json("tray/1", &["job", "tray", &job]);
        let map = tray["map"].as_array().unwrap();
        let entry = map.iter().find(|entry| entry["item"] == item).unwrap();
        entry["state"].as_str().unwrap().to_owned()
    };
    assert_eq!(state("engine-cover"), "on");
    let next = shop.json("next/1", &["next", &job, "--budget-ms", "300"]);
    assert_eq!(next["step"]["id"], "look-over");
    assert_eq!(state("engine-cover"), "next");
    shop.json("did/1", &["did", &job, "off:undertray", "note=rattles when cold"]);
    assert_eq!(state("engine-cover"), "next", "the step is still to come");
    shop.json("did/1", &["did", &job, "code:P0299=stored"]);
    assert_eq!(state("engine-cover"), "on", "the advice may be another now");
    shop.json("did/1", &["did", &job, "fastener:undertray/tray-clip=left-over"]);
    let page = shop.page(&["job", "tray", &job, "--units", "us"]);
    assert!(page.contains("1 LEFT OVER"), "{page}");
    assert!(page.contains("lb-ft") && !page.contains("N·m"), "{page}");
}

#[test]
fn a_job_runs_from_taking_in_to_the_follow_up() {
    let shop = Shop::new();
    let job = shop.take_in();
    let next = shop.json("next/1", &["next", &job, "--budget-ms", "300"]);
    assert!(next["step"]["title"].is_string());
    let page = shop.page(&["next", "qx4417z", "--budget-ms", "300"]);
    assert!(page.contains("Note first"), "{page}");
    shop.json("did/1", &["did", &job, "code:P0299=stored", "check:look-over=nothing"]);
    undo_and_redo(&shop, &job);
    let quote = shop.json("quote/1", &["quote", &job, "--budget-ms", "300"]);
    assert_eq!(quote["authorised"], 900.0);
    let options = shop.json("options/1", &["options", &job, "--budget-ms", "300"]);
    assert!(options["options"].as_array().unwrap().len() > 1);
    shop.page(&["options", &job, "--budget-ms", "300"]);

    shop.page(&["did", &job, "repair:clean-vanes"]);
    shop.page(&["labels", &job, "--out", "labels.pdf", "--wiper", "wiper.pdf"]);
    shop.is_pdf("labels.pdf");
    shop.is_pdf("wiper.pdf");
    let blocked = shop.refused(&["hand-over", &job, "--out", "papers"]);
    assert_eq!(blocked["kind"], "loose-ends");
    assert!(!shop.path().join("papers/owner.pdf").exists());

    put_back_all(&shop, &job);
    shop.json("did/1", &["did", &job, "proof:short-drive=clear"]);
    accept_all(&shop, &job);
    let over = shop.json(
        "handed-over/1",
        &[
            "hand-over",
            &job,
            "--out",
            "papers",
            "--odometer-km",
            "184356",
            "--trial",
            "A week",
        ],
    );
    shop.is_pdf("papers/owner.pdf");
    shop.is_pdf("papers/file.pdf");
    assert_eq!(shop.refused(&["hand-over", &job])["kind"], "closed");

    let ask = shop.json("follow-ups/1", &["follow-up"]);
    assert_eq!(ask["ask"][0]["job"], job.as_str());
    let words =
        ["follow-up", &job, "--odometer-km", "184881", "--lamp", "no", "--cleared", "no"];
    let heard = shop.json("follow-up/1", &words);
    assert!(heard["p_fixed"].as_f64() > heard["p_before"].as_f64());

    let first = std::fs::read(shop.path().join("papers/owner.pdf")).unwrap();
    let report = shop.json("papers/1", &["report", &job, "--out", "again"]);
    assert_eq!(report["files"].as_array().unwrap().len(), 2);
    let second = std::fs::read(shop.path().join("again/owner.pdf")).unwrap();
    assert_eq!(first, second, "the same job prints the same bytes");

    let head = over["head"].as_str().unwrap();
    let sound = shop.json("verify/1", &["log", "verify", "--head", head]);
    assert_eq!(sound["sound"], true);
    let other = "0".repeat(64);
    let cut = shop.json("verify/1", &["log", "verify", "--head", &other]);
    assert_eq!(cut["sound"], false);
}

#[test]
fn an_archive_carries_a_job_to_another_store_and_lists_show_it() {
    let shop = Shop::new();
    let job = shop.take_in();
    let listed = shop.json("jobs/1", &["job", "list"]);
    assert_eq!(listed["cars"][0]["job"], job.as_str());
    assert!(shop.page(&["job", "list"]).contains("QX 4417 Z"));
    shop.json("import/1", &["log", "export", "all.archive"]);
    let import = ["--store", "other", "log", "import", "all.archive"];
    assert!(shop.json("import/1", &import)["events"].as_u64() > Some(0));
    let there = shop.json("show/1", &["--store", "other", "job", "show", "QX4417Z"]);
    assert_eq!(there["job"], job.as_str());
    shop.page(&["job", "show", &job]);
    let passed =
        shop.json("handed-over/1", &["hand-over", &job, "--pass-on-to", "A colleague"]);
    assert_eq!(passed["words"], "passed on");
    assert_eq!(
        shop.json("jobs/1", &["job", "list"])["cars"].as_array().unwrap().len(),
        0
    );
    assert_eq!(
        shop.json("jobs/1", &["job", "list", "--all"])["cars"].as_array().unwrap().len(),
        1
    );
}

#[test]
fn what_is_wrong_with_a_job_names_the_thing_and_the_next_move() {
    let shop = Shop::new();
    assert_eq!(shop.refused(&["next", "abcde"])["kind"], "no-store");
    let job = shop.take_in();
    let kind = |words: &[&str]| shop.refused(words)["kind"].as_str().unwrap().to_owned();
    assert_eq!(kind(&["next", "nobody"]), "no-job");
    assert_eq!(kind(&["did", &job, "nonsense"]), "form");
    assert_eq!(kind(&["did", &job, "check:nowhere=tight"]), "unknown-id");
    assert_eq!(kind(&["did", &job, "authorised=much"]), "form");
    assert_eq!(kind(&["did", &job, "recording:before=nowhere.csv"]), "not-found");
    assert_eq!(kind(&["undo", &job, "--event", "ffff"]), "unknown-id");
    assert_eq!(kind(&["labels", &job]), "nothing-off");
    assert_eq!(kind(&["follow-up", &job]), "nothing");
    assert_eq!(kind(&["follow-up", &job, "--lamp", "no"]), "not-handed-over");
    assert_eq!(kind(&["new", "--seen", "2"]), "count");
    assert_eq!(kind(&["log", "import", "nowhere"]), "not-found");
    assert_eq!(kind(&["--store", "no/such/place", "new"]), "not-found");
    // None of it left a trace.
    let events = shop.json("show/1", &["job", "show", &job])["events"].clone();
    assert!(events.as_array().unwrap().iter().all(|one| one["kind"] != "check.done"));
    std::fs::write(shop.path().join("own.txt"), "mine").unwrap();
    assert_eq!(kind(&["demo", "--out", "."]), "not-empty");
    assert!(shop.path().join("own.txt").exists());
}

#[test]
fn the_demo_leaves_one_job_closed_and_one_on_hand_and_may_be_told_again() {
    let shop = Shop::new();
    let told = shop.json("demo/1", &["demo", "--out", "demo"]);
    let job = told["job"].as_str().unwrap();
    for file in told["files"].as_array().unwrap() {
        shop.is_pdf(file.as_str().unwrap());
    }
    let store = told["store"].as_str().unwrap();
    let shown = shop.json("show/1", &["--store", store, "job", "show", job]);
    assert_eq!(shown["state"], "handed-over");
    let again = shop.page(&["demo", "--out", "demo"]);
    assert!(again.contains("witmark serve --store"), "{again}");
    let list = shop.json("jobs/1", &["--store", "demo", "job", "list", "--all"]);
    assert_eq!(
        list["cars"].as_array().unwrap().len(),
        2,
        "the first telling is cleared away"
    );
}
