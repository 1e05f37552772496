//! The plans that show what the program finds: the press cellar and the long loft beside the bottling room, and a broken one. Which
//! findings each phase has, to the letter; figures worked out by pencil; and that no check is without a demo.

#![expect(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;
use std::sync::Arc;

use aislewright::checks::{CHECKS, Finding, Standing};
use aislewright::plan::{ItemKind, Plan};
use aislewright::storage::{self, Opened};
use common::{example, judged, library};

const FOLDER: &str = "demo-data";
const CELLAR: &str = include_str!("../demo-data/press-cellar.plan.ron");
const LOFT: &str = include_str!("../demo-data/long-loft.plan.ron");
const BROKEN_PATH: &str = "demo-data/broken.plan.ron";
const BROKEN: &str = include_str!("../demo-data/broken.plan.ron");

fn opened(text: &str) -> Opened {
    storage::plan_of(library(), "demo", text.as_bytes()).expect("the plan can be read")
}

fn good(text: &str) -> Arc<Plan> {
    let opened = opened(text);
    assert!(opened.faults.is_empty(), "{:#?}", opened.faults);
    Arc::new(opened.plan)
}

fn cellar() -> Arc<Plan> {
    good(CELLAR)
}

fn loft() -> Arc<Plan> {
    good(LOFT)
}

#[test]
fn each_stands_in_canonical_form() {
    for (name, text) in [
        ("press-cellar", CELLAR),
        ("long-loft", LOFT),
        ("broken", BROKEN),
    ] {
        let path = format!("{FOLDER}/{name}.plan.ron");
        let written = storage::text_of(&opened(text).plan).expect("it can be written");
        if std::env::var_os("UPDATE_DEMOS").is_some() {
            #[expect(
                clippy::disallowed_methods,
                reason = "a developer asked to renew the plans"
            )]
            std::fs::write(&path, &written).expect("the plan can be written");
            continue;
        }
        assert_eq!(
            text, written,
            "{path} is not as the program writes it; renew it: UPDATE_DEMOS=1 cargo test --test demo_plans"
        );
    }
}

/// Asserts the keys of all findings of that phase that stand so.
fn has_just(plan: &Arc<Plan>, phase: u8, standing: Standing, keys: &[&str]) {
    let (_, findings) = judged(plan, phase);
    let found: BTreeSet<String> = findings
        .iter()
        .filter(|f| f.standing == standing)
        .map(Finding::key)
        .collect();
    let told: BTreeSet<String> = keys.iter().map(|k| (*k).to_owned()).collect();
    let new: Vec<&String> = found.difference(&told).collect();
    let gone: Vec<&String> = told.difference(&found).collect();
    assert!(
        new.is_empty() && gone.is_empty(),
        "{} in phase {phase}, {}: not told {new:#?}, told but not found {gone:#?}",
        plan.head().name,
        standing.word()
    );
}

