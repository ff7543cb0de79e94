//! Taps: what each records, how many it takes, and that one sent twice counts once.

use crate::bay::{Bench, attribute, button, forms, step_on, words};
use axum::http::StatusCode;

#[tokio::test]
async fn a_new_car_has_its_first_advice_after_five_taps() {
    let bench = Bench::new();
    let first = bench.get("/").await.text;
    assert!(first.contains("href=\"/new\""), "1: new car");
    let form = bench.get("/new").await.text;
    // 2: the code, 3: the plate, 4: the sum, 5: take it in.
    assert!(form.contains("value=\"boost-vane-diesel P0299\""));
    assert_eq!(form.matches(" required").count(), 1, "only the plate must be typed");
    let job = bench.van().await;
    let page = bench.get(&format!("/car/{job}")).await.text;
    assert_eq!(step_on(&page).0, bench.advised(&job));
    let shown = bench.show(&job);
    assert_eq!((shown.codes, shown.authorised), (vec!["P0299".to_owned()], Some(400.0)));
}

#[tokio::test]
async fn the_same_new_car_sent_twice_is_one_job() {
    let bench = Bench::new();
    assert_eq!(bench.van().await, bench.van().await);
    let cars = bench.bay().jobs(app::bay::Shown::All).unwrap().cars;
    assert_eq!(cars.len(), 1);
}

#[tokio::test]
async fn a_typed_code_finds_its_sheet_and_an_unknown_one_works_without() {
    let bench = Bench::new();
    let of = async |reference: &str, code: &str| {
        let fields = [("ref", reference), ("code", code), ("plate", "A 1")];
        let got = bench.post("/new", &fields).await;
        got.leads_to().strip_prefix("/car/").unwrap().to_owned()
    };
    let known = of(&"1".repeat(32), " p0299 ").await;
    assert_eq!(bench.show(&known).sheet.as_deref(), Some("boost-vane-diesel"));
    let other = of(&"2".repeat(32), "P1234").await;
    let shown = bench.show(&other);
    assert_eq!((shown.sheet, shown.codes), (None, vec!["P1234".to_owned()]));
    let page = bench.get(&format!("/car/{other}")).await;
    assert!(words(&page.text).contains("This job has no sheet"), "{}", page.text);
}

#[tokio::test]
async fn a_tap_without_what_it_needs_is_refused_in_words_and_changes_nothing() {
    let bench = Bench::new();
    let job = bench.van().await;
    let before = bench.show(&job).events;
    for (what, why) in [("authorised=", "No sum was typed"), ("note=", "left out")] {
        let fields = [("ref", "3".repeat(32)), ("what", what.to_owned())];
        let fields = fields.each_ref().map(|(name, value)| (*name, value.as_str()));
        let got = bench.post(&format!("/car/{job}/did"), &fields).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{what}");
        assert!(words(&got.text).contains(why), "{what}: {}", words(&got.text));
    }
    assert_eq!(bench.show(&job).events, before);
}

#[tokio::test]
async fn an_outcome_is_one_tap_and_the_plan_follows() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    for _ in 0..4 {
        let (_, outcomes) = step_on(&bench.get(&car).await.text);
        // The same page again, as when the phone is taken up once more.
        let page = bench.get(&car).await.text;
        assert_eq!(step_on(&page).1, outcomes);
        let before = bench.show(&job).events.len();
        let got = bench.tap(&page, outcomes.last().unwrap()).await;
        assert_eq!((got.status, got.leads_to()), (StatusCode::SEE_OTHER, car.as_str()));
        let shown = bench.show(&job);
        assert!(shown.events.len() > before);
        let page = bench.get(&car).await.text;
        assert_eq!(step_on(&page).0, bench.advised(&job));
        let last = shown.events.iter().find(|event| event.undo).unwrap();
        assert!(words(&page).contains(&last.what), "{}", last.what);
    }
}

#[tokio::test]
async fn the_same_tap_twice_is_one_event_and_a_used_page_records_nothing_else() {
    let bench = Bench::new();
    let job = bench.van().await;
    let page = bench.get(&format!("/car/{job}")).await.text;
    let (_, outcomes) = step_on(&page);
    for _ in 0..3 {
        assert_eq!(bench.tap(&page, &outcomes[0]).await.status, StatusCode::SEE_OTHER);
        assert_eq!(bench.counted(&job, "check.done"), 1);
    }
    let other = bench.tap(&page, &outcomes[1]).await;
    assert_eq!(other.status, StatusCode::CONFLICT);
    assert!(words(&other.text).contains("This page was used already"));
    assert_eq!(bench.counted(&job, "check.done"), 1);
    let fresh = bench.get(&format!("/car/{job}")).await.text;
    let reference = |page: &str| {
        attribute(page.split("name=\"ref\"").nth(1).unwrap(), "value").map(str::to_owned)
    };
    assert_ne!(reference(&page), reference(&fresh));
}

