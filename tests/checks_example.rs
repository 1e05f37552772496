//! Every check on the example room, against pencil sums: literal numbers, and what changes when a thing moves 100 mm.
//!
//! The room is 316 in by 140 in, its first corner at the lower left. All sums are by hand from the example's figures; the
//! air speeds were worked out apart from the program from the published jet formulas.

#![expect(clippy::panic, reason = "a test that cannot go on should stop there")]

mod common;

use std::collections::BTreeSet;
use std::sync::Arc;

use aislewright::checks::{Finding, Severity, Standing};
use aislewright::plan::{Edit, Item, Plan, Record};
use aislewright::stock::LevelKind;
use aislewright::units::{Kilopascals, Length};
use common::{edited, example, id, inches, judged};

fn moved(plan: &Plan, mark: &str, x_mm: i32, y_mm: i32) -> Arc<Plan> {
    let by = (Length::from_mm_whole(x_mm), Length::from_mm_whole(y_mm));
    edited(plan, &Edit::Move(vec![id(mark)], by))
}

fn moved_inches(plan: &Plan, mark: &str, x: i32, y: i32) -> Arc<Plan> {
    edited(plan, &Edit::Move(vec![id(mark)], (inches(x), inches(y))))
}

/// The finding of that key.
fn finding(plan: &Arc<Plan>, phase: u8, key: &str) -> Finding {
    let (_, findings) = judged(plan, phase);
    let found = findings.iter().find(|f| f.key() == key).cloned();
    found.unwrap_or_else(|| {
        let keys: Vec<String> = findings.iter().map(Finding::key).collect();
        panic!("no finding {key:?} among {keys:#?}")
    })
}

/// Asserts measured value and limit to a hundredth, the unit and the standing.
fn is(finding: &Finding, standing: Standing, measured: f64, limit: f64, unit: &str) {
    assert_eq!(finding.standing, standing, "{}", finding.text);
    assert_eq!(finding.unit, unit, "{}", finding.text);
    let near = |a: Option<f64>, b: f64| a.is_some_and(|a| (a - b).abs() < 0.01);
    assert!(
        near(finding.measured, measured),
        "measured {:?}, not {measured}: {}",
        finding.measured,
        finding.text
    );
    assert!(
        near(finding.limit, limit),
        "limit {:?}, not {limit}: {}",
        finding.limit,
        finding.text
    );
}

fn points_at(finding: &Finding, x_mm: f64, y_mm: f64) {
    let at = finding.at.map(|a| a.point);
    assert!(
        at.is_some_and(|p| (p.x - x_mm).abs() < 0.1 && (p.y - y_mm).abs() < 0.1),
        "it points at {at:?}, not {x_mm}, {y_mm}"
    );
}

#[test]
fn each_phase_has_just_these_open_findings() {
    let plan = example();
    let open = |phase: u8, severity: Severity| -> BTreeSet<String> {
        let (_, findings) = judged(&plan, phase);
        findings
            .iter()
            .filter(|f| f.standing == Standing::Broken && f.severity == severity)
            .map(Finding::key)
            .collect()
    };
    let set =
        |keys: &[&str]| -> BTreeSet<String> { keys.iter().map(|k| (*k).to_owned()).collect() };
    assert_eq!(open(1, Severity::MustFix), set(&["wet-zone O9 Z1"]));
    // R5 stands before the door: no cart as wide as the aisle comes in, so none comes to any face.
    let shut_in = ["R1", "R2", "R3", "R5", "R7"].map(|rack| format!("way-out front {rack}"));
    let shut_in: Vec<&str> = shut_in.iter().map(String::as_str).collect();
    let second = ["door-swing R5 D1", "wet-zone O9 Z1"];
    assert_eq!(
        open(2, Severity::MustFix),
        set(&[shut_in.as_slice(), &second].concat())
    );
    let third = [
        "door-swing R5 D1",
        "circuits at the peak C06 O6",
        "ups at the peak W U10",
        "way-out front R4",
        "way-out front R6",
    ];
    assert_eq!(
        open(3, Severity::MustFix),
        set(&[shut_in.as_slice(), &third].concat())
    );
    // Air over 0.25 m/s: R1 0.369, and from phase 2 on, when printers stand on its lowest level, R2 0.303; R3 0.170 and all
    // others less. Spools on top of a third level are too high wherever there is one with open printers. Of all UPS only U3
    // hangs on the outlet behind the next rack. P028's spool sits 18 in behind its front, 2 in behind the edge and 6 in from the
    // shoulder: 26 in = 660.4 mm, more than the arm of 528 mm at any height; and it weighs too much for so low a level. R6 stands
    // before the window. With all printers there is more heat than A1 takes. 10.9 L/s come in from outdoors; one person and the
    // floor would ask for 5 + 28.5 × 0.9 = 30.7 L/s in a laboratory.
    let first = [
        "throw R1 A1",
        "reach level 3 spool R1 P007 P008 P009",
        "cords U3 O2",
        "air outdoors",
    ];
    let second = [
        "throw R2 A1",
        "reach level 1 spool R5 P028",
        "lifting level 1 R5",
        "reach level 3 spool R2 P016 P017 P018",
        "reach level 3 spool R3 P025 P026 P027",
    ];
    let third = [
        "reach level 3 spool R4 P049 P050 P051",
        "reach level 3 spool R5 P034 P035 P036",
        "sag R6",
        "window R6 W1",
        "cooling balance A1",
    ];
    // Until the drip in Z1 is mended, in phase 3, damp softens the boards.
    let damp = ["sag damp Z1"];
    assert_eq!(
        open(1, Severity::Caution),
        set(&[first.as_slice(), &damp].concat())
    );
    let second = [first.as_slice(), &second].concat();
    assert_eq!(
        open(2, Severity::Caution),
        set(&[second.as_slice(), &damp].concat())
    );
    let third = [second.as_slice(), &third].concat();
    assert_eq!(open(3, Severity::Caution), set(&third));
}

