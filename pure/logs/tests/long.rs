//! Tables with one signal a row: the same channels as of the wide table that they were made of.
#![cfg(test)]

use std::fmt::Write;

use logs::{Channel, Finding, LogError, Options, Recording, read_csv};

fn read(text: &str) -> Recording {
    read_csv(text.as_bytes(), &Options::default()).expect("a table")
}

fn channel<'r>(log: &'r Recording, name: &str) -> &'r Channel {
    log.channel(name).unwrap_or_else(|error| panic!("{error}: {:?}", log.remarks))
}

/// A value that no other row of the signal is near.
fn value(signal: u32, row: u32) -> f64 {
    f64::from((row * 7_919 + signal * 31) % 1_009) + 0.25 * f64::from(signal)
}

const SIGNALS: [(&str, &str); 3] =
    [("command", "%"), ("actual", "%"), ("speed", "1/min")];

/// Rows of a wide table, 50 ms apart, and their signals a little later one after another.
fn rows(count: u32) -> impl Iterator<Item = (u32, u32, f64)> {
    (0..count).flat_map(|row| {
        (0..3).map(move |signal| {
            (row, signal, 0.05 * f64::from(row) + 0.01 * f64::from(signal))
        })
    })
}

fn as_made(log: &Recording, count: u32) {
    for (signal, (name, unit)) in (0..).zip(SIGNALS) {
        let found = channel(log, name);
        assert_eq!(found.unit.as_deref(), Some(unit));
        let made = rows(count).filter(|(_, of, _)| *of == signal);
        let made: Vec<(f64, f64)> =
            made.map(|(row, _, s)| (s, value(signal, row))).collect();
        assert_eq!(found.samples.len(), made.len());
        for (found, made) in found.samples.iter().zip(&made) {
            assert!((found.0 - made.0).abs() < 1e-9, "{name}: {found:?}, not {made:?}");
            assert!((found.1 - made.1).abs() < 1e-9, "{name}: {found:?}, not {made:?}");
        }
    }
}

#[test]
fn signals_in_turn_are_told_apart() {
    let mut text = "Time [s];Signal;Value;Unit\n".to_owned();
    for (row, signal, s) in rows(400) {
        let (name, unit) = SIGNALS[signal as usize];
        let comma = format!("{s:.2};{name};{:.2};{unit}\n", value(signal, row));
        text += &comma.replace('.', ",");
    }
    let log = read(&text);
    assert_eq!((log.rows, log.kept, log.channels.len()), (1_200, 1_200, 3));
    assert!(
        log.remarks.iter().any(|r| r.contains("one signal a row")),
        "{:?}",
        log.remarks
    );
    as_made(&log, 400);
    let interval = channel(&log, "actual").median_interval_s().expect("an interval");
    assert!((interval - 0.05).abs() < 1e-9, "{interval}");
}

#[test]
fn signals_behind_one_another_are_told_apart() {
    let mut sorted: Vec<_> = rows(600).collect();
    sorted.sort_by_key(|(row, signal, _)| (*signal, *row));
    let mut text = "timestamp,name,value\n".to_owned();
    for (row, signal, s) in sorted {
        let (name, unit) = SIGNALS[signal as usize];
        writeln!(text, "{s:.2},{name} [{unit}],{:.2}", value(signal, row)).expect("text");
    }
    as_made(&read(&text), 600);
}

#[test]
fn without_a_header_names_that_take_turns_are_names() {
    let mut text = String::new();
    for (row, signal, s) in rows(50) {
        let (name, unit) = SIGNALS[signal as usize];
        writeln!(text, "{s:.2}\t{name}\t{:.2} {unit}", value(signal, row)).expect("text");
    }
    as_made(&read(&text), 50);
}

