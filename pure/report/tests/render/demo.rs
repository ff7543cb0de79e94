//! An invented job to print: vehicle, workshop, people and figures are made up.

use pages::{
    AlsoSeen, Bill, BillLine, CellState, Charged, CodeSeen, Count, Counted, DutyRow,
    Evidence, FileReport, Finding, JobHead, LooseEnd, MeasureRow, Overlay, OwnerReport,
    PartUsed, RepairDone, Shown, StepTrace, Sure, TimeRow, TorqueRow, Traces, TrayCell,
    TrayItem, TrayKind, Trial, Urgency, WindowEnd, WiperSheet,
};

/// Text from literals.
pub(crate) fn s(text: &str) -> String {
    text.to_owned()
}

fn all(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|text| s(text)).collect()
}

fn head() -> JobHead {
    JobHead {
        workshop: s("Quayside Motor Works"),
        workshop_lines: all(&["4 Slipway Lane, Eastmere", "0000 555 014"]),
        job: s("26-0117"),
        vehicle: s("Tarnfell L2 van, diesel four"),
        plate: s("EM 26 KLV"),
        taken_in: s("9 November 2026"),
        handed_over: s("12 November 2026"),
        odometer_in: s("148 210 km"),
        odometer_out: s("148 741 km"),
        log_head: s("9f27c40a6be1d3358c02 (event 84)"),
        currency: s("EUR"),
        language: s("en"),
        shown: Shown::Metric,
    }
}

fn finding(what: &str, outcome: &str, reading: &str) -> Finding {
    Finding { what: s(what), outcome: s(outcome), reading: s(reading) }
}

fn part(title: &str, make: &str, count: f64, price: f64) -> PartUsed {
    PartUsed { title: s(title), number: String::new(), make: s(make), count, price }
}

fn line(what: &str, amount: f64, charged: Charged) -> BillLine {
    BillLine { what: s(what), amount, charged }
}

fn sure() -> Sure {
    Sure {
        p_fixed: Some(0.95),
        count: Some(Count { seen: 2.0, over: 400.0, clear: 0.0, ends: WindowEnd::Now }),
        fixed_before: 0.7,
        clear: 531.0,
        counted: Counted::Km,
        target: Some(0.95),
        repeats: all(&[
            "The same recording again: boost follows its command with a time constant of 0.6 s, it was 1.4 s.",
        ]),
        why_unknown: String::new(),
    }
}

fn bill() -> Bill {
    Bill {
        lines: vec![
            line("Finding the cause, 1 h 25 min", 93.50, Charged::Charged),
            line("Getting in and out, 1 h 10 min", 77.00, Charged::Charged),
            line("Cleaning the vanes, 1 h", 66.00, Charged::Charged),
            line("Seized bolt drilled out, 12 min", 13.20, Charged::Goodwill),
            line("Parts and consumables", 31.50, Charged::Charged),
        ],
        tax: Some((19.0, 50.92)),
        total: 318.92,
        quoted: Some((290.0, 420.0)),
        authorised: Some(420.0),
    }
}

/// The report for the owner.
pub(crate) fn owner() -> OwnerReport {
    OwnerReport {
        head: head(),
        complaint: s(
            "Loses power on long hills, the lamp comes on and goes out again after a day.\nTwice in the last three weeks. Nobody has worked on it.",
        ),
        codes: vec![CodeSeen {
            code: s("P0299"),
            text: s("boost lower than commanded"),
            state: s("stored"),
        }],
        noted_first: all(&[
            "Freeze frame: 2 300/min, 85 % load, engine warm",
            "Battery 12.6 V at rest, 14.2 V charging",
            "Oil between the marks",
        ]),
        findings: vec![
            finding("Pressures compared, key on", "They agree", "100.8 and 101.1 kPa"),
            finding("Hoses, vacuum lines, loom", "Nothing loose or split", ""),
            finding(
                "Stroke of the vane rod",
                "Starts late, stops short",
                "6.5 mm, 8 to 12 is good",
            ),
            finding(
                "Hand pump on the pod",
                "Holds, but the rod sticks",
                "loses 0.02 bar in 60 s",
            ),
            finding("Loaded drive, recorded", "Slow upwards", "time constant 1.4 s"),
        ],
        cause: s("The vanes of the turbocharger stuck with soot."),
        also_seen: vec![AlsoSeen {
            what: s("Engine mount, right, gone soft"),
            urgency: Urgency::Soon,
            price_now: Some(96.0),
            price_later: Some(131.0),
            decided: String::new(),
        }],
        done: vec![RepairDone {
            what: s("Cleaned the vanes in place"),
            why: s("all strokes free afterwards, both ways smooth"),
            minutes: Some(60.0),
            parts: vec![
                part("Solvent, lint-free cloth", "", 1.0, 22.0),
                part("Bolt M8x1.25 × 16", "new, maker's", 1.0, 3.5),
                part("Sealing rings", "new, other make", 2.0, 6.0),
            ],
        }],
        bill: bill(),
        sure: sure(),
        trial: Some(Trial {
            terms: s(
                "You drive as always for a week. If the lamp comes back we look again at no charge for the return.",
            ),
            until: s("19 November 2026 or 525 km"),
        }),
        watch: all(&[
            "If the lamp comes on, ring us before anybody clears it.",
            "One long run a week keeps the vanes free: full load, 20 minutes.",
        ]),
        loose_ends: vec![LooseEnd {
            what: s("One undertray clip broken, held by seven of eight screws"),
            accepted: s("M. Orrin, 12 November 2026"),
            settled: String::new(),
        }],
        photos: Vec::new(),
    }
}

