//! What the checks should find, worked out from the plan's stored numbers with the peer library: its own corners, its own
//! heights, no layout.

use aislewright::geometry::TOLERANCE_MM;
use aislewright::plan::{
    Door, Hinge, Id, Item, Outline, Panel, Plan, Pose, Rack, Swing, UpsPlace, WallPlace, Window,
};
use aislewright::stock::Face;
use aislewright::units::Length;
use geo::{Contains as _, Coord, Distance as _, Euclidean, LineString, Point, Polygon};

use crate::common::library;
use crate::plane::{
    Frame, apart, common_corners, corners_of, corners_outside, mm, polygon, quarter,
};

/// A value nearer to where two shapes begin to share more than the tolerance than this may be judged either way.
const HAIR_MM: f64 = 0.003;
/// Straight shapes: how far two measured values may differ. The peer's overlays round to a grid of about 0.0001 mm.
const STRAIGHT_MM: f64 = 0.002;
/// The same where an arc takes part: both draw it by chords, ours off it by up to 0.005 mm.
const ARC_MM: f64 = 0.008;
/// Farther than anything stands.
const FAR_MM: f64 = 20_000.0;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Expected {
    Met,
    Broken,
    Unknown,
    /// On a hair's breadth, or not for the peer to say.
    Either,
}

/// A finding that a check should have.
#[derive(Clone, Debug)]
pub(crate) struct Expect {
    pub(crate) check: &'static str,
    /// What it is about, for the tally.
    pub(crate) about: &'static str,
    pub(crate) facet: String,
    /// The marks that it begins with.
    pub(crate) items: Vec<Id>,
    pub(crate) standing: Expected,
    pub(crate) measured: Option<f64>,
    pub(crate) within_mm: f64,
}

#[derive(Clone, Debug)]
pub(crate) struct Wall {
    pub(crate) frame: Frame,
    pub(crate) length: f64,
    /// True where the room turns back round the wall's first and its other corner.
    turns_back: (bool, bool),
}

impl Wall {
    pub(crate) fn rectangle(&self, along: (f64, f64), out: (f64, f64)) -> Polygon {
        self.frame.rectangle(along, out)
    }

    fn line(&self) -> [Coord; 2] {
        [self.frame.origin, self.frame.at(self.length, 0.0)]
    }

    fn on(&self, at: WallPlace, width: Length, depth: f64) -> Frame {
        let middle = self.frame.at(mm(at.along) + mm(width) * 0.5, depth * 0.5);
        Frame {
            origin: middle,
            along: self.frame.along * -1.0,
        }
    }
}

#[derive(Clone, Debug)]
pub(crate) struct Room {
    floor: Polygon,
    pub(crate) walls: Vec<Wall>,
}

impl Room {
    pub(crate) fn of(plan: &Plan) -> Self {
        let Outline::Corners(corners) = &plan.room().outline else {
            panic!("the scenes' rooms have corners");
        };
        let corners: Vec<Coord> = corners
            .iter()
            .map(|(x, y)| Coord {
                x: mm(*x),
                y: mm(*y),
            })
            .collect();
        let n = corners.len();
        let way = |k: usize| corners[(k + 1) % n] - corners[k % n];
        let turn_at = |k: usize| {
            let (a, b) = (way(k + n - 1), way(k));
            a.x * b.y - a.y * b.x
        };
        let walls = (0..n)
            .map(|k| {
                let length = way(k).x.hypot(way(k).y);
                Wall {
                    frame: Frame {
                        origin: corners[k],
                        along: way(k) / length,
                    },
                    length,
                    turns_back: (turn_at(k) < 0.0, turn_at(k + 1) < 0.0),
                }
            })
            .collect();
        Self {
            floor: polygon(&corners),
            walls,
        }
    }

    pub(crate) fn holds(&self, p: Coord) -> bool {
        self.floor.contains(&p)
    }

