//! A hall full of printers, the same every time: rows of racks along the walls and back to back, in banks of ten with a cross
//! aisle between, with wiring, cooling, a panel and zones. For benches, and for tests that need a large plan.
#![expect(clippy::expect_used, reason = "what is written here is whole")]

use std::sync::Arc;

use aislewright::plan::{
    Blow, Circuit, Column, CoolingUnit, Door, Edit, Glass, Head, Hinge, Id, Item, Library, Outlet,
    Panel, Plan, Pose, Presence, Printer, Rack, Record, Room, SlotRef, Status, Swing, Ups,
    UpsPlace, WallPlace, Window, Zone, ZoneUse,
};
use aislewright::stock::KindId;
use aislewright::units::{Amps, Angle, Length, Volts};

/// A rack is 48 by 24 in and takes six printers.
const WIDTH_MM: f64 = 1219.2;
const DEPTH_MM: f64 = 609.6;
const PRINTERS: usize = 6;
/// From the face of one row to the face of the next; 50 to 150 mm more than the aisle that is asked for.
const AISLES_MM: [f64; 3] = [965.0, 1065.0, 1015.0];
/// Behind the rows along the walls.
const BEHIND_MM: f64 = 150.0;
/// At the ends of the rows, and across them after every ten racks.
const CROSS_MM: f64 = 1200.0;
const BANK: usize = 10;
/// A hall that is larger than that is cooled through ducts.
const UNITS_MOST: usize = 10;

/// The hall: `printers` is a multiple of six, `per_row` the racks of a row, all still to be carried in.
pub(crate) fn hall(library: &Library, printers: usize, per_row: usize) -> Arc<Plan> {
    let racks = printers / PRINTERS;
    let rows = racks.div_ceil(per_row);
    let length = CROSS_MM + x_of(per_row - 1) + WIDTH_MM;
    let depth = y_of(rows - 1) + DEPTH_MM + BEHIND_MM;
    let room = Room::rectangle(mm(length), mm(depth), mm(3000.0), mm(150.0));
    let mut records = fixtures(library, length, depth, printers);
    for k in 0..racks {
        let (row, column) = (k / per_row, k % per_row);
        let row = Row::of(row, depth, rows);
        records.extend(rack(k, row, (x_of(column), length)));
    }
    let plan = Plan::new(Head::default(), room);
    let plan = plan.edited(&library.stock, &Edit::Put(records));
    Arc::new(plan.expect("the hall is whole"))
}

/// The mark of a rack in the middle of the hall.
pub(crate) fn middle_rack(printers: usize) -> Id {
    mark("R", printers / PRINTERS / 2)
}

/// Where a row stands, and whether it looks up the sheet.
#[derive(Clone, Copy)]
struct Row {
    y: f64,
    looks_up: bool,
}

impl Row {
    fn of(row: usize, depth: f64, rows: usize) -> Self {
        let last = row + 1 == rows;
        Self {
            y: if last {
                depth - BEHIND_MM - DEPTH_MM
            } else {
                y_of(row)
            },
            looks_up: row.is_multiple_of(2) && !last,
        }
    }
}

/// The first row stands along the wall, then two and two back to back, with an aisle before every face.
fn y_of(row: usize) -> f64 {
    let aisles = (0..row.div_ceil(2)).map(|k| AISLES_MM[k % AISLES_MM.len()]);
    BEHIND_MM + row as f64 * DEPTH_MM + aisles.sum::<f64>()
}

fn x_of(column: usize) -> f64 {
    CROSS_MM + column as f64 * WIDTH_MM + (column / BANK) as f64 * CROSS_MM
}

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

fn mark(letters: &str, k: usize) -> Id {
    let mark = format!("{letters}{}", k + 1).parse();
    mark.expect("letters and a number")
}

fn kind(name: &str) -> KindId {
    KindId::new(name).expect("a built-in kind")
}

fn item(id: Id, item: Item) -> (Id, Record) {
    (id, Record::Item(Box::new(item)))
}

