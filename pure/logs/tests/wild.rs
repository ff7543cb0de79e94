//! CSV as programs, spreadsheets and people leave it.
#![cfg(test)]

use std::fmt::Write as _;

use logs::{Finding, LogError, Options, Recording, read_csv};

fn read_bytes(bytes: &[u8]) -> Recording {
    read_csv(bytes, &Options::default())
        .unwrap_or_else(|e| panic!("{e}\n{}", String::from_utf8_lossy(bytes)))
}

fn read(text: &str) -> Recording {
    read_bytes(text.as_bytes())
}

fn said(log: &Recording, words: &str) -> bool {
    log.remarks.iter().any(|remark| remark.contains(words))
}

/// Times, then the values of the first channel.
fn first(log: &Recording) -> Vec<(f64, f64)> {
    log.channels[0].samples.iter().map(|s| ((s.0 * 1e6).round() / 1e6, s.1)).collect()
}

const WANTED: [(f64, f64); 3] = [(0.0, 1.5), (0.1, 2.5), (0.2, 3.5)];

#[test]
fn one_table_in_many_shapes() {
    for text in [
        // Lines about the log before the header, some as wide as the table.
        "Logger;demo\nInterval;0.1\nt;p\ns;bar\n0;1.5\n0.1;2.5\n0.2;3.5\n",
        "Demo van,,\nDate,25.11.2026,\n\ntime,p [bar],\n0,1.5,\n0.1,2.5,\n0.2,3.5,\n",
        // A first line for spreadsheets.
        "sep=;\r\ntime;p [bar]\r\n0;1,5\r\n0,1;2,5\r\n0,2;3,5\r\n",
        // Line ends of old machines; no line end at the end; blank lines.
        "time,p [bar]\r0,1.5\r0.1,2.5\r0.2,3.5",
        "time,p [bar]\n\n0,1.5\n\n0.1,2.5\n , \n0.2,3.5\n",
        // A header as a comment, blanks between the columns.
        "# made by hand\n# time p\n0.0   1.5\n0.1\t 2.5\n  0.2   3.5\n",
        // Quotes, also doubled and over two lines.
        "\"time\",\"p\n[bar]\"\n\"0\",\"1.5\"\n\"0.1\",\"2.5\"\n\"0.2\",\"3.5\"\n",
        "time,\"p \"\"x\"\"\",note\n0,1.5,\"a, b\"\n0.1,2.5,\"c\"\n0.2,3.5,\n",
        // Units behind the numbers.
        "time,p\n0 s,1.5 bar\n0.1 s,2.5 bar\n0.2 s,3.5 bar\n",
        // Zero-based counters beside the time, and a row of words at the end.
        "no,time,p\n7,0,1.5\n8,0.1,2.5\n9,0.2,3.5\nend of log,,\n",
        // Times in their own units.
        "t [ms]|p\n0|1.5\n100|2.5\n200|3.5\n",
        "t (us)\tp\n0\t1.5\n1e5\t2.5\n2e5\t3.5\n",
        "clock\tp\n07:00:00,0\t1,5\n07:00:00,1\t2,5\n07:00:00,2\t3,5\n",
        "Uhrzeit;p\n1:59:59.9 PM;1.5\n2:00:00.0 PM;2.5\n2:00:00.1 PM;3.5\n",
        "x,when,p\n1,2026-11-25T23:59:59.9Z,1.5\n1,2026-11-26T00:00:00Z,2.5\n1,2026-11-26T00:00:00.1Z,3.5\n",
        "Date,Time,p\n11/25/2026,23:59:59.9,1.5\n11/26/2026,00:00:00.0,2.5\n11/26/2026,00:00:00.1,3.5\n",
        "timestamp,p\n1764000000000000,1.5\n1764000000100000,2.5\n1764000000200000,3.5\n",
    ] {
        let log = read(text);
        let at = log
            .channels
            .iter()
            .position(|c| c.name.starts_with('p') || c.name == "column 2");
        let at = at.unwrap_or_else(|| panic!("{text}: {:?}", log.findings));
        let samples = log.channels[at].samples.iter();
        let samples: Vec<_> = samples.map(|s| ((s.0 * 1e4).round() / 1e4, s.1)).collect();
        assert_eq!(samples, WANTED, "{text}\n{:?}", log.remarks);
    }
}

