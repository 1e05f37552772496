//! The way a cord takes: along the backs of racks that stand close, and along the walls; whether it lies in a doorway or over floor
//! that people work and walk on.

use super::{Layout, Part, PlacedPrinter, Slot, Wall};
use crate::geometry::{Bounds, Point, TOLERANCE_MM};
use crate::plan::{Id, Item, ItemKind, UpsPlace};
use crate::units::Length;

/// From this width on a person passes: OSHA 1910.36(g)(2), 28 in.
const PASSABLE_MM: f64 = 711.2;

/// A plug and what it is plugged into.
#[derive(Clone, Debug, PartialEq)]
pub struct Plugged {
    /// The printer or UPS whose cord it is.
    pub from: Id,
    /// The UPS or outlet it is plugged into.
    pub to: Id,
    /// Length of the cord, where it is known.
    pub cord: Option<Length>,
    /// The shortest way that crosses no doorway.
    pub way: Option<Route>,
    /// The shortest way over a doorway, where that is shorter.
    pub over_door: Option<Route>,
}

/// A way of a cord.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Length in millimetres, heights included.
    pub length: f64,
    /// The way in the plan.
    pub path: Vec<Point>,
    /// The door whose opening it crosses.
    pub crosses: Option<Id>,
    /// The rack or bench before which it lies on the floor.
    pub before: Option<Id>,
    /// The longest stretch that it lies on open floor, off any wall and where a person could pass, in millimetres.
    pub open: f64,
}

/// The cord of a UPS or printer: where it starts and how long it is.
#[derive(Clone, Copy, Debug)]
pub struct CordStart {
    end: End,
    /// Length of the cord, where it is known.
    pub cord: Option<Length>,
}

/// One end of a cord.
#[derive(Clone, Copy, Debug)]
struct End {
    at: Point,
    height: f64,
    /// The rack it stands on, if any: within one rack a cord runs along the back.
    rack: Option<Id>,
}

/// Where a cord may start, and the nearest place on a wall.
struct Foot {
    at: Point,
    on_wall: Point,
    wall: usize,
}

impl Layout {
    /// The cord of a UPS to its outlet, or those of the printers on a rack to their UPS or outlet.
    pub fn cords_from(&self, part: &Part) -> Vec<Plugged> {
        let supply = || {
            let Some(Item::Ups(ups)) = self.plan.items().get(part.id) else {
                return None;
            };
            Some(self.plugged(part.id, self.cord_of_ups(part.id)?, ups.outlet?))
        };
        let printers = part.slots().iter().filter_map(|slot| {
            let standing = slot.printer.as_ref()?;
            let printer = self.plan.printers().get(standing.id)?;
            let start = self.cord_of_printer(slot, standing)?;
            Some(self.plugged(standing.id, start, printer.power?))
        });
        supply().into_iter().chain(printers).collect()
    }

    /// Every cord of the phase, by mark of the rack or UPS it comes from; worked out once.
    pub fn cords(&self) -> &[Plugged] {
        let all = || {
            self.parts()
                .flat_map(|part| self.cords_from(part))
                .collect()
        };
        self.every_cord.get_or_init(all)
    }

    /// Where the cord of a UPS starts.
    pub fn cord_of_ups(&self, ups: Id) -> Option<CordStart> {
        let end = self.ups_end(self.part(ups)?)?;
        let cord = self.ups_kind(ups)?.cord;
        Some(CordStart { end, cord })
    }

    /// Where the cord of a printer in a slot starts.
    pub fn cord_of_printer(&self, slot: &Slot, printer: &PlacedPrinter) -> Option<CordStart> {
        let kind = self.stock.printers.get(&printer.kind);
        let end = self.slot_end(slot.name.rack, printer.footprint.centre(), printer.low)?;
        Some(CordStart {
            end,
            cord: kind.and_then(|k| k.cord),
        })
    }

    /// The length in millimetres of a cord's way to an outlet that crosses no doorway and lies before no face, if there is one;
    /// none where the cord is too short for it or of unknown length.
    pub fn cord_reaches(&self, start: &CordStart, outlet: &Part) -> Option<f64> {
        self.cord_reaches_to(start, outlet.spot, outlet.spot_height)
    }

