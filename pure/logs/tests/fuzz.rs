//! Each reader on files whose bytes are changed, cut, doubled and mixed by seeded chance: an
//! answer or an error, never a panic, and memory within a bound. Each reader gets as many files as it
//! reads in a minute; `WITMARK_FUZZ_CASES` sets another number and `WITMARK_FUZZ_SEED` other chance,
//! for longer runs by hand.
#![cfg(test)]

use logs::{Options, Recording, read};

/// Most memory of the whole run, kB; the largest file has 9 kB.
const MOST_KB: u64 = 400_000;

/// Marsaglia's xorshift of 64 bits.
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 20).expect("44 bits") % end.max(1)
    }

    fn of<'a, T: ?Sized>(&mut self, some: &[&'a T]) -> &'a T {
        some[self.below(some.len())]
    }
}

/// A whole number from the environment.
#[expect(
    clippy::disallowed_methods,
    reason = "how long to run is asked for from outside"
)]
fn asked(name: &str) -> Option<u64> {
    std::env::var(name).ok().and_then(|number| number.parse().ok())
}

/// Numbers that claims are made of.
const CLAIMS: [u64; 8] =
    [0, 1, 0x7f, 0xff, 0xffff, 0x7fff_ffff, 0xffff_ffff_ffff, u64::MAX];

fn changed(chance: &mut Chance, seeds: &[&[u8]], words: &[&[u8]]) -> Vec<u8> {
    let mut bytes = chance.of(seeds).to_vec();
    for _ in 0..=chance.below(6) {
        let at = chance.below(bytes.len());
        let length = chance.below(64).min(bytes.len() - at);
        match chance.below(9) {
            0 => bytes.truncate(at),
            1 => drop(bytes.drain(at..at + length)),
            2 => {
                let piece = bytes[at..at + length].to_vec();
                let to = chance.below(bytes.len());
                bytes.splice(to..to, piece);
            }
            3 => {
                let other = chance.of(seeds);
                let from = chance.below(other.len());
                let to = (from + chance.below(256)).min(other.len());
                bytes.splice(at..at, other[from..to].iter().copied());
            }
            4 => {
                let word = chance.of(words);
                bytes.splice(at..at + length.min(8), word.iter().copied());
            }
            5 | 6 => {
                let claim = CLAIMS[chance.below(CLAIMS.len())].to_le_bytes();
                let width = [1, 2, 4, 8][chance.below(4)];
                let at = if chance.below(2) == 0 { at - at % 8 } else { at };
                for (byte, new) in bytes.iter_mut().skip(at).take(width).zip(claim) {
                    *byte = new;
                }
            }
            _ => {
                if let Some(byte) = bytes.get_mut(at) {
                    *byte ^= 1 << chance.below(8);
                }
            }
        }
    }
    bytes
}

fn sound(log: &Recording) {
    assert!(log.kept <= log.rows);
    assert!(log.duration_s.is_finite() && log.duration_s >= 0.0);
    for channel in &log.channels {
        assert!(channel.samples.len() <= log.kept);
        assert!(channel.samples.windows(2).all(|w| w[1].0 >= w[0].0));
        assert!(channel.samples.iter().all(|s| s.0.is_finite() && s.1.is_finite()));
    }
    for found in &log.findings {
        assert!(found.median_interval_s.is_none_or(|s| s.is_finite() && s > 0.0));
    }
}

fn run((seed, usual): (u64, u64), seeds: &[&[u8]], words: &[&[u8]]) {
    let cases = asked("WITMARK_FUZZ_CASES").unwrap_or(usual);
    let seed = seed + 16 * asked("WITMARK_FUZZ_SEED").unwrap_or(0);
    let mut chance = Chance(seed);
    let mut read_through = 0;
    for case in 0..cases {
        let bytes = changed(&mut chance, seeds, words);
        if let Ok(log) = read(&bytes.as_slice(), &Options::default()) {
            sound(&log);
            read_through += 1;
        }
        assert!(memory_kb().is_none_or(|kb| kb < MOST_KB), "case {case} of seed {seed}");
    }
    // What is never read through tests the first check only.
    assert!(read_through * 50 > cases, "{read_through} were read");
}

/// Most memory so far, where the system tells.
#[expect(clippy::disallowed_methods, reason = "a test asks the system for its memory")]
fn memory_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

const TABLES: [&[u8]; 6] = [
    b"time_s,commanded [%],actual [%]\n0,10,1.5\n0.1,20,2.5\n0.2,20,3.5\n0.3,10,2.5\n",
    b"\xef\xbb\xbfZeit;Druck;Temp.\ns;bar;\xc3\x82\xb0C\n0,0;1,5;20\n0,1;1.234,5;21\n0,2;;x\n",
    b"Logger\tdemo\nTime\tv\n23:59:59.500\t1\n00:00:00.250\t\"2\"\n00:00:01.000\t0x1F\n",
    b"Date,Time,\"a \"\"b\"\"\",c\n25.11.2026,07:00:00,1 V,NaN\n25.11.2026,07:00:01,2 V,inf\n",
    b"t,signal,value,unit\n0,p,1.5,bar\n0.1,n,850,1/min\n0.2,p,1.6,bar\n0.3,n,851,1/min\n",
    b"\xff\xfet\0,\0v\0\n\x000\0,\x001\0\n\x001\0,\x002\0\n\x002\0,\x003\0\n\0",
];

#[test]
fn csv() {
    let words: [&[u8]; 12] = [
        b"\n",
        b"\r\n",
        b"\"",
        b"\"\"",
        b",,,",
        b";",
        b"1e308",
        b"-1e-320",
        b"NaN",
        b"\0\0",
        b"00:00:00",
        b"\xff\xfe",
    ];
    run((1, 130_000), &TABLES, &words);
}

#[test]
fn parquet() {
    let seeds: [&[u8]; 5] = [
        include_bytes!("made/snappy.parquet"),
        include_bytes!("made/zstd.parquet"),
        include_bytes!("made/v2.parquet"),
        include_bytes!("made/stamps.parquet"),
        include_bytes!("made/texts.parquet"),
    ];
    run(
        (2, 120_000),
        &seeds,
        &[b"PAR1", b"\x15\x00", b"\x19\xfc", b"\xff\xff\xff\xff\x0f", b"\x00"],
    );
}

#[test]
fn mdf() {
    let seeds: [&[u8]; 4] = [
        include_bytes!("made/plain.mf4"),
        include_bytes!("made/transposed.mf4"),
        include_bytes!("made/listed.mf4"),
        include_bytes!("made/worded.mf4"),
    ];
    run(
        (3, 600_000),
        &seeds,
        &[b"##DT", b"##DL", b"##DZ", b"##CN", b"##CG", b"##CC", b"##HL"],
    );
}