    pub(crate) fn floor(&self) -> &Polygon {
        &self.floor
    }
}

#[derive(Clone, Debug)]
pub(crate) struct Body {
    pub(crate) id: Id,
    fixed: bool,
    frame: Frame,
    half: (f64, f64),
    pub(crate) shape: Polygon,
    corners: Vec<Coord>,
    /// Lower and upper end, in units of 1/320 mm.
    low: i64,
    pub(crate) high: i64,
    rack: bool,
    faces: Vec<Face>,
}

pub(crate) struct Limits {
    pub(crate) aisle: f64,
    pub(crate) back_gap: f64,
    pub(crate) headroom: i64,
    door_clear: Length,
}

pub(crate) struct PeerDoor {
    id: Id,
    pub(crate) sweep: Option<Vec<Coord>>,
    pub(crate) height: i64,
    clear: Option<Length>,
    way_out: bool,
}

pub(crate) struct PeerWindow {
    id: Id,
    wall: Wall,
    along: (f64, f64),
    sill: i64,
    head: i64,
    way_out: bool,
}

impl PeerWindow {
    pub(crate) fn floor(&self, aisle: f64) -> Polygon {
        self.wall.rectangle(self.along, (0.0, aisle))
    }
}

pub(crate) struct PeerPanel {
    id: Id,
    pub(crate) wall: Wall,
    pub(crate) case: (f64, f64),
    pub(crate) front: f64,
    pub(crate) depth: f64,
    pub(crate) width: f64,
    pub(crate) high: i64,
}

impl PeerPanel {
    pub(crate) fn before_case(&self) -> Polygon {
        self.wall
            .rectangle(self.case, (self.front, self.front + self.depth))
    }
}

/// A face and the floor before it: from the middle of the face, along it to the left, forward.
pub(crate) struct Strip {
    face: Face,
    /// Its left is forward.
    frame: Frame,
    half: f64,
}

impl Strip {
    pub(crate) fn ahead(&self, depth: f64) -> Polygon {
        self.frame.rectangle((-self.half, self.half), (0.0, depth))
    }
}

pub(crate) struct Scene {
    room: Room,
    ceiling: i64,
    pub(crate) limits: Limits,
    pub(crate) bodies: Vec<Body>,
    pub(crate) doors: Vec<PeerDoor>,
    pub(crate) windows: Vec<PeerWindow>,
    pub(crate) panels: Vec<PeerPanel>,
}

/// True where two ranges of heights in units share more than the tolerance: 0.01 mm is 3.2 units.
fn share_heights(a: (i64, i64), b: (i64, i64)) -> bool {
    a.1.min(b.1) - a.0.max(b.0) > 3
}

impl Scene {
    pub(crate) fn frame_of(pose: Pose, (width, depth): (Length, Length)) -> Frame {
        let (sin, cos) = pose.turn.degrees().to_radians().sin_cos();
        Frame {
            origin: Coord {
                x: mm(pose.x) + mm(width) * 0.5,
                y: mm(pose.y) + mm(depth) * 0.5,
            },
            along: Coord { x: cos, y: sin },
        }
    }

    pub(crate) fn of(plan: &Plan) -> Self {
        let limits = library().limits_of(plan);
        let mut scene = Self {
            room: Room::of(plan),
            ceiling: plan.room().ceiling.units(),
            limits: Limits {
                aisle: mm(limits.aisle.value),
                back_gap: mm(limits.back_gap.value),
                headroom: limits.headroom.value.units(),
                door_clear: limits.door_clear.value,
            },
            bodies: Vec::new(),
            doors: Vec::new(),
            windows: Vec::new(),
            panels: Vec::new(),
        };
        for (id, item) in plan.items().iter() {
            scene.take(plan, id, item);
        }
        scene
    }

