//! Seeded random sheets, as TOML text, with every feature of a sheet that a plan depends on.

use std::fmt::Write;

/// How many of each kind a sheet has.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Size {
    /// Named suspects.
    pub(crate) suspects: usize,
    /// Items.
    pub(crate) items: usize,
    /// Checks.
    pub(crate) checks: usize,
    /// Repairs.
    pub(crate) repairs: usize,
    /// Proofs.
    pub(crate) proofs: usize,
}

/// Small numbers from a seed (Steele, Lea and Flood 2014, `SplitMix64`; from memory).
#[derive(Debug)]
pub(crate) struct Dice(u64);

impl Dice {
    /// Dice that fall the same way for the same seed.
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// 0 to n − 1.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        let n = u64::try_from(n.max(1)).unwrap();
        usize::try_from((self.next() >> 11) % n).unwrap()
    }

    /// Whether something with this many chances in a hundred happens.
    pub(crate) fn percent(&mut self, chances: usize) -> bool {
        self.below(100) < chances
    }

    /// A whole number of `low` to `high`.
    pub(crate) fn whole(&mut self, low: u32, high: u32) -> f64 {
        let span = usize::try_from(high - low + 1).unwrap();
        f64::from(low + u32::try_from(self.below(span)).unwrap())
    }

    /// A probability of `low` to `high` thousandths.
    pub(crate) fn share(&mut self, low: u32, high: u32) -> f64 {
        self.whole(low, high) / 1000.0
    }
}

/// What is drawn first because later parts refer to it.
struct Plan {
    size: Size,
    /// Closure of every item as a bit mask.
    closed: Vec<usize>,
    cover: Vec<bool>,
    outcomes: Vec<usize>,
    /// The check that a check is the same as.
    same_as: Vec<Option<usize>>,
    counted: bool,
}

/// A valid sheet of this size; the same text for the same seed.
pub(crate) fn random_sheet(seed: u64, size: Size) -> String {
    let mut dice = Dice::new(seed);
    let dice = &mut dice;
    let mut text = String::new();
    let counted = dice.percent(70);
    head(&mut text, dice, (seed, counted));
    suspects(&mut text, dice, size);
    let mut plan = Plan {
        size,
        closed: Vec::new(),
        cover: Vec::new(),
        outcomes: (0..size.checks).map(|_| 2 + usize::from(dice.percent(25))).collect(),
        same_as: Vec::new(),
        counted,
    };
    plan.same_as = same_as(seed, &plan.outcomes);
    items(&mut text, dice, &mut plan);
    for place in 0..size.checks {
        check(&mut text, dice, (&plan, place));
    }
    for place in 0..size.repairs {
        repair(&mut text, dice, (&plan, place));
    }
    for place in 0..size.proofs {
        proof(&mut text, dice, (&plan, place));
    }
    text.push_str(
        "[[duty]]\nid = \"leak-look\"\ntitle = \"Look for leaks\"\nminutes = 3.0\nbecause = \
         [\"repair:r0\"]\nbefore = \"hand-over\"\n",
    );
    text
}

/// Which check, if any, each check is the same as; one with as many outcomes.
fn same_as(seed: u64, outcomes: &[usize]) -> Vec<Option<usize>> {
    // Dice of its own, so that all else of a seed stays what it was without families.
    let mut dice = Dice::new(seed ^ 0x00a1_1ce5);
    (0..outcomes.len())
        .map(|own| {
            let fits = |other: &usize| *other != own && outcomes[*other] == outcomes[own];
            let known: Vec<usize> = (0..outcomes.len()).filter(fits).collect();
            let named = dice.percent(20) && !known.is_empty();
            named.then(|| known[dice.below(known.len())])
        })
        .collect()
}

