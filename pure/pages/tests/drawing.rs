//! What the drawings show, read back from their shapes.
#![cfg(test)]

use pages::{
    CellState, Count, Counted, Drawing, Ink, MapItem, MapState, Overlay, Pen, Point,
    ProofCurve, Shape, Shown, StepTrace, Traces, TrayCell, TrayItem, TrayKind, WindowEnd,
    overlay, pieces, proof_curve, strip_map, tray_drawing,
};

fn curve(clear: f64) -> Drawing {
    proof_curve(&ProofCurve {
        count: Count { seen: 2.0, over: 400.0, clear: 0.0, ends: WindowEnd::Now },
        fixed: 0.7,
        clear,
        target: Some(0.95),
        counted: Counted::Km,
        shown: Shown::Metric,
    })
}

fn texts(drawing: &Drawing) -> Vec<&str> {
    let mut texts = Vec::new();
    for shape in &drawing.shapes {
        if let Shape::Text { words, .. } = shape {
            texts.push(words.as_str());
        }
    }
    texts
}

fn lines(drawing: &Drawing) -> impl Iterator<Item = (&[Point], Pen)> {
    drawing.shapes.iter().filter_map(|shape| {
        if let Shape::Polyline { points, pen } = shape {
            Some((points.as_slice(), *pen))
        } else {
            None
        }
    })
}

/// 0.7/(0.7 + 0.3·(400/(400+525))^2.5) = 0.95; by hand from the formula of section 10.
#[test]
fn the_curve_says_what_the_formula_says() {
    let drawing = curve(530.0);
    assert!(texts(&drawing).contains(&"now: about 95 in 100"), "{:?}", texts(&drawing));
    assert!(drawing.summary.as_str().contains("about 95 in 100 after 530 km"));
    let shy = curve(30.0);
    assert!(texts(&shy).contains(&"now: about 7 in 10"), "{:?}", texts(&shy));
    assert!(shy.summary.as_str().contains("About 95 in 100 would be reached at 5"));
}

/// What has been driven carries the paint; the curve rises all the way.
#[test]
fn the_driven_part_is_painted_and_rises() {
    let drawing = curve(530.0);
    let (points, _) = lines(&drawing).find(|(_, pen)| pen.ink == Ink::Paint).unwrap();
    assert!(
        points.windows(2).all(|pair| pair[1].y <= pair[0].y && pair[1].x > pair[0].x)
    );
    assert!(lines(&curve(0.0)).all(|(_, pen)| pen.ink != Ink::Paint));
}

#[test]
fn odd_numbers_draw_without_a_stop() {
    for (fixed, clear, over) in [
        (0.0, 0.0, 400.0),
        (1.0, 10.0, 1e-300),
        (f64::NAN, f64::INFINITY, 400.0),
        (0.5, 1e300, 1e300),
    ] {
        let count = Count { seen: 2.0, over, clear: 0.0, ends: WindowEnd::Set };
        let drawing = proof_curve(&ProofCurve {
            count,
            fixed,
            clear,
            target: Some(0.999_999),
            counted: Counted::Starts,
            shown: Shown::Us,
        });
        assert!(drawing.shapes.len() < 200);
    }
}

fn recorded(points: usize) -> Overlay {
    let points = (0..points)
        .map(|at| {
            let t = f64::from(u32::try_from(at).unwrap());
            (t, if at == 1_234 { 99.0 } else { (t / 50.0).sin() })
        })
        .collect();
    let steps = vec![StepTrace { points }];
    let panel = Traces { title: "Before".to_owned(), note: String::new(), steps };
    Overlay {
        title: "Boost".to_owned(),
        unit: "kPa".to_owned(),
        panels: vec![panel],
        band: None,
    }
}

/// A long recording keeps its one spike.
#[test]
fn thinning_keeps_the_extremes() {
    let long = overlay(&recorded(100_000));
    let (drawn, _) = lines(&long).max_by_key(|(points, _)| points.len()).unwrap();
    assert!(drawn.len() <= 4_004, "{}", drawn.len());
    let top = drawn.iter().map(|point| point.y).fold(f64::INFINITY, f64::min);
    let rest = drawn.iter().filter(|point| point.y < top + 50.0).count();
    assert_eq!(rest, 1, "the spike stands alone at the top");
    assert!(overlay(&Overlay::default()).summary.as_str().contains("nothing recorded"));
}