    fn take(&mut self, plan: &Plan, id: Id, item: &Item) {
        let stock = &library().stock;
        match item {
            Item::Door(door) => self.take_door(id, door),
            Item::Window(window) => self.take_window(id, window),
            Item::Panel(panel) => self.take_panel(plan, id, panel),
            Item::Column(c) => {
                let size = (c.width, c.depth);
                let heights = (0, self.ceiling);
                self.body(id, true, Self::frame_of(c.at, size), size, heights);
            }
            Item::Overhead(o) => {
                let size = (o.width, o.depth);
                let heights = (o.bottom.units(), self.ceiling);
                self.body(id, true, Self::frame_of(o.at, size), size, heights);
            }
            Item::Fitting(f) => {
                let wall = &self.room.walls[usize::from(f.at.wall)];
                let frame = wall.on(f.at, f.width, mm(f.depth));
                let heights = (f.bottom.units(), f.bottom.units() + f.height.units());
                self.body(id, true, frame, (f.width, f.depth), heights);
            }
            Item::Ups(u) => {
                let kind = &stock.ups[&u.kind];
                let UpsPlace::OnFloor(at) = u.stands else {
                    panic!("the scenes' UPS stand on the floor");
                };
                let size = (kind.width, kind.depth);
                let heights = (0, kind.height.units());
                self.body(id, false, Self::frame_of(at, size), size, heights);
            }
            Item::Rack(rack) => self.take_rack(plan, id, rack),
            Item::Outlet(_)
            | Item::Cooling(_)
            | Item::Light(_)
            | Item::Camera(_)
            | Item::Furniture(_)
            | Item::Zone(_)
            | Item::Dimension(_)
            | Item::Note(_) => panic!("{id}: no scene has one"),
        }
    }

    fn body(
        &mut self,
        id: Id,
        fixed: bool,
        frame: Frame,
        (width, depth): (Length, Length),
        (low, high): (i64, i64),
    ) {
        let half = (mm(width) * 0.5, mm(depth) * 0.5);
        let shape = frame.rectangle((-half.0, half.0), (-half.1, half.1));
        self.bodies.push(Body {
            id,
            fixed,
            frame,
            half,
            corners: corners_of(&shape),
            shape,
            low,
            high,
            rack: false,
            faces: Vec::new(),
        });
    }

    /// A rack is as high as its posts or its highest printer.
    fn take_rack(&mut self, plan: &Plan, id: Id, rack: &Rack) {
        let stock = &library().stock;
        let kind = &stock.racks[&rack.kind];
        let printers = plan.printers().iter().filter(|(_, p)| p.slot.rack == id);
        let high = printers
            .map(|(_, p)| {
                let level = &kind.levels[usize::from(p.slot.level) - 1];
                level.height.units() + stock.printers[&p.kind].height.units()
            })
            .chain([kind.height.units()])
            .max()
            .unwrap_or(0);
        let size = (kind.width, kind.depth);
        self.body(id, false, Self::frame_of(rack.at, size), size, (0, high));
        let faces = if rack.faces.is_empty() {
            &kind.faces
        } else {
            &rack.faces
        };
        let body = self.bodies.last_mut().expect("it was put there just now");
        body.rack = true;
        body.faces.clone_from(faces);
    }

    fn take_door(&mut self, id: Id, door: &Door) {
        let wall = &self.room.walls[usize::from(door.at.wall)];
        let (near, width) = (mm(door.at.along), mm(door.width));
        let inward = wall.frame.at(0.0, 1.0) - wall.frame.origin;
        let along = wall.frame.along;
        let sweep = (door.swing == Swing::In).then(|| match door.hinge {
            Hinge::Near => quarter(wall.frame.at(near, 0.0), width, along, inward),
            Hinge::Far => quarter(
                wall.frame.at(near + width, 0.0),
                width,
                along * -1.0,
                inward,
            ),
        });
        self.doors.push(PeerDoor {
            id,
            sweep,
            height: door.height.units(),
            clear: door.clear,
            way_out: door.way_out,
        });
    }