#[test]
fn a_large_file_is_the_same_on_any_number_of_threads() {
    let mut text = "t,parameter,raw,value,unit\n".to_owned();
    for (row, signal, s) in rows(60_000) {
        let (name, unit) = SIGNALS[signal as usize];
        writeln!(text, "{s:.2},{name},{row},{:.2},{unit}", value(signal, row))
            .expect("text");
    }
    assert!(text.len() > 4 << 20, "several blocks");
    let one = Options { threads: 1, ..Options::default() };
    let log = read_csv(text.as_bytes(), &one).expect("a table");
    as_made(&log, 60_000);
    let taken =
        "one signal a row, named by `parameter`, its value in `value`; not read: `raw`";
    assert!(log.remarks.iter().any(|r| r == taken), "{:?}", log.remarks);
    let two = Options { threads: 2, ..one.clone() };
    assert_eq!(read_csv(text.as_bytes(), &two).expect("a table"), log);
    let keep = Some(vec!["actual".to_owned()]);
    let kept = read_csv(text.as_bytes(), &Options { keep, ..one }).expect("a table");
    assert_eq!(kept.channels.len(), 1);
    assert_eq!(kept.channels[0], *channel(&log, "actual"));
    assert_eq!(kept.findings, log.findings);
}

#[test]
fn repeats_of_a_link_show_where_all_signals_stand_at_each_time() {
    // Four signals asked in turn, each repeated until it is asked again; the last one is slow.
    let made = |signal: u32, row: u32| {
        let asked = (row + 4 - signal) >> 2;
        if signal == 3 { f64::from(asked.div_euclid(50)) } else { value(signal, asked) }
    };
    let (mut wide, mut long) =
        ("time_s,a,b,c,d\n".to_owned(), "time_s,name,value\n".to_owned());
    for row in 0..2_000 {
        let s = f64::from(row) * 0.1;
        let cells: Vec<String> =
            (0..4).map(|of| format!("{:.2}", made(of, row))).collect();
        writeln!(wide, "{s:.1},{}", cells.join(",")).expect("text");
        for (name, cell) in ["a", "b", "c", "d"].iter().zip(&cells) {
            writeln!(long, "{s:.1},{name},{cell}").expect("text");
        }
    }
    let (wide, long) = (read(&wide), read(&long));
    assert_eq!((wide.polled_rows, long.polled_rows), (Some(4), Some(4)));
    assert_eq!(wide.findings, long.findings);
    assert_eq!(wide.channels, long.channels);
}

#[test]
fn one_clock_runs_through_all_rows() {
    // Over midnight, and set back by 2 s once.
    let stamps = ["23:59:58", "23:59:59", "00:00:00", "00:00:01", "23:59:59", "00:00:00"];
    let mut text = "clock,channel,value\n".to_owned();
    for (row, stamp) in stamps.iter().enumerate().take(4) {
        writeln!(text, "{stamp}.000,a,{row}\n{stamp}.500,b,{row}").expect("text");
    }
    let log = read(&text);
    let times =
        |name| channel(&log, name).samples.iter().map(|s| s.0).collect::<Vec<_>>();
    assert_eq!(times("a"), [0.0, 1.0, 2.0, 3.0]);
    assert_eq!(times("b"), [0.5, 1.5, 2.5, 3.5]);
    let log = read(
        "time_s,channel,value\n10,a,1\n10.5,b,1\n11,a,2\n11.5,b,2\n9,a,3\n9.5,b,3\n\
         10,a,4\n10.5,b,4\n11,a,5\n11.5,b,5\n",
    );
    let (a, b) = (channel(&log, "a"), channel(&log, "b"));
    for (a, b) in a.samples.iter().zip(&b.samples) {
        assert!((b.0 - a.0 - 0.5).abs() < 1e-9, "still half a second apart: {a:?} {b:?}");
    }
    assert!(
        log.remarks.iter().any(|r| r.contains("steps back once")),
        "{:?}",
        log.remarks
    );
}

