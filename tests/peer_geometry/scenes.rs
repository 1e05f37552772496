//! Random scenes: a room with things in it, of which one pair is planted just about touching, overlapping or apart.

use std::sync::Arc;

use aislewright::plan::{
    Column, Door, Edit, Fitting, FittingUse, Glass, Head, Hinge, Item, Outline, Overhead,
    OverheadUse, Panel, Plan, Pose, Presence, Rack, Record, Room, Swing, Ups, UpsPlace, WallPlace,
    Window,
};
use aislewright::stock::{Face, KindId};
use aislewright::units::{Angle, Length, Practice};
use geo::{Coord, LineString, Point};

use crate::common::{Dice, edited, id, library, printers_of};
use crate::peer::{Room as PeerRoom, Scene};
use crate::plane::{apart, corners_of, mm};

/// How near the planted pair is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Class {
    /// At most 1 mm apart, or 1 mm inside each other.
    Touching,
    /// 5 to 300 mm inside each other.
    Overlapping,
    /// 5 to 600 mm apart.
    Free,
}

/// What the planted pair is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Pair {
    /// A rack and a column.
    Column,
    /// A rack and another, or a UPS.
    Placed,
    /// A rack and a wall.
    Wall,
    /// The gap behind a rack and a wall or a column.
    Gap,
    /// The floor before a rack's face and a thing.
    Strip,
    /// The floor before a rack's face and a wall.
    StripWall,
    /// The floor that a leaf sweeps and a thing.
    Door,
    /// The floor before a panel's case and a thing.
    PanelDepth,
    /// The working space of a panel beside a corner of the room and a thing.
    PanelWidth,
    /// The floor before a window and a thing.
    Window,
    /// The heights of two things above one place.
    Heights,
}

impl Pair {
    pub(crate) const ALL: [Self; 11] = [
        Self::Column,
        Self::Placed,
        Self::Wall,
        Self::Gap,
        Self::Strip,
        Self::StripWall,
        Self::Door,
        Self::PanelDepth,
        Self::PanelWidth,
        Self::Window,
        Self::Heights,
    ];
}

/// What was planted: the plan, and how far apart the pair is by the peer (below zero: how deep inside each other).
pub(crate) struct Planted {
    pub(crate) plan: Arc<Plan>,
    pub(crate) pair: Pair,
    pub(crate) class: Class,
    pub(crate) gap_mm: f64,
}

pub(crate) fn scene(seed: u64) -> Planted {
    let class = [Class::Touching, Class::Overlapping, Class::Free][at(seed % 3)];
    let pair = Pair::ALL[at(seed / 3) % Pair::ALL.len()];
    let mut draft = Draft::new(seed, pair);
    let gap_mm = draft.plant(pair, class);
    draft.clutter(pair);
    Planted {
        plan: draft.plan,
        pair,
        class,
        gap_mm,
    }
}

fn at(n: u64) -> usize {
    usize::try_from(n).expect("some thousands of scenes")
}

fn whole(mm: i32) -> Length {
    Length::from_mm_whole(mm)
}

struct Draft {
    dice: Dice,
    plan: Arc<Plan>,
    marks: u8,
}

/// A thing that can stand anywhere: what it is, and its size in stored lengths.
#[derive(Clone, Copy, PartialEq)]
enum Thing {
    Rack(&'static str),
    Column,
    Ups,
}

impl Draft {
    fn new(seed: u64, pair: Pair) -> Self {
        let mut dice = Dice::new(seed);
        let mut room = Room::rectangle(
            whole(1000),
            whole(1000),
            whole(match dice.roll(8) {
                0 if pair != Pair::Heights => dice.between(1700, 2000),
                _ => dice.between(2300, 3000),
            }),
            whole(150),
        );
        room.outline = Outline::Corners(outline(&mut dice));
        let practice = [Practice::Us, Practice::Metric][at(seed % 2)];
        let head = Head {
            practice,
            ..Head::default()
        };
        Self {
            plan: Arc::new(Plan::new(head, room)),
            dice,
            marks: 0,
        }
    }