    fn take_window(&mut self, id: Id, window: &Window) {
        let near = mm(window.at.along);
        self.windows.push(PeerWindow {
            id,
            wall: self.room.walls[usize::from(window.at.wall)].clone(),
            along: (near, near + mm(window.width)),
            sill: window.sill.units(),
            head: window.head.units(),
            way_out: window.way_out,
        });
    }

    fn take_panel(&mut self, plan: &Plan, id: Id, panel: &Panel) {
        let limits = library().limits_of(plan);
        let wall = self.room.walls[usize::from(panel.at.wall)].clone();
        let (low, high) = (panel.bottom.units(), (panel.bottom + panel.height).units());
        let size = (panel.width, panel.depth);
        let frame = wall.on(panel.at, panel.width, mm(panel.depth));
        self.body(id, true, frame, size, (low, high));
        let near = mm(panel.at.along);
        self.panels.push(PeerPanel {
            id,
            wall,
            case: (near, near + mm(panel.width)),
            front: mm(panel.depth),
            depth: mm(limits.panel_depth.value),
            width: mm(limits.panel_width.value).max(mm(panel.width)),
            high: limits
                .panel_height
                .value
                .units()
                .max(high)
                .min(self.ceiling),
        });
    }

    pub(crate) fn floor(&self) -> &Polygon {
        self.room.floor()
    }

    pub(crate) fn placed(&self) -> impl Iterator<Item = &Body> {
        self.bodies.iter().filter(|b| !b.fixed)
    }

    pub(crate) fn strips(body: &Body) -> Vec<Strip> {
        let (w, d) = body.half;
        let strip = |face: &Face| {
            // Forward is to the left of `along`.
            let (middle, left_of, half) = match face {
                Face::Front => ((0.0, -d), (-1.0, 0.0), w),
                Face::Back => ((0.0, d), (1.0, 0.0), w),
                Face::Left => ((-w, 0.0), (0.0, 1.0), d),
                Face::Right => ((w, 0.0), (0.0, -1.0), d),
            };
            Strip {
                face: *face,
                frame: Frame {
                    origin: body.frame.at(middle.0, middle.1),
                    along: body.frame.at(left_of.0, left_of.1) - body.frame.origin,
                },
                half,
            }
        };
        body.faces.iter().map(strip).collect()
    }

    /// All that the five checks should find.
    pub(crate) fn expected(&self) -> Vec<Expect> {
        let mut all = Vec::new();
        for body in self.placed() {
            all.extend(self.fits(body));
            let strips = Self::strips(body);
            all.extend(strips.iter().map(|s| self.service_strip(body, s)));
        }
        for door in &self.doors {
            all.extend(self.door_swing(door));
        }
        all.extend(self.panels.iter().map(|p| self.panel_space(p)));
        for window in &self.windows {
            all.extend(self.window(window));
        }
        all
    }

    fn fits(&self, body: &Body) -> Vec<Expect> {
        let walls = 0..self.room.walls.len();
        let mut found: Vec<Expect> = walls
            .clone()
            .filter_map(|k| self.crossed(body, k))
            .collect();
        if found.is_empty() && !self.room.holds(body.frame.origin) {
            found.push(expect("fits", "outside", Expected::Broken).of("outside", &[body.id]));
        } else {
            let gaps = walls.filter_map(|k| self.gap_to_wall(body, k, &found));
            let mut gaps: Vec<Expect> = gaps.collect();
            if found.iter().all(|c| c.standing == Expected::Either)
                && !self.room.holds(body.frame.origin)
            {
                // On a hair's breadth of standing outside altogether.
                let outside = expect("fits", "outside", Expected::Either);
                gaps.push(outside.of("outside", &[body.id]));
                for gap in &mut gaps {
                    gap.standing = Expected::Either;
                }
            }
            found.extend(gaps);
        }
        if body.high - self.ceiling > 3 {
            let high = mm(Length::from_units(body.high));
            let ceiling = expect("fits", "ceiling", Expected::Broken).of("ceiling", &[body.id]);
            found.push(ceiling.at(high, STRAIGHT_MM));
        }
        let others = self.bodies.iter().filter(|o| o.id != body.id);
        let others: Vec<&Body> = others
            .filter(|o| share_heights((body.low, body.high), (o.low, o.high)))
            .collect();
        for other in &others {
            if other.fixed || body.id < other.id {
                found.extend(self.pair(body, other));
            }
        }
        if found.is_empty() {
            found.push(self.margin(body, &others));
        } else if found.iter().all(|f| f.standing == Expected::Either) {
            // On a hair's breadth of breaking: whether it is met is open too.
            found.push(expect("fits", "margin", Expected::Either).of("", &[body.id]));
        }
        found
    }