#[test]
fn what_was_taken_how_is_said() {
    let log = read("sep=;\nZeit [s];p [bar]\n0,0;1,5\n0,1;2,5\n");
    for words in [
        "`;`, as its first line says",
        "decimal mark: comma",
        "`Zeit` (by its name), in s",
    ] {
        assert!(said(&log, words), "{words}: {:?}", log.remarks);
    }
    let log = read("Logger;demo;x\ntime;p;q\ns;bar;-\n0;1.5;1\n50;2.5;2\n");
    for words in
        ["1 line before the header", "semicolon", "the row under the header holds units"]
    {
        assert!(said(&log, words), "{words}: {:?}", log.remarks);
    }
    let slow = read("time,p\n0,1\n100,2\n200,3\n");
    assert!(
        said(&slow, "if it counts something else, name its unit"),
        "{:?}",
        slow.remarks
    );
    let unit = read("time,p\n0 s,1 bar\n1 s,2 bar\n");
    assert!(said(&unit, "the cells of `p` carry their unit `bar`"));
    assert_eq!(unit.channels[0].unit.as_deref(), Some("bar"));
}

/// A column that is read where it happens to be below a thousand only would tell a lie.
#[test]
fn thousands_marks_are_refused_by_column() {
    for (cell, sep) in
        [("1.234,5", ";"), ("1'234", ";"), ("\"1,234.5\"", ","), ("1 234,5", ";")]
    {
        let rows = |n: u32| format!("{n}{sep}987{sep}{n}\n");
        let text =
            format!("time{sep}rpm{sep}p\n0{sep}{cell}{sep}1\n{}{}", rows(1), rows(2));
        let log = read(&text);
        assert_eq!(log.channels[0].samples.len(), 0, "{cell}");
        assert!(matches!(log.findings[0].found[0], Finding::Thousands { row: 1, .. }));
        let error = log.channel("rpm").expect_err("thousands");
        assert!(error.to_string().contains("thousands marks"), "{error}");
        assert_eq!(log.channel("p").map(|c| c.samples.len()), Ok(3));
    }
    // Three decimals with a comma are no thousands where commas are decimal marks.
    let fine = read("time;p\n0,000;1,234\n0,125;2,345\n");
    assert_eq!(first(&fine), [(0.0, 1.234), (0.125, 2.345)]);
}

#[test]
fn words_for_nothing_and_for_too_much_are_no_values() {
    let log = read(
        "t,a\n0,NaN\n1,inf\n2,#N/A\n3,1.#IND\n4,-\n5,null\n6,7\n7,ERR\n8,0x1F\n9,on\n",
    );
    assert_eq!(first(&log), [(6.0, 7.0), (8.0, 31.0), (9.0, 1.0)]);
    assert!(said(&log, "1 cell left out: infinite"), "{:?}", log.remarks);
    assert!(said(&log, "1 cell left out: no number"), "{:?}", log.remarks);
}

#[test]
fn columns_are_chosen_by_unit_and_near_names_are_offered() {
    let log = read(
        "t,EGR position [%],rail [bar],EGR position [V],oil [\u{b0}C]\n0,1,2,3,4\n1,1,2,3,4\n",
    );
    for (asked, value) in [
        ("bar", 2.0_f64),
        ("[bar]", 2.0),
        ("degC", 4.0),
        ("EGR position [V]", 3.0),
        ("position [%]", 1.0),
        ("RAIL", 2.0),
    ] {
        let channel = log.channel(asked).unwrap_or_else(|e| panic!("{asked}: {e}"));
        assert_eq!(channel.samples[0].1.to_bits(), value.to_bits(), "{asked}");
    }
    let many = log.channel("position").expect_err("two fit").to_string();
    assert!(many.contains("EGR position [%], EGR position (2) [V]"), "{many}");
    let none = log.channel("ral").expect_err("a slip").to_string();
    assert!(none.contains("did you mean `rail`"), "{none}");
    assert!(!log.channel("zzzz").expect_err("far off").to_string().contains("mean"));
    let time = Options { time: Some("[s]".to_owned()), ..Options::default() };
    let log = read_csv(b"a [V],b [s]\n5,0\n5,1\n", &time).expect("by unit");
    assert!(said(&log, "`b` (as asked), in s"), "{:?}", log.remarks);
    let twice = Options { time: Some("[V]".to_owned()), ..Options::default() };
    assert!(matches!(
        read_csv(b"a [V],b [V]\n5,0\n5,1\n", &twice),
        Err(LogError::ManyColumns { .. })
    ));
}