    /// The same to a place so many millimetres above the floor.
    pub fn cord_reaches_to(&self, start: &CordStart, at: Point, height: f64) -> Option<f64> {
        let most = start.cord?.mm();
        let end = End {
            at,
            height,
            rack: None,
        };
        // No way is shorter than the straight line.
        if start.end.at.distance(end.at) > most {
            return None;
        }
        let (way, _) = self.ways(start.end, end);
        way.filter(|way| way.length <= most + TOLERANCE_MM && way.before.is_none())
            .map(|way| way.length)
    }

    /// How far along the walls, from the first corner on, the place on a wall is that is nearest to where a cord starts, in
    /// millimetres.
    pub fn cord_along_walls(&self, start: &CordStart) -> Option<f64> {
        let (wall, along) = self.nearest_wall(start.end.at)?;
        let before = self.walls().take_while(|w| w.number < wall.number);
        Some(before.map(|w| w.length).sum::<f64>() + along)
    }

    /// True where a cord of a UPS or of the printers on a rack goes to that thing.
    pub fn plugs_into(&self, part: &Part, to: Id) -> bool {
        let supply = || match self.plan.items().get(part.id) {
            Some(Item::Ups(ups)) => ups.outlet,
            _ => None,
        };
        let printers = part.slots().iter().filter_map(|slot| {
            let standing = slot.printer.as_ref()?;
            self.plan.printers().get(standing.id)?.power
        });
        printers.chain(supply()).any(|target| target == to)
    }

    fn plugged(&self, from: Id, start: CordStart, to: Id) -> Plugged {
        let end = self.part(to).and_then(|part| match part.kind {
            ItemKind::Ups => self.ups_end(part),
            ItemKind::Outlet
            | ItemKind::Door
            | ItemKind::Window
            | ItemKind::Column
            | ItemKind::Panel
            | ItemKind::Cooling
            | ItemKind::Fitting(_)
            | ItemKind::Overhead(_)
            | ItemKind::Light
            | ItemKind::Camera
            | ItemKind::Furniture(_)
            | ItemKind::Zone
            | ItemKind::Rack
            | ItemKind::Dimension
            | ItemKind::Note => Some(End {
                at: part.spot,
                height: part.spot_height,
                rack: None,
            }),
        });
        let (way, over_door) = end.map_or((None, None), |end| self.ways(start.end, end));
        Plugged {
            from,
            to,
            cord: start.cord,
            way,
            over_door,
        }
    }

    /// Where a UPS is plugged from: its top, at the foot of its rack's back or where it stands by itself.
    fn ups_end(&self, part: &Part) -> Option<End> {
        let Some(Item::Ups(ups)) = self.plan.items().get(part.id) else {
            return None;
        };
        let height = self.stock.ups.get(&ups.kind)?.height.mm();
        let rack = match ups.stands {
            UpsPlace::OnRack(rack) => Some(rack),
            UpsPlace::OnFloor(_) => None,
        };
        Some(End {
            at: part.spot,
            height,
            rack,
        })
    }

    /// Where a printer's cord leaves the rack: on the line of the rack's back.
    fn slot_end(&self, rack: Id, middle: Point, height: f64) -> Option<End> {
        let body = self.part(rack)?.rack.as_ref()?.body;
        let x = (middle - body.centre()).dot(body.across());
        Some(End {
            at: body.at(x, body.depth() * 0.5),
            height,
            rack: Some(rack),
        })
    }

    /// The shortest way without and the shortest way over a doorway.
    fn ways(&self, start: End, end: End) -> (Option<Route>, Option<Route>) {
        let rise = (start.height - end.height).abs();
        if start.rack.is_some() && (start.rack == end.rack || self.along_racks(start, end)) {
            let along_back = Route {
                length: start.at.distance(end.at) + rise,
                path: vec![start.at, end.at],
                crosses: None,
                before: None,
                open: 0.0,
            };
            return (Some(along_back), None);
        }
        let overhead = end.height >= self.limits.headroom.value.mm();
        let Some((first, last)) = self.nearest_wall(start.at).zip(self.nearest_wall(end.at)) else {
            return (None, None);
        };
        let mut clear: Option<Route> = None;
        let mut over: Option<Route> = None;
        for anticlockwise in [true, false] {
            let mut path = vec![start.at];
            path.extend(self.round_the_walls(first, last, anticlockwise));
            path.push(end.at);
            let open = if overhead {
                0.0
            } else {
                self.open_floor(&path)
            };
            // Where it lies on open floor a cord goes down to it and up again.
            let rise = if open > 0.0 {
                start.height + end.height
            } else {
                rise
            };
            let route = Route {
                length: path_length(&path) + rise,
                open,
                crosses: self.door_on(&path),
                before: (!overhead).then(|| self.strip_under(&path)).flatten(),
                path,
            };
            let best = if route.crosses.is_some() {
                &mut over
            } else {
                &mut clear
            };
            if best.as_ref().is_none_or(|b| route.length < b.length) {
                *best = Some(route);
            }
        }
        let shorter = over.filter(|o| clear.as_ref().is_none_or(|c| o.length < c.length));
        (clear, shorter)
    }

