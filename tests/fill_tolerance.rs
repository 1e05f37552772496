//! What a wall costs that is shorter than measured: a room that two racks and the aisle between them fill to the last inch one
//! way, with two inches to spare the other way, so that every cost can be worked out by hand.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::process::Command;
use std::sync::Arc;

use aislewright::fill::{
    Answer, Ask, Claim, Cost, StoppedBy, WallCost, Watch, fill, shorter_rooms,
};
use aislewright::plan::{
    Door, Edit, Head, Hinge, Item, Outline, PhaseNo, Plan, Presence, Record, Room, Swing, TapeWalk,
    WallPlace,
};
use aislewright::stock::KindId;
use aislewright::storage;
use aislewright::storage::disk::RealDisk;
use aislewright::storage::save::Expected;
use aislewright::units::{Length, Practice};
use common::{edited, id, inches, library};
use serde_json::Value;

/// Two short racks of 48 by 24 in, 2 in for plugs behind each, and the aisle of 36 in between: 24 + 2 + 36 + 2 + 24.
const WIDE: i32 = 88;
/// A rack is 48 in long.
const LONG: i32 = 50;
/// A short rack holds 3 levels of 2.
const A_RACK: u32 = 6;

fn plan_of(outline: Option<TapeWalk>) -> Arc<Plan> {
    let mut room = Room::rectangle(inches(WIDE), inches(LONG), inches(108), inches(6));
    room.tape_tolerance = Some(Length::from_mm(25.4 / 4.0));
    if let Some(walk) = outline {
        room.outline = Outline::TapeWalk(walk);
    }
    let head = Head {
        leading: Some(KindId::new("open-220").unwrap()),
        ..Head::default()
    };
    let door = Door {
        at: WallPlace::new(0, inches(26)),
        width: inches(36),
        height: inches(80),
        clear: Some(inches(34)),
        hinge: Hinge::Near,
        swing: Swing::Out,
        way_out: true,
        presence: Presence::default(),
    };
    let put = Edit::Put(vec![(id("D1"), Record::Item(Box::new(Item::Door(door))))]);
    edited(&Plan::new(head, room), &put)
}

struct Patient;

impl Watch for Patient {
    fn seen(&self, _: &Answer) {}

    fn stop(&self) -> Option<StoppedBy> {
        None
    }
}

fn filled(plan: &Arc<Plan>, steps: u64) -> Result<Answer, String> {
    let ask = Ask {
        floor_only: false,
        phase: PhaseNo(1),
        kinds: None,
        part: None,
        steps,
    };
    fill(library(), plan, &ask, &Patient).map_err(|why| why.to_string())
}

fn costs(plan: &Arc<Plan>, steps: u64) -> Vec<WallCost> {
    let whole = filled(plan, steps).unwrap();
    let mut costs: Vec<WallCost> = shorter_rooms(library(), plan)
        .iter()
        .flat_map(|room| {
            let found = room.plan.clone().and_then(|plan| filled(&plan, steps));
            room.costs(plan, &whole, &found)
        })
        .collect();
    costs.sort_by_key(|cost| cost.wall);
    costs
}

const ENOUGH: u64 = 50_000_000;

#[test]
fn a_wall_at_its_limit_costs_a_rack_and_one_with_room_to_spare_none() {
    let plan = plan_of(None);
    let whole = filled(&plan, ENOUGH).unwrap();
    assert_eq!((whole.printers, whole.claim), (2 * A_RACK, Claim::Proved));
    let costs = costs(&plan, ENOUGH);
    let lost: Vec<(usize, Option<u32>)> = costs.iter().map(|c| (c.wall, c.lost())).collect();
    assert_eq!(
        lost,
        [
            (1, Some(A_RACK)),
            (2, Some(0)),
            (3, Some(A_RACK)),
            (4, Some(0))
        ]
    );
    assert!(costs.iter().all(|c| matches!(
        c.cost,
        Cost::Printers {
            claim: Claim::Proved,
            ..
        }
    )));
    let words: Vec<String> = costs.iter().map(|c| c.words(Practice::Us)).collect();
    assert_eq!(
        words[0],
        "wall 1 (7' 4\"): 1/4\" less costs 6 printers; measure it again before buying"
    );
    assert_eq!(words[1], "wall 2 (4' 2\"): 1/4\" less costs none");
}

