//! What stands on the pages, in which order, and that hostile text stays text.

use crate::bay::{Bench, REF, attribute, forms, step_on, words};
use axum::http::StatusCode;

const VIEWS: [&str; 5] = ["", "/else", "/odds", "/options", "/hand-over"];

/// A text that would run, turn the line round or break out, were it not treated as text.
const HOSTILE: &str = "<script>alert(1)</script>\\\" onclick=alert(1) '><img src=x onerror=alert(1)> \\u202Egnp.exe\\u2066 & ${x}";

fn hostile_sheet() -> String {
    format!(
        r#"
[sheet]
format = 1
id = "hostile"
title = "{HOSTILE}"
version = 1
codes = []
sources = ["common practice"]
[economy]
currency = "EUR"
labour_per_hour = 60.0
comeback = 400.0
pass_on = 300.0
[[suspect]]
id = "pipe"
title = "{HOSTILE}"
weight = 2.0
[[suspect]]
id = "pump"
title = "{HOSTILE}"
weight = 1.0
[[item]]
id = "lid"
title = "{HOSTILE}"
strip_min = 1.0
refit_min = 1.0
caution = ["rotating"]
  [[item.fluid]]
  id = "oil"
[[check]]
id = "look"
title = "{HOSTILE}"
how = "{HOSTILE}"
minutes = 1.0
off = ["lid"]
outcomes = ["dry", "wet"]
  [check.outcome]
  dry = "{HOSTILE}"
  wet = "{HOSTILE}"
  [check.given]
  fine = {{ dry = 0.9, wet = 0.1 }}
  pipe = {{ dry = 0.1, wet = 0.9 }}
[[repair]]
id = "new-pipe"
title = "{HOSTILE}"
minutes = 20.0
parts = 30.0
off = ["lid"]
fixes = {{ pipe = 0.9 }}
[[repair]]
id = "new-pump"
title = "{HOSTILE}"
minutes = 20.0
parts = 60.0
fixes = {{ pump = 0.9 }}
"#
    )
}

fn is_harmless(page: &str, what: &str) {
    let scripts: Vec<&str> = page.split("<script").skip(1).collect();
    assert_eq!(scripts.len(), 1, "{what}");
    assert!(scripts[0].starts_with(" src=\"/assets/app.js\" defer></script>"), "{what}");
    for piece in page.split('<').skip(1) {
        let tag = piece.split('>').next().unwrap();
        assert!(!tag.starts_with("img"), "{what}: {tag}");
        // Quoted values hold no bare quotation mark, so what is left are names.
        let names: String = tag.split('"').step_by(2).collect();
        assert!(!names.contains(" on") && !names.contains("style"), "{what}: {tag}");
    }
    let turns = |c: char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    assert!(!page.chars().any(|c| turns(c) || c.is_control() && c != '\n'), "{what}");
}

#[tokio::test]
async fn hostile_text_of_a_sheet_and_of_forms_stays_text() {
    let bench = Bench::new();
    let job = bench.job(&hostile_sheet());
    let car = format!("/car/{job}");
    let loud = "<script>alert(1)</script>\u{202e}\u{1b}[31m\" onfocus=alert(1)";
    let fields =
        [("note=", 'a'), ("raise=", 'b'), ("seen:unsafe=", 'c'), ("before:lamps=", 'd')];
    for (what, digit) in fields {
        let reference = digit.to_string().repeat(32);
        let got = bench
            .post(
                &format!("{car}/did"),
                &[("ref", &reference), ("what", what), ("say", loud)],
            )
            .await;
        assert_eq!(got.status, StatusCode::SEE_OTHER, "{}", got.text);
    }
    bench
        .post(&format!("{car}/did"), &[("ref", &"e".repeat(32)), ("what", "off:lid")])
        .await;
    for view in VIEWS {
        let got = bench.get(&format!("{car}{view}")).await;
        assert_eq!(got.status, StatusCode::OK, "{view}: {}", words(&got.text));
        is_harmless(&got.text, view);
        assert!(got.text.contains("&lt;script&gt;"), "{view}");
    }
    let new = [
        ("ref", REF),
        ("sheet", "none"),
        ("plate", loud),
        ("vehicle", loud),
        ("owner", loud),
        ("complaint", loud),
        ("phone", loud),
        ("code", loud),
    ];
    let other = bench.post("/new", &new).await;
    assert_eq!(other.status, StatusCode::SEE_OTHER, "{}", other.text);
    for page in ["/".to_owned(), other.leads_to().to_owned()] {
        let got = bench.get(&page).await;
        is_harmless(&got.text, &page);
        assert!(got.text.contains("&lt;script&gt;"), "{page}");
    }
    // What is refused is named, and named as text.
    let wrong = bench.post(&format!("{car}/did"), &[("ref", REF), ("what", loud)]).await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_harmless(&wrong.text, "a refusal");
    let lost = bench.get("/car/%3Cscript%3Ealert(1)%3C%2Fscript%3E").await;
    assert_eq!(lost.status, StatusCode::NOT_FOUND);
    is_harmless(&lost.text, "an unknown car");
}

