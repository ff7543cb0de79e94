//! What a right sheet becomes: closures, defaults, rows, words, settings, the starter.
#![cfg(test)]

use std::fmt::Write as _;
use std::path::Path;

use sheet::{
    CheckIx, Economy, EconomyOverrides, Exposure, ExposureUnit, ItemIx, ItemSet, Joint,
    NewSheet, ProofKind, Rust, Sheet, Source, WindowEnd, new_sheet, read, read_settings,
};

#[expect(clippy::disallowed_methods, reason = "a test reads its cases from files")]
fn file(name: &str) -> String {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    std::fs::read_to_string(top.join(name)).unwrap()
}

fn base() -> (String, Sheet) {
    let text = file("cases/sheet-base.txt");
    let sheet = read(&text).sheet.unwrap();
    (text, sheet)
}

fn near(found: &[f64], wanted: &[f64]) {
    assert_eq!(found.len(), wanted.len());
    for (found, wanted) in found.iter().zip(wanted) {
        assert!((found - wanted).abs() < 1e-12, "{found} is not {wanted}");
    }
}

#[test]
fn items_are_closed_under_what_they_lie_behind() {
    let (_, sheet) = base();
    let set = |places: &[u8]| places.iter().copied().map(ItemIx).collect::<ItemSet>();
    let closures: Vec<ItemSet> = sheet.items.iter().map(|item| item.closure).collect();
    assert_eq!(closures, [set(&[0]), set(&[0, 1]), set(&[2]), set(&[0, 1, 3])]);
    assert!(sheet.items[0].cover && !sheet.items[1].cover);
    let look = &sheet.checks[1];
    assert_eq!(look.ways.len(), 2);
    assert_eq!(look.ways[0].named, [ItemIx(3)]);
    assert_eq!(look.ways[0].closed, set(&[0, 1, 3]));
    assert_eq!(look.ways[1].closed, set(&[0, 1]));
    assert_eq!(look.on, set(&[2]));
    let hose = &sheet.repairs[1];
    assert_eq!(hose.ways.len(), 1);
    assert!(hose.ways[0].closed.is_empty());
}

#[test]
fn rows_fall_back_as_the_design_says() {
    let (_, sheet) = base();
    assert_eq!(sheet.causes(), 3);
    near(&sheet.weights(), &[4.0, 3.0, 0.8]);
    let smoke = &sheet.checks[0];
    near(&smoke.fine, &[0.97, 0.03]);
    near(&smoke.given[0], &[0.96, 0.04]);
    near(&smoke.given[1], &[0.1, 0.9]);
    near(&smoke.given[2], &[0.96, 0.04]);
    let look = &sheet.checks[1];
    near(&look.given[0], &[0.6, 0.4]);
    near(&look.given[2], &look.fine);
    near(&look.fixes, &[0.02, 0.0, 0.0]);
    assert_eq!(look.outcomes[1].1.in_language("en"), "coked");
}

#[test]
fn rows_are_divided_by_their_sum() {
    let text = file("cases/sheet-base.txt").replace(
        "hose-split = { tight = 0.1, leak = 0.9 }",
        "hose-split = { tight = 0.1, leak = 0.3 }",
    );
    near(&read(&text).sheet.unwrap().checks[0].given[1], &[0.25, 0.75]);
}

/// Checks `k0`, `k1`, … with these values of `same_as`, and what is read of them.
fn families(same_as: &[Option<usize>]) -> Vec<Vec<CheckIx>> {
    let mut text = file("cases/sheet-base.txt");
    let row = "fine = { a = 0.9, b = 0.1 }\nhose-split = { a = 0.2, b = 0.8 }";
    for (place, other) in same_as.iter().enumerate() {
        let other = other.map_or(String::new(), |at| format!("same_as = \"k{at}\"\n"));
        writeln!(
            text,
            "[[check]]\nid = \"k{place}\"\ntitle = \"K\"\noutcomes = [\"a\", \"b\"]\n{other}\
             [check.given]\n{row}"
        )
        .unwrap();
    }
    let read = read(&text);
    assert_eq!(read.remarks, []);
    let (base, own) = (2, read.sheet.unwrap().checks.split_off(2));
    let alike = own.into_iter().map(|check| check.alike);
    // Places among the checks `k`.
    alike
        .map(|family| family.iter().map(|ix| CheckIx::from(ix.at() - base)).collect())
        .collect()
}

#[test]
fn families_hold_both_ways_and_all_the_way() {
    let set = |places: &[usize]| {
        places.iter().copied().map(CheckIx::from).collect::<Vec<CheckIx>>()
    };
    let pair = families(&[None, Some(0), None]);
    assert_eq!(pair, [set(&[1]), set(&[0]), set(&[])]);
    assert_eq!(families(&[Some(1), Some(0)]), [set(&[1]), set(&[0])]);
    // 0 names 2, 3 names 2, 1 and 4 are another family.
    let two = families(&[Some(2), Some(4), None, Some(2), None]);
    assert_eq!(two, [set(&[2, 3]), set(&[4]), set(&[0, 3]), set(&[0, 2]), set(&[1])]);
    // A ring of as many as there may be besides the two of the base.
    let ring: Vec<Option<usize>> = (0..94).map(|at| Some((at + 1) % 94)).collect();
    assert!(families(&ring).iter().all(|family| family.len() == 93));
}

