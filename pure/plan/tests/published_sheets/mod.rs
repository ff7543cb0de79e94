//! The bodies of the sheets in `published.rs`: everything but `[sheet]` and `[economy]`.
//! A minute costs 1, so that minutes are the published costs.

/// 2.1: three perfect repairs that each put two of four faults right.
pub(crate) const DEPENDENT: &str = r#"
suspect = [
    { id = "f1", title = "1", weight = 0.20 }, { id = "f2", title = "2", weight = 0.25 },
    { id = "f3", title = "3", weight = 0.40 }, { id = "f4", title = "4", weight = 0.15 } ]
repair = [
    { id = "a1", title = "A1", minutes = 1.0, fixes = { f1 = 1.0, f2 = 1.0 } },
    { id = "a2", title = "A2", minutes = 1.0, fixes = { f2 = 1.0, f3 = 1.0 } },
    { id = "a3", title = "A3", minutes = 1.0, fixes = { f3 = 1.0, f4 = 1.0 } } ]
proof = [{ id = "seen", title = "Result seen", minutes = 0.0, shows = 1.0 }]
"#;

/// 2.2: six states, five binary tests. Each state has its own answer of cost 100, so that
/// one answer is worth more than all tests: the least cost is 100 + the tests.
pub(crate) const SEQUENCING: &str = r#"
suspect = [
    { id = "s0", title = "0", weight = 0.70 }, { id = "s1", title = "1", weight = 0.01 },
    { id = "s2", title = "2", weight = 0.02 }, { id = "s3", title = "3", weight = 0.10 },
    { id = "s4", title = "4", weight = 0.05 }, { id = "s5", title = "5", weight = 0.12 } ]
repair = [
    { id = "r0", title = "It is 0", minutes = 100.0, fixes = { s0 = 1.0 } },
    { id = "r1", title = "It is 1", minutes = 100.0, fixes = { s1 = 1.0 } },
    { id = "r2", title = "It is 2", minutes = 100.0, fixes = { s2 = 1.0 } },
    { id = "r3", title = "It is 3", minutes = 100.0, fixes = { s3 = 1.0 } },
    { id = "r4", title = "It is 4", minutes = 100.0, fixes = { s4 = 1.0 } },
    { id = "r5", title = "It is 5", minutes = 100.0, fixes = { s5 = 1.0 } } ]
[[check]]
id = "t1"
title = "Test 1"
minutes = 1.0
outcomes = ["low", "high"]
given = { fine = { low = 1 }, s3 = { high = 1 }, s4 = { high = 1 }, s5 = { high = 1 } }
[[check]]
id = "t2"
title = "Test 2"
minutes = 1.0
outcomes = ["low", "high"]
given = { fine = { low = 1 }, s1 = { high = 1 }, s4 = { high = 1 }, s5 = { high = 1 } }
[[check]]
id = "t3"
title = "Test 3"
minutes = 1.0
outcomes = ["low", "high"]
given = { fine = { low = 1 }, s2 = { high = 1 }, s5 = { high = 1 } }
[[check]]
id = "t4"
title = "Test 4"
minutes = 1.0
outcomes = ["low", "high"]
given = { fine = { low = 1 }, s2 = { high = 1 }, s3 = { high = 1 }, s5 = { high = 1 } }
[[check]]
id = "t5"
title = "Test 5"
minutes = 1.0
outcomes = ["low", "high"]
given = { fine = { low = 1 }, s1 = { high = 1 }, s3 = { high = 1 } }
"#;

/// 2.3: three independent parts (bad with 0.125, 0.075, 0.140), inspected until one is bad.
/// One suspect for every set of bad parts, weighted by the product; the two answers cost
/// 1000, so that the least cost is 1000 + the inspections.
pub(crate) const SERIES: &str = r#"
suspect = [
    { id = "good", title = "All good", weight = 0.6960625 },
    { id = "x", title = "X bad", weight = 0.0994375 },
    { id = "y", title = "Y bad", weight = 0.0564375 },
    { id = "z", title = "Z bad", weight = 0.1133125 },
    { id = "xy", title = "X, Y bad", weight = 0.0080625 },
    { id = "xz", title = "X, Z bad", weight = 0.0161875 },
    { id = "yz", title = "Y, Z bad", weight = 0.0091875 },
    { id = "xyz", title = "All bad", weight = 0.0013125 } ]
