//! Parquet and MDF 4 files that general-purpose libraries wrote, against the values they
//! were given (`made/README.md`).
#![cfg(test)]

use std::sync::Arc;

use logs::{LogError, Options, Recording, read, read_csv};
use parquet::data_type::{
    ByteArray, ByteArrayType, DoubleType, FixedLenByteArray, FixedLenByteArrayType,
    Int32Type, Int64Type,
};
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::parser::parse_message_type;

fn read_bytes(bytes: &[u8]) -> Recording {
    read(&bytes, &Options::default()).unwrap_or_else(|e| panic!("{e}"))
}

fn commanded(row: usize) -> f64 {
    if row % 80 < 40 { 20.0 } else { 60.0 }
}

fn number(row: usize) -> f64 {
    f64::from(u32::try_from(row).expect("small"))
}

/// Rounding of 32 bits at 61.
const SINGLE: f64 = 4e-6;

fn holds(log: &Recording, name: &str, skip: Option<usize>, of: impl Fn(usize) -> f64) {
    let rows: Vec<usize> = (0..400).filter(|row| Some(*row) != skip).collect();
    let channel = log.channel(name).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(channel.samples.len(), rows.len(), "{name}");
    for ((time, value), row) in channel.samples.iter().zip(rows) {
        assert!((time - 0.05 * number(row)).abs() < 1e-6, "{name} row {row}: {time}");
        assert!((value - of(row)).abs() < SINGLE, "{name} row {row}: {value}");
    }
}

#[test]
fn parquet_of_every_packing_and_page_gives_its_values() {
    for bytes in [
        include_bytes!("made/snappy.parquet").as_slice(),
        include_bytes!("made/zstd.parquet").as_slice(),
        include_bytes!("made/v2.parquet").as_slice(),
    ] {
        let log = read_bytes(bytes);
        assert_eq!((log.rows, log.kept), (400, 400));
        assert!((log.duration_s - 19.95).abs() < 1e-9);
        holds(&log, "commanded", Some(5), commanded);
        holds(&log, "actual", None, |row| commanded(row) + number(row).sin());
        holds(&log, "on", None, |row| f64::from(u8::from(commanded(row) > 30.0)));
        assert_eq!(log.channels[0].unit.as_deref(), Some("%"));
        assert!(log.remarks.iter().any(|r| r.contains("`time` (by its name), in s")));
    }
}

#[test]
fn parquet_times_may_be_stamps_or_texts() {
    for bytes in [
        include_bytes!("made/stamps.parquet").as_slice(),
        include_bytes!("made/texts.parquet").as_slice(),
    ] {
        let log = read_bytes(bytes);
        holds(&log, "v", None, |row| commanded(row) + number(row).sin());
    }
}

/// A whole number every 5 ms, and one that is missing in every seventh row.
fn in_groups(groups: &[usize]) -> Vec<u8> {
    let schema = "message log { required int64 time_ms; optional double v; }";
    let schema = Arc::new(parse_message_type(schema).expect("a schema"));
    let properties = Arc::new(WriterProperties::default());
    let mut file =
        SerializedFileWriter::new(Vec::new(), schema, properties).expect("a writer");
    let mut from = 0;
    for rows in groups {
        let rows = from..from + rows;
        from = rows.end;
        let times: Vec<i64> =
            rows.clone().map(|row| i64::try_from(5 * row).expect("small")).collect();
        let filled = |row: &usize| !row.is_multiple_of(7);
        let values: Vec<f64> = rows.clone().filter(filled).map(number).collect();
        let levels: Vec<i16> = rows.map(|row| i16::from(filled(&row))).collect();
        let mut group = file.next_row_group().expect("a group");
        let mut column = group.next_column().expect("room").expect("a column");
        let written = column.typed::<Int64Type>().write_batch(&times, None, None);
        written.expect("times");
        column.close().expect("a column");
        let mut column = group.next_column().expect("room").expect("a column");
        let written =
            column.typed::<DoubleType>().write_batch(&values, Some(&levels), None);
        written.expect("values");
        column.close().expect("a column");
        group.close().expect("a group");
    }
    file.into_inner().expect("a file")
}