#[test]
fn fits() {
    let plan = example();
    // R5's back stands 2 in = 50.8 mm off the south wall, its nearest neighbour.
    is(
        &finding(&plan, 3, "fits R5"),
        Standing::Met,
        50.8,
        0.0,
        "mm",
    );
    // 40 mm south: 50.8 - 40 = 10.8 mm are left of the 50.8 mm for plugs.
    let near = moved(&plan, "R5", 0, -40);
    is(
        &finding(&near, 3, "fits wall 0 R5"),
        Standing::Broken,
        10.8,
        50.8,
        "mm",
    );
    // 100 mm south: 100 - 50.8 = 49.2 mm inside the wall, at its lowest corner.
    let inside = moved(&plan, "R5", 0, -100);
    let found = finding(&inside, 3, "fits wall 0 R5");
    is(&found, Standing::Broken, 49.2, 0.0, "mm");
    assert!(found.text.contains("south wall"), "{}", found.text);
    // R1 and R2 touch end to end; 100 mm west R2 stands 100 mm inside R1.
    let overlap = finding(&moved(&plan, "R2", -100, 0), 3, "fits R1 R2");
    is(&overlap, Standing::Broken, 100.0, 0.0, "mm");
}

#[test]
fn service_strip() {
    let plan = example();
    // R1's face stands at 114 in, R5's at 26 in across the aisle: 88 in = 2235.2 mm; 36 in = 914.4 mm are needed.
    is(
        &finding(&plan, 3, "service-strip front R1"),
        Standing::Met,
        2235.2,
        914.4,
        "mm",
    );
    let nearer = moved(&plan, "R5", 0, 100);
    is(
        &finding(&nearer, 3, "service-strip front R1"),
        Standing::Met,
        2135.2,
        914.4,
        "mm",
    );
    // R5 53 in up: its face at 79 in, 114 - 79 = 35 in = 889 mm before R1; 1 in too little, for both faces.
    let blocked = moved_inches(&plan, "R5", 0, 53);
    is(
        &finding(&blocked, 3, "service-strip front R1 R5"),
        Standing::Broken,
        889.0,
        914.4,
        "mm",
    );
    // Just 36 in is enough.
    let just = moved_inches(&plan, "R5", 0, 52);
    is(
        &finding(&just, 3, "service-strip front R1"),
        Standing::Met,
        914.4,
        914.4,
        "mm",
    );
}