    /// A body that crosses the face of a wall.
    fn crossed(&self, body: &Body, k: usize) -> Option<Expect> {
        let wall = &self.room.walls[k];
        let across = -apart(&body.corners, &wall.line());
        if across < TOLERANCE_MM - HAIR_MM {
            return None;
        }
        let from = if wall.turns_back.0 { 0.0 } else { -FAR_MM };
        let to = wall.length + if wall.turns_back.1 { 0.0 } else { FAR_MM };
        let behind = wall.rectangle((from, to), (-FAR_MM, 0.0));
        let (_, (low, _)) = wall.frame.extent(&common_corners(&body.shape, &behind));
        let standing = broken_unless(across < TOLERANCE_MM + HAIR_MM);
        Some(
            expect("fits", "inside wall", standing)
                .of(&format!("wall {k}"), &[body.id])
                .at(-low, STRAIGHT_MM),
        )
    }

    /// A wall that takes of the gap behind a rack, where the rack does not cross it.
    fn gap_to_wall(&self, body: &Body, k: usize, crossed: &[Expect]) -> Option<Expect> {
        let facet = format!("wall {k}");
        let is_crossed = crossed.iter().any(|c| c.facet == facet);
        let line = self.room.walls[k].line();
        let behind = (body.rack && !is_crossed).then(|| Self::behind(body, &line))?;
        self.gap(behind, "gap to wall", &facet, &[body.id])
    }

    /// How far behind the back of a rack a wall or a thing begins, over the rack's width; none beyond the gap.
    fn behind(body: &Body, shape: &[Coord]) -> [Option<f64>; 3] {
        let (w, d) = body.half;
        let back = Frame {
            origin: body.frame.at(0.0, d),
            along: body.frame.along,
        };
        narrowed(|by| {
            let reach = (-w + by, w - by);
            let corners = if let [a, b] = shape {
                clipped(&back, reach, (*a, *b))
            } else {
                common_corners(&polygon(shape), &back.rectangle(reach, (-d, FAR_MM)))
            };
            let (_, (near, far)) = back.extent(&corners);
            // A line may lie on the back itself, a body stands behind it.
            let least = if shape.len() == 2 {
                -TOLERANCE_MM
            } else {
                TOLERANCE_MM
            };
            (far > least).then(|| near.max(0.0))
        })
    }

    fn gap(
        &self,
        behind: [Option<f64>; 3],
        about: &'static str,
        facet: &str,
        items: &[Id],
    ) -> Option<Expect> {
        let gap = self.limits.back_gap;
        let least = |left: &Option<f64>, slack: f64| {
            left.is_some_and(|left| left < gap - TOLERANCE_MM + slack)
        };
        if !behind.iter().any(|left| least(left, HAIR_MM)) {
            return None;
        }
        let sure = behind.iter().all(|left| least(left, -HAIR_MM)) && !torn(behind);
        let expect = expect("fits", about, broken_unless(!sure)).of(facet, items);
        Some(match behind[1] {
            Some(left) => expect.at(left, STRAIGHT_MM),
            None => expect,
        })
    }