    /// True where racks stand so close to the straight way between two racks that a cord is led along them all the way.
    fn along_racks(&self, start: End, end: End) -> bool {
        let gap = self.limits.back_gap.value.mm();
        let Some(box_round) = Bounds::of(&[start.at, end.at]).filter(|_| end.rack.is_some()) else {
            return false;
        };
        let near = self.solids_near(&box_round, gap);
        let mut stretches: Vec<(f64, f64)> = near
            .filter_map(|(part, _)| part.rack.as_ref())
            .filter_map(|rack| {
                let close = rack.body.grown(gap, gap, gap, gap).convex();
                close.crossed_by(start.at, end.at)
            })
            .collect();
        stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
        let reached = stretches.iter().fold(0.0, |reached: f64, (from, to)| {
            if *from <= reached {
                reached.max(*to)
            } else {
                reached
            }
        });
        reached >= 1.0
    }

    /// The longest leg that lies off the walls and is as long as a way out is wide at least: there a person could pass.
    fn open_floor(&self, path: &[Point]) -> f64 {
        self.legs_off_walls(path)
            .map(|(a, b)| a.distance(b))
            .filter(|length| *length >= PASSABLE_MM)
            .fold(0.0, f64::max)
    }

    /// The legs of a way that do not run along a wall.
    fn legs_off_walls(&self, path: &[Point]) -> impl Iterator<Item = (Point, Point)> {
        path.windows(2).filter_map(|leg| match leg {
            [a, b] if !self.lies_on_a_wall(*a, *b) => Some((*a, *b)),
            _ => None,
        })
    }

    /// The rack or bench before whose face a way lies, in a stretch that a person could step on.
    fn strip_under(&self, path: &[Point]) -> Option<Id> {
        let narrow = self.limits.back_gap.value.mm() * 2.0;
        let over = |part: &Part, a: Point, b: Point| {
            part.strips().iter().any(|strip| {
                strip
                    .shape
                    .crossed_by(a, b)
                    .is_some_and(|(from, to)| (to - from) * a.distance(b) > narrow)
            })
        };
        self.legs_off_walls(path)
            .filter(|(a, b)| a.distance(*b) > narrow)
            .find_map(|(a, b)| {
                // A strip reaches no further from its body than an aisle.
                let leg = Bounds::of(&[a, b])?;
                let near = self.solids_near(&leg, self.limits.aisle.value.mm());
                let over = near.filter(|(part, _)| over(part, a, b));
                over.map(|(part, _)| part.id).min()
            })
    }

    fn lies_on_a_wall(&self, a: Point, b: Point) -> bool {
        let mut sides = self.room.sides();
        sides.any(|(c, d)| lies_along((a, b), (c, d)))
    }

    /// False where another thing is surely clear of the cords of a thing and of the floor that they may lie on. May say yes too
    /// often.
    pub fn cords_may_pass(&self, part: &Part, other: &Part) -> bool {
        let strips = other.strips().iter().map(|s| s.shape.bounds());
        let mut bodies = strips.chain(other.solid.iter().map(|s| s.shape.bounds()));
        let gap = self.limits.back_gap.value.mm();
        let Some(first) = bodies.next() else {
            return false;
        };
        let Some(lie) = self.cords_lie_in(part, gap) else {
            return false;
        };
        let near = |body: &Bounds| body.gap(&lie) <= gap;
        near(first) || bodies.any(near)
    }