    fn put(&mut self, prefix: char, item: Item) -> String {
        self.marks += 1;
        let mark = format!("{prefix}{}", self.marks);
        let record = (id(&mark), Record::Item(Box::new(item)));
        self.plan = edited(&self.plan, &Edit::Put(vec![record]));
        mark
    }

    /// Any length from one to another, in steps of 1/320 mm.
    fn length(&mut self, low_mm: i32, high_mm: i32) -> Length {
        Length::from_units(i64::from(self.dice.between(low_mm * 320, high_mm * 320)))
    }

    fn turn(&mut self) -> Angle {
        let thousandths = match self.dice.roll(4) {
            0 => self.dice.roll(4) * 90_000,
            1 => self.dice.roll(24) * 15_000,
            _ => self.dice.roll(360_000),
        };
        Angle::from_degrees(f64::from(thousandths) / 1000.0)
    }

    fn peer_room(&self) -> PeerRoom {
        PeerRoom::of(&self.plan)
    }

    /// A wall at least that long, and a place on it for something that wide.
    fn on_wall(&mut self, width: Length) -> WallPlace {
        let room = self.peer_room();
        let long: Vec<usize> = (0..room.walls.len())
            .filter(|k| room.walls[*k].length > mm(width) + 50.0)
            .collect();
        let pick =
            long[at(u64::try_from(self.dice.roll(99)).expect("not below zero")) % long.len()];
        let left = Length::from_mm(room.walls[pick].length - mm(width) - 1.0);
        let units = i32::try_from(left.units()).expect("a few metres");
        // Now and then in the very corner.
        let along = match self.dice.roll(8) {
            0 => Length::ZERO,
            1 => left,
            _ => Length::from_units(i64::from(self.dice.roll(units))),
        };
        WallPlace::new(u16::try_from(pick).expect("a few walls"), along)
    }

    /// A place on the floor, as the middle of something.
    fn somewhere(&mut self) -> Coord {
        let room = self.peer_room();
        loop {
            let p = Coord {
                x: f64::from(self.dice.between(-8000, 8000)),
                y: f64::from(self.dice.between(-8000, 8000)),
            };
            if room.holds(p) {
                return p;
            }
        }
    }

    fn size(&mut self, thing: Thing) -> (Length, Length) {
        let stock = &library().stock;
        let kind = |name: &str| KindId::new(name).expect("a word");
        match thing {
            Thing::Rack(name) => {
                let kind = &stock.racks[&kind(name)];
                (kind.width, kind.depth)
            }
            Thing::Ups => {
                let kind = &stock.ups[&kind("ups-900")];
                (kind.width, kind.depth)
            }
            Thing::Column => (self.length(80, 700), self.length(80, 700)),
        }
    }

    fn any_thing(&mut self) -> Thing {
        match self.dice.roll(5) {
            0 => Thing::Column,
            1 => Thing::Ups,
            2 => Thing::Rack("low-72"),
            3 => Thing::Rack("full-72"),
            _ => Thing::Rack("short-48"),
        }
    }

    fn any_rack(&mut self) -> Thing {
        let names = ["low-72", "full-72", "short-48", "spool-36"];
        Thing::Rack(names[at(u64::try_from(self.dice.roll(4)).expect("not below zero"))])
    }

    fn stand(&mut self, thing: Thing, pose: Pose, (width, depth): (Length, Length)) -> String {
        let presence = Presence::default();
        match thing {
            Thing::Column => self.put(
                'K',
                Item::Column(Column {
                    at: pose,
                    width,
                    depth,
                    presence,
                }),
            ),
            Thing::Ups => self.put(
                'U',
                Item::Ups(Ups {
                    kind: KindId::new("ups-900").expect("a word"),
                    stands: UpsPlace::OnFloor(pose),
                    outlet: None,
                    presence,
                }),
            ),
            Thing::Rack(name) => {
                let mut faces: Vec<Face> = [Face::Front, Face::Back, Face::Left, Face::Right]
                    .into_iter()
                    .filter(|_| self.dice.roll(3) == 0)
                    .collect();
                if self.dice.roll(2) == 0 {
                    faces.clear();
                }
                let mark = self.put(
                    'R',
                    Item::Rack(Rack {
                        kind: KindId::new(name).expect("a word"),
                        at: pose,
                        levels: Vec::new(),
                        faces,
                        anchored: None,
                        presence,
                    }),
                );
                if name == "low-72" && self.dice.roll(2) == 0 {
                    let printers = printers_of(&self.plan, id(&mark), 2, 2);
                    self.plan = edited(&self.plan, &Edit::Put(printers));
                }
                mark
            }
        }
    }