#[test]
fn door_swing() {
    let plan = example();
    // The hinge is 16 in up the wall, R5's face 26 in: 10 in = 254 mm south would part them, less than the 12 in east.
    let found = finding(&plan, 3, "door-swing R5 D1");
    is(&found, Standing::Broken, 254.0, 0.0, "mm");
    // 100 mm east: 12 in = 304.8 - 100 = 204.8 mm east would now part them, less than the 254 mm south.
    is(
        &finding(&moved(&plan, "R5", 100, 0), 3, "door-swing R5 D1"),
        Standing::Broken,
        204.8,
        0.0,
        "mm",
    );
    // 12 in east it only touches, which is not overlapping.
    let clear = moved_inches(&plan, "R5", 12, 0);
    is(
        &finding(&clear, 3, "door-swing D1"),
        Standing::Met,
        0.0,
        0.0,
        "mm",
    );
    // 34 in = 863.6 mm clear; ADA 404.2.3 asks for 32 in = 812.8 mm.
    is(
        &finding(&plan, 3, "door-swing clear width D1"),
        Standing::Met,
        863.6,
        812.8,
        "mm",
    );
}

#[test]
fn way_out() {
    let plan = example();
    // Phase 1: K1 stands 63 in = 1600.2 mm off the south wall, which is empty but for the column; north of it there are
    // 114 - 75 = 39 in up to the racks. So 63 in, in the middle of K1's width at 156 in.
    let free = finding(&plan, 1, "way-out D1");
    is(&free, Standing::Met, 1600.2, 914.4, "mm");
    points_at(&free, 156.0 * 25.4, 31.5 * 25.4);
    // From phase 2 on R5 stands 24 in before the door's wall, up to 26 in of an opening from 16 to 52 in: in that wall's
    // 36 in a walker has 52 - 26 = 26 in = 660.4 mm.
    for (phase, rack) in [(2, "R1"), (3, "R6")] {
        let found = finding(&plan, phase, &format!("way-out front {rack}"));
        is(&found, Standing::Broken, 660.4, 914.4, "mm");
        assert!(
            found.text.contains("at door D1, beside R5"),
            "{}",
            found.text
        );
        points_at(&found, 13.0 * 25.4, 39.0 * 25.4);
    }
    // R5 12 in east, as the door's swing wants it, is 36 in off the door's wall: just the aisle; a larger walker would have to
    // cover the opening and stand before R5.
    let mended = moved_inches(&plan, "R5", 12, 0);
    is(
        &finding(&mended, 3, "way-out D1"),
        Standing::Met,
        914.4,
        914.4,
        "mm",
    );
}

#[test]
fn panel_space() {
    let plan = example();
    // Along the west wall the space is free from R5's face at 26 in to R1's at 114 in: 88 in = 2235.2 mm; 30 in are needed.
    let found = finding(&plan, 3, "panel-space E1");
    is(&found, Standing::Met, 2235.2, 762.0, "mm");
    is(
        &finding(&moved(&plan, "R5", 0, 100), 3, "panel-space E1"),
        Standing::Met,
        2135.2,
        762.0,
        "mm",
    );
    // R5 56 in up: its face at 82 in is above the case's lower edge at 81.5 in, so it stands before the case, 24 - 4 = 20 in
    // = 508 mm ahead; OSHA 1910.303(g)(1) asks for 36 in.
    let blocked = finding(&moved_inches(&plan, "R5", 0, 56), 3, "panel-space R5 E1");
    is(&blocked, Standing::Broken, 508.0, 914.4, "mm");
}

#[test]
fn window() {
    let plan = example();
    // Level 2 of the low rack at 27 in and a printer of 20.5 in: 47.5 in, 7.5 in = 190.5 mm above the sill at 40 in.
    let found = finding(&plan, 3, "window R6 W1");
    is(&found, Standing::Broken, 190.5, 0.0, "mm");
    assert_eq!(found.severity, Severity::Caution, "it is no way out");
    points_at(&found, 240.0 * 25.4, 0.0);
    // 100 mm further into the room it still stands before the glass, as high.
    is(
        &finding(&moved(&plan, "R6", 0, 100), 3, "window R6 W1"),
        Standing::Broken,
        190.5,
        0.0,
        "mm",
    );
    // Without printers the rack is 38 in high, below the sill.
    let printers = plan
        .printers()
        .iter()
        .filter(|(_, p)| p.slot.rack == id("R6"))
        .map(|(id, _)| id)
        .collect();
    let empty = edited(&plan, &Edit::Remove(printers));
    is(
        &finding(&empty, 3, "window W1"),
        Standing::Met,
        0.0,
        0.0,
        "mm",
    );
}

