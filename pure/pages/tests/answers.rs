//! Answers of the computing crates as pages: what they say, and words they never use.
#![cfg(test)]

use fasten::{TorqueAsk, torque_answer};
use measure::{JudgeInput, judge};
use pages::{Block, Mark, NextKind, Page, Shown, Words};
use plan::{Ask, Inputs, Limits, PlanAnswer, PlanAsk, plan};
use sheet::{Exposure, ExposureUnit, Recurrence, Sheet, WindowEnd};
use strip::order::Budget;
use strip::{StripAsk, Target, strip};
use weigh::{ProveInput, prove, weigh};

/// Invented: two suspects, one shield with three bolts and a bracket with longer ones.
const SHEET: &str = r#"
[sheet]
format = 1
id = "small"
title = { en = "Small sheet", de = "Kleines Blatt" }
version = 1
codes = ["P0299"]
sources = ["invented"]
[economy]
currency = "EUR"
labour_per_hour = 60.0
comeback = 500.0
pass_on = 400.0
[recurrence]
seen = 2
over_km = 400.0
[moving]
position_min = 4.0
tool_min = 0.5
[unlisted]
weight = 0.5
[[suspect]]
id = "vanes-stick"
title = "Vanes stick"
weight = 4.0
[[suspect]]
id = "hose-split"
title = "Hose split"
weight = 2.0
[[item]]
id = "shield"
title = "Heat shield"
strip_min = 6.0
refit_min = 8.0
position = "under"
caution = ["hot"]
  [[item.snag]]
  title = "Bolt seized"
  p = 0.25
  minutes = 12.0
  parts = 3.0
  [[item.fastener]]
  id = "shield-bolt"
  count = 3
  kind = "bolt"
  thread = "M8x1.25"
  class = "8.8"
  length_mm = 16.0
  head_mm = 13.0
  torque_nm = 20.0
  into = "cast-iron"
[[item]]
id = "feed"
title = "Oil feed pipe"
behind = ["shield"]
strip_min = 8.0
refit_min = 9.0
position = "under"
caution = ["keep-clean"]
  [[item.fastener]]
  id = "feed-bolt"
  count = 2
  kind = "bolt"
  thread = "M8x1.25"
  class = "8.8"
  length_mm = 30.0
  head_mm = 13.0
  torque_nm = 25.0
  stack_mm = 4.0
  hole_mm = 20.0
  into = "cast-iron"
  [[item.seal]]
  id = "washer"
  count = 2
  reuse = "never"
  [[item.fluid]]
  id = "oil"
  litres = 0.2
[[check]]
id = "look"
title = "Look along the hoses"
how = "Bonnet open.\nTorch."
minutes = 6.0
outcomes = ["nothing", "split"]
  [check.outcome]
  nothing = "Nothing split"
  split = "A split"
  [check.given]
  fine = { nothing = 0.98, split = 0.02 }
  hose-split = { nothing = 0.2, split = 0.8 }
[[repair]]
id = "clean"
title = "Clean the vanes"
minutes = 60.0
parts = 22.0
off = ["shield"]
fixes = { vanes-stick = 0.8 }
caution = ["flammable-solvent"]
[[repair]]
id = "hose"
title = "New hose"
minutes = 30.0
parts = 62.0
fixes = { hose-split = 0.95 }
[[proof]]
id = "drive"
title = "Drive 30 km"
minutes = 35.0
km = 30.0
[[duty]]
id = "prime"
title = "Prime the oil"
minutes = 3.0
because = ["item:feed"]
before = "first-start"
"#;

fn sheet() -> Sheet {
    let read = sheet::read(SHEET);
    let errors: Vec<_> = read.errors().collect();
    assert!(errors.is_empty(), "{errors:?}");
    read.sheet.unwrap()
}