#[tokio::test]
async fn couldnt_tell_is_one_tap() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    let page = bench.get(&car).await.text;
    let (title, outcomes) = step_on(&page);
    let (check, _) = outcomes[0].split_once('=').unwrap();
    bench.tap(&page, &format!("{check}=skip")).await;
    assert_eq!(bench.counted(&job, "check.done"), 1);
    assert_ne!(step_on(&bench.get(&car).await.text).0, title);
}

#[tokio::test]
async fn undo_is_one_tap_and_a_second_takes_nothing_more() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    let (first, _) = step_on(&bench.get(&car).await.text);
    for _ in 0..2 {
        let page = bench.get(&car).await.text;
        bench.tap(&page, &step_on(&page).1[0]).await;
    }
    assert_eq!(bench.counted(&job, "check.done"), 2);
    for left in [1, 0] {
        let page = bench.get(&car).await.text;
        let shown = bench.show(&job);
        let last = shown.events.iter().find(|event| event.undo).unwrap();
        // The first form of the page: prominent, before the next step.
        assert!(
            forms(&page)[0].contains(&last.event) && forms(&page)[0].contains(">Undo<")
        );
        for _ in 0..2 {
            assert_eq!(bench.tap(&page, &last.event).await.leads_to(), car);
            assert_eq!(bench.counted(&job, "check.done"), left);
        }
    }
    assert_eq!(step_on(&bench.get(&car).await.text).0, first);
}

#[tokio::test]
async fn something_else_is_two_taps_for_every_check_repair_and_proof() {
    let bench = Bench::new();
    let job = bench.van().await;
    let page = bench.get(&format!("/car/{job}")).await.text;
    let link = format!("href=\"/car/{job}/else\">Something else instead");
    assert!(page.contains(&link), "1: the link");
    let others = bench.get(&format!("/car/{job}/else")).await.text;
    let name = app::Source::from(std::path::PathBuf::from("boost-vane-diesel"));
    let sheet = app::sheet_file::load(&name).unwrap().sheet;
    for check in &sheet.checks {
        for outcome in check.outcomes.iter().map(|(id, _)| id.as_str()).chain(["skip"]) {
            button(&others, &format!("check:{}={outcome}", check.id));
        }
    }
    for repair in &sheet.repairs {
        button(&others, &format!("repair:{}", repair.id));
    }
    for proof in &sheet.proofs {
        button(&others, &format!("proof:{}=clear", proof.id));
        button(&others, &format!("proof:{}=shown", proof.id));
    }
    // 2: a button; nobody argues, and the plan follows.
    let check = &sheet.checks[3];
    let value = format!("check:{}={}", check.id, check.outcomes[0].0);
    assert_eq!(bench.tap(&others, &value).await.status, StatusCode::SEE_OTHER);
    assert_eq!(bench.counted(&job, "check.done"), 1);
    // Typed entries reach what has no button.
    let typed = [("ref", "3".repeat(32)), ("what", "code:P0299=pending".to_owned())];
    let fields: Vec<(&str, &str)> = typed.iter().map(|(n, v)| (*n, v.as_str())).collect();
    bench.post(&format!("/car/{job}/did"), &fields).await;
    assert_eq!(bench.counted(&job, "code.read"), 1);
}