#[test]
fn keep_out() {
    let plan = example();
    // Outlet 36 by 3 in, 1000 m3/h: 3.987 m/s. At P001's corner, 7.582 m ahead and 0.9525 m aside, the all-zone formula gives
    // 0.369 m/s (Hagstrom, Siren and Zhivov 1999, worked out apart from the program).
    is(
        &finding(&plan, 3, "keep-out R1 A1"),
        Standing::Met,
        0.3689,
        1.0,
        "m/s",
    );
    // 100 mm nearer to the axis the same sum gives 0.441 m/s.
    is(
        &finding(&moved(&plan, "R1", 0, -100), 3, "keep-out R1 A1"),
        Standing::Met,
        0.4409,
        1.0,
        "m/s",
    );
    // R4 20 in south: the printers in the middle of its third level stand 96.5 - 79 = 17.5 in = 0.4445 m aside, and the jet
    // passes 52.9 in ahead just above them: 1.803 m/s, where no printer may stand. 100 mm back, at 0.5445 m aside, the fastest
    // is 0.961 m/s: not a must-fix any more.
    let blown = moved_inches(&plan, "R4", 0, -20);
    is(
        &finding(&blown, 3, "keep-out R4 A1"),
        Standing::Broken,
        1.8034,
        1.0,
        "m/s",
    );
    is(
        &finding(&moved(&blown, "R4", 0, 100), 3, "keep-out R4 A1"),
        Standing::Met,
        0.9615,
        1.0,
        "m/s",
    );
    // R5 10 in east and 45 in up: 34 to 106 in by 47 to 71 in, over the zone of 100 to 120 in by 66 to 76 in: 6 in by 5 in
    // are shared, so 5 in = 127 mm would part them; 100 mm further up it is the 6 in = 152.4 mm.
    let over = moved_inches(&plan, "R5", 10, 45);
    is(
        &finding(&over, 3, "keep-out R5 Z2"),
        Standing::Broken,
        127.0,
        0.0,
        "mm",
    );
    let deeper = moved(&over, "R5", 0, 100);
    is(
        &finding(&deeper, 3, "keep-out R5 Z2"),
        Standing::Broken,
        152.4,
        0.0,
        "mm",
    );
}

#[test]
fn throw() {
    let plan = example();
    // As in the keep-out sum: 0.369 m/s at P001, over the 0.25 m/s of an open printer; 0.441 m/s when 100 mm nearer.
    let found = finding(&plan, 3, "throw R1 A1");
    is(&found, Standing::Broken, 0.3689, 0.25, "m/s");
    points_at(&found, 8.0 * 25.4, 116.5 * 25.4);
    is(
        &finding(&moved(&plan, "R1", 0, -100), 3, "throw R1 A1"),
        Standing::Broken,
        0.4409,
        0.25,
        "m/s",
    );
    // P013 on R2's lowest level stands 226.5 in = 5.753 m ahead and as far aside: 0.303 m/s in phase 2. In phase 1 nothing
    // stands on that level, and at the second, 27 in up, the air is slower than 0.25 m/s.
    is(
        &finding(&plan, 2, "throw R2 A1"),
        Standing::Broken,
        0.3028,
        0.25,
        "m/s",
    );
    assert_eq!(finding(&plan, 1, "throw R2 A1").standing, Standing::Met);
    // The one enclosed printer, P028, is exempt: alone on R5 in phase 2 it leaves nothing to judge there.
    let (_, findings) = judged(&plan, 2);
    assert!(
        findings
            .of_check("throw")
            .iter()
            .all(|f| !f.items.contains(&id("R5"))),
        "enclosed printers are exempt"
    );
}