[[repair]]
id = "accept"
title = "Accept"
minutes = 1000.0
fixes = { good = 1.0 }
[[repair]]
id = "reject"
title = "Reject"
minutes = 1000.0
fixes = { x = 1.0, y = 1.0, z = 1.0, xy = 1.0, xz = 1.0, yz = 1.0, xyz = 1.0 }
[[check]]
id = "look-x"
title = "Inspect X"
minutes = 51.75
outcomes = ["ok", "bad"]
[check.given]
fine = { ok = 1 }
x = { bad = 1 }
xy = { bad = 1 }
xz = { bad = 1 }
xyz = { bad = 1 }
[[check]]
id = "look-y"
title = "Inspect Y"
minutes = 2.0
outcomes = ["ok", "bad"]
[check.given]
fine = { ok = 1 }
y = { bad = 1 }
xy = { bad = 1 }
yz = { bad = 1 }
xyz = { bad = 1 }
[[check]]
id = "look-z"
title = "Inspect Z"
minutes = 52.4
outcomes = ["ok", "bad"]
[check.given]
fine = { ok = 1 }
z = { bad = 1 }
xz = { bad = 1 }
yz = { bad = 1 }
xyz = { bad = 1 }
"#;

/// 2.5: independent perfect repairs, the result seen after each.
pub(crate) const INDEPENDENT: &str = r#"
suspect = [
    { id = "f1", title = "1", weight = 0.4 }, { id = "f2", title = "2", weight = 0.3 },
    { id = "f3", title = "3", weight = 0.2 }, { id = "f4", title = "4", weight = 0.1 } ]
repair = [
    { id = "a1", title = "A1", minutes = 20.0, fixes = { f1 = 1.0 } },
    { id = "a2", title = "A2", minutes = 5.0, fixes = { f2 = 1.0 } },
    { id = "a3", title = "A3", minutes = 15.0, fixes = { f3 = 1.0 } },
    { id = "a4", title = "A4", minutes = 1.0, fixes = { f4 = 1.0 } } ]
proof = [{ id = "seen", title = "Result seen", minutes = 0.0, shows = 1.0 }]
"#;

/// 2.6: two repairs under one cover; the result is seen with the cover off (a proof that
/// repeats a check which needs nothing off and costs nothing; that check, idle before any
/// repair, is tied with the first repair and so comes first).
pub(crate) const CLUSTER_OPEN: &str = r#"
suspect = [
    { id = "f1", title = "1", weight = 0.30 }, { id = "f2", title = "2", weight = 0.25 },
    { id = "f3", title = "3", weight = 0.20 }, { id = "f4", title = "4", weight = 0.25 } ]
item = [{ id = "cover", title = "Cover", strip_min = 10.0, refit_min = 5.0 }]
repair = [
    { id = "a1", title = "A1", minutes = 2.0, fixes = { f1 = 1.0 }, off = ["cover"] },
    { id = "a2", title = "A2", minutes = 4.0, fixes = { f2 = 1.0 }, off = ["cover"] },
    { id = "a3", title = "A3", minutes = 6.0, fixes = { f3 = 1.0 } },
    { id = "a4", title = "A4", minutes = 12.0, fixes = { f4 = 1.0 } } ]
proof = [{ id = "seen", title = "Result seen", check = "look", clear = ["clear"] }]
[[check]]
id = "look"
title = "Look"
minutes = 0.0
outcomes = ["clear", "faulty"]
given = { fine = { clear = 1 }, otherwise = { faulty = 1 } }
"#;

/// 2.6: the same, removal and refit both charged at opening.
pub(crate) const CLUSTER_AT_OPENING: &str = r#"
suspect = [
    { id = "f1", title = "1", weight = 0.30 }, { id = "f2", title = "2", weight = 0.25 },
    { id = "f3", title = "3", weight = 0.20 }, { id = "f4", title = "4", weight = 0.25 } ]
item = [{ id = "cover", title = "Cover", strip_min = 15.0, refit_min = 0.0 }]
repair = [
    { id = "a1", title = "A1", minutes = 2.0, fixes = { f1 = 1.0 }, off = ["cover"] },
    { id = "a2", title = "A2", minutes = 4.0, fixes = { f2 = 1.0 }, off = ["cover"] },
    { id = "a3", title = "A3", minutes = 6.0, fixes = { f3 = 1.0 } },
    { id = "a4", title = "A4", minutes = 12.0, fixes = { f4 = 1.0 } } ]