#[tokio::test]
async fn also_seen_is_two_taps_with_words_or_without() {
    let bench = Bench::new();
    let job = bench.van().await;
    let page = bench.get(&format!("/car/{job}")).await.text;
    // 1: open it; 2: how pressing. The words may stay out.
    let details =
        page.split("<details").find(|piece| piece.contains("Also seen")).unwrap();
    assert!(details.contains("value=\"seen:soon=\"") && !details.contains("required"));
    bench.tap(&page, "seen:soon=").await;
    let page = bench.get(&format!("/car/{job}")).await.text;
    bench
        .tap_and_say(&page, "seen:unsafe=", "Brake hose rubbed, see = and @ and ,")
        .await;
    assert_eq!(bench.counted(&job, "also.seen"), 2);
    let shown = bench.show(&job);
    assert!(
        shown.loose_ends.iter().any(|end| end.id.starts_with("also:")),
        "{:?}",
        shown.loose_ends
    );
    let page = bench.get(&format!("/car/{job}")).await.text;
    let end = shown.loose_ends.iter().find(|end| end.id.starts_with("also:")).unwrap();
    let seen = end.id.strip_prefix("also:").unwrap();
    let got = bench.tap(&page, &format!("answer:{seen}=done")).await;
    assert_eq!(got.status, StatusCode::SEE_OTHER, "{}", got.text);
    assert!(bench.show(&job).loose_ends.iter().all(|other| other.id != end.id));
}

#[tokio::test]
async fn what_is_perishable_is_one_tap_each_until_something_is_touched() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    let page = bench.get(&car).await.text;
    assert!(page.contains("href=\"#first\""));
    bench.tap(&page, "before:lamps=").await;
    bench.tap(&page, "before:freeze-frame=not-to-be-had").await;
    bench.tap_and_say(&page, "before:odometer=", "184320").await;
    assert_eq!(bench.counted(&job, "before.noted"), 3);
    let page = bench.get(&car).await.text;
    assert!(!page.contains("value=\"before:lamps=\""));
    bench
        .bay()
        .did(&job, &[app::bay::Happened::Off("undertray".to_owned())], None)
        .unwrap();
    bench.post(&format!("{car}/next"), &[]).await;
    assert!(!bench.get(&car).await.text.contains("Before you touch anything"));
}

#[tokio::test]
async fn items_come_off_and_go_back_with_one_tap_and_all_at_once_in_any_order() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    let reference = "4".repeat(32);
    // The pod lies behind the others: taking it off first implies them.
    let all = ["pod", "pod-hose", "undertray", "heat-shield"];
    let mut fields = vec![("ref", reference.as_str())];
    let whats: Vec<String> = all.iter().map(|item| format!("off:{item}")).collect();
    fields.extend(whats.iter().map(|what| ("what", what.as_str())));
    for _ in 0..2 {
        let got = bench.post(&format!("{car}/did"), &fields).await;
        assert_eq!(got.status, StatusCode::SEE_OTHER, "{}", got.text);
        assert_eq!(bench.counted(&job, "item.off"), all.len());
    }
    let shown = bench.show(&job);
    assert!(
        shown.loose_ends.iter().all(|end| !end.id.starts_with("contradiction")),
        "{:?}",
        shown.loose_ends
    );
    let page = bench.get(&car).await.text;
    bench.tap(&page, "on:pod-hose").await;
    let page = bench.get(&car).await.text;
    let by_feel = bench.tap(&page, "on:heat-shield=by-feel").await;
    assert_eq!(by_feel.status, StatusCode::SEE_OTHER, "{}", by_feel.text);
    let said: Vec<String> =
        bench.show(&job).events.iter().map(|e| e.what.clone()).collect();
    assert!(said.iter().any(|what| what.starts_with("Back on, by feel: ")), "{said:?}");
}

#[tokio::test]
async fn a_missing_seal_blocks_its_refit_and_is_found_with_one_tap() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    let did = format!("{car}/did");
    let send = async |digit: char, what: &str| {
        let reference = digit.to_string().repeat(32);
        bench.post(&did, &[("ref", &reference), ("what", what)]).await
    };
    send('5', "off:pressure-pipe").await;
    send('6', "seal:pressure-pipe/pressure-pipe-ring=not-found").await;
    let page = bench.get(&car).await.text;
    let refused = bench.tap(&page, "on:pressure-pipe").await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(words(&refused.text).contains("Not yet"));
    let found = bench.tap(&page, "seal:pressure-pipe/pressure-pipe-ring=found").await;
    assert_eq!(found.status, StatusCode::SEE_OTHER);
    send('7', "seal:pressure-pipe/pressure-pipe-ring=renewed").await;
    let page = bench.get(&car).await.text;
    assert_eq!(bench.tap(&page, "on:pressure-pipe").await.status, StatusCode::SEE_OTHER);
    assert_eq!(bench.counted(&job, "item.on"), 1);
}

