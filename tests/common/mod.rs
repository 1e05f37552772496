//! Plans that several tests share: the example, and small rooms made from a seed.

#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on should stop there"
)]
#![allow(
    dead_code,
    clippy::allow_attributes,
    reason = "each test crate takes what it needs from here"
)]

pub(crate) mod hall;

use std::sync::{Arc, LazyLock};

use aislewright::checks::{Finding, Findings, Standing};
use aislewright::layout::Layout;
use aislewright::plan::{
    Blow, Camera, Column, CoolingUnit, Dimension, Door, Edit, End, Fitting, FittingUse, Furniture,
    FurnitureUse, Glass, Head, Hinge, Id, Item, Library, Light, Note, NoteText, Outline, Overhead,
    OverheadUse, Panel, PhaseNo, Plan, Pose, Presence, Printer, Rack, Record, Room, SlotRef, Spot,
    Swing, Ups, UpsPlace, WallPlace, Window, Zone, ZoneUse,
};
use aislewright::stock::{Face, KindId};
use aislewright::storage;
use aislewright::units::{Angle, Length};

/// Read once: the tests judge very many plans.
static LIBRARY: LazyLock<Library> =
    LazyLock::new(|| Library::builtin().expect("the built-in data can be read"));

pub(crate) fn library() -> &'static Library {
    &LIBRARY
}

pub(crate) fn example() -> Arc<Plan> {
    let text = aislewright::cli::EXAMPLE;
    let opened =
        storage::plan_of(library(), "example", text.as_bytes()).expect("the example can be read");
    Arc::new(opened.plan)
}

pub(crate) fn id(mark: &str) -> Id {
    mark.parse().unwrap()
}

pub(crate) fn inches(n: i32) -> Length {
    Length::from_inches(n)
}

/// The plan in that phase with its findings.
pub(crate) fn judged(plan: &Arc<Plan>, phase: u8) -> (Layout, Findings) {
    let layout = Layout::of(library(), plan, PhaseNo(phase));
    let findings = Findings::of(&layout);
    (layout, findings)
}

pub(crate) fn edited(plan: &Plan, edit: &Edit) -> Arc<Plan> {
    Arc::new(
        plan.edited(&library().stock, edit)
            .unwrap_or_else(|e| panic!("{e}: {edit:?}")),
    )
}

/// The only finding of a check in phase 1 whose text holds some words.
pub(crate) fn that_says(plan: &Arc<Plan>, check: &str, words: &str) -> Finding {
    let (_, findings) = judged(plan, 1);
    let all = findings.of_check(check);
    let mut found = all.iter().filter(|f| f.text.contains(words));
    match (found.next(), found.next()) {
        (Some(one), None) => one.as_ref().clone(),
        _ => panic!("not one finding says {words:?} among {all:#?}"),
    }
}

/// Asserts how a finding stands, with its figures to a thousandth.
pub(crate) fn is(finding: &Finding, standing: Standing, measured: Option<f64>, limit: Option<f64>) {
    assert_eq!(finding.standing, standing, "{}", finding.text);
    let near = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < 0.001,
        (None, None) => true,
        _ => false,
    };
    assert!(
        near(finding.measured, measured) && near(finding.limit, limit),
        "{:?} of {:?}, not {measured:?} of {limit:?}: {}",
        finding.measured,
        finding.limit,
        finding.text
    );
}

/// The plan with that item in it.
pub(crate) fn put(plan: &Plan, mark: &str, item: Item) -> Arc<Plan> {
    edited(
        plan,
        &Edit::Put(vec![(id(mark), Record::Item(Box::new(item)))]),
    )
}

/// A small generator of numbers, the same on every machine (a linear congruence with the constants of Knuth's MMIX).
#[derive(Clone, Debug)]
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        let mut dice = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5DEE_CE66);
        for _ in 0..4 {
            dice.roll(7);
        }
        dice
    }

    /// A number from 0 up to below `sides`.
    pub(crate) fn roll(&mut self, sides: i32) -> i32 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        i32::try_from((self.0 >> 33) % u64::try_from(sides.max(1)).unwrap()).unwrap()
    }

    pub(crate) fn between(&mut self, low: i32, high: i32) -> i32 {
        low + self.roll(high - low + 1)
    }
}

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

pub(crate) fn rack_at(name: &str, x_mm: i32, y_mm: i32, turn: f64) -> Item {
    Item::Rack(Rack {
        kind: kind(name),
        at: Pose {
            x: Length::from_mm_whole(x_mm),
            y: Length::from_mm_whole(y_mm),
            turn: Angle::from_degrees(turn),
        },
        levels: Vec::new(),
        faces: Vec::new(),
        anchored: None,
        presence: Presence::default(),
    })
}

