//! `witmark torque` as it is typed: every flag, who gets no torque, and what is refused.
#![cfg(test)]

use assert_cmd::Command;
use serde_json::Value;

fn witmark(line: &str) -> Command {
    let mut command = Command::cargo_bin("witmark").unwrap();
    // Single quotes keep blanks together.
    for (at, part) in line.split('\'').enumerate() {
        if at % 2 == 1 {
            command.arg(part);
        } else {
            command.args(part.split_whitespace());
        }
    }
    command.env_remove("WITMARK_STORE").env("COLUMNS", "90");
    command
}

fn json(line: &str) -> Value {
    let output =
        witmark(&format!("{line} --json")).assert().success().get_output().clone();
    serde_json::from_slice(&output.stdout).unwrap()
}

fn page(line: &str) -> String {
    let output = witmark(line).assert().success().get_output().clone();
    String::from_utf8(output.stdout).unwrap()
}

fn number(answer: &Value, name: &str) -> f64 {
    answer[name].as_f64().unwrap_or_else(|| panic!("{name} in {answer}"))
}

/// Fields that other programs read stay in their places; what came later stands behind.
#[test]
fn the_first_fields_stay_in_their_order() {
    let line = "torque --thread M8 --class 8.8 --json";
    let output = witmark(line).assert().success().get_output().clone();
    let text = String::from_utf8(output.stdout).unwrap();
    let names = [
        "witmark",
        "stress_area_mm2",
        "preload_kn",
        "torque_nm",
        "torque_lbft",
        "preload_window_kn",
        "shares",
        "pulls_first",
        "method",
        "remarks",
        "source",
    ];
    let places: Vec<_> =
        names.iter().map(|name| text.find(&format!("\"{name}\":")).unwrap()).collect();
    assert!(places.is_sorted(), "{text}");
}

/// VDI 2230 (2001) as reprinted in a catalogue, three threads of its fine table.
#[test]
fn printed_preloads_and_torques_come_out() {
    for (thread, class, friction, preload_kn, torque_nm) in [
        ("M18x1.5", "8.8", "0.12", 117.0, 327.0),
        ("M20x1.5", "10.9", "0.10", 215.0, 558.0),
        ("M24x2", "12.9", "0.14", 339.0, 1442.0),
    ] {
        let line =
            format!("torque --thread {thread} --class {class} --friction {friction}");
        let answer = json(&line);
        assert!(
            (number(&answer, "preload_kn") / preload_kn - 1.0).abs() < 0.006,
            "{line}"
        );
        assert!((number(&answer, "torque_nm") / torque_nm - 1.0).abs() < 0.012, "{line}");
    }
}

#[test]
fn who_gets_no_torque_is_told_why() {
    for (flags, part) in [
        ("--joint gasketed", "gasket"),
        ("--joint soft", "soft"),
        ("--into plastic", "plastic"),
        ("--stretch", "stretch"),
    ] {
        let line = format!("torque --thread M8 --class 8.8 {flags}");
        let answer = json(&line);
        assert_eq!(answer["torque_nm"], Value::Null, "{line}");
        assert!(answer["no_torque_because"].as_str().unwrap().contains(part), "{line}");
        assert!(page(&line).contains("> No torque:"), "{line}");
    }
    let renewed = json("torque --stretch --maker-nm 30 --then-deg 90");
    assert_eq!(renewed["renew"], true);
    assert!((number(&renewed, "torque_nm") - 30.0).abs() < 1e-12);
}

#[test]
fn a_head_alone_is_a_guess_with_its_alternatives() {
    let answer = json("torque --head-mm 13");
    assert_eq!(answer["torque_nm"], Value::Null);
    let threads: Vec<_> = answer["guess"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["thread"].as_str().unwrap())
        .collect();
    assert_eq!(threads, ["M8", "M10"]);
    assert!(page("torque --head-mm 13").contains("A guess, not an answer"));
}

#[test]
fn a_weak_thread_leads_with_what_it_bears() {
    let line = "torque --thread M8 --class 8.8 --into aluminium --engaged-mm 9";
    let answer = json(line);
    assert_eq!(answer["pulls_first"], true);
    assert!(number(&answer, "thread_limit_nm") < number(&answer, "torque_nm"));
    assert!((number(&answer, "needed_mm") - 13.4).abs() < 0.1);
    assert!(page(line).contains("> At most 16.6 N·m"), "{}", page(line));
}