    fn stand_somewhere(&mut self, thing: Thing) -> String {
        let size = self.size(thing);
        let turn = self.turn();
        let pose = pose_round(self.somewhere(), size, turn);
        self.stand(thing, pose, size)
    }

    /// How far apart the pair is to be.
    fn gap(&mut self, class: Class) -> f64 {
        let steps =
            |dice: &mut Dice, low: i32, high: i32| f64::from(dice.between(low, high)) / 320.0;
        match class {
            Class::Touching => match self.dice.roll(3) {
                0 => steps(&mut self.dice, -8, 8),
                _ => steps(&mut self.dice, -316, 316),
            },
            Class::Overlapping => -steps(&mut self.dice, 5 * 320, 60 * 320),
            Class::Free => steps(&mut self.dice, 5 * 320, 600 * 320),
        }
    }

    /// Puts a thing so far from a convex target, in any direction. Gives the gap that came of it, as lengths are stored in steps.
    fn plant_by(&mut self, thing: Thing, turn: Angle, target: &[Coord], gap_mm: f64) -> f64 {
        let way = f64::from(self.dice.roll(360_000)) / 1000.0;
        let (sin, cos) = way.to_radians().sin_cos();
        let line = (centre(target), Coord { x: cos, y: sin });
        self.plant_along(line, thing, turn, (target, 0.0), gap_mm)
    }

    /// The same along a given line that begins in the target; what counts of the thing is grown behind its back by `behind_mm`.
    fn plant_along(
        &mut self,
        (start, way): (Coord, Coord),
        thing: Thing,
        turn: Angle,
        (target, behind_mm): (&[Coord], f64),
        gap_mm: f64,
    ) -> f64 {
        let size = self.size(thing);
        let place = |t: f64| pose_round(start + way * t, size, turn);
        let apart_at = |t: f64| {
            let frame = Scene::frame_of(place(t), size);
            let (w, d) = (mm(size.0) * 0.5, mm(size.1) * 0.5);
            let outline = frame.rectangle((-w, w), (-d, d + behind_mm));
            apart(&corners_of(&outline), target)
        };
        let (mut low, mut high) = (0.0, 20_000.0);
        for _ in 0..40 {
            let half = (low + high) * 0.5;
            if apart_at(half) < gap_mm {
                low = half;
            } else {
                high = half;
            }
        }
        let pose = place(low);
        let gap = apart_at(low);
        self.stand(thing, pose, size);
        gap
    }