    fn pair(&self, body: &Body, other: &Body) -> Option<Expect> {
        let items = [body.id, other.id];
        let depth = -apart(&body.corners, &other.corners);
        if depth > TOLERANCE_MM - HAIR_MM {
            let standing = broken_unless(depth < TOLERANCE_MM + HAIR_MM);
            let overlap = expect("fits", "two bodies", standing).of("", &items);
            return Some(overlap.at(depth, STRAIGHT_MM));
        }
        let fixed = (body.rack && other.fixed).then(|| Self::behind(body, &other.corners))?;
        self.gap(fixed, "gap to a thing", "", &items)
    }

    /// What is left to the nearest wall or body; bodies are looked for up to 1 m.
    fn margin(&self, body: &Body, others: &[&Body]) -> Expect {
        let to_walls = self
            .room
            .walls
            .iter()
            .map(|w| Euclidean.distance(&LineString::from(w.line().to_vec()), &body.shape));
        let to_bodies = others
            .iter()
            .map(|o| Euclidean.distance(&body.shape, &o.shape));
        let walls = to_walls.fold(f64::INFINITY, f64::min);
        let margin = to_bodies.fold(walls, f64::min);
        let met = expect("fits", "margin", Expected::Met).of("", &[body.id]);
        if margin <= 1000.0 {
            met.at(margin, STRAIGHT_MM)
        } else {
            met
        }
    }

    fn service_strip(&self, body: &Body, strip: &Strip) -> Expect {
        let people = (0, self.limits.headroom);
        let depth = narrowed(|by| {
            let band = strip
                .frame
                .rectangle((-strip.half + by, strip.half - by), (0.0, FAR_MM));
            let bodies = self
                .bodies
                .iter()
                .filter(|o| o.id != body.id && share_heights((o.low, o.high), people))
                .map(|o| common_corners(&o.shape, &band));
            let walls = corners_outside(&band, &self.room.floor);
            bodies
                .chain([walls])
                .map(|corners| strip.frame.extent(&corners).1)
                .filter(|(_, far)| *far > TOLERANCE_MM)
                .map(|(near, _)| near.max(0.0))
                .min_by(f64::total_cmp)
        });
        let facet = format!("{:?}", strip.face).to_lowercase();
        let Some(middle) = depth[1] else {
            panic!("the floor ends somewhere");
        };
        // A face that stands out of the room has no floor before it to measure.
        let ends = [-strip.half, 0.0, strip.half].map(|x| strip.frame.at(x, 0.0));
        let in_room = ends.iter().all(|p| {
            self.room.holds(*p)
                || Euclidean.distance(&Point::from(*p), self.room.floor.exterior()) < TOLERANCE_MM
        });
        let off = middle - (self.limits.aisle - TOLERANCE_MM);
        let about = if in_room { "depth" } else { "face outside" };
        let standing = if !in_room || torn(depth) || off.abs() < HAIR_MM {
            Expected::Either
        } else if off > 0.0 {
            Expected::Met
        } else {
            Expected::Broken
        };
        expect("service-strip", about, standing)
            .of(&facet, &[body.id])
            .at(middle, STRAIGHT_MM)
    }

    fn door_swing(&self, door: &PeerDoor) -> Vec<Expect> {
        let mut found = Vec::new();
        if let Some(sweep) = &door.sweep {
            found = self.in_sweep(door, sweep);
            let all_open = found.iter().all(|f| f.standing == Expected::Either);
            let standing = if found.is_empty() {
                Expected::Met
            } else {
                Expected::Either
            };
            if all_open {
                found.push(
                    expect("door-swing", "swing", standing)
                        .of("", &[door.id])
                        .at(0.0, ARC_MM),
                );
            }
        }
        if door.way_out {
            let standing = match door.clear {
                None => Expected::Unknown,
                Some(clear) if clear.units() + 3 >= self.limits.door_clear.units() => Expected::Met,
                Some(_) => Expected::Broken,
            };
            let width = expect("door-swing", "clear width", standing).of("clear width", &[door.id]);
            found.push(match door.clear {
                Some(clear) => width.at(mm(clear), STRAIGHT_MM),
                None => width,
            });
        }
        found
    }