/// A rack with its printers, its circuit with one outlet, and at every third one a UPS that bears four of the printers.
fn rack(k: usize, row: Row, (x, length): (f64, f64)) -> Vec<(Id, Record)> {
    let (id, outlet, circuit) = (mark("R", k), mark("O", k), mark("C", k));
    let presence = Presence::default;
    let (wall, along) = if row.looks_up {
        (0, x)
    } else {
        (2, length - x - WIDTH_MM)
    };
    let at = Pose {
        x: mm(x),
        y: mm(row.y),
        turn: Angle::from_degrees(if row.looks_up { 180.0 } else { 0.0 }),
    };
    let ups = (k.is_multiple_of(3)).then(|| mark("U", k));
    let mut records = vec![
        item(
            id,
            Item::Rack(Rack {
                kind: kind("short-48"),
                at,
                levels: Vec::new(),
                faces: Vec::new(),
                anchored: None,
                presence: Presence {
                    status: Status::New,
                    ..presence()
                },
            }),
        ),
        item(
            outlet,
            Item::Outlet(Outlet {
                at: WallPlace::new(wall, mm(along + WIDTH_MM * 0.5)),
                height: mm(400.0),
                receptacles: 6,
                circuit: Some(circuit),
                presence: presence(),
                receptacle: None,
            }),
        ),
        (
            circuit,
            Record::Circuit(Circuit {
                breaker: Amps::new(20.0).expect("a rating"),
                volts: Volts::new(120.0).expect("a voltage"),
                panel: Some(mark("E", 0)),
                presence: presence(),
                built: aislewright::plan::CircuitBuild::default(),
            }),
        ),
    ];
    if let Some(ups) = ups {
        let supply = Ups {
            kind: kind("ups-1350"),
            stands: UpsPlace::OnRack(id),
            outlet: Some(outlet),
            presence: presence(),
        };
        records.push(item(ups, Item::Ups(supply)));
    }
    for n in 0..PRINTERS {
        let slot = SlotRef {
            rack: id,
            level: u8::try_from(n / 2).expect("three levels") + 1,
            place: u8::try_from(n % 2).expect("two places") + 1,
        };
        let kind = kind(if k.is_multiple_of(4) {
            "cased-256"
        } else {
            "open-220"
        });
        let printer = Printer {
            kind,
            slot,
            power: ups.filter(|_| n < 4).or(Some(outlet)),
            prints: None,
            presence: presence(),
        };
        records.push((mark("P", k * PRINTERS + n), Record::Printer(printer)));
    }
    records
}

/// What belongs to the hall: doors at both ends, a panel, a window, cooling units, two columns and two zones.
fn fixtures(library: &Library, length: f64, depth: f64, printers: usize) -> Vec<(Id, Record)> {
    let presence = Presence::default;
    let on = |wall: u16, along: f64| WallPlace::new(wall, mm(along));
    let mut records: Vec<(Id, Record)> = [(0, 1), (1, 3)]
        .into_iter()
        .map(|(k, wall)| {
            let door = Door {
                at: on(wall, depth * 0.5 - 457.0),
                width: mm(1000.0),
                height: mm(2100.0),
                clear: Some(mm(950.0)),
                hinge: Hinge::Near,
                swing: Swing::Out,
                way_out: k == 0,
                presence: presence(),
            };
            item(mark("D", k), Item::Door(door))
        })
        .collect();
    let panel = Panel {
        at: on(1, depth * 0.8),
        width: mm(380.0),
        depth: mm(100.0),
        bottom: mm(1200.0),
        height: mm(760.0),
        presence: presence(),
        main: None,
        free: None,
    };
    let window = Window {
        at: on(3, depth * 0.8 - 1200.0),
        width: mm(1200.0),
        sill: mm(900.0),
        head: mm(2000.0),
        opens: true,
        way_out: false,
        glass: Glass::default(),
        presence: presence(),
    };
    records.push(item(mark("E", 0), Item::Panel(panel)));
    records.push(item(mark("W", 0), Item::Window(window)));
    let unit = kind("wall-24k");
    let wide = library
        .stock
        .cooling
        .get(&unit)
        .map_or(0.0, |k| k.width.mm());
    let units = (printers / 60).min(UNITS_MOST);
    for k in 0..units {
        let share = depth / units.div_ceil(2) as f64;
        let cooling = CoolingUnit {
            kind: unit.clone(),
            at: on(
                if k.is_multiple_of(2) { 3 } else { 1 },
                ((k / 2) as f64 + 0.5) * share - wide * 0.5,
            ),
            bottom: mm(2400.0),
            blow: Blow::default(),
            presence: presence(),
        };
        records.push(item(mark("A", k), Item::Cooling(cooling)));
    }
    let pose = |x: f64, y: f64| Pose {
        x: mm(x),
        y: mm(y),
        turn: Angle::default(),
    };
    for (k, x) in [0.0, length - 200.0].into_iter().enumerate() {
        let column = Column {
            at: pose(x, 0.0),
            width: mm(200.0),
            depth: mm(200.0),
            presence: presence(),
        };
        records.push(item(mark("K", k), Item::Column(column)));
    }
    let purposes = [ZoneUse::Wet { dry_from: None }, ZoneUse::KeepClear];
    for (k, purpose) in purposes.into_iter().enumerate() {
        let zone = Zone {
            purpose,
            at: pose(300.0, depth * 0.3 + k as f64 * 700.0),
            width: mm(600.0),
            depth: mm(500.0),
            low: Length::ZERO,
            high: None,
            presence: presence(),
        };
        records.push(item(mark("Z", k), Item::Zone(zone)));
    }
    records
}