#[test]
fn the_map_goes_from_what_comes_off_first_to_what_lies_behind() {
    let item = |title: &str, state, behind: &[usize]| MapItem {
        title: title.to_owned(),
        state,
        behind: behind.to_vec(),
    };
    let items = [
        item("Undertray", MapState::Off, &[]),
        item("Heat shield", MapState::Next, &[0]),
        item("Pod", MapState::On, &[1]),
        item("Airbox lid", MapState::Back, &[]),
    ];
    let drawing = strip_map("Way in", &items);
    // In front stands above, what lies behind it under it and farther right.
    let corner = |shape| {
        if let &Shape::Rectangle { at, .. } = shape { Some((at.x, at.y)) } else { None }
    };
    let boxes: Vec<(f64, f64)> = drawing.shapes.iter().filter_map(corner).collect();
    assert_eq!(boxes.len(), 4);
    assert!(boxes[0].0 < boxes[1].0 && boxes[1].0 < boxes[2].0);
    assert!((boxes[0].0 - boxes[3].0).abs() < 1e-9);
    assert!(boxes.windows(2).all(|pair| pair[0].1 < pair[1].1));
    assert!(boxes.iter().all(|(x, _)| *x < drawing.width));
    let lines: Vec<String> = drawing
        .lines
        .iter()
        .map(|(indent, line)| format!("{}{line}", " ".repeat(*indent)))
        .collect();
    assert_eq!(
        lines,
        [
            "1 Undertray (off)",
            "  2 Heat shield (next)",
            "    3 Pod",
            "4 Airbox lid (back on)"
        ]
    );
    let summary = drawing.summary.as_str();
    assert!(summary.contains("Off: Undertray."), "{summary}");
    assert!(summary.contains("Next: Heat shield."), "{summary}");
    // A circle, which no checked sheet has, still ends.
    let circle = [item("a", MapState::On, &[1]), item("b", MapState::On, &[0, 7])];
    assert!(!strip_map("Circle", &circle).shapes.is_empty());
}

#[test]
fn an_item_behind_two_names_the_second() {
    let item = |title: &str, behind: &[usize]| MapItem {
        title: title.to_owned(),
        state: MapState::On,
        behind: behind.to_vec(),
    };
    let items = [item("a", &[]), item("b", &[]), item("c", &[0]), item("d", &[1, 2])];
    let drawing = strip_map("Way in", &items);
    let lines: Vec<&str> = drawing.lines.iter().map(|(_, line)| line.as_str()).collect();
    assert_eq!(lines, ["1 a", "2 c", "3 d (behind 4 too)", "4 b"]);
}

#[test]
fn every_cell_of_the_tray_is_drawn_and_told_once() {
    let cells = |range: std::ops::Range<u32>, state| -> Vec<TrayCell> {
        range.map(|cell| TrayCell { cell, state }).collect()
    };
    let mut mixed = cells(1..11, CellState::Lies);
    mixed[3].state = CellState::Missing;
    mixed[9].state = CellState::Broken;
    let items = [TrayItem {
        title: "Undertray".to_owned(),
        kinds: vec![
            TrayKind { what: "10 screws".to_owned(), cells: mixed },
            TrayKind {
                what: "2 clips".to_owned(),
                cells: cells(11..13, CellState::Back),
            },
        ],
    }];
    let drawing = tray_drawing("Tray", &items);
    let numbers: Vec<String> = drawing
        .shapes
        .iter()
        .filter_map(|shape| {
            let Shape::Text { words, .. } = shape else { return None };
            Some(words.as_str().to_owned())
        })
        .filter(|text| text.parse::<u32>().is_ok())
        .collect();
    let expected: Vec<String> = (1..13).map(|cell| cell.to_string()).collect();
    assert_eq!(numbers, expected);
    let circles = drawing.shapes.iter().filter_map(|shape| {
        let Shape::Circle { centre, radius, .. } = shape else { return None };
        Some((centre.x + radius, centre.y + radius))
    });
    for (right, down) in circles {
        assert!(right <= drawing.width && down <= drawing.height);
    }
    let summary = drawing.summary.as_str();
    assert!(summary.contains("1-3, 4 missing, 5-9, 10 broken"), "{summary}");
    assert!(summary.contains("11-12 back in"), "{summary}");
    let lines: Vec<&str> = drawing.lines.iter().map(|(_, line)| line.as_str()).collect();
    assert_eq!(lines[2], "(1) (2) (3) (4 missing) (5) (6) (7) (8) (9) (10 broken)");
    assert!(lines.contains(&"[11] [12]"), "{lines:?}");
    assert_eq!(lines.last(), Some(&"(…): in its cell. […]: back in its hole."));
    let said = words(&drawing).join(" ");
    assert!(
        said.contains("Striped: back in its hole. A question mark: missing."),
        "{said}"
    );
}