/// A printer for every slot of a full rack.
pub(crate) fn printers_of(plan: &Plan, rack: Id, levels: u8, places: u8) -> Vec<(Id, Record)> {
    let slots: Vec<SlotRef> = (1..=levels)
        .flat_map(|level| (1..=places).map(move |place| SlotRef { rack, level, place }))
        .collect();
    plan.fresh(Plan::PRINTER, slots.len())
        .into_iter()
        .zip(slots)
        .map(|(id, slot)| {
            let printer = Printer {
                kind: kind("open-220"),
                slot,
                power: None,
                prints: None,
                presence: Presence::default(),
            };
            (id, Record::Printer(printer))
        })
        .collect()
}

/// A small room with fixed things and a few racks, some of which stand badly.
pub(crate) fn small_room(seed: u64) -> Arc<Plan> {
    let mut dice = Dice::new(seed);
    let (w, l) = (dice.between(3200, 6000), dice.between(3200, 6000));
    let mut room = Room::rectangle(
        Length::from_mm_whole(w),
        Length::from_mm_whole(l),
        Length::from_mm_whole(2700),
        Length::from_mm_whole(150),
    );
    if dice.roll(4) == 0 {
        // One corner pulled in: a wall at an odd angle.
        if let Outline::Corners(corners) = &mut room.outline {
            corners[2].0 = Length::from_mm_whole(w - dice.between(100, 600));
        }
    }
    let mut plan = Plan::new(Head::default(), room);
    let presence = Presence::default;
    let at = |wall: u16, along: i32| WallPlace::new(wall, Length::from_mm_whole(along));
    let door = Door {
        at: at(0, dice.between(0, w - 950)),
        width: Length::from_mm_whole(915),
        height: Length::from_mm_whole(2030),
        clear: Some(Length::from_mm_whole(850)),
        hinge: if dice.roll(2) == 0 {
            Hinge::Near
        } else {
            Hinge::Far
        },
        swing: Swing::In,
        way_out: true,
        presence: presence(),
    };
    plan = put(&plan, "D1", Item::Door(door)).as_ref().clone();
    if dice.roll(2) == 0 {
        let panel = Panel {
            at: at(3, dice.between(0, l - 1200)),
            width: Length::from_mm_whole(380),
            depth: Length::from_mm_whole(100),
            bottom: Length::from_mm_whole(1200),
            height: Length::from_mm_whole(760),
            presence: presence(),
            main: None,
            free: None,
        };
        plan = put(&plan, "E1", Item::Panel(panel)).as_ref().clone();
    }
    if dice.roll(2) == 0 {
        let window = Window {
            at: at(3, dice.between(0, l - 1500)),
            width: Length::from_mm_whole(1200),
            sill: Length::from_mm_whole(900),
            head: Length::from_mm_whole(2000),
            opens: true,
            way_out: dice.roll(3) == 0,
            glass: Glass::default(),
            presence: presence(),
        };
        plan = put(&plan, "W1", Item::Window(window)).as_ref().clone();
    }
    if dice.roll(3) == 0 {
        let beam = Overhead {
            purpose: OverheadUse::Beam,
            at: Pose {
                x: Length::ZERO,
                y: Length::from_mm_whole(dice.between(0, l - 250)),
                turn: Angle::default(),
            },
            width: Length::from_mm_whole(w),
            depth: Length::from_mm_whole(250),
            bottom: Length::from_mm_whole(dice.between(1500, 2600)),
            presence: presence(),
        };
        plan = put(&plan, "J1", Item::Overhead(beam)).as_ref().clone();
    }
    if dice.roll(3) == 0 {
        let radiator = Fitting {
            purpose: FittingUse::Radiator,
            at: at(0, dice.between(0, w - 1000)),
            width: Length::from_mm_whole(1000),
            depth: Length::from_mm_whole(110),
            bottom: Length::from_mm_whole(120),
            height: Length::from_mm_whole(600),
            presence: presence(),
        };
        plan = put(&plan, "H1", Item::Fitting(radiator)).as_ref().clone();
    }
    if dice.roll(4) == 0 {
        let unit = CoolingUnit {
            kind: kind("wall-24k"),
            at: at(3, dice.between(0, l - 1200)),
            bottom: Length::from_mm_whole(dice.between(900, 2100)),
            blow: Blow::default(),
            presence: presence(),
        };
        plan = put(&plan, "A1", Item::Cooling(unit)).as_ref().clone();
    }
    let mut pose = |size: i32| Pose {
        x: Length::from_mm_whole(dice.between(0, w - size)),
        y: Length::from_mm_whole(dice.between(0, l - size)),
        turn: Angle::default(),
    };
    let column = Column {
        at: pose(300),
        width: Length::from_mm_whole(300),
        depth: Length::from_mm_whole(300),
        presence: presence(),
    };
    plan = put(&plan, "K1", Item::Column(column)).as_ref().clone();
    for (mark, purpose) in [
        ("Z1", ZoneUse::Wet { dry_from: None }),
        ("Z2", ZoneUse::KeepClear),
    ] {
        let zone = Zone {
            purpose,
            at: pose(700),
            width: Length::from_mm_whole(700),
            depth: Length::from_mm_whole(500),
            low: Length::ZERO,
            high: None,
            presence: presence(),
        };
        plan = put(&plan, mark, Item::Zone(zone)).as_ref().clone();
    }
    for k in 0..dice.between(1, 4) {
        let mark = format!("R{}", k + 1);
        let turn = match dice.roll(6) {
            5 => f64::from(dice.between(1, 89)),
            quarter => f64::from(quarter * 90),
        };
        let mut item = rack_at(
            "short-48",
            dice.between(-300, w - 700),
            dice.between(-300, l - 500),
            turn,
        );
        item.presence_mut().pinned = dice.roll(6) == 0;
        plan = put(&plan, &mark, item).as_ref().clone();
        if dice.roll(3) != 0 {
            let printers = printers_of(&plan, id(&mark), 3, 2);
            plan = edited(&plan, &Edit::Put(printers)).as_ref().clone();
        }
    }
    if dice.roll(3) == 0 {
        let at = Pose {
            x: Length::from_mm_whole(dice.between(0, w - 400)),
            y: Length::from_mm_whole(dice.between(0, l - 400)),
            turn: Angle::from_degrees(f64::from(dice.roll(4) * 45)),
        };
        let ups = Ups {
            kind: kind("ups-900"),
            stands: UpsPlace::OnFloor(at),
            outlet: None,
            presence: presence(),
        };
        plan = put(&plan, "U1", Item::Ups(ups)).as_ref().clone();
    }
    if dice.roll(2) == 0 {
        let dimension = Dimension {
            from: End::Of(id("R1"), Spot::Front),
            to: End::SquareToWall(u16::try_from(dice.roll(4)).expect("four walls")),
            offset: Length::from_mm_whole(dice.between(-600, 600)),
            presence: presence(),
        };
        plan = put(&plan, "M1", Item::Dimension(dimension))
            .as_ref()
            .clone();
    }
    if dice.roll(2) == 0 {
        let note = Note {
            text: NoteText::new("Ask first.\nThen drill.").expect("a short text"),
            at: (
                Length::from_mm_whole(dice.between(0, w)),
                Length::from_mm_whole(dice.between(0, l)),
            ),
            pointer: (dice.roll(2) == 0).then(|| End::Of(id("K1"), Spot::BackLeft)),
            presence: presence(),
        };
        plan = put(&plan, "Q1", Item::Note(note)).as_ref().clone();
    }
    for (mark, item) in furnished(&mut dice, w, l) {
        if dice.roll(4) == 0 {
            plan = put(&plan, mark, item).as_ref().clone();
        }
    }
    Arc::new(plan)
}