fn event(when: &str, what: &str, result: &str) -> Evidence {
    Evidence { when: s(when), who: s("D. Falk"), what: s(what), result: s(result) }
}

fn torque(item: &str, fastener: &str, nm: f64, done: bool) -> TorqueRow {
    TorqueRow {
        item: s(item),
        fastener: s(fastener),
        wanted_nm: Some(nm),
        source: s("manual"),
        how: s(if done { "torque" } else { "not done" }),
        wrench: s(if done { "no. 2, 5-50 N·m, checked March 2026" } else { "" }),
        done,
    }
}

/// A first-order rise after a dead time, as an invented recording shows it.
fn rises(dead_s: f64, constant_s: f64, lag: &[f64]) -> Vec<StepTrace> {
    lag.iter()
        .map(|more| StepTrace {
            points: (0..60_u8)
                .map(|at| f64::from(at) * 0.1 - 0.5)
                .map(|t| {
                    let after = (t - dead_s - more).max(0.0);
                    (
                        t,
                        115.0
                            + 55.0 * (1.0 - (-after / (constant_s * (1.0 + more))).exp()),
                    )
                })
                .collect(),
        })
        .collect()
}

fn recording() -> Overlay {
    let traces =
        |title: &str, note: &str, steps| Traces { title: s(title), note: s(note), steps };
    Overlay {
        title: s("Boost after a commanded step, loaded drive"),
        unit: s("kPa"),
        panels: vec![
            traces(
                "Before",
                "time constant 1.4 s",
                rises(0.4, 1.4, &[0.0, 0.2, 0.45, 0.3]),
            ),
            traces(
                "After",
                "time constant 0.6 s",
                rises(0.3, 0.6, &[0.0, 0.03, 0.06, 0.05]),
            ),
        ],
        band: Some(pages::Band {
            edge: (0..60_u8)
                .map(|at| f64::from(at) * 0.1 - 0.5)
                .map(|t| {
                    let at = |dead: f64, constant: f64| {
                        115.0 + 55.0 * (1.0 - (-(t - dead).max(0.0) / constant).exp())
                    };
                    (t, at(0.4, 0.8) - 3.0, at(0.2, 0.4) + 3.0)
                })
                .collect(),
        }),
    }
}

fn tray() -> Vec<TrayItem> {
    let kind = |what: &str, cells: std::ops::Range<u32>, state| TrayKind {
        what: what.to_owned(),
        cells: cells.map(|cell| TrayCell { cell, state }).collect(),
    };
    vec![
        TrayItem {
            title: "Heat shield".to_owned(),
            kinds: vec![kind("3 bolts M8x1.25 × 16: 20 N·m", 1..4, CellState::Back)],
        },
        TrayItem {
            title: "Undertray".to_owned(),
            kinds: vec![
                kind("8 screws M6x1 × 16: 8 N·m", 4..12, CellState::Lies),
                kind("2 clips", 12..13, CellState::Missing),
            ],
        },
    ]
}