/// Why a bolt gets no torque is read whole on a phone.
#[test]
fn what_is_too_long_for_a_line_goes_on_below() {
    let what =
        "7 bolts M8x1 × 20 mm: a gasket settles: take the maker's torque, new each time";
    let one = TrayCell { cell: 1, state: CellState::Lies };
    let kinds = vec![TrayKind { what: what.to_owned(), cells: vec![one] }];
    let drawing =
        tray_drawing("Tray", &[TrayItem { title: "Undertray".to_owned(), kinds }]);
    let texts = drawing.shapes.iter().filter_map(|shape| {
        let Shape::Text { words, at, .. } = shape else { return None };
        Some((words.as_str(), at.y))
    });
    let lines: Vec<(&str, f64)> =
        texts.filter(|(words, _)| !["Undertray", "1"].contains(words)).collect();
    let read: Vec<&str> = lines.iter().map(|(words, _)| *words).collect();
    assert_eq!(read.join(" "), what);
    assert!(lines.len() == 2 && lines[0].1 < lines[1].1, "{lines:?}");
    assert!(read.iter().all(|line| line.chars().count() <= 44), "{read:?}");
}

/// From where to where a shape that must stay whole reaches.
fn solid(shape: &Shape) -> Option<(f64, f64)> {
    match shape {
        Shape::Circle { centre, radius, .. } => {
            Some((centre.y - radius, centre.y + radius))
        }
        Shape::Rectangle { at, height, .. } => Some((at.y, at.y + height)),
        Shape::Text { at, .. } => Some((at.y - 8.0, at.y)),
        Shape::Polyline { .. } | Shape::Arrow { .. } | Shape::Area { .. } => None,
    }
}

fn words(drawing: &Drawing) -> Vec<String> {
    let word = |shape: &Shape| {
        let Shape::Text { words, .. } = shape else { return None };
        Some(words.as_str().to_owned())
    };
    drawing.shapes.iter().filter_map(word).collect()
}

fn cut_whole(drawing: &Drawing) {
    let parts = pieces(drawing, 860.0);
    assert!(parts.len() > 2);
    let height: f64 = parts.iter().map(|part| part.height).sum();
    assert!((height - drawing.height).abs() < 1e-6);
    let mut count = 0;
    for part in &parts {
        assert!(part.height <= 860.0, "{}", part.height);
        for (top, bottom) in part.shapes.iter().filter_map(solid) {
            assert!(top >= 0.0 && bottom <= part.height);
            count += 1;
        }
        // The last word is a whole item's: its last cell, or its name in a box.
        let last = words(part).pop().unwrap();
        let ends = last.parse::<u32>().is_ok_and(|cell| cell.is_multiple_of(4));
        assert!(ends || last.contains("Item"), "{last:?}");
    }
    assert_eq!(count, drawing.shapes.iter().filter_map(solid).count());
    assert_eq!(parts.iter().flat_map(words).collect::<Vec<_>>(), words(drawing));
}

/// Forty items: no piece is higher than a sheet of paper takes, every cell and every box is on
/// one of them, whole, and an item stays with its cells.
#[test]
fn what_is_higher_than_a_sheet_is_cut_where_nothing_is_cut_through() {
    let item = |number: u32| TrayItem {
        title: format!("Item {number}"),
        kinds: vec![TrayKind {
            what: "4 bolts".to_owned(),
            cells: (4 * number..4 * number + 4)
                .map(|cell| TrayCell { cell: cell + 1, state: CellState::Back })
                .collect(),
        }],
    };
    let tray: Vec<TrayItem> = (0..40).map(item).collect();
    let behind = |number: usize| number.checked_sub(1).into_iter().collect();
    let item = |number: usize| MapItem {
        title: format!("Item {number}"),
        state: MapState::Off,
        behind: behind(number),
    };
    let map: Vec<MapItem> = (0..40).map(item).collect();
    for drawing in [tray_drawing("Tray", &tray), strip_map("Map", &map)] {
        cut_whole(&drawing);
    }
    let small = tray_drawing("Tray", &tray[..3]);
    assert_eq!(pieces(&small, 860.0), [small]);
}