#[test]
fn one_signal_that_cannot_be_read_does_not_spoil_the_others() {
    let mut text = "time;signal;value\n".to_owned();
    for row in 0..40 {
        writeln!(text, "0,{row:02};speed;1.{row:03},5\n0,{row:02};lambda;0,98")
            .expect("text");
        writeln!(text, "0,{row:02};loop;closed\n").expect("text");
    }
    text += "0,41;;\n";
    let log = read(&text);
    assert!(matches!(log.channel("speed"), Err(LogError::Thousands { .. })));
    assert_eq!(channel(&log, "lambda").samples.len(), 40);
    let found = log.findings.iter().find(|f| f.name == "loop").expect("it is there");
    assert_eq!(found.found, [Finding::NoValue]);
    assert!(log.remarks.iter().any(|r| r == "40 cells left out: no number"));
}

#[test]
fn a_cell_without_its_unit_is_of_the_signal_all_the_same() {
    let mut text = "time,signal,value\n0,speed,NaN\n0,supply,12.5 V\n".to_owned();
    for row in 1..30 {
        let empty = row % 7 == 0;
        let [speed, supply] = if empty { ["-", ""] } else { ["850 1/min", "12.5 V"] };
        writeln!(text, "{row},speed,{speed}\n{row},supply,{supply}").expect("text");
    }
    let log = read(&text);
    assert_eq!(log.channels.len(), 2, "{:?}", log.findings);
    for (name, unit, samples) in [("speed", "1/min", 25), ("supply", "V", 26)] {
        let found = channel(&log, name);
        assert_eq!((found.unit.as_deref(), found.samples.len()), (Some(unit), samples));
    }
}

#[test]
fn what_is_called_a_unit_is_one() {
    let mut text = "s,pid,value,units\n".to_owned();
    for row in 0..10 {
        writeln!(text, "{row},load,{row},%\n{row}.5,count,{row},steps of it")
            .expect("text");
    }
    let log = read(&text);
    assert_eq!(channel(&log, "load").unit.as_deref(), Some("%"));
    assert_eq!(channel(&log, "count").unit.as_deref(), Some("steps of it"));
}

#[test]
fn a_wide_table_with_words_stays_wide() {
    for header in ["time,mode,speed", "time,state,value"] {
        let mut text = format!("{header}\n");
        for row in 0..100 {
            let mode = if row < 60 { "idle" } else { "driving" };
            writeln!(text, "{row},{mode},{}", 800 + row).expect("text");
        }
        let log = read(&text);
        let name = header.rsplit(',').next().expect("a name");
        assert_eq!(channel(&log, name).samples.len(), 100, "{header}");
    }
    // How good the signal is names no signal, and the other numbers are not to be lost.
    for header in
        ["time,signal quality,speed", "time,signal quality,actual value,setpoint"]
    {
        let mut text = format!("{header}\n");
        for row in 0..100 {
            let quality = if row < 60 { "good" } else { "weak" };
            let more = if header.contains("setpoint") { ",7" } else { "" };
            writeln!(text, "{row},{quality},{row}{more}").expect("text");
        }
        let name = header.rsplit(',').next().expect("a name");
        assert_eq!(channel(&read(&text), name).samples.len(), 100, "{header}");
    }
    let lone = read("time [s],channel,current [A]\n0,CH1,1\n1,CH1,2\n2,CH1,3\n");
    assert_eq!(channel(&lone, "current").unit.as_deref(), Some("A"));
    let noted = read("time,name,a,b\n0,x,1,2\n1,y,2,3\n2,x,3,4\n3,y,4,5\n");
    assert_eq!(channel(&noted, "a").samples.len(), 4);
    // Two modules have a signal of one name each: told by the name alone they would mix.
    let mut text = "time,module,signal,value\n".to_owned();
    for row in 0..20 {
        writeln!(text, "{row},engine,voltage,13.8\n{row},gearbox,voltage,13.6")
            .expect("text");
    }
    assert!(read(&text).channel("voltage").is_err());
}