#[test]
fn parquet_groups_of_any_size_follow_one_another_on_any_number_of_threads() {
    let rows = [70_001, 1, 150_000];
    let bytes = in_groups(&rows);
    let all: usize = rows.iter().sum();
    for threads in [1, 2, 8] {
        let options = Options { threads, ..Options::default() };
        let log = read(&bytes.as_slice(), &options).expect("a recording");
        assert_eq!(log.rows, all);
        let samples = &log.channel("v").expect("a channel").samples;
        let filled = (0..all).filter(|row| !row.is_multiple_of(7));
        assert_eq!(samples.len(), filled.clone().count(), "{threads} threads");
        for ((time, value), row) in samples.iter().zip(filled) {
            assert!((time - 0.005 * number(row)).abs() < 1e-6, "row {row}: {time}");
            assert!((value - number(row)).abs() < 1e-9, "row {row}: {value}");
        }
    }
}

/// Apache Parquet, logical types: `UINT_32` is kept in the bits of a signed number; DECIMAL is a
/// whole number over a power of ten, in bytes as big-endian two's complement.
#[test]
fn parquet_whole_numbers_and_decimals_keep_sign_and_scale() {
    let schema = "message log { required int64 time_ms; required int32 count (UINT_32);
        required fixed_len_byte_array(5) fixed (DECIMAL(9, 3));
        required binary loose (DECIMAL(9, 3)); }";
    let schema = Arc::new(parse_message_type(schema).expect("a schema"));
    let properties = Arc::new(WriterProperties::default());
    let mut file =
        SerializedFileWriter::new(Vec::new(), schema, properties).expect("a writer");
    let mut group = file.next_row_group().expect("a group");
    let rows = -50_i32..50;
    let times: Vec<i64> = rows.clone().map(|row| 5 * i64::from(row + 50)).collect();
    let counts: Vec<i32> = rows.clone().collect();
    let bytes = |row: i32, from: usize| i64::from(row).to_be_bytes()[from..].to_vec();
    let fixed: Vec<FixedLenByteArray> =
        rows.clone().map(|row| bytes(row, 3).into()).collect();
    let loose: Vec<ByteArray> = rows.clone().map(|row| bytes(row, 7).into()).collect();
    let mut column = group.next_column().expect("room").expect("a column");
    column.typed::<Int64Type>().write_batch(&times, None, None).expect("times");
    column.close().expect("a column");
    let mut column = group.next_column().expect("room").expect("a column");
    column.typed::<Int32Type>().write_batch(&counts, None, None).expect("counts");
    column.close().expect("a column");
    let mut column = group.next_column().expect("room").expect("a column");
    let written = column.typed::<FixedLenByteArrayType>().write_batch(&fixed, None, None);
    written.expect("decimals");
    column.close().expect("a column");
    let mut column = group.next_column().expect("room").expect("a column");
    column.typed::<ByteArrayType>().write_batch(&loose, None, None).expect("decimals");
    column.close().expect("a column");
    group.close().expect("a group");
    let log = read_bytes(&file.into_inner().expect("a file"));
    let all = |name: &str, of: fn(i32) -> f64| {
        let samples = &log.channel(name).expect("a channel").samples;
        assert_eq!(samples.len(), 100, "{name}");
        for ((_, value), row) in samples.iter().zip(rows.clone()) {
            assert!((value - of(row)).abs() < 1e-9, "{name} at {row}: {value}");
        }
    };
    all("count", |row| f64::from(row.cast_unsigned()));
    all("fixed", |row| f64::from(row) / 1e3);
    all("loose", |row| f64::from(row) / 1e3);
}

#[test]
fn mdf_groups_keep_their_own_times() {
    for bytes in [
        include_bytes!("made/plain.mf4").as_slice(),
        include_bytes!("made/transposed.mf4").as_slice(),
    ] {
        let log = read_bytes(bytes);
        assert_eq!(log.rows, 500);
        holds(&log, "commanded", None, commanded);
        holds(&log, "actual", None, |row| commanded(row) + number(row).sin());
        let oil = log.channel("oil").expect("a channel");
        assert_eq!(oil.unit.as_deref(), Some("\u{b0}C"));
        assert_eq!(oil.samples.len(), 100);
        for (k, (time, value)) in oil.samples.iter().enumerate() {
            assert!((time - 0.03 - 0.2 * number(k)).abs() < 1e-9, "{time}");
            assert!(
                (value - (0.5 * number(60 + k % 30) - 40.0)).abs() < 1e-12,
                "{value}"
            );
        }
    }
    let listed = read_bytes(include_bytes!("made/listed.mf4"));
    holds(&listed, "actual", None, |row| commanded(row) + number(row).sin());
}

