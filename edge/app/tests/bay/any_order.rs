//! Whatever is tapped, in whatever order: it is taken or refused in words, the job still answers,
//! and what is taken back leaves no trace in the odds.

use sheet::Sheet;

use crate::given::{SHEET, did, new_job, opened};

const JOBS: u64 = 40;
const TAPS: usize = 18;

/// Small numbers from a seed (Steele, Lea and Flood 2014, `SplitMix64`; from memory).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        usize::try_from((z ^ (z >> 31)) >> 33).unwrap() % n.max(1)
    }

    fn of<'a, T>(&mut self, some: &'a [T]) -> &'a T {
        &some[self.below(some.len())]
    }
}

fn any_tap(dice: &mut Dice, sheet: &Sheet) -> String {
    let (item, check) = (dice.of(&sheet.items), dice.of(&sheet.checks));
    match dice.below(14) {
        0 | 1 => format!("check:{}={}", check.id, dice.of(&check.outcomes).0),
        2 => format!("check:{}=skip", check.id),
        3 => format!("check:{}@{}", check.id, dice.of(&["7.9ohm", "6..8ohm", "12V"])),
        4 | 5 => format!("repair:{}", dice.of(&sheet.repairs).id),
        6 => format!("proof:drive={}", dice.of(&["clear", "shown", "clear,km=12"])),
        7 | 8 => format!("off:{}", item.id),
        9 | 10 => format!("on:{}", item.id),
        11 => format!("measure:tray/gap@{}", dice.of(&["0.2", "0.2..0.25", "0.4mm"])),
        12 => format!("cap:{}={}", item.id, dice.of(&["fitted", "removed"])),
        _ => (*dice.of(&[
            "fastener:tray/tray-bolt=missing",
            "fastener:tray/tray-bolt=broken",
            "seal:tray/tray-ring=found",
            "fluid:oil=out",
            "duty:leak-look",
            "erased",
            "code:P0299=pending",
            "seen:unsafe=tyre",
        ]))
        .to_owned(),
    }
}

#[test]
fn whatever_is_tapped_the_job_answers() {
    let sheet = sheet::read(SHEET).sheet.unwrap();
    let (mut taken, mut refused) = (0, 0);
    for seed in 0..JOBS {
        let mut dice = Dice(seed);
        let (mut bay, job) = opened(&new_job());
        for _ in 0..TAPS {
            let before = bay.show(&job).unwrap().odds;
            let tap = any_tap(&mut dice, &sheet);
            match did(&mut bay, &job, &[&tap]) {
                Ok(answer) => {
                    taken += 1;
                    let sum: f64 = answer.odds.iter().map(|odds| odds.p).sum();
                    assert!((sum - 1.0).abs() < 1e-9, "seed {seed}, {tap}: {sum}");
                    bay.next(&job).unwrap_or_else(|e| panic!("{seed}, {tap}: {e:?}"));
                    bay.tray(&job).unwrap_or_else(|e| panic!("{seed}, {tap}: {e:?}"));
                    if dice.below(3) == 0 {
                        bay.undo(&job).unwrap();
                        let after = bay.show(&job).unwrap().odds;
                        assert_eq!(after, before, "seed {seed}, {tap}");
                    }
                }
                Err(problem) => {
                    refused += 1;
                    assert!(!problem.what.is_empty(), "seed {seed}, {tap}");
                    assert_eq!(bay.show(&job).unwrap().odds, before, "{seed}, {tap}");
                }
            }
        }
    }
    assert!(taken > 100 && refused > 10, "{taken} taken, {refused} refused");
}
