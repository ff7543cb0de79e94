//! Paper: the same bytes each time, payloads that stay text, labels on their grid.
//! Text is read back with poppler's `pdftotext`, a reader that is not ours.

use std::io::Write;
use std::process::{Command, Stdio};

use pages::{Block, Page, Photo, PhotoMark, pair};
use report::{
    LONGEST_CODE, Label, LabelSheet, PdfOptions, ReportError, Stamp, labels, notice, pdf,
    qr,
};

const STAMP: Stamp =
    Stamp { year: 2026, month: 11, day: 12, hour: 10, minute: 0, second: 0 };

/// The text of a PDF, `None` where poppler is not installed.
#[expect(clippy::print_stdout, reason = "a skipped check says so")]
fn read_back(bytes: &[u8]) -> Option<String> {
    let started = Command::new("pdftotext")
        .args(["-layout", "-", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn();
    let Ok(mut reader) = started else {
        println!("skipped: pdftotext is not here, the text is not read back");
        return None;
    };
    let mut input = reader.stdin.take().unwrap();
    let bytes = bytes.to_vec();
    let feeder = std::thread::spawn(move || input.write_all(&bytes));
    let output = reader.wait_with_output().unwrap();
    feeder.join().unwrap().unwrap();
    let text = String::from_utf8_lossy(&output.stdout).replace('\u{200b}', "");
    Some(text)
}

/// Pages of a PDF: the page objects that its tree counts.
fn page_count(bytes: &[u8]) -> usize {
    let text = String::from_utf8_lossy(bytes);
    let counts = text.split("/Count ").skip(1);
    let figures = counts.filter_map(|rest| {
        rest.split(|c: char| !c.is_ascii_digit()).next().and_then(|n| n.parse().ok())
    });
    figures.max().unwrap_or(0)
}

fn options() -> PdfOptions {
    let mut options = PdfOptions::a4("Job 26-0117 · log head 9f27c40a6be1d3358c02");
    options.stamp = Some(STAMP);
    options
}

#[test]
fn the_same_pages_give_the_same_bytes() {
    let pages = [
        pages::owner_report(&crate::demo::owner()),
        pages::file_report(&crate::demo::file()),
    ];
    let first = pdf(&pages, &options()).unwrap();
    assert!(first == pdf(&pages, &options()).unwrap(), "the bytes differ");
    assert!(first.starts_with(b"%PDF-"));
    let mut later = options();
    later.stamp = Some(Stamp { day: 13, ..STAMP });
    assert!(first != pdf(&pages, &later).unwrap(), "the date is nowhere");
}

#[test]
fn the_report_reads_back_in_order() {
    let page = pages::owner_report(&crate::demo::owner());
    let bytes = pdf(std::slice::from_ref(&page), &options()).unwrap();
    assert!(page_count(&bytes) >= 2);
    let Some(text) = read_back(&bytes) else { return };
    let expected = [
        "Repair report",
        "EM 26 KLV",
        "What you told us",
        "What we found",
        "What we did",
        "How sure we are",
        "About 95 in 100 that it is fixed.",
        "What to watch",
    ];
    let mut from = 0;
    for said in expected {
        let at = text[from..].find(said);
        assert!(at.is_some(), "{said}\n{text}");
        from += at.unwrap();
    }
    assert!(text.contains("log head 9f27c40a6be1d3358c02"));
}

/// A sheet whose every text is markup of the typesetter comes out as that text.
#[test]
fn payloads_stay_text_on_paper() {
    let payloads = [
        "#panic(1) #read(\"/etc/hostname\")",
        "*b* _i_ $x^2$ `c` = h <l> @r ~ \\ // c",
        "#import \"@preview/a:1.0.0\": *",
        "</text><script>1</script>",
        "]#{}[ \"quoted\" 'single' --- ... -> 2x3",
    ];
    for payload in payloads {
        let mut page = Page::new(payload, payload);
        page.heading(payload);
        page.lead(payload);
        page.paragraphs(payload);
        page.stop(payload);
        page.facts(vec![pair(payload, payload)]);
        page.head(vec![pair(payload, payload)]);
        page.list(true, [payload]);
        page.cautions([payload]);
        page.blocks.push(Block::Sign(vec![payload.into()]));
        let items = [pages::MapItem {
            title: payload.to_owned(),
            state: pages::MapState::Off,
            behind: Vec::new(),
        }];
        page.blocks.push(Block::Drawing(pages::strip_map(payload, &items)));
        let mut options = PdfOptions::a4(payload);
        options.author = payload.to_owned();
        let bytes = pdf(&[page], &options).unwrap();
        let Some(text) = read_back(&bytes) else { continue };
        let flat = |text: &str| -> String {
            text.chars().filter(|c| !c.is_whitespace()).collect()
        };
        let found = flat(&text).matches(&flat(payload)).count();
        assert!(found >= 8, "{found} times {payload}\n{text}");
    }
}

/// A tray of forty items goes over several sheets: every cell is on one of them.
#[test]
fn a_large_tray_is_printed_whole() {
    let cell = |cell| pages::TrayCell { cell, state: pages::CellState::Lies };
    let item = |at: u32| pages::TrayItem {
        title: format!("Cover {at}"),
        kinds: vec![pages::TrayKind {
            what: "6 bolts M8".to_owned(),
            cells: (6 * at + 101..6 * at + 107).map(cell).collect(),
        }],
    };
    let items: Vec<_> = (0..40).map(item).collect();
    let mut page = Page::new("Tray", "en");
    page.blocks.push(Block::Drawing(pages::tray_drawing("In the tray", &items)));
    let bytes = pdf(&[page], &options()).unwrap();
    if let Some(text) = read_back(&bytes) {
        let words: Vec<&str> = text.split_whitespace().collect();
        for cell in 101..341 {
            let cell = cell.to_string();
            assert_eq!(words.iter().filter(|word| **word == cell).count(), 1, "{cell}");
        }
    }
}

#[test]
fn long_runs_of_letters_stay_on_the_paper() {
    let mut page = Page::new("Hash", "en");
    page.paragraphs(&"0123456789abcdef".repeat(20));
    let bytes = pdf(&[page], &options()).unwrap();
    if let Some(text) = read_back(&bytes) {
        assert!(text.lines().all(|line| line.trim().len() <= 120), "{text}");
        let joined: String = text.split_whitespace().collect();
        assert!(joined.contains(&"0123456789abcdef".repeat(20)));
    }
}

/// A photo that lies about what it is does not stop the report.
#[test]
fn a_broken_photo_is_named() {
    let mut page = Page::new("Photos", "en");
    for bytes in
        [b"\x89PNG\r\n\x1a\nbroken".to_vec(), vec![0xff, 0xd8, 0xff, 0, 1], vec![7]]
    {
        page.blocks.push(Block::Photo(Photo::plain("Vane rod", bytes)));
    }
    let bytes = pdf(&[page], &options()).unwrap();
    if let Some(text) = read_back(&bytes) {
        assert_eq!(text.matches("could not be read").count(), 3, "{text}");
    }
}

/// What is marked on a photo is on its paper.
#[test]
fn marks_are_printed_on_their_photo() {
    let marks = [("31", 0.1), ("47", 0.9)].map(|(label, x)| PhotoMark {
        label: label.to_owned(),
        x,
        y: 0.5,
        settled: false,
    });
    let photo = Photo {
        marks: marks.to_vec(),
        ..Photo::plain("Vane rod", crate::demo::wide_png())
    };
    let mut page = Page::new("Photos", "en");
    page.blocks.push(Block::Photo(photo));
    let bytes = pdf(&[page], &options()).unwrap();
    if let Some(text) = read_back(&bytes) {
        assert!(text.contains("31") && text.contains("47"), "{text}");
        assert!(!text.contains("could not be read"), "{text}");
    }
}

#[test]
fn the_sheet_under_the_wiper_is_one_a5_sheet() {
    let page = pages::wiper_sheet(&crate::demo::wiper());
    let bytes = pdf(&[page], &PdfOptions::a5("Job 26-0117")).unwrap();
    assert_eq!(page_count(&bytes), 1);
    // ISO 216: A5 is 148 × 210 mm, 419.5 × 595.3 points.
    let text = String::from_utf8_lossy(&bytes);
    assert!(text.contains("/MediaBox[0 0 419.5276 595.2756]") || text.contains("419.52"));
}

#[test]
fn the_sheet_under_the_wiper_stays_one_sheet_and_never_gives_leave_to_start() {
    let much = pages::WiperSheet {
        do_not_start: String::new(),
        off: (1..=8).map(|n| format!("Bracket of the oil feed pipe, part {n}")).collect(),
        loose_ends: (1..=9)
            .map(|n| format!("Look for leaks again at the place {n} that was open, with the coolant above 80 °C (before: covers)"))
            .collect(),
        ..crate::demo::wiper()
    };
    let page = pages::wiper_sheet(&much);
    let words = report::text(&page, 80);
    assert!(words.contains("ASK BEFORE YOU START"), "{words}");
    assert!(words.contains("And 3 more"), "{words}");
    assert_eq!(page_count(&notice(&page, &PdfOptions::a5("Job 26-0117")).unwrap()), 1);
    let nothing = pages::WiperSheet { off: Vec::new(), loose_ends: Vec::new(), ..much };
    let words = report::text(&pages::wiper_sheet(&nothing), 80);
    assert!(!words.contains("START"), "{words}");
}

fn label(cell: usize) -> Label {
    Label {
        cell: cell.to_string(),
        title: crate::demo::s("Heat shield"),
        lines: vec![
            crate::demo::s("bolt M8x1.25 × 16, 1 of 3"),
            crate::demo::s("20 N·m, cast iron"),
        ],
        code: format!("http://192.0.2.7:8020/job/26-0117/cell/{cell}"),
    }
}

#[test]
fn labels_fill_their_grid() {
    let plain = LabelSheet::default();
    for (count, skip, sheets) in
        [(1, 0, 1), (24, 0, 1), (25, 0, 2), (24, 1, 2), (48, 0, 2)]
    {
        let cells: Vec<Label> = (1..=count).map(label).collect();
        let sheet = LabelSheet { skip, ..plain };
        let bytes = labels(&cells, &sheet, Some(STAMP)).unwrap();
        assert_eq!(page_count(&bytes), sheets, "{count} labels, {skip} skipped");
    }
    let cells: Vec<Label> = (1..=3).map(label).collect();
    let first = labels(&cells, &plain, Some(STAMP)).unwrap();
    assert!(first == labels(&cells, &plain, Some(STAMP)).unwrap(), "the bytes differ");
    if let Some(text) = read_back(&first) {
        assert_eq!(text.matches("Heat shield").count(), 3, "{text}");
    }
}

#[test]
fn what_can_not_be_printed_says_why() {
    assert_eq!(pdf(&[], &options()), Err(ReportError::Empty));
    assert_eq!(labels(&[], &LabelSheet::default(), None), Err(ReportError::Empty));
    let wide = LabelSheet { across: 4, ..LabelSheet::default() };
    assert_eq!(labels(&[label(1)], &wide, None), Err(ReportError::Sheet));
    let none = LabelSheet { across: 0, ..LabelSheet::default() };
    assert_eq!(labels(&[label(1)], &none, None), Err(ReportError::Sheet));
    let long = "x".repeat(LONGEST_CODE + 1);
    assert_eq!(qr(&long), Err(ReportError::Code { bytes: LONGEST_CODE + 1 }));
    assert!(qr(&"x".repeat(LONGEST_CODE)).unwrap().starts_with("<svg"));
}