#[test]
fn cooling() {
    let plan = example();
    // The unit takes 7034 W × 0.78 sensible × 0.95 on the hottest day = 5212.19 W. The room is 8.0264 by 3.556 by 2.7432 m.
    // Outdoors, 10 K warmer: south wall 22.018 m² less the window's 60 by 44 in = 1.7032 m², east wall 9.7548 m², both U 1:
    // 300.70 W; ceiling 28.5419 m² × 0.6: 171.25; glass × 2.8: 47.69; sun × 0.5 × 500: 425.81; 78.296 m³ changed 0.5 times an
    // hour, 10.8745 L/s × 1.2: 130.49. One person 80, lights 240, other machines 150. Besides printers: 1545.94 W.
    // An open printer 0.8 × 120 + 0.2 × 8 = 97.6 W, the cased one 0.8 × 140 + 0.2 × 10 = 114 W, all behind UPS of 0.92:
    // 12 × 97.6 / 0.92 = 1273.04; (27 × 97.6 + 114) / 0.92 = 2988.26; (50 × 97.6 + 114) / 0.92 = 5428.26 W.
    for (phase, standing, measured) in [
        (1, Standing::Met, 2818.98),
        (2, Standing::Met, 4534.20),
        (3, Standing::Broken, 6974.20),
    ] {
        let found = finding(&plan, phase, "cooling balance A1");
        is(&found, standing, measured, 5212.19, "W");
        assert_eq!(found.severity, Severity::Caution, "a caution");
        assert!(found.source.contains("data sheet"), "{}", found.source);
    }
    // 1762.0 W too much. Walls, glass, ceiling and air carry 65.013 W/K: 25 + 27.1 = 52.1 °C, 126 °F. Pausing P028 saves
    // (114 - 10) / 0.92 = 113.04 W, each other (97.6 - 8) / 0.92 = 97.39: 1 + 1648.96 / 97.39 = 17.93, so 18 printers.
    let found = finding(&plan, 3, "cooling balance A1");
    for words in [
        "6.97 kW",
        "5.21 kW",
        "126 °F (52 °C)",
        "Pausing 18 printers",
        "P028, P001, P002",
    ] {
        assert!(found.text.contains(words), "{words}: {}", found.text);
    }
    // Stopped, 6974 W warm 78.296 m³ × 1.2 = 93.96 kJ/K by 10 K in 93960 / 65.013 × ln(6974 / (6974 - 650)) = 141 s; with the
    // printers' 490 kg × 0.5 = 245 kJ/K in 510 s.
    let stopped = finding(&plan, 3, "cooling stopped A1");
    assert_eq!(stopped.standing, Standing::Met, "{}", stopped.text);
    assert!(
        stopped.text.contains("18 °F in 2 to 9 min"),
        "{}",
        stopped.text
    );
    // Racks that move change nothing; P028 taken away takes 114 / 0.92 = 123.91 W with it.
    for (there, measured) in [
        (moved(&plan, "R1", 0, -100), 6974.20),
        (edited(&plan, &Edit::Remove(vec![id("P028")])), 6850.28),
    ] {
        let found = finding(&there, 3, "cooling balance A1");
        is(&found, Standing::Broken, measured, 5212.19, "W");
    }
}

#[test]
fn shelf_opening() {
    let plan = example();
    // Boards at 4 and 27 in, 18 mm thick: 584.2 - 18 = 566.2 mm; the printer in use needs 20.5 in = 520.7 mm.
    let (_, findings) = judged(&plan, 3);
    let level = findings
        .of_check("shelf-opening")
        .iter()
        .find(|f| f.items == [id("R1")] && f.text.contains("level 1"));
    is(
        level.unwrap_or_else(|| panic!("level 1 of R1 is judged")),
        Standing::Met,
        520.7,
        566.2,
        "mm",
    );
    // The second board at 24 in: 508 - 18 = 490 mm, too low; where the rack stands does not matter.
    let Some(Item::Rack(rack)) = plan.items().get(id("R1")).cloned() else {
        panic!("R1 is a rack");
    };
    let levels = [4, 24, 50].map(|h| LevelKind::new(inches(h), 3)).to_vec();
    let low = aislewright::plan::Rack { levels, ..rack };
    let low = edited(
        &plan,
        &Edit::Put(vec![(id("R1"), Record::Item(Box::new(Item::Rack(low))))]),
    );
    for plan in [low.clone(), moved(&low, "R1", 0, -100)] {
        let found = finding(&plan, 3, "shelf-opening level 1 high R1 P003");
        is(&found, Standing::Broken, 520.7, 490.0, "mm");
    }
}

#[test]
fn reach() {
    let plan = example();
    // The spool is 50 + 17.5 = 67.5 in = 1714.5 mm up and 6 + 2.5 + 9 = 17.5 in = 444.5 mm from the shoulder. Shoulder at
    // 1242 mm, arm 1770 - 1242 = 528 mm: 1242 + sqrt(528^2 - 444.5^2) = 1526.96 mm.
    let key = "reach level 3 spool R1 P007 P008 P009";
    for plan in [plan.clone(), moved(&plan, "R1", 0, -100)] {
        is(
            &finding(&plan, 3, key),
            Standing::Broken,
            1714.5,
            1526.96,
            "mm",
        );
    }
    // P028's spool is 4 + 9 = 13 in = 330.2 mm up and 26 in = 660.4 mm from the shoulder, further than the arm of 528 mm: no
    // height can be reached there.
    let deep = finding(&plan, 2, "reach level 1 spool R5 P028");
    assert_eq!(deep.standing, Standing::Broken, "{}", deep.text);
    assert!(
        deep.measured.is_some_and(|mm| (mm - 330.2).abs() < 0.01),
        "{:?}",
        deep.measured
    );
    assert_eq!(deep.limit, None, "{}", deep.text);
}