#[tokio::test]
async fn ringing_the_owner_is_the_step_where_the_sum_would_be_passed() {
    let bench = Bench::new();
    let job = bench.van_with("1").await;
    let car = format!("/car/{job}");
    // Something that costs more than the sum.
    let others = bench.get(&format!("{car}/else")).await.text;
    bench.tap(&others, "repair:clean-vanes").await;
    let page = bench.get(&car).await.text;
    assert!(page.contains("<h2 class=\"title\">Ring the owner</h2>"));
    assert!(page.contains("href=\"tel:0005550142\""));
    let say = bench.bay().next(&job).unwrap().ring.unwrap().say;
    assert!(words(&page).contains(&say), "{say}");
    let got = bench.tap_and_say(&page, "authorised=", "2000,50").await;
    assert_eq!(got.status, StatusCode::SEE_OTHER, "{}", got.text);
    assert_eq!(bench.show(&job).authorised, Some(2000.5));
    assert_ne!(step_on(&bench.get(&car).await.text).0, "Ring the owner");
}

#[tokio::test]
async fn a_car_is_handed_over_once_when_nothing_is_loose() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    let did = format!("{car}/did");
    bench.post(&did, &[("ref", &"8".repeat(32)), ("what", "off:oil-feed")]).await;
    let page = bench.get(&format!("{car}/hand-over")).await.text;
    assert!(words(&page).contains("Not yet. This is still open"));
    assert!(words(&page).contains("Oil feed pipe of the turbocharger is off"));
    assert!(!page.contains(&format!("action=\"{car}/hand-over\"")));
    let forced = bench.post(&format!("{car}/hand-over"), &[]).await;
    assert_eq!(forced.status, StatusCode::UNPROCESSABLE_ENTITY);
    let shown = bench.show(&job);
    let last = shown.events.iter().find(|event| event.undo).unwrap();
    let mut page = bench.get(&car).await.text;
    bench.tap(&page, &last.event).await;
    page = bench.get(&format!("{car}/hand-over")).await.text;
    assert!(page.contains(&format!("action=\"{car}/hand-over\"")), "{}", words(&page));
    for _ in 0..2 {
        let got =
            bench.post(&format!("{car}/hand-over"), &[("odometer", "184356")]).await;
        assert_eq!(
            (got.status, got.leads_to()),
            (StatusCode::SEE_OTHER, car.as_str()),
            "{}",
            got.text
        );
        assert_eq!(bench.counted(&job, "handed_over"), 1);
    }
    assert!(words(&bench.get(&car).await.text).contains("Handed over"));
    assert!(words(&bench.get("/").await.text).contains("No car on hand"));
}

#[tokio::test]
async fn taps_at_once_are_all_kept_one_after_another() {
    let bench = Bench::new();
    let job = bench.van().await;
    let did = format!("/car/{job}/did");
    let send = async |place: u8| {
        let reference = format!("{place:02x}").repeat(16);
        let what = format!("note=number {place}");
        bench.post(&did, &[("ref", &reference), ("what", &what)]).await.status
    };
    let (a, b, c, d) = tokio::join!(send(1), send(2), send(3), send(1));
    assert_eq!([a, b, c, d], [StatusCode::SEE_OTHER; 4]);
    assert_eq!(bench.counted(&job, "note"), 3);
}

/// The item came off, entered from elsewhere.
fn off(bench: &Bench, job: &str, item: &str) {
    bench.bay().did(job, &[app::bay::Happened::Off(item.to_owned())], None).unwrap();
}

#[tokio::test]
async fn a_measure_is_typed_in_the_sheets_unit_with_a_comma_or_a_point() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    off(&bench, &job, "inlet-hose");
    let value = "measure:inlet-hose/end-play@";
    for (typed, said) in
        [("0,06", "0.06 mm"), ("0.14 mm", "0.14 mm"), ("0,05..0,08", "0.05 to 0.08 mm")]
    {
        let page = bench.get(&car).await.text;
        assert!(words(&page).contains("at most 0.1 mm"), "{page}");
        let got = bench.tap_and_say(&page, value, typed).await;
        assert_eq!((got.status, got.leads_to()), (StatusCode::SEE_OTHER, car.as_str()));
        let shown = bench.show(&job);
        assert!(shown.measures.is_empty(), "it is done");
        let last = shown.events.iter().find(|event| event.undo).unwrap();
        assert!(last.what.contains(said), "{}", last.what);
        let tray = words(&bench.get(&format!("{car}/tray")).await.text);
        assert!(tray.contains(said), "{tray}");
        bench.bay().withdraw(&job, &last.event).unwrap();
    }
    let page = bench.get(&car).await.text;
    let wrong = bench.tap_and_say(&page, value, "a bit").await;
    assert!(words(&wrong.text).contains("a bit"), "{}", wrong.text);
}