fn head(text: &mut String, dice: &mut Dice, (seed, counted): (u64, bool)) {
    let rust = ["none", "some", "bad"][dice.below(3)];
    let active = [1.0, 0.6, 0.3, 0.05][dice.below(4)];
    let comeback = dice.whole(300, 5000);
    let pass_on = dice.whole(200, 4000);
    let labour = dice.whole(40, 110);
    let bay = dice.whole(0, 20);
    writeln!(
        text,
        "[sheet]\nformat = 1\nid = \"random-{seed}\"\ntitle = {{ en = \"Random {seed}\", de = \
         \"Zufall {seed}\" }}\nversion = 1\ncodes = [\"P0299\"]\nsources = [\"invented\"]\n\n\
         [economy]\nlabour_per_hour = {labour:.1}\nbay_per_hour = {bay:.1}\ncomeback = \
         {comeback:.1}\npass_on = {pass_on:.1}\nrust = \"{rust}\"\nactive = {active:?}\n\n\
         [moving]\nposition_min = 4.0\ntool_min = 0.5\n"
    )
    .unwrap();
    if counted {
        let seen = 1 + dice.below(4);
        let over = dice.whole(50, 900);
        let ends = ["set", "now"][dice.below(2)];
        writeln!(
            text,
            "[recurrence]\nseen = {seen}\nover_km = {over:.1}\nends = \"{ends}\"\n"
        )
        .unwrap();
    }
    if dice.percent(70) {
        writeln!(text, "[unlisted]\nweight = {:?}\n", dice.share(100, 1500)).unwrap();
    }
}

fn suspects(text: &mut String, dice: &mut Dice, size: Size) {
    for place in 0..size.suspects {
        let weight = if dice.percent(20) {
            format!("\"{}\"", ["rare", "seldom", "common", "usual"][dice.below(4)])
        } else {
            format!("{:.1}", dice.whole(1, 9))
        };
        writeln!(
            text,
            "[[suspect]]\nid = \"s{place}\"\ntitle = \"Suspect {place}\"\nweight = {weight}\n"
        )
        .unwrap();
    }
}

fn items(text: &mut String, dice: &mut Dice, plan: &mut Plan) {
    for place in 0..plan.size.items {
        let behind: Vec<usize> = (0..place).filter(|_| dice.percent(45)).collect();
        let closed = behind.iter().fold(1 << place, |set, one| set | plan.closed[*one]);
        let cover = dice.percent(35);
        plan.closed.push(closed);
        plan.cover.push(cover);
        let named: Vec<String> = behind.iter().map(|one| format!("\"i{one}\"")).collect();
        writeln!(
            text,
            "[[item]]\nid = \"i{place}\"\ntitle = \"Item {place}\"\nbehind = [{}]\nstrip_min = \
             {:.1}\nrefit_min = {:.1}\ngoes = \"{}\"\ncover = {cover}\nposition = \"{}\"",
            named.join(", "),
            dice.whole(1, 30),
            dice.whole(1, 30),
            ["off", "aside", "slack", "unplugged", "raised"][dice.below(5)],
            ["top", "under"][dice.below(2)],
        )
        .unwrap();
        if dice.percent(40) {
            writeln!(text, "wait_min = {:.1}", dice.whole(5, 60)).unwrap();
        }
        if dice.percent(40) {
            writeln!(text, "refit_parts = {:.1}", dice.whole(1, 40)).unwrap();
        }
        for _ in 0..dice.below(3) {
            writeln!(
                text,
                "  [[item.snag]]\n  title = \"Seized\"\n  p = {:?}\n  minutes = {:.1}\n  parts \
                 = {:.1}",
                dice.share(20, 500),
                dice.whole(2, 40),
                dice.whole(0, 20),
            )
            .unwrap();
        }
        writeln!(
            text,
            "  [[item.fastener]]\n  id = \"bolt\"\n  count = 2\n  kind = \"bolt\"\n  thread = \
             \"M8\"\n  head_mm = 13.0\n"
        )
        .unwrap();
    }
}

