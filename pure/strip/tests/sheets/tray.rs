//! The tray: cells, look-alikes and what mixing them up does.

use crate::bench::{asked, sheet_of, to_item};

const SHIELD: &str = r#"
    [[item]]
    id = "heat-shield"
    title = "Heat shield"
      [[item.fastener]]
      id = "shield-bolt"
      count = 3
      kind = "bolt"
      thread = "M8x1.25"
      class = "8.8"
      length_mm = 16.0
      head_mm = 13.0
      torque_nm = 20.0
      stack_mm = 4.0
      hole_mm = 14.0
      into = "cast-iron"
    [[item]]
    id = "bracket"
    title = "Bracket"
      [[item.fastener]]
      id = "bracket-bolt"
      count = 2
      kind = "bolt"
      thread = "M8"
      class = "8.8"
      length_mm = 30.0
      head_mm = 13.0
      stack_mm = 12.0
      hole_mm = 0.0
      into = "cast-iron"
    [[item]]
    id = "sensor"
    title = "Sensor"
      [[item.fastener]]
      id = "sensor-bolt"
      count = 1
      kind = "bolt"
      thread = "M6"
      class = "8.8"
      length_mm = 20.0
      head_mm = 10.0
    [[item]]
    id = "return"
    title = "Oil return"
      [[item.fastener]]
      id = "return-bolt"
      count = 2
      kind = "bolt"
      thread = "M6x1"
      class = "8.8"
      length_mm = 20.0
      head_mm = 10.0
      [[item.seal]]
      id = "return-gasket"
      count = 1
      reuse = "never"
    [[item]]
    id = "rod"
    title = "Rod"
    goes = "aside"
      [[item.fastener]]
      id = "rod-clip"
      count = 1
      kind = "clip"
      loose = true
      single_use = true
"#;

/// *Common practice*: a shield's M8×16 and a bracket's M8×30 off together get mixed up. The
/// long one goes 26 mm into a hole of 14 and bottoms; the short one has 4 mm in cast iron,
/// where 1.25 d = 10 mm is needed, and pulls the thread.
#[test]
fn short_and_long_are_called_out() {
    let sheet = sheet_of(SHIELD);
    let reach = [to_item(&sheet, "heat-shield"), to_item(&sheet, "bracket")];
    let answer = asked(&sheet, &reach, &[]).unwrap();
    assert_eq!(answer.look_alikes.len(), 1);
    let names: Vec<_> =
        answer.look_alikes[0].iter().map(|n| n.fastener.as_str()).collect();
    assert_eq!(names, ["shield-bolt", "bracket-bolt"]);
    let says = |bolt: &str| {
        let swap =
            answer.swaps.iter().find(|swap| swap.fastener.fastener == bolt).unwrap();
        (swap.engaged_mm, swap.needed_mm, swap.consequence.clone())
    };
    let (engaged, needed, told) = says("shield-bolt");
    assert_eq!((engaged, needed), (Some(4.0), Some(10.0)));
    assert!(told.contains("pulls the thread"), "{told}");
    let (engaged, _, told) = says("bracket-bolt");
    assert_eq!(engaged, Some(26.0));
    assert!(told.contains("clamps nothing"), "{told}");
}