    fn plant(&mut self, pair: Pair, class: Class) -> f64 {
        let gap = self.gap(class);
        let turn = self.turn();
        match pair {
            Pair::Column | Pair::Placed => {
                let thing = if pair == Pair::Column {
                    Thing::Column
                } else if self.dice.roll(3) == 0 {
                    Thing::Ups
                } else {
                    self.any_rack()
                };
                self.stand_somewhere(thing);
                let target = corners_of(&self.peer().bodies[0].shape);
                let rack = self.any_rack();
                self.plant_by(rack, turn, &target, gap)
            }
            Pair::Wall | Pair::Gap => self.plant_at_wall(pair, gap),
            Pair::Strip => {
                let rack = self.any_rack();
                self.stand_somewhere(rack);
                let scene = self.peer();
                let target =
                    corners_of(&Scene::strips(&scene.bodies[0])[0].ahead(scene.limits.aisle));
                let thing = self.any_thing();
                self.plant_by(thing, turn, &target, gap)
            }
            Pair::StripWall => self.plant_before_wall(gap),
            Pair::Door => {
                self.door(Some(Swing::In));
                let target = self.peer().doors[0]
                    .sweep
                    .clone()
                    .expect("it opens inwards");
                let thing = self.any_thing();
                self.plant_by(thing, turn, &target, gap)
            }
            Pair::PanelDepth => {
                let place = self.on_wall(whole(380));
                self.panel(place);
                let target = corners_of(&self.peer().panels[0].before_case());
                let thing = self.any_thing();
                self.plant_by(thing, turn, &target, gap)
            }
            Pair::PanelWidth => {
                let wall = u16::try_from(self.dice.roll(2)).expect("two walls");
                let near = self.length(0, 300);
                self.panel(WallPlace::new(wall, near));
                let panel = &self.peer().panels[0];
                let to = panel.width.max(panel.case.1 + 20.0);
                let across = panel
                    .wall
                    .rectangle((0.0, to), (panel.front, panel.front + panel.depth));
                let thing = self.any_thing();
                self.plant_by(thing, turn, &corners_of(&across), gap)
            }
            Pair::Window => {
                self.window();
                let scene = self.peer();
                let target = corners_of(&scene.windows[0].floor(scene.limits.aisle));
                let thing = self.any_thing();
                self.plant_by(thing, turn, &target, gap)
            }
            Pair::Heights => self.plant_above(gap),
        }
    }

    fn plant_at_wall(&mut self, pair: Pair, gap: f64) -> f64 {
        let place = self.on_wall(whole(1900));
        let wall = self.peer_room().walls[usize::from(place.wall)].clone();
        let slab = corners_of(&wall.frame.rectangle((0.0, wall.length), (-3000.0, 0.0)));
        let back_gap = self.peer().limits.back_gap;
        let rack = self.any_rack();
        // Its back to the wall, more or less, where it is the gap that counts.
        let degrees = wall.frame.along.y.atan2(wall.frame.along.x).to_degrees() + 180.0;
        let turn = match (pair, self.dice.roll(3)) {
            (Pair::Gap, 0) => Angle::from_degrees(degrees),
            (Pair::Gap, _) => {
                Angle::from_degrees(degrees + f64::from(self.dice.between(-400, 400)) / 10.0)
            }
            _ => self.turn(),
        };
        let behind = if pair == Pair::Gap { back_gap } else { 0.0 };
        if pair == Pair::Gap && self.dice.roll(3) == 0 {
            self.stand_somewhere(Thing::Column);
            let target = corners_of(&self.peer().bodies[0].shape);
            let way = f64::from(self.dice.roll(360)).to_radians().sin_cos();
            let line = (centre(&target), Coord { x: way.1, y: way.0 });
            return self.plant_along(line, rack, turn, (&target, behind), gap);
        }
        let along = mm(place.along) + 950.0;
        let inward = wall.frame.at(0.0, 1.0) - wall.frame.origin;
        let line = (wall.frame.at(along, -1500.0), inward);
        self.plant_along(line, rack, turn, (&slab, behind), gap)
    }

    /// A rack with one face before a wall, the aisle's depth away or so.
    fn plant_before_wall(&mut self, gap: f64) -> f64 {
        let place = self.on_wall(whole(1900));
        let wall = self.peer_room().walls[usize::from(place.wall)].clone();
        let along = mm(place.along) + 950.0;
        let aisle = self.peer().limits.aisle;
        let degrees = wall.frame.along.y.atan2(wall.frame.along.x).to_degrees();
        let off = f64::from(self.dice.between(-300, 300) * self.dice.roll(2)) / 10.0;
        let turn = Angle::from_degrees(degrees + off);
        let rack = self.any_rack();
        let size = self.size(rack);
        let (w, d) = (mm(size.0) * 0.5, mm(size.1) * 0.5);
        // The front looks down its own depth, thus at the wall; the nearer corner of the floor before it counts.
        let nearest = |out: f64| {
            let pose = pose_round(wall.frame.at(along, out), size, turn);
            let frame = Scene::frame_of(pose, size);
            let strip = frame.rectangle((-w, w), (-d - aisle, d));
            let (_, (low, _)) = wall.frame.extent(&corners_of(&strip));
            (pose, low)
        };
        let (mut low, mut high) = (-3000.0, 6000.0);
        for _ in 0..40 {
            let half = (low + high) * 0.5;
            if nearest(half).1 < gap {
                low = half;
            } else {
                high = half;
            }
        }
        let (pose, gap) = nearest(low);
        self.stand(rack, pose, size);
        gap
    }