#[test]
fn lifting() {
    let plan = example();
    // P028 (15 kg), hands 4 + 4 = 8 in = 20.32 cm up, 6 + 2 + 8 = 16 in = 40.64 cm out, 22 in = 55.88 cm below the cart, held fairly:
    // 23 * 25/40.64 * (1 - 0.003 * 54.68) * (0.82 + 4.5/55.88) * 0.95 = 10.119 kg, index 1.482. Its spool is 6 + 2 + 18 = 26 in = 66.04 cm
    // out, where the equation ends, so that no index can be told.
    let found = finding(&plan, 3, "lifting level 1 R5");
    assert_eq!(found.standing, Standing::Broken, "{}", found.text);
    assert_eq!((found.measured, found.limit), (None, Some(1.0)));
    for words in [
        "P028 (33.1 lb), 22.3 lb",
        "index 1.48",
        "a full spool (2.8 lb), no load",
    ] {
        assert!(found.text.contains(words), "{words}: {}", found.text);
    }
    // R1 bears open printers of 9.5 kg. On its lowest level: hands 8 in up, 6 + 2.5 + 8 = 16.5 in = 41.91 cm out: 23 * 25/41.91 * 0.83596 *
    // 0.90053 * 0.95 = 9.812 kg, index 0.968. On the highest: 54 in = 137.16 cm up, 24 in = 60.96 cm over the cart, a hold that counts as good:
    // 23 * 25/41.91 * (1 - 0.003 * 62.16) * (0.82 + 4.5/60.96) = 9.974 kg, index 0.952, which is less.
    for plan in [plan.clone(), moved(&plan, "R1", 0, -100)] {
        let hardest = finding(&plan, 3, "lifting R1");
        is(&hardest, Standing::Met, 0.968, 1.0, "1");
    }
}

#[test]
fn circuits() {
    let plan = example();
    // On C06 hang one enclosed printer (140 W, at the peak 350 W) and eight open ones (120 W, 300 W), power factor 0.95,
    // behind three UPS of efficiency 0.92 that recharge with 60 W each, at 120 V.
    // Running: (140 + 8 * 120) / 0.95 / 0.92 / 120 = 10.488 A of 0.8 * 20 = 16 A.
    is(
        &finding(&plan, 3, "circuits running C06 O6"),
        Standing::Met,
        10.488,
        16.0,
        "A",
    );
    // At the peak: ((350 + 8 * 300) / 0.95 / 0.92 + 3 * 60) / 120 = 27.720 A of 20 A.
    for plan in [plan.clone(), moved(&plan, "R5", 100, 0)] {
        is(
            &finding(&plan, 3, "circuits at the peak C06 O6"),
            Standing::Broken,
            27.720,
            20.0,
            "A",
        );
    }
    // Three open printers to a UPS and two UPS to a 20 A circuit, the usual habit (common practice, no source), hold:
    // (6 * 300 / 0.95 / 0.92 + 2 * 60) / 120 = 18.163 A.
    is(
        &finding(&plan, 3, "circuits at the peak C03 O3"),
        Standing::Met,
        18.163,
        20.0,
        "A",
    );
}

#[test]
fn ups() {
    let plan = example();
    // U10: 350 + 2 * 300 = 950 W at the peak, rated 900 W; 140 + 2 * 120 = 380 W running of 0.8 * 900 = 720 W;
    // 950 / 0.95 = 1000 VA of 1500 VA.
    is(
        &finding(&plan, 3, "ups at the peak W U10"),
        Standing::Broken,
        950.0,
        900.0,
        "W",
    );
    is(
        &finding(&plan, 3, "ups running W U10"),
        Standing::Met,
        380.0,
        720.0,
        "W",
    );
    is(
        &finding(&plan, 3, "ups at the peak VA U10"),
        Standing::Met,
        1000.0,
        1500.0,
        "VA",
    );
    // Three open printers: 900 W, just the rating. Moving the rack changes nothing.
    is(
        &finding(&moved(&plan, "R1", 0, -100), 3, "ups at the peak W U1"),
        Standing::Met,
        900.0,
        900.0,
        "W",
    );
}