#[test]
fn the_cellar_has_just_these_findings() {
    let plan = cellar();
    has_just(
        &plan,
        1,
        Standing::Broken,
        &[
            "carry-in the Casting bench",
            "isolation shelf 48.2 Hz",
            "isolation shelf 60.1 Hz",
            "lifting level 1 R1",
            "light average",
            "protection inrush C01",
            "protection leakage C01",
            "reach level 1 bed low R1 P001 P002 P003",
            "reach level 1 spool R1 P001 P002 P003",
            "wet-zone not dry Z1",
        ],
    );
    has_just(
        &plan,
        1,
        Standing::Unknown,
        &[
            "isolation feet",
            "protection inrush C02",
            "protection leakage C02",
        ],
    );
    has_just(
        &plan,
        2,
        Standing::Broken,
        &[
            "cameras CM3",
            "cameras unseen",
            "carry-in the Casting bench",
            "cooling balance A1",
            "isolation shelf 48.2 Hz",
            "isolation shelf 60.1 Hz",
            "keep-out CT1 Z2",
            "keep-out R3 A1",
            "lifting level 1 R1",
            "lifting level 1 R2",
            "light average",
            "panel-space BN1 E1",
            "protection inrush C01",
            "protection inrush C02",
            "protection leakage C01",
            "protection leakage C02",
            "reach level 1 bed low R1 P001 P002 P003",
            "reach level 1 bed low R2 P010 P011 P012",
            "reach level 1 bed low R3 P013 P014 P015",
            "reach level 1 screen low R3 P013 P014 P015",
            "reach level 1 spool R1 P001 P002 P003",
            "reach level 1 spool R2 P010 P011 P012",
            "service-strip front R3 CT1",
            "throw R3 A1",
            "way-out front R3",
            "wet-zone not dry Z1",
        ],
    );
    has_just(
        &plan,
        2,
        Standing::Unknown,
        &[
            "isolation feet",
            "protection inrush C03",
            "protection leakage C03",
        ],
    );
    has_just(
        &plan,
        3,
        Standing::Broken,
        &[
            "cameras CM3",
            "cameras unseen",
            "carry-in the Casting bench",
            "cooling balance A1",
            "fire overhead",
            "fits R4 L1",
            "isolation shelf 42.9 Hz",
            "isolation shelf 48.2 Hz",
            "isolation shelf 59.2 Hz",
            "isolation shelf 60.1 Hz",
            "keep-out CT1 Z2",
            "keep-out R3 A1",
            "keep-out R4 A1",
            "lifting level 1 R1",
            "lifting level 1 R2",
            "lifting level 1 R5",
            "lifting level 3 R4",
            "light run LT1",
            "panel-space BN1 E1",
            "protection inrush C01",
            "protection inrush C02",
            "protection leakage C01",
            "protection leakage C02",
            "reach level 1 bed low R1 P001 P002 P003",
            "reach level 1 bed low R2 P010 P011 P012",
            "reach level 1 bed low R3 P013 P014 P015",
            "reach level 1 bed low R4 P019 P020 P021",
            "reach level 1 bed low R5 P028 P029",
            "reach level 1 screen low R3 P013 P014 P015",
            "reach level 1 screen low R4 P019 P020 P021",
            "reach level 1 screen low R5 P028 P029",
            "reach level 1 spool R1 P001 P002 P003",
            "reach level 1 spool R2 P010 P011 P012",
            "reach level 3 spool R4 P025 P026 P027",
            "service-strip front R3 CT1",
            "shelf-load level R5",
            "spools",
            "throw R3 A1",
            "throw R4 A1",
            "way-out front R3",
        ],
    );
    has_just(
        &plan,
        3,
        Standing::Unknown,
        // The straight line from the racks in the other arm of the L runs through a wall.
        &[
            "fire extinguisher",
            "isolation feet",
            "isolation pad paver-foam-52",
            "protection inrush C03",
            "protection inrush C04",
            "protection inrush C05",
            "protection leakage C03",
            "protection leakage C04",
            "protection leakage C05",
        ],
    );
}

#[test]
fn the_loft_has_just_these_findings() {
    let plan = loft();
    has_just(
        &plan,
        1,
        Standing::Broken,
        &[
            "cameras unseen",
            "floor-load patch R24",
            "isolation shelf 39.9 Hz",
            "isolation shelf 9.3 Hz",
            "light average",
            "rack-stability R24",
            "room-closes walk",
            "sag R24",
            "window R24 W3",
        ],
    );
    has_just(
        &plan,
        1,
        Standing::Unknown,
        &[
            "air asked",
            "air outdoors",
            "cooling balance A1",
            "cooling stopped A1",
            "door-swing clear width D2",
            "fire asked",
            "fire detector",
            "isolation feet",
        ],
    );
    has_just(
        &plan,
        2,
        Standing::Broken,
        &[
            "cameras unseen",
            "floor-load patch R24",
            "isolation shelf 32.6 Hz",
            "isolation shelf 35.9 Hz",
            "isolation shelf 39.9 Hz",
            "isolation shelf 9.3 Hz",
            "lifting level 1 R23",
            "lifting level 2 R16",
            "rack-stability R24",
            "reach level 1 screen low R23 P199 P200",
            "reach level 2 spool R16 P139 P140 P141",
            "room-closes walk",
            "sag R24",
            "shelf-opening level 1 high R23 P200",
            "supply places E1",
            "supply the feeder at the peak E1",
            "supply the main breaker at the peak E1",
            "throw R23 A2",
            "window R24 W3",
        ],
    );
    has_just(
        &plan,
        2,
        Standing::Unknown,
        &[
            "air asked",
            "air outdoors",
            "cooling balance A1 A2",
            "cooling stopped A1 A2",
            "door-swing clear width D2",
            "fire asked",
            "fire detector",
            "isolation feet",
        ],
    );
}