proof = [{ id = "seen", title = "Result seen", check = "look", clear = ["clear"] }]
[[check]]
id = "look"
title = "Look"
minutes = 0.0
outcomes = ["clear", "faulty"]
given = { fine = { clear = 1 }, otherwise = { faulty = 1 } }
"#;

/// 2.6: refitted and tested after every repair. A plan here may leave a test out and do both
/// repairs under one opening, which the published sequences may not; so each repair has a
/// cover of its own that must be on for the other one.
pub(crate) const CLUSTER_REFITTED: &str = r#"
suspect = [
    { id = "f1", title = "1", weight = 0.30 }, { id = "f2", title = "2", weight = 0.25 },
    { id = "f3", title = "3", weight = 0.20 }, { id = "f4", title = "4", weight = 0.25 } ]
item = [
    { id = "c1", title = "Cover, first time", strip_min = 10.0, refit_min = 5.0 },
    { id = "c2", title = "Cover, second time", strip_min = 10.0, refit_min = 5.0 } ]
proof = [{ id = "test", title = "Test", minutes = 0.0, shows = 1.0 }]
[[repair]]
id = "a1"
title = "A1"
minutes = 2.0
fixes = { f1 = 1.0 }
off = ["c1"]
on = ["c2"]
[[repair]]
id = "a2"
title = "A2"
minutes = 4.0
fixes = { f2 = 1.0 }
off = ["c2"]
on = ["c1"]
[[repair]]
id = "a3"
title = "A3"
minutes = 6.0
fixes = { f3 = 1.0 }
[[repair]]
id = "a4"
title = "A4"
minutes = 12.0
fixes = { f4 = 1.0 }
"#;

/// 2.6: one cover and an ordinary proof that may be left out.
pub(crate) const CLUSTER_BATCHED: &str = r#"
suspect = [
    { id = "f1", title = "1", weight = 0.30 }, { id = "f2", title = "2", weight = 0.25 },
    { id = "f3", title = "3", weight = 0.20 }, { id = "f4", title = "4", weight = 0.25 } ]
item = [{ id = "cover", title = "Cover", strip_min = 10.0, refit_min = 5.0 }]
repair = [
    { id = "a1", title = "A1", minutes = 2.0, fixes = { f1 = 1.0 }, off = ["cover"] },
    { id = "a2", title = "A2", minutes = 4.0, fixes = { f2 = 1.0 }, off = ["cover"] },
    { id = "a3", title = "A3", minutes = 6.0, fixes = { f3 = 1.0 } },
    { id = "a4", title = "A4", minutes = 12.0, fixes = { f4 = 1.0 } } ]
proof = [{ id = "test", title = "Test", minutes = 0.0, shows = 1.0 }]
"#;

/// 2.7: four equal repairs, test 3 at the end of every batch. The published sequences always
/// end with a test; so its price is the refit of a housing that every repair needs off,
/// which both the (free) proof and the hand-over ask for.
pub(crate) const POSTPONED_EQUAL: &str = r#"
suspect = [
    { id = "f1", title = "1", weight = 0.25 }, { id = "f2", title = "2", weight = 0.25 },
    { id = "f3", title = "3", weight = 0.25 }, { id = "f4", title = "4", weight = 0.25 } ]
item = [{ id = "rig", title = "Test rig", strip_min = 0.0, refit_min = 3.0 }]
repair = [
    { id = "a1", title = "A1", minutes = 1.0, fixes = { f1 = 1.0 }, off = ["rig"] },
    { id = "a2", title = "A2", minutes = 1.0, fixes = { f2 = 1.0 }, off = ["rig"] },
    { id = "a3", title = "A3", minutes = 1.0, fixes = { f3 = 1.0 }, off = ["rig"] },
    { id = "a4", title = "A4", minutes = 1.0, fixes = { f4 = 1.0 }, off = ["rig"] } ]
proof = [{ id = "test", title = "Test", minutes = 0.0, shows = 1.0 }]
"#;

/// 2.7: the same, tested after each: every repair has a housing of its own that the next
/// one wants on.
pub(crate) const POSTPONED_NEVER: &str = r#"
suspect = [
    { id = "f1", title = "1", weight = 0.25 }, { id = "f2", title = "2", weight = 0.25 },
    { id = "f3", title = "3", weight = 0.25 }, { id = "f4", title = "4", weight = 0.25 } ]