fn planned(sheet: &Sheet) -> PlanAnswer {
    let odds = weigh(sheet, &sheet.economy, sheet.recurrence.as_ref(), &[]).unwrap();
    let ask = Ask {
        economy: sheet.economy.clone(),
        recurrence: sheet.recurrence,
        odds,
        off: sheet::ItemSet::EMPTY,
        has: None,
        without: Vec::new(),
    };
    let inputs = Inputs {
        done: Vec::new(),
        without: Vec::new(),
        off: Vec::new(),
        has: None,
        currency: "EUR".to_owned(),
        labour_per_hour: 60.0,
        bay_per_hour: 0.0,
        comeback: 500.0,
        pass_on: 400.0,
        rust: "some".to_owned(),
        active: 1.0,
        seen: Some(2),
        over: Some(400.0),
        over_unit: Some("km".to_owned()),
        ends: Some("set".to_owned()),
        limit: Some(300.0),
        gap: 0.0,
        budget_ms: 2000,
        nodes: None,
        memory_mb: 512,
    };
    let ask = PlanAsk {
        ask,
        limit: Some(300.0),
        language: "en".to_owned(),
        limits: Limits { gap: 0.0, nodes: 100_000, bytes: usize::MAX, step_only: false },
        tree: Some(3),
        tree_shared: true,
        stats: true,
        inputs,
    };
    plan(sheet, &ask, &|| true).unwrap()
}

/// Every text of a page, one a line.
fn flat(page: &Page) -> String {
    let mut texts = vec![page.title.clone()];
    for block in &page.blocks {
        match block {
            Block::Heading(words)
            | Block::Subheading(words)
            | Block::Lead(words)
            | Block::Paragraph(words)
            | Block::Quiet(words)
            | Block::Stop(words) => texts.push(words.clone()),
            Block::Facts(pairs) | Block::Head(pairs) => {
                texts.extend(
                    pairs
                        .iter()
                        .map(|p| Words::from(format!("{}: {}", p.label, p.value))),
                );
            }
            Block::Table(table) => {
                for row in &table.rows {
                    let cells: Vec<&str> = row.cells.iter().map(Words::as_str).collect();
                    texts.push(Words::from(cells.join(" | ")));
                }
                texts.extend(table.columns.iter().map(|column| column.heading.clone()));
            }
            Block::List(list) => {
                texts.extend(list.entries.iter().map(|entry| entry.text.clone()));
            }
            Block::Caution(caution) => texts.push(caution.text.clone()),
            Block::Choices(choices) => texts.extend(
                choices.iter().map(|c| Words::from(format!("{} → {}", c.text, c.hint))),
            ),
            Block::Drawing(drawing) => texts.push(drawing.summary.clone()),
            Block::Photo(photo) => texts.push(photo.caption.clone()),
            Block::Sign(labels) => texts.extend(labels.iter().cloned()),
            Block::Break => {}
        }
    }
    texts.iter().map(Words::as_str).collect::<Vec<_>>().join("\n")
}

/// Design section 2: never on a screen.
fn only_trade_words(text: &str) {
    let banned =
        ["belief", "policy", "gap", "prior", "posterior", "lower bound", "expected cost"];
    for line in text.lines() {
        let words =
            format!(" {} ", line.to_lowercase().replace(['.', ',', ':', '('], " "));
        for word in banned {
            assert!(!words.contains(&format!(" {word} ")), "{word}: {line}");
        }
        assert!(!line.chars().any(|c| ('α'..='ω').contains(&c)), "Greek: {line}");
    }
}

