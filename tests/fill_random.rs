//! Random rooms of right angles, filled: no arrangement adds a must-fix of a check marked *in fill*, nearly all are proved,
//! and where they are, one rack more is never accepted.
//!
//! The judge is `checks`, which measures the finished plan with its own geometry and knows nothing of the search.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::collections::BTreeSet;
use std::sync::Arc;

use aislewright::checks::{Check, Finding};
use aislewright::fill::{Answer, Ask, Claim, StoppedBy, Watch, adopt, fill};
use aislewright::plan::{
    Column, Door, Edit, Head, Hinge, Item, PhaseNo, Plan, Pose, Presence, Record, Room, Swing,
    WallPlace, Zone, ZoneUse,
};
use aislewright::stock::KindId;
use aislewright::units::{Angle, Length};
use common::{Dice, edited, id, inches, judged, library, rack_at};

const ROOMS: u64 = 200;
/// Enough for nearly all of these rooms, and some seconds at most for the others.
const STEPS: u64 = 3_000_000;

struct Nobody;

impl Watch for Nobody {
    fn seen(&self, _: &Answer) {}

    fn stop(&self) -> Option<StoppedBy> {
        None
    }
}

fn ask() -> Ask {
    Ask {
        floor_only: false,
        phase: PhaseNo(1),
        kinds: None,
        part: None,
        steps: STEPS,
    }
}

/// A room with a door and things that stay; every second one is at least 10 by 12 ft with two obstacles.
fn room(seed: u64) -> Arc<Plan> {
    let mut dice = Dice::new(seed);
    let large = seed.is_multiple_of(2);
    let (w, l) = if large {
        (dice.between(120, 138), dice.between(144, 168))
    } else {
        (dice.between(84, 120), dice.between(84, 132))
    };
    let shell = Room::rectangle(inches(w), inches(l), inches(108), inches(6));
    let head = Head {
        leading: Some(KindId::new("open-220").unwrap()),
        ..Head::default()
    };
    let mut plan = Plan::new(head, shell);
    let wall = u16::try_from(dice.roll(4)).unwrap();
    let side = if wall % 2 == 0 { w } else { l };
    let door = Item::Door(Door {
        at: WallPlace::new(wall, inches(dice.between(0, side - 36))),
        width: inches(36),
        height: inches(80),
        clear: Some(inches(34)),
        hinge: Hinge::Near,
        swing: if dice.roll(3) == 0 {
            Swing::In
        } else {
            Swing::Out
        },
        way_out: true,
        presence: Presence::default(),
    });
    plan = put(&plan, "D1", door);
    // Obstacles in steps of 6 in keep the lattice coarse enough for a test; the walls are any whole inch.
    let pose = |dice: &mut Dice, size: i32| Pose {
        x: inches(6 * dice.between(0, (w - size) / 6)),
        y: inches(6 * dice.between(0, (l - size) / 6)),
        turn: Angle::default(),
    };
    if large || dice.roll(2) == 0 {
        let column = Item::Column(Column {
            at: pose(&mut dice, 12),
            width: inches(12),
            depth: inches(12),
            presence: Presence::default(),
        });
        plan = put(&plan, "K1", column);
    }
    if large || dice.roll(2) == 0 {
        let zone = Item::Zone(Zone {
            purpose: ZoneUse::KeepClear,
            at: pose(&mut dice, 24),
            width: inches(24),
            depth: inches(18),
            low: Length::ZERO,
            high: None,
            presence: Presence::default(),
        });
        plan = put(&plan, "Z1", zone);
    }
    Arc::new(plan)
}

fn put(plan: &Plan, mark: &str, item: Item) -> Plan {
    let edit = Edit::Put(vec![(id(mark), Record::Item(Box::new(item)))]);
    edited(plan, &edit).as_ref().clone()
}

/// The keys of the broken must-fix findings that a search must not add.
fn stops(plan: &Arc<Plan>) -> BTreeSet<String> {
    judged(plan, 1)
        .1
        .iter()
        .filter(|f| f.stops() && Check::of(f.check).is_some_and(|c| c.in_fill))
        .map(Finding::key)
        .collect()
}

/// One more rack somewhere that the checks accept, of those places tried.
fn one_more(plan: &Arc<Plan>, seed: u64, tries: usize) -> Option<String> {
    let before = stops(plan);
    let mut dice = Dice::new(seed ^ 0xA5A5);
    let bounds = *plan.room().polygon().unwrap().bounds();
    let size = bounds.high - bounds.low;
    #[expect(clippy::cast_possible_truncation, reason = "a room of a few metres")]
    let (w, l) = (size.x as i32, size.y as i32);
    (0..tries).find_map(|_| {
        let kind = ["full-72", "low-72", "short-48"][usize::try_from(dice.roll(3)).unwrap()];
        // Mostly against the grid that racks like, now and then anywhere.
        let step = if dice.roll(2) == 0 { 51 } else { 7 };
        let (x, y) = (
            dice.roll(w / step + 1) * step - 300,
            dice.roll(l / step + 1) * step,
        );
        let rack = rack_at(kind, x, y, f64::from(dice.roll(4) * 90));
        let mark = plan.fresh(rack.kind().prefix(), 1)[0];
        let edit = Edit::Put(vec![(mark, Record::Item(Box::new(rack)))]);
        let more = edited(plan, &edit);
        stops(&more)
            .is_subset(&before)
            .then(|| format!("{kind} at {x}, {y} mm"))
    })
}

#[test]
fn random_rooms_are_filled_soundly_and_nearly_all_with_proof() {
    let mut proved = 0;
    let mut open = Vec::new();
    for seed in 0..ROOMS {
        let plan = room(seed);
        let answer =
            fill(library(), &plan, &ask(), &Nobody).unwrap_or_else(|e| panic!("{seed}: {e}"));
        let filled = edited(&plan, &adopt(library(), &plan, &ask(), &answer, None));
        let new: Vec<String> = stops(&filled).difference(&stops(&plan)).cloned().collect();
        assert!(new.is_empty(), "room {seed}: {new:?}");
        assert_eq!(
            filled.printers().len(),
            usize::try_from(answer.printers).unwrap(),
            "room {seed}: every printer that was counted stands"
        );
        assert!(answer.printers <= answer.bound, "room {seed}");
        if answer.claim == Claim::Proved {
            proved += 1;
            assert_eq!(answer.printers, answer.bound, "room {seed}");
            let found = one_more(&filled, seed, 40);
            assert_eq!(found, None, "room {seed}: proved at {}", answer.printers);
        } else {
            open.push(format!("{seed}: {} of {}", answer.printers, answer.bound));
        }
        if answer.placements.is_empty() {
            let found = one_more(&plan, seed, 400);
            assert_eq!(found, None, "room {seed}: nothing was placed");
        }
    }
    println!("{proved} of {ROOMS} proved; open: {open:?}");
    assert!(proved >= 180, "only {proved} proved; open: {open:?}");
}