    /// Something overhead, or a sill, above a rack: so far above its top, or above what counts at that place.
    fn plant_above(&mut self, gap: f64) -> f64 {
        let steps = Length::from_mm(gap);
        let which = self.dice.roll(5);
        let (over, high) = match which {
            0 => {
                let rack = self.any_rack();
                self.stand_somewhere(rack);
                let scene = self.peer();
                let body = &scene.bodies[0];
                (corners_of(&body.shape), Length::from_units(body.high))
            }
            1 => {
                let rack = self.any_rack();
                self.stand_somewhere(rack);
                let scene = self.peer();
                let strip = Scene::strips(&scene.bodies[0])[0].ahead(scene.limits.aisle);
                (
                    corners_of(&strip),
                    Length::from_units(scene.limits.headroom),
                )
            }
            2 => {
                self.door(Some(Swing::In));
                let door = &self.peer().doors[0];
                let sweep = door.sweep.clone().expect("it opens inwards");
                (sweep, Length::from_units(door.height))
            }
            3 => {
                let place = self.on_wall(whole(380));
                self.panel(place);
                let panel = &self.peer().panels[0];
                (
                    corners_of(&panel.before_case()),
                    Length::from_units(panel.high),
                )
            }
            _ => return self.plant_sill(steps),
        };
        let middle = centre(&over);
        let size = (self.length(100, 500), self.length(100, 500));
        let turn = self.turn();
        let ceiling = self.plan.room().ceiling;
        // A beam hangs below the ceiling.
        let bottom = (high + steps).min(ceiling - Length::from_units(4));
        let beam = Overhead {
            purpose: OverheadUse::Beam,
            at: pose_round(middle, size, turn),
            width: size.0,
            depth: size.1,
            bottom,
            presence: Presence::default(),
        };
        self.put('J', Item::Overhead(beam));
        mm(bottom) - mm(high)
    }

    /// A window whose sill is so far above the top of a rack that stands before it.
    fn plant_sill(&mut self, above: Length) -> f64 {
        let rack = self.any_rack();
        let place = self.on_wall(whole(1200));
        let wall = self.peer_room().walls[usize::from(place.wall)].clone();
        let size = self.size(rack);
        let turn = self.turn();
        let pose = pose_round(wall.frame.at(mm(place.along) + 600.0, 900.0), size, turn);
        self.stand(rack, pose, size);
        let high = Length::from_units(self.peer().bodies[0].high);
        let sill = high + above;
        self.put_window(place, whole(1200), sill, sill + whole(600));
        mm(above)
    }

    fn peer(&self) -> Scene {
        Scene::of(&self.plan)
    }

    fn door(&mut self, swing: Option<Swing>) {
        let width = self.length(700, 1100);
        let swing = swing.unwrap_or([Swing::In, Swing::In, Swing::Out, Swing::None][self.face()]);
        let at = self.on_wall(width);
        let clear = match self.dice.roll(4) {
            0 => None,
            _ => Some(self.length(790, 850)),
        };
        let door = Door {
            at,
            width,
            height: self.length(1900, 2150),
            clear,
            hinge: [Hinge::Near, Hinge::Far][self.face() % 2],
            swing,
            way_out: self.dice.roll(3) != 0,
            presence: Presence::default(),
        };
        self.put('D', Item::Door(door));
    }

    fn face(&mut self) -> usize {
        at(u64::try_from(self.dice.roll(4)).expect("not below zero"))
    }

