//! Bytes of events stay as they are: canonical form, ids, times.
#![cfg(test)]

mod support;

use job::{
    Body, Draft, EventError, Kind, Stored,
    body::{
        BodyError, CheckDone, CheckResult, Corrected, ItemOff, Measured, Quoted,
        Withdrawn,
    },
    canon::{canonical, is_canonical, parse},
    hash_hex,
    instant::Instant,
    next_event,
};
use proptest::prelude::*;
use support::{Pen, off, pool};

/// BLAKE3 team, `test_vectors.json` of the reference implementation, `input_len` 0 and 1
/// (input byte 0), first 32 bytes of the output.
#[test]
fn ids_are_blake3() {
    let empty = "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262";
    let zero = "2d3adedff11b61f14c886e35afa036736dcd87a74d27b5c1510225d0f592e213";
    assert_eq!(hash_hex(b""), empty);
    assert_eq!(hash_hex(&[0]), zero);
    assert_eq!(job::blob_id(b"", &[0]), zero);
}

/// RFC 8785, section 3.2.2: its sample's literals and string; keys as in section 3.2.3.
/// Numbers differ on purpose: a whole double keeps its `.0` here.
#[test]
fn texts_are_written_as_in_rfc_8785() {
    let sample = r#"{"string":"\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
        "literals":[null,true,false],"1":"One","\r":"Carriage Return","\u0080":"Control"}"#;
    let value = parse(sample.as_bytes()).unwrap();
    assert_eq!(
        canonical(&value),
        "{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"literals\":[null,true,false],\
         \"string\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\",\"\u{80}\":\"Control\"}"
    );
}

#[test]
fn an_event_has_these_bytes_for_ever() {
    let mut pen = Pen::new("w1");
    pen.write(off("shield"));
    pen.write(ItemOff { item: "pipe".into(), broken: true, minutes: Some(7.5) });
    let text = |at: usize| String::from_utf8(pen.events[at].bytes.clone()).unwrap();
    assert_eq!(
        text(0),
        "{\"at\":\"2026-11-25T06:01:00Z\",\"body\":{\"broken\":false,\"item\":\"shield\"},\
         \"job\":\"job-1\",\"kind\":\"item.off\",\
         \"ref\":\"34c7d57b75a57ed80000000000000000\",\"seq\":1,\"v\":1,\"who\":\"jo\",\
         \"writer\":\"w1\",\"zone\":\"Europe/Berlin\"}"
    );
    let prev = &pen.events[0].id;
    assert_eq!(
        text(1),
        format!(
            "{{\"at\":\"2026-11-25T06:02:00Z\",\"body\":{{\"broken\":true,\
             \"item\":\"pipe\",\"minutes\":7.5}},\"job\":\"job-1\",\"kind\":\"item.off\",\
             \"prev\":\"{prev}\",\"ref\":\"34c7d57b75a57ed80000000000000001\",\"seq\":2,\
             \"v\":1,\"who\":\"jo\",\"writer\":\"w1\",\"zone\":\"Europe/Berlin\"}}"
        )
    );
    assert_eq!(pen.events[1].id, hash_hex(text(1).as_bytes()));
}

#[test]
fn every_kind_has_its_own_word() {
    for kind in Kind::ALL {
        assert_eq!(Kind::of_word(kind.word()), Some(*kind));
    }
    assert_eq!(Kind::of_word("no.such"), None);
}

#[test]
fn every_body_of_the_pool_comes_back_and_is_canonical() {
    let mut pen = Pen::new("w1");
    for body in pool() {
        pen.write(body.clone());
        let stored = pen.events.last().unwrap();
        assert!(is_canonical(&stored.bytes), "{body:?}");
        assert_eq!(stored.read().unwrap().read_body().unwrap(), body);
    }
}

fn draft(body: Body) -> Draft {
    Draft {
        job: "j".into(),
        body,
        reference: "0".repeat(32),
        at: "2026-11-25T06:00:00Z".into(),
        zone: "UTC".into(),
        who: "jo".into(),
    }
}

#[test]
fn a_number_that_would_not_come_back_is_refused() {
    for bad in [f64::NAN, f64::INFINITY] {
        let off = ItemOff { item: "x".into(), broken: false, minutes: Some(bad) };
        let quoted = Quoted { p50: bad, ..Quoted::default() };
        for body in [Body::from(off), quoted.into()] {
            let kind = body.kind().word().to_owned();
            let refused = next_event(&draft(body), "w", None, &job::Heads::new());
            assert_eq!(refused, Err(EventError::Body(BodyError::NotFinite(kind))));
        }
    }
}