#[tokio::test]
async fn cars_on_hand_are_a_plain_list() {
    let bench = Bench::new();
    let empty = bench.get("/").await;
    assert!(words(&empty.text).contains("No car on hand."));
    let job = bench.van().await;
    let (title, _) = step_on(&bench.get(&format!("/car/{job}")).await.text);
    let page = bench.get("/").await.text;
    let said = words(&page);
    assert!(page.contains(&format!("<li><a href=\"/car/{job}\">")));
    assert!(said.contains("QX 4417 Z waits for me since "), "{said}");
    assert!(said.contains(&::pages::five_words(&title)), "{said}");
    assert!(said.contains("New car"));
    assert!(!page.contains("<table") && !page.contains('%'), "a plain list");
}

#[tokio::test]
async fn the_step_says_minutes_what_comes_off_and_cautions_before_how() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    // On to a step with all of it.
    for _ in 0..12 {
        let next = bench.bay().next(&job).unwrap();
        let step = next.step.unwrap();
        let page = bench.get(&car).await.text;
        let at = |what: &str| page.find(what);
        let (title, outcomes) = step_on(&page);
        // Another planner may think of another step.
        let same = step.title == title;
        if same
            && step.kind == "check"
            && !step.strip.is_empty()
            && !step.cautions.is_empty()
        {
            for (item, caution) in step.strip.iter().zip(&step.cautions) {
                assert!(words(&page).contains(&item.title));
                assert!(words(&page).contains(&caution.text), "{}", caution.text);
            }
            let how = at("class=\"how\"").unwrap();
            assert!(at("class=\"figures\"").unwrap() < at("Comes off first").unwrap());
            assert!(at("Comes off first").unwrap() < at("class=\"caution\"").unwrap());
            assert!(page.rfind("class=\"caution\"").unwrap() < how);
            assert!(how < at("class=\"outcomes\"").unwrap());
            assert!(at("class=\"outcomes\"").unwrap() < at("Couldn't tell").unwrap());
            assert!(at("Couldn't tell").unwrap() < at("Something else instead").unwrap());
            return;
        }
        bench.tap(&page, &outcomes[0]).await;
    }
    panic!("no step with items and cautions came up");
}

#[tokio::test]
async fn a_sheet_without_checks_has_its_repairs_a_tap_away() {
    let sheet = r#"
[sheet]
format = 1
id = "plain"
title = "Plain"
version = 1
codes = []
sources = ["common practice"]
[economy]
currency = "EUR"
labour_per_hour = 60.0
comeback = 400.0
pass_on = 300.0
[[suspect]]
id = "hose"
title = "Hose split"
weight = 2.0
[[repair]]
id = "new-hose"
title = "New hose"
minutes = 20.0
fixes = { hose = 0.95 }
"#;
    let bench = Bench::new();
    let job = bench.job(sheet);
    let others = bench.get(&format!("/car/{job}/else")).await.text;
    assert!(others.contains("href=\"#repairs\"") && !words(&others).contains("Proofs"));
    let got = bench.tap(&others, "repair:new-hose").await;
    assert_eq!(got.status, StatusCode::SEE_OTHER, "{}", got.text);
    assert_eq!(bench.counted(&job, "repair.done"), 1);
}