#[test]
fn every_check_is_shown_met_and_broken() {
    let plans = [(example(), 3), (cellar(), 3), (loft(), 2)];
    let mut shown: BTreeMap<&str, BTreeSet<Standing>> = BTreeMap::new();
    for (plan, phases) in &plans {
        assert_eq!(
            plan.phases().len(),
            usize::from(*phases),
            "all are looked at"
        );
        for phase in 1..=*phases {
            let (_, findings) = judged(plan, phase);
            for f in findings.iter() {
                shown.entry(f.check).or_default().insert(f.standing);
            }
        }
    }
    for check in CHECKS {
        let has = shown.remove(check.id).unwrap_or_default();
        // What has to be asked is open or answered.
        let asked = ["air", "fire"].contains(&check.id) && has.contains(&Standing::Unknown);
        assert!(
            has.contains(&Standing::Met) && (has.contains(&Standing::Broken) || asked),
            "no demo plan shows `{}` both met and broken: only {has:?}",
            check.id
        );
    }
}

#[test]
fn every_kind_of_item_stands_in_one_of_them() {
    let plans = [example(), cellar(), loft()];
    for kind in ItemKind::ALL {
        assert!(
            plans
                .iter()
                .any(|plan| plan.items().iter().any(|(_, i)| i.kind() == kind)),
            "no demo plan has a {}",
            kind.word()
        );
    }
}

/// Asserts measured value and limit of the finding of that key, each within `within`.
fn is(plan: &Arc<Plan>, phase: u8, key: &str, within: f64, figures: (f64, f64, &str)) {
    let (_, findings) = judged(plan, phase);
    let found = findings.iter().find(|f| f.key() == key);
    let found = found.unwrap_or_else(|| panic!("no finding {key:?}"));
    let (measured, limit, unit) = figures;
    assert_eq!(found.unit, unit, "{}", found.text);
    let near = |a: Option<f64>, b: f64| a.is_some_and(|a| (a - b).abs() <= within);
    assert!(
        near(found.measured, measured) && near(found.limit, limit),
        "{key}: {:?} against {:?}, not {measured} against {limit}: {}",
        found.measured,
        found.limit,
        found.text
    );
}