#[test]
fn references_times_and_lengths_are_checked() {
    let with = |change: fn(&mut Draft)| {
        let mut draft = draft(off("x").into());
        change(&mut draft);
        next_event(&draft, "w", None, &job::Heads::new()).unwrap_err()
    };
    assert!(matches!(with(|d| d.reference = "short".into()), EventError::Reference(_)));
    assert!(matches!(with(|d| d.reference = "G".repeat(32)), EventError::Reference(_)));
    assert!(matches!(with(|d| d.at = "yesterday".into()), EventError::Time(_)));
    assert!(matches!(with(|d| d.who = "x".repeat(300_000)), EventError::TooLong(_)));
}

/// RFC 3339, section 5.8, whose text gives the equal moments; seconds since 1970 by
/// `date -u -d … +%s` (GNU coreutils).
#[test]
fn times_are_read_as_rfc_3339() {
    let at = |text: &str| Instant::read(text).map(|instant| instant.0);
    assert_eq!(at("1985-04-12T23:20:50.52Z"), Some(482_196_050_520_000_000));
    assert_eq!(at("1996-12-19T16:39:57-08:00"), Some(851_042_397_000_000_000));
    assert_eq!(at("1996-12-20T00:39:57Z"), at("1996-12-19T16:39:57-08:00"));
    assert_eq!(at("1990-12-31T23:59:60Z"), at("1990-12-31T15:59:60-08:00"));
    assert_eq!(at("1990-12-31T23:59:60Z"), Some(662_688_000_000_000_000));
    assert_eq!(at("1937-01-01T12:00:27.87+00:20"), Some(-1_041_337_172_130_000_000));
    for bad in [
        "",
        "2026-02-29T00:00:00Z",
        "2026-13-01T00:00:00Z",
        "2026-11-25T24:00:00Z",
        "2026-11-25T12:00:00",
        "2026-11-25T12:00:00.Z",
        "2026-11-25T12:00:00+1:00",
        "2026-11-25",
    ] {
        assert_eq!(at(bad), None, "{bad}");
    }
    assert!(at("2024-02-29T00:00:00Z").is_some());
}

proptest! {
    #[test]
    fn numbers_come_back_bit_by_bit(value in any::<f64>().prop_filter("finite", |v| v.is_finite())) {
        let off = ItemOff { item: "x".into(), broken: false, minutes: Some(value) };
        let stored = next_event(&draft(off.clone().into()), "w", None, &job::Heads::new()).unwrap();
        prop_assert!(is_canonical(&stored.bytes));
        let back = stored.read().unwrap().body["minutes"].as_f64();
        prop_assert_eq!(back.map(f64::to_bits), Some(value.to_bits()));
        prop_assert_eq!(stored.read().unwrap().read_body().unwrap(), Body::from(off));
    }

    #[test]
    fn any_bytes_are_an_event_or_an_error(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let stored = Stored::of_bytes(bytes);
        let read = stored.read();
        let findings = job::verify(std::slice::from_ref(&stored), &[]);
        prop_assert!(read.is_ok() || !findings.is_empty());
    }

    #[test]
    fn any_text_is_a_time_or_none(text in ".{0,40}") {
        let _ = Instant::read(&text);
        let longer = format!("{text}2026");
        prop_assert!(Instant::read(&longer).is_none());
    }
}

#[test]
fn bodies_within_bodies_come_back() {
    let measured = Measured {
        value: 7.9,
        below: Some(8.0),
        unit: "ohm".into(),
        accuracy: None,
        digit: None,
        leads: Some(0.3),
        repeats: vec![7.9, 8.0, 7.8],
        part_c: None,
        meter: None,
        range: None,
    };
    let weights = [("low".to_owned(), 0.5), ("high".to_owned(), 0.5)].into();
    let done = CheckDone {
        check: "coil".into(),
        result: CheckResult::Reading { measured, weights },
        minutes: None,
        note: None,
    };
    let corrected = Corrected::new("some-event", &done.into()).unwrap();
    for body in
        [Body::from(corrected), Withdrawn { of: "some-event".into(), why: None }.into()]
    {
        let json = body.to_json().unwrap();
        assert_eq!(Body::from_json(body.kind().word(), json).unwrap(), body);
    }
}