/// ASAM MDF 4: a rule for values may stand beside words for some of them (conversion types 7
/// and 8); a word is no number, and what is not valid is none either, whatever the rule.
#[test]
fn mdf_values_that_are_words_or_not_valid_are_left_out() {
    let log = read_bytes(include_bytes!("made/worded.mf4"));
    assert!(
        log.remarks.iter().any(|r| r.contains("1 channel left out: by a formula")),
        "{log:?}"
    );
    let holds = |name: &str, missing: fn(&usize) -> bool, of: fn(usize) -> f64| {
        let samples = &log.channel(name).expect("a channel").samples;
        let rows: Vec<usize> = (0..400).filter(|row| !missing(row)).collect();
        assert_eq!(samples.len(), rows.len(), "{name}");
        for ((time, value), row) in samples.iter().zip(rows) {
            assert!((time - 0.05 * number(row)).abs() < 1e-9, "{name}: {time}");
            assert!((value - of(row)).abs() < SINGLE, "{name} row {row}: {value}");
        }
    };
    holds("lift", |row| row % 10 == 3, |row| 0.5 * number(row % 200) + 2.0);
    holds("level", |row| row % 7 == 2, |row| 10.0 + 2.0 * number(row % 100));
    holds("half", |_| false, |row| number(row) / 4.0);
}

/// Bytes 0 to 7, the version and the place of the first block, as the published overview of
/// MDF 4.1 gives them.
#[test]
fn the_head_of_an_mdf_file_is_as_published() {
    let bytes = include_bytes!("made/plain.mf4");
    assert_eq!(&bytes[..8], b"MDF     ");
    assert_eq!(u16::from_le_bytes([bytes[28], bytes[29]]), 410);
    assert_eq!(&bytes[64..68], b"##HD");
}

#[test]
fn only_what_is_asked_for_is_kept_and_all_is_looked_at() {
    let keep = Some(vec!["actual".to_owned(), "nothing like it".to_owned()]);
    let options = Options { keep, ..Options::default() };
    for bytes in [
        include_bytes!("made/snappy.parquet").as_slice(),
        include_bytes!("made/plain.mf4").as_slice(),
    ] {
        let log = read_csv(bytes, &options).expect("a recording");
        assert_eq!(log.channels.len(), 1);
        assert_eq!(log.findings.len(), 3);
        assert!(
            log.findings.iter().all(|f| f.fresh >= 100 && f.median_interval_s.is_some())
        );
        assert!(matches!(log.channel("commanded"), Err(LogError::NotKept(_))));
    }
}

#[test]
fn files_of_other_kinds_are_named_with_the_next_move() {
    for (bytes, words) in [
        (b"PK\x03\x04 and so on".as_slice(), "save its table as CSV"),
        (b"\x1f\x8b and so on", "unpack it first"),
        (b"PAR1", "it ends too early"),
        (b"PAR1 and no footer at the end", "it ends too early"),
        (b"MDF     ", "reaches beyond the file"),
    ] {
        let error = read_csv(bytes, &Options::default()).expect_err(words).to_string();
        assert!(error.contains(words), "{error}");
    }
    let mut old = include_bytes!("made/plain.mf4").to_vec();
    old[28..30].copy_from_slice(&330_u16.to_le_bytes());
    let error = read_csv(&old, &Options::default()).expect_err("version 3").to_string();
    assert!(error.contains("export it as MDF 4 or CSV"), "{error}");
}

/// ASAM MDF 4, channel block: a virtual channel (type 6) has no place in the record, so the width
/// that a file claims for it is not looked at.
#[test]
fn a_virtual_channel_of_any_claimed_width_counts_its_records() {
    let plain = include_bytes!("made/plain.mf4");
    let blocks: Vec<usize> =
        (0..plain.len() - 4).filter(|at| plain[*at..].starts_with(b"##CN")).collect();
    let mut counted = 0;
    for at in blocks {
        let links = u64::from_le_bytes(plain[at + 16..at + 24].try_into().unwrap());
        let data = at + 24 + 8 * usize::try_from(links).unwrap();
        // A master carries the time: it is left alone.
        if matches!(plain[data], 2 | 3) {
            continue;
        }
        let counts = [0, 1, 64, u32::MAX - 7, u32::MAX].map(|width| {
            let mut bytes = plain.to_vec();
            bytes[data] = 6;
            bytes[data + 8..data + 12].copy_from_slice(&width.to_le_bytes());
            let log = read_bytes(&bytes);
            let same = |channel: &&logs::Channel| {
                let values = channel.samples.iter().map(|sample| sample.1);
                values
                    .zip(0_u32..)
                    .all(|(value, row)| value.to_bits() == f64::from(row).to_bits())
            };
            log.channels.iter().filter(same).count()
        });
        assert_eq!(counts, [counts[0]; 5], "whatever the width");
        counted += counts[0];
    }
    assert!(counted > 0, "none was a count");
}