item = [
    { id = "h1", title = "H1", refit_min = 3.0 }, { id = "h2", title = "H2", refit_min = 3.0 },
    { id = "h3", title = "H3", refit_min = 3.0 }, { id = "h4", title = "H4", refit_min = 3.0 } ]
proof = [{ id = "test", title = "Test", minutes = 0.0, shows = 1.0 }]
[[repair]]
id = "a1"
title = "A1"
minutes = 1.0
fixes = { f1 = 1.0 }
off = ["h1"]
on = ["h2", "h3", "h4"]
[[repair]]
id = "a2"
title = "A2"
minutes = 1.0
fixes = { f2 = 1.0 }
off = ["h2"]
on = ["h1", "h3", "h4"]
[[repair]]
id = "a3"
title = "A3"
minutes = 1.0
fixes = { f3 = 1.0 }
off = ["h3"]
on = ["h1", "h2", "h4"]
[[repair]]
id = "a4"
title = "A4"
minutes = 1.0
fixes = { f4 = 1.0 }
off = ["h4"]
on = ["h1", "h2", "h3"]
"#;

/// 2.7: falling probabilities and costs, test 6.
pub(crate) const POSTPONED_FALLING: &str = r#"
suspect = [
    { id = "f1", title = "1", weight = 0.4 }, { id = "f2", title = "2", weight = 0.3 },
    { id = "f3", title = "3", weight = 0.2 }, { id = "f4", title = "4", weight = 0.1 } ]
item = [{ id = "rig", title = "Test rig", strip_min = 0.0, refit_min = 6.0 }]
repair = [
    { id = "a1", title = "A1", minutes = 5.0, fixes = { f1 = 1.0 }, off = ["rig"] },
    { id = "a2", title = "A2", minutes = 4.0, fixes = { f2 = 1.0 }, off = ["rig"] },
    { id = "a3", title = "A3", minutes = 3.0, fixes = { f3 = 1.0 }, off = ["rig"] },
    { id = "a4", title = "A4", minutes = 2.0, fixes = { f4 = 1.0 }, off = ["rig"] } ]
proof = [{ id = "test", title = "Test", minutes = 0.0, shows = 1.0 }]
"#;

/// 2.7: falling probabilities, equal costs 5, test 3.
pub(crate) const POSTPONED_DEAR: &str = r#"
suspect = [
    { id = "f1", title = "1", weight = 0.4 }, { id = "f2", title = "2", weight = 0.3 },
    { id = "f3", title = "3", weight = 0.2 }, { id = "f4", title = "4", weight = 0.1 } ]
item = [{ id = "rig", title = "Test rig", strip_min = 0.0, refit_min = 3.0 }]
repair = [
    { id = "a1", title = "A1", minutes = 5.0, fixes = { f1 = 1.0 }, off = ["rig"] },
    { id = "a2", title = "A2", minutes = 5.0, fixes = { f2 = 1.0 }, off = ["rig"] },
    { id = "a3", title = "A3", minutes = 5.0, fixes = { f3 = 1.0 }, off = ["rig"] },
    { id = "a4", title = "A4", minutes = 5.0, fixes = { f4 = 1.0 }, off = ["rig"] } ]
proof = [{ id = "test", title = "Test", minutes = 0.0, shows = 1.0 }]
"#;

/// 2.8: where greedy takes the large set first.
pub(crate) const SET_COVER: &str = r#"
suspect = [
    { id = "f1", title = "1", weight = 0.20 }, { id = "f2", title = "2", weight = 0.15 },
    { id = "f3", title = "3", weight = 0.15 }, { id = "f4", title = "4", weight = 0.15 },
    { id = "f5", title = "5", weight = 0.15 }, { id = "f6", title = "6", weight = 0.20 } ]
proof = [{ id = "seen", title = "Result seen", minutes = 0.0, shows = 1.0 }]
[[repair]]
id = "a"
title = "A"
minutes = 1.0
fixes = { f2 = 1.0, f3 = 1.0, f4 = 1.0, f5 = 1.0 }
[[repair]]
id = "b"
title = "B"
minutes = 1.0
fixes = { f1 = 1.0, f2 = 1.0, f3 = 1.0 }
[[repair]]
id = "c"
title = "C"
minutes = 1.0
fixes = { f4 = 1.0, f5 = 1.0, f6 = 1.0 }
"#;