#[test]
fn parts_proofs_duties_and_texts_are_as_written() {
    let (text, sheet) = base();
    let hose = &sheet.repairs[1];
    near(&[hose.parts_price, hose.parts[0].count], &[62.0, 2.0]);
    assert_eq!(hose.parts[0].deposit, Some(5.0));
    let exposure = Exposure { amount: 30.0, unit: ExposureUnit::Km };
    assert_eq!(sheet.proofs[0].kind, ProofKind::Exposure(exposure));
    assert_eq!(sheet.proofs[1].kind, ProofKind::Shows(vec![0.5, 0.9, 0.5]));
    let again = &sheet.proofs[2];
    assert!(
        matches!(&again.kind, ProofKind::Repeat { clear, .. } if clear == &[true, false])
    );
    near(&[again.minutes, again.cost], &[12.0, 2.0]);
    assert_eq!(again.needs, ["smoke-machine"]);
    assert_eq!(sheet.duties[0].because[0], Source::Item(ItemIx(3)));
    assert_eq!(sheet.recurrence.map(|count| count.ends), Some(WindowEnd::Set));
    assert_eq!(sheet.suspects[1].title.in_language("de"), "Ladeluftschlauch gerissen");
    assert_eq!(sheet.suspects[1].title.in_language("fr"), "Charge hose split");
    assert_eq!(sheet.hash, *blake3::hash(text.as_bytes()).as_bytes());
}

#[test]
fn a_gasket_makes_the_joint_soft_and_a_ring_does_not() {
    let (text, sheet) = base();
    assert_eq!(sheet.items[1].fasteners[0].joint, Joint::Soft);
    let ring = read(&text.replace("downpipe-gasket", "port-ring")).sheet.unwrap();
    assert_eq!(ring.items[1].fasteners[0].joint, Joint::Hard);
}

#[test]
fn weights_have_words() {
    for (word, weight) in
        [("rare", 0.3), ("seldom", 1.0), ("common", 3.0), ("usual", 10.0)]
    {
        let text =
            file("cases/sheet-base.txt").replace("\"common\"", &format!("\"{word}\""));
        near(&[read(&text).sheet.unwrap().suspects[1].weight], &[weight]);
    }
}

#[test]
fn the_starting_sheet_reads_without_a_remark() {
    let plain = read(&new_sheet(&NewSheet::default()));
    assert_eq!(plain.remarks, []);
    let new = NewSheet {
        title: "Odd \"title\" \\ with\nbreaks — %ID% ".to_owned(),
        id: Some("Not An Id".to_owned()),
        codes: vec!["P0299".to_owned(), "nonsense".to_owned(), "U0100-1A".to_owned()],
    };
    let sheet = read(&new_sheet(&new)).sheet.unwrap();
    assert_eq!(sheet.codes, ["P0299", "U0100-1A"]);
    assert_eq!(sheet.id, "odd-title-with-breaks-id");
    assert!(sheet.title.in_language("en").starts_with("Odd \"title\" \\ with breaks"));
}

#[test]
fn the_examples_of_the_documentation_read_without_a_remark() {
    let page = file("docs/sheet-format.md");
    let (mut examples, mut families) = (0, 0);
    for part in page.split("```toml\n").skip(1) {
        let (text, _) = part.split_once("```").unwrap();
        examples += 1;
        if text.contains("[sheet]") {
            let read = read(text);
            assert_eq!(read.remarks, []);
            let checks = read.sheet.unwrap().checks;
            families += usize::from(checks.iter().any(|check| !check.alike.is_empty()));
            assert!(checks.len() >= 2);
        } else {
            assert_eq!(read_settings(text).remarks, []);
        }
    }
    assert_eq!(examples, 3, "two worked sheets and one settings file");
    assert_eq!(families, 1, "one of the sheets shows `same_as`");
}

fn house(text: &str) -> Vec<(u32, u32, &'static str)> {
    let remarks = read_settings(text).remarks;
    remarks.iter().map(|remark| (remark.line, remark.column, remark.code)).collect()
}