/// Common practice: 24 N·m, wrench 300 mm, crow-foot 50 mm in line: set 20.6 N·m.
#[test]
fn tools_are_chosen_and_set() {
    let line =
        "torque --maker-nm 24 --crow-foot-mm 50 --wrench-mm 300 --wrenches 4..20,10..60";
    let answer = json(line);
    assert!((number(&answer, "set_nm") - 20.57).abs() < 0.01);
    assert!((number(&answer["wrench"]["scale"], "to_nm") - 60.0).abs() < 1e-12);
    let square = json(&format!("{line} --crow-foot-deg 90"));
    assert!((number(&square, "set_nm") - 24.0).abs() < 1e-9);
    let small = json("torque --maker-nm 3 --wrenches 40..200");
    assert_eq!(small["wrench"], Value::Null);
    assert!(page("torque --maker-nm 3 --wrenches 40..200").contains("20 to 100 %"));
}

#[test]
fn friction_and_turn_are_worked_out() {
    // ISO 16047 inverses, computed apart: 0.1270, 0.1197, 0.1229.
    let line =
        "torque --thread M10 --measured-nm 50 --measured-kn 30 --measured-thread-nm 27";
    let found = &json(line)["friction_found"];
    for (name, expected) in [("thread", 0.1270), ("head", 0.1197), ("total", 0.1229)] {
        assert!((number(found, name) - expected).abs() < 5e-4, "{found}");
    }
    let turn = |snug: &str| {
        let line = format!(
            "torque --thread M8 --class 8.8 --bolt-stiffness 200 --parts-stiffness 600 \
             --snug-nm {snug}"
        );
        number(&json(&line)["turn"], "degrees")
    };
    assert!((turn("0") - 35.77).abs() < 0.01, "{}", turn("0"));
    assert!(turn("10") < turn("5"));
}

#[test]
fn several_bolts_have_an_order_a_picture_and_a_way_back() {
    let answer = json("torque --maker-nm 40 --bolts 12");
    let pattern = &answer["pattern"];
    let order = &pattern["tighten"][0]["order"];
    // ASME PCC-1 legacy star, from memory.
    assert_eq!(order, &serde_json::json!([1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12]));
    let mut back = pattern["loosen"].as_array().unwrap().clone();
    back.reverse();
    assert_eq!(order.as_array().unwrap(), &back);
    let text = page("torque --maker-nm 40 --bolts 10 --rows 2");
    assert!(
        text.ends_with("( 8)  ( 4)  ( 1)  ( 5)  ( 9)\n\n( 7)  ( 3)  ( 2)  ( 6)  (10)\n")
    );
    let circle = page("torque --maker-nm 40 --bolts 4");
    assert!(circle.contains("\n(4)         (3)\n"), "{circle}");
}

#[test]
fn nonsense_is_refused_in_plain_words() {
    let m8 = "torque --thread M8 --class 8.8";
    for (code, line) in [
        (2, "torque".to_owned()),
        (2, "torque --thread M8".to_owned()),
        (2, format!("{m8} --joint rubbery")),
        (2, format!("{m8} --head-style star")),
        (2, format!("{m8} --edition 1977")),
        (2, format!("{m8} --then-deg 90")),
        (2, format!("{m8} --crow-foot-mm 50")),
        (2, format!("{m8} --wrenches 200..40")),
        (2, format!("{m8} --measured-nm 50")),
        (2, format!("{m8} --snug-nm 5")),
        (2, format!("{m8} --grip-mm 40")),
        (2, format!("{m8} --stages 30,100")),
        (2, format!("{m8} --bolts 8 --stages 100,30")),
        (2, format!("{m8} --bolts 8 --pattern crosswise --rows 2")),
        (2, format!("{m8} --bolts -8")),
        (2, format!("{m8} --maker-nm NaN")),
        (1, format!("{m8} --bolts 0")),
        (1, format!("{m8} --bolts 257")),
        (1, format!("{m8} --bolts 3 --rows 4")),
        (1, format!("{m8} --head-style flange --head-mm 12")),
        (1, "torque --thread M22 --class 8.8 --head-style flange".to_owned()),
        (1, format!("{m8} --scatter 0.9")),
        (1, format!("{m8} --maker-nm 99999")),
        (1, format!("{m8} --snug-nm 30 --grip-mm 40")),
        (1, format!("{m8} --measured-nm 3 --measured-kn 20")),
        (1, format!("{m8} --crow-foot-mm 300 --wrench-mm 300 --crow-foot-deg 180")),
        (1, "torque --thread M8 --class 'grade 5'".to_owned()),
    ] {
        let output =
            witmark(&format!("{line} --json")).assert().code(code).get_output().clone();
        assert!(output.stdout.is_empty(), "{line}");
        let text = String::from_utf8(output.stderr).unwrap();
        for error in text.lines() {
            let error: Value = serde_json::from_str(error).unwrap();
            assert!(error["error"]["what"].as_str().unwrap().len() > 8, "{line}");
        }
    }
}