#[test]
fn figures_of_the_cellar() {
    let plan = cellar();
    let at = |key, figures| is(&plan, 3, key, 0.01, figures);
    // Lengths from walls of the walk, which its diagonals move by up to about a millimetre.
    let by_tape = |key, figures| is(&plan, 3, key, 1.5, figures);
    // R4 stands from 50 to 650 mm off the south wall's line, the pipe hangs from 300 to 450: 650 - 300.
    at("fits R4 L1", (350.0, 0.0, "mm"));
    // The front of R3 stands at 650 mm, the cart from 1300 mm.
    at("service-strip front R3 CT1", (650.0, 915.0, "mm"));
    // R3 reaches from 3700 to 5200 mm, the cart from 4500 to 5100: 800 mm are left beside it.
    is(&plan, 3, "way-out front R3", 0.11, (800.0, 915.0, "mm"));
    // The cart reaches to 1900 mm, the hatch begins at 1800.
    at("keep-out CT1 Z2", (100.0, 0.0, "mm"));
    // The wall at 4200 mm, the case 120 mm deep, the bin up to 3950 mm.
    by_tape("panel-space BN1 E1", (130.0, 915.0, "mm"));
    // Board 1.4 · 0.6 · 0.018 m³ · 600 kg/m³ = 9.072 kg, two printers of 14 kg, two pads of 16 kg.
    at("shelf-load level R5", (69.072, 45.0, "kg"));
    // Arm 1940 - 1360 = 580 mm. The spool is (600 - 482.6) / 2 + 228.6 = 287.3 mm in, 437.3 mm from the shoulder, and
    // 1380 + 444.5 mm up: 1360 + √(580² - 437.3²) = 1741.01 mm.
    at(
        "reach level 3 spool R4 P025 P026 P027",
        (1824.5, 1741.01, "mm"),
    );
    // Three open printers of 300 W and three enclosed ones of 350 W: 1950 / 0.95 / 230.
    at("circuits at the peak C02 O2", (8.924, 16.0, "A"));
    // Three open printers of 120 W; 0.8 · 1200 W.
    at("ups running W U1", (360.0, 960.0, "W"));
    // 31 printers use 0.3 kg a day each, 9.3 kg; the store takes 40 spools.
    at("spools", (4.301, 5.0, "d"));
    // The ceiling at 2600 mm, the tall racks 2000 mm.
    at("fire overhead", (600.0, 610.0, "mm"));
    // 15 lights of 4000 lm, half of it used, 0.8 of that left, over (8.4 + 7.59) / 2 · 3.6 + 4.2² = 46.422 m²: 517.0 lx. In phase 1
    // seven: 241.3 lx.
    is(&plan, 3, "light average", 0.5, (517.0, 500.0, "lx"));
    is(&plan, 1, "light average", 0.5, (241.3, 500.0, "lx"));
    // 200 m³/h are 55.556 L/s; two people and that floor: 2 · 5 + 46.422 · 0.9 = 51.78 L/s.
    is(&plan, 3, "air outdoors", 0.05, (55.556, 51.78, "L/s"));
}

#[test]
fn figures_of_the_loft() {
    let plan = loft();
    let at = |key, figures| is(&plan, 2, key, 0.01, figures);
    // A printer 26 in high; from 9 in to 30-1/2 in less 18 mm of board: 546.1 - 18 mm.
    at("shelf-opening level 1 high R23 P200", (660.4, 528.1, "mm"));
    // The top level at 55 in, the rack 10 in deep.
    at("rack-stability R24", (5.5, 4.0, "1"));
    // Four boards of 46 by 10 in, 18 mm, 600 kg/m³: 12.820 kg; four times 12 kg stored; the rack's own 14 kg: 74.820 kg on
    // 1.2192 · 0.254 m²: 2369.4 Pa.
    at("floor-load patch R24", (2.3694, 2.0, "kPa"));
    // Out along 62 ft 1/2 in and back along 61 ft 11-1/2 in; a quarter of an inch times the root of four walls.
    at("room-closes walk", (25.4, 12.7, "mm"));
    // 36 lights of 4000 lm, 0.5 · 0.8 of it, over 62 by 19 ft, 109.440 m².
    at("light average", (526.32, 500.0, "lx"));
    // 200 printers use 0.25 kg a day each, 50 kg; two stores of 180, and 15 spools on each of the four levels of R24.
    at("spools", (8.4, 7.0, "d"));
    // Six open printers of 300 W and three enclosed ones of 350 W.
    at("ups at the peak W U16", (2850.0, 3300.0, "W"));
    // The same by 0.95 and 0.94, and 120 W to recharge, at 208 V.
    at("circuits at the peak C16 O16", (15.9206, 20.0, "A"));
    // A rack of 72 in before a sill of 36 in.
    at("window R24 W3", (914.4, 0.0, "mm"));
    // Sprinkler heads at 9 ft 3 in; printers of 20-1/2 in on boards at 51-3/4 in; 18 in to stay clear.
    at("fire overhead", (984.25, 457.2, "mm"));
}

