//! Forms in which recordings arrive: separators, units, commas, clocks, encodings.
#![cfg(test)]

use logs::{LogError, Options, Recording, read_csv};

fn read(text: &str) -> Recording {
    read_csv(text.as_bytes(), &Options::default())
        .unwrap_or_else(|e| panic!("{e}\n{text}"))
}

fn fails(text: &str) -> LogError {
    read_csv(text.as_bytes(), &Options::default()).expect_err(text)
}

fn said(recording: &Recording, words: &str) -> bool {
    recording.remarks.iter().any(|r| r.contains(words))
}

const PLAIN: &str = "time_s,commanded [%],actual [%]\n0,10,1.5\n0.1,20,2.5\n0.3,20,3.5\n";

#[test]
fn every_separator_gives_the_same_channels() {
    let plain = read(PLAIN);
    assert_eq!((plain.rows, plain.kept), (3, 3));
    assert!((plain.duration_s - 0.3).abs() < 1e-12);
    assert_eq!(plain.channels[0].name, "commanded");
    assert_eq!(plain.channels[0].unit.as_deref(), Some("%"));
    assert_eq!(plain.channels[1].samples, [(0.0, 1.5), (0.1, 2.5), (0.3, 3.5)]);
    for separator in [";", "\t", "|"] {
        let other = read(&PLAIN.replace(',', separator));
        assert_eq!(other.channels, plain.channels, "{separator}");
    }
    let comma = read(&PLAIN.replace(',', ";").replace('.', ","));
    assert_eq!(comma.channels, plain.channels);
    let quoted = read(&PLAIN.replace("1.5", "\"1,5\"").replace("time_s", "\"time_s\""));
    assert_eq!(quoted.channels, plain.channels);
    let crlf =
        read(&format!("\u{feff}# made by hand\r\n\r\n{}", PLAIN.replace('\n', "\r\n")));
    assert_eq!(crlf.channels, plain.channels);
}

#[test]
fn a_unit_row_names_units() {
    let log = read("t\tp\tT\ns\tkPa\t\u{b0}C\n0\t98\t20\n1\t99\t21\n");
    assert_eq!(log.rows, 2);
    assert_eq!(log.channels[0].unit.as_deref(), Some("kPa"));
    assert_eq!(log.channels[1].unit.as_deref(), Some("\u{b0}C"));
}

#[test]
fn encodings_are_mended() {
    let latin = b"time;T [\xb0C]\n0;20\n1;21\n";
    let log = read_csv(latin, &Options::default()).expect("Latin-1");
    assert_eq!(log.channels[0].unit.as_deref(), Some("\u{b0}C"));
    assert!(said(&log, "Latin-1"));
    let doubled = read("time;T [\u{c2}\u{b0}C]\n0;20\n1;21\n");
    assert_eq!(doubled.channels[0].unit.as_deref(), Some("\u{b0}C"));
    let wide: Vec<u8> = PLAIN.encode_utf16().fold(vec![0xff, 0xfe], |mut bytes, unit| {
        bytes.extend(unit.to_le_bytes());
        bytes
    });
    let wide = read_csv(&wide, &Options::default()).expect("UTF-16");
    assert_eq!(wide.channels, read(PLAIN).channels);
}

#[test]
fn clocks_become_seconds() {
    let night = read("Time,v\n23:59:59.500,1\n00:00:00.250,2\n00:00:01.000,3\n");
    let times: Vec<f64> = night.channels[0].samples.iter().map(|s| s.0).collect();
    assert!((times[1] - 0.75).abs() < 1e-9 && (times[2] - 1.5).abs() < 1e-9, "{times:?}");
    assert!(said(&night, "midnight"));
    let dated = read("Zeit;v\n2026-11-25 23:59:59,5;1\n2026-11-26T00:00:00,5;2\n");
    assert!((dated.duration_s - 1.0).abs() < 1e-6);
    let ms = read("time_ms,v\n0,1\n90,2\n180,3\n");
    assert!((ms.duration_s - 0.18).abs() < 1e-12);
    let bracket = read("elapsed [min],v\n0,1\n1,2\n");
    assert!((bracket.duration_s - 60.0).abs() < 1e-9);
    let epoch = read("timestamp,v\n1764000000000,1\n1764000000500,2\n");
    assert!((epoch.duration_s - 0.5).abs() < 1e-6);
}

