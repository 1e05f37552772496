//! Rooms for the tests of the sheet. All invented.

use std::sync::Arc;

use aislewright::checks::Findings;
use aislewright::fill::Headroom;
use aislewright::layout::Layout;
use aislewright::plan::{
    Blow, Circuit, Column, CoolingUnit, Door, Edit, Fitting, FittingUse, Glass, Head, Hinge, Id,
    Item, Label, Library, Outlet, Outline, Overhead, OverheadUse, Panel, PhaseNo, Plan, Pose,
    Presence, Printer, Rack, Record, Room, Session, SlotRef, Status, Swing, Ups, UpsPlace,
    WallPlace, Window, Zone, ZoneUse,
};
use aislewright::sheet::{Made, Sheet, floor_sheet};
use aislewright::stock::KindId;
use aislewright::units::{Amps, Angle, Length, Practice, Volts};

pub(crate) fn length(text: &str) -> Length {
    Length::parse(text, None).unwrap()
}

pub(crate) fn id(text: &str) -> Id {
    text.parse().unwrap()
}

fn kind(text: &str) -> KindId {
    KindId::new(text).unwrap()
}

pub(crate) fn label(text: &str) -> Label {
    Label::new(text).unwrap()
}

pub(crate) fn on_wall(wall: u16, along: &str) -> WallPlace {
    WallPlace::new(wall, length(along))
}

fn status(status: Status) -> Presence {
    Presence {
        status,
        ..Presence::default()
    }
}

pub(crate) fn pose(x: &str, y: &str, turn_deg: f64) -> Pose {
    Pose {
        x: length(x),
        y: length(y),
        turn: Angle::from_degrees(turn_deg),
    }
}

pub(crate) fn rack(at: Pose) -> Item {
    Item::Rack(Rack {
        anchored: None,
        kind: kind("full-72"),
        at,
        levels: Vec::new(),
        faces: Vec::new(),
        presence: status(Status::New),
    })
}

pub(crate) fn outlet(at: WallPlace, circuit: Option<&str>, is: Status) -> Item {
    Item::Outlet(Outlet {
        at,
        height: length("1ft 6in"),
        receptacles: 4,
        circuit: circuit.map(id),
        presence: status(is),
        receptacle: None,
    })
}

pub(crate) fn plan_of(head: Head, room: Room, records: Vec<(Id, Record)>) -> Arc<Plan> {
    let library = Library::builtin().unwrap();
    let mut session = Session::new(Plan::new(head, room));
    session.apply(&library.stock, &Edit::Put(records)).unwrap();
    Arc::clone(session.plan())
}

fn item(mark: &str, item: Item) -> (Id, Record) {
    (id(mark), Record::Item(Box::new(item)))
}

fn circuit(mark: &str, amps: f64, is: Status) -> (Id, Record) {
    (
        id(mark),
        Record::Circuit(Circuit {
            breaker: Amps::new(amps).unwrap(),
            volts: Volts::new(120.0).unwrap(),
            panel: Some(id("E1")),
            presence: status(is),
            built: aislewright::plan::CircuitBuild::default(),
        }),
    )
}

/// A narrow room with five racks, a door, a window, a column, a panel, six outlets, three circuits, a cooling unit, two
/// UPS and two zones.
pub(crate) fn bottling(name: &str) -> Arc<Plan> {
    bottling_of(name, Practice::Us)
}

