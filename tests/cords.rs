//! The check `cords` on racks that stand away from walls, by hand. `short-48` is 1,219.2 by 609.6 mm; an outlet stands at the north
//! wall of a room of 8 m by 4 m.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::checks::{Finding, Severity, Standing};
use aislewright::plan::{
    Edit, Head, Item, Outlet, Plan, Presence, Printer, Record, Room, SlotRef, Ups, UpsPlace,
    WallPlace,
};
use aislewright::stock::KindId;
use aislewright::units::Length;
use common::{edited, id, judged, put, rack_at};

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

/// R1 in the middle of the floor, its back at y 2,609.6 mm, with a UPS at its foot that is plugged in 1,390.4 mm off.
fn island(outlet_mm: i32) -> Arc<Plan> {
    let room = Room::rectangle(mm(8000), mm(4000), mm(2700), mm(150));
    let outlet = Outlet {
        // From the north wall's first corner, which is in the east.
        at: WallPlace::new(2, mm(8000 - 2610)),
        height: mm(outlet_mm),
        receptacles: 2,
        circuit: None,
        presence: Presence::default(),
        receptacle: None,
    };
    let ups = Ups {
        kind: KindId::new("ups-900").unwrap(),
        stands: UpsPlace::OnRack(id("R1")),
        outlet: Some(id("O1")),
        presence: Presence::default(),
    };
    let plan = put(
        &Plan::new(Head::default(), room),
        "R1",
        rack_at("short-48", 2000, 2000, 0.0),
    );
    let plan = put(&plan, "O1", Item::Outlet(outlet));
    put(&plan, "U1", Item::Ups(ups))
}

/// A printer on the third level of a rack, in its second place, plugged into U1.
fn printer(plan: &Plan, rack: &str) -> Arc<Plan> {
    let printer = Printer {
        kind: KindId::new("open-220").unwrap(),
        slot: SlotRef {
            rack: id(rack),
            level: 3,
            place: 2,
        },
        prints: None,
        power: Some(id("U1")),
        presence: Presence::default(),
    };
    edited(
        plan,
        &Edit::Put(vec![(id("P001"), Record::Printer(printer))]),
    )
}

fn found(plan: &Arc<Plan>, about: &str) -> Arc<Finding> {
    let (_, findings) = judged(plan, 1);
    let mut all = findings.of_check("cords").iter();
    all.find(|f| f.items.contains(&id(about))).unwrap().clone()
}

/// 1,390.4 mm over the floor, along the wall the 0.4 mm to the outlet, down 254 mm and up 200: 1,844.8 mm, more than 6 ft.
/// 150 mm up it reaches; but 1,390.4 mm of open floor are wide enough to walk there.
#[test]
fn a_cord_over_open_floor_goes_down_and_up_and_is_told() {
    let short = found(&island(200), "U1");
    assert_eq!(short.standing, Standing::Broken, "{}", short.text);
    assert!((short.measured.unwrap() - 1844.8).abs() < 0.01, "{short:?}");
    let open = found(&island(150), "U1");
    assert_eq!(
        (open.standing, open.severity),
        (Standing::Broken, Severity::Caution)
    );
    assert!(open.text.contains("of open floor"), "{}", open.text);
    assert_eq!(open.measured, None, "it is no matter of length");
}

#[test]
fn a_cord_before_another_rack_must_be_mended() {
    // R2 stands at the north wall and is worked at from the floor over which the cord lies.
    let plan = put(&island(200), "R2", rack_at("short-48", 2000, 3390, 0.0));
    let over = found(&plan, "U1");
    assert_eq!(
        (over.standing, over.severity),
        (Standing::Broken, Severity::MustFix)
    );
    assert!(over.text.contains("before R2"), "{}", over.text);
    // An outlet at 2.4 m is over people's heads; the cord then is too short, which is no must-fix.
    let plan = put(&island(2400), "R2", rack_at("short-48", 2000, 3390, 0.0));
    let above = found(&plan, "U1");
    assert_eq!(above.severity, Severity::Caution, "{}", above.text);
}

/// R3 stands at R1's end. Its printer's place is 3,828.8 + 285.75 mm along, U1 stands at 2,609.6: 1,504.95 mm, and from 254 up to
/// 1,270 mm 1,016 more.
#[test]
fn a_cord_runs_along_a_row_of_racks() {
    let row = put(&island(200), "R3", rack_at("short-48", 3219, 2000, 0.0));
    let along = found(&printer(&row, "R3"), "P001");
    let expected = 1504.95 - 0.2 + 1016.0;
    assert!(
        (along.measured.unwrap() - expected).abs() < 0.01,
        "{along:?}"
    );
    // 300 mm further off there is no row: by the wall, over 1,390.4 mm of floor twice, down from 1,270 and up to 254 mm.
    let apart = put(&island(200), "R3", rack_at("short-48", 3519, 2000, 0.0));
    let round = found(&printer(&apart, "R3"), "P001");
    let expected = 1504.95 - 0.2 + 300.0 + 1270.0 + 254.0 + 2.0 * 1390.4;
    assert!(
        (round.measured.unwrap() - expected).abs() < 0.01,
        "{round:?}"
    );
}