/// Of many covers with bolts of two lengths each way round is said once, and by name all the
/// same; what holds is left out.
#[test]
fn many_look_alikes_are_told_by_size() {
    let cover = |at: u32| {
        let (length, class) =
            if at.is_multiple_of(3) { (35, "10.9") } else { (25, "8.8") };
        format!(
            "[[item]]\nid = \"cover-{at}\"\ntitle = \"Cover {at}\"\nstrip_min = 1.0\n\
             refit_min = 1.0\n  [[item.fastener]]\n  id = \"bolt\"\n  count = 4\n  \
             kind = \"bolt\"\n  thread = \"M8\"\n  class = \"{class}\"\n  \
             length_mm = {length}.0\n"
        )
    };
    let sheet = sheet_of(&(0..30).map(cover).collect::<String>());
    let all: Vec<_> = (0..30).map(|at| to_item(&sheet, &format!("cover-{at}"))).collect();
    let answer = asked(&sheet, &all, &[]).unwrap();
    assert_eq!(answer.swaps.len(), 400, "2 × 10 × 20 pairs");
    let [long, short] = answer.mix_ups.as_slice() else {
        panic!("{:?}", answer.mix_ups);
    };
    assert_eq!(long.fastener, "bolt M8 × 35 mm, class 10.9");
    assert_eq!((&long.fastener, &long.belongs), (&short.belongs, &short.fastener));
    for (mix_up, of, into) in [(long, 10, 20), (short, 20, 10)] {
        assert_eq!((mix_up.of.len(), mix_up.into.len()), (of, into));
        for swap in answer.swaps.iter().filter(|s| mix_up.of.contains(&s.fastener.item)) {
            assert!(mix_up.into.contains(&swap.into.item));
            assert_eq!(swap.consequence, mix_up.consequence);
        }
    }
    assert!(short.consequence.starts_with("10 mm too short"), "{}", short.consequence);
}

/// Three hundred bolts of as many lengths: more than can be told is said, not waited for.
#[test]
fn too_many_look_alikes_are_cut_short_in_words() {
    let bolt = |item: u32, at: u32| {
        let length_mm = 10 + 10 * item + at;
        format!(
            "  [[item.fastener]]\n  id = \"bolt-{at}\"\n  count = 1\n  kind = \"bolt\"\n  \
             thread = \"M8\"\n  class = \"8.8\"\n  length_mm = {length_mm}.0\n"
        )
    };
    let cover = |item: u32| {
        let bolts: String = (0..10).map(|at| bolt(item, at)).collect();
        format!("[[item]]\nid = \"cover-{item}\"\ntitle = \"Cover {item}\"\n{bolts}")
    };
    let sheet = sheet_of(&(0..30).map(cover).collect::<String>());
    let all: Vec<_> = (0..30).map(|at| to_item(&sheet, &format!("cover-{at}"))).collect();
    let answer = asked(&sheet, &all, &[]).unwrap();
    assert!(answer.mix_ups.len() <= 50_000 && answer.swaps.len() == 400);
    assert!(answer.remarks.iter().any(|r| r.contains("not all of them are listed")));
}

/// *Common practice*: equal bolts may be swapped, so there is nothing to say.
#[test]
fn equal_bolts_are_no_look_alikes() {
    let sheet = sheet_of(SHIELD);
    let reach = [to_item(&sheet, "sensor"), to_item(&sheet, "return")];
    let answer = asked(&sheet, &reach, &[]).unwrap();
    assert!(answer.look_alikes.is_empty() && answer.swaps.is_empty());
}

/// Off at the same time counts, whenever it came off.
#[test]
fn what_was_off_before_is_mixed_up_too() {
    let sheet = sheet_of(SHIELD);
    let bracket = to_item(&sheet, "bracket");
    assert!(asked(&sheet, &[bracket], &[]).unwrap().look_alikes.is_empty());
    let answer = asked(&sheet, &[bracket], &["heat-shield"]).unwrap();
    assert_eq!(answer.look_alikes.len(), 1);
}

#[test]
fn another_class_is_a_look_alike() {
    let mut sheet = sheet_of(SHIELD);
    sheet.items[2].fasteners[0].class = Some("5.8".to_owned());
    let reach = [to_item(&sheet, "sensor"), to_item(&sheet, "return")];
    let answer = asked(&sheet, &reach, &[]).unwrap();
    let swap =
        answer.swaps.iter().find(|s| s.fastener.fastener == "sensor-bolt").unwrap();
    assert_eq!(
        swap.consequence,
        "class 5.8 in place of class 8.8: weaker: may stretch or shear at that torque"
    );
}