#[tokio::test]
async fn a_snag_is_one_tap_and_its_minutes_may_be_typed() {
    let bench = Bench::new();
    let job = bench.van().await;
    let car = format!("/car/{job}");
    off(&bench, &job, "heat-shield");
    let spent = |bench: &Bench| bench.show(&job).spent;
    let value = "snag:heat-shield/1=min=";
    let mut prices = Vec::new();
    for typed in ["", "24"] {
        let before = spent(&bench);
        let page = bench.get(&car).await.text;
        let got = bench.tap_and_say(&page, value, typed).await;
        assert_eq!((got.status, got.leads_to()), (StatusCode::SEE_OTHER, car.as_str()));
        prices.push(spent(&bench) - before);
        let last = bench.show(&job).events.into_iter().find(|event| event.undo).unwrap();
        assert!(last.what.contains("Bolt seized"), "{}", last.what);
    }
    assert!(
        prices[1] > prices[0],
        "24 minutes are dearer than the sheet's 12: {prices:?}"
    );
}

/// The smallest PNG: 1 × 1, grey (PNG specification, 5.3 and 11.2.2: chunks and IHDR).
const PNG: &[u8] =
    b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\0\0\0\x01\0\0\0\x01\x08\0\0\0\0\x3a\x7e\x9b\x55";

#[tokio::test]
async fn a_photo_is_kept_shown_and_marked_with_its_cells() {
    let bench = Bench::new();
    let job = bench.van().await;
    let tray = format!("/car/{job}/tray");
    off(&bench, &job, "inlet-hose");
    let take = |bytes: Vec<u8>, origin: &str| {
        // What is no photo is a tap of its own.
        let tap = if bytes.starts_with(b"\x89PNG") { "7" } else { "8" }.repeat(32);
        let path = format!("/car/{job}/photo?item=inlet-hose&ref={tap}");
        axum::http::Request::post(path)
            .header("host", crate::bay::HOST)
            .header("origin", origin)
            .body(axum::body::Body::from(bytes))
            .unwrap()
    };
    let own = format!("http://{}", crate::bay::HOST);
    // Larger than any form may be, then padded as a picture is.
    let large: Vec<u8> =
        PNG.iter().copied().chain(std::iter::repeat_n(0, 300_000)).collect();
    for _ in 0..2 {
        let got = bench.send(take(large.clone(), &own)).await;
        assert_eq!((got.status, got.leads_to()), (StatusCode::SEE_OTHER, tray.as_str()));
    }
    assert_eq!(bench.counted(&job, "photo"), 1, "sent twice it counts once");
    let foreign = bench.send(take(PNG.to_vec(), "http://evil.example")).await;
    assert_eq!(foreign.status, StatusCode::FORBIDDEN);
    let no_photo = bench.send(take(b"%PDF-1.7".to_vec(), &own)).await;
    assert!(no_photo.text.contains("no photo"), "{}", no_photo.text);
    let photo = bench.bay().tray(&job).unwrap().photos.remove(0);
    let page = bench.get(&tray).await.text;
    let address = format!("/car/{job}/photo/{}", photo.event);
    assert!(page.contains(&format!("href=\"{address}\"")), "{page}");
    let value = format!("holes:{}=", photo.event);
    assert!(page.contains(&format!("value=\"{value}\"")), "the form that keeps them");
    // WCAG 2.1.1: what a tap does, the keyboard does too.
    assert!(
        page.contains("tabindex=\"0\"") && page.contains("Arrow keys move"),
        "{page}"
    );
    let tap = "9".repeat(32);
    let marks = [
        ("ref", tap.as_str()),
        ("from", "tray"),
        ("say", "inlet-clamp/1@0.25x0.5"),
        ("what", &value),
    ];
    let kept = bench.post(&format!("/car/{job}/did"), &marks).await;
    assert_eq!(kept.leads_to(), tray.as_str());
    let marked = bench.bay().tray(&job).unwrap().photos.remove(0);
    assert_eq!(marked.holes.len(), 1);
    let page = bench.get(&tray).await.text;
    assert!(page.contains("cx=\"0.25\"") && page.contains("cells"), "{page}");
    let none = bench.get(&format!("/car/{job}/photo/0000")).await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
}