#[tokio::test]
async fn every_page_says_do_not_start_while_oil_can_run_out() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    for view in VIEWS {
        assert!(!bench.get(&format!("{car}{view}")).await.text.contains("Do not start"));
    }
    bench.post(&format!("{car}/did"), &[("ref", REF), ("what", "off:oil-feed")]).await;
    for view in VIEWS {
        let page = bench.get(&format!("{car}{view}")).await.text;
        let header = page.split("</header>").next().unwrap();
        assert!(header.contains("Do not start"), "{view}");
        assert!(header.contains("engine-oil is open"), "{view}");
    }
    assert!(words(&bench.get("/").await.text).contains("do not start"));
}

#[tokio::test]
async fn odds_are_words_in_the_order_of_the_sheet() {
    let bench = Bench::new();
    let job = bench.van().await;
    let said = words(&bench.get(&format!("/car/{job}/odds")).await.text);
    assert!(!said.contains('%'), "{said}");
    let shown = bench.show(&job);
    let worth: Vec<_> = shown.odds.iter().filter(|odds| odds.p > 0.06).collect();
    assert!(worth.len() > 2);
    let places: Vec<usize> = worth
        .iter()
        .map(|odds| said.find(&format!("{} {}", odds.title, odds.words)).unwrap())
        .collect();
    assert!(places.is_sorted(), "{places:?}");
}

#[tokio::test]
async fn the_owner_is_shown_price_chance_and_time_of_each_way() {
    let bench = Bench::new();
    let job = bench.van().await;
    let page = bench.get(&format!("/car/{job}/options")).await.text;
    let said = words(&page);
    let answer = bench.bay().options(&job).unwrap();
    assert!(answer.options.len() > 2);
    for option in &answer.options {
        assert!(said.contains(&option.title), "{}", option.title);
    }
    assert!(
        said.contains("No more: put back as it is") && said.contains("Agreed, up to")
    );
    for word in ["Price", "It holds", "Ready", "If not"] {
        assert!(said.contains(word), "{word}");
    }
}

#[tokio::test]
async fn an_unknown_car_is_a_page_that_leads_back() {
    let bench = Bench::new();
    for path in [
        "/car/zzzzz",
        "/car/zzzzz/odds",
        "/car/zzzzz/options",
        "/nothing",
        "/assets/none.js",
    ] {
        let got = bench.get(path).await;
        assert_eq!(got.status, StatusCode::NOT_FOUND, "{path}");
        assert!(got.text.contains("href=\"/\""), "{path}");
    }
    let got = bench.post("/car/zzzzz/did", &[("ref", REF), ("what", "note=x")]).await;
    assert_eq!(got.status, StatusCode::NOT_FOUND);
}