/// What is said of the broken plan: the file, each fault where it stands and what to do, line by line.
const FAULTS: [&str; 28] = [
    "demo-data/broken.plan.ron: 26 faults:",
    "  head › must_fit › 2: the name Bench stands here twice; change one.",
    "  head › demand: a day has at most 24 hours without anybody there.",
    "  room › diagonals › 0: corners 0 and 1 are no two ends of a diagonal; name two with another between them.",
    "  room › datum: there is no corner 7; the last is 4.",
    "  room › outline: walls 1 and 3 cross or touch; the walls must go round once.",
    "  items › D1: it does not lie within wall 0, which is 6000 mm long; move it, or measure the wall again.",
    "  items › LT1: its run of linked lights leads back to itself; give one of them a feed of its own.",
    "  items › LT2: its run of linked lights leads back to itself; give one of them a feed of its own.",
    "  items › LT3: its lower edge hangs between floor and ceiling.",
    "  items › LT3: its run of linked lights leads back to itself; give one of them a feed of its own.",
    "  items › M1: there is no R7 that it is fastened to; fasten it to something else, or take it out.",
    "  items › M1: there is no wall 9; the last is 4.",
    "  items › O1: there is no circuit C02; name one that there is, or none.",
    "  items › R1: there is no rack full-27 in stock; did you mean full-72?",
    "  items › R2: there is no phase 2; the last is 1.",
    "  items › R2: levels stand above the floor, lowest first.",
    "  items › U1: there is no rack R5; name one that there is.",
    "  items › W1: the head stands above the sill, both above the floor.",
    "  items › W1: there is no wall 8; the last is 4.",
    "  items › Z1: it is to be dry from phase 4; there is no phase 4, the last is 1.",
    "  circuits › C01: there is no panel E1; name one that there is.",
    "  printers › P001: there is no printer open-22 in stock; did you mean open-220?",
    "  printers › P002: there is no UPS or outlet U2; name one that there is.",
    "  printers › P002: R2.1.1 holds P001 already in the same phase; give one of them another place.",
    "  printers › P003: R2 has no place R2.1.9; name one that it has.",
    "  printers › P004: there is no rack R3; name a place on one that there is.",
    "Nothing was changed.",
];

#[test]
fn the_broken_plan_opens_with_its_faults() {
    let told = opened(BROKEN).faults_message(BROKEN_PATH);
    assert_eq!(told.lines().collect::<Vec<_>>(), FAULTS);
}

#[test]
fn every_command_refuses_the_broken_plan_and_says_why() {
    let folder = tempfile::tempdir().expect("a folder");
    let (sheet, filled) = (
        folder.path().join("a.svg"),
        folder.path().join("b.plan.ron"),
    );
    let (sheet, filled) = (sheet.to_string_lossy(), filled.to_string_lossy());
    for arguments in [
        ["check", BROKEN_PATH].as_slice(),
        &["check", BROKEN_PATH, "--json"],
        &["fill", BROKEN_PATH, "--steps", "10", "-o", &filled],
        &["sheet", BROKEN_PATH, "-o", &sheet],
    ] {
        let output = Command::new(env!("CARGO_BIN_EXE_aislewright"))
            .args(arguments)
            .output()
            .expect("the program starts");
        let message = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {message}");
        assert!(output.stdout.is_empty(), "{arguments:?} says nothing else");
        assert_eq!(message.lines().collect::<Vec<_>>(), FAULTS, "{arguments:?}");
    }
    let written = std::fs::read_dir(folder.path()).map_or(0, Iterator::count);
    assert_eq!(written, 0, "nothing is written of a broken plan");
}