/// A bench, a light and a camera somewhere in a room of that size.
fn furnished(dice: &mut Dice, w: i32, l: i32) -> [(&'static str, Item); 3] {
    let mut pose = || Pose {
        x: Length::from_mm_whole(dice.between(0, w - 300)),
        y: Length::from_mm_whole(dice.between(0, l - 300)),
        turn: Angle::from_degrees(f64::from(dice.roll(8) * 45)),
    };
    let bench = Furniture {
        purpose: FurnitureUse::Bench,
        at: pose(),
        width: Length::from_mm_whole(1200),
        depth: Length::from_mm_whole(600),
        height: Length::from_mm_whole(900),
        faces: vec![Face::Front],
        spools: None,
        presence: Presence::default(),
    };
    let light = Light {
        kind: kind("strip-1200"),
        at: pose(),
        bottom: Length::from_mm_whole(2100),
        linked_to: None,
        presence: Presence::default(),
    };
    let camera = Camera {
        kind: kind("watch-100"),
        at: pose(),
        height: Length::from_mm_whole(1900),
        tilt: Angle::from_degrees(15.0),
        presence: Presence::default(),
    };
    [
        ("B1", Item::Furniture(bench)),
        ("LT1", Item::Light(light)),
        ("CM1", Item::Camera(camera)),
    ]
}