/// `off`, `on`, `assembled`, by the rules of a sheet: what is on lies in no way.
fn access(text: &mut String, dice: &mut Dice, plan: &Plan) {
    let items = plan.size.items;
    let only_covers = |one: usize| {
        (0..items).all(|other| plan.closed[one] >> other & 1 == 0 || plan.cover[other])
    };
    let assembled = dice.percent(25);
    let open: Vec<usize> =
        (0..items).filter(|one| !assembled || only_covers(*one)).collect();
    let ways = if dice.percent(25) { 2 } else { 1 };
    let mut taken = 0;
    let mut written = Vec::new();
    for _ in 0..ways {
        let mut way = Vec::new();
        let wanted = if dice.percent(25) { 2 } else { usize::from(dice.percent(75)) };
        for _ in 0..wanted.min(open.len()) {
            let one = open[dice.below(open.len())];
            if !way.contains(&one) {
                way.push(one);
                taken |= plan.closed[one];
            }
        }
        let named: Vec<String> = way.iter().map(|one| format!("\"i{one}\"")).collect();
        written.push(format!("[{}]", named.join(", ")));
    }
    let off =
        if ways == 1 { written.concat() } else { format!("[{}]", written.join(", ")) };
    writeln!(text, "off = {off}").unwrap();
    if assembled {
        writeln!(text, "assembled = true").unwrap();
        return;
    }
    let on: Vec<String> = (0..items)
        .filter(|one| taken >> one & 1 == 0 && dice.percent(30))
        .map(|one| format!("\"i{one}\""))
        .collect();
    if !on.is_empty() {
        writeln!(text, "on = [{}]", on.join(", ")).unwrap();
    }
}

/// `needs` and, for later checks, `spoils`.
fn needs_and_spoils(text: &mut String, dice: &mut Dice, (plan, own): (&Plan, usize)) {
    if dice.percent(25) {
        let tool = ["smoke-machine", "gauge"][dice.below(2)];
        writeln!(text, "needs = [\"{tool}\"]").unwrap();
    }
    let spoiled: Vec<String> = (0..plan.size.checks)
        .filter(|other| *other != own && dice.percent(15))
        .map(|other| format!("\"k{other}\""))
        .collect();
    if !spoiled.is_empty() {
        writeln!(text, "spoils = [{}]", spoiled.join(", ")).unwrap();
    }
}

/// Which outcomes there are: o0 (well), o1, perhaps o2.
fn row(dice: &mut Dice, (outcomes, well): (usize, bool)) -> String {
    let first = if well { dice.share(700, 990) } else { dice.share(10, 400) };
    let mut left = 1.0 - first;
    let mut parts = vec![format!("o0 = {first:.4}")];
    for outcome in 1..outcomes {
        let share =
            if outcome + 1 == outcomes { left } else { left * dice.share(200, 800) };
        left -= share;
        // An outcome that is not named counts as 0.
        if !(outcomes == 3 && outcome == 2 && dice.percent(20)) {
            parts.push(format!("o{outcome} = {share:.4}"));
        }
    }
    format!("{{ {} }}", parts.join(", "))
}

fn check(text: &mut String, dice: &mut Dice, (plan, place): (&Plan, usize)) {
    let outcomes = plan.outcomes[place];
    let ids: Vec<String> = (0..outcomes).map(|o| format!("\"o{o}\"")).collect();
    writeln!(
        text,
        "[[check]]\nid = \"k{place}\"\ntitle = \"Check {place}\"\nhow = \"Look.\"\nminutes = \
         {:.1}\nwait_min = {:.1}\ncost = {:.1}\noutcomes = [{}]",
        dice.whole(2, 25),
        if dice.percent(30) { dice.whole(1, 60) } else { 0.0 },
        dice.whole(0, 9),
        ids.join(", ")
    )
    .unwrap();
    access(text, dice, plan);
    needs_and_spoils(text, dice, (plan, place));
    if let Some(other) = plan.same_as[place] {
        writeln!(text, "same_as = \"k{other}\"").unwrap();
    }
    if dice.percent(30) {
        writeln!(text, "needs_fault = true").unwrap();
    }
    if dice.percent(30) {
        let cured = dice.below(plan.size.suspects);
        writeln!(text, "fixes = {{ s{cured} = {:?} }}", dice.share(50, 600)).unwrap();
    }
    writeln!(text, "[check.given]\nfine = {}", row(dice, (outcomes, true))).unwrap();
    if dice.percent(30) {
        writeln!(text, "otherwise = {}", row(dice, (outcomes, true))).unwrap();
    }
    let told = dice.below(plan.size.suspects);
    for suspect in 0..plan.size.suspects {
        if suspect == told || dice.percent(30) {
            writeln!(text, "s{suspect} = {}", row(dice, (outcomes, false))).unwrap();
        }
    }
    if dice.percent(20) {
        writeln!(text, "unlisted = {}", row(dice, (outcomes, false))).unwrap();
    }
    text.push('\n');
}