/// 2.9: a repair that may fail, once.
pub(crate) const IMPERFECT_ONCE: &str = r#"
unlisted = { weight = 0.2 }
suspect = [{ id = "cause", title = "Cause", weight = 0.8 }]
repair = [{ id = "r", title = "Repair", minutes = 10.0, fixes = { cause = 0.9 } }]
proof = [{ id = "test", title = "Test", minutes = 2.0, shows = 1.0 }]
"#;

/// 2.9: the same repair a second time (a repair is done at most once, so there are two).
pub(crate) const IMPERFECT_TWICE: &str = r#"
unlisted = { weight = 0.2 }
suspect = [{ id = "cause", title = "Cause", weight = 0.8 }]
repair = [
    { id = "r", title = "Repair", minutes = 10.0, fixes = { cause = 0.9 } },
    { id = "r-again", title = "Repair again", minutes = 10.0, fixes = { cause = 0.9 } } ]
proof = [{ id = "test", title = "Test", minutes = 2.0, shows = 1.0 }]
"#;

/// 2.10: the full model.
pub(crate) const TWO_COVERS: &str = r#"
unlisted = { weight = 0.1 }
suspect = [
    { id = "valve", title = "Valve", weight = 0.6 }, { id = "hose", title = "Hose", weight = 0.3 } ]
item = [
    { id = "cover", title = "Cover", strip_min = 0.5, refit_min = 0.5 },
    { id = "pump", title = "Pump", strip_min = 2.0, refit_min = 2.5, behind = ["cover"] } ]
repair = [
    { id = "fix-valve", title = "Valve", minutes = 3.0, fixes = { valve = 0.95 }, off = ["pump"] },
    { id = "fix-hose", title = "Hose", minutes = 1.0, fixes = { hose = 1.0 }, off = ["cover"] } ]
proof = [{ id = "test", title = "System test", minutes = 0.4, shows = 1.0 }]
[[check]]
id = "live"
title = "Live data"
minutes = 0.3
assembled = true
outcomes = ["pos", "neg"]
[check.given]
fine = { pos = 0.1, neg = 0.9 }
valve = { pos = 0.9, neg = 0.1 }
hose = { pos = 0.2, neg = 0.8 }
unlisted = { pos = 0.5, neg = 0.5 }
[[check]]
id = "smoke"
title = "Smoke"
minutes = 0.4
off = ["cover"]
outcomes = ["pos", "neg"]
[check.given]
fine = { pos = 0.05, neg = 0.95 }
hose = { pos = 0.95, neg = 0.05 }
"#;

/// 5: two ways in, of which the cheaper one depends on what is off already.
pub(crate) const TWO_WAYS: &str = r#"
suspect = [{ id = "part", title = "Part", weight = 1.0 }]
item = [
    { id = "d", title = "D", strip_min = 5.0 }, { id = "a", title = "A", strip_min = 1.0 },
    { id = "b", title = "B", strip_min = 1.0, behind = ["d"] },
    { id = "c", title = "C", strip_min = 6.0 } ]
[[repair]]
id = "t"
title = "T"
minutes = 0.0
fixes = { part = 1.0 }
off = [["a", "b"], ["c"]]
"#;

/// By hand: what must be on takes all that lies behind it back with it. Looking with the
/// outer item on refits both (11), then half of the time both come off and go back again.
pub(crate) const BACK_WITH_IT: &str = r#"
suspect = [
    { id = "s1", title = "1", weight = 0.5 }, { id = "s2", title = "2", weight = 0.5 } ]
item = [
    { id = "outer", title = "Outer", strip_min = 1.0, refit_min = 1.0 },
    { id = "inner", title = "Inner", strip_min = 10.0, refit_min = 10.0, behind = ["outer"] } ]
repair = [
    { id = "r1", title = "1", minutes = 100.0, fixes = { s1 = 1.0 }, off = ["inner"] },
    { id = "r2", title = "2", minutes = 100.0, fixes = { s2 = 1.0 } } ]
[[check]]
id = "look"
title = "Look"
minutes = 0.0
on = ["outer"]
outcomes = ["one", "two"]
given = { fine = { two = 1 }, s1 = { one = 1 }, s2 = { two = 1 } }
"#;
