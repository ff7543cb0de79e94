//! Logs of a link that asks its signals in turn: what is fresh, against three public
//! drives and against files made with a known turn.
#![cfg(test)]

use std::fmt::Write as _;
use std::path::Path;

use logs::{Options, Recording, read_csv};

/// A public drive (Automotive OBD-II Dataset, M. Weber, Karlsruhe Institute of
/// Technology 2019, DOI 10.35097/1130), or `None` where the data is not beside us.
#[expect(clippy::disallowed_methods, reason = "a test reads its data from disk")]
fn drive(name: &str) -> Option<Recording> {
    let folder =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data/recordings");
    if let Ok(bytes) = std::fs::read(folder.join(name)) {
        let read = read_csv(&bytes, &Options::default());
        return Some(read.unwrap_or_else(|e| panic!("{name}: {e}")));
    }
    #[expect(clippy::print_stderr, reason = "a skipped check must say so")]
    {
        eprintln!("skipped: {name} is not there");
    }
    None
}

fn near(value: Option<f64>, wanted: f64, share: f64) {
    let value = value.expect("a value");
    assert!((value - wanted).abs() <= share * wanted, "{value} is not {wanted}");
}

/// Rows every 90 ms, ten signals in turn, each about once in 0.9 s: measured on the
/// whole data set, 2 386 985 rows of 77 drives; 2 % for the rows and
/// 4 % for a signal, because single drives also hold runs of 60 ms rows.
#[test]
fn public_drives_refresh_each_signal_once_in_ten_rows() {
    for name in ["drive-a.csv", "drive-b.csv", "drive-c.csv"] {
        let Some(log) = drive(name) else { return };
        assert_eq!(log.channels.len(), 10, "{name}");
        assert_eq!(log.polled_rows, Some(10), "{name}: {:?}", log.remarks);
        near(log.row_interval_s, 0.090, 0.02);
        for channel in &log.channels {
            near(channel.median_interval_s(), 0.90, 0.04);
            let (least, most) = (log.rows * 85, log.rows * 102);
            let fresh = channel.samples.len() * 1_000;
            assert!((least..=most).contains(&fresh), "{name} {}: {fresh}", channel.name);
            assert!(
                channel.samples.windows(2).all(|w| w[1].0 > w[0].0),
                "{}",
                channel.name
            );
        }
    }
}

#[test]
fn fresh_samples_of_a_public_drive_rarely_repeat_where_the_signal_moves() {
    let Some(log) = drive("drive-a.csv") else { return };
    let speed = log.channel("Engine RPM").expect("a channel");
    let same = speed.samples.windows(2).filter(|w| w[0].1.to_bits() == w[1].1.to_bits());
    let same = same.count();
    let all = speed.samples.len();
    assert!(same * 4 < all, "{same} of {all} fresh samples repeat the one before");
}

/// 07:30:32.730 is followed by 07:30:32.264: the only backward step of that drive.
#[test]
fn the_backward_step_of_a_public_drive_is_said() {
    let Some(log) = drive("drive-a.csv") else { return };
    let said = log.remarks.iter().find(|r| r.contains("steps back")).expect("a remark");
    assert!(said.contains("once, most by 0.466 s at data row 393"), "{said}");
    assert_eq!(log.kept, log.rows);
    assert_eq!(log.channels[0].unit.as_deref(), Some("\u{b0}C"));
}

/// Four signals in turn, forward-filled; `slip` leaves rows out as a link does.
fn made(signals: usize, shown: usize, slip: impl Fn(usize) -> bool) -> String {
    let mut text = "time_s".to_owned();
    (0..shown).for_each(|i| write!(text, ",s{i}").expect("text"));
    text.push('\n');
    let mut cells = vec![String::new(); signals];
    for row in (0..400_usize).filter(|row| !slip(*row)) {
        // A product modulo a prime: values that do not repeat from turn to turn.
        cells[row % signals] = ((row * 7_919) % 1_009).to_string();
        let time = 0.09 * f64::from(u32::try_from(row).expect("small"));
        writeln!(text, "{time:.3},{}", cells[..shown].join(",")).expect("text");
    }
    text
}

#[test]
fn a_known_turn_is_found_with_all_or_some_of_its_columns() {
    for (signals, shown) in [(4, 4), (10, 2), (10, 10), (2, 2)] {
        let log =
            read_csv(made(signals, shown, |_| false).as_bytes(), &Options::default())
                .expect("a recording");
        assert_eq!(log.polled_rows, Some(signals));
        for (i, channel) in log.channels.iter().enumerate() {
            let wanted: Vec<usize> = (i..400).step_by(signals).collect();
            assert_eq!(channel.samples.len(), wanted.len(), "{signals} {i}");
            for (sample, row) in channel.samples.iter().zip(wanted) {
                let time = 0.09 * f64::from(u32::try_from(row).expect("small"));
                assert!((sample.0 - time).abs() < 1e-3);
            }
        }
    }
}

#[test]
fn after_a_slip_no_stale_cell_counts_as_fresh() {
    let slip = |row: usize| row % 57 == 13;
    let log =
        read_csv(made(5, 5, slip).as_bytes(), &Options::default()).expect("a recording");
    assert_eq!(log.polled_rows, Some(5));
    for (i, channel) in log.channels.iter().enumerate() {
        for (time, value) in &channel.samples {
            let row = (0..400_usize)
                .find(|r| {
                    (0.09 * f64::from(u32::try_from(*r).expect("small")) - time).abs()
                        < 0.01
                })
                .expect("a row");
            assert_eq!(row % 5, i, "stale cell of s{i} at {time}");
            assert!(
                (value - f64::from(u32::try_from((row * 7_919) % 1_009).expect("small")))
                    .abs()
                    < 0.5
            );
        }
        assert!(channel.samples.len() > 60);
    }
}

#[test]
fn where_every_row_is_fresh_nothing_is_taken_away() {
    let mut stepping = "time_s,commanded,actual\n".to_owned();
    let mut stuck = stepping.clone();
    for row in 0..600_u32 {
        let command = if row % 100 < 50 { 20.0 } else { 60.0 };
        let noise = f64::from((row * 7_919) % 1_009) * 1e-3;
        let time = 0.1 * f64::from(row);
        writeln!(stepping, "{time:.3},{command},{noise}").expect("text");
        writeln!(stuck, "{time:.3},{command},33").expect("text");
    }
    for text in [stepping, stuck] {
        let log = read_csv(text.as_bytes(), &Options::default()).expect("a recording");
        assert_eq!(log.polled_rows, None, "{:?}", log.remarks);
        assert!(log.channels.iter().all(|c| c.samples.len() == 600));
    }
}