#[test]
fn cords() {
    let plan = example();
    // U3 stands at the middle of R1's back, 40 in from the west wall and 2 in off the north wall, its plugs 10 in up; O2 is at
    // 108 in, 18 in up: 2 + 68 + 8 = 78 in = 1981.2 mm, the cord 6 ft = 1828.8 mm.
    is(
        &finding(&plan, 3, "cords U3 O2"),
        Standing::Broken,
        1981.2,
        1828.8,
        "mm",
    );
    let further = moved(&plan, "R1", -100, 0);
    is(
        &finding(&further, 3, "cords U3 O2"),
        Standing::Broken,
        2081.2,
        1828.8,
        "mm",
    );
    // 7 in nearer: 71 in = 1803.4 mm reaches.
    let nearer = moved_inches(&plan, "R1", 7, 0);
    is(
        &finding(&nearer, 3, "cords U3 O2"),
        Standing::Met,
        1803.4,
        1828.8,
        "mm",
    );
}

#[test]
fn a_cord_over_a_doorway_must_be_mended() {
    let plan = example();
    // An outlet on the west wall below the door: from U10 behind R5, round the room is far longer than the cord, and the short
    // way from a UPS behind R1 runs over the door.
    let Some(Item::Outlet(outlet)) = plan.items().get(id("O1")).cloned() else {
        panic!("O1 is an outlet");
    };
    // 3 in up the west wall, south of the door at 16 to 52 in.
    let at = aislewright::plan::WallPlace::new(3, inches(137));
    let low = aislewright::plan::Outlet { at, ..outlet };
    let plan = edited(
        &plan,
        &Edit::Put(vec![(id("O1"), Record::Item(Box::new(Item::Outlet(low))))]),
    );
    let found = finding(&plan, 3, "cords U1 O1");
    assert_eq!(
        (found.severity, found.standing),
        (Severity::MustFix, Standing::Broken),
        "{}",
        found.text
    );
    assert!(found.text.contains("door D1"), "{}", found.text);
    assert!(found.source.contains("1910.305(g)(1)"), "{}", found.source);
}

#[test]
fn wet_zone() {
    let plan = example();
    // O9 is 126 in up the east wall, inside the wet zone from 112 to 140 in.
    let found = finding(&plan, 1, "wet-zone O9 Z1");
    is(&found, Standing::Broken, 1.0, 0.0, "1");
    points_at(&found, 316.0 * 25.4, 126.0 * 25.4);
    is(
        &finding(&moved(&plan, "O9", 0, -100), 1, "wet-zone O9 Z1"),
        Standing::Broken,
        1.0,
        0.0,
        "1",
    );
    // 15 in down it is at 111 in, outside; and in phase 3 the zone is dry.
    is(
        &finding(&moved_inches(&plan, "O9", 0, -15), 1, "wet-zone Z1"),
        Standing::Met,
        0.0,
        0.0,
        "1",
    );
    is(
        &finding(&plan, 3, "wet-zone Z1"),
        Standing::Met,
        0.0,
        0.0,
        "1",
    );
}

/// The boards of all racks but R7: MDF of 800 kg/m³, 69 by 24 in and 18 mm: 1.7526 · 0.6096 · 0.018 · 800 = 15.3847 kg.
#[test]
fn shelf_load() {
    let plan = example();
    // R1: three boards and nine printers of 9.5 kg: 46.1542 + 85.5 = 131.6542 kg of 360.
    let rack = finding(&plan, 3, "shelf-load rack R1");
    is(&rack, Standing::Met, 131.6542, 360.0, "kg");
    // R5 holds one printer of 15 kg in place of one of 9.5.
    let other = finding(&plan, 3, "shelf-load rack R5");
    is(&other, Standing::Met, 137.1542, 360.0, "kg");
    // Nobody says what the spool rack holds.
    let spools = finding(&plan, 3, "shelf-load figures R7");
    assert_eq!(spools.standing, Standing::Unknown);
    assert!(
        spools.text.contains("what is stored on level 1 of R7"),
        "{}",
        spools.text
    );
}