#[test]
fn a_clock_that_steps_back_never_gives_a_negative_interval() {
    let back = read("t,v\n0,1\n0.1,2\n0.2,3\n-0.3,4\n-0.2,5\n-0.1,6\n");
    let times: Vec<f64> = back.channels[0].samples.iter().map(|s| s.0).collect();
    assert!(times.windows(2).all(|w| w[1] > w[0]), "{times:?}");
    assert!((times[3] - 0.3).abs() < 1e-9 && (times[5] - 0.5).abs() < 1e-9);
    assert!(
        said(&back, "steps back once, most by 0.500 s at data row 4"),
        "{:?}",
        back.remarks
    );
    let wild = read("t,v\n0,1\n0.1,2\n900,3\n0.3,4\n0.4,5\n0.2,6\n0.5,7\n");
    assert_eq!(wild.kept, 5);
    assert!((wild.duration_s - 0.5).abs() < 1e-9);
}

#[test]
fn odd_rows_are_counted_and_left_out() {
    let log =
        read("t,a,b\n0,1,2\n0.1,3\nt,a,b\n0.2,5,6,7\n0.2,5,6\n,8,9\n0.4,x,NaN\n0.5,,4\n");
    assert_eq!(log.rows, 7);
    assert_eq!(log.channels[0].samples.len(), 3);
    assert_eq!(log.channels[1].samples.len(), 3);
    for words in [
        "1 repeat of the header",
        "2 rows are shorter",
        "1 row left out: no time",
        "1 cell left out: no number",
        "1 row left out: repeats",
    ] {
        assert!(said(&log, words), "{words}: {:?}", log.remarks);
    }
}

#[test]
fn columns_are_found_by_name_or_listed() {
    let log = read("t,EGR command [%],EGR position [%],rail\n0,1,2,3\n1,2,3,4\n");
    assert_eq!(log.channel("egr COMMAND").map(|c| c.name.as_str()), Ok("EGR command"));
    assert_eq!(log.channel("position").map(|c| c.name.as_str()), Ok("EGR position"));
    assert_eq!(
        log.channel("EGR command [%]").map(|c| c.name.as_str()),
        Ok("EGR command")
    );
    assert!(matches!(log.channel("egr"), Err(LogError::ManyColumns { .. })));
    let none = log.channel("boost").expect_err("no such column").to_string();
    assert!(none.contains("EGR command [%], EGR position [%], rail"), "{none}");
    assert!(log.channel("").is_err());
    let twice = read("t,a,a\n0,1,2\n1,2,3\n");
    assert_eq!(twice.channel("a (2)").map(|c| c.samples[0].1), Ok(2.0));
}

#[test]
fn the_time_column_is_asked_for_found_or_refused() {
    let text = "injection time [ms],clock_s,v\n3,0,1\n2,1,2\n3,2,1\n";
    assert!(said(&read(text), "`clock_s` (by its name)"), "{:?}", read(text).remarks);
    let asked = Options { time: Some("clock".to_owned()), ..Options::default() };
    assert!(said(&read_csv(text.as_bytes(), &asked).expect("asked"), "as asked"));
    let missing = Options { time: Some("date".to_owned()), ..Options::default() };
    assert!(matches!(
        read_csv(text.as_bytes(), &missing),
        Err(LogError::NoColumn { .. })
    ));
    assert!(said(&read("x,v\n0,1\n1,2\n"), "the first column, and it rises"));
    assert!(said(&read("0,1\n1,2\n2,2\n"), "no header"));
    assert!(matches!(fails("x,v\n5,1\n1,2\n4,4\n"), LogError::NoTime(_)));
}

#[test]
fn what_is_no_recording_is_an_error() {
    assert_eq!(fails(""), LogError::Empty);
    assert_eq!(fails(" \n\n"), LogError::Empty);
    assert_eq!(fails("just words\nand more\n"), LogError::OneColumn);
    assert_eq!(fails("time,v\n"), LogError::NoRows);
    assert_eq!(fails("time,v\n0.5,1\n0.4,2\n0.3,3\n0.2,4\n0.1,5\n"), LogError::Backwards);
    let small = Options { max_cells: 4, ..Options::default() };
    let long = format!("t,v\n{}", "1,2\n".repeat(1000));
    assert!(matches!(
        read_csv(long.as_bytes(), &small),
        Err(LogError::TooLarge { what: "cells", .. })
    ));
    let wide = format!("t{}\n0{}\n", ",a".repeat(600), ",1".repeat(600));
    assert!(matches!(fails(&wide), LogError::TooLarge { what: "columns", .. }));
    let few = Options { max_bytes: 3, ..Options::default() };
    assert!(matches!(
        read_csv(b"t,v\n0,1\n", &few),
        Err(LogError::TooLarge { what: "bytes", .. })
    ));
}