pub(crate) fn bottling_of(name: &str, practice: Practice) -> Arc<Plan> {
    let head = Head {
        name: label(name),
        hoped_for: Some(60),
        practice,
        ..Head::default()
    };
    let mut room = Room::rectangle(
        length("11ft 8in"),
        length("26ft 4in"),
        length("9ft"),
        length("6in"),
    );
    room.north = Angle::from_degrees(20.0);
    room.tape_tolerance = Some(length("1/4in"));
    let mut records = vec![
        item(
            "D1",
            Item::Door(Door {
                at: on_wall(0, "1ft"),
                width: length("36in"),
                height: length("6ft 8in"),
                clear: Some(length("33in")),
                hinge: Hinge::Near,
                swing: Swing::In,
                way_out: true,
                presence: Presence::default(),
            }),
        ),
        item(
            "W1",
            Item::Window(Window {
                at: on_wall(1, "12ft"),
                width: length("5ft"),
                sill: length("40in"),
                head: length("6ft 10in"),
                opens: true,
                way_out: false,
                glass: Glass::default(),
                presence: Presence::default(),
            }),
        ),
        item(
            "K1",
            Item::Column(Column {
                at: pose("5ft 2in", "17ft 9in", 0.0),
                width: length("10in"),
                depth: length("10in"),
                presence: Presence::default(),
            }),
        ),
        item(
            "E1",
            Item::Panel(Panel {
                main: None,
                free: None,
                at: on_wall(0, "8ft 2in"),
                width: length("14-1/2in"),
                depth: length("4in"),
                bottom: length("4ft"),
                height: length("30in"),
                presence: Presence::default(),
            }),
        ),
        item(
            "A1",
            Item::Cooling(CoolingUnit {
                kind: kind("wall-24k"),
                at: on_wall(2, "3ft 4in"),
                bottom: length("7ft 2in"),
                blow: Blow::default(),
                presence: Presence::default(),
            }),
        ),
        item(
            "R1",
            rack(pose("0in", "6ft 2in", 90.0).moved(length("-22in"), length("24in"))),
        ),
        item(
            "R2",
            rack(pose("2in", "14ft 2in", 90.0).moved(length("-24in"), length("24in"))),
        ),
        item(
            "R3",
            rack(pose("2in", "20ft 2in", 90.0).moved(length("-24in"), length("24in"))),
        ),
        item(
            "R4",
            rack(pose("9ft 6in", "4ft 8in", 270.0).moved(length("-24in"), length("24in"))),
        ),
        item(
            "R5",
            rack(pose("9ft 6in", "10ft 8in", 270.0).moved(length("-24in"), length("24in"))),
        ),
        item(
            "U1",
            Item::Ups(Ups {
                kind: kind("ups-1350"),
                stands: UpsPlace::OnRack(id("R1")),
                outlet: Some(id("O1")),
                presence: status(Status::New),
            }),
        ),
        item(
            "U2",
            Item::Ups(Ups {
                kind: kind("ups-1350"),
                stands: UpsPlace::OnRack(id("R4")),
                outlet: Some(id("O4")),
                presence: status(Status::New),
            }),
        ),
        item(
            "Z1",
            Item::Zone(Zone {
                purpose: ZoneUse::Wet { dry_from: None },
                at: pose("8ft 4in", "23ft", 0.0),
                width: length("3ft"),
                depth: length("3ft 2in"),
                low: Length::ZERO,
                high: None,
                presence: Presence::default(),
            }),
        ),
        item(
            "Z2",
            Item::Zone(Zone {
                purpose: ZoneUse::KeepClear,
                at: pose("4ft 4in", "0in", 0.0),
                width: length("3ft 4in"),
                depth: length("3ft"),
                low: Length::ZERO,
                high: None,
                presence: Presence::default(),
            }),
        ),
        item(
            "O1",
            outlet(on_wall(3, "17ft 4in"), Some("C01"), Status::New),
        ),
        item("O2", outlet(on_wall(3, "10ft"), Some("C01"), Status::New)),
        item(
            "O3",
            outlet(on_wall(3, "3ft 6in"), Some("C02"), Status::Existing),
        ),
        item(
            "O4",
            outlet(on_wall(1, "6ft 9in"), Some("C02"), Status::Moved),
        ),
        item(
            "O5",
            outlet(on_wall(1, "7ft 1in"), Some("C03"), Status::New),
        ),
        item("O6", outlet(on_wall(2, "9ft 6in"), None, Status::Existing)),
        circuit("C01", 20.0, Status::New),
        circuit("C02", 20.0, Status::Existing),
        circuit("C03", 20.0, Status::New),
    ];
    let mut number = 0;
    for (rack, most) in [("R1", 9), ("R2", 9), ("R3", 7), ("R4", 9)] {
        for k in 0..most {
            number += 1;
            records.push((
                Id::new(Plan::PRINTER, number),
                Record::Printer(Printer {
                    kind: kind("open-220"),
                    slot: SlotRef {
                        rack: id(rack),
                        level: k / 3 + 1,
                        place: k % 3 + 1,
                    },
                    prints: None,
                    power: match rack {
                        "R1" if k < 6 => Some(id("U1")),
                        "R4" if k < 6 => Some(id("U2")),
                        "R2" if k < 4 => Some(id("O2")),
                        _ => None,
                    },
                    presence: status(Status::New),
                }),
            ));
        }
    }
    plan_of(head, room, records)
}