#[test]
fn sag() {
    let plan = example();
    // R1: two bars, spans of 584.2 mm, each with one printer on feet 177.8 mm from its ends, 46.5975 N each; the board weighs
    // 0.0861147 N/mm. E 2200 MPa, I 609.6 · 18³/12 = 296,265.6 mm⁴. Added up in small steps apart from the program: 0.6757 mm
    // now, 1.0135 mm after long loading; a 240th of the span is 2.4342 mm.
    let found = finding(&plan, 3, "sag R1");
    is(&found, Standing::Met, 1.0135, 2.4342, "mm");
    // R6: one bar, spans of 876.3 mm, feet at 177.8, 406.4 and 762 mm: 2.9697 mm now, 4.4546 after long loading, 9.65 at worst;
    // 3.65125 mm are allowed. The steeper end tilts 0.01103.
    let found = finding(&plan, 3, "sag R6");
    is(&found, Standing::Broken, 4.4546, 3.6513, "mm");
    for words in [
        "Levels 1, 2 of R6",
        "3.0 mm now",
        "9.7 mm at worst",
        "11.0 in 1000",
    ] {
        assert!(found.text.contains(words), "{words}: {}", found.text);
    }
    assert!(found.source.contains("from memory"), "{}", found.source);
    // The zone is wet until phase 3; in phase 2 four racks have boards of MDF.
    let damp = finding(&plan, 2, "sag damp Z1");
    is(&damp, Standing::Broken, 4.0, 0.0, "1");
}

#[test]
fn rack_stability() {
    let plan = example();
    // R1: 50 in by 24 in; R7: 55 in by 18 in.
    let found = finding(&plan, 3, "rack-stability R1");
    is(&found, Standing::Met, 50.0 / 24.0, 4.0, "1");
    let found = finding(&plan, 3, "rack-stability R7");
    is(&found, Standing::Met, 55.0 / 18.0, 4.0, "1");
}

#[test]
fn floor_load() {
    let plan = example();
    let found = finding(&plan, 3, "floor-load mass R7");
    is_unknown(&found, 6.0, "kPa");
    // Without the spool rack R5 is the heaviest: 137.1542 kg, 30 kg of its own and three UPS of 11 kg, by
    // 1.8288 · 0.6096 m²: 1.7612 kPa.
    let lighter = edited(&plan, &Edit::Remove(vec![id("R7")]));
    let found = finding(&lighter, 3, "floor-load spread R5");
    is(&found, Standing::Met, 1.7612, 6.0, "kPa");
    // With half an aisle of 36 in before its face 1.0064 kPa. A floor for 1.2 kPa bears that, but not the patch; one for 1 kPa
    // bears neither.
    for (rating, facet, measured, severity) in [
        (1.2, "patch", 1.7612, Severity::Caution),
        (1.0, "spread", 1.0064, Severity::MustFix),
    ] {
        let found = finding(
            &rated(&lighter, Some(rating)),
            3,
            &format!("floor-load {facet} R5"),
        );
        is(&found, Standing::Broken, measured, rating, "kPa");
        assert_eq!(found.severity, severity);
    }
    // Unstated: said once.
    let (_, findings) = judged(&rated(&lighter, None), 3);
    let all = findings.of_check("floor-load");
    assert_eq!(all.len(), 1, "{all:#?}");
    assert_eq!(all[0].standing, Standing::Unknown);
}

fn rated(plan: &Plan, kpa: Option<f64>) -> Arc<Plan> {
    let head = aislewright::plan::Head {
        floor_rating: kpa.map(Kilopascals::fixed),
        ..plan.head().clone()
    };
    edited(plan, &Edit::SetHead(Box::new(head)))
}

fn is_unknown(finding: &Finding, limit: f64, unit: &str) {
    assert_eq!(finding.standing, Standing::Unknown, "{}", finding.text);
    assert_eq!(finding.measured, None, "{}", finding.text);
    assert_eq!(
        (finding.limit, finding.unit),
        (Some(limit), unit),
        "{}",
        finding.text
    );
}

#[test]
fn isolation() {
    let plan = example();
    // No pads: 27 Hz by the root of two is 19.092 Hz.
    let feet = finding(&plan, 3, "isolation feet");
    assert_eq!((feet.standing, feet.measured), (Standing::Unknown, None));
    assert!(feet.limit.is_some_and(|l| (l - 19.092).abs() < 0.001));
    // First sags of 0.6757 mm and 2.9697 mm: 17.753 / √d: 21.597 Hz, between 20 and 27, and 10.302 Hz, under 20.
    let stiff = finding(&plan, 3, "isolation shelf 21.6 Hz");
    is(&stiff, Standing::Met, 21.597, 27.0, "Hz");
    let soft = finding(&plan, 3, "isolation shelf 10.3 Hz");
    is(&soft, Standing::Broken, 10.302, 20.0, "Hz");
    assert_eq!(
        (soft.severity, &soft.items),
        (Severity::Note, &vec![id("R6")])
    );
}