    fn in_sweep(&self, door: &PeerDoor, sweep: &[Coord]) -> Vec<Expect> {
        let judged = |shape: &[Coord], facet: &str, items: &[Id], about: &'static str| {
            let depth = -apart(shape, sweep);
            (depth > TOLERANCE_MM - ARC_MM).then(|| {
                let standing = broken_unless(depth < TOLERANCE_MM + ARC_MM);
                expect("door-swing", about, standing)
                    .of(facet, items)
                    .at(depth, ARC_MM)
            })
        };
        let bodies = self
            .bodies
            .iter()
            .filter(|b| share_heights((b.low, b.high), (0, door.height)))
            .filter_map(|b| judged(&b.corners, "", &[b.id, door.id], "swing"));
        let walls = self.room.walls.iter().enumerate().filter_map(|(k, w)| {
            judged(&w.line(), &format!("wall {k}"), &[door.id], "swing at wall")
        });
        bodies.chain(walls).collect()
    }

    fn window(&self, window: &PeerWindow) -> Vec<Expect> {
        let floor = corners_of(&window.floor(self.limits.aisle));
        let low = if window.way_out { 0 } else { window.sill };
        let mut found = Vec::new();
        for body in &self.bodies {
            let depth = -apart(&body.corners, &floor);
            if share_heights((body.low, body.high), (low, window.head))
                && depth > TOLERANCE_MM - HAIR_MM
            {
                let standing = broken_unless(depth < TOLERANCE_MM + HAIR_MM);
                let above = (body.high - window.sill).max(0);
                found.push(
                    expect("window", "above the sill", standing)
                        .of("", &[body.id, window.id])
                        .at(mm(Length::from_units(above)), STRAIGHT_MM),
                );
            }
        }
        if found.is_empty() {
            let free = expect("window", "above the sill", Expected::Met).of("", &[window.id]);
            found.push(free.at(0.0, STRAIGHT_MM));
        } else if found.iter().all(|f| f.standing == Expected::Either) {
            found.push(expect("window", "above the sill", Expected::Either).of("", &[window.id]));
        }
        found
    }

    /// The floor before the case to the nearest thing; where that is free, the width that is free round the case.
    fn panel_space(&self, panel: &PeerPanel) -> Expect {
        let limits = (panel.front, panel.front + panel.depth);
        let band = panel.wall.rectangle((-FAR_MM, FAR_MM), limits);
        let others = self
            .bodies
            .iter()
            .filter(|b| b.id != panel.id && share_heights((b.low, b.high), (0, panel.high)));
        let frame = &panel.wall.frame;
        let bodies: Vec<Vec<Coord>> = others.map(|b| common_corners(&b.shape, &band)).collect();
        // What reaches into the depth by a hair only is not near.
        let thick = |corners: &Vec<Coord>, least: f64| {
            let (_, (low, high)) = frame.extent(corners);
            high - panel.front > least && limits.1 - low > least
        };
        let near = |least: f64| bodies.iter().filter(|c| thick(c, least)).count();
        let mut hair = near(TOLERANCE_MM - HAIR_MM) != near(TOLERANCE_MM + HAIR_MM);
        let walls = corners_outside(&band, &self.room.floor);
        let bodies: Vec<Vec<Coord>> = bodies
            .into_iter()
            .filter(|c| thick(c, TOLERANCE_MM))
            .collect();

        let before = narrowed(|by| {
            let case = panel
                .wall
                .rectangle((panel.case.0 + by, panel.case.1 - by), limits);
            let shapes = bodies.iter().map(|c| common_corners(&hulled(c), &case));
            shapes
                .chain([corners_outside(&case, &self.room.floor)])
                .map(|corners| frame.extent(&corners).1)
                .filter(|(_, far)| far - panel.front > by)
                .map(|(near, _)| near - panel.front)
                .min_by(f64::total_cmp)
        });
        hair |= torn(before);
        if let Some(depth) = before[1] {
            let short = panel.depth - TOLERANCE_MM - depth;
            let standing = broken_unless(hair || short < HAIR_MM);
            return expect("panel-space", "depth", standing)
                .of("", &[panel.id])
                .at(depth, STRAIGHT_MM);
        }
        let middle = (panel.case.0 + panel.case.1) * 0.5;
        let corners = bodies.iter().flatten().chain(&walls);
        let (left, right): (Vec<f64>, Vec<f64>) = corners
            .map(|c| frame.local(*c).0)
            .partition(|along| *along < middle);
        // Up to what stands on either side; where nothing does, as far as the space may reach.
        let from = left.into_iter().max_by(f64::total_cmp);
        let from = from.unwrap_or(panel.case.1 - panel.width);
        let to = right.into_iter().min_by(f64::total_cmp);
        let to = to.unwrap_or(panel.case.0 + panel.width);
        let free = (to - from).max(0.0);
        let off = free - (panel.width - TOLERANCE_MM);
        let standing = if hair || off.abs() < HAIR_MM {
            Expected::Either
        } else if off > 0.0 {
            Expected::Met
        } else {
            Expected::Broken
        };
        expect("panel-space", "width", standing)
            .of("", &[panel.id])
            .at(free, STRAIGHT_MM)
    }
}