/// The copy for the file.
pub(crate) fn file() -> FileReport {
    FileReport {
        owner: owner(),
        measures: vec![MeasureRow {
            what: "Inlet hose, End play of the turbocharger shaft".to_owned(),
            when: "off".to_owned(),
            limits: "at most 0.1 mm".to_owned(),
            read: "0.06 mm".to_owned(),
            ..MeasureRow::default()
        }],
        evidence: vec![
            event("9 Nov 08:10", "Codes read", "P0299 stored; freeze frame noted"),
            event(
                "9 Nov 08:20",
                "Pressures compared, key on",
                "agree: 100.8 and 101.1 kPa",
            ),
            event("9 Nov 08:35", "Hoses, vacuum lines, loom looked over", "nothing"),
            event("9 Nov 08:50", "Stroke of the vane rod", "short, 6.5 mm"),
            event(
                "9 Nov 09:15",
                "Hand pump on the pod",
                "sticks; holds, loses 0.02 bar in 60 s",
            ),
            event("9 Nov 10:05", "Loaded drive, recorded", "slow upwards"),
            event("9 Nov 10:40", "Owner rang", "agreed to cleaning, up to 420.00 EUR"),
            event("9 Nov 13:20", "Heat shield off", "one bolt seized, drilled out"),
            event(
                "9 Nov 15:10",
                "Refit stopped",
                "one sealing ring not found; found in the bore",
            ),
        ],
        recordings: vec![recording()],
        torque: vec![
            torque("Heat shield", "3 bolts M8x1.25 × 16", 20.0, true),
            torque("Vacuum pod", "2 bolts M6x1 × 16", 9.0, true),
            torque("Undertray", "8 screws M6x1 × 16", 8.0, false),
        ],
        tray_photos: Vec::new(),
        tray: tray(),
        time: vec![
            TimeRow {
                what: s("Finding the cause"),
                sheet_min: Some(74.0),
                taken_min: 85.0,
            },
            TimeRow { what: s("Way in"), sheet_min: Some(23.0), taken_min: 38.0 },
            TimeRow {
                what: s("Cleaning the vanes"),
                sheet_min: Some(60.0),
                taken_min: 60.0,
            },
            TimeRow { what: s("Way out"), sheet_min: Some(32.0), taken_min: 32.0 },
        ],
        duties: vec![
            DutyRow {
                title: s("Idle 3 minutes, no revs"),
                done: s("9 Nov 16:05, D. Falk"),
            },
            DutyRow { title: s("Look for leaks, warm"), done: s("9 Nov 16:25, D. Falk") },
            DutyRow {
                title: s("Clamps nipped again after the drive"),
                done: String::new(),
            },
        ],
        sheet: s("Boost control, variable-vane turbocharger, version 3"),
        sheet_hash: s("5e1f0cc2a7b94d8831e6f02b9a4471dd0c35a9e87f6612b8a0d9c4417be2f3a6"),
        cautions: all(&["hot", "raised", "flammable-solvent", "keep-clean"]),
        remarks: Vec::new(),
    }
}

/// The sheet under the wiper.
pub(crate) fn wiper() -> WiperSheet {
    WiperSheet {
        plate: s("EM 26 KLV"),
        vehicle: s("Tarnfell L2 van"),
        job: s("26-0117"),
        do_not_start: s("The oil feed of the turbocharger is open."),
        off: all(&["Undertray", "Heat shield", "Oil feed pipe"]),
        loose_ends: all(&[
            "Sealing ring of the pod not found",
            "Caps fitted: 2, removed: 0",
        ]),
        ask: s("D. Falk, 0000 555 014"),
        day: s("9 November 2026"),
        language: s("en"),
    }
}

/// A grey picture of 4 × 2 pixels.
pub(crate) fn wide_png() -> Vec<u8> {
    b"\x89\x50\x4e\x47\x0d\x0a\x1a\x0a\x00\x00\x00\x0d\x49\x48\x44\x52\x00\x00\x00\
      \x04\x00\x00\x00\x02\x08\x00\x00\x00\x00\x5a\xc3\x22\xbf\x00\x00\x00\x0e\x49\
      \x44\x41\x54\x78\x9c\x63\x38\x01\x04\x0c\x20\x02\x00\x1f\x4a\x06\x41\x50\xae\
      \xae\x90\x00\x00\x00\x00\x49\x45\x4e\x44\xae\x42\x60\x82"
        .to_vec()
}