fn repair(text: &mut String, dice: &mut Dice, (plan, place): (&Plan, usize)) {
    let suspects = plan.size.suspects;
    let mut cured = vec![place % suspects];
    if dice.percent(35) {
        cured.push((place + 1 + dice.below(suspects)) % suspects);
    }
    cured.sort_unstable();
    cured.dedup();
    let mut fixes: Vec<String> =
        cured.iter().map(|s| format!("s{s} = {:?}", dice.share(400, 1000))).collect();
    if dice.percent(10) {
        fixes.push(format!("unlisted = {:?}", dice.share(50, 300)));
    }
    let price = dice.whole(0, 300);
    let parts = if dice.percent(30) {
        format!(
            "[{{ title = \"Part\", number = \"N {place}\", count = 1, price = {price:.1} }}]"
        )
    } else {
        format!("{price:.1}")
    };
    writeln!(
        text,
        "[[repair]]\nid = \"r{place}\"\ntitle = \"Repair {place}\"\nminutes = {:.1}\nwait_min = \
         {:.1}\nparts = {parts}\nfixes = {{ {} }}",
        dice.whole(3, 60),
        if dice.percent(20) { dice.whole(5, 90) } else { 0.0 },
        fixes.join(", ")
    )
    .unwrap();
    if dice.percent(40) {
        writeln!(text, "again = {:?}", dice.share(20, 400)).unwrap();
    }
    access(text, dice, plan);
    needs_and_spoils(text, dice, (plan, usize::MAX));
    text.push('\n');
}

fn proof(text: &mut String, dice: &mut Dice, (plan, place): (&Plan, usize)) {
    writeln!(text, "[[proof]]\nid = \"p{place}\"\ntitle = \"Proof {place}\"").unwrap();
    let kind = dice.below(4);
    if kind == 0 && plan.size.checks > 0 {
        let repeated = dice.below(plan.size.checks);
        writeln!(text, "check = \"k{repeated}\"\nclear = [\"o0\"]").unwrap();
    } else {
        writeln!(
            text,
            "minutes = {:.1}\nwait_min = {:.1}\ncost = {:.1}\nfalse = {:?}",
            dice.whole(0, 45),
            if dice.percent(20) { dice.whole(1, 30) } else { 0.0 },
            dice.whole(0, 12),
            if dice.percent(40) { dice.share(5, 80) } else { 0.0 },
        )
        .unwrap();
        match kind {
            1 if plan.counted => {
                writeln!(text, "km = {:.1}", dice.whole(10, 400)).unwrap();
            }
            2 => {
                let named = dice.below(plan.size.suspects);
                let otherwise = if dice.percent(50) {
                    format!("otherwise = {:?}, ", dice.share(100, 900))
                } else {
                    String::new()
                };
                let shows = dice.share(300, 1000);
                writeln!(text, "shows = {{ {otherwise}s{named} = {shows:?} }}").unwrap();
            }
            _ => writeln!(text, "shows = {:?}", dice.share(300, 1000)).unwrap(),
        }
    }
    if dice.percent(30) {
        writeln!(text, "if_shown = {:.1}", dice.whole(5, 120)).unwrap();
    }
    if dice.percent(30) {
        writeln!(text, "by = \"owner\"").unwrap();
    }
    text.push('\n');
}