/// A value measured with the edge of a band drawn in by the tolerance, and by a hair less and more.
fn narrowed(measure: impl Fn(f64) -> Option<f64>) -> [Option<f64>; 3] {
    [-HAIR_MM, 0.0, HAIR_MM].map(|hair| measure(TOLERANCE_MM + hair))
}

/// True where a hair decides what stands in the band at all.
fn torn(values: [Option<f64>; 3]) -> bool {
    match values {
        [Some(a), Some(_), Some(c)] => (a - c).abs() > 0.05,
        [None, None, None] => false,
        _ => true,
    }
}

/// The part of a line within a band, by the band's own directions.
fn clipped(band: &Frame, (low, high): (f64, f64), (a, b): (Coord, Coord)) -> Vec<Coord> {
    let (xa, xb) = (band.local(a).0, band.local(b).0);
    let at = |x: f64| a + (b - a) * ((x - xa) / (xb - xa));
    let within = |x: f64| low <= x && x <= high;
    let ends = [(a, xa), (b, xb)].into_iter().filter(|(_, x)| within(*x));
    let crossings = [low, high]
        .into_iter()
        .filter(|x| (xa - x) * (xb - x) < 0.0)
        .map(at);
    ends.map(|(p, _)| p).chain(crossings).collect()
}

fn hulled(corners: &[Coord]) -> Polygon {
    use geo::ConvexHull as _;
    geo::MultiPoint::from(corners.iter().map(|c| Point::from(*c)).collect::<Vec<_>>()).convex_hull()
}

fn broken_unless(open: bool) -> Expected {
    if open {
        Expected::Either
    } else {
        Expected::Broken
    }
}

fn expect(check: &'static str, about: &'static str, standing: Expected) -> Expect {
    Expect {
        check,
        about,
        facet: String::new(),
        items: Vec::new(),
        standing,
        measured: None,
        within_mm: 0.0,
    }
}

impl Expect {
    fn of(mut self, facet: &str, items: &[Id]) -> Self {
        facet.clone_into(&mut self.facet);
        self.items = items.to_vec();
        self
    }

    fn at(mut self, measured: f64, within_mm: f64) -> Self {
        self.measured = Some(measured);
        self.within_mm = within_mm;
        self
    }
}