/// A wall and the one that faces it make the same room when they are shorter: it is filled once.
#[test]
fn a_rectangle_is_filled_twice_and_not_four_times() {
    let plan = plan_of(None);
    let walls: Vec<Vec<usize>> = shorter_rooms(library(), &plan)
        .into_iter()
        .map(|room| room.walls)
        .collect();
    assert_eq!(walls, [vec![0, 2], vec![1, 3]]);
    let mut exact = plan.room().clone();
    exact.tape_tolerance = Some(Length::ZERO);
    let exact = edited(&plan, &Edit::SetRoom(Box::new(exact)));
    assert_eq!(shorter_rooms(library(), &exact).len(), 0);
}

/// A walk to the right meets the walls in the other order: up the west wall first, then along the north wall.
#[test]
fn the_walls_of_a_walk_are_called_by_their_legs() {
    let walk = TapeWalk::parse("50in right, 88in right, 50in right, 88in right", None).unwrap();
    let costs = costs(&plan_of(Some(walk)), ENOUGH);
    let lost: Vec<(usize, Length, Option<u32>)> =
        costs.iter().map(|c| (c.wall, c.length, c.lost())).collect();
    assert_eq!(
        lost,
        [
            (1, inches(50), Some(0)),
            (2, inches(88), Some(A_RACK)),
            (3, inches(50), Some(0)),
            (4, inches(88), Some(A_RACK)),
        ]
    );
}

#[test]
fn what_is_not_proved_says_so() {
    let plan = plan_of(None);
    let whole = filled(&plan, ENOUGH).unwrap();
    let shorter = shorter_rooms(library(), &plan);
    let found = Answer {
        claim: Claim::Found,
        printers: 9,
        bound: 12,
        stopped_by: StoppedBy::Steps,
        ..whole.clone()
    };
    let words = shorter[0].costs(&plan, &whole, &Ok(found.clone()))[0].words(Practice::Us);
    assert!(
        words.contains("costs 3 printers (found, not proved)"),
        "{words}"
    );
    let broken_off = Answer {
        stopped_by: StoppedBy::Seconds,
        ..found
    };
    let cost = &shorter[0].costs(&plan, &whole, &Ok(broken_off))[0];
    assert_eq!(cost.lost(), None);
    assert!(cost.words(Practice::Us).contains("was not worked out"));
}

/// A door in the very corner slides back with it.
#[test]
fn what_hangs_at_the_end_of_a_wall_goes_with_its_corner() {
    let plan = plan_of(None);
    let door = plan.items().get(id("D1")).unwrap();
    let in_corner = door.with_wall_place(WallPlace::new(0, inches(WIDE - 36)));
    let put = Edit::Put(vec![(id("D1"), Record::Item(Box::new(in_corner)))]);
    let plan = edited(&plan, &put);
    let shorter = &shorter_rooms(library(), &plan)[0];
    let room = shorter.plan.as_ref().unwrap();
    let at = room.items().get(id("D1")).unwrap().wall_place().unwrap();
    assert!((at.along.mm() - (f64::from(WIDE - 36) - 0.25) * 25.4).abs() < 0.01);
}

#[test]
fn the_command_tells_it_where_it_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tight.plan.ron");
    storage::write(&RealDisk, &path, plan_of(None).as_ref(), Expected::Nothing).unwrap();
    let run = |more: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_aislewright"))
            .args(["fill", path.to_str().unwrap()])
            .args(more)
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let plain: Value = serde_json::from_str(&run(&["--json"])).unwrap();
    assert!(plain.get("tolerance").is_none());
    let asked: Value = serde_json::from_str(&run(&["--json", "--tolerance"])).unwrap();
    let rows = asked["tolerance"].as_array().unwrap();
    assert_eq!(rows.len(), 4);
    assert_eq!(rows[0]["wall"], 1);
    assert_eq!(rows[0]["printers"], A_RACK);
    assert_eq!(rows[0]["claim"], "proved");
    assert!((rows[0]["length_mm"].as_f64().unwrap() - 88.0 * 25.4).abs() < 0.01);
    assert!((rows[0]["shorter_mm"].as_f64().unwrap() - 6.35).abs() < 0.01);
    assert_eq!(rows[1]["printers"], 0);
    let text = run(&["--tolerance"]);
    assert!(
        text.contains("the tape is taken to be right to 1/4\""),
        "{text}"
    );
    assert!(
        text.contains("wall 3 (7' 4\"): 1/4\" less costs 6 printers"),
        "{text}"
    );
}