    /// A box round the cords of a thing; `None` where they lie close to a wall, with nothing to go to further off, so that nobody
    /// steps on them.
    fn cords_lie_in(&self, part: &Part, gap_mm: f64) -> Option<Bounds> {
        let feet: Vec<Foot> = self.feet(part).collect();
        let ends: Vec<Point> = feet.iter().flat_map(|f| [f.at, f.on_wall]).collect();
        let own = Bounds::of(&ends)?;
        let close = |f: &Foot| f.at.distance(f.on_wall) <= gap_mm * 2.0;
        let wall = feet.first().map(|f| f.wall);
        let along_one_wall = feet.iter().all(|f| close(f) && Some(f.wall) == wall);
        let mut all = ends;
        let mut last = None;
        for slot in part.slots() {
            let printer = slot.printer.as_ref().map(|p| p.id);
            let target = printer.and_then(|id| self.plan.printers().get(id)?.power);
            // Neighbours hang on the same, so that this asks about each once or nearly so.
            if target == last {
                continue;
            }
            last = target;
            let supply = target.and_then(|id| self.part(id));
            let supply = supply.filter(|part| part.kind == ItemKind::Ups);
            let away = supply.into_iter().flat_map(|supply| self.feet(supply));
            all.extend(away.flat_map(|f| [f.at, f.on_wall]));
        }
        let inside = |p: &Point| own.gap(&Bounds { low: *p, high: *p }) <= 0.0;
        if along_one_wall && all.iter().all(inside) {
            return None;
        }
        Bounds::of(&all)
    }

    /// Where cords of a thing may start: both ends of a rack's back, the place of anything else.
    fn feet(&self, part: &Part) -> impl Iterator<Item = Foot> {
        let (one, other) = part.rack.as_ref().map_or((part.spot, None), |rack| {
            let (w, d) = (rack.body.width() * 0.5, rack.body.depth() * 0.5);
            (rack.body.at(-w, d), Some(rack.body.at(w, d)))
        });
        let starts = std::iter::once(one).chain(other);
        starts.filter_map(|at| {
            let (wall, along) = self.nearest_wall(at)?;
            Some(Foot {
                at,
                on_wall: wall.point(along, 0.0),
                wall: wall.number,
            })
        })
    }

    /// The nearest wall and how far along it the nearest place is.
    fn nearest_wall(&self, p: Point) -> Option<(Wall, f64)> {
        self.walls()
            .map(|wall| {
                let along = (p - wall.start).dot(wall.along).max(0.0).min(wall.length);
                (wall, along)
            })
            .min_by(|(a, x), (b, y)| {
                a.point(*x, 0.0)
                    .distance(p)
                    .total_cmp(&b.point(*y, 0.0).distance(p))
            })
    }

    /// The way along the walls from one place to another, corners included.
    pub(super) fn round_the_walls(
        &self,
        from: (Wall, f64),
        to: (Wall, f64),
        anticlockwise: bool,
    ) -> Vec<Point> {
        if !anticlockwise {
            let mut back = self.round_the_walls(to, from, true);
            back.reverse();
            return back;
        }
        let corners = self.room.points();
        let count = corners.len();
        let mut path = vec![from.0.point(from.1, 0.0)];
        let straight = from.0.number == to.0.number && from.1 <= to.1;
        if !straight {
            let steps = (to.0.number + count - from.0.number) % count;
            let steps = if steps == 0 { count } else { steps };
            path.extend((1..=steps).filter_map(|k| corners.get((from.0.number + k) % count)));
        }
        path.push(to.0.point(to.1, 0.0));
        path
    }

    /// The first door whose opening the path runs along.
    fn door_on(&self, path: &[Point]) -> Option<Id> {
        self.of_kind(ItemKind::Door)
            .find(|part| {
                part.doorway.as_ref().is_some_and(|door| {
                    path.windows(2).any(|leg| match leg {
                        [a, b] => runs_along((*a, *b), door.opening),
                        _ => false,
                    })
                })
            })
            .map(|part| part.id)
    }
}

pub(super) fn path_length(path: &[Point]) -> f64 {
    path.windows(2)
        .map(|leg| match leg {
            [a, b] => a.distance(*b),
            _ => 0.0,
        })
        .sum()
}

/// True where both ends of one line lie on the straight line through another.
fn lies_along((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let along = (d - c).normalize_or_zero();
    let on = |p: Point| (p - c).perp_dot(along).abs() <= TOLERANCE_MM;
    on(a) && on(b)
}

/// True where two lines lie on one another over more than a touch.
fn runs_along((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let length = c.distance(d);
    let along = (d - c).normalize_or_zero();
    let (s, t) = ((a - c).dot(along), (b - c).dot(along));
    lies_along((a, b), (c, d)) && s.min(t).max(0.0) + TOLERANCE_MM < s.max(t).min(length)
}