#[test]
fn every_hole_has_a_cell_with_a_label() {
    let sheet = sheet_of(SHIELD);
    let reach = [to_item(&sheet, "heat-shield"), to_item(&sheet, "bracket")];
    let answer = asked(&sheet, &reach, &[]).unwrap();
    assert_eq!(answer.strip[0].fasteners[0].cells, [1, 2, 3]);
    assert_eq!(answer.strip[1].fasteners[0].cells, [4, 5]);
    assert_eq!(answer.refit[0].fasteners[0].cells, [4, 5]);
    assert_eq!(answer.tray[4].label, "Bracket: bracket-bolt M8 × 30 mm, 2 of 2");
    assert_eq!(answer.tools, ["13 mm"]);
}

#[test]
fn a_tray_has_an_end() {
    let mut sheet = sheet_of(SHIELD);
    sheet.items[0].fasteners[0].count = u32::MAX;
    sheet.items[1].fasteners[0].count = 9_999;
    sheet.items[2].fasteners[0].count = 1;
    let reach = ["heat-shield", "bracket", "sensor"].map(|id| to_item(&sheet, id));
    let answer = asked(&sheet, &reach, &[]).unwrap();
    assert_eq!(answer.tray.len(), 9_999);
    assert!(answer.remarks.iter().any(|remark| remark.contains("the tray is full")));
}

/// The maker's value wins; a gasketed joint gets none, with the reason (design section 7).
#[test]
fn every_torque_says_where_it_is_from() {
    let sheet = sheet_of(SHIELD);
    let reach = ["heat-shield", "sensor", "return"].map(|id| to_item(&sheet, id));
    let answer = asked(&sheet, &reach, &[]).unwrap();
    let of = |item: &str| {
        let step = answer.refit.iter().find(|step| step.item == item).unwrap();
        step.fasteners[0].clone()
    };
    let shield = of("heat-shield");
    assert_eq!(shield.torque_nm, Some(20.0));
    assert_eq!(shield.torque_source.as_deref(), Some("maker"));
    // M6 8.8 about 10 N·m at friction 0.12 and 90 % of yield, ±5 %: *common practice*.
    let sensor = of("sensor");
    assert!((sensor.torque_nm.unwrap() / 10.0 - 1.0).abs() < 0.05);
    assert_eq!(sensor.torque_source.as_deref(), Some("general value, check the manual"));
    let gasketed = of("return");
    assert_eq!((gasketed.torque_nm, gasketed.torque_source), (None, None));
    assert!(gasketed.no_torque_because.unwrap().contains("gasket"));
}

#[test]
fn loose_parts_are_warned_of() {
    let sheet = sheet_of(SHIELD);
    let answer = asked(&sheet, &[to_item(&sheet, "rod")], &[]).unwrap();
    assert_eq!(answer.loose[0].fastener, "rod-clip");
    assert!(answer.strip[0].warnings.contains(&answer.loose[0].warning));
    assert!(answer.strip[0].warnings.iter().any(|text| text.contains("tie it up")));
    assert_eq!((answer.renew[0].kind.as_str(), answer.renew[0].count), ("fastener", 1));
}

/// What is measured before an item comes off can't be any more once it is off.
#[test]
fn measures_are_listed_in_the_order_of_the_way_in_while_they_can_be_taken() {
    let sheet = sheet_of(
        r#"
        [[item]]
        id = "lid"
        strip_min = 1.0
          [[item.measure]]
          id = "gap"
          quantity = "length"
          unit = "mm"
          least = 0.1
          when = "before"
        [[item]]
        id = "hose"
        behind = ["lid"]
        strip_min = 1.0
          [[item.measure]]
          id = "play"
          quantity = "length"
          unit = "mm"
          most = 0.1
        "#,
    );
    let to_hose = [to_item(&sheet, "hose")];
    let ids = |off: &[&str]| {
        let measures = asked(&sheet, &to_hose, off).unwrap().measures;
        measures.into_iter().map(|due| (due.item, due.id)).collect::<Vec<_>>()
    };
    let named = |item: &str, id: &str| (item.to_owned(), id.to_owned());
    assert_eq!(ids(&[]), [named("lid", "gap"), named("hose", "play")]);
    assert_eq!(ids(&["lid"]), [named("hose", "play")]);
    assert_eq!(ids(&["lid", "hose"]), [named("hose", "play")], "as long as it is off");
}