#[test]
fn a_plan_says_what_to_do_and_how_good_that_is() {
    let sheet = sheet();
    let answer = planned(&sheet);
    let page = pages::plan_page(&answer, &sheet, "en");
    let text = flat(&page);
    only_trade_words(&text);
    for said in [
        "Small sheet",
        "Plan: no better plan exists on this sheet's numbers",
        "Vanes stick: about 6 in 10",
        "something else: about 8 in 100",
        "that the bill passes 300.00 EUR",
        "Advice for a trained person.",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
    // 4/6.5 = 0.615 and 0.5/6.5 = 0.077, by hand.
    let step = pages::next_step(&answer, &sheet, "de");
    assert_eq!(step.id, answer.next.id);
    assert!(matches!(step.kind, NextKind::Check | NextKind::Repair), "{step:?}");
    if step.kind == NextKind::Check {
        assert_eq!(step.how, [Words::from("Bonnet open."), Words::from("Torch.")]);
        assert_eq!(step.outcomes.len(), 2);
    }
    assert_eq!(pages::plan_page(&answer, &sheet, "de").title.as_str(), "Kleines Blatt");
    // The outline has the next step first and no more rows than the plan has steps.
    let mut tables = Vec::new();
    for block in &page.blocks {
        if let Block::Table(table) = block {
            tables.push(table);
        }
    }
    let outline = tables.last().unwrap();
    let first = format!("{} [1]", answer.next.title);
    assert_eq!(outline.rows[0].cells[1], Words::from(first));
}

#[test]
fn an_unproven_plan_says_how_much_better_it_could_be() {
    let sheet = sheet();
    let mut answer = planned(&sheet);
    answer.proven = false;
    answer.gap = 0.041;
    let text = flat(&pages::plan_page(&answer, &sheet, "en"));
    assert!(text.contains("Plan: could be up to 4 % better"), "{text}");
}

#[test]
fn the_way_in_warns_first_and_names_torque_and_cells() {
    let sheet = sheet();
    let ask = StripAsk {
        reach: vec![Target::Item(sheet::ItemIx(1))],
        off: Vec::new(),
        repairs: Vec::new(),
        economy: sheet.economy.clone(),
        language: "en".to_owned(),
        budget: &Budget::USUAL,
    };
    let answer = strip(&sheet, &ask).unwrap();
    let page = pages::strip_page(&answer, "EUR", ("en", Shown::Metric));
    let text = flat(&page);
    only_trade_words(&text);
    assert!(
        matches!(&page.blocks[0], Block::Stop(words) if words.as_str().contains("Oil feed pipe")),
        "{text}"
    );
    for said in [
        "1 | Heat shield | 6 min | under | 3 bolts M8x1.25 × 16 mm, tool 13 mm | 1-3",
        "2 | Oil feed pipe | 8 min | under | 2 bolts M8x1.25 × 30 mm, tool 13 mm | 4-5",
        "| 25 N·m | maker",
        "2 × washer of Oil feed pipe: new",
        "0.2 l of oil for Oil feed pipe",
        "Heat shield, Bolt seized: about 3 in 10, 12 min more",
        "Don't mix up:",
        "Prime the oil (3 min), before: first-start",
        "No order moves about for less.",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
    let us = flat(&pages::strip_page(&answer, "EUR", ("en", Shown::Us)));
    assert!(us.contains("18.4 lb-ft"), "{us}");
    let open = |block: &Block| matches!(block, Block::List(list) if list.entries.iter().any(|e| e.mark == Mark::Open));
    assert!(page.blocks.iter().any(open));
}

/// Printed list for M8, 8.8, friction 0.12, 90 % of yield: 24.6 N·m, 17.2 kN (VDI 2230).
#[test]
fn a_torque_is_marked_as_a_general_value() {
    let ask = TorqueAsk::new("M8".parse().unwrap(), "8.8".parse().unwrap());
    let answer = torque_answer(&ask).unwrap();
    let page = pages::torque_page(&answer, "M8, 8.8", ("en", Shown::Metric));
    let text = flat(&page);
    assert!(text.contains("N·m: general value, check the manual."), "{text}");
    assert!(text.contains("Stress area: 36.6"), "{text}");
    assert!(text.contains("The same: 18"), "{text}");
}

/// trade.md, common practice: 7.9 ohm at 60 °C is 6.83 at 20 °C, just within 6.6 to 8.4.
#[test]
fn a_reading_is_judged_in_words() {
    let ohm = "ohm".parse().unwrap();
    let mut input = JudgeInput::of(7.9, ohm);
    input.limits = Some(measure::Limits::parse("6.6..8.4").unwrap());
    let text = flat(&pages::judge_page(&judge(&input).unwrap(), "en"));
    assert!(text.contains("Within the limits."), "{text}");
    assert!(text.contains("7.9 ohm"), "{text}");
    only_trade_words(&text);
}

/// Design section 10 worked through: 2 in 400 km, 0.7 before, 30 km clear: 0.737.
#[test]
fn a_short_drive_proves_little_and_the_page_says_so() {
    let over = Exposure { amount: 400.0, unit: ExposureUnit::Km };
    let recurrence = Recurrence { seen: 2, over, ends: WindowEnd::Set };
    let input = ProveInput { recurrence, fixed: 0.7, clear: 30.0, target: 0.95 };
    let answer = prove(&input).unwrap();
    let text = flat(&pages::prove_page(&answer, &input, ("en", Shown::Metric)));
    for said in [
        "About 7 in 10 that it is fixed.",
        "Before the repair: twice in 400 km",
        "More: another",
        "Driven without it: 30 km",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
    only_trade_words(&text);
    let miles = flat(&pages::prove_page(&answer, &input, ("en", Shown::Us)));
    assert!(miles.contains("twice in 249 miles"), "{miles}");
}

#[test]
fn sheet_and_pages_know_the_same_cautions() {
    for word in sheet::CAUTIONS {
        assert!(pages::CAUTIONS.iter().any(|(known, _)| known == &word), "{word}");
    }
}