#[test]
fn settings_are_read_with_the_same_care() {
    let text =
        "has = [\"recorder\", \"lift\"]\n[economy]\nrust = \"bad\"\nactive = 0.3\n";
    let settings = read_settings(text).settings.unwrap();
    assert_eq!(settings.has.unwrap(), ["recorder", "lift"]);
    assert_eq!(settings.economy.rust, Some(Rust::Bad));
    assert_eq!(settings.economy.comeback, None);
    assert_eq!(read_settings("").settings.unwrap().has, None);
    assert_eq!(house("hass = []\n"), [(1, 1, "unknown-key")]);
    assert_eq!(house("[economy]\nlabour = 3\n"), [(2, 1, "unknown-key")]);
    assert_eq!(house("[economy]\ncomeback = -1\n"), [(2, 12, "out-of-range")]);
    assert_eq!(house("[economy]\ncurrency = \"€\"\n"), [(2, 12, "bad-currency")]);
    assert_eq!(house("[economy\n"), [(1, 9, "syntax")]);
    assert!(read_settings("hass = []\n").settings.is_none());
}

#[test]
fn job_goes_over_settings_and_settings_over_sheet() {
    let (_, sheet) = base();
    let settings = EconomyOverrides {
        labour_per_hour: Some(72.0),
        comeback: Some(500.0),
        ..EconomyOverrides::default()
    };
    let job = EconomyOverrides {
        comeback: Some(600.0),
        rust: Some(Rust::None),
        ..EconomyOverrides::default()
    };
    let economy = sheet.economy.with(&job.over(settings)).unwrap();
    let wanted = Economy {
        labour_per_hour: 72.0,
        comeback: 600.0,
        rust: Rust::None,
        ..sheet.economy.clone()
    };
    assert_eq!(economy, wanted);
    let wrong =
        |over: EconomyOverrides| sheet.economy.with(&over).unwrap_err().to_string();
    let pounds =
        EconomyOverrides { currency: Some("GBP".to_owned()), ..Default::default() };
    assert!(wrong(pounds).contains("never converted"));
    let nan = EconomyOverrides { pass_on: Some(f64::NAN), ..Default::default() };
    assert!(wrong(nan).contains("`pass_on`"));
    let share = EconomyOverrides { active: Some(1.5), ..Default::default() };
    assert!(wrong(share).contains("between 0 and 1"));
}

/// The base sheet with `eased_by` on its heat shield; its remarks as kind, line and text.
fn eased(entries: &str) -> (Option<Sheet>, Vec<(String, u32, String)>) {
    let text = file("cases/sheet-base.txt")
        .replace("refit_after = []\n", &format!("eased_by = {entries}\n"));
    let read = read(&text);
    let line = text.lines().position(|line| line.starts_with("eased_by")).unwrap();
    let line = u32::try_from(line + 1).unwrap();
    let here = read.remarks.iter().filter(|remark| remark.line == line);
    let told = here.map(|r| (r.code.to_owned(), r.column, r.what.clone())).collect();
    (read.sheet, told)
}

#[test]
fn what_eases_an_item_is_read_and_nonsense_is_located() {
    let (sheet, told) = eased("{ airbox-lid = 4, x-note = \"why\" }");
    let shield = &sheet.unwrap().items[1];
    assert_eq!(shield.eased_by, [(ItemIx(2), 4.0)]);
    assert!(told.is_empty(), "{told:?}");
    let (sheet, told) = eased("{ nowhere = 4.0 }");
    assert!(sheet.is_none());
    assert_eq!(told[0], ("unresolved".into(), 14, "there is no item `nowhere`".into()));
    for (entries, code) in [
        ("{ heat-shield = 1.0 }", "eased-by-itself"),
        ("{ airbox-lid = -1.0 }", "out-of-range"),
        ("{ airbox-lid = \"long\" }", "wrong-type"),
        ("[\"airbox-lid\"]", "wrong-type"),
        ("{ airbox-lid = inf }", "not-finite"),
    ] {
        let (sheet, told) = eased(entries);
        assert!(sheet.is_none(), "{entries}");
        assert_eq!(told[0].0, code, "{entries}: {told:?}");
    }
    for pointless in ["undertray", "oil-feed"] {
        let (sheet, told) = eased(&format!("{{ {pointless} = 1.0 }}"));
        assert!(sheet.unwrap().items[1].eased_by.is_empty());
        assert_eq!(told[0].0, "eased-by", "{told:?}");
    }
}

#[test]
fn a_measure_has_limits_and_may_answer_a_check() {
    let text = file("cases/sheet-base.txt")
        .replace(
            "quantity = \"length\"\n  unit = \"mm\"",
            "quantity = \"resistance\"\n  unit = \"mohm\"",
        )
        .replace(
            "  when = \"off\"\n  urgency = \"soon\"\n",
            "  answers = \"intake-smoke\"\n",
        );
    let read = read(&text);
    assert_eq!(read.remarks, []);
    let sheet = read.sheet.unwrap();
    let measure = &sheet.items[1].measures[0];
    assert_eq!((measure.least, measure.most), (None, Some(0.1)));
    assert_eq!((&*measure.quantity, &*measure.unit), ("resistance", "mohm"));
    assert_eq!((&*measure.when, &*measure.urgency), ("off", "soon"), "by default");
    assert_eq!(measure.answers, Some(CheckIx(0)));
}