#[test]
fn labels_in_any_encoding_are_read() {
    let text = "time;\u{d6}ltemp. [\u{b0}C]\n0;20\n1;21\n";
    let latin: Vec<u8> =
        text.chars().map(|c| u8::try_from(u32::from(c)).expect("Latin-1")).collect();
    let doubled: String = text.bytes().map(char::from).collect();
    let wide = |order: fn(u16) -> [u8; 2], mark: &[u8]| {
        mark.iter()
            .copied()
            .chain(text.encode_utf16().flat_map(order))
            .collect::<Vec<u8>>()
    };
    for bytes in [
        text.as_bytes().to_vec(),
        [b"\xef\xbb\xbf", text.as_bytes()].concat(),
        latin,
        doubled.into_bytes(),
        wide(u16::to_le_bytes, b"\xff\xfe"),
        wide(u16::to_be_bytes, b"\xfe\xff"),
        wide(u16::to_le_bytes, b""),
    ] {
        let log = read_bytes(&bytes);
        assert_eq!(log.channels[0].name, "\u{d6}ltemp.");
        assert_eq!(log.channels[0].unit.as_deref(), Some("\u{b0}C"));
        assert_eq!(first(&log), [(0.0, 20.0), (1.0, 21.0)]);
    }
}

#[test]
fn findings_name_gaps_stuck_values_steps_and_ends() {
    let mut text = "time,adc [%],noisy,still\n".to_owned();
    for row in 0..2_000_u32 {
        let mixed = (row * 7_919) % 1_009;
        let time = 0.1 * f64::from(row) + if row >= 700 { 12.0 } else { 0.0 };
        let raw = (f64::from(mixed) * 0.3).min(255.0).floor();
        let noisy =
            if (1_200..1_400).contains(&row) { 0.5 } else { f64::from(mixed) * 1e-3 };
        writeln!(text, "{time:.1},{:.1},{noisy},5", raw * 100.0 / 255.0).expect("text");
    }
    let log = read(&text);
    let found = |at: usize| &log.findings[at].found;
    let gap = |f: &Finding| {
        matches!(f, Finding::Gaps { count: 1, longest_s, at_s }
            if (longest_s - 12.1).abs() < 1e-6 && (at_s - 69.9).abs() < 1e-6)
    };
    assert!(found(0).iter().any(gap), "{:?}", found(0));
    let steps = |f: &Finding| matches!(f, Finding::Steps { step, counts: 255 } if (step - 100.0 / 255.0).abs() < 1e-3);
    assert!(found(0).iter().any(steps), "{:?}", found(0));
    let end = |f: &Finding| matches!(f, Finding::AtEnd { share, .. } if (share - 0.15).abs() < 0.02);
    assert!(found(0).iter().any(end), "{:?}", found(0));
    let stuck = |f: &Finding| {
        matches!(f, Finding::Stuck { from_s, lasts_s, samples: 200 | 201 }
            if (from_s - 132.0).abs() < 0.11 && (lasts_s - 19.9).abs() < 0.11)
    };
    assert!(found(1).iter().any(stuck), "{:?}", found(1));
    assert!(found(2).iter().any(
        |f| matches!(f, Finding::Constant { value } if (*value - 5.0).abs() < 1e-12)
    ));
}