    fn panel(&mut self, at: WallPlace) {
        let panel = Panel {
            at,
            width: whole(380),
            depth: self.length(80, 200),
            bottom: self.length(900, 1300),
            height: self.length(500, 900),
            presence: Presence::default(),
            main: None,
            free: None,
        };
        self.put('E', Item::Panel(panel));
    }

    fn window(&mut self) {
        let width = self.length(600, 1500);
        let at = self.on_wall(width);
        let sill = self.length(300, 1300);
        let head = sill + self.length(300, 900);
        self.put_window(at, width, sill, head);
    }

    fn put_window(&mut self, at: WallPlace, width: Length, sill: Length, head: Length) {
        let window = Window {
            at,
            width,
            sill,
            head,
            opens: true,
            way_out: self.dice.roll(3) == 0,
            glass: Glass::default(),
            presence: Presence::default(),
        };
        self.put('W', Item::Window(window));
    }

    /// Other things, anywhere, so that a planted pair is not alone.
    fn clutter(&mut self, pair: Pair) {
        if pair != Pair::Door {
            self.door(None);
        }
        if pair != Pair::Window && self.dice.roll(2) == 0 {
            self.window();
        }
        if self.dice.roll(3) == 0 {
            let place = self.on_wall(whole(380));
            self.panel(place);
        }
        if self.dice.roll(3) == 0 {
            let width = self.length(300, 1200);
            let radiator = Fitting {
                purpose: FittingUse::Radiator,
                at: self.on_wall(width),
                width,
                depth: self.length(60, 200),
                bottom: self.length(0, 400),
                height: self.length(300, 900),
                presence: Presence::default(),
            };
            self.put('H', Item::Fitting(radiator));
        }
        if self.dice.roll(3) == 0 {
            self.stand_somewhere(Thing::Column);
        }
        let thing = self.any_thing();
        self.stand_somewhere(thing);
    }
}

/// A place round a middle, as far as stored lengths go.
fn pose_round(middle: Coord, (width, depth): (Length, Length), turn: Angle) -> Pose {
    Pose {
        x: Length::from_mm(middle.x - mm(width) * 0.5),
        y: Length::from_mm(middle.y - mm(depth) * 0.5),
        turn,
    }
}

fn centre(corners: &[Coord]) -> Coord {
    use geo::Centroid as _;
    let mut ring = corners.to_vec();
    ring.extend(corners.first().copied());
    let outline = geo::Polygon::new(LineString::from(ring), Vec::new());
    outline.centroid().map_or(corners[0], |p: Point| p.0)
}

/// A rectangle, an L, a room with a tongue of wall in it or one with an oblique wall; turned by any angle in three of four.
fn outline(dice: &mut Dice) -> Vec<(Length, Length)> {
    let (w, l) = (dice.between(4500, 8000), dice.between(4500, 8000));
    let (a, b) = (dice.between(1500, w - 1500), dice.between(1500, l - 1500));
    let thick = dice.between(60, 400);
    let corners: Vec<(i32, i32)> = match dice.roll(4) {
        0 => vec![(0, 0), (w, 0), (w, l), (0, l)],
        1 => vec![(0, 0), (w, 0), (w, b), (a, b), (a, l), (0, l)],
        2 => {
            let lean = dice.between(-900, 900);
            vec![
                (0, 0),
                (w, 0),
                (w, l),
                (a + thick, l),
                (a + lean, b),
                (a - thick, l),
                (0, l),
            ]
        }
        _ => vec![
            (0, 0),
            (w, 0),
            (w, l),
            (a, l - dice.between(200, 1200)),
            (0, l),
        ],
    };
    let degrees = match dice.roll(4) {
        0 => 0.0,
        _ => f64::from(dice.roll(360_000)) / 1000.0,
    };
    let (sin, cos) = degrees.to_radians().sin_cos();
    let turned = |(x, y): (i32, i32)| {
        let (x, y) = (f64::from(x), f64::from(y));
        (
            Length::from_mm(x * cos - y * sin),
            Length::from_mm(x * sin + y * cos),
        )
    };
    corners.into_iter().map(turned).collect()
}