/// An L with one wall at a slant, in millimetres, its datum at another corner.
pub(crate) fn cellar() -> Arc<Plan> {
    let mm = |x: i32, y: i32| (Length::from_mm_whole(x), Length::from_mm_whole(y));
    let head = Head {
        name: label("Press cellar"),
        practice: Practice::Metric,
        ..Head::default()
    };
    let mut room = Room::rectangle(
        length("1m"),
        length("1m"),
        length("2600mm"),
        length("240mm"),
    );
    room.outline = Outline::Corners(vec![
        mm(0, 0),
        mm(7200, 0),
        mm(7200, 3100),
        mm(4300, 3100),
        mm(4000, 6400),
        mm(0, 6400),
    ]);
    room.datum = 5;
    room.other_walls = vec![(0, length("365mm"))];
    let records = vec![
        item("R1", rack(pose("300mm", "60mm", 180.0))),
        item("R2", rack(pose("2400mm", "60mm", 180.0))),
        item("R3", rack(pose("1500mm", "3000mm", 30.0))),
        item("O1", outlet(on_wall(0, "1000mm"), None, Status::New)),
        item("O2", outlet(on_wall(3, "800mm"), None, Status::New)),
        item("O3", outlet(on_wall(2, "900mm"), None, Status::New)),
        item(
            "D1",
            Item::Door(Door {
                at: on_wall(1, "600mm"),
                width: length("900mm"),
                height: length("2000mm"),
                clear: None,
                hinge: Hinge::Far,
                swing: Swing::Out,
                way_out: true,
                presence: Presence::default(),
            }),
        ),
    ];
    plan_of(head, room, records)
}

pub(crate) fn made() -> Made {
    Made {
        date: "2031-05-14".to_owned(),
        revision: "A".to_owned(),
        drawn_by: "M. Example".to_owned(),
    }
}

pub(crate) fn sheet_of(plan: &Arc<Plan>) -> Sheet {
    let library = Library::builtin().unwrap();
    let layout = Layout::of(&library, plan, PhaseNo(1));
    floor_sheet(
        &layout,
        &Findings::of(&layout),
        &Headroom::of(&layout),
        None,
        &made(),
    )
}

/// One of each small fixed thing, on the north wall and under the ceiling of 9 ft.
pub(crate) fn small_things() -> Vec<(Id, Record)> {
    let on = |purpose, along: &str, (width, depth, height): (&str, &str, &str), bottom: &str| {
        Item::Fitting(Fitting {
            purpose,
            at: on_wall(2, along),
            width: length(width),
            depth: length(depth),
            bottom: length(bottom),
            height: length(height),
            presence: Presence::default(),
        })
    };
    let under = |purpose, at: Pose, (width, depth): (&str, &str), bottom: &str| {
        Item::Overhead(Overhead {
            purpose,
            at,
            width: length(width),
            depth: length(depth),
            bottom: length(bottom),
            presence: Presence::default(),
        })
    };
    let fitting = FittingUse::Extinguisher;
    vec![
        item("X1", on(fitting, "3ft", ("7in", "7in", "20in"), "2ft 4in")),
        item(
            "N1",
            on(FittingUse::DataPoint, "6ft", ("3in", "0in", "5in"), "16in"),
        ),
        item(
            "H1",
            on(FittingUse::Radiator, "9ft", ("4ft", "5in", "24in"), "5in"),
        ),
        item(
            "J1",
            under(
                OverheadUse::Beam,
                pose("0ft", "4ft", 0.0),
                ("20ft", "8in"),
                "8ft 2in",
            ),
        ),
        item(
            "L1",
            under(
                OverheadUse::Pipe,
                pose("0ft", "7ft", 0.0),
                ("20ft", "6in"),
                "8ft 4in",
            ),
        ),
        item(
            "S1",
            under(
                OverheadUse::Sprinkler,
                pose("5ft", "10ft", 0.0),
                ("3in", "3in"),
                "8ft 8in",
            ),
        ),
        item(
            "T1",
            under(
                OverheadUse::Detector,
                pose("12ft", "10ft", 0.0),
                ("5in", "5in"),
                "8ft 10in",
            ),
        ),
    ]
}