/// WCAG 2.2: language 3.1.1, title 2.4.2, headings and landmarks 1.3.1, labels 3.3.2 and
/// 4.1.2, status messages 4.1.3, a way past repeated blocks 2.4.1.
#[tokio::test]
async fn pages_are_built_for_keyboard_and_screen_reader() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    bench.post(&format!("{car}/did"), &[("ref", REF), ("what", "off:oil-feed")]).await;
    let mut paths = vec!["/".to_owned(), "/new".to_owned(), "/nothing".to_owned()];
    paths.extend(VIEWS.iter().map(|view| format!("{car}{view}")));
    for path in paths {
        let page = bench.get(&path).await.text;
        assert!(
            page.contains("<html lang=\"en\">") && page.contains("<title>"),
            "{path}"
        );
        for part in [
            "<header",
            "<main id=\"main\"",
            "<footer",
            "role=\"status\"",
            "class=\"skip\" href=\"#main\"",
        ] {
            assert_eq!(page.matches(part).count(), 1, "{path}: {part}");
        }
        let levels: Vec<u32> = page
            .match_indices("<h")
            .filter_map(|(at, _)| page[at + 2..].chars().next()?.to_digit(10))
            .collect();
        assert_eq!(levels.iter().filter(|level| **level == 1).count(), 1, "{path}");
        assert_eq!(levels.first(), Some(&1), "{path}");
        assert!(levels.windows(2).all(|two| two[1] <= two[0] + 1), "{path}: {levels:?}");
        for field in ["<input", "<textarea", "<select"] {
            for (at, _) in page.match_indices(field) {
                let hidden = attribute(&page[at..], "type") == Some("hidden");
                let before = &page[..at];
                let inside = before.rfind("<label") > before.rfind("</label>");
                let named = attribute(&page[at..], "id")
                    .is_some_and(|id| before.contains(&format!("<label for=\"{id}\">")));
                assert!(
                    hidden || inside || named,
                    "{path}: a field without a label: {}",
                    &page[at..at + 60]
                );
            }
        }
        for button in page.split("<button").skip(1) {
            let name =
                words(&format!("<button{}", button.split("</button>").next().unwrap()));
            assert!(!name.is_empty(), "{path}");
        }
        let ids: Vec<&str> = page
            .split(" id=\"")
            .skip(1)
            .map(|rest| rest.split('"').next().unwrap())
            .collect();
        let once = |id: &&&str| ids.iter().filter(|other| **other == **id).count() == 1;
        assert!(ids.iter().all(|id| once(&id)), "{path}: {ids:?}");
    }
}

/// 15 mm are 57 px at the 96 px an inch of CSS (CSS Values 4, 5.2); WCAG 2.2, 2.5.8 asks 24.
#[test]
fn targets_are_large_and_nothing_moves_unasked() {
    let style = include_str!("../../assets/app.css");
    let target = style.split("--target: ").nth(1).unwrap().split("px").next().unwrap();
    let least_mm = target.trim().parse::<f64>().unwrap() * 25.4 / 96.0;
    assert!(least_mm >= 15.0, "{least_mm}");
    assert!(
        style.contains("min-height: var(--target)") && style.contains(":focus-visible")
    );
    assert!(style.contains("prefers-reduced-motion"));
    assert!(!style.contains("transition") && !style.contains("animation"));
}

#[tokio::test]
async fn every_form_that_enters_something_carries_its_reference() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    bench.post(&format!("{car}/did"), &[("ref", REF), ("what", "off:oil-feed")]).await;
    let mut references = Vec::new();
    for view in VIEWS {
        let page = bench.get(&format!("{car}{view}")).await.text;
        for form in forms(&page) {
            let reference =
                attribute(form.split("<input").nth(1).unwrap(), "value").unwrap();
            assert_eq!(reference.len(), 32, "{view}: {form}");
            references.push(reference.to_owned());
        }
    }
    let all = references.len();
    references.sort();
    references.dedup();
    assert_eq!(references.len(), all);
    assert!(all > 40);
}

#[tokio::test]
async fn the_tray_is_drawn_cell_by_cell() {
    let bench = Bench::new();
    let job = bench.van().await;
    let empty = bench.get(&format!("/car/{job}/tray")).await;
    assert!(words(&empty.text).contains("Nothing came off yet"));
    bench
        .bay()
        .did(&job, &[app::bay::Happened::Off("heat-shield".to_owned())], None)
        .unwrap();
    let page = bench.get(&format!("/car/{job}/tray")).await.text;
    let tray = bench.bay().tray(&job).unwrap();
    let cells: Vec<u32> = tray
        .items
        .iter()
        .flat_map(|item| &item.kinds)
        .flat_map(|kind| &kind.cells)
        .map(|cell| cell.cell)
        .collect();
    // The undertray in front of it came off too; every hole has a cell of its own.
    assert_eq!(cells, (1..=13).collect::<Vec<u32>>());
    for cell in cells {
        assert!(page.contains(&format!(">{cell}</text>")), "cell {cell}");
    }
    assert_eq!(page.matches("<circle").count(), 13);
    assert!(page.contains("role=\"img\""));
    assert!(words(&page).contains("What lies behind what"));
}
